package slots

import "echowright/scheduler/bound"

// saturate is the branch and bound that takes the job with the fewest slots left to it and tries
// each of them, then a new one. Every grouping is met at most once: a job joins an existing slot
// or opens the next.
//
//	price[c]  longest turn in slot c        taken[c]  who conflicts with a member of c
//	depth     jobs placed
type saturate struct {
	g      *bound.Graph
	rank   *bound.Rank
	part   *bound.Part
	best   *incumbent
	goal   int64
	price  []int64
	size   []int
	taken  []bound.Set // as many as there ever were slots
	slotOf []int
	left   []int // jobs not placed are left[depth:]
	saved  []bound.Set
	heed   bool    // of jobs with equally few choices, the one that failed most goes first
	failed []int   // how often each job was found to have no choice left
	limits []int64 // scratch of tightest
}

func newSaturate(g *bound.Graph, levels []bound.Level, best *incumbent) *saturate {
	n := g.N()
	return &saturate{g: g, rank: bound.NewRank(levels), best: best, left: g.ByTurn(), slotOf: make([]int, n), failed: make([]int, n), saved: bound.NewSets(n, n)}
}

// prove spends half the nodes on goals from the floor up, the other half below the best: some graphs yield to the
// one at once and for ever resist the other. True when the best is proven.
func (s *saturate) prove(nodes int64, m *bound.Meter) bool {
	s.heed = true
	if s.deepen(m.Part(nodes / 2)) {
		return true
	}
	s.heed = false
	return s.run(m.Part(nodes / 2))
}

// deepen looks for groupings that cost little more than the floor, then for dearer ones, then for all that cost
// less than the best: true when that is proven, false when the part ended first.
func (s *saturate) deepen(part *bound.Part) bool {
	for share := int64(4); share > 1; share /= 2 {
		s.below(s.best.floor+(s.best.cost-s.best.floor)/share, part)
		if part.Ended() {
			return s.best.done()
		}
		s.best.raise(s.limit())
	}
	return s.run(part)
}

// run looks for all groupings that cost less than the best; true when there are no more.
func (s *saturate) run(part *bound.Part) bool {
	s.below(s.best.cost, part)
	return !part.Ended() || s.best.done()
}

// below searches for groupings that cost less than goal.
func (s *saturate) below(goal int64, part *bound.Part) {
	s.goal, s.part = goal, part
	s.place(0, 0)
}

func (s *saturate) limit() int64 { return min(s.best.cost, s.goal) }

// place places the job with the fewest choices, cost being a bound on every completion.
func (s *saturate) place(depth int, cost int64) {
	if depth == len(s.left) {
		s.best.offer(s.groups())
		return
	}
	k := s.tightest(depth)
	if k < 0 {
		return
	}
	s.left[depth], s.left[k] = s.left[k], s.left[depth]
	v := s.left[depth]
	for c := 0; c < len(s.price) && !s.over(); c++ {
		if s.size[c] < s.g.AtOnce && !s.taken[c].Has(v) {
			s.join(depth, v, c, cost)
		}
	}
	if !s.over() {
		s.open(depth, v)
	}
	s.left[depth], s.left[k] = s.left[k], s.left[depth]
}

func (s *saturate) over() bool { return s.part.Ended() || s.best.done() }

// tightest finds the job with the fewest slots whose cost stays below the best; equal ones by
// longer turn, then by the order they stand in. -1: some job has none.
func (s *saturate) tightest(depth int) int {
	pick, fewest, most := -1, 0, 0
	var turn int64
	limits := s.rank.Limits(s.price, s.limit()-1, s.limits)
	s.limits = limits
	fresh := limits[len(s.price)]
	for k := depth; k < len(s.left); k++ {
		v := s.left[k]
		us := s.g.Us[v]
		choices := 0
		if us <= fresh {
			choices = 1
		}
		for c, p := range s.price {
			if (us <= p || us <= limits[c]) && s.size[c] < s.g.AtOnce && !s.taken[c].Has(v) {
				choices++
			}
		}
		if choices == 0 {
			s.failed[v]++
			return -1
		}
		fails := 0
		if s.heed {
			fails = s.failed[v]
		}
		if pick < 0 || choices < fewest || choices == fewest && (fails > most || fails == most && us > turn) {
			pick, fewest, most, turn = k, choices, fails, us
		}
	}
	return pick
}

func (s *saturate) join(depth, v, c int, cost int64) {
	if s.g.Us[v] > s.price[c] {
		cost = s.rank.Cost(s.price, c, s.g.Us[v])
	}
	if cost >= s.limit() || !s.part.Tick() {
		return
	}
	price := s.price[c]
	copy(s.saved[depth], s.taken[c])
	merge(s.taken[c], s.g.Adj[v])
	s.price[c] = max(price, s.g.Us[v])
	s.size[c]++
	s.slotOf[v] = c
	s.place(depth+1, cost)
	s.size[c]--
	s.price[c] = price
	copy(s.taken[c], s.saved[depth])
}

func (s *saturate) open(depth, v int) {
	cost := s.rank.Cost(s.price, -1, s.g.Us[v])
	if cost >= s.limit() || !s.part.Tick() {
		return
	}
	c := len(s.price)
	s.price = append(s.price, s.g.Us[v])
	s.size = append(s.size, 1)
	if c == len(s.taken) {
		s.taken = append(s.taken, bound.NewSet(s.g.N()))
	}
	copy(s.taken[c], s.g.Adj[v])
	s.slotOf[v] = c
	s.place(depth+1, cost)
	s.price, s.size = s.price[:c], s.size[:c]
}

func (s *saturate) groups() [][]int {
	gs := make([][]int, len(s.price))
	for v, c := range s.slotOf {
		gs[c] = append(gs[c], v)
	}
	return gs
}
