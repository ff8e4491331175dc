package view

import (
	"math"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/plan"
)

// What lies where, by hand, on a body of 0.6 m by 0.4 m at 100 points a metre.
func TestUnder(t *testing.T) {
	p := crowd(1) // eye.1 at (0.3, 0), looks forward
	p.Body.Parts = []plan.Part{{Name: "fork", Outline: plan.Ring{{0.3, 0.1}, {0.5, 0.1}, {0.5, 0.15}, {0.3, 0.15}}},
		{Name: "ramp", Outline: plan.Ring{{-2, 1}, {-2.2, 1}, {-2.2, 1.2}}, OnlyIn: []string{"open"}}}
	p.BlindSpots[0].Polygon = plan.Polygon{{{-1, -1}, {-0.7, -1}, {-0.7, -0.7}, {-1, -0.7}}}
	p.Crosstalk = []plan.Arc{{From: "eye.1", To: "b", Path: "wall", Harms: true, Points: [][2]float64{{0.3, 0}, {1, 1.5}, {0.3, 2}}}}
	looks := Looks{Blind: true, Paths: true, Zones: true, Chosen: []string{"eye.1"}}
	at := func(x, y, right, down float64) canvas.Point {
		q := hundred.At([2]float64{x, y})
		return canvas.Point{q[0] + right, q[1] + down}
	}
	for _, c := range []struct {
		what string
		at   canvas.Point
		want Thing
	}{
		{"sensor", at(0.3, 0, 6, 6), Thing{Kind: Sensor, Name: "eye.1"}},
		{"beside the sensor, on the edge", at(0.3, 0, 0, 11), Thing{Kind: Edge, ArcM: -0.11}},
		{"the grip", at(0.3, 0, gripFar, 5), Thing{Kind: Heading, Name: "eye.1"}},
		{"a part", at(0.42, 0.13, 0, 0), Thing{Kind: Part, Name: "fork"}},
		{"a part of another state", at(-2.15, 1.05, 0, 0), Thing{}},
		{"the left side", at(-0.1, 0.2, 0, 4), Thing{Kind: Edge, ArcM: 0.2 + 0.4}},
		{"the right side", at(-0.1, -0.2, 0, 4), Thing{Kind: Edge, ArcM: -0.6}},
		{"a blind spot", at(-0.92, -0.92, 0, 0), Thing{Kind: Blind, Name: "skirt", Index: 0}},
		{"a path", at(0.65, 0.75, 3, 0), Thing{Kind: Path, Name: "eye.1 b", Index: 0}},
		{"a zone's border", at(0.9, -0.5, 3, 0), Thing{Kind: Zone, Name: "skirt"}},
		{"within a zone", at(0.6, -0.5, 0, 0), Thing{}},
		{"the machine", at(-0.1, 0, 0, 0), Thing{Kind: Machine}},
		{"nothing", at(2, -2, 0, 0), Thing{}},
		{"beyond the area", canvas.Point{-5, -5}, Thing{}},
	} {
		got := Under(p, hundred, looks, c.at)
		if math.Abs(got.ArcM-c.want.ArcM) > 0.001 {
			t.Errorf("%s: at %g m along the outline, want %g", c.what, got.ArcM, c.want.ArcM)
		}
		got.ArcM = c.want.ArcM
		if got != c.want {
			t.Errorf("%s: %+v, want %+v", c.what, got, c.want)
		}
	}
	for _, c := range []canvas.Point{at(-0.92, -0.92, 0, 0), at(0.65, 0.75, 3, 0), at(0.9, -0.5, 3, 0)} {
		if got := Under(p, hundred, Looks{}, c); got != (Thing{}) {
			t.Errorf("%+v is found though it is not shown", got)
		}
	}
}

// Of two sensors within reach the nearer one is meant.
func TestUnderTheNearer(t *testing.T) {
	p := crowd(2)
	p.Sensors[0].X, p.Sensors[0].Y, p.Sensors[1].X, p.Sensors[1].Y = 0, 0, 0.08, 0
	for x, want := range map[float64]string{0.03: "eye.1", 0.05: "eye.2", 0.17: "eye.2"} {
		if got := Under(p, hundred, Looks{}, hundred.At([2]float64{x, 0})); got.Name != want {
			t.Errorf("at %g m: %q, want %q", x, got.Name, want)
		}
	}
}
