package view

import (
	"math"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Grips lie where the sensor looks, and a point under a grip gives back tilt and height.
func TestSideGrips(t *testing.T) {
	p := crowd(1)
	for _, tilt := range []float64{-0.3, 0, 0.2} {
		p.Sensors[0].Tilt = tilt
		a := canvas.Rect{X: 940, Y: 340, W: 308, H: 170}
		_, h := Side(p, "eye.1", a, Looks{}, ruler(t))
		m := h.World(h.Tilt.Middle())
		if got := math.Atan2(m[1]-0.3, m[0]); math.Abs(got-tilt) > 1e-9 {
			t.Errorf("the grip of tilt %g lies at %g", tilt, got)
		}
		if m := h.World(h.Height.Middle()); math.Abs(m[1]-0.3) > 1e-9 {
			t.Errorf("the grip of height 0.3 lies at %g", m[1])
		}
		for _, g := range []canvas.Rect{h.Tilt, h.Height} {
			if g.W < 20 || g.H < 20 || !a.Holds(g.Middle()) {
				t.Errorf("grip %v in %v", g, a)
			}
		}
		if h.Tilt.Meets(h.Height) {
			t.Error("the grips overlap")
		}
		back := h.At([2]float64{0.7, 0.2})
		if m := h.World(back); !near(m, [2]float64{0.7, 0.2}, 1e-9) {
			t.Errorf("there and back: %v", m)
		}
	}
}

// The beam, the target and a part in the way, at the places the plan gives.
func TestSideByHand(t *testing.T) {
	p := crowd(1) // at (0.3, 0), looks forward
	p.Body.Parts = []plan.Part{{Name: "fork", Outline: plan.Ring{{0.5, -0.1}, {0.7, -0.1}, {0.7, 0.1}, {0.5, 0.1}}, HeightM: [2]float64{0.05, 0.15}}}
	layers, h := Side(p, "eye.1", canvas.Rect{W: 308, H: 170}, Looks{}, ruler(t))
	shapes := find(layers, "side")
	has := func(what string, lo, hi [2]float64) {
		t.Helper()
		a, b := h.At([2]float64{lo[0], hi[1]}), h.At([2]float64{hi[0], lo[1]})
		for _, s := range shapes {
			if s.Text == "" && !s.Open {
				if l, u := spanOf(s); near(l, a, 1e-6) && near(u, b, 1e-6) {
					return
				}
			}
		}
		t.Errorf("no %s at %v to %v m", what, lo, hi)
	}
	has("beam", [2]float64{0.1, 0}, [2]float64{1.4, 0.6})
	has("part", [2]float64{0.2, 0.05}, [2]float64{0.4, 0.15})
	far := 0.55 * 1.4
	top := h.World(canvas.Point{0, 24})[1] // the post is cut below the title
	has("target", [2]float64{far - 0.03, 0}, [2]float64{far + 0.03, top})
	for _, s := range find(layers, "side title") {
		if s.Text == words.noSide {
			t.Error("it says there is no view")
		}
	}
	p.SideViews = nil
	layers, h = Side(p, "eye.1", canvas.Rect{W: 308, H: 170}, Looks{}, ruler(t))
	if h.Tilt.W == 0 {
		t.Error("no grips before there is a view")
	}
	found := false
	for _, s := range find(layers, "side title") {
		found = found || s.Text == words.noSide && s.Style.Fill == draw.Attention
	}
	if !found {
		t.Error("it does not say that there is no view yet")
	}
}
