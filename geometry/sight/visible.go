package sight

import (
	"slices"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// Visible reports whether the straight line from eye to p runs through the inside of no obstacle. Grazing an
// outline does not hide. It looks at every edge of every obstacle: plain and slow, it judges Shadow.
func Visible(eye r2.Point, obstacles [][]r2.Point, p r2.Point) bool {
	for _, ring := range obstacles {
		if blocks(ring, eye, p) {
			return false
		}
	}
	return true
}

// blocks cuts the line of sight where it meets the ring and looks whether any piece's middle is inside.
func blocks(ring []r2.Point, eye, p r2.Point) bool {
	u := p.Sub(eye)
	cuts := []float64{0, 1}
	for i, a := range ring {
		v := ring[(i+1)%len(ring)].Sub(a)
		det := predicate.Cross(u, v)
		if det == 0 {
			continue // parallel: its neighbours make the cuts
		}
		t := predicate.Cross(a.Sub(eye), v) / det
		s := predicate.Cross(a.Sub(eye), u) / det
		if t > 0 && t < 1 && s >= -1e-12 && s <= 1+1e-12 {
			cuts = append(cuts, t)
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		m := predicate.Move(eye, u, (cuts[i-1]+cuts[i])/2)
		if strictlyInside(ring, m) {
			return true
		}
	}
	return false
}

// strictlyInside is the even-odd rule with the outline itself, OnOutline thick, counted as outside.
func strictlyInside(ring []r2.Point, p r2.Point) bool {
	inside := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if a != b && distanceToSegment(a, b, p) <= OnOutline {
			return false
		}
		if (a.Y > p.Y) != (b.Y > p.Y) && (predicate.Orient(a, b, p) > 0) == (b.Y > a.Y) {
			inside = !inside
		}
	}
	return inside
}
