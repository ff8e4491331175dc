package slots

import (
	"encoding/binary"
	"slices"

	"echowright/scheduler/bound"
)

// pick is the branch and bound over whole slots. The longest job left fixes what its slot costs;
// every slot worth trying around it is tried:
//
//	f(left) = min over slots I in left with v in I of turn(v) + f(left − I),  v the longest in left
//
// Worth trying is a slot that is full or takes no further job left, and in which no job could be
// exchanged for one left that is no shorter and has all its conflicts: exchanging or adding never
// costs more. What f(left) is known to be at least is remembered, up to a number of entries.
// Vertices are numbered from the longest turn to the shortest.
type pick struct {
	g       *bound.Graph // renumbered
	order   []int        // its vertex in the caller's graph
	share   int          // most members of any slot
	cliques []bound.Set  // each adds up to a bound on what is left
	above   [][]int      // above[y]: jobs that y's place in a slot is better given to
	roomy   bool         // no slot can ever be full
	none    bound.Set
	free    []bound.Set
	part    *bound.Part
	best    *incumbent
	goal    int64
	known   map[string]int64
	key     []byte
	slots   [][]int
	frames  []*frame
}

// frame is the scratch space of one depth.
type frame struct {
	left, rest bound.Set
	chosen     []int
	need       int     // least size of a slot that can still pay
	cost       int64   // with this slot's turn
	cheapest   []int64 // scratch of need
}

const maxKnown = 1 << 20

func newPick(g *bound.Graph, share int, levels []bound.Level, best *incumbent) *pick {
	order := g.ByTurn()
	at := make([]int, g.N())
	for k, v := range order {
		at[v] = k
	}
	s := &pick{g: g.Sub(order), order: order, share: min(share, g.AtOnce), best: best,
		known: map[string]int64{}, none: bound.NewSet(g.N())}
	s.above = exchanges(s.g)
	s.roomy = share < g.AtOnce || g.AtOnce >= g.N()
	for _, l := range levels {
		if l.Share == 1 {
			c := bound.NewSet(g.N())
			for _, v := range l.Jobs {
				c.Add(at[v])
			}
			s.cliques = append(s.cliques, c)
		}
	}
	return s
}

// deepen raises the floor of the best step by step: it looks for groupings that cost less than a
// goal a little above the floor, and where there is none, the goal is the new floor. True when the
// best is proven, false when the part ended first. What is known stays for the next call.
func (s *pick) deepen(part *bound.Part) bool {
	for !s.best.done() {
		step := (s.best.cost - s.best.floor) / 4
		s.below(s.best.floor+max(step-step%s.best.unit, s.best.unit), part)
		if part.Ended() {
			break
		}
		s.best.raise(s.limit())
	}
	return s.best.done()
}

// run looks for all groupings that cost less than the best; true when there are no more.
func (s *pick) run(part *bound.Part) bool {
	s.below(s.best.cost, part)
	return !part.Ended()
}

// below searches for groupings that cost less than goal.
func (s *pick) below(goal int64, part *bound.Part) {
	s.goal, s.part = goal, part
	s.slots = s.slots[:0]
	s.fill(0, bound.Full(s.g.N()), 0)
}

// limit is what a grouping must cost less than to be of interest.
func (s *pick) limit() int64 { return min(s.best.cost, s.goal) }

func (s *pick) over() bool { return s.part.Ended() || s.best.done() }

// fill covers left with slots, those before costing cost.
func (s *pick) fill(depth int, left bound.Set, cost int64) {
	if left.Empty() {
		s.offer()
		return
	}
	if !s.part.Tick() {
		return
	}
	f := s.frame(depth)
	copy(f.left, left)
	if cost+s.atLeast(left) >= s.limit() {
		return
	}
	s.key = s.key[:0]
	for _, w := range left {
		s.key = binary.LittleEndian.AppendUint64(s.key, w)
	}
	if low, ok := s.known[string(s.key)]; ok && cost+low >= s.limit() {
		return
	}
	key := string(s.key)
	v := s.lead(left)
	f.cost = cost + s.g.Us[v]
	f.need = s.need(f)
	f.chosen = append(f.chosen[:0], v)
	if f.need <= s.share {
		cand, out := s.set(), s.set()
		cand.Less(f.left, s.g.Adj[v])
		cand.Drop(v)
		copy(out, s.none)
		s.grow(depth, f, cand, out)
		s.free = append(s.free, cand, out)
	}
	if _, ok := s.known[key]; !s.over() && (ok || len(s.known) < maxKnown) {
		s.known[key] = s.limit() - cost
	}
}

func (s *pick) frame(depth int) *frame {
	if depth == len(s.frames) {
		n := s.g.N()
		s.frames = append(s.frames, &frame{left: bound.NewSet(n), rest: bound.NewSet(n)})
	}
	return s.frames[depth]
}

// lead is the longest job left; of equal ones that with most conflicts left, as it has the
// fewest slots to try.
func (s *pick) lead(left bound.Set) int {
	v := left.First()
	most := s.g.Adj[v].Common(left)
	for u := left.Next(v + 1); u >= 0 && s.g.Us[u] == s.g.Us[v]; u = left.Next(u + 1) {
		if d := s.g.Adj[u].Common(left); d > most {
			v, most = u, d
		}
	}
	return v
}

// atLeast bounds f(left): every share-th job opens a slot, and a clique's turns add up.
func (s *pick) atLeast(left bound.Set) int64 {
	var least int64
	k := 0
	for v := left.First(); v >= 0; v = left.Next(v + 1) {
		if k%s.share == 0 {
			least += s.g.Us[v]
		}
		k++
	}
	for _, c := range s.cliques {
		var sum int64
		for k, w := range c {
			for u := (bound.Set{w & left[k]}); u[0] != 0; {
				v := u.First()
				u.Drop(v)
				sum += s.g.Us[v+k<<6]
			}
		}
		least = max(least, sum)
	}
	return least
}

// need is the least number of jobs the next slot must take so that those left, were they the
// shortest ones, could still be covered for less than the best.
func (s *pick) need(f *frame) int {
	f.cheapest = append(f.cheapest[:0], 0)
	vs := f.left.Members()
	slices.Reverse(vs)
	for m, v := range vs {
		c := s.g.Us[v]
		if k := m + 1 - s.share; k > 0 {
			c += f.cheapest[k]
		}
		f.cheapest = append(f.cheapest, c)
	}
	size := 1
	for size <= s.share && size <= len(vs) && f.cost+f.cheapest[len(vs)-size] >= s.limit() {
		size++
	}
	return size
}

// grow adds jobs to the slot of this depth in every way, the longest candidate in or out. Those
// left out that would still fit are in out: a slot with room must not end while one of them fits.
func (s *pick) grow(depth int, f *frame, cand, out bound.Set) {
	size := len(f.chosen)
	if s.hopeless(f, cand, out) {
		return
	}
	v := cand.First()
	if v < 0 || size == s.share {
		s.close(depth, f, out)
		return
	}
	if !s.part.Tick() {
		return
	}
	sub, still := s.set(), s.set()
	sub.Less(cand, s.g.Adj[v])
	sub.Drop(v)
	still.Less(out, s.g.Adj[v])
	f.chosen = append(f.chosen, v)
	s.grow(depth, f, sub, still)
	f.chosen = f.chosen[:size]
	if !s.roomy || s.g.Adj[v].Meets(cand) {
		copy(sub, cand)
		sub.Drop(v)
		copy(still, out)
		still.Add(v)
		s.grow(depth, f, sub, still)
	}
	s.free = append(s.free, sub, still)
}

// hopeless tells whether no slot made of the chosen jobs and the candidates is worth trying.
func (s *pick) hopeless(f *frame, cand, out bound.Set) bool {
	if s.over() || f.cost >= s.limit() {
		return true
	}
	short := f.need - len(f.chosen)
	if cand.Len() < short || short >= 2 && !s.holds(cand, short) {
		return true
	}
	if s.roomy {
		for u := out.First(); u >= 0; u = out.Next(u + 1) {
			if !s.g.Adj[u].Meets(cand) {
				return true
			}
		}
	}
	f.rest.Less(f.left, cand)
	for _, v := range f.chosen {
		f.rest.Drop(v)
	}
	return f.cost+s.atLeast(f.rest) >= s.limit()
}

// holds tells whether cand may hold count jobs without conflicts: it does not when fewer cliques
// cover it.
func (s *pick) holds(cand bound.Set, count int) bool {
	left, near := s.set(), s.set()
	defer func() { s.free = append(s.free, left, near) }()
	copy(left, cand)
	for ; count > 0; count-- {
		v := left.First()
		if v < 0 {
			return false
		}
		left.Drop(v)
		near.And(left, s.g.Adj[v])
		for u := near.First(); u >= 0; u = near.Next(u + 1) {
			left.Drop(u)
			near.And(near, s.g.Adj[u])
		}
	}
	return true
}

// close takes the chosen jobs as a slot, unless one could be added or exchanged for the better.
func (s *pick) close(depth int, f *frame, out bound.Set) {
	if len(f.chosen) < s.g.AtOnce && !out.Empty() {
		return
	}
	f.rest.Less(f.left, s.none)
	for _, v := range f.chosen {
		f.rest.Drop(v)
	}
	for _, y := range f.chosen[1:] {
		for _, x := range s.above[y] {
			if f.rest.Has(x) && !slices.ContainsFunc(f.chosen, s.g.Adj[x].Has) {
				return
			}
		}
	}
	s.slots = append(s.slots, f.chosen)
	s.fill(depth+1, f.rest, f.cost)
	s.slots = s.slots[:len(s.slots)-1]
}

// set hands out a scratch set; its content is undefined.
func (s *pick) set() bound.Set {
	if k := len(s.free); k > 0 {
		t := s.free[k-1]
		s.free = s.free[:k-1]
		return t
	}
	return bound.NewSet(s.g.N())
}

// exchanges lists, for every job, those before it in order that have all its conflicts.
func exchanges(g *bound.Graph) [][]int {
	above := make([][]int, g.N())
	for y := range above {
		for x := range y {
			if !g.Adj[x].Has(y) && g.Adj[y].Inside(g.Adj[x]) {
				above[y] = append(above[y], x)
			}
		}
	}
	return above
}

func (s *pick) offer() {
	gs := make([][]int, len(s.slots))
	for k, sl := range s.slots {
		for _, v := range sl {
			gs[k] = append(gs[k], s.order[v])
		}
	}
	s.best.offer(gs)
}
