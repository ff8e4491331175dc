package slots

import "echowright/scheduler/bound"

// saturate is the branch and bound that takes the job with the fewest slots left to it and tries
// each of them, then a new one. Every grouping is met at most once: a job joins an existing slot
// or opens the next.
//
//	price[c]  longest turn in slot c        taken[c]  who conflicts with a member of c
//	rank      prices, longest first         depth     jobs placed
type saturate struct {
	g      *bound.Graph
	floor  []int64 // floor[j]: the j-th longest slot of any grouping lasts at least this
	part   *bound.Part
	best   *incumbent
	price  []int64
	size   []int
	taken  []bound.Set
	slotOf []int
	left   []int // jobs not placed are left[depth:]
	saved  []bound.Set
	rank   []int64
}

// run searches until the proof is complete (true) or the part ends (false).
func (s saturate) run() bool {
	n := s.g.N()
	s.left = s.g.ByTurn()
	s.slotOf = make([]int, n)
	s.saved = make([]bound.Set, n)
	for i := range s.saved {
		s.saved[i] = bound.NewSet(n)
	}
	s.place(0, 0)
	return !s.part.Ended() || s.best.done()
}

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
	for c := range s.price {
		if s.size[c] < s.g.AtOnce && !s.taken[c].Has(v) {
			s.join(depth, v, c, cost)
		}
		if s.part.Ended() || s.best.done() {
			return
		}
	}
	s.open(depth, v)
	s.left[depth], s.left[k] = s.left[k], s.left[depth]
}

// tightest finds the job with the fewest slots whose cost stays below the best; equal ones by
// longer turn, then by the order they stand in. -1: some job has none.
func (s *saturate) tightest(depth int) int {
	pick, fewest := -1, 1<<30
	var turn, asked int64
	opens := false // a new slot of asked still pays
	for k := depth; k < len(s.left); k++ {
		v := s.left[k]
		us := s.g.Us[v]
		if us != asked {
			asked, opens = us, s.cost(-1, us) < s.best.cost
		}
		choices := 0
		if opens {
			choices = 1
		}
		for c, p := range s.price {
			if s.size[c] < s.g.AtOnce && !s.taken[c].Has(v) && (p >= us || s.cost(c, us) < s.best.cost) {
				choices++
			}
		}
		if choices == 0 {
			return -1
		}
		if choices < fewest || choices == fewest && us > turn {
			pick, fewest, turn = k, choices, us
		}
	}
	return pick
}

func (s *saturate) join(depth, v, c int, cost int64) {
	if s.g.Us[v] > s.price[c] {
		cost = s.cost(c, s.g.Us[v])
	}
	if cost >= s.best.cost || !s.part.Tick() {
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
	cost := s.cost(-1, s.g.Us[v])
	if cost >= s.best.cost || !s.part.Tick() {
		return
	}
	c := len(s.price)
	s.price = append(s.price, s.g.Us[v])
	s.size = append(s.size, 1)
	s.taken = append(s.taken, s.g.Adj[v].Clone())
	s.slotOf[v] = c
	s.place(depth+1, cost)
	s.price, s.size, s.taken = s.price[:c], s.size[:c], s.taken[:c]
}

// cost bounds every completion once slot c (-1: a new one) lasts at least us: longest first, each
// slot is at least as long as now and as its floor.
func (s *saturate) cost(c int, us int64) int64 {
	s.rank = s.rank[:0]
	for k, p := range s.price {
		if k == c {
			p = max(p, us)
		}
		s.insert(p)
	}
	if c < 0 {
		s.insert(us)
	}
	var sum int64
	for j := range max(len(s.rank), len(s.floor)) {
		var a, b int64
		if j < len(s.rank) {
			a = s.rank[j]
		}
		if j < len(s.floor) {
			b = s.floor[j]
		}
		sum += max(a, b)
	}
	return sum
}

func (s *saturate) insert(p int64) {
	k := len(s.rank)
	s.rank = append(s.rank, p)
	for ; k > 0 && s.rank[k-1] < p; k-- {
		s.rank[k] = s.rank[k-1]
	}
	s.rank[k] = p
}

func (s *saturate) groups() [][]int {
	gs := make([][]int, len(s.price))
	for v, c := range s.slotOf {
		gs[c] = append(gs[c], v)
	}
	return gs
}
