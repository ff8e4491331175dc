package region

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// Set is a bounded region of the plane, made of pieces with holes. The zero value is the empty set.
// A Set never changes. Rings are simple and meet one another at single points at most.
type Set struct{ pieces []piece }

// piece is connected inside: an outer ring, counter-clockwise, then holes, clockwise.
type piece [][]point

// FromRings is the set of points around which the given rings (metres, closed, first point not
// repeated) wind a number of times other than zero: overlapping rings of one sense join, a ring of
// the other sense inside cuts a hole. Rings may cross and touch themselves and each other, repeat
// points or have no width. Coordinates are snapped to Grid; those beyond ±Limit are taken to it and
// rings with a coordinate that is not a number are left out.
func FromRings(rings ...[]r2.Point) Set {
	var segs []segment
	var ring []point
	for _, r := range rings {
		ring = snapRing(ring[:0], r)
		segs = appendRing(segs, ring, 0, 1)
	}
	n := node(segs)
	if len(rings) == 1 && len(n.vertices) == len(ring) && len(n.arcs) == len(ring) {
		return simpleRing(ring)
	}
	return byWinding(n, func(w int32) bool { return w != 0 })
}

// snapRing appends the ring's points without immediate repetitions; none if one is not a number.
func snapRing(ring []point, r []r2.Point) []point {
	for _, p := range r {
		if p.X != p.X || p.Y != p.Y {
			return ring[:0]
		}
		if q := snap(p); len(ring) == 0 || q != ring[len(ring)-1] {
			ring = append(ring, q)
		}
	}
	for len(ring) > 1 && ring[0] == ring[len(ring)-1] {
		ring = ring[:len(ring)-1]
	}
	return ring
}

// simpleRing is the set inside a ring that does not meet itself, as most lobes are: it needs no graph.
func simpleRing(ring []point) Set {
	if len(ring) < 3 {
		return Set{}
	}
	if area2(ring).sign() < 0 {
		slices.Reverse(ring)
	}
	return Set{[]piece{{startLeftmost(straightened(ring))}}}
}

// Rings lists all rings in metres, each piece's outer ring (counter-clockwise) followed by its
// holes (clockwise). Every ring starts at its leftmost (then lowest) point and the pieces are
// ordered by it.
func (s Set) Rings() [][]r2.Point {
	var rings [][]r2.Point
	for _, p := range s.pieces {
		for _, r := range p {
			ring := make([]r2.Point, len(r))
			for i, q := range r {
				ring[i] = q.metres()
			}
			rings = append(rings, ring)
		}
	}
	return rings
}

// Pieces are the parts that are connected inside (parts that touch at points are apart), each with
// its outer ring first, ordered by the leftmost point of that.
func (s Set) Pieces() []Set {
	var sets []Set
	for i := range s.pieces {
		sets = append(sets, Set{s.pieces[i : i+1]})
	}
	return sets
}

// IsEmpty tells whether the set has no area.
func (s Set) IsEmpty() bool { return len(s.pieces) == 0 }

// Area is in square metres, exact for the snapped coordinates but for the last digit.
func (s Set) Area() float64 {
	var sum int128
	for _, p := range s.pieces {
		for _, r := range p {
			sum = sum.plus(area2(r))
		}
	}
	return sum.squareMetres()
}

// area2 is twice the signed area in squares of the grid.
func area2(ring []point) int128 {
	var sum int128
	for i, p := range ring {
		q := ring[0]
		if i+1 < len(ring) {
			q = ring[i+1]
		}
		sum = sum.plus(cross(p.x, p.y, q.x, q.y))
	}
	return sum
}

// Bounds is the smallest rectangle around the set, the empty rectangle for the empty set.
func (s Set) Bounds() r2.Rect {
	box := r2.EmptyRect()
	for _, p := range s.pieces {
		for _, q := range p[0] {
			box = box.AddPoint(q.metres())
		}
	}
	return box
}

// Contains tells whether p, snapped to the grid, is in the set or on its boundary.
func (s Set) Contains(p r2.Point) bool {
	if p.X != p.X || p.Y != p.Y || math.Abs(p.X) > Limit || math.Abs(p.Y) > Limit {
		return false
	}
	q := snap(p)
	inside := false
	for _, pc := range s.pieces {
		for _, r := range pc {
			on, odd := crossings(r, q)
			if on {
				return true
			}
			inside = inside != odd
		}
	}
	return inside
}

// crossings tells whether q is on the ring, and whether a ray from it crosses the ring an odd
// number of times.
func crossings(ring []point, q point) (on, odd bool) {
	a := ring[len(ring)-1]
	for _, b := range ring {
		lo, hi := a, b
		if b.less(a) {
			lo, hi = b, a
		}
		a = b
		if q.x < lo.x || q.x > hi.x {
			continue
		}
		side := orient(lo, hi, q)
		if side == 0 && !q.less(lo) && !hi.less(q) {
			return true, false
		}
		if side > 0 && q.x < hi.x {
			odd = !odd
		}
	}
	return false, odd
}

// Centroid is the centre of area in metres; the zero point for the empty set.
func (s Set) Centroid() r2.Point {
	if s.IsEmpty() {
		return r2.Point{}
	}
	// Triangles from a point of the set itself, so that its distance from the origin costs no digits.
	ref := s.pieces[0][0][0]
	var twice, x, y float64
	for _, p := range s.pieces {
		for _, r := range p {
			a := r[len(r)-1]
			for _, b := range r {
				ux, uy, vx, vy := a.x-ref.x, a.y-ref.y, b.x-ref.x, b.y-ref.y
				w := cross(ux, uy, vx, vy).float()
				twice += w
				x += float64(w * float64(ux+vx))
				y += float64(w * float64(uy+vy))
				a = b
			}
		}
	}
	c := ref.metres()
	return r2.Point{X: c.X + x/(3*twice)*Grid, Y: c.Y + y/(3*twice)*Grid}
}
