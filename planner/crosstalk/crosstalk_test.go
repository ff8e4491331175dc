package crosstalk

import (
	"math"
	"reflect"
	"testing"
	"time"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// In the Plan times are whole microseconds rounded outward, and a sensor's own late sound reads as it does one cycle later:
// 4.2 m there and back, fired again after 20 ms, reads 4.2 - 343.2·0.02/2 = 0.768 m.
func TestReport(t *testing.T) {
	sc := front(0.5, scene.Span{})
	sound := span{343.2, 343.2}
	arcs := []Arc{
		{From: 0, To: 1, Path: Direct, Points: []r2.Point{{X: 1}, {X: 2}}, PathM: scene.Span{Lo: 0.5, Hi: 0.5}, Starts: 1456700, Ends: 1456901, LevelDB: 7, sound: sound, fixed: 343.2},
		{From: 1, To: 1, Path: Wall, PathM: scene.Span{Lo: 8.4, Hi: 8.4}, sound: sound, fixed: 343.2},
		{From: 1, To: 1, Path: Wall, PathM: scene.Span{Lo: 2, Hi: 8.4}, sound: sound, fixed: 343.2},
	}
	got := Report(sc, arcs, 20*time.Millisecond, []float64{4, 4})
	if a := got[0]; a.From != "a" || a.To != "b" || a.Path != "direct" || a.FromUs != 1456 || a.UntilUs != 1457 || a.LevelDB != 7 ||
		!reflect.DeepEqual(a.Points, [][2]float64{{1, 0}, {2, 0}}) {
		t.Errorf("%+v", a)
	}
	near(t, "direct reads", got[0].ReadsM[0], 0.25, 1e-12)
	near(t, "own late echo reads", got[1].ReadsM[0], 0.768, 1e-9)
	near(t, "own late echo reads", got[1].ReadsM[1], 0.768, 1e-9)
	if got[2].ReadsM[0] != 0 {
		t.Errorf("sound gone by then reads %v", got[2].ReadsM[0])
	}
}

// What a module shows follows its own idea of the speed of sound, and when the two bursts leave.
//
//	fixed 343: 343/2 · (1/349 + 0.2 ms - 0.5 ms) … 343/2 · (1/331 + 0.9 ms - 0.2 ms)
//	compensated, c known: 1/2 - 349/2 · 0.3 ms … 1/2 + 349/2 · 0.7 ms
func TestReadsByTheListenersSpeed(t *testing.T) {
	a := Arc{PathM: scene.Span{Lo: 1, Hi: 1}, early: -0.3e-3, late: 0.7e-3, sound: span{331, 349}, fixed: 343}
	r := a.Reads(0)
	near(t, "least", r.Lo, 343.0/2*(1.0/349-0.3e-3), 1e-12)
	near(t, "most", r.Hi, 343.0/2*(1.0/331+0.7e-3), 1e-12)
	a.fixed = 0
	r = a.Reads(0)
	near(t, "least, compensated", r.Lo, 0.5-349.0/2*0.3e-3, 1e-12)
	near(t, "most, compensated", r.Hi, 0.5+349.0/2*0.7e-3, 1e-12)
}

// Bursts, the two places of a separate pair and clock error widen a span, each by hand; jitter, in whole microseconds, only what
// is shown of it.
func TestSpansAreWidened(t *testing.T) {
	sc := front(0.5, scene.Span{Lo: 1})
	plain := find(t, trial(sc, everywhere, 60, 0, 340, 340).all(), 0, 1, Direct)
	near(t, "plain, ms", plain.Starts.Seconds()*1e3, 0.5/340*1e3, 1e-6)
	sc.Kinds[0].Timing = scene.Timing{
		TriggerToBurst: scene.TimeSpan{Lo: 200 * time.Microsecond, Hi: 700 * time.Microsecond}, Burst: 400 * time.Microsecond,
	}
	sc.Kinds[0].Pair, sc.Kinds[0].PairSpacingM.X = true, 0.034
	sc.Wishes.Jitter, sc.Controller.ClockError = 50*time.Microsecond, 0.01
	wide := find(t, trial(sc, everywhere, 60, 0, 340, 340).all(), 0, 1, Direct)
	near(t, "starts, ms", wide.Starts.Seconds()*1e3, 0.99*((0.5-0.034)/340*1e3+0.2), 1e-5)
	near(t, "ends, ms", wide.Ends.Seconds()*1e3, 1.01*((0.5+0.034)/340*1e3+0.7+0.4), 1e-5)
	// 0.99 x (0.466/340 s + 0.2 ms) = 1554.88 us and 1.01 x (0.534/340 s + 1.1 ms) = 2697.29 us, twice 50.2 us rounded up.
	if from, until := wide.SpanUs(50200 * time.Nanosecond); from != 1554-102 || until != 2698+102 {
		t.Errorf("%d to %d us", from, until)
	}
	if from, _ := wide.SpanUs(time.Millisecond); from != 0 {
		t.Errorf("begins %d us before the firing", -from)
	}
}

// Round a body sound creeps along the hull: from the middle of the front to the middle of the rear of a square of 1 m it is
// half way round, 2 m; and both ends bend, which costs twice the loss.
func TestRoundTheBody(t *testing.T) {
	sc := front(0, scene.Span{Lo: 1})
	sc.Sensors[1].At.X = -0.5
	sc.Sensors[1].Heading = math.Pi
	a := trial(sc, everywhere, 60, 0, 340, 340)
	arc := find(t, a.all(), 0, 1, Direct)
	near(t, "nearest", arc.PathM.Lo, 1, 1e-12)
	near(t, "farthest", arc.PathM.Hi, 2, 1e-12)
	near(t, "level", arc.LevelDB, 60-2*BendLossDB, 1e-12)
	// Side by side on one straight edge nothing bends, whatever the rounding of ninety degrees.
	for _, heading := range []s1.Angle{0, 1e-9, -1e-9} {
		sc := front(0.5, scene.Span{Lo: 1})
		sc.Sensors[0].Heading = heading
		arc := find(t, trial(sc, everywhere, 60, 0, 340, 340).all(), 0, 1, Direct)
		near(t, "level along an edge", arc.LevelDB, 60+20*math.Log10(2), 1e-9)
	}
}

// Two zones of one target far apart give two arcs, each no longer than its zone asks: posts of 20 mm radius, axes 0.5 to
// 0.7 m and 2 to 2.2 m ahead, so twice 0.48 to twice 0.68 m (0.7 m and the corner of the zone) and so on.
func TestArcsOfOneWayMayBeDisjoint(t *testing.T) {
	sc := front(0, scene.Span{Lo: 1})
	sc.Sensors = sc.Sensors[:1]
	sc.Targets = []scene.Target{{Name: "post", Shape: scene.Post, RadiusM: 0.02, HeightM: scene.Span{Hi: 1}}}
	for _, x := range []float64{1, 2.5} {
		sc.Zones = append(sc.Zones, scene.Zone{Rings: [][]r2.Point{{{X: x, Y: -0.1}, {X: x + 0.2, Y: -0.1}, {X: x + 0.2, Y: 0.1}, {X: x, Y: 0.1}}}})
	}
	found := byPair(trial(sc, everywhere, 80, 0, 340, 340).all(), Object)[[2]int{0, 0}]
	if len(found) != 2 {
		t.Fatalf("%d arcs: %+v", len(found), found)
	}
	for k, near := range []float64{0.5, 2} {
		lo, hi := 2*(near-0.02), 2*(math.Hypot(near+0.2, 0.1)-0.02)
		got := found[k].PathM
		if got.Lo > lo || got.Lo < lo-pathWithinM-2*padM || got.Hi < hi || got.Hi > hi+pathWithinM+2*padM {
			t.Errorf("%+v, want %v to %v", got, lo, hi)
		}
	}
}

// A wall 1 m before two sensors 0.5 m apart is read by each itself, 31 mm sooner than by way of the other, as long as no wall is
// turned so far that the listener stands much farther from it: by sj (sj - si) <= b²/4, under 7 degrees. So beams that hear
// no wall turned farther merely hear the same object, wider ones do not.
func TestSameObject(t *testing.T) {
	for _, c := range []struct {
		fall float64 // dB per square of the sine
		same bool
	}{{5000, true}, {50, false}} {
		sc := front(0.5, scene.Span{Lo: 1, Hi: 1})
		aim := s1.Angle(math.Atan(0.25)) // at the place where a wall square to both reflects
		sc.Sensors[0].Heading, sc.Sensors[1].Heading = -aim, aim
		a := trial(sc, func(side, up float64) float64 { return -c.fall * (side*side + up*up) }, 30, 0, 343.2, 343.2)
		for i := range a.voices {
			a.voices[i].sure = &certain{gainDB: 100, pattern: everywhere}
		}
		if arc := find(t, a.all(), 0, 1, Wall); arc.SameObject != c.same {
			t.Errorf("beam falling by %v: same object %v", c.fall, arc.SameObject)
		}
		a.voices[1].sure.gainDB = 0 // deaf to its own echo
		arcs := a.all()
		if find(t, arcs, 0, 1, Wall).SameObject {
			t.Error("a listener that cannot hear the wall itself is said to")
		}
		if find(t, arcs, 1, 0, Wall).SameObject != c.same {
			t.Error("the other listener is not judged by itself")
		}
	}
}

// Sound that goes 0.5 m along the body reads 0.25 m and hides all beyond; if its sender fires 1 ms before the
// listener, all from (0.5 - 0.3432)/2 = 0.0784 m; gone by, it hides nothing, nor what lies beyond the window.
func TestHides(t *testing.T) {
	a := Arc{PathM: scene.Span{Lo: 0.5, Hi: 0.5}, sound: span{343.2, 343.2}, fixed: 300}
	s, ok := a.Hides(0, 4)
	near(t, "from", s.Lo, 0.25, 1e-12)
	near(t, "to", s.Hi, 4, 0)
	if s, _ = a.Hides(time.Millisecond, 4); !ok {
		t.Error("hides nothing")
	}
	near(t, "from, fired later", s.Lo, 0.0784, 1e-12)
	for _, c := range []struct {
		lag    time.Duration
		listen float64
	}{{2 * time.Millisecond, 4}, {0, 0.2}} {
		if s, ok := a.Hides(c.lag, c.listen); ok {
			t.Errorf("%v: %v", c, s)
		}
	}
}

// A body between two sensors that look at each other costs one bend at the least; an open line of sight costs none and is
// straight.
func TestLineOfSight(t *testing.T) {
	sc := front(0, scene.Span{Lo: 1})
	sc.Sensors[0].At, sc.Sensors[0].Heading = r2.Point{X: 1, Y: 0.6}, math.Pi
	sc.Sensors[1].At = r2.Point{X: -1, Y: 0.6}
	arc := find(t, trial(sc, everywhere, 60, 0, 340, 340).all(), 0, 1, Direct)
	near(t, "open level", arc.LevelDB, 60-20*math.Log10(2), 1e-9)
	near(t, "open way", arc.PathM.Hi, 2, 1e-12)
	for i := range sc.Sensors {
		sc.Sensors[i].At.Y = 0.2
	}
	arc = find(t, trial(sc, everywhere, 60, 0, 340, 340).all(), 0, 1, Direct)
	near(t, "blocked level", arc.LevelDB, 60-20*math.Log10(2)-BendLossDB, 1e-9)
	near(t, "blocked, shortest", arc.PathM.Lo, 2, 1e-12)
	if arc.PathM.Hi < 2.4 {
		t.Errorf("the way round is %v", arc.PathM.Hi)
	}
}
