package acoustics

import (
	"math"
	"slices"

	"echowright/planner/scene"
)

// turned looks at a target that may stand at any turn of a span: a place counts only where it is seen at
// every one. Turned by τ it answers at bearing + τ from cos τ of the distance, so at each τ the stretches
// are those of the ray at phi + τ, 1/cos τ farther out; the answer is what all have in common.
type turned struct {
	s     *looker
	turns []float64
	per   [][]reach // scratch: the stretches at each turn
	held  [2][]reach

	arguments []float64 // scratch
	lastU     []float64 // the looker's, for each turn by itself
}

func newTurned(s *looker) *turned {
	t := &turned{s: s, turns: []float64{s.w.turns.Lo}}
	if !s.w.oneTurn() {
		step := s.coarse
		if !s.steady { // a threshold that changes cuts stretches in two over less turn than the beam does
			step /= 4
		}
		t.turns = turnsOf(s.w.turns, step)
	}
	t.per = make([][]reach, len(t.turns))
	t.lastU = make([]float64, len(t.turns))
	return t
}

// ray appends the stretches at bearing phi as distances of the place from the sensor.
func (t *turned) ray(phi float64, dst []reach) []reach {
	for k := range t.turns {
		i := t.order(k)
		t.s.lastU = t.lastU[i]
		t.per[i] = t.at(phi, t.turns[i], t.per[i][:0])
		t.lastU[i] = t.s.lastU
		if len(t.per[i]) == 0 {
			return dst
		}
	}
	common := t.per[0]
	for i, seen := range t.per[1:] {
		t.held[i%2] = inCommon(common, seen, t.held[i%2][:0])
		common = t.held[i%2]
	}
	limit := t.limit()
	if len(t.turns) == 1 {
		for _, r := range common {
			if r.hi = math.Min(r.hi, limit); r.hi > r.lo {
				dst = append(dst, r)
			}
		}
		return dst
	}
	for _, r := range common {
		r.hi = math.Min(limit, t.tighten(phi, r, true))
		r.lo = t.tighten(phi, r, false)
		if r.hi > r.lo {
			dst = t.keep(phi, r, dst)
		}
	}
	return dst
}

// keep appends what of a stretch no turn carries across a null. Turns were sampled; two that lie in one
// lobe may have a null between them where the argument turns back just past it.
func (t *turned) keep(phi float64, r reach, dst []reach) []reach {
	mid := (r.lo + r.hi) / 2
	lo, hi := t.oneLobe(phi, r.lo, r.lobe), t.oneLobe(phi, r.hi, r.lobe)
	if lo && hi {
		return append(dst, r)
	}
	if !lo && !hi && !t.oneLobe(phi, mid, r.lobe) {
		return dst
	}
	in := mid
	switch {
	case lo:
		in = r.lo
	case hi:
		in = r.hi
	}
	edge := func(out float64) float64 {
		return crossing(in, out, func(rho float64) float64 {
			if t.oneLobe(phi, rho, r.lobe) {
				return 1
			}
			return -1
		})
	}
	if !hi {
		r.hi = edge(r.hi)
	}
	if !lo {
		r.lo = edge(r.lo)
	}
	return append(dst, r)
}

// oneLobe reports whether the argument stays within one lobe over all turns of a place at distance rho:
// its least and greatest sample, each moved to the top of the parabola through its neighbours.
func (t *turned) oneLobe(phi, rho float64, lobe int) bool {
	m := t.s.e.m
	if m.table != nil {
		return true
	}
	v := t.arguments[:0]
	for _, tau := range t.turns {
		v = append(v, t.s.argumentAt(phi+tau, rho*math.Cos(tau)))
	}
	t.arguments = v
	low, high := slices.Min(v), slices.Max(v)
	for i := 1; i+1 < len(v); i++ {
		turn := t.turns[i-1 : i+2]
		low = math.Min(low, vertex(turn, v[i-1], v[i], v[i+1]))
		high = math.Max(high, -vertex(turn, -v[i-1], -v[i], -v[i+1]))
	}
	return (lobe == 0 || low*m.narrow > pistonNulls[lobe-1]) && (lobe >= lobesKnown || high < pistonNulls[lobe])
}

// argumentAt is the pattern's argument at the slowest sound towards bearing psi, x away.
func (s *looker) argumentAt(psi, x float64) float64 {
	e, dz := s.e, s.w.dz
	sin, cos := math.Sincos(psi)
	return e.m.kSlow * math.Sqrt((sq(e.m.across*x*sin)+sq(e.m.up*(dz*e.cosT-x*cos*e.sinT)))/(x*x+dz*dz))
}

// limit is the farthest place the window admits: the squarest turn answers from farthest away.
func (t *turned) limit() float64 {
	squarest := math.Max(t.s.w.turns.Lo, math.Min(t.s.w.turns.Hi, 0))
	return (t.s.limit + t.s.w.inset) / math.Cos(squarest)
}

// rivalShare: a sample lower than its neighbours but this much above the lowest may still hide the least
// end beside it.
const rivalShare = 0.02

// order looks at the widest turns first: where one sees nothing the others need no look.
func (t *turned) order(k int) int {
	last := len(t.turns) - 1
	switch k {
	case 0:
		return 0
	case 1:
		return last
	}
	return k - 1
}

// at is the ray at one turn.
func (t *turned) at(phi, tau float64, dst []reach) []reach {
	c := math.Cos(tau)
	if math.Abs(tau) >= math.Pi/2 {
		return dst
	}
	n := len(dst)
	dst = t.s.ray(phi+tau, dst)
	for i := n; i < len(dst); i++ {
		dst[i].lo = (dst[i].lo + t.s.w.inset) / c
		dst[i].hi = (dst[i].hi + t.s.w.inset) / c
	}
	return dst
}

// tighten moves one end of a common stretch to the true extreme over all turns when the turn that binds
// it lies between the ends of the span: samples bracket it, golden section finds it.
func (t *turned) tighten(phi float64, r reach, far bool) float64 {
	end := func(list []reach) float64 {
		for _, q := range list {
			if q.lobe == r.lobe && q.lo <= r.hi && q.hi >= r.lo {
				if far {
					return q.hi
				}
				return -q.lo
			}
		}
		return math.Inf(-1)
	}
	best, value := 0, math.Inf(1)
	for i, list := range t.per {
		if v := end(list); v < value {
			best, value = i, v
		}
	}
	if !far && r.lo*math.Cos(t.turns[best]) <= t.s.xlo*(1+1e-12) {
		return r.lo // the near limit binds, which the widest turn decides
	}
	at := func(tau float64) float64 { return end(t.at(phi, tau, nil)) }
	for i, rival := 0, value+rivalShare*math.Abs(value); i < len(t.per); i++ {
		v := end(t.per[i])
		low := (i == 0 || v <= end(t.per[i-1])) && (i == len(t.per)-1 || v <= end(t.per[i+1]))
		if low && v <= rival && !t.fallsBeyond(i, end) {
			value = math.Min(value, t.between(i, end, at))
		}
	}
	if far {
		return value
	}
	return -value
}

// fallsBeyond reports whether the least sample is at the end of the span and the ends still fall there so
// steeply that nothing lower can lie inside: the parabola through the last three has its bottom more than
// two steps beyond, or none.
func (t *turned) fallsBeyond(best int, end func([]reach) float64) bool {
	n := len(t.per)
	if best != 0 && best != n-1 {
		return false
	}
	i, side := 1, -1.0
	if best == n-1 {
		i, side = n-2, 1
	}
	x := t.turns[i-1 : i+2]
	bottom, _ := parabola(x, end(t.per[i-1]), end(t.per[i]), end(t.per[i+1]))
	outer := t.turns[best]
	step := math.Abs(outer - x[1])
	return math.IsNaN(bottom) || side*(bottom-outer) > 2*step
}

// between is the least end round the best sample: halfway to its neighbours first, since samples lie too
// far apart for a parabola to see a lopsided dip, then by golden section if a parabola sees one.
func (t *turned) between(best int, end func([]reach) float64, at func(tau float64) float64) float64 {
	type point struct{ tau, v float64 }
	near := make([]point, 0, 5)
	for i := max(best-1, 0); i <= min(best+1, len(t.turns)-1); i++ {
		if n := len(near); n > 0 {
			tau := (near[n-1].tau + t.turns[i]) / 2
			near = append(near, point{tau, at(tau)})
		}
		near = append(near, point{t.turns[i], end(t.per[i])})
	}
	low := 0
	for i, p := range near {
		if p.v < near[low].v {
			low = i
		}
	}
	i := min(max(low, 1), len(near)-2)
	a, b, c := near[i-1], near[i], near[i+1]
	if vertex([]float64{a.tau, b.tau, c.tau}, a.v, b.v, c.v) < near[low].v-1e-6 {
		_, v := golden(a.tau, c.tau, at)
		return math.Min(v, near[low].v)
	}
	return near[low].v
}

// inCommon intersects two sorted lists, lobe by lobe: along the arc of turns the pattern's argument moves
// steadily, so a change of lobe means that a null was crossed.
func inCommon(a, b, out []reach) []reach {
	for _, p := range a {
		for _, q := range b {
			lo, hi := math.Max(p.lo, q.lo), math.Min(p.hi, q.hi)
			if p.lobe == q.lobe && hi > lo {
				out = append(out, reach{lo: lo, hi: hi, lobe: p.lobe})
			}
		}
	}
	return out
}

// symmetric reports whether the left of the lobe mirrors the right.
func (t *turned) symmetric() bool {
	w := t.s.w.turns
	return w.Lo == -w.Hi && (t.s.e.m.table == nil || t.s.e.m.table.foldB)
}

// bearings are the bearings from the heading to look along at first, sorted: a fan, and every bearing at
// which the beam has a null or a side lobe's top, as each turn moves it; between those, their middles, so
// that no stretch between two nulls is passed over.
func (t *turned) bearings() []float64 {
	s := t.s
	span := scene.Span{Lo: -math.Pi, Hi: math.Pi}
	if s.w.dz == 0 {
		span = scene.Span{Lo: -math.Pi/2 - s.w.turns.Hi, Hi: math.Pi/2 - s.w.turns.Lo}
	}
	marks := t.markBearings()
	list := slices.Clone(marks)
	for i := 1; i < len(marks); i++ {
		list = append(list, (marks[i-1]+marks[i])/2)
	}
	n := int(math.Ceil((span.Hi - span.Lo) / fanStep))
	for i := 0; i <= n; i++ {
		list = append(list, math.Min(span.Hi, span.Lo+(span.Hi-span.Lo)*float64(i)/float64(n)))
	}
	list = append(list, span.Hi)
	from := span.Lo
	if t.symmetric() {
		from = 0
		list = append(list, 0)
	}
	list = slices.DeleteFunc(list, func(b float64) bool { return b < from || b > span.Hi })
	slices.Sort(list)
	return slices.CompactFunc(list, func(a, b float64) bool { return math.Abs(b-a) < 1e-9 })
}

const fanStep = 2 * math.Pi / 180

// markBearings are the bearings of nulls and tops where direction does not change with distance.
func (t *turned) markBearings() []float64 {
	s := t.s
	var list []float64
	add := func(b float64) {
		for _, psi := range [2]float64{b, -b} {
			list = append(list, psi-s.w.turns.Lo, psi-s.w.turns.Hi)
		}
	}
	if s.e.m.table != nil {
		for _, r := range s.e.m.table.rows {
			for _, b := range r.bearing {
				add(b)
			}
		}
		slices.Sort(list)
		return list
	}
	m := s.e.m
	up := m.up * s.e.sinT
	for _, v := range s.marks {
		v /= m.kSlow
		if q := (v*v - up*up) / (m.across*m.across - up*up); q >= 0 && q <= 1 {
			add(math.Asin(math.Sqrt(q)))
		}
	}
	slices.Sort(list)
	return list
}
