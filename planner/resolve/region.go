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

// bounds returns the box round a ring.
func bounds(r []r2.Point) r2.Rect { return r2.RectFromPoints(r...) }

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
func sideBox(o *geometry.Outline, outline []r2.Point, side geometry.Side, pastM, farM float64) r2.Rect {
	from, to := o.Side(side)
	a, _ := o.At(from)
	b, _ := o.At(to)
	box := bounds(outline)
	switch side {
	case geometry.Front:
		box.X = r1.Interval{Lo: math.Min(a.X, b.X), Hi: box.X.Hi + farM}
		box.Y = box.Y.Expanded(pastM)
	case geometry.Rear:
		box.X = r1.Interval{Lo: box.X.Lo - farM, Hi: math.Max(a.X, b.X)}
		box.Y = box.Y.Expanded(pastM)
	case geometry.Left:
		box.Y = r1.Interval{Lo: math.Min(a.Y, b.Y), Hi: box.Y.Hi + farM}
		box.X = box.X.Expanded(pastM)
	case geometry.Right:
		box.Y = r1.Interval{Lo: box.Y.Lo - farM, Hi: math.Max(a.Y, b.Y)}
		box.X = box.X.Expanded(pastM)
	}
	return box
}

// lane returns the rectangle the body sweeps when it moves straight by reachM: as wide as the body and
// widerM more on either side, from where the body has its full width to reachM beyond its leading end.
func lane(outline []r2.Point, way geometry.Side, reachM, widerM float64) []r2.Point {
	box := bounds(outline)
	switch way {
	case geometry.Front:
		box.X = r1.Interval{Lo: shoulder(outline, r2.Point{X: 1}), Hi: box.X.Hi + reachM}
		box.Y = box.Y.Expanded(widerM)
	case geometry.Rear:
		box.X = r1.Interval{Lo: box.X.Lo - reachM, Hi: -shoulder(outline, r2.Point{X: -1})}
		box.Y = box.Y.Expanded(widerM)
	case geometry.Left:
		box.Y = r1.Interval{Lo: shoulder(outline, r2.Point{Y: 1}), Hi: box.Y.Hi + reachM}
		box.X = box.X.Expanded(widerM)
	case geometry.Right:
		box.Y = r1.Interval{Lo: box.Y.Lo - reachM, Hi: -shoulder(outline, r2.Point{Y: -1})}
		box.X = box.X.Expanded(widerM)
	}
	return boxRing(box)
}

// shoulder returns how far along a way (a unit vector along an axis) the body still has both its full widths.
func shoulder(outline []r2.Point, way r2.Point) float64 {
	along := func(p r2.Point) float64 { return float64(p.X*way.X) + float64(p.Y*way.Y) }
	across := func(p r2.Point) float64 { return float64(p.Y*way.X) - float64(p.X*way.Y) }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range outline {
		lo, hi = math.Min(lo, across(p)), math.Max(hi, across(p))
	}
	atLo, atHi := math.Inf(-1), math.Inf(-1)
	for _, p := range outline {
		if across(p)-lo < placeTol {
			atLo = math.Max(atLo, along(p))
		}
		if hi-across(p) < placeTol {
			atHi = math.Max(atHi, along(p))
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
