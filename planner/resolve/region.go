package resolve

import (
	"math"
	"slices"

	"echowright/geometry"
	"echowright/geometry/region"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
)

// counterClockwise returns the ring turned so that its area is positive.
func counterClockwise(r []r2.Point) []r2.Point {
	if geometry.Area(r) < 0 {
		return geometry.Reverse(r)
	}
	return r
}

// boxRing returns the corners of a box counter-clockwise.
func boxRing(b r2.Rect) []r2.Point {
	v := b.Vertices()
	return v[:]
}

// band returns the places between two distances from the outline.
func band(outline []r2.Point, near, far float64) region.Set {
	inner := region.FromRings(outline)
	if near > 0 {
		inner = region.FromRings(geometry.Offset(outline, near, errM)...)
	}
	return region.Difference(region.FromRings(geometry.Offset(outline, far, errM)...), inner)
}

// sideBox returns the box a band along one side is cut to: as wide as the body there and pastM further
// at both ends, reaching away from the body to farM, and back only as far as the side bends round its corners.
//
//	         body
//	  ┌───────────────┐
//	  ╰───────────────╯  ← the box begins where the rear side ends
//	┌───────────────────┐
//	│       band        │ farM
//	└───────────────────┘
//	↔ pastM            ↔
func sideBox(o *geometry.Outline, outline []r2.Point, side geometry.Side, pastM, farM float64) []r2.Point {
	from, to := o.Side(side)
	a, _ := o.At(from)
	b, _ := o.At(to)
	f := frameOf(side)
	return f.box(outline, math.Min(f.in(a).X, f.in(b).X), farM, pastM)
}

// lane returns the rectangle the body sweeps when it moves straight by reachM: as wide as the body and
// widerM more on either side, from where the body has its full width to reachM beyond its leading end.
func lane(outline []r2.Point, way geometry.Side, reachM, widerM float64) []r2.Point {
	f := frameOf(way)
	return f.box(outline, f.shoulder(outline), reachM, widerM)
}

// frame has its X along one of the four ways of the body and its Y to the left of that: the way as a unit
// vector along an axis, so that turning into it and back rounds nothing.
type frame r2.Point

func frameOf(side geometry.Side) frame {
	return map[geometry.Side]frame{geometry.Front: {X: 1}, geometry.Left: {Y: 1}, geometry.Rear: {X: -1}, geometry.Right: {Y: -1}}[side]
}

func (f frame) in(p r2.Point) r2.Point {
	return r2.Point{X: float64(p.X*f.X) + float64(p.Y*f.Y), Y: float64(p.Y*f.X) - float64(p.X*f.Y)}
}

func (f frame) out(p r2.Point) r2.Point {
	return r2.Point{X: float64(p.X*f.X) - float64(p.Y*f.Y), Y: float64(p.X*f.Y) + float64(p.Y*f.X)}
}

// bounds returns the box round a ring in the frame.
func (f frame) bounds(ring []r2.Point) r2.Rect {
	box := r2.EmptyRect()
	for _, p := range ring {
		box = box.AddPoint(f.in(p))
	}
	return box
}

// box returns the corners of the box that begins at from and ends farM ahead of the body, as wide as the body
// and widerM more on either side.
func (f frame) box(body []r2.Point, from, farM, widerM float64) []r2.Point {
	box := f.bounds(body)
	box.X = r1.Interval{Lo: from, Hi: box.X.Hi + farM}
	box.Y = box.Y.Expanded(widerM)
	return boxRing(r2.RectFromPoints(f.out(box.Lo()), f.out(box.Hi())))
}

// shoulder returns how far ahead the body still has both its full widths.
func (f frame) shoulder(body []r2.Point) float64 {
	wide := f.bounds(body).Y
	atLo, atHi := math.Inf(-1), math.Inf(-1)
	for _, p := range body {
		q := f.in(p)
		if q.Y-wide.Lo < placeTol {
			atLo = math.Max(atLo, q.X)
		}
		if wide.Hi-q.Y < placeTol {
			atHi = math.Max(atHi, q.X)
		}
	}
	return math.Min(atLo, atHi)
}

// sector returns the part of an annulus round c between two bearings, from lo counter-clockwise to hi.
func sector(c r2.Point, nearM, farM, lo, hi float64) [][]r2.Point {
	if hi-lo >= 2*math.Pi-wholeTurnTol {
		rings := [][]r2.Point{geometry.Circle(c, farM, errM)}
		if nearM > 0 {
			rings = append(rings, geometry.Reverse(geometry.Circle(c, nearM, errM)))
		}
		return rings
	}
	ring := arc(c, farM, lo, hi)
	if nearM > 0 {
		back := arc(c, nearM, lo, hi)
		slices.Reverse(back)
		return [][]r2.Point{append(ring, back...)}
	}
	return [][]r2.Point{append(ring, c)}
}

// wholeTurnTol lets 0..360 deg, rounded to radians, count as a whole turn.
const wholeTurnTol = 1e-9

// arc returns points on a circle from one bearing to another, chords within errM of it.
func arc(c r2.Point, radius, lo, hi float64) []r2.Point {
	step := 2 * math.Acos(1-math.Min(errM/radius, 1))
	n := max(int(math.Ceil((hi-lo)/step))+1, 2)
	out := make([]r2.Point, 0, n)
	for _, a := range spreadOver(lo, hi, n) {
		sin, cos := math.Sincos(a)
		out = append(out, r2.Point{X: c.X + float64(radius*cos), Y: c.Y + float64(radius*sin)})
	}
	return out
}
