package acoustics

import (
	"math"
	"slices"
)

// reach is a stretch of a ray in which a target is seen for certain, and the lobe of the beam it lies in
// (0 the main one): stretches of two lobes are never joined, a null lies between them.
type reach struct {
	lo, hi float64
	lobe   int
	// An end that its neighbours on other rays stand for within the stated error.
	loSpare, hiSpare bool
}

// looker looks along rays from one ear at one target, squarely.
//
// Along a ray the square of the pattern's argument is a quadratic in x over another (x² + dz²): it turns
// at most once and takes any value at most twice, all in closed form. So a ray falls into pieces on which
// the pattern is monotone: between the turning point, the nulls and the side lobes' tops. On each piece
// spreading and absorption are monotone too, so values at the ends bound the level between them, and a
// piece is halved until every part is known to be in, out, or holds one crossing.
type looker struct {
	e        *Ear
	w        answer
	budget   float64 // gain less reflection loss
	alpha    float64 // absorption there and back, dB per metre of distance
	xlo, xhi float64 // from the near limit to where even the axis is too weak
	limit    float64 // what the window admits; turned applies it, so that ends move smoothly with the turn
	steady   bool    // the threshold does not change with time
	coarse   float64 // angle over which the pattern may change noticeably, rad
	marks    []float64

	// Of the ray now looked along: the argument's square is kSlow²·(qa x² + qb x + qc)/(x² + qd).
	phi            float64
	qa, qb, qc, qd float64

	cuts  []float64 // scratch
	lastU float64   // where reachHalf ended last, a good place to start
}

// newLooker prepares looking at half paths from near to far (0: no limit).
func newLooker(e *Ear, w answer, near, far float64) *looker {
	s := &looker{e: e, w: w, budget: e.m.GainAt(Certain) - w.loss, alpha: 2 * e.m.absorptionAt(Certain),
		steady: len(e.m.kind.Threshold) == 0}
	s.xlo = s.across(math.Max(near, 0))
	s.xhi = s.reachX(s.budget - e.m.LowestRiseDB())
	s.limit = math.Inf(1)
	if far > 0 {
		s.limit = s.across(far)
	}
	s.marks = e.m.marks()
	s.coarse = e.m.coarseAngle()
	return s
}

// coarseAngle is a fifth of the main lobe's half width or the step of a table: a pattern is smooth on this
// scale, and between two nulls there are four such steps. At most maxCoarse.
func (m *Model) coarseAngle() float64 {
	const maxCoarse = 6 * math.Pi / 180
	if m.table != nil {
		return 2 * tableStepRad
	}
	return math.Min(maxCoarse, 0.8/(m.kSlow*math.Max(m.across, m.up)))
}

// marks are the arguments at which the certain pattern is not smooth or turns: nulls as the weather smears
// them, and side lobes' tops.
func (m *Model) marks() []float64 {
	if m.table != nil {
		return nil
	}
	var v []float64
	end := m.kSlow * math.Max(m.across, m.up)
	for _, z := range pistonNulls {
		if z > end {
			break
		}
		v = append(v, z)
		if z/m.narrow < end {
			v = append(v, z/m.narrow)
		}
	}
	v = append(v, m.tops...)
	slices.Sort(v)
	return v
}

// across is the horizontal distance at which half the path is d; 0 when it is longer everywhere.
func (s *looker) across(d float64) float64 {
	h := d + s.w.sub
	if h <= math.Abs(s.w.dz) {
		return 0
	}
	return math.Sqrt((h - s.w.dz) * (h + s.w.dz))
}

// base is all that is lost at x but the pattern and the threshold's rise; it grows with x.
func (s *looker) base(x float64) float64 {
	return s.w.spreading(x) + s.alpha*math.Max(0, s.w.half(x))
}

// reachX is the greatest x at which base is not above b, 0 when there is none.
func (s *looker) reachX(b float64) float64 {
	if s.w.inset == 0 || s.w.dz == 0 {
		return s.across(s.reachHalf(b))
	}
	if s.base(0) > b {
		return 0
	}
	hi := 1.0
	for s.base(hi) <= b {
		hi *= 2
	}
	return crossing(0, hi, func(x float64) float64 { return b - s.base(x) })
}

// reachHalf solves 20 lg(2d) + curvature + alpha·d = b for half the path d. In u = ln d the left side is
// convex and growing, so Newton's steps come down on the root from above after at most one step up.
func (s *looker) reachHalf(b float64) float64 {
	n := 0.0
	switch s.w.shape {
	case round:
		n = 0.5
	case ball:
		n = 1
	}
	u := b/tenthNeper - math.Ln2
	if d := b / s.alpha; d > 0.5 {
		u = math.Min(u, math.Log(d))
	}
	if s.lastU != 0 {
		u = math.Min(u, s.lastU)
	}
	d := math.Exp(u)
	for range 60 {
		g := tenthNeper*(u+math.Ln2) + s.alpha*d - b
		slope := tenthNeper + s.alpha*d
		if n > 0 {
			g += tenthNeper * n * math.Log1p(d/s.w.a)
			slope += tenthNeper * n * d / (s.w.a + d)
		}
		step := g / slope
		u -= step
		d = math.Exp(u)
		if math.Abs(step) < 1e-6 { // the next step would be of the order of its square
			break
		}
	}
	s.lastU = u
	return d
}

// ray appends the stretches of the ray at bearing phi from the heading, in x.
func (s *looker) ray(phi float64, dst []reach) []reach {
	lo, hi := s.front(phi)
	if !(hi > lo) {
		return dst
	}
	sin, cos := math.Sincos(phi)
	s.phi = phi
	m, w := s.e.m, s.w
	uz, up := m.up*w.dz*s.e.cosT, m.up*cos*s.e.sinT
	s.qa, s.qb, s.qc, s.qd = sq(m.across*sin)+up*up, -2*uz*up, uz*uz, w.dz*w.dz
	switch {
	case m.table != nil:
		return s.tableRay(lo, hi, dst)
	case w.dz == 0:
		return s.levelRay(lo, hi, dst)
	}
	cuts := append(s.cuts[:0], lo, hi)
	cut := func(x float64) {
		if x > lo && x < hi {
			cuts = append(cuts, x)
		}
	}
	// Where the argument turns, and where it takes the marks' values.
	quadratic(-s.qb, 2*(s.qa*s.qd-s.qc), s.qb*s.qd, cut)
	for _, v := range s.marks {
		v2 := sq(v / m.kSlow)
		quadratic(s.qa-v2, s.qb, s.qc-v2*s.qd, cut)
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		if b <= a {
			continue
		}
		if v := s.argument((a + b) / 2); m.certainOneWay(v) > 0 {
			dst = s.piece(a, b, m.lobeOf(v), dst)
		}
	}
	s.cuts = cuts
	return dst
}

func sq(x float64) float64 { return x * x }

// argument of the pattern, at the slowest sound, x along the ray.
func (s *looker) argument(x float64) float64 {
	return s.e.m.kSlow * math.Sqrt(math.Max(0, ((s.qa*x+s.qb)*x+s.qc)/(x*x+s.qd)))
}

// levelRay is a ray towards points at the sensor's own height: the direction does not change along it.
func (s *looker) levelRay(lo, hi float64, dst []reach) []reach {
	m := s.e.m
	v := m.kSlow * math.Sqrt(s.qa)
	p := m.certainOneWay(v)
	if p == 0 {
		return dst
	}
	if !s.steady {
		return s.piece(lo, hi, m.lobeOf(v), dst)
	}
	if top := s.reachX(s.budget + 2*decibels(p)); top > lo {
		dst = append(dst, reach{lo: lo, hi: math.Min(top, hi), lobe: m.lobeOf(v)})
	}
	return dst
}

// tableStepRad is how finely a ray is cut by the angle to the answering point when the pattern is a table:
// far below the spacing of bench points, so that the table bends at most once between two cuts.
const tableStepRad = 0.5 * math.Pi / 180

func (s *looker) tableRay(lo, hi float64, dst []reach) []reach {
	if s.w.dz == 0 {
		return s.piece(lo, hi, 0, dst)
	}
	h := math.Abs(s.w.dz)
	a, from, until := lo, math.Atan2(lo, h), math.Atan2(hi, h)
	n := int(math.Ceil((until - from) / tableStepRad))
	for i := 1; i <= n; i++ {
		b := hi
		if i < n {
			b = h * math.Tan(from+(until-from)*float64(i)/float64(n))
		}
		dst = s.piece(a, b, 0, dst)
		a = b
	}
	return dst
}

// front cuts a ray to what lies before the baffle and within the limits.
func (s *looker) front(phi float64) (lo, hi float64) {
	const edge = 1e-12 // keeps both ends strictly in front
	lo, hi = s.xlo, s.xhi
	slope, rise := math.Cos(phi)*s.e.cosT, s.w.dz*s.e.sinT
	switch {
	case slope > edge:
		if rise < 0 {
			lo = math.Max(lo, -rise/slope*(1+edge))
		}
	case rise <= 0:
		return 0, 0
	case slope < -edge:
		hi = math.Min(hi, -rise/slope*(1-edge))
	}
	return lo, hi
}

// lobeOf counts the nulls below an argument.
func (m *Model) lobeOf(v float64) int {
	n := 0
	for n < len(pistonNulls) && pistonNulls[n] < v {
		n++
	}
	return n
}

// sample is one x with what is known there.
type sample struct{ x, base, pattern, level float64 }

func (s *looker) at(x float64) sample {
	p := 0.0
	switch far := math.Max(x, leastHalf); {
	case s.e.m.table != nil:
		p = math.Max(2*silent, s.e.pattern(s.phi, far, s.w.dz, Certain))
	default:
		p = 2 * decibels(s.e.m.certainOneWay(s.argument(far)))
	}
	b := s.base(x)
	return sample{x, b, p, s.budget - b - s.e.m.rise(s.w.half(x), Certain) + p}
}

// narrowest is how fine a stretch is looked at where nothing else settles it, m.
const narrowest = 1e-3

// piece appends the stretches of [a, b], on which the pattern is monotone (from a table: as good as monotone).
func (s *looker) piece(a, b float64, lobe int, dst []reach) []reach {
	add := func(lo, hi float64) {
		if n := len(dst); n > 0 && dst[n-1].lobe == lobe && lo <= dst[n-1].hi*(1+1e-12) {
			dst[n-1].hi = math.Max(dst[n-1].hi, hi)
			return
		}
		dst = append(dst, reach{lo: lo, hi: hi, lobe: lobe})
	}
	s.split(s.at(a), s.at(b), add)
	return dst
}

func (s *looker) split(p, q sample, add func(lo, hi float64)) {
	least, most := 0.0, 0.0
	if !s.steady {
		least, most = s.e.m.riseOver(math.Max(0, s.w.half(p.x)), math.Max(0, s.w.half(q.x)))
	}
	if s.budget-p.base-least+math.Max(p.pattern, q.pattern) < 0 {
		return
	}
	if s.budget-q.base-most+math.Min(p.pattern, q.pattern) >= 0 {
		add(p.x, q.x)
		return
	}
	falling := s.steady && q.pattern <= p.pattern
	in, out := p.level >= 0, q.level < 0
	// Over a small change of direction the level bends one way only: ends of unlike sign hold one crossing.
	oneCrossing := s.steady && in == out && q.x-p.x < s.coarse*math.Hypot(p.x, s.w.dz)
	if falling || oneCrossing || q.x-p.x < narrowest {
		level := func(x float64) float64 { return s.at(x).level }
		switch {
		case in && out:
			add(p.x, bracketed(p.x, p.level, q.x, q.level, level))
		case in:
			add(p.x, q.x)
		case !out:
			add(bracketed(p.x, p.level, q.x, q.level, level), q.x)
		}
		return
	}
	mid := s.at((p.x + q.x) / 2)
	s.split(p, mid, add)
	s.split(mid, q, add)
}
