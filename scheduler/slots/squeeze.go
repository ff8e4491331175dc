package slots

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"echowright/scheduler/bound"
)

// squeeze looks for a shorter grouping by local search: it takes one slot away, or makes one
// shorter, and moves jobs until nothing is in the wrong place again (tabu search; Hertz and
// de Werra, "Using tabu search techniques for graph coloring", Computing 39, 1987, with slots
// that admit only jobs short enough and hold only so many).
type squeeze struct {
	g      *bound.Graph
	price  []int64 // what each slot may last
	size   []int
	slotOf []int
	clash  [][]int // clash[v][c]: members of slot c that v conflicts with
	barred [][]int // v may not return to c before this step
	lots   *rand.Rand
}

// squeezed offers better groupings to best until a whole round of attempts, each of at most
// steps moves, brings none.
func squeezed(best *incumbent, levels []bound.Level, steps int, seed uint64, m *bound.Meter) {
	lots := rand.New(rand.NewPCG(seed, 0))
	for again := true; again && !m.Ended(); {
		again = false
		prices := pricesOf(best.g, best.groups)
		for c := len(prices) - 1; c >= 0 && !again; c-- {
			for _, us := range shorter(best.g, best.groups[c], prices[c]) {
				target := slices.Clone(prices)
				target[c] = us
				if !m.Look() || !allowed(target, levels) {
					continue
				}
				s := newSqueeze(best.g, best.groups, target, lots)
				if s.run(steps, m) {
					best.offer(s.groups())
					again = true
					break
				}
			}
		}
	}
}

func pricesOf(g *bound.Graph, groups [][]int) []int64 {
	slices.SortStableFunc(groups, func(a, b []int) int { return cmp.Compare(longest(g, b), longest(g, a)) })
	us := make([]int64, len(groups))
	for k, gr := range groups {
		us[k] = longest(g, gr)
	}
	return us
}

// shorter lists what a slot could last instead: nothing at all, or as long as its next longest job.
func shorter(g *bound.Graph, group []int, price int64) []int64 {
	var next int64
	for _, v := range group {
		if us := g.Us[v]; us < price {
			next = max(next, us)
		}
	}
	if next == 0 {
		return []int64{0}
	}
	return []int64{0, next}
}

// allowed tells whether slots may last so long at all, by the levels of the longest, the next …
func allowed(price []int64, levels []bound.Level) bool {
	rank := slices.Clone(price)
	slices.SortFunc(rank, func(a, b int64) int { return cmp.Compare(b, a) })
	for j, l := range levels {
		if j >= len(rank) || rank[j] < l.Us {
			return false
		}
	}
	return true
}

func newSqueeze(g *bound.Graph, groups [][]int, price []int64, lots *rand.Rand) *squeeze {
	n := g.N()
	s := &squeeze{g: g, price: price, size: make([]int, len(price)), slotOf: make([]int, n),
		clash: table(n, len(price)), barred: table(n, len(price)), lots: lots}
	for c, gr := range groups {
		for _, v := range gr {
			s.slotOf[v] = c
		}
	}
	for v := range n {
		if s.price[s.slotOf[v]] < g.Us[v] {
			s.slotOf[v] = s.anywhere(v)
		}
		s.size[s.slotOf[v]]++
	}
	for v := range n {
		for u := g.Adj[v].First(); u >= 0; u = g.Adj[v].Next(u + 1) {
			s.clash[v][s.slotOf[u]]++
		}
	}
	return s
}

func table(rows, cols int) [][]int {
	t := make([][]int, rows)
	for k := range t {
		t[k] = make([]int, cols)
	}
	return t
}

// anywhere is a slot long enough for v; the floors have seen to it that there is one.
func (s *squeeze) anywhere(v int) int {
	var fit []int
	for c, p := range s.price {
		if p >= s.g.Us[v] {
			fit = append(fit, c)
		}
	}
	return fit[s.lots.IntN(len(fit))]
}

// run moves the job and slot that leave the least wrong, until nothing is.
func (s *squeeze) run(steps int, m *bound.Meter) bool {
	wrong := s.wrong()
	least := wrong
	for step := 1; wrong > 0; step++ {
		if step > steps || !m.Tick() || step%64 == 0 && !m.Look() {
			return false
		}
		v, c, gain := s.move(step, wrong, least)
		if v < 0 {
			continue
		}
		s.barred[v][s.slotOf[v]] = step + 1 + s.lots.IntN(10) + wrong*6/10
		s.shift(v, c)
		wrong += gain
		least = min(least, wrong)
	}
	return true
}

// wrong counts conflicts inside slots and jobs beyond what slots hold.
func (s *squeeze) wrong() int {
	twice, over := 0, 0
	for v, c := range s.slotOf {
		twice += s.clash[v][c]
	}
	for _, n := range s.size {
		over += max(0, n-s.g.AtOnce)
	}
	return twice/2 + over
}

// move finds the best move of a misplaced job; equal ones by lot. A barred one only counts when
// it leaves less wrong than ever.
func (s *squeeze) move(step, wrong, least int) (job, slot, gain int) {
	job, ties := -1, 0
	for v, from := range s.slotOf {
		over := 0
		if s.size[from] > s.g.AtOnce {
			over = 1
		}
		if s.clash[v][from]+over == 0 {
			continue
		}
		for c, p := range s.price {
			if c == from || p < s.g.Us[v] {
				continue
			}
			d := s.clash[v][c] - s.clash[v][from] - over
			if s.size[c] >= s.g.AtOnce {
				d++
			}
			if s.barred[v][c] > step && wrong+d >= least {
				continue
			}
			switch {
			case job < 0 || d < gain:
				job, slot, gain, ties = v, c, d, 1
			case d == gain:
				if ties++; s.lots.IntN(ties) == 0 {
					job, slot = v, c
				}
			}
		}
	}
	return job, slot, gain
}

func (s *squeeze) shift(v, c int) {
	from := s.slotOf[v]
	s.size[from]--
	s.size[c]++
	s.slotOf[v] = c
	for u := s.g.Adj[v].First(); u >= 0; u = s.g.Adj[v].Next(u + 1) {
		s.clash[u][from]--
		s.clash[u][c]++
	}
}

func (s *squeeze) groups() [][]int {
	gs := make([][]int, len(s.price))
	for v, c := range s.slotOf {
		gs[c] = append(gs[c], v)
	}
	return slices.DeleteFunc(gs, func(g []int) bool { return len(g) == 0 })
}
