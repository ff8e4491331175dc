package view

import (
	"math"

	"echowright/planner/editor/canvas"
)

// Camera is which part of the world the drawing shows: x forward is to the right, y left is up.
type Camera struct {
	Area   canvas.Rect // of the window
	Centre [2]float64  // place in the middle of the area, m
	Scale  float64     // window points a metre
}

// The nearest and the farthest a camera may be.
const (
	leastScale = 0.5
	mostScale  = 20_000
)

// Fit is the camera that shows the box from lo to hi, in m, as large as the area lets it, with a margin.
func Fit(area canvas.Rect, lo, hi [2]float64) Camera {
	c := Camera{Area: area, Centre: [2]float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}}
	scale := math.Inf(1)
	for k, room := range []float64{area.W, area.H} {
		if side := hi[k] - lo[k]; side > 0 {
			scale = min(scale, 0.9*room/side)
		}
	}
	c.Scale = bounded(scale)
	return c
}

func bounded(scale float64) float64 {
	if math.IsNaN(scale) {
		return leastScale
	}
	return min(max(scale, leastScale), mostScale)
}

// usable reports whether anything can be drawn: there is an area, and no number is beyond what Pan and ZoomAt leave.
func (c Camera) usable() bool {
	return roomy(c.Area) && c.Scale >= leastScale && c.Scale <= mostScale &&
		math.Abs(c.Centre[0]) <= farthest && math.Abs(c.Centre[1]) <= farthest
}

// roomy reports whether a part of the window is of a size that can be.
func roomy(r canvas.Rect) bool {
	const most = 1e5
	return r.W >= 1 && r.H >= 1 && r.W < most && r.H < most && math.Abs(r.X) < most && math.Abs(r.Y) < most
}

// At is where a place of the world is in the window.
func (c Camera) At(m [2]float64) canvas.Point {
	mid := c.Area.Middle()
	return canvas.Point{mid[0] + (m[0]-c.Centre[0])*c.Scale, mid[1] - (m[1]-c.Centre[1])*c.Scale}
}

// World is the place of the world at a point of the window, m.
func (c Camera) World(p canvas.Point) [2]float64 {
	mid := c.Area.Middle()
	return [2]float64{c.Centre[0] + (p[0]-mid[0])/c.Scale, c.Centre[1] - (p[1]-mid[1])/c.Scale}
}

// ZoomAt brings what is at p nearer by a factor; p stays where it is.
func (c Camera) ZoomAt(p canvas.Point, factor float64) Camera {
	fixed := c.World(p)
	c.Scale = bounded(c.Scale * factor)
	moved := c.World(p)
	for k := range fixed {
		c.Centre[k] = within(c.Centre[k] + fixed[k] - moved[k])
	}
	return c
}

// Pan moves what is shown by d points.
func (c Camera) Pan(d canvas.Point) Camera {
	c.Centre = [2]float64{within(c.Centre[0] - d[0]/c.Scale), within(c.Centre[1] + d[1]/c.Scale)}
	return c
}

// farthest is how far from the machine the middle of the drawing may go, m.
const farthest = 1000

func within(m float64) float64 {
	if math.IsNaN(m) {
		return 0
	}
	return min(max(m, -farthest), farthest)
}
