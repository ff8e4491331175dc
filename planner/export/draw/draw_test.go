package draw

import (
	"math"
	"testing"

	"echowright/planner/plan/plantest"
)

func TestStepIsRoundAndLargeEnough(t *testing.T) {
	for _, c := range []struct{ least, want float64 }{{0.3, 0.5}, {1, 1}, {1.01, 2}, {0.05, 0.05}, {70, 100}, {2.5e-7, 5e-7}} {
		if got := step(c.least); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("step(%g) = %g, want %g", c.least, got, c.want)
		}
	}
}

// Plates of labels at one crowded place must neither cover each other nor leave the page.
func TestPlatesKeepOutOfEachOthersWay(t *testing.T) {
	pic := &Picture{Min: Point{0, 0}, Max: Point{4, 3}, PxX: 200, PxY: 200}
	var ls []label
	for range 6 {
		ls = append(ls, label{at: Point{2, 1.5}, text: "too close · hides 110 mm", ink: Blind})
	}
	pic.place(ls, []box{{350, 250, 450, 350}})
	var plates []box
	for _, s := range pic.layer("labels").Shapes {
		if s.Style.Fill == Plate {
			x0, y1 := pic.Px(s.Rings[0][0])
			x1, y0 := pic.Px(s.Rings[0][2])
			plates = append(plates, box{x0, y0, x1, y1})
		}
	}
	if len(plates) != 6 {
		t.Fatalf("%d plates", len(plates))
	}
	for i, a := range plates {
		if a.x0 < 0 || a.y0 < 0 || a.x1 > pic.Width() || a.y1 > pic.Height() {
			t.Errorf("plate %d leaves the page: %v", i, a)
		}
		for j, b := range plates[:i] {
			if a.overlap(b) > 0 {
				t.Errorf("plates %d and %d overlap: %v %v", i, j, a, b)
			}
		}
	}
}

// Every bar of the cycle stands at the microseconds of its firing.
func TestCycleBarsStandAtTheirTimes(t *testing.T) {
	p := plantest.Small()
	pic := Cycle(p, 900)
	found := 0
	for _, s := range pic.layer("cycle").Shapes {
		for _, f := range p.Schedule.Firings {
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
	pic := Layout(p, View{State: plantest.Hostile, Target: plantest.Hostile})
	for _, l := range pic.Layers {
		if l.Name == "labels" || l.Name == "scale" || l.Name == "grid" {
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
