package firing

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/crosstalk"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// can is an invented single can: blind to 0.25 m, 0.3 to 0.6 ms from trigger to a burst of 0.4 ms.
func can() scene.Kind {
	return scene.Kind{
		Name: "can", CarrierHz: scene.Value{X: 40e3}, SpreadHz: scene.Value{X: 1e3},
		Ranges: []scene.Range{{
			M: scene.Value{X: 3}, EndedBy: scene.EndedByThreshold,
			Against:      wall,
			TemperatureC: 20, HumidityPct: 50, PressurePa: 101325,
		}},
		BlindM: scene.Value{X: 0.25}, InsideReads: scene.ReadsDouble,
		Beam: scene.Beam{
			Across: 70 * s1.Degree, Upright: 35 * s1.Degree,
			Meaning: scene.BeamMeaning{LevelDB: -6, TwoWay: true}, NeverBelowDB: scene.Value{X: -25},
		},
		Timing: scene.Timing{
			By:             scene.ByModule,
			TriggerToBurst: scene.TimeSpan{Lo: 300 * time.Microsecond, Hi: 600 * time.Microsecond},
			Burst:          400 * time.Microsecond, BusyWithoutEcho: 60 * ms, Rest: 10 * ms, Transfer: 2 * ms,
		},
		AssumedSpeed: scene.Value{X: 343},
	}
}

var wall = scene.Target{Name: "wall", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 2}}

// still is one state of the air, so that times can be worked out by hand.
var still = scene.Air{
	TemperatureC: scene.Span{Lo: 20, Hi: 20}, HumidityPct: scene.Span{Lo: 50, Hi: 50}, PressurePa: scene.Span{Lo: 101325, Hi: 101325},
}

func model(t testing.TB, k scene.Kind, a scene.Air) *acoustics.Model {
	t.Helper()
	m, err := acoustics.NewModel(k, a)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Clockwork by hand, 20 degC and 50 %: sound goes c = SpeedOfSound; 1.5 m there and back takes 3/c.
func TestClock(t *testing.T) {
	c := acoustics.SpeedOfSound(acoustics.Reference)
	us := func(seconds float64) int64 { return int64(math.Ceil(seconds*1e6 - 1e-3)) }
	window := us(3/c + 600e-6 + 400e-6) // latest burst, way there and back, whole burst
	deaf := int64(math.Floor(300 + 0.5/c*1e6))
	for _, x := range []struct {
		name              string
		change            func(k *scene.Kind)
		open, close, busy int64
	}{
		{"listens until its time-out", func(k *scene.Kind) {}, deaf, 60000, 62000},
		{"window settable", func(k *scene.Kind) { k.Timing.WindowSettable = true }, deaf, window, 60000},
		{"timed by the controller", func(k *scene.Kind) { k.Timing.By = scene.ByController; k.Timing.BusyWithoutEcho = 0 }, deaf, window, window + 2000},
		{"no time-out known", func(k *scene.Kind) { k.Timing.BusyWithoutEcho = 0 }, deaf, window, window + 2000},
		{"answer fetched late", func(k *scene.Kind) { k.Timing.WindowSettable = true; k.Timing.AnswerAfter = 65 * ms }, deaf, window, 67000},
		{"shows its least distance when too near", func(k *scene.Kind) { k.InsideReads = scene.ReadsLeast }, 300, 60000, 62000},
	} {
		k := can()
		x.change(&k)
		sc := &scene.Scene{Air: still, Kinds: []scene.Kind{k}, Sensors: []scene.Sensor{{ListenM: 1.5}}}
		got := ClockOf(sc, 0, model(t, k, still))
		if got.OpenUs != x.open || got.CloseUs != x.close || got.BusyUs != x.busy || got.RestUs != 10000 || got.NeedsUs != window {
			t.Errorf("%s: %+v, want open %d, close %d, busy %d, needs %d", x.name, got, x.open, x.close, x.busy, window)
		}
	}
	// 1 % of clock error and a tick of 4 us: 60 ms may last 60.604.
	k := can()
	sc := &scene.Scene{Air: still, Kinds: []scene.Kind{k}, Sensors: []scene.Sensor{{ListenM: 1.5}}}
	sc.Controller = scene.Controller{ClockError: 0.01, Tick: 4 * time.Microsecond}
	if got := ClockOf(sc, 0, model(t, k, still)); got.CloseUs != 60604 || got.OpenUs >= deaf-4 {
		t.Errorf("with clock error: %+v", got)
	}
}

// Colder air only ever makes a window longer: it must admit the slowest sound.
func TestWindowAdmitsTheSlowestSound(t *testing.T) {
	k := can()
	k.Timing.WindowSettable = true
	cold := still
	cold.TemperatureC = scene.Span{Lo: -15, Hi: 35}
	sc := &scene.Scene{Air: cold, Kinds: []scene.Kind{k}, Sensors: []scene.Sensor{{ListenM: 1.5}}}
	m := model(t, k, cold)
	slow, _ := acoustics.SpeedSpan(cold)
	got := ClockOf(sc, 0, m)
	if float64(got.CloseUs) < (3/slow.Value+1e-3)*1e6 {
		t.Errorf("window of %d us is too short for 1.5 m at %v m/s", got.CloseUs, slow.Value)
	}
	if got.ListenM < 1.5-1e-9 || got.ListenM > 1.5+1e-3 {
		t.Errorf("window admits %v m, want 1.5", got.ListenM)
	}
}

// Distances by hand.
func TestListenRange(t *testing.T) {
	box := func(x0, x1, y0, y1 float64) [][]r2.Point {
		return [][]r2.Point{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
	}
	low := scene.Target{Shape: scene.Kerb, HeightM: scene.Span{Lo: 0, Hi: 0.1}}
	for _, x := range []struct {
		name    string
		rings   [][]r2.Point
		target  scene.Target
		heading s1.Angle
		reach   float64
		want    float64
	}{
		{"farthest corner", box(0.2, 1.4, -0.5, 0.5), wall, 0, 4, math.Hypot(1.4, 0.5)},
		{"no farther than it reaches", box(0.2, 1.4, -0.5, 0.5), wall, 0, 1.2, 1.2},
		{"all behind", box(-2, -1, -0.5, 0.5), wall, 0, 3, 3},
		{"only what is ahead", box(-3, 1, -0.5, 0.5), wall, 0, 4, math.Hypot(1, 0.5)},
		// Turned by 45 degrees the half plane x + y > 0 cuts the box's front at (1, -1).
		{"cut by the half plane", box(-3, 1, -3, 0), wall, 45 * s1.Degree, 4, math.Hypot(1, 1)},
		{"along the slant", box(0, 0.4, 0, 0), low, 0, 4, math.Hypot(0.4, 0.3)},
	} {
		sc := &scene.Scene{
			Targets: []scene.Target{x.target},
			Zones:   []scene.Zone{{Rings: x.rings}},
			Sensors: []scene.Sensor{{Heading: x.heading, HeightM: 0.3}},
		}
		if got := ListenRange(sc, 0, x.reach); math.Abs(got-x.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", x.name, got, x.want)
		}
	}
}

// cart is n cans round a cart, walls about, a zone all round.
func cart(n int) *scene.Scene {
	k := can()
	k.Timing.WindowSettable, k.Timing.BusyWithoutEcho = true, 0
	sc := &scene.Scene{
		Name:   fmt.Sprintf("cart with %d", n),
		Air:    scene.Air{TemperatureC: scene.Span{Lo: 5, Hi: 35}, HumidityPct: scene.Span{Lo: 20, Hi: 90}, PressurePa: scene.Span{Lo: 101325, Hi: 101325}},
		Around: scene.Around{WallsM: scene.Span{Lo: 0.5, Hi: 5}, Bounces: 1, Ground: scene.GroundSmooth},
		Body:   scene.Body{Outline: geometry.RoundedRectangle(0.9, 0.6, 0.1, r2.Point{}, 1e-3)},
		Kinds:  []scene.Kind{k}, Targets: []scene.Target{wall},
		Zones:      []scene.Zone{{Rings: [][]r2.Point{geometry.RoundedRectangle(2, 1.7, 0.4, r2.Point{}, 1e-3)}}},
		Controller: scene.Controller{Reading: scene.Capture, AtOnce: 8, ClockError: 0.005},
		Wishes:     scene.Wishes{Guard: ms, Jitter: 100 * time.Microsecond},
	}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		sc.Sensors = append(sc.Sensors, scene.Sensor{
			Name: fmt.Sprintf("s%d", i+1), Heading: s1.Angle(a), HeightM: 0.3,
			At: r2.Point{X: 0.45 * math.Cos(a), Y: 0.3 * math.Sin(a)},
		})
	}
	return sc
}

func hear(t testing.TB, sc *scene.Scene) ([]Clock, []crosstalk.Arc) {
	t.Helper()
	m := model(t, sc.Kinds[0], sc.Air)
	var ears []*acoustics.Ear
	for _, s := range sc.Sensors {
		ears = append(ears, m.Mount(s, sc.Around.Ground))
	}
	slow, fast := acoustics.SpeedSpan(sc.Air)
	arcs, err := crosstalk.Arcs(t.Context(), sc, ears, slow.Value, fast.Value)
	if err != nil {
		t.Fatal(err)
	}
	return Clocks(sc, ears), arcs
}

// Common practice, no source: a ring on one carrier fired all at once disturbs itself; in turns it does not.
func TestRingFromSoundToSchedule(t *testing.T) {
	sc := cart(12)
	cl, arcs := hear(t, sc)
	r := solve(t, sc, cl, arcs)
	if r.Schedule.AllAtOnce == 0 {
		t.Error("all at once disturbs nobody")
	}
	if !r.Schedule.Proven {
		t.Error("not proven")
	}
	replay(t, sc, cl, arcs, r.Schedule)
	t.Logf("%d us, %d groups, %d pairs harmed all at once; %s", r.Schedule.CycleUs, len(r.Schedule.Groups), r.Schedule.AllAtOnce, r.Schedule.Why)
	for _, f := range r.Findings {
		t.Logf("%s: %s", f.Code, f.Text)
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, n := range []int{6, 12, 24} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			sc := cart(n)
			cl, arcs := hear(b, sc)
			for b.Loop() {
				r, err := Plan(context.Background(), sc, cl, arcs, Options{Try: true})
				if err != nil || !r.Schedule.Proven {
					b.Fatal(err, r.Schedule.Why)
				}
			}
		})
	}
}
