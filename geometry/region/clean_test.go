package region

import (
	"slices"
	"testing"
)

// mustBeClean holds a set to its promises, by comparing every edge with every other: rings simple,
// outer ones counter-clockwise, holes clockwise and inside their outer ring, no two rings with more
// than single points in common, no useless points, canonical order.
func mustBeClean(t testing.TB, s Set) {
	t.Helper()
	var edges []segment
	for i, p := range s.pieces {
		if i > 0 && slices.CompareFunc(s.pieces[i-1][0], p[0], compare) >= 0 {
			t.Fatal("pieces out of order")
		}
		for k, r := range p {
			mustBeCleanRing(t, r, k > 0)
			if k > 1 && slices.CompareFunc(p[k-1], r, compare) >= 0 {
				t.Fatal("holes out of order")
			}
			if k > 0 && !ringInside(r, p[0]) {
				t.Fatal("hole outside its outer ring", p)
			}
			edges = appendRing(edges, r, 0, 1)
		}
	}
	for i := range edges {
		for k := range i {
			mustNotCross(t, edges[i], edges[k])
		}
	}
}

func mustBeCleanRing(t testing.TB, r []point, hole bool) {
	t.Helper()
	if len(r) < 3 || (area2(r).sign() < 0) != hole || area2(r).sign() == 0 {
		t.Fatal("bad ring", r)
	}
	if slices.MinFunc(r, compare) != r[0] {
		t.Fatal("ring does not start at its leftmost point", r)
	}
	if !allDifferent(r) {
		t.Fatal("ring touches itself", r)
	}
	for i, p := range r {
		if orient(p, r[(i+1)%len(r)], r[(i+2)%len(r)]) == 0 {
			t.Fatal("useless point", r)
		}
	}
}

// ringInside tells whether no corner of the inner ring is outside the outer one.
func ringInside(inner, outer []point) bool {
	for _, p := range inner {
		if on, odd := crossings(outer, p); !on && !odd {
			return false
		}
	}
	return true
}

// mustNotCross: a common point is an end of at least one, and no stretch is common.
func mustNotCross(t testing.TB, e, f segment) {
	t.Helper()
	fa, fb := exactOrient(e.a, e.b, f.a), exactOrient(e.a, e.b, f.b)
	ea, eb := exactOrient(f.a, f.b, e.a), exactOrient(f.a, f.b, e.b)
	if fa*fb < 0 && ea*eb < 0 {
		t.Fatal("edges cross", e, f)
	}
	if fa == 0 && fb == 0 && e.a.less(f.b) && f.a.less(e.b) {
		t.Fatal("edges overlap", e, f)
	}
}

func exactOrient(a, b, c point) int {
	return cross(b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y).sign()
}

func sameSet(a, b Set) bool {
	return slices.EqualFunc(a.pieces, b.pieces, func(p, q piece) bool {
		return slices.EqualFunc(p, q, func(r, s []point) bool { return slices.Equal(r, s) })
	})
}

func allDifferent(ring []point) bool {
	sorted := slices.SortedFunc(slices.Values(ring), compare)
	return len(slices.Compact(sorted)) == len(ring)
}
