package acoustics

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

func rect(x0, y0, x1, y1 float64) []r2.Point {
	return []r2.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func looking(t *testing.T, tilt float64) *Ear {
	t.Helper()
	return model(t, can(), still()).Mount(scene.Sensor{HeightM: 0.4, Tilt: deg(tilt)}, scene.GroundSmooth)
}

func TestFaceOfAPartIsRead(t *testing.T) {
	e := looking(t, 0)
	d, level, ok := e.OwnReading(rect(0.6, -0.1, 0.8, 0.1), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0)
	want := e.m.Gain().Hi - WallSpreading(1.2) - e.m.least.Value*1.2
	if !ok {
		t.Fatal("a face at 0.6 m must be read")
	}
	near(t, "reads", d, 0.6, 1e-12)
	near(t, "level", level, want, 1e-9)
	// Moved aside, the face has no foot of a perpendicular: its nearest edge answers, 3-4-5.
	d, _, ok = e.OwnReading(rect(0.4, 0.3, 0.8, 0.5), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0)
	if !ok {
		t.Fatal("an edge at 0.5 m must be read")
	}
	near(t, "edge", d, 0.5, 1e-12)
	// Below the sensor its top edge answers, over the slant.
	d, _, ok = looking(t, -36.87).OwnReading(rect(0.4, -0.1, 0.8, 0.1), scene.Span{Lo: 0, Hi: 0.1}, false, r2.Point{}, 0)
	if !ok {
		t.Fatal("a top edge 0.3 m below, 0.4 m ahead must be read")
	}
	near(t, "top edge", d, 0.5, 1e-12)
	// A round part answers as a post of its radius.
	d, level, ok = e.OwnReading(nil, scene.Span{Lo: 0.3, Hi: 0.5}, true, r2.Point{X: 0.7}, 0.1)
	if !ok {
		t.Fatal("a round part must be read")
	}
	near(t, "round", d, 0.6, 1e-12)
	near(t, "level", level, want-10*math.Log10((0.1+0.6)/0.1), 1e-9)
	// Inside the blind distance nothing is read; far away it is too weak.
	if d, _, ok := e.OwnReading(rect(0.05, -0.02, 0.1, 0.02), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0); ok {
		t.Errorf("read at %g m, blind until %g", d, e.m.NearestM())
	}
	if _, _, ok := e.OwnReading(rect(30, -1, 31, 1), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0); ok {
		t.Error("read at 30 m")
	}
}

// The body a sensor is mounted on does not answer while it is convex; a wing beside the sensor does.
func TestOwnBody(t *testing.T) {
	e := looking(t, 0)
	h := scene.Span{Lo: 0.1, Hi: 0.6}
	var roundish []r2.Point // a disc of 0.5 m whose foremost point carries the sensor
	for i := range 90 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 90)
		roundish = append(roundish, r2.Point{X: -0.5 + 0.5*c, Y: 0.5 * s})
	}
	for what, body := range map[string][]r2.Point{"box": rect(-1, -0.5, 0, 0.5), "disc": roundish} {
		if d, l, ok := e.OwnReading(body, h, false, r2.Point{}, 0); ok {
			t.Errorf("%s reads itself at %g m, %g dB", what, d, l)
		}
	}
	wing := []r2.Point{{X: -1, Y: -0.5}, {X: 0, Y: -0.5}, {X: 0, Y: 0.4}, {X: 0.6, Y: 0.4}, {X: 0.6, Y: 0.5}, {X: -1, Y: 0.5}}
	d, _, ok := e.OwnReading(wing, h, false, r2.Point{}, 0)
	if !ok {
		t.Fatal("a wing 0.4 m beside the sensor must be read at the strongest end")
	}
	near(t, "wing", d, 0.4, 1e-12)
}

// Tilt decides whether rough ground is read; smooth ground never is, and a hand count of one strip agrees.
func TestGroundReading(t *testing.T) {
	for _, g := range []scene.Ground{scene.GroundSmooth, scene.GroundNone} {
		if _, _, ok := looking(t, -40).GroundReading(g); ok {
			t.Errorf("%s ground read", g)
		}
	}
	if d, l, ok := looking(t, 10).GroundReading(scene.GroundGravel); ok {
		t.Errorf("tilted up, yet reads the ground at %g m, %g dB", d, l)
	}
	d, level, ok := looking(t, -45).GroundReading(scene.GroundGravel)
	if !ok || d < 0.4 || level < 0 {
		t.Errorf("tilted down reads %v at %g m, %g dB", ok, d, level)
	}
	if a, _, ok := looking(t, -45).GroundReading(scene.GroundAsphalt); ok && a < d {
		t.Error("asphalt is read nearer than gravel")
	}
	// Straight down with a pattern that is the same all round, the strip is a ring of the burst's length.
	k := can()
	k.Beam.Upright = k.Beam.Across
	e := model(t, k, still()).Mount(scene.Sensor{HeightM: 0.4, Tilt: deg(-90)}, scene.GroundNone)
	h, r, strip := 0.4, 0.5, 0.05
	x := (math.Sqrt(r*r-h*h) + math.Sqrt(sq(r+strip)-h*h)) / 2
	sine := x / math.Hypot(x, h)
	area := math.Pi * (sq(r+strip) - r*r)
	arg := e.m.kSlow * e.m.across * sine
	want := e.m.Gain().Hi - 15 + 10*math.Log10(area) + 20*math.Log10(h/math.Hypot(x, h)) + 2*PistonDB(arg) -
		40*math.Log10(r+strip/2) - 2*e.m.least.Value*(r+strip/2)
	near(t, "ring", e.groundLevel(-15, r, strip), want, 1e-6)
}

// A bench table gives back its own ranges on its own target, direction by direction, beats the piston, and
// is certain of nothing outside what was measured.
func TestBenchTable(t *testing.T) {
	k := can()
	k.Supply.VoltsV = scene.Span{Lo: 5, Hi: 5}
	k.Beam.TableAgainst = post75()
	for _, p := range [][3]float64{{0, 0, 1.8}, {10, 0, 1.7}, {20, 0, 1.2}, {30, 0, 0.7}, {40, 0, 0}, {0, 15, 1.1}, {10, 15, 1.0}, {20, 15, 0.8}} {
		k.Beam.Table = append(k.Beam.Table, scene.BeamPoint{Bearing: deg(p[0]), Elevation: deg(p[1]), RangeM: p[2]})
	}
	m := model(t, k, still())
	if m.BeamShape() != "table" {
		t.Fatal("the table must decide")
	}
	reach, _ := m.ReachM(post75())
	near(t, "on axis", reach, 1.8, 1e-6)
	e := m.Mount(scene.Sensor{HeightM: 0.4}, scene.GroundNone)
	for _, p := range k.Beam.Table {
		if p.RangeM == 0 || p.Elevation != 0 {
			continue
		}
		for _, side := range []float64{1, -1} {
			s, c := math.Sincos(side * p.Bearing.Radians())
			at := func(d float64) float64 {
				return e.Level(post75(), r2.Point{X: c, Y: s}.Mul(d+post75().RadiusM), Certain)
			}
			if p.Bearing.Degrees() < 29 { // the last heard bearing: rounding may put it beside the heard ones
				near(t, "level at its range", at(p.RangeM), 0, 1e-6)
			}
		}
	}
	if v := e.Level(post75(), r2.Point{X: 0.3, Y: 0.3}, Certain); !math.IsInf(v, -1) {
		t.Errorf("beyond the last heard bearing %g dB are certain", v)
	}
	// Tilted by its own elevation it has that row's range.
	tilted := m.Mount(scene.Sensor{HeightM: 0.4, Tilt: deg(-15)}, scene.GroundNone)
	near(t, "elevation row", tilted.Level(post75(), r2.Point{X: 1.1 + 0.0375}, Certain), 0, 1e-6)
	// Its lobe reaches the measured ranges within the stated error.
	l := e.Lobe(post75(), LobeOptions{NearM: 0.2})
	for _, b := range []float64{0, 10, -20} {
		s, c := math.Sincos(b * math.Pi / 180)
		d := map[float64]float64{0: 1.8, 10: 1.7, -20: 1.2}[b] + 0.0375
		if off := toRings(l.Rings, r2.Point{X: c * d, Y: s * d}); off > l.ErrorM {
			t.Errorf("bearing %g: measured range is %g m from the lobe", b, off)
		}
	}
	k.Beam.Table = k.Beam.Table[1:]
	if _, err := NewModel(k, still()); err == nil {
		t.Error("a table without its axis must be refused")
	}
}
