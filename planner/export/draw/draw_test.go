package draw

import (
	"math"
	"slices"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

func TestStepIsRoundAndLargeEnough(t *testing.T) {
	for _, c := range []struct{ least, want float64 }{{0.3, 0.5}, {1, 1}, {1.01, 2}, {0.05, 0.05}, {70, 100}, {2.5e-7, 5e-7}} {
		if got := Step(c.least); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("Step(%g) = %g, want %g", c.least, got, c.want)
		}
	}
}

// Of each cause only the widest spot is labelled, at most four, and none that hides next to nothing.
func TestOnlyBlindSpotsThatMatterAreLabelled(t *testing.T) {
	p := plantest.Small()
	spot := p.BlindSpots[0]
	p.BlindSpots = nil
	for _, b := range []struct {
		cause string
		hides float64
	}{{"too close", 0.03}, {"too weak", 0.006}, {"too close", 0.04}, {"shadowed", 0.021}, {"outside every beam", 0.007}} {
		s := spot
		s.Cause, s.HidesM, s.OwnM = b.cause, b.hides, b.hides
		p.BlindSpots = append(p.BlindSpots, s)
	}
	var got []string
	for _, l := range worst(p, View{State: plantest.Hostile, Target: plantest.Hostile}) {
		got = append(got, l.text)
	}
	if want := []string{"too close · hides 40 mm", "shadowed · hides 21 mm"}; !slices.Equal(got, want) {
		t.Errorf("labels %q, want %q", got, want)
	}
}

// A part stands in the side view where the plane through the heading cuts it; one the plane misses does not.
func TestSideViewShowsTheParts(t *testing.T) {
	p := plantest.Small()
	p.Sensors[0].X, p.Sensors[0].Y, p.Sensors[0].Heading = 0.3, 0.1, 0
	p.Body.Parts = []plan.Part{
		{Name: "ramp", Outline: plan.Ring{{0.5, -0.3}, {0.9, -0.3}, {0.9, 0.3}, {0.5, 0.3}}, HeightM: [2]float64{0.02, 0.1}, OnlyIn: []string{"down"}},
		{Name: "beside", Outline: plan.Ring{{0.5, 0.2}, {0.9, 0.2}, {0.9, 0.3}}, HeightM: [2]float64{0, 1}},
		{Name: "behind", Outline: plan.Ring{{0, 0}, {0.1, 0}, {0.1, 0.2}, {0, 0.2}}, HeightM: [2]float64{0, 1}},
	}
	shapes := Side(p, p.SideViews[0], 470, 220).layer("parts").Shapes
	if len(shapes) != 1 || shapes[0].Title != "ramp (down)" || !shapes[0].Style.Dashed {
		t.Fatalf("%+v", shapes)
	}
	for k, want := range []Point{{0.2, 0.02}, {0.6, 0.02}, {0.6, 0.1}, {0.2, 0.1}} {
		if got := shapes[0].Rings[0][k]; math.Hypot(got[0]-want[0], got[1]-want[1]) > 1e-3 {
			t.Errorf("corner %d at %v, want %v", k, got, want)
		}
	}
}

// Sensors that look the same from the side share a picture; one that a part stands before does not.
func TestSideViewsThatLookTheSameAreOne(t *testing.T) {
	p := plantest.Small()
	view := p.SideViews[0]
	p.SideViews, p.Sensors = nil, p.Sensors[:0]
	for i, name := range []string{"a", "b", "c"} {
		p.Sensors = append(p.Sensors, plan.Sensor{Name: name, Kind: "can", X: 0.3, Y: 0.1 * float64(i), Z: 0.2})
		view.Sensor = name
		p.SideViews = append(p.SideViews, view)
	}
	p.Body.Parts = []plan.Part{{Name: "jaw", Outline: plan.Ring{{0.4, 0.15}, {0.5, 0.15}, {0.5, 0.25}, {0.4, 0.25}}}}
	gs := SideGroups(p)
	if len(gs) != 2 || !slices.Equal(gs[0].Names, []string{"a", "b"}) || !slices.Equal(gs[1].Names, []string{"c"}) {
		t.Errorf("%+v", gs)
	}
}

// Every bar of the cycle stands at the microseconds of its firing.
func TestCycleBarsStandAtTheirTimes(t *testing.T) {
	p := plantest.Small()
	pic := Cycle(p, 900)
	found := 0
	for _, s := range pic.layer("cycle").Shapes {
		for _, f := range p.Schedule.Firings {
			if s.Title == f.Sensor+" deaf" && (s.Rings[0][0][0] != float64(f.AtUs) || s.Rings[0][1][0] != float64(f.MayHearFromUs)) {
				t.Errorf("%s is drawn deaf from %g to %g", f.Sensor, s.Rings[0][0][0], s.Rings[0][1][0])
			}
			if s.Title == f.Sensor+" listening" && s.Rings[0][0][0] == float64(f.ListenFromUs) && s.Rings[0][1][0] == float64(f.ListenUntilUs) {
				found++
			}
		}
	}
	if found != len(p.Schedule.Firings) {
		t.Errorf("%d listening bars of %d stand right", found, len(p.Schedule.Firings))
	}
}

// The view must hold all of the body, parts, zones and lobes it shows.
func TestLayoutHoldsAllItShows(t *testing.T) {
	p := plantest.Small()
	pic := Layout(p, View{State: plantest.Hostile, Target: plantest.Hostile, Paths: 3})
	for _, l := range pic.Layers {
		if l.Name == "labels" || l.Name == "names" || l.Name == "scale" || l.Name == "grid" {
			continue
		}
		for _, s := range l.Shapes {
			for _, r := range s.Rings {
				for _, q := range r {
					if q[0] < pic.Min[0] || q[0] > pic.Max[0] || q[1] < pic.Min[1] || q[1] > pic.Max[1] {
						t.Errorf("layer %s: %v lies outside %v..%v", l.Name, q, pic.Min, pic.Max)
					}
				}
			}
		}
	}
	if pic.PxX != pic.PxY {
		t.Error("a plan view must not be stretched")
	}
}

// The ruler stays on the page, however narrow that is.
func TestRulerStaysOnThePage(t *testing.T) {
	for _, span := range []float64{0.11, 0.9, 2.3, 40} {
		pic := &Picture{Min: Point{0, 0}, Max: Point{span, 1}, PxX: 150 / span, PxY: 100}
		pic.scaleBar(0.5)
		for _, s := range pic.layer("scale").Shapes {
			for _, r := range s.Rings {
				for _, q := range r {
					if q[0] < 0 || q[0] > span {
						t.Errorf("span %g m: the ruler reaches %g", span, q[0])
					}
				}
			}
		}
	}
}
