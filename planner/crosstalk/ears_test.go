package crosstalk

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"slices"
	"testing"
	"time"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// pairKind is a common separate pair on 40 kHz. Invented card.
func pairKind() scene.Kind {
	return scene.Kind{
		Name: "open pair", Pair: true, PairSpacingM: scene.Value{X: 0.026},
		CarrierHz: scene.Value{X: 40e3}, SpreadHz: scene.Value{X: 1e3},
		Ranges: []scene.Range{{
			M: scene.Value{X: 4}, EndedBy: scene.EndedByThreshold,
			Against:      scene.Target{Name: "wall", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 2}},
			TemperatureC: 20, HumidityPct: 50, PressurePa: 101325,
		}},
		BlindM: scene.Value{X: 0.02}, InsideReads: scene.ReadsNothing,
		Beam: scene.Beam{
			Across: 30 * s1.Degree, Upright: 30 * s1.Degree,
			Meaning: scene.BeamMeaning{LevelDB: -6, TwoWay: true}, NeverBelowDB: scene.Value{X: -30},
		},
		Timing: scene.Timing{
			By:             scene.ByModule,
			TriggerToBurst: scene.TimeSpan{Lo: 200 * time.Microsecond, Hi: 450 * time.Microsecond},
			Burst:          200 * time.Microsecond, BusyWithoutEcho: 38 * time.Millisecond,
		},
		AssumedSpeed: scene.Value{X: 343},
	}
}

// ring is a cart with n sensors spread round it, each looking straight out.
func ring(n int, walls scene.Span) *scene.Scene {
	sc := &scene.Scene{
		Name: fmt.Sprintf("ring of %d", n),
		Air: scene.Air{
			TemperatureC: scene.Span{Lo: 5, Hi: 35}, HumidityPct: scene.Span{Lo: 20, Hi: 90}, PressurePa: scene.Span{Lo: 101325, Hi: 101325},
		},
		Around: scene.Around{WallsM: walls, Bounces: 1, Ground: scene.GroundSmooth},
		Body:   scene.Body{Outline: geometry.RoundedRectangle(0.9, 0.6, 0.1, r2.Point{}, 1e-3), HeightM: scene.Span{Lo: 0.1, Hi: 0.4}},
		Kinds:  []scene.Kind{pairKind()},
		Wishes: scene.Wishes{Jitter: 50 * time.Microsecond},
		Controller: scene.Controller{
			ClockError: 0.005, Reading: scene.Capture, AtOnce: n,
		},
	}
	h := newHull(sc.Body.Outline)
	for i := range n {
		// The middle of the i-th n-th of the outline.
		s := h.round() * (float64(i) + 0.5) / float64(n)
		k := 0
		for h.arc[k+1] < s {
			k++
		}
		a, b := h.pts[k], h.pts[(k+1)%len(h.pts)]
		at := a.Add(b.Sub(a).Mul((s - h.arc[k]) / (h.arc[k+1] - h.arc[k])))
		sc.Sensors = append(sc.Sensors, scene.Sensor{
			Name: fmt.Sprintf("s%d", i), At: at, Heading: s1.Angle(h.normal[k]), HeightM: 0.2,
		})
	}
	return sc
}

func listen(t testing.TB, sc *scene.Scene) (ears []*acoustics.Ear, slow, fast float64) {
	t.Helper()
	for _, s := range sc.Sensors {
		m, err := acoustics.NewModel(sc.Kinds[s.Kind], sc.Air)
		if err != nil {
			t.Fatal(err)
		}
		ears = append(ears, m.Mount(s, sc.Around.Ground))
	}
	lo, hi := acoustics.SpeedSpan(sc.Air)
	return ears, lo.Value, hi.Value
}

// Common practice, no source: modules that share a carrier and fire all at once disturb each other, so a ring must
// show crosstalk between neighbours, and with walls about between sensors that look the same way.
func TestRingOnOneCarrierDisturbsItself(t *testing.T) {
	sc := ring(12, scene.Span{Lo: 0.5, Hi: 5})
	ears, slow, fast := listen(t, sc)
	arcs := allArcs(sc, ears, slow, fast)
	direct, wall, self := 0, 0, 0
	for _, a := range arcs {
		switch {
		case a.From == a.To:
			self++
		case a.Path == Direct:
			direct++
		default:
			wall++
		}
	}
	t.Logf("%d direct, %d by a wall, %d own", direct, wall, self)
	if direct == 0 || wall < 24 || self != 12 {
		t.Errorf("%d direct, %d by a wall, %d own", direct, wall, self)
	}
}

// uneven is a cart that looks different from every side.
func uneven(walls scene.Span) *scene.Scene {
	sc := ring(9, walls)
	sc.Body.Outline = []r2.Point{{X: 0.5, Y: -0.3}, {X: 0.52, Y: 0.1}, {X: 0.4, Y: 0.33}, {X: -0.4, Y: 0.3}, {X: -0.1, Y: 0.05}, {X: -0.45, Y: -0.25}}
	for i := range sc.Sensors {
		s := &sc.Sensors[i]
		s.HeightM, s.Tilt = 0.2+0.03*float64(i), s1.Angle(0.02*float64(i-4))
		s.Heading += s1.Angle(0.05 * float64(i%4))
	}
	return sc
}

// busy adds what else can reflect: a target of each shape in zones, a leg and a beam. It is alike on both sides only where
// the machine is not asked to be.
func busy(sc *scene.Scene) *scene.Scene {
	sc.Around.Bounces = 2
	zone := []r2.Point{{X: 0.9, Y: -0.7}, {X: 2, Y: -0.8}, {X: 2.2, Y: 0.6}, {X: 0.8, Y: 0.9}}
	for k, shape := range []scene.Shape{scene.Post, scene.Sphere, scene.Wall, scene.Kerb, scene.Bar} {
		sc.Targets = append(sc.Targets, scene.Target{
			Name: string(shape), Shape: shape, RadiusM: 0.04, HeightM: scene.Span{Hi: 0.15 + 0.4*float64(k%2)}, Turned: scene.Span{Lo: -0.1, Hi: 0.1},
		})
		sc.Zones = append(sc.Zones, scene.Zone{Rings: [][]r2.Point{zone}, Target: k})
	}
	sc.Body.Parts = []scene.Part{
		{Name: "leg", RadiusM: 0.02, Centre: r2.Point{X: 0.7, Y: 0.2}, HeightM: scene.Span{Hi: 0.5}},
		{Name: "beam", Outline: []r2.Point{{X: -0.8, Y: -0.2}, {X: -0.7, Y: -0.25}, {X: -0.7, Y: 0.3}, {X: -0.8, Y: 0.25}}, HeightM: scene.Span{Lo: 0.3, Hi: 0.6}},
	}
	return sc
}

// moved is a scene turned and shifted as a whole.
func moved(sc *scene.Scene, turn float64, by r2.Point) *scene.Scene {
	u := unit(turn)
	place := func(p r2.Point) r2.Point { return r2.Point{X: u.X*p.X - u.Y*p.Y, Y: u.Y*p.X + u.X*p.Y}.Add(by) }
	m := *sc
	m.Body.Outline = nil
	for _, p := range sc.Body.Outline {
		m.Body.Outline = append(m.Body.Outline, place(p))
	}
	m = withThings(m, func(r []r2.Point) []r2.Point {
		out := make([]r2.Point, len(r))
		for i, p := range r {
			out[i] = place(p)
		}
		return out
	})
	m.Sensors = nil
	for _, s := range sc.Sensors {
		s.At, s.Heading = place(s.At), s.Heading+s1.Angle(turn)
		m.Sensors = append(m.Sensors, s)
	}
	return &m
}

// withThings moves zones and parts.
func withThings(m scene.Scene, move func([]r2.Point) []r2.Point) scene.Scene {
	zones, parts := m.Zones, m.Body.Parts
	m.Zones, m.Body.Parts, m.Targets = nil, nil, slices.Clone(m.Targets)
	for _, z := range zones {
		var rings [][]r2.Point
		for _, r := range z.Rings {
			rings = append(rings, move(r))
		}
		z.Rings = rings
		m.Zones = append(m.Zones, z)
	}
	for _, p := range parts {
		p.Outline, p.Centre = move(p.Outline), move([]r2.Point{p.Centre})[0]
		m.Body.Parts = append(m.Body.Parts, p)
	}
	return m
}

// mirrored is a scene with left and right exchanged.
func mirrored(sc *scene.Scene) *scene.Scene {
	m := *sc
	m.Body.Outline = nil
	for _, p := range geometry.Reverse(sc.Body.Outline) {
		m.Body.Outline = append(m.Body.Outline, r2.Point{X: p.X, Y: -p.Y})
	}
	m = withThings(m, func(r []r2.Point) []r2.Point {
		r = geometry.Reverse(r)
		for i := range r {
			r[i].Y = -r[i].Y
		}
		return r
	})
	for t := range m.Targets {
		m.Targets[t].Turned = scene.Span{Lo: -m.Targets[t].Turned.Hi, Hi: -m.Targets[t].Turned.Lo}
	}
	m.Sensors = nil
	for _, s := range sc.Sensors {
		s.At.Y, s.Heading = -s.At.Y, -s.Heading
		m.Sensors = append(m.Sensors, s)
	}
	return &m
}

// apart returns the greatest difference of any figure of two lists of arcs, in m, dB or s.
func apart(t *testing.T, a, b []Arc) float64 {
	t.Helper()
	if len(a) != len(b) {
		t.Fatalf("%d arcs, then %d", len(a), len(b))
	}
	worst := 0.0
	for k := range a {
		if a[k].From != b[k].From || a[k].To != b[k].To || a[k].Path != b[k].Path || a[k].Object != b[k].Object || a[k].SameObject != b[k].SameObject {
			t.Fatalf("arc %d differs: %+v, %+v", k, a[k], b[k])
		}
		for _, d := range []float64{
			a[k].PathM.Lo - b[k].PathM.Lo, a[k].PathM.Hi - b[k].PathM.Hi, a[k].LevelDB - b[k].LevelDB,
			(a[k].Starts - b[k].Starts).Seconds(), (a[k].Ends - b[k].Ends).Seconds(),
		} {
			worst = math.Max(worst, math.Abs(d))
		}
	}
	return worst
}

// Keys of the searches are rounded up to 2^-32 (0.2e-9), so rounding elsewhere may move a bound by that and no more.
const stable = 1.0 / grain

// Moving, turning or mirroring the whole machine changes nothing.
func TestMovedAndMirrored(t *testing.T) {
	t.Parallel()
	for _, sc := range []*scene.Scene{ring(10, scene.Span{Lo: 0.4, Hi: 5}), busy(uneven(scene.Span{Lo: 0.2, Hi: 7}))} {
		sc.Around.Bounces = 2
		ears, slow, fast := listen(t, sc)
		want := allArcs(sc, ears, slow, fast)
		if len(want) < 30 {
			t.Errorf("%s: only %d arcs", sc.Name, len(want))
		}
		for turn := 0.1; turn < 6.3; turn += 1.77 {
			m := moved(sc, turn, r2.Point{X: 3 * turn, Y: -2})
			ears, _, _ := listen(t, m)
			if d := apart(t, want, allArcs(m, ears, slow, fast)); d > 2*stable {
				t.Errorf("%s turned by %.2f: figures differ by %g", sc.Name, turn, d)
			}
		}
		m := mirrored(sc)
		ears, _, _ = listen(t, m)
		got := allArcs(m, ears, slow, fast)
		if d := apart(t, want, got); d > 2*stable {
			t.Errorf("%s mirrored: figures differ by %g", sc.Name, d)
		}
		if sc.Name == "ring of 10" {
			continue // a machine alike on both sides has two walls that are the loudest
		}
		for k, a := range got {
			if a.Path == Object || a.From == a.To && a.Path == TwoWalls {
				continue // many are equally loud: a right corner turned about its edge sends back by as long a path
			}
			for i, p := range a.Points {
				if q := want[k].Points[i]; math.Hypot(p.X-q.X, p.Y+q.Y) > 1e-6 {
					t.Errorf("%s: path %v is not the mirror of %v", sc.Name, p, q)
				}
			}
		}
	}
}

// The number of processors changes nothing.
func TestSameOnAnyMachine(t *testing.T) {
	sc := uneven(scene.Span{Lo: 0.2, Hi: 7})
	ears, slow, fast := listen(t, sc)
	want := allArcs(sc, ears, slow, fast)
	for _, n := range []int{1, 2, 5} {
		was := runtime.GOMAXPROCS(n)
		got := allArcs(sc, ears, slow, fast)
		runtime.GOMAXPROCS(was)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("another answer on %d processors", n)
		}
	}
}

// What cannot reflect, or is not asked about, makes no arcs; and louder, nearer, drier never makes fewer or narrower ones.
func TestMoreOfAnythingNeverHidesAnArc(t *testing.T) {
	base := uneven(scene.Span{Lo: 0.5, Hi: 4})
	none := *base
	none.Around.Bounces = 0
	ears, slow, fast := listen(t, &none)
	for _, a := range allArcs(&none, ears, slow, fast) {
		if a.Path != Direct || a.From == a.To {
			t.Errorf("no walls, yet %+v", a)
		}
	}
	none.Around = scene.Around{WallsM: scene.Span{Lo: 1, Hi: 0}, Bounces: 1}
	if n := len(allArcs(&none, ears, slow, fast)); n >= len(allArcs(base, ears, slow, fast)) {
		t.Errorf("%d arcs without walls", n)
	}
	wider := *base
	wider.Around.WallsM = scene.Span{Lo: 0.3, Hi: 5}
	louder := *base
	louder.Kinds = []scene.Kind{pairKind()}
	louder.Kinds[0].Ranges[0].M.X = 5
	want := allArcs(base, ears, slow, fast)
	for _, sc := range []*scene.Scene{&wider, &louder} {
		ears, _, _ := listen(t, sc)
		got := map[[2]int]map[Path]Arc{}
		for _, a := range allArcs(sc, ears, slow, fast) {
			k := [2]int{a.From, a.To}
			if got[k] == nil {
				got[k] = map[Path]Arc{}
			}
			got[k][a.Path] = a
		}
		for _, a := range want {
			b, ok := got[[2]int{a.From, a.To}][a.Path]
			// Either search may stop short of its own truth by the tolerance.
			if !ok || b.PathM.Lo > a.PathM.Lo+pathWithinM || b.PathM.Hi < a.PathM.Hi-pathWithinM || b.LevelDB < a.LevelDB-levelWithinDB {
				t.Errorf("%+v became %+v", a, b)
			}
		}
	}
}

// Sound on a carrier the listener's band does not take in is not heard; a carrier within its spread is.
func TestAnotherCarrier(t *testing.T) {
	sc := ring(8, scene.Span{Lo: 0.5, Hi: 4})
	far := pairKind()
	far.CarrierHz.X = 58e3
	sc.Kinds = append(sc.Kinds, far)
	ears, slow, fast := listen(t, sc)
	same := len(allArcs(sc, ears, slow, fast))
	for i := range sc.Sensors {
		sc.Sensors[i].Kind = i % 2
	}
	ears, slow, fast = listen(t, sc)
	if mixed := len(allArcs(sc, ears, slow, fast)); mixed >= same {
		t.Errorf("%d arcs on two carriers, %d on one", mixed, same)
	}
}

func BenchmarkArcs(b *testing.B) {
	for _, c := range []struct {
		n, bounces int
		busy       bool
	}{{12, 1, false}, {64, 1, false}, {12, 2, false}, {32, 2, false}, {12, 2, true}, {32, 2, true}} {
		b.Run(fmt.Sprintf("%d/bounces=%d/busy=%v", c.n, c.bounces, c.busy), func(b *testing.B) {
			sc := ring(c.n, scene.Span{Lo: 0.3, Hi: 6})
			if c.busy {
				busy(sc)
			}
			sc.Around.Bounces = c.bounces
			ears, slow, fast := listen(b, sc)
			arcs := 0
			for b.Loop() {
				found := allArcs(sc, ears, slow, fast)
				if arcs != 0 && len(found) != arcs || math.IsNaN(found[0].LevelDB) {
					b.Fatal("answers differ")
				}
				arcs = len(found)
			}
			b.ReportMetric(float64(arcs), "arcs")
		})
	}
}
