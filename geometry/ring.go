// Package geometry holds planar shapes: closed rings, outlines measured by arc length, offsets, path data
// and largest inscribed discs.
//
// In go points of golang/geo's r2 in metres (x forward, y left; counter-clockwise is positive), out come
// plain values of the same kind. Nothing here knows of sensors, files or drawing. Decisions go through
// exact predicates; sums that are printed round each product by itself, so that the same input gives the
// same digits on every machine.
//
//	coverage, crosstalk, resolve ─► geometry ─► geometry/region ─► geometry/predicate
package geometry

import (
	"math"
	"slices"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// Ring is a closed curve of straight edges, metres; the first point is not repeated at the end.
// Fewer than three points enclose nothing.
type Ring = []r2.Point

// Area returns the signed area in m² by the shoelace sum: positive for a counter-clockwise ring. Points are
// taken relative to the first, so that a ring far from the origin loses no digits.
func Area(r Ring) float64 {
	if len(r) < 3 {
		return 0
	}
	o, sum := r[0], 0.0
	for i := 1; i+1 < len(r); i++ {
		sum += predicate.Cross(r[i].Sub(o), r[i+1].Sub(o))
	}
	return sum / 2
}

// Perimeter returns the length of the closed curve, m.
func Perimeter(r Ring) float64 {
	sum := 0.0
	for i := range r {
		sum += r[next(r, i)].Sub(r[i]).Norm()
	}
	return sum
}

// Reverse returns the ring run through the other way, starting at the same point.
func Reverse(r Ring) Ring {
	if len(r) == 0 {
		return nil
	}
	out := slices.Clone(r)
	slices.Reverse(out[1:])
	return out
}

// Contains reports whether p lies in the ring by the even-odd rule; the curve itself counts as in. Exact.
func Contains(r Ring, p r2.Point) bool {
	inside := false
	for i, a := range r {
		b := r[next(r, i)]
		if predicate.OnSegment(a, b, p) {
			return true
		}
		if crossesRightOf(a, b, p) {
			inside = !inside
		}
	}
	return inside
}

// crossesRightOf reports whether edge ab crosses the ray from p towards +x. Half-open in y, so that a vertex
// on the ray is counted once.
func crossesRightOf(a, b, p r2.Point) bool {
	if (a.Y > p.Y) == (b.Y > p.Y) {
		return false
	}
	if b.Y < a.Y {
		a, b = b, a
	}
	return predicate.Orient(a, b, p) > 0
}

// Distance returns the distance from p to the curve, m; +Inf for an empty ring.
func Distance(r Ring, p r2.Point) float64 {
	best := math.Inf(1)
	for i, a := range r {
		q := nearestOnSegment(a, r[next(r, i)], p)
		best = min(best, p.Sub(q).Norm())
	}
	return best
}

// nearestOnSegment returns the point of the closed segment ab nearest to p.
func nearestOnSegment(a, b, p r2.Point) r2.Point {
	u := b.Sub(a)
	along, length2 := predicate.Dot(p.Sub(a), u), predicate.Dot(u, u)
	if along <= 0 || length2 == 0 {
		return a
	}
	if along >= length2 {
		return b
	}
	return predicate.Move(a, u, along/length2)
}

// ConvexHull returns the corners of the convex hull, counter-clockwise from the point of least x (then least
// y), without points inside its edges (monotone chain, exact turns).
func ConvexHull(points []r2.Point) Ring {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, comparePoints)
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	lower := halfHull(sorted)
	slices.Reverse(sorted)
	upper := halfHull(sorted)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

func halfHull(sorted []r2.Point) Ring {
	var h Ring
	for _, p := range sorted {
		for len(h) >= 2 && predicate.Orient(h[len(h)-2], h[len(h)-1], p) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, p)
	}
	return h
}

func comparePoints(a, b r2.Point) int {
	switch {
	case predicate.Less(a, b):
		return -1
	case predicate.Less(b, a):
		return 1
	}
	return 0
}

func next(r Ring, i int) int {
	if i+1 == len(r) {
		return 0
	}
	return i + 1
}

func prev(r Ring, i int) int {
	if i == 0 {
		return len(r) - 1
	}
	return i - 1
}
