package view

import (
	"math"
	"testing"

	"echowright/planner/editor/canvas"
)

var area = canvas.Rect{X: 100, Y: 50, W: 800, H: 600}

func near(a, b [2]float64, tol float64) bool {
	return math.Hypot(a[0]-b[0], a[1]-b[1]) <= tol
}

// By hand: 100 points a metre, the origin in the middle of the area (500, 350).
func TestCameraByHand(t *testing.T) {
	c := Camera{Area: area, Scale: 100}
	if got := c.At([2]float64{1, 2}); !near(got, [2]float64{600, 150}, 1e-12) {
		t.Errorf("(1, 2) m is at %v", got)
	}
	if got := c.World(canvas.Point{600, 150}); !near(got, [2]float64{1, 2}, 1e-12) {
		t.Errorf("back: %v", got)
	}
}

func TestZoomKeepsThePlace(t *testing.T) {
	c := Fit(area, [2]float64{-1, -1}, [2]float64{3, 2})
	p := canvas.Point{321, 123}
	for _, f := range []float64{1.1, 0.5, 1e9, 1e-9, 7} {
		before := c.World(p)
		c = c.ZoomAt(p, f)
		if got := c.World(p); !near(got, before, 1e-6) {
			t.Fatalf("factor %g moves the place under the pointer from %v to %v", f, before, got)
		}
		if c.Scale < leastScale || c.Scale > mostScale {
			t.Fatalf("scale %g", c.Scale)
		}
	}
}

func TestFitShowsAll(t *testing.T) {
	lo, hi := [2]float64{-0.5, -2}, [2]float64{4, 2.5}
	c := Fit(area, lo, hi)
	for _, m := range [][2]float64{lo, hi} {
		if p := c.At(m); !area.Holds(p) {
			t.Errorf("%v is at %v, out of the area", m, p)
		}
	}
	for _, a := range []canvas.Rect{{}, {W: -5, H: 3}} {
		c := Fit(a, lo, hi)
		if p := c.At(lo); math.IsNaN(p[0]) || math.IsInf(p[0], 0) {
			t.Errorf("area %v: %v", a, p)
		}
	}
}
