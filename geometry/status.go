package geometry

import (
	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// none stands for no edge.
const none = -1

// status is the order of a ring's edges along the sweep line, lowest first: a treap whose priorities come from a hash
// of the edge's number (the same every run), threaded by a list of neighbours. Edge i is node i.
type status struct {
	ring                Ring
	root                int
	left, right, parent []int
	below, above        []int // neighbours in the order
	lowest              int
}

func newStatus(r Ring) *status {
	s := &status{ring: r, root: none, lowest: none}
	for _, list := range []*[]int{&s.left, &s.right, &s.parent, &s.below, &s.above} {
		*list = make([]int, len(r))
		for i := range *list {
			(*list)[i] = none
		}
	}
	return s
}

// priority scatters edge numbers (the finaliser of splitmix64).
func priority(e int) uint64 {
	z := uint64(e) + 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// place returns the highest edge below p, and whether an edge holds p.
func (s *status) place(p r2.Point) (below int, on bool) {
	below = none
	for e := s.root; e != none; {
		a, b := s.ring[e], s.ring[next(s.ring, e)]
		if predicate.Less(b, a) {
			a, b = b, a
		}
		switch predicate.Orient(a, b, p) {
		case +1:
			below, e = e, s.right[e]
		case -1:
			e = s.left[e]
		default:
			return e, true
		}
	}
	return below, false
}

// insertAfter puts edge e just above edge at, lowest of all when at is none.
func (s *status) insertAfter(at, e int) {
	above := s.lowest
	if at != none {
		above = s.above[at]
	}
	s.link(at, e)
	s.link(e, above)
	// Between neighbours of the order one has a free place on the inner side.
	switch {
	case at != none && s.right[at] == none:
		s.right[at], s.parent[e] = e, at
	case above != none:
		s.left[above], s.parent[e] = e, above
	default:
		s.root, s.parent[e] = e, none
	}
	for s.parent[e] != none && priority(s.parent[e]) < priority(e) {
		s.rotateUp(e)
	}
}

// link makes f the upper neighbour of e; either may be none.
func (s *status) link(e, f int) {
	if e != none {
		s.above[e] = f
	} else {
		s.lowest = f
	}
	if f != none {
		s.below[f] = e
	}
}

// rotateUp lifts e above its parent, keeping the order.
func (s *status) rotateUp(e int) {
	p := s.parent[e]
	g := s.parent[p]
	if s.left[p] == e {
		s.adopt(p, s.right[e], true)
		s.right[e] = p
	} else {
		s.adopt(p, s.left[e], false)
		s.left[e] = p
	}
	s.parent[p] = e
	s.hang(g, p, e)
}

// adopt makes child the left or right child of p.
func (s *status) adopt(p, child int, left bool) {
	if left {
		s.left[p] = child
	} else {
		s.right[p] = child
	}
	if child != none {
		s.parent[child] = p
	}
}

// hang puts e where old was under g.
func (s *status) hang(g, old, e int) {
	switch {
	case g == none:
		s.root = e
	case s.left[g] == old:
		s.left[g] = e
	default:
		s.right[g] = e
	}
	if e != none {
		s.parent[e] = g
	}
}

// replace puts edge f in the place of e.
func (s *status) replace(e, f int) {
	s.hang(s.parent[e], e, f)
	s.adopt(f, s.left[e], true)
	s.adopt(f, s.right[e], false)
	below, above := s.below[e], s.above[e]
	s.link(below, f)
	s.link(f, above)
	s.forget(e)
}

// remove takes edge e out.
func (s *status) remove(e int) {
	for s.left[e] != none && s.right[e] != none {
		if priority(s.left[e]) > priority(s.right[e]) {
			s.rotateUp(s.left[e])
		} else {
			s.rotateUp(s.right[e])
		}
	}
	child := s.left[e]
	if child == none {
		child = s.right[e]
	}
	s.hang(s.parent[e], e, child)
	s.link(s.below[e], s.above[e])
	s.forget(e)
}

func (s *status) forget(e int) {
	s.left[e], s.right[e], s.parent[e], s.below[e], s.above[e] = none, none, none, none, none
}
