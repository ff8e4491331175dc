package order

import (
	"math/rand/v2"

	"echowright/scheduler/bound"
)

// lots draws which blocks are placed anew; from a fixed start.
type lots struct{ *rand.Rand }

func newLots() *lots { return &lots{rand.New(rand.NewPCG(1, 2))} }

// improve takes blocks out of the best row and puts them back for a shorter cycle, as often as nodes
// allow (large neighbourhood search; Shaw, "Using constraint programming and local search methods to
// solve vehicle routing problems", CP 1998).
func (s *solver) improve(nodes int64) {
	n := len(s.l.Blocks)
	if n > mostBlocks {
		return
	}
	part := s.m.Part(nodes)
	for !s.done() && !part.Ended() {
		se := newSearch(s.l, newApart(s.l, s.floor, s.best.period-1), s.ring, s.levels, s.m, nil)
		if se.p.dead {
			return
		}
		for !se.ok && part.Tick() && s.m.Look() {
			try := s.m.Part(int64(20 + 4*n))
			se.part = try
			se.again(s.rotated(), s.out())
			part.Use(try)
		}
		if !se.ok {
			return
		}
		s.offer(se.found)
	}
}

// shift betters the best row by small moves, where no order is asked for; the threshold starts with the cycle
// divided by part.
func (s *solver) shift(nodes, part int64) {
	if s.done() || len(s.l.Blocks) > mostBlocks || len(s.l.Blocks) < shiftLeast || len(s.l.P.Order) > 0 {
		return
	}
	if s.moves == nil {
		s.moves = newShift(s.l, s.lots)
	}
	alone, _ := s.l.Alone()
	best := timing{period: s.best.period}
	s.moves.load(s.best.groups)
	s.moves.run(nodes, s.best.period/part, s.m.Part(nodes), func(t timing) {
		if t.period = max(t.period, alone); t.period < best.period {
			best = t
		}
	})
	if best.groups == nil {
		return
	}
	s.offer(best)
	if t, ok := timed(s.l, best.groups, s.floor, best.period-1, s.m.Part(firstWork)); ok {
		s.offer(t)
	}
}

// rotated is the best row, begun elsewhere: in a search nothing is put before the first group.
func (s *solver) rotated() [][]int {
	g := s.best.groups
	if len(s.l.P.Order) > 0 {
		return g
	}
	k := s.lots.IntN(len(g))
	return append(append([][]int(nil), g[k:]...), g[:k]...)
}

// out draws blocks to place anew: some at random, or a group or two and some more.
func (s *solver) out() bound.Set {
	n := len(s.l.Blocks)
	out := bound.NewSet(n)
	for range s.lots.IntN(3) {
		for _, v := range s.best.groups[s.lots.IntN(len(s.best.groups))] {
			out.Add(v)
		}
	}
	for range 1 + s.lots.IntN(min(n, 3+n/6)) {
		out.Add(s.lots.IntN(n))
	}
	return out
}
