package view

import (
	"math"

	"echowright/planner/editor/canvas"
)

// spill is how far outside the area shapes are set down before they are cut, in points: a border made by the cut lies
// out of sight, and no coordinate is large enough to be rounded by whoever paints.
const spill = 64

// finer is how near, in points, neighbouring places of a line become one.
const finer = 0.35

// store hands out room for points, many at a time and ever more.
type store struct {
	free []canvas.Point
	made int
}

// take is room for n points, without any yet.
func (s *store) take(n int) []canvas.Point {
	if n > len(s.free) {
		s.free = make([]canvas.Point, max(n, min(max(s.made, 128), 2048)))
		s.made += len(s.free)
	}
	room := s.free[:0:n]
	s.free = s.free[n:]
	return room
}

// box is the least rectangle round points; lo beyond hi where there are none.
type box struct{ lo, hi canvas.Point }

func emptyBox() box {
	return box{canvas.Point{math.Inf(1), math.Inf(1)}, canvas.Point{math.Inf(-1), math.Inf(-1)}}
}

func (b *box) add(p canvas.Point) {
	b.lo[0], b.lo[1] = min(b.lo[0], p[0]), min(b.lo[1], p[1])
	b.hi[0], b.hi[1] = max(b.hi[0], p[0]), max(b.hi[1], p[1])
}

func (b box) within(r canvas.Rect) bool {
	return b.lo[0] >= r.X && b.lo[1] >= r.Y && b.hi[0] <= r.X+r.W && b.hi[1] <= r.Y+r.H
}

func (b box) misses(r canvas.Rect) bool {
	return !(b.hi[0] >= r.X && b.lo[0] <= r.X+r.W && b.hi[1] >= r.Y && b.lo[1] <= r.Y+r.H)
}

func finite(p canvas.Point) bool {
	return !math.IsNaN(p[0]) && !math.IsNaN(p[1]) && !math.IsInf(p[0], 0) && !math.IsInf(p[1], 0)
}

// cutRing cuts a ring to a rectangle, side by side (Sutherland and Hodgman 1974, from memory). Where a hollow ring
// falls apart the pieces stay joined along the rectangle's border.
func cutRing(ring []canvas.Point, r canvas.Rect) []canvas.Point {
	for side := range 4 {
		k, at, sign := side/2, [4]float64{r.X, r.X + r.W, r.Y, r.Y + r.H}[side], 1.0
		if side%2 == 1 {
			sign = -1
		}
		out := make([]canvas.Point, 0, len(ring)+4)
		for i, b := range ring {
			a := ring[(i+len(ring)-1)%len(ring)]
			da, db := sign*(a[k]-at), sign*(b[k]-at)
			if da < 0 != (db < 0) {
				u := da / (da - db)
				c := canvas.Point{a[0] + u*(b[0]-a[0]), a[1] + u*(b[1]-a[1])}
				c[k] = at
				out = append(out, c)
			}
			if db >= 0 {
				out = append(out, b)
			}
		}
		ring = out
	}
	return ring
}

// cutLine cuts a line to a rectangle: the pieces of it inside (Liang and Barsky 1984, from memory).
func cutLine(pts []canvas.Point, r canvas.Rect) (pieces [][]canvas.Point) {
	var piece []canvas.Point
	end := func() {
		if len(piece) > 1 {
			pieces = append(pieces, piece)
		}
		piece = nil
	}
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		u, v, ok := inside(a, b, r)
		if !ok {
			end()
			continue
		}
		at := func(t float64) canvas.Point { return canvas.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])} }
		if piece == nil {
			piece = append(piece, at(u))
		}
		if v < 1 {
			piece = append(piece, at(v))
			end()
			continue
		}
		piece = append(piece, b)
	}
	end()
	return pieces
}

// inside is the stretch, as shares of the way from a to b, that lies in a rectangle.
func inside(a, b canvas.Point, r canvas.Rect) (u, v float64, ok bool) {
	u, v = 0, 1
	lo, hi := canvas.Point{r.X, r.Y}, canvas.Point{r.X + r.W, r.Y + r.H}
	for k := range 2 {
		d := b[k] - a[k]
		if d == 0 {
			if a[k] < lo[k] || a[k] > hi[k] {
				return 0, 0, false
			}
			continue
		}
		s, t := (lo[k]-a[k])/d, (hi[k]-a[k])/d
		u, v = max(u, min(s, t)), min(v, max(s, t))
	}
	return u, v, u < v
}
