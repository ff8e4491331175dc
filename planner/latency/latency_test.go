package latency

import (
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// exact is what polygons on a grid of 2^-34 m and sixty halvings leave of a length, m.
const exact = 1e-7

// A far edge that slants across the lane: the worst line is the lane's edge where it is nearest.
//
//	y  0.3 ┌───────────────╲ 3.0
//	  -0.3 └────────╲ 2.0
//	     x 0.5
func TestSlantedFarEdge(t *testing.T) {
	w := newWorld([][]r2.Point{{{X: 0.5, Y: -0.5}, {X: 2 - 1.0/3, Y: -0.5}, {X: 3 + 1.0/3, Y: 0.5}, {X: 0.5, Y: 0.5}}})
	got := w.asked()
	near(t, "first", got.FirstM, 1.5, exact)
	near(t, "seen from", got.SeenFromM, 1.5, exact)
	near(t, "x", got.At[0], 2, exact)
	near(t, "y", got.At[1], -0.3, exact)
	near(t, "needed", got.NeededM, 1*(0.1+0.15)+0.25+0.1, 1e-9)
	near(t, "safe", got.SafeSpeedMS, Stopping{2, 0.1}.GreatestSpeed(1.5, 0.25), exact)
	if !got.Met || got.Sensor != "a" || got.LimitSensor != "a" || got.DetectUs != 100_000 || got.WaitUs != 100_000 {
		t.Errorf("%+v", got)
	}
	near(t, "lane, right", got.LaneM[0], -0.3, exact)
	near(t, "lane, left", got.LaneM[1], 0.3, exact)
}

// A target lost in a blind spot must be confirmed afresh: the far piece, 0.4 m deep on the left, counts only
// as long as that takes longer to cross than detection.
func TestBlindSpotOnTheWay(t *testing.T) {
	piece := func(x0, x1 float64) []r2.Point { return rect(x0, x1, -0.5, 0.5) }
	w := newWorld([][]r2.Point{piece(0.5, 1.4), piece(1.5, 1.9)})
	w.sc.Motion.Confirm, w.sc.Motion.Of = 2, 3 // 300 ms
	for _, c := range []struct{ speed, first float64 }{{1, 1.4}, {1.33, 1.4}, {1.34, 0.9}, {2, 0.9}, {3.01, 0}} {
		w.sc.Motion.SpeedMS = c.speed
		got := w.asked()
		near(t, "first", got.FirstM, c.first, exact)
		near(t, "seen from", got.SeenFromM, 1.4, exact)
	}
	// Safe is the better of: far piece, as fast as it is crossed in 300 ms; near piece, by its distance.
	lat := 0.45
	want := math.Max(math.Min(0.4/0.3, Stopping{2, 0.1}.GreatestSpeed(1.4, lat)), math.Min(0.9/0.3, Stopping{2, 0.1}.GreatestSpeed(0.9, lat)))
	near(t, "safe", w.asked().SafeSpeedMS, want, exact)
}

// The wish for two sensors is met where the second of them has confirmed, each by itself.
func TestSeenByTwo(t *testing.T) {
	box := func(x1 float64) [][]r2.Point { return [][]r2.Point{rect(0.5, x1, -0.5, 0.5)} }
	w := newWorld(box(3), box(2), box(1.5))
	near(t, "by one", w.asked().FirstM, 2.5, exact)
	w.sc.Zones[0].SeenBy = 2
	got := w.asked()
	near(t, "by two", got.FirstM, 1.5, exact)
	if got.Sensor != "b" {
		t.Errorf("limited by %s", got.Sensor)
	}
	w.sc.Zones[0].SeenBy = 4
	if got = w.asked(); got.FirstM != 0 || got.Met || got.SafeSpeedMS != 0 || got.Sensor != "" {
		t.Errorf("by four of three: %+v", got)
	}
}

// Two sensors that hand a target over halfway do not confirm it together.
func TestNoHandingOver(t *testing.T) {
	w := newWorld([][]r2.Point{rect(1.2, 1.9, -0.5, 0.5)}, [][]r2.Point{rect(0.5, 1.2, -0.5, 0.5)})
	w.sc.Motion.Of, w.sc.Motion.SpeedMS = 10, 0.71 // 1 s: just more than 0.7 m
	if got := w.asked(); got.FirstM != 0 || math.Abs(got.SeenFromM-1.4) > exact {
		t.Errorf("%+v", got)
	}
	w.sc.Motion.SpeedMS = 0.69
	near(t, "slower", w.asked().FirstM, 1.4, exact)
}

// A round target touches the corners of the machine earlier than its middle line says: distance counts from
// where its surface would meet the front, and the lane is wider by its radius on either side.
func TestRoundTarget(t *testing.T) {
	w := newWorld([][]r2.Point{rect(0.2, 2.5, -1, 1)})
	w.sc.Targets[0].Shape, w.sc.Targets[0].RadiusM = scene.Post, 0.2
	got := w.asked()
	near(t, "first", got.FirstM, 1.8, exact)
	near(t, "lane", got.LaneM[1], 0.5, exact)
	if math.Abs(got.At[1]) > 0.3+exact {
		t.Errorf("the worst line is off the front: %v", got.At)
	}
	// Low enough to pass beneath, it is stopped for all the same: by the outline itself.
	w.sc.Body.HeightM = scene.Span{Lo: 1, Hi: 2}
	near(t, "beneath", w.asked().FirstM, 2, exact)
	// A ball of 0.2 m whose middle is 0.12 m below the body's underside leaves 0.16 m of its section there.
	w.sc.Targets[0].Shape, w.sc.Targets[0].HeightM = scene.Sphere, scene.Span{Lo: 0.68, Hi: 1.08}
	near(t, "ball", w.asked().FirstM, 2-0.16, exact)
}

// A part that stands out in one state only moves the front there.
func TestPartsOfAState(t *testing.T) {
	w := newWorld([][]r2.Point{rect(0.5, 2.5, -1, 1)})
	w.sc.States = []string{"up", "down"}
	w.sc.Body.Parts = []scene.Part{{Name: "ramp", Outline: rect(0.5, 1.5, -0.1, 0.1), HeightM: scene.Span{Lo: 0, Hi: 1}, OnlyIn: []string{"down"}}}
	for i := range w.p.Zones {
		z, l := w.p.Zones[i], w.p.Lobes[i]
		z.State, l.State = "down", "down"
		w.p.Zones[i].State, w.p.Lobes[i].State = "up", "up"
		w.p.Zones, w.p.Lobes = append(w.p.Zones, z), append(w.p.Lobes, l)
	}
	var first []float64
	for _, row := range w.analyse().Warnings {
		if row.Asked {
			first = append(first, row.FirstM)
		}
	}
	if len(first) != 2 || math.Abs(first[0]-2) > exact || math.Abs(first[1]-1) > exact {
		t.Errorf("up, down: %v", first)
	}
}

// A failing piece of the lane narrower than the lobes' own error is not held against the machine; a wider one is.
func TestSlits(t *testing.T) {
	for _, c := range []struct{ slit, first float64 }{{0.0009, 1.5}, {0.0011, 0}} {
		w := newWorld([][]r2.Point{rect(0.5, 2, -0.5, 0.1-c.slit/2), rect(0.5, 2, 0.1+c.slit/2, 0.5)})
		for i := range w.p.Lobes {
			w.p.Lobes[i].ErrorM = 0.001
		}
		near(t, "first", w.asked().FirstM, c.first, exact)
	}
}

func TestMirroredAndTurned(t *testing.T) {
	w := newWorld([][]r2.Point{{{X: 0.6, Y: -0.5}, {X: 2, Y: -0.4}, {X: 3, Y: 0.1}, {X: 2.2, Y: 0.6}}}, [][]r2.Point{rect(0.5, 1.6, -0.1, 0.4)})
	w.sc.Body.Outline = []r2.Point{{X: 0.5, Y: 0.2}, {X: -0.5, Y: 0.3}, {X: -0.5, Y: -0.25}, {X: 0.4, Y: -0.3}}
	base := w.asked()
	type place = [2]float64
	for _, c := range []struct {
		name string
		f    func(p r2.Point) r2.Point
		flip bool
		way  scene.Way
	}{
		{"mirrored", func(p r2.Point) r2.Point { return r2.Point{X: p.X, Y: -p.Y} }, true, scene.Forward},
		{"backward", func(p r2.Point) r2.Point { return r2.Point{X: -p.X, Y: -p.Y} }, false, scene.Backward},
		{"left", func(p r2.Point) r2.Point { return r2.Point{X: -p.Y, Y: p.X} }, false, scene.Leftward},
		{"right", func(p r2.Point) r2.Point { return r2.Point{X: p.Y, Y: -p.X} }, false, scene.Rightward},
	} {
		got, want := w.moved(c.f, c.flip, c.way).asked(), base
		for _, pair := range [][2]*place{{&got.At, &want.At}, {&got.LimitAt, &want.LimitAt}} {
			p := c.f(r2.Point{X: pair[1][0], Y: pair[1][1]})
			near(t, c.name+" x", pair[0][0], p.X, exact)
			near(t, c.name+" y", pair[0][1], p.Y, exact)
			*pair[0], *pair[1] = place{}, place{}
		}
		if c.flip {
			want.LaneM = place{-want.LaneM[1], -want.LaneM[0]}
		}
		near(t, c.name+" first", got.FirstM, want.FirstM, exact)
		near(t, c.name+" safe", got.SafeSpeedMS, want.SafeSpeedMS, exact)
		for _, p := range []*plan.Warning{&got, &want} {
			p.FirstM, p.SafeSpeedMS, p.SeenFromM, p.SeenToM, p.NeededM = 0, 0, 0, 0, 0
			p.EchoUs, p.DetectUs, p.Way = 0, 0, ""
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n%+v, want\n%+v", c.name, got, want)
		}
	}
}

// A zone says nothing of a way it does not lie across, and one that reaches farther speaks for its target.
func TestWhichZoneSpeaks(t *testing.T) {
	w := newWorld([][]r2.Point{rect(-3, 3, -2, 2)})
	w.sc.Zones = append(w.sc.Zones, scene.Zone{Name: "skirt", SeenBy: 2})
	w.zone("skirt", rect(-1, 1, -0.8, 0.8))
	var got [][2]any
	for _, row := range w.analyse().Warnings {
		got = append(got, [2]any{row.Way, row.Zone})
	}
	want := [][2]any{{"forward", "lane"}, {"backward", "skirt"}, {"left", "skirt"}, {"right", "skirt"}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

func TestWaitTakesTheRealGaps(t *testing.T) {
	sc := &scene.Scene{
		Kinds:   []scene.Kind{{}, {Timing: scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Hi: 80 * time.Millisecond}}}},
		Sensors: []scene.Sensor{{Name: "a"}, {Name: "b", Kind: 1}, {Name: "never"}},
	}
	s := plan.Schedule{CycleUs: 100_000, Firings: []plan.Firing{{Sensor: "a"}, {Sensor: "a", AtUs: 10_000}, {Sensor: "a", AtUs: 50_000}}}
	ws := watchesOf(sc, &plan.Plan{Schedule: s})
	for n, want := range map[int]float64{1: 0.05, 2: 0.09, 3: 0.1, 4: 0.15, 5: 0.19} {
		near(t, "wait", ws[0].wait(n), want, 1e-12)
	}
	for n, want := range map[int]float64{1: 0, 2: 0.01, 3: 0.05, 4: 0.1} {
		near(t, "until", ws[0].until(n), want, 1e-12)
	}
	near(t, "by itself", ws[1].wait(2), 0.16, 1e-12)
	if ws[2].fires() {
		t.Error("a sensor that never fires")
	}
	// A clock one percent slow, a tick of 4 us and jitter of ±0.5 ms.
	sc.Controller.ClockError, sc.Wishes.Jitter = 0.01, 500*time.Microsecond
	s.TickUs, s.CycleTicks = 4, 25_100
	for i := range s.Firings {
		s.Firings[i].AtTicks = []int64{0, 2510, 12_600}[i]
	}
	ws = watchesOf(sc, &plan.Plan{Schedule: s})
	near(t, "ticks", ws[0].wait(1), 0.0500*1.01+0.001, 1e-12)
	near(t, "all ticks", ws[0].wait(3), 0.1004*1.01+0.001, 1e-12)
}

// The way of the sound, the module's own times and the fetching of the answer are all in the detection time.
func TestDetectionTime(t *testing.T) {
	w := newWorld([][]r2.Point{rect(0.5, 2.5, -0.5, 0.5)})
	w.p.Air.Slowest = 320
	k := &w.sc.Kinds[0].Timing
	k.TriggerToBurst.Hi, k.Burst, k.Transfer = 300*time.Microsecond, 200*time.Microsecond, 2*time.Millisecond
	echo := 2500 + 2*math.Hypot(2, 0.3)/320*1e6 // to the far corner of what it sees in the lane
	near(t, "echo, us", float64(w.asked().EchoUs), echo, 1)
	near(t, "detection, us", float64(w.asked().DetectUs), 100_000+echo, 1)
	k.AnswerAfter = 65 * time.Millisecond
	near(t, "answer after, us", float64(w.asked().EchoUs), 67_000, 1)
}

func TestReady(t *testing.T) {
	w := newWorld([][]r2.Point{rect(0.5, 2.5, -0.5, 0.5)}, [][]r2.Point{rect(-3, -1, -0.5, 0.5)})
	w.sc.Controller.Boot = 60 * time.Millisecond
	w.sc.Kinds[0].Timing.PowerUp = 300 * time.Millisecond
	w.sc.Motion.Confirm, w.sc.Motion.Of = 2, 3
	w.p.Schedule.Firings[0].AtUs, w.p.Schedule.Firings[1].AtUs = 20_000, 70_000
	w.sc.Wishes.FirstWarning = 520 * time.Millisecond
	got := w.analyse().Ready
	// b looks backward and warns of nothing ahead: 300 ms, then a at 20, 120 and 220 ms.
	want := plan.Ready{BootUs: 60_000, PowerUpUs: 300_000, Sensor: "a", Confirm: 2, Of: 3, ReadingsUs: 220_000, EchoUs: 0, FirstWarningUs: 520_000, AskedUs: 520_000, Met: true}
	if got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	w.sc.Controller.Boot = 400 * time.Millisecond
	if got := w.analyse().Ready; got.FirstWarningUs != 620_000 || got.Met {
		t.Errorf("slow controller: %+v", got)
	}
	// With no motion any sensor may have to warn, and one reading does.
	w.sc.Motion = nil
	if got := w.analyse(); got.Ready.FirstWarningUs != 470_000 || got.Ready.Sensor != "b" || len(got.Warnings) != 0 {
		t.Errorf("no motion: %+v", got)
	}
	w.p.Schedule.Firings = nil
	if got := w.analyse().Ready; got.Met || got.FirstWarningUs != 0 {
		t.Errorf("nothing fires: %+v", got)
	}
}

// Only who sees a zone on the way counts, the worst state decides, and a lane with a line unseen has no first warning.
func TestReadyByStates(t *testing.T) {
	w := newWorld([][]r2.Point{rect(0.5, 2.5, -0.5, 0.5)}, [][]r2.Point{rect(2.1, 3, -0.5, 0.5)})
	w.p.Schedule.Firings[1].AtUs = 70_000
	w.sc.Wishes.FirstWarning = time.Second
	if got := w.analyse().Ready; got.Sensor != "a" || !got.Met { // b sees the lane beyond the zone, which ends at 2 m
		t.Errorf("beyond the zone: %+v", got)
	}
	w.sc.States = []string{"empty", "loaded"}
	lobe, zone := w.p.Lobes[0], w.p.Zones[0]
	lobe.State, zone.State = "empty", "empty"
	w.p.Lobes, w.p.Zones = []plan.Lobe{lobe}, []plan.Zone{zone}
	lobe.State, zone.State = "loaded", "loaded"
	lobe.Polygon = plan.Polygon{plan.RingOf(rect(0.5, 2.5, -0.5, 0.1))}
	w.p.Lobes, w.p.Zones = append(w.p.Lobes, lobe), append(w.p.Zones, zone)
	r := w.analyse()
	if last := r.Findings[len(r.Findings)-1]; r.Ready.Met || r.Ready.Sensor != "" || r.Ready.FirstWarningUs != 0 || last.Where != "power-up, loaded" || last.Code != CodeLate {
		t.Errorf("%+v %+v", r.Ready, last)
	}
	w.sc.Motion.Way = scene.Backward
	if got := w.analyse().Ready; got.Met || got.Sensor != "" {
		t.Errorf("no zone on the way: %+v", got)
	}
}
