package view

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

func ruler(t testing.TB) *typeset.Ruler {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// square is the body of the fixtures: 0.6 m by 0.4 m about the origin.
var square = plan.Ring{{0.3, -0.2}, {0.3, 0.2}, {-0.3, 0.2}, {-0.3, -0.2}}

// fan is a lobe of n places round a sensor's heading.
func fan(s plan.Sensor, far float64, n int) plan.Polygon {
	ring := plan.Ring{{s.X, s.Y}}
	for k := range n {
		u := 2*float64(k)/float64(n-1) - 1
		sin, cos := math.Sincos(s.Heading + 0.6*u)
		r := far * (1 - 0.6*u*u)
		ring = append(ring, [2]float64{s.X + r*cos, s.Y + r*sin})
	}
	return plan.Polygon{ring}
}

// crowd is a plan of n sensors round the body, one firing after the other.
func crowd(n int) *plan.Plan {
	p := &plan.Plan{Air: plan.Air{Slowest: 330, Fastest: 350}, Body: plan.Body{Outline: square, HeightM: [2]float64{0.1, 0.5}},
		Targets: []plan.Target{{Name: "post", Shape: "post", RadiusM: 0.03, HeightM: [2]float64{0, 1}}},
		Zones:   []plan.Zone{{Name: "skirt", Target: "post", Polygon: plan.Polygon{{{0.9, -0.8}, {0.9, 0.8}, {-0.9, 0.8}, {-0.9, -0.8}}}}},
	}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		sin, cos := math.Sincos(a)
		s := plan.Sensor{Name: fmt.Sprintf("eye.%d", i+1), X: 0.3 * cos, Y: 0.2 * sin, Z: 0.3, Heading: a, FrequencyHz: 40000, BlindM: 0.1, ListenM: 3,
			Beam: plan.Beam{SemiAxesM: [2]float64{0.006, 0.006}}}
		p.Sensors = append(p.Sensors, s)
		p.Lobes = append(p.Lobes, plan.Lobe{Sensor: s.Name, Target: "post", Polygon: fan(s, 1.5, 110)})
		p.SideViews = append(p.SideViews, plan.SideView{Sensor: s.Name, Target: "post", Polygon: plan.Polygon{{{0.1, 0.3}, {1, 0.6}, {1.4, 0.2}, {0.9, 0}}}})
		at := int64(i) * 20_000
		p.Schedule.Firings = append(p.Schedule.Firings, plan.Firing{Sensor: s.Name, Group: i + 1, AtUs: at, MayHearFromUs: at + 400, ListenFromUs: at + 600,
			ListenUntilUs: at + 18_000, BusyUntilUs: at + 18_500, LateUntilUs: at + 30_000})
		p.Schedule.Groups = append(p.Schedule.Groups, []string{s.Name})
		p.BlindSpots = append(p.BlindSpots, plan.BlindSpot{Zone: "skirt", Target: "post", Cause: "too close", OwnM: 0.02 + 0.001*float64(i), HidesM: 0.02 + 0.001*float64(i),
			OwnAt: [2]float64{0.32 * cos, 0.22 * sin}, Polygon: fan(s, 0.1, 30)})
	}
	for i := range n {
		for j := range n {
			if i == j {
				continue
			}
			a, b := p.Sensors[i], p.Sensors[j]
			p.Crosstalk = append(p.Crosstalk, plan.Arc{From: a.Name, To: b.Name, Path: "wall", Harms: true, LevelDB: float64((i*7 + j*13) % 50),
				Points: [][2]float64{{a.X, a.Y}, {a.X + b.X, a.Y + b.Y + 1}, {b.X, b.Y}}})
		}
	}
	p.Schedule.CycleUs = int64(n) * 20_000
	p.Schedule.BudgetUs = p.Schedule.CycleUs * 5 / 4
	p.Schedule.Why = "cannot be shorter: all take turns\nmore"
	return p
}

// all is every choice of what to show.
func all(p *plan.Plan) Looks {
	l := Looks{Lobes: true, Blind: true, Overlaps: true, Paths: true, Stops: true, Grid: true, Zones: true,
		Mark: 21 * time.Millisecond, Marked: true, Measure: [2][2]float64{{0.3, 0}, {0, 0.2}}, Measured: true, Probe: [2]float64{0.8, 0.1}, Probed: true}
	if len(p.Sensors) > 0 {
		l.Chosen = []string{p.Sensors[0].Name}
	}
	return l
}

// random is a plan and a camera of all sorts.
func random(r *rand.Rand) (*plan.Plan, Camera, Looks, Live) {
	p := crowd(r.IntN(14))
	for i := range p.Sensors {
		p.Sensors[i].X += r.NormFloat64() * 0.2
		p.Sensors[i].Heading += r.NormFloat64()
		if r.IntN(3) == 0 {
			p.Sensors[i].Name = fmt.Sprintf("a sensor with quite a long name %d", i)
		}
	}
	p.Warnings = []plan.Warning{
		{Target: "post", Way: "forward", Asked: true, LaneM: [2]float64{-0.2, 0.2}, FirstM: r.Float64(), NeededM: r.Float64(), At: [2]float64{0.9, 0.1}},
		{Target: "post", Way: "left", Asked: true, LaneM: [2]float64{-0.3, 0.3}, NeededM: r.Float64(), At: [2]float64{0, 0.2}}}
	l := all(p)
	for range r.IntN(3) {
		if len(p.Sensors) > 0 {
			l.Chosen = append(l.Chosen, p.Sensors[r.IntN(len(p.Sensors))].Name)
		}
	}
	l.Probe = [2]float64{r.NormFloat64(), r.NormFloat64()}
	l.Measure[1] = [2]float64{r.NormFloat64(), r.NormFloat64()}
	l.Mark = time.Duration(r.Int64N(max(p.Schedule.CycleUs, 1))) * time.Microsecond
	live := Live{KeptTo: "half-way between two others", Stale: r.IntN(2) == 0}
	if len(p.Sensors) > 0 {
		live.Moved = map[string]Pose{p.Sensors[0].Name: {[2]float64{r.NormFloat64(), r.NormFloat64()}, r.Float64() * 7}}
	}
	if r.IntN(2) == 0 {
		live.Ghost = []Pose{{[2]float64{0.3, 0.1}, 0}, {[2]float64{0.3, -0.1}, 0}}
		live.Ring = [][2]float64{{1, 1}, {2, 1}, {2, 2}}
		live.Box = canvas.Rect{X: 10, Y: 20, W: 300, H: -20}
	}
	cam := Camera{Area: canvas.Rect{X: r.Float64() * 100, Y: r.Float64() * 100, W: 30 + r.Float64()*1200, H: 30 + r.Float64()*800},
		Centre: [2]float64{r.NormFloat64() * 0.3, r.NormFloat64() * 0.3}, Scale: math.Exp(math.Log(20) + r.Float64()*5)}
	if r.IntN(2) == 0 {
		l.Clear = []canvas.Rect{{X: cam.Area.X, Y: cam.Area.Y, W: 60, H: cam.Area.H}}
	}
	return p, cam, l, live
}

// find is the shapes of a layer.
func find(layers []canvas.Layer, name string) []draw.Shape {
	for _, l := range layers {
		if l.Name == name {
			return l.Shapes
		}
	}
	return nil
}
