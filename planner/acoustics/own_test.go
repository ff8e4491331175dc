package acoustics

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

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
	o, ok := e.OwnReading(rect(0.6, -0.1, 0.8, 0.1), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0, nil)
	want := e.m.Gain().Hi - WallSpreading(1.2) - e.m.least.Value*1.2
	if !ok {
		t.Fatal("a face at 0.6 m must be read")
	}
	near(t, "reads", o.ReadsM, 0.6, 1e-12)
	near(t, "level", o.LevelDB, want, 1e-9)
	// Moved aside, the face has no foot of a perpendicular: its nearest edge answers, 3-4-5.
	o, ok = e.OwnReading(rect(0.4, 0.3, 0.8, 0.5), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0, nil)
	if !ok {
		t.Fatal("an edge at 0.5 m must be read")
	}
	near(t, "edge", o.ReadsM, 0.5, 1e-12)
	// Below the sensor its top edge answers, over the slant.
	o, ok = looking(t, -36.87).OwnReading(rect(0.4, -0.1, 0.8, 0.1), scene.Span{Lo: 0, Hi: 0.1}, false, r2.Point{}, 0, nil)
	if !ok {
		t.Fatal("a top edge 0.3 m below, 0.4 m ahead must be read")
	}
	near(t, "top edge", o.ReadsM, 0.5, 1e-12)
	// A round part answers as a post of its radius.
	o, ok = e.OwnReading(nil, scene.Span{Lo: 0.3, Hi: 0.5}, true, r2.Point{X: 0.7}, 0.1, nil)
	if !ok {
		t.Fatal("a round part must be read")
	}
	near(t, "round", o.ReadsM, 0.6, 1e-12)
	near(t, "level", o.LevelDB, want-10*math.Log10((0.1+0.6)/0.1), 1e-9)
	// Inside the blind distance nothing is read; far away it is too weak.
	if o, ok := e.OwnReading(rect(0.05, -0.02, 0.1, 0.02), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0, nil); ok {
		t.Errorf("read at %g m, blind until %g", o.ReadsM, e.m.NearestM())
	}
	if _, ok := e.OwnReading(rect(30, -1, 31, 1), scene.Span{Lo: 0.3, Hi: 0.5}, false, r2.Point{}, 0, nil); ok {
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
		if o, ok := e.OwnReading(body, h, false, r2.Point{}, 0, nil); ok {
			t.Errorf("%s reads itself: %+v", what, o)
		}
	}
	wing := []r2.Point{{X: -1, Y: -0.5}, {X: 0, Y: -0.5}, {X: 0, Y: 0.4}, {X: 0.6, Y: 0.4}, {X: 0.6, Y: 0.5}, {X: -1, Y: 0.5}}
	o, ok := e.OwnReading(wing, h, false, r2.Point{}, 0, nil)
	if !ok {
		t.Fatal("a wing 0.4 m beside the sensor must be read at the strongest end")
	}
	near(t, "wing", o.ReadsM, 0.4, 1e-12)
}

// Tilt decides whether rough ground is read; smooth ground never is, and a hand count of one strip agrees.
func TestGroundReading(t *testing.T) {
	for _, g := range []scene.Ground{scene.GroundSmooth, scene.GroundNone} {
		if _, ok := looking(t, -40).GroundReading(g, 0); ok {
			t.Errorf("%s ground read", g)
		}
	}
	if o, ok := looking(t, 10).GroundReading(scene.GroundGravel, 0); ok {
		t.Errorf("tilted up, yet reads the ground: %+v", o)
	}
	down := looking(t, -45)
	o, ok := down.GroundReading(scene.GroundGravel, 0)
	if !ok || o.ReadsM < 0.4 || o.LevelDB < 0 || o.WeakDB > o.LevelDB {
		t.Errorf("tilted down reads %v: %+v", ok, o)
	}
	// The highest level is that of some strip, at both ends of all spans; short of where it is read it is not.
	strip := down.m.fast.Value * down.m.burst() / 2
	for _, end := range []End{Strongest, Certain} {
		most := math.Inf(-1)
		for d := 0.4; d < 3; d += 0.003 {
			most = math.Max(most, down.groundLevel(-15, d, strip, end))
		}
		// Strips 20 mm apart miss the top by little: the level bends by far less than 0.1 dB over 10 mm there.
		near(t, "highest", map[End]float64{Strongest: o.LevelDB, Certain: o.WeakDB}[end], most, 0.1)
	}
	if o.ReadsM > 0.41 {
		if _, ok := down.GroundReading(scene.GroundGravel, o.ReadsM-0.01); ok {
			t.Error("read short of where it is read")
		}
	}
	if a, ok := looking(t, -45).GroundReading(scene.GroundAsphalt, 0); ok && a.ReadsM < o.ReadsM {
		t.Error("asphalt is read nearer than gravel")
	}
	// Straight down with a pattern that is the same all round, the strip is a ring of the burst's length.
	k := can()
	k.Beam.Upright = k.Beam.Across
	e := model(t, k, still()).Mount(scene.Sensor{HeightM: 0.4, Tilt: deg(-90)}, scene.GroundNone)
	h, r := 0.4, 0.5
	strip = 0.05
	x := (math.Sqrt(r*r-h*h) + math.Sqrt(sq(r+strip)-h*h)) / 2
	sine := x / math.Hypot(x, h)
	area := math.Pi * (sq(r+strip) - r*r)
	arg := e.m.kSlow * e.m.across * sine
	want := e.m.Gain().Hi - 15 + 10*math.Log10(area) + 20*math.Log10(h/math.Hypot(x, h)) + 2*PistonDB(arg) -
		40*math.Log10(r+strip/2) - 2*e.m.least.Value*(r+strip/2)
	near(t, "ring", e.groundLevel(-15, r, strip, Strongest), want, 1e-6)
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

// A table measured on one side of the axis only is meant for both, whichever side it was: all four mirror
// images of one quarter say the same everywhere.
func TestOneSidedTablesAreMirrored(t *testing.T) {
	quarter := [][3]float64{{0, 0, 1.8}, {15, 0, 1.5}, {30, 0, 0.7}, {0, 15, 1.1}, {15, 15, 0.9}, {30, 15, 0}}
	ear := func(b, e float64) *Ear {
		k := can()
		k.Beam.TableAgainst = post75()
		for _, p := range quarter {
			k.Beam.Table = append(k.Beam.Table, scene.BeamPoint{Bearing: deg(b * p[0]), Elevation: deg(e * p[1]), RangeM: p[2]})
		}
		return model(t, k, mild()).Mount(scene.Sensor{HeightM: 0.4}, scene.GroundNone)
	}
	want := ear(1, 1)
	r := rand.New(rand.NewPCG(3, 5))
	heard := 0
	for _, sides := range [][2]float64{{-1, 1}, {1, -1}, {-1, -1}} {
		got := ear(sides[0], sides[1])
		near(t, "gain", got.m.Gain().Lo, want.m.Gain().Lo, 0)
		for range 500 {
			d := r3.Vector{X: 1, Y: 1.2 * (r.Float64() - 0.5), Z: 0.5 * (r.Float64() - 0.5)}.Normalize()
			for _, end := range []End{Certain, Strongest} {
				if g, w := got.OneWayDB(d, end), want.OneWayDB(d, end); g != w {
					t.Fatalf("sides %v, direction %v: %g, mirror image %g", sides, d, g, w)
				}
			}
			if !math.IsInf(want.OneWayDB(d, Certain), -1) {
				heard++
			}
		}
	}
	if heard < 300 || heard > 1400 {
		t.Errorf("%d of 1500 directions are heard: the draw tests nothing", heard)
	}
}

// A jaw of 120 mm beside and a little below the sensor: its near edge answers, its far edge and the corners
// of its far side look away. The mirrored sensor reads the same, whichever way its sums round.
func TestFarSideOfALowerPart(t *testing.T) {
	m := model(t, can(), still())
	jaw := []r2.Point{{X: 0, Y: 0.06}, {X: -0.25, Y: 0.06}, {X: -0.25, Y: -0.06}, {X: 0, Y: -0.06}}
	at := func(y float64) (Own, bool) {
		e := m.Mount(scene.Sensor{At: r2.Point{Y: y}, HeightM: 0.5, Heading: deg(180)}, scene.GroundSmooth)
		return e.OwnReading(jaw, scene.Span{Lo: 0.35, Hi: 0.48}, false, r2.Point{}, 0, nil)
	}
	// Blind below 0.25 m: of the near edge the corner at the jaw's tip is the first beyond, 20 mm below.
	left, ok := at(0.23)
	if tip := math.Hypot(math.Hypot(0.25, 0.17), 0.02); ok {
		near(t, "tip", left.ReadsM, tip, 1e-12)
	}
	right, also := at(-0.23)
	if ok != also || left != right && math.Abs(left.LevelDB-right.LevelDB)+math.Abs(left.ReadsM-right.ReadsM) > 1e-9 {
		t.Errorf("left %v %+v, right %v %+v", ok, left, also, right)
	}
	// From right above the jaw no side is the near one: the far edge is read.
	over, ok := m.Mount(scene.Sensor{At: r2.Point{X: 0}, HeightM: 0.5, Heading: deg(180)}, scene.GroundSmooth).
		OwnReading([]r2.Point{{X: 0, Y: 0.3}, {X: -0.6, Y: 0.3}, {X: -0.6, Y: -0.3}, {X: 0, Y: -0.3}}, scene.Span{Lo: 0, Hi: 0.48}, false, r2.Point{}, 0, nil)
	if !ok || over.ReadsM > math.Hypot(0.6, 0.02)+1e-12 {
		t.Errorf("over the plank: %v %+v", ok, over)
	}
}

func TestAssumptionsOnlyWhereTheyDecide(t *testing.T) {
	keys := func(sc *scene.Scene) (all string) {
		for _, a := range Assumptions(sc) {
			all += a.Key + " "
		}
		return all
	}
	k := can()
	k.Supply.VoltsV = scene.Span{Lo: k.Supply.NominalV.X, Hi: k.Supply.NominalV.X}
	sc := &scene.Scene{Around: scene.Around{Ground: scene.GroundSmooth}, Kinds: []scene.Kind{k}, Sensors: []scene.Sensor{{HeightM: 0.4}}}
	if got := keys(sc); got != "" {
		t.Errorf("nothing is assumed here: %s", got)
	}
	sc.Around.Ground = scene.GroundGravel
	sc.Body.Parts = []scene.Part{{Outline: rect(0, 0, 1, 1)}}
	sc.Kinds[0].Supply.VoltsV.Lo *= 0.9
	sc.Kinds[0].Ranges[0].EndedBy = scene.EndedByTimeout
	sc.Targets = []scene.Target{{Shape: scene.Kerb, HeightM: scene.Span{Hi: 0.1}}}
	sc.Zones = []scene.Zone{{}}
	if got, want := keys(sc), "acoustics.ground-scatter acoustics.corner-loss acoustics.edge-radius acoustics.supply acoustics.unsure-range "; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// What stands in the mounting plane is read alike whichever way the sensor faces: as strongly as just in front, and not for
// certain. The bearing of what lies right below is only rounding.
func TestMountingPlaneIsFrontWhicheverWayItFaces(t *testing.T) {
	k := can()
	k.Beam.Across, k.Beam.Upright, k.Beam.NeverBelowDB.X = deg(140), deg(140), -90
	m := model(t, k, still())
	read := func(heading, off float64, below bool) Own {
		s, c := math.Sincos(heading)
		e := m.Mount(scene.Sensor{At: r2.Point{X: 1.5 * c, Y: 1.5 * s}, Heading: deg(heading * 180 / math.Pi), HeightM: 0.4}, scene.GroundNone)
		sin, cos := math.Sincos(heading + off)
		f := feature{at: e.s.At.Add(r2.Point{X: 0.5 * cos, Y: 0.5 * sin}), shape: round, a: EdgeRadiusM}
		if below {
			f.at, f.dz = r2.Point{X: 1.5 * math.Cos(heading+2*math.Pi), Y: 1.5 * math.Sin(heading+2*math.Pi)}, -0.1
		}
		return e.echoOf(f)
	}
	for _, off := range []float64{math.Pi / 2, -math.Pi / 2} {
		inFront := read(0, off*(1-1e-7), false)
		for i := range 73 {
			heading := float64(i-36) * math.Pi / 36
			o := read(heading, off, false)
			near(t, "beside", o.LevelDB, inFront.LevelDB, 1e-4)
			if o.Always() {
				t.Errorf("heading %g: certain in its mounting plane", heading)
			}
			near(t, "below", read(heading, off, true).LevelDB, read(0, off, true).LevelDB, 1e-6)
		}
	}
	if behind := read(0, math.Pi/2+1e-6, false); behind.LevelDB >= read(0, math.Pi/2, false).LevelDB {
		t.Error("behind the plane is as loud as in it: the case tells nothing")
	}
}
