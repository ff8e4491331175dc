package view

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

func same(a, b []canvas.Layer) bool { return reflect.DeepEqual(a, b) }

// By hand: 100 points a metre, the origin at (500, 350).
var hundred = Camera{Area: area, Scale: 100}

func TestBodyAndSensorByHand(t *testing.T) {
	p := crowd(1) // at (0.3, 0), looks forward
	layers := Drawing(nil, p, Live{}, hundred, Looks{}, ruler(t))
	body := find(layers, "body")[0].Rings[0]
	if want := []canvas.Point{{530, 370}, {530, 330}, {470, 330}, {470, 370}}; !reflect.DeepEqual(body, want) {
		t.Errorf("body %v, want %v", body, want)
	}
	wedge := find(layers, "sensors")[0].Rings[0]
	c := canvas.Point{}
	for _, q := range wedge {
		if q[1] < 350-9 || q[1] > 350+9 || q[0] < 530-9 || q[0] > 530+9 {
			t.Errorf("%v is not on the sensor at (530, 350)", q)
		}
		c[0] += q[0] / 4
	}
	if c[0] <= 530 {
		t.Errorf("the wedge's middle, %g, is not ahead of the sensor", c[0])
	}
}

// The grid lies at round metres: at 100 points a metre and at least 48 points apart, every 0.5 m.
func TestGridByHand(t *testing.T) {
	layers := Drawing(nil, crowd(0), Live{}, hundred, Looks{Grid: true}, ruler(t))
	shapes := find(layers, "grid")
	xs, ys := map[float64]bool{}, map[float64]bool{}
	for _, s := range shapes {
		for _, l := range s.Rings {
			if l[0][0] == l[1][0] {
				xs[l[0][0]] = true
			} else {
				ys[l[0][1]] = true
			}
		}
	}
	// From x = 100 to 900, y = 50 to 650, the ends included.
	for i := range 17 {
		if !xs[100+50*float64(i)] {
			t.Errorf("no line at x = %d", 100+50*i)
		}
	}
	if len(xs) != 17 || len(ys) != 13 {
		t.Errorf("%d upright, %d level, want 17 and 13", len(xs), len(ys))
	}
	if axes := shapes[1].Rings; len(axes) != 2 || axes[0][0][0] != 500 || axes[1][0][1] != 350 {
		t.Errorf("axes %v", axes)
	}
}

// A dragged sensor's lobe goes with it: from (0.3, 0) looking forward to (0, 0.2) looking left is a quarter turn about the
// origin and 0.1 m back to the right of it.
func TestMovedLobe(t *testing.T) {
	p := crowd(1)
	p.Lobes[0].Polygon = plan.Polygon{{{0.3, 0}, {1.3, 0.5}, {1.3, -0.5}}}
	live := Live{Moved: map[string]Pose{"eye.1": {[2]float64{0, 0.2}, math.Pi / 2}}}
	got := find(Drawing(nil, p, live, hundred, Looks{Lobes: true}, ruler(t)), "beams")[0].Rings[0]
	// The sensor stays its corner; 1 m ahead and 0.5 m to the left of it is (-0.5, 1.2).
	for i, want := range [][2]float64{{0, 0.2}, {-0.5, 1.2}, {0.5, 1.2}} {
		if !near(got[i], hundred.At(want), 1e-9) {
			t.Errorf("corner %d at %v, want %v", i, got[i], hundred.At(want))
		}
	}
}

// The lobes shown are those of the target and state asked for, else the first the plan has.
func TestTargetAndState(t *testing.T) {
	p := crowd(2)
	p.Lobes[0].Target, p.Lobes[0].State = "wall", "open"
	p.Zones = nil
	for _, c := range []struct{ target, state, wantTarget, wantState string }{
		{"", "", "wall", "open"}, {"post", "", "post", ""}, {"wall", "", "wall", "open"}, {"", "open", "wall", "open"}, {"gone", "gone", "wall", "open"},
		{"post", "open", "post", ""},
	} {
		if a, b := Shown(p, Looks{Target: c.target, State: c.state}); a != c.wantTarget || b != c.wantState {
			t.Errorf("asked %q %q: %q %q, want %q %q", c.target, c.state, a, b, c.wantTarget, c.wantState)
		}
	}
}

// The arcs of a wavefront: radius = speed × time at the fastest and the slowest sound, about the sensor, within the beam.
func TestWavefront(t *testing.T) {
	p := crowd(3)
	const after = 3 * time.Millisecond
	cam := Camera{Area: canvas.Rect{W: 2000, H: 2000}, Scale: 300}
	layers := Drawing(nil, p, Live{}, cam, Looks{Marked: true, Mark: 20*time.Millisecond + after}, ruler(t))
	s := p.Sensors[1]
	c := cam.At([2]float64{s.X, s.Y})
	half := math.Asin(1.61634 / (2 * math.Pi * 40000 / 340 * 0.006))
	found := map[float64]bool{}
	for _, shape := range find(layers, "sound") {
		if !shape.Open || shape.Style.Stroke != draw.Front {
			continue
		}
		for _, speed := range []float64{330, 350} {
			want := speed * after.Seconds() * 300
			arc := shape.Rings[0]
			if math.Abs(math.Hypot(arc[0][0]-c[0], arc[0][1]-c[1])-want) > 1e-6 {
				continue
			}
			found[speed] = true
			for _, q := range arc {
				if r := math.Hypot(q[0]-c[0], q[1]-c[1]); math.Abs(r-want) > 1e-6 {
					t.Errorf("radius %g, want %g", r, want)
				}
				if off := math.Remainder(math.Atan2(c[1]-q[1], q[0]-c[0])-s.Heading, 2*math.Pi); math.Abs(off) > half+1e-9 {
					t.Errorf("%g rad off the axis, the beam has %g", off, half)
				}
			}
		}
	}
	if len(found) != 2 {
		t.Errorf("fronts at %v, want both speeds", found)
	}
}

// The half width of the beam against the piston's formula: 2 J1(x)/x = 1/√2 there.
func TestBeamHalf(t *testing.T) {
	s := plan.Sensor{FrequencyHz: 40000, Beam: plan.Beam{SemiAxesM: [2]float64{0.006, 0.006}}}
	air := plan.Air{Slowest: 330, Fastest: 350}
	x := 2 * math.Pi * 40000 / 340 * 0.006 * math.Sin(beamHalf(s, air))
	if got := 2 * math.J1(x) / x; math.Abs(got-math.Sqrt2/2) > 1e-5 {
		t.Errorf("2 J1(x)/x = %g", got)
	}
	s.Beam.SemiAxesM[0] = 0.0001
	if beamHalf(s, air) != math.Pi/2 {
		t.Error("a small piston does not sound to all sides")
	}
}

// Sound of the cycle before is still in the air at the beginning of the next.
func TestSoundOfTheCycleBefore(t *testing.T) {
	p := crowd(2) // the second fires at 20 ms of 40, its sound counts until 50
	cam := Camera{Area: canvas.Rect{W: 4000, H: 4000}, Scale: 100}
	far := func(mark time.Duration) (radii []float64) {
		s := p.Sensors[1]
		c := cam.At([2]float64{s.X, s.Y})
		for _, shape := range find(Drawing(nil, p, Live{}, cam, Looks{Marked: true, Mark: mark}, ruler(t)), "sound") {
			if shape.Open && shape.Style.Stroke == draw.Late {
				q := shape.Rings[0][0]
				radii = append(radii, math.Hypot(q[0]-c[0], q[1]-c[1]))
			}
		}
		return radii
	}
	want := 350 * 0.025 * 100.0 // 25 ms after it fired
	ok := false
	for _, r := range far(5 * time.Millisecond) {
		ok = ok || math.Abs(r-want) < 1e-6
	}
	if !ok {
		t.Errorf("late fronts at %v, want one at %g", far(5*time.Millisecond), want)
	}
	for _, r := range far(11 * time.Millisecond) { // 31 ms after: gone
		if math.Abs(r-350*0.031*100) < 1 {
			t.Errorf("a front at %g after its sound is gone", r)
		}
	}
}

// Who sees the target put down, and why nobody does.
func TestProbe(t *testing.T) {
	p := crowd(1)
	p.Lobes[0].Polygon = plan.Polygon{{{0.3, 0}, {1.3, 0.5}, {1.3, -0.5}}}
	p.BlindSpots[0] = plan.BlindSpot{Target: "post", Cause: "shadowed", Part: "mast", Sensor: "eye.1", Polygon: plan.Polygon{{{-1, -1}, {-0.8, -1}, {-0.8, -0.8}}}}
	for _, c := range []struct {
		at          [2]float64
		first, then string
	}{
		{[2]float64{1, 0.1}, "post seen by 1", "eye.1"},
		{[2]float64{-0.85, -0.95}, "post: no sensor sees it for certain", "shadowed (mast) · nearest to seeing it: eye.1"},
		{[2]float64{0, 0}, "post: no sensor sees it for certain", words.inside},
		{[2]float64{2, 0}, "post: no sensor sees it for certain", words.outOfSight},
		{[2]float64{3.5, 0}, "post: no sensor sees it for certain", words.tooFar},
		{[2]float64{0, 1}, "post: no sensor sees it for certain", words.offBeam},
	} {
		var texts []string
		for _, s := range find(Drawing(nil, p, Live{}, Camera{Area: area, Scale: 50}, Looks{Probed: true, Probe: c.at}, ruler(t)), "labels") {
			if s.Text != "" {
				texts = append(texts, s.Text)
			}
		}
		if len(texts) != 2 || texts[0] != c.first || texts[1] != c.then {
			t.Errorf("at %v: %q, want %q, %q", c.at, texts, c.first, c.then)
		}
	}
}

// A measuring line between two places on the outline tells the way along it: from the middle of the front to the middle of
// the left side it is 0.2 m + 0.3 m.
func TestMeasure(t *testing.T) {
	read := func(to [2]float64) (texts []string) {
		for _, s := range find(Drawing(nil, crowd(0), Live{}, hundred, Looks{Measured: true, Measure: [2][2]float64{{0.3, 0}, to}}, ruler(t)), "labels") {
			if s.Text != "" {
				texts = append(texts, s.Text)
			}
		}
		return texts
	}
	if got := read([2]float64{0, 0.2}); !reflect.DeepEqual(got, []string{"0.36 m", "0.50 m along the edge"}) {
		t.Errorf("%q", got)
	}
	if got := read([2]float64{0, 0}); !reflect.DeepEqual(got, []string{"0.30 m"}) {
		t.Errorf("%q", got)
	}
}

// The lines across the lane, on every way, against the same turned by hand.
func TestStops(t *testing.T) {
	for _, c := range []struct {
		way      string
		at       [2]float64
		from, to [2]float64 // of the first warning, right and left as one goes
	}{
		{"forward", [2]float64{1.3, 0.1}, [2]float64{1.3, -0.25}, [2]float64{1.3, 0.15}},
		{"backward", [2]float64{-1.3, 0.1}, [2]float64{-1.3, 0.25}, [2]float64{-1.3, -0.15}},
		{"left", [2]float64{0.1, 1.2}, [2]float64{0.25, 1.2}, [2]float64{-0.15, 1.2}},
		{"right", [2]float64{0.1, -1.2}, [2]float64{-0.25, -1.2}, [2]float64{0.15, -1.2}},
	} {
		p := crowd(1)
		p.Warnings = []plan.Warning{{Target: "post", Way: c.way, Asked: true, Met: true, LaneM: [2]float64{-0.25, 0.15}, FirstM: 1, NeededM: 0.5, At: c.at}}
		shapes := find(Drawing(nil, p, Live{}, hundred, Looks{Stops: true}, ruler(t)), "stops")
		if len(shapes) != 2 {
			t.Fatalf("%s: %d shapes", c.way, len(shapes))
		}
		got := shapes[1].Rings[0]
		if !near(got[0], hundred.At(c.from), 1e-6) || !near(got[1], hundred.At(c.to), 1e-6) {
			t.Errorf("%s: %v, want %v %v", c.way, got, hundred.At(c.from), hundred.At(c.to))
		}
		needed := shapes[0].Rings[0]
		if d := math.Hypot(needed[0][0]-got[0][0], needed[0][1]-got[0][1]); math.Abs(d-50) > 1e-6 {
			t.Errorf("%s: the lines lie %g points apart, want 50", c.way, d)
		}
	}
}

// Whatever is asked for, however absurd: no panic, every place a number within reach of the area, and not too many of them.
func TestNothingLeavesTheArea(t *testing.T) {
	r := ruler(t)
	rnd := rand.New(rand.NewPCG(3, 4))
	check := func(what string, area canvas.Rect, layers []canvas.Layer) {
		t.Helper()
		shapes := 0
		for _, l := range layers {
			if l.Clip != area {
				t.Fatalf("%s: layer %s is clipped to %v, not %v", what, l.Name, l.Clip, area)
			}
			for _, s := range l.Shapes {
				shapes++
				if s.Text != "" && (!finite(s.At) || s.Size < 9) {
					t.Fatalf("%s: text %q of size %g at %v", what, s.Text, s.Size, s.At)
				}
				for _, ring := range s.Rings {
					for _, q := range ring {
						if !finite(q) || q[0] < area.X-5000 || q[0] > area.X+area.W+5000 || q[1] < area.Y-5000 || q[1] > area.Y+area.H+5000 {
							t.Fatalf("%s: %s has a place at %v, the area is %v", what, l.Name, q, area)
						}
					}
				}
			}
		}
		if shapes > 8000 {
			t.Fatalf("%s: %d shapes", what, shapes)
		}
	}
	bad := []float64{0, 1e-300, -1, 1e300, math.NaN(), math.Inf(1), math.Inf(-1), 0.5, 20000}
	for range 1500 {
		p, cam, looks, live := random(rnd)
		pick := func() float64 { return bad[rnd.IntN(len(bad))] }
		switch rnd.IntN(12) {
		case 0:
			cam.Scale = pick()
		case 1:
			cam.Centre = [2]float64{pick(), pick()}
		case 2:
			cam.Area = canvas.Rect{X: pick(), Y: 0, W: pick(), H: pick()}
		case 3:
			looks.Probe, looks.Measure[0] = [2]float64{pick(), pick()}, [2]float64{pick(), 0}
		case 4:
			for i := range p.Sensors {
				p.Sensors[i].X, p.Sensors[i].Heading, p.Sensors[i].Z, p.Sensors[i].Beam.SemiAxesM[0] = pick(), pick(), pick(), pick()
			}
		case 5:
			p.Body.Outline = plan.Ring{{pick(), pick()}, {pick(), 0}, {0, pick()}}
			p.Body.HeightM = [2]float64{pick(), pick()}
		case 6:
			for i := range p.Lobes {
				p.Lobes[i].Polygon[0][3] = [2]float64{pick(), pick()}
			}
		case 7:
			p.Air = plan.Air{Slowest: pick(), Fastest: pick()}
			p.Schedule.CycleUs = []int64{-1, 1, math.MaxInt64, math.MinInt64}[rnd.IntN(4)]
		case 8:
			looks.Mark = time.Duration(math.MaxInt64)
			live.Moved = map[string]Pose{"eye.1": {[2]float64{pick(), pick()}, pick()}}
		case 9:
			live.Box = canvas.Rect{X: pick(), Y: pick(), W: pick(), H: pick()}
			live.Ring = [][2]float64{{pick(), pick()}, {1, pick()}, {pick(), 1}}
		case 10:
			p.Body, p.Lobes, p.Zones, p.Targets = plan.Body{}, nil, nil, nil
		case 11:
			for i := range p.Crosstalk {
				p.Crosstalk[i].Points = [][2]float64{{pick(), pick()}, {pick(), 0}}
			}
		}
		if rnd.IntN(300) == 0 {
			for len(p.Lobes) > 0 && len(p.Lobes) < 500 {
				p.Lobes = append(p.Lobes, p.Lobes[0])
			}
		}
		check("drawing", cam.Area, Drawing(nil, p, live, cam, looks, r))
		c, ruling := Cycle(p, cam.Area, live, looks, r)
		check("cycle", cam.Area, c)
		ruling.Time(pick())
		ruling.Sensor(canvas.Point{pick(), pick()})
		if len(p.Sensors) > 0 {
			s, h := Side(p, p.Sensors[0].Name, cam.Area, looks, r)
			check("side", cam.Area, s)
			h.World(canvas.Point{pick(), pick()})
		}
		Under(p, cam, looks, canvas.Point{cam.Area.X + 10, cam.Area.Y + 10})
		Extent(p)
	}
}

func TestNothingAtAll(t *testing.T) {
	r := ruler(t)
	for _, p := range []*plan.Plan{nil, {}, plantest.Small()} {
		for _, a := range []canvas.Rect{{}, {W: 1, H: 1}, {W: 40, H: 900}, {W: 900, H: 10}} {
			Drawing(nil, p, Live{}, Camera{Area: a, Scale: 10}, Looks{Grid: true}, r)
			Cycle(p, a, Live{}, Looks{}, r)
			Side(p, "b", a, Looks{}, r)
			Under(p, Camera{Area: a, Scale: 10}, Looks{}, canvas.Point{})
		}
		if lo, hi := Extent(p); !(lo[0] < hi[0] && lo[1] < hi[1]) {
			t.Errorf("extent %v to %v", lo, hi)
		}
	}
}
