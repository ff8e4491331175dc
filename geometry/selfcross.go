package geometry

import (
	"slices"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// SelfCrossing looks for a place where edges that are not neighbours meet (cross, touch or overlap) or where
// neighbours run back over each other; a point repeated at once is no fault. It returns the first such place
// found from least x onwards. Exact; n log n by a sweep over the corners (Shamos and Hoey, "Geometric
// intersection problems", FOCS 1976).
func SelfCrossing(r Ring) (at r2.Point, bad bool) {
	r = withoutRepeats(r)
	if len(r) < 3 {
		return r2.Point{}, false
	}
	order := make([]int, len(r))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return comparePoints(r[i], r[j]) })
	for k := 1; k < len(order); k++ {
		if r[order[k]] == r[order[k-1]] {
			return r[order[k]], true
		}
	}
	s := &ringSweep{ring: r, status: newStatus(r)}
	for _, v := range order {
		if at, bad := s.visit(v); bad {
			return at, true
		}
	}
	return r2.Point{}, false
}

// ringSweep holds the edges that the sweep line cuts, in order. Edge i runs from corner i to the next. Until the first
// fault the order of two edges never changes, so it is enough to look at each pair when it becomes adjacent.
type ringSweep struct {
	ring   Ring
	status *status
}

// visit takes the sweep past corner v.
//
//	start: ─v═   pass: ═v═   end: ═v─
func (s *ringSweep) visit(v int) (at r2.Point, bad bool) {
	before, after := prev(s.ring, v), v
	startsBefore := predicate.Less(s.ring[v], s.ring[before])
	startsAfter := predicate.Less(s.ring[v], s.ring[next(s.ring, v)])
	switch {
	case startsBefore && startsAfter:
		return s.begin(v, before, after)
	case startsAfter:
		return s.pass(before, after)
	case startsBefore:
		return s.pass(after, before)
	}
	return s.finish(before, after)
}

// begin puts both edges of v into the order.
func (s *ringSweep) begin(v, before, after int) (r2.Point, bool) {
	turn := predicate.Orient(s.ring[v], s.ring[next(s.ring, after)], s.ring[before])
	if turn == 0 {
		return s.ring[v], true // both run the same way: one lies over the other
	}
	low, high := after, before
	if turn < 0 {
		low, high = before, after
	}
	below, on := s.status.place(s.ring[v])
	if on {
		return s.ring[v], true
	}
	s.status.insertAfter(below, low)
	s.status.insertAfter(low, high)
	if at, bad := s.check(below, low); bad {
		return at, true
	}
	return s.check(high, s.status.above[high])
}

// pass replaces an edge that ends by the one that starts at the same corner.
func (s *ringSweep) pass(ends, starts int) (r2.Point, bool) {
	s.status.replace(ends, starts)
	if at, bad := s.check(s.status.below[starts], starts); bad {
		return at, true
	}
	return s.check(starts, s.status.above[starts])
}

// finish takes both edges of a corner out; those left on either side become neighbours.
func (s *ringSweep) finish(e, f int) (r2.Point, bool) {
	if s.status.above[e] != f {
		e, f = f, e
	}
	if s.status.above[e] != f {
		// Something lies between two edges that meet here: it passes through the corner.
		return s.ring[sharedCorner(s.ring, e, f)], true
	}
	below, above := s.status.below[e], s.status.above[f]
	s.status.remove(e)
	s.status.remove(f)
	return s.check(below, above)
}

// sharedCorner is the corner that neighbouring edges e and f have in common.
func sharedCorner(r Ring, e, f int) int {
	if next(r, e) == f {
		return f
	}
	return e
}

// check looks whether edges e and f, either of which may be none, meet where they must not.
func (s *ringSweep) check(e, f int) (r2.Point, bool) {
	if e == none || f == none {
		return r2.Point{}, false
	}
	a, b := s.ring[e], s.ring[next(s.ring, e)]
	c, d := s.ring[f], s.ring[next(s.ring, f)]
	if next(s.ring, e) == f || next(s.ring, f) == e {
		return s.foldedNeighbours(e, f)
	}
	if !predicate.Meets(a, b, c, d) {
		return r2.Point{}, false
	}
	return meetingPoint(a, b, c, d), true
}

// foldedNeighbours looks whether neighbours share more than their corner.
func (s *ringSweep) foldedNeighbours(e, f int) (r2.Point, bool) {
	v := sharedCorner(s.ring, e, f)
	p, q := s.ring[prev(s.ring, v)], s.ring[next(s.ring, v)]
	if predicate.Orient(p, s.ring[v], q) != 0 {
		return r2.Point{}, false
	}
	if predicate.Less(p, s.ring[v]) != predicate.Less(s.ring[v], q) {
		return s.ring[v], true
	}
	return r2.Point{}, false
}
