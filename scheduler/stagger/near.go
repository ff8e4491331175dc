package stagger

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// near looks for shorter cycles close to the best timetable (large neighbourhood search: Shaw, 1998): some blocks are
// let go, and what meets between all others stays in its order, though not at its time. What the engine learns
// meanwhile holds for all timetables. The choice of blocks comes from a fixed start.
type near struct {
	chance *rand.Rand
	loose  int  // blocks let go
	in     int  // tries in a row that were searched to their end
	vain   bool // the last time nothing was found
}

const (
	looseFirst = 6
	looseLeast = 4
	nearWork   = 300 // conflicts a try may take
	nearTries  = 10  // that it is charged at least
	vainPart   = 8
)

func newNear() *near {
	return &near{chance: rand.New(rand.NewPCG(1, 1)), loose: looseFirst}
}

// closer looks near the best timetable for so many conflicts, for a part of them once that is in vain.
func (s *solver) closer(e *engine, conflicts int64) {
	if s.near == nil {
		s.near = newNear()
	}
	n := s.near
	was := s.best.period
	if n.vain {
		conflicts /= vainPart
	}
	defer func() {
		n.vain = s.best.period == was
		e.kept = nil
		e.follow(s.best)
	}()
	for conflicts > 0 && !s.done() && !e.full && s.meter.Look() {
		before := e.conflicts
		n.let(e, s.m, s.best)
		switch s.search(e, nearWork) {
		case found:
			s.offer(e.found)
			e.narrow(s.floor, s.best.period-1)
		case closed:
			if n.in++; n.in > len(s.m.blocks) {
				n.loose, n.in = min(n.loose+1, len(s.m.blocks)), 0
			}
		case nothing:
			s.lift(s.best.period)
			s.searched = true
			return
		case stopped:
			n.loose, n.in = max(n.loose-1, looseLeast), 0
		}
		conflicts -= max(e.conflicts-before, nearTries)
	}
}

// let chooses the blocks to let go, in one stretch of the cycle, in two, or anywhere, and has the engine keep the
// rest, those that fire close to each other first: most of the others follow from them.
func (n *near) let(e *engine, m *model, best least) {
	e.follow(best)
	order := make([]int, len(m.blocks))
	for b := range order {
		order[b] = b
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(best.at[a], best.at[b]) })
	loose := make([]bool, m.n)
	stretch := func(blocks int) {
		first := n.chance.IntN(len(order))
		for k := range blocks {
			loose[order[(first+k)%len(order)]] = true
		}
	}
	switch n.chance.IntN(3) {
	case 0:
		stretch(n.loose)
	case 1:
		stretch(n.loose / 2)
		stretch(n.loose / 2)
	default:
		for range n.loose {
			stretch(1)
		}
	}
	e.kept = e.kept[:0]
	for v := range int32(len(e.level)) {
		if ed := e.edges[2*v]; e.value[2*v] == 0 && !loose[ed.u] && !loose[ed.v] {
			l := 2 * v
			if !e.phase[v] {
				l++
			}
			e.kept = append(e.kept, l)
		}
	}
	apart := func(l int32) int64 {
		us := best.at[e.edges[l].u] - best.at[e.edges[l].v]
		return max(us, -us)
	}
	slices.SortStableFunc(e.kept, func(a, b int32) int { return cmp.Compare(apart(a), apart(b)) })
}
