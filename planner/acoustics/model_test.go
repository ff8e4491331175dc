package acoustics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"echowright/planner/scene"
)

func still() scene.Air { return box(20, 20, 50, 50) }

// Piston radius for a full width at 40 kHz, mm (computed from the table of x at -3 and -6 dB one way, at
// c = 343.215 m/s; ours are fitted at 20 degC, 50 %, hence the ratio).
func TestPistonIsFittedToWidths(t *testing.T) {
	toRef := SpeedOfSound(Reference) / 343.215
	for _, r := range [][3]float64{
		{15, 16.884, 23.140}, {30, 8.515, 11.670}, {45, 5.759, 7.893}, {60, 4.407, 6.041}, {80, 3.428, 4.699},
		{90, 3.117, 4.272}, {120, 2.545, 3.488},
	} {
		for i, level := range []float64{-3, -6} {
			for _, two := range []bool{false, true} {
				k := can()
				k.Beam.Across, k.Beam.Upright = deg(r[0]), deg(r[0])
				k.Beam.Meaning = scene.BeamMeaning{LevelDB: level, TwoWay: two}
				if two {
					k.Beam.Meaning.LevelDB *= 2 // -6 dB two way is -3 dB one way
				}
				across, up := model(t, k, still()).SemiAxes()
				near(t, "a, mm", across*1000/toRef, r[i+1], 5.1e-4)
				near(t, "across = upright", across, up, 0)
			}
		}
	}
	// a = 8 mm at 40 kHz is 31.98 degrees wide at -3 dB one way; flat beams by ellipse (computed).
	near(t, "width", 2*180/math.Pi*math.Asin(pistonWhere(-3)/(2*math.Pi*40e3/343.2146*0.008)), 31.98, 0.01)
	for _, r := range [][4]float64{{120, 60, 2.545, 4.407}, {110, 50, 2.690, 5.214}, {90, 45, 3.117, 5.759}} {
		k := can()
		k.Beam.Across, k.Beam.Upright = deg(r[0]), deg(r[1])
		k.Beam.Meaning = scene.BeamMeaning{LevelDB: -3}
		across, up := model(t, k, still()).SemiAxes()
		near(t, "across, mm", across*1000/toRef, r[2], 5.1e-4)
		near(t, "upright, mm", up*1000/toRef, r[3], 5.1e-4)
	}
}

// A beam wider than the half space has no piston: the smallest that falls to the level at 90 degrees.
func TestTooWideBeam(t *testing.T) {
	k := can()
	k.Beam.Across = deg(200)
	across, _ := model(t, k, still()).SemiAxes()
	e := model(t, k, still()).Mount(scene.Sensor{}, scene.GroundNone)
	near(t, "ka", across*2*math.Pi*40e3/SpeedOfSound(Reference), pistonWhere(-3), 1e-9)
	near(t, "nearly sideways", e.OneWayDB(r3.Vector{X: 1e-9, Y: 1}, Certain), -3, 1e-6)
}

// Ellipse of 5 by 8 mm, 30 degrees off axis, 40 kHz, 20 degC dry: -3.936, -7.571, -12.067 dB at 0, 45, 90
// degrees round (computed; not the product of two round patterns).
func TestEllipticPiston(t *testing.T) {
	k0 := 2 * math.Pi * 40e3 / 343.2146
	m := &Model{kSlow: k0, kFast: k0, narrow: 1, across: 0.005, up: 0.008}
	e := m.Mount(scene.Sensor{}, scene.GroundNone)
	for i, want := range []float64{-3.936, -7.571, -12.067} {
		s, c := math.Sincos(float64(i) * math.Pi / 4)
		d := r3.Vector{X: math.Cos(math.Pi / 6), Y: c / 2, Z: s / 2}
		near(t, "level", e.OneWayDB(d, Certain), want, 6e-4)
	}
}

// A gain solved from a card gives back the card's range, at the card's weather and supply, on any target.
func TestGainGivesBackTheRange(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 50 {
		k := can()
		k.Supply.VoltsV = scene.Span{Lo: 5, Hi: 5}
		k.Ranges[0].M.X = 0.5 + 5*r.Float64()
		k.Ranges[0].Against = randomTarget(r, func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() })
		m := model(t, k, still())
		most, least := m.ReachM(k.Ranges[0].Against)
		near(t, "reach", most, k.Ranges[0].M.X, 1e-6)
		near(t, "reach", least, k.Ranges[0].M.X, 1e-6)
		near(t, "level there", m.Curve(k.Ranges[0].Against, Certain, []float64{most})[0], 0, 1e-6)
	}
	// Post of 75 mm at 2 m: 20 lg 4 + 10 lg((37.5+2000)/37.5) + 1.3182·4 = 12.041 + 17.351 + 5.273 dB.
	k := can()
	m := model(t, k, still())
	near(t, "gain at 4.5 V", m.Gain().Lo, 34.665+20*math.Log10(4.5/5), 1e-3)
	near(t, "gain at 5.5 V", m.Gain().Hi, 34.665+20*math.Log10(5.5/5), 1e-3)
	// It then sees a wall at 5.34 m (computed; 20 degC, 50 %).
	k.Supply.VoltsV = scene.Span{Lo: 5, Hi: 5}
	wall, _ := model(t, k, still()).ReachM(wallTurned(0))
	near(t, "wall", wall, 5.34, 0.0051)
}

// Common practice, no source: a 3.3 V supply shortens the range.
func TestLowSupplyShortensTheRange(t *testing.T) {
	k := can()
	full, _ := model(t, k, still()).ReachM(post75())
	k.Supply.VoltsV = scene.Span{Lo: 3.3, Hi: 3.3}
	low, _ := model(t, k, still()).ReachM(post75())
	if low >= full {
		t.Errorf("%g m at 3.3 V, %g m at 4.5 V", low, full)
	}
}

// What ended a range decides how it is used: thresholds win, the least for what must be certain and the
// greatest for what may disturb, the bench's alone where there are any; otherwise each stated range must
// hold, and disturbance gets the margin.
func TestWhatEndedTheRange(t *testing.T) {
	one := func(m float64, by scene.EndedBy, from scene.Source) scene.Range {
		r := can().Ranges[0]
		r.M, r.EndedBy = scene.Value{X: m, From: from}, by
		return r
	}
	solve := func(rs ...scene.Range) *Model {
		k := can()
		k.Ranges = rs
		return model(t, k, still())
	}
	g := func(m float64) float64 { return solve(one(m, scene.EndedByThreshold, scene.Datasheet)).gain.Lo }
	holds := func(what string, m *Model, lo, hi, marginDB float64) {
		t.Helper()
		near(t, what+", least", m.gain.Lo, lo, 1e-9)
		near(t, what+", greatest", m.gain.Hi, hi, 1e-9)
		near(t, what+", low supply", m.GainAt(Certain), lo+m.supply.Lo, 1e-9)
		near(t, what+", high supply", m.GainAt(Strongest), hi+m.supply.Hi+marginDB, 1e-9)
		near(t, what+", margin", m.MarginDB(), marginDB, 0)
	}
	const sheet, bench, guess = scene.Datasheet, scene.Bench, scene.Estimate
	holds("one", solve(one(2, scene.EndedByThreshold, sheet)), g(2), g(2), 0)
	holds("contradiction", solve(one(1.5, scene.EndedByThreshold, sheet), one(2, scene.EndedByThreshold, guess), one(1, scene.EndedByThreshold, sheet)), g(1), g(2), 0)
	holds("bench", solve(one(1, scene.EndedByThreshold, sheet), one(2, scene.EndedByThreshold, bench)), g(2), g(2), 0)
	holds("two of the bench", solve(one(1.8, scene.EndedByThreshold, bench), one(1, scene.EndedByThreshold, sheet), one(1.7, scene.EndedByThreshold, bench)), g(1.7), g(1.8), 0)
	holds("threshold wins", solve(one(3, scene.EndedByTimeout, bench), one(2, scene.EndedByThreshold, sheet)), g(2), g(2), 0)
	holds("unsure", solve(one(1, scene.EndedByTimeout, sheet), one(2, scene.EndedByUnknown, sheet)), g(2), g(2), UnsureMarginDB)
}

// A second range that contradicts the first never makes more certain, and never less that may disturb.
func TestContradictionOnlyWidens(t *testing.T) {
	at := []float64{0.3, 0.7, 1.5, 2.5}
	sure := model(t, can(), mild())
	for _, m := range []float64{0.8, 1.4, 3.2} {
		k := can()
		other := k.Ranges[0]
		other.M.X = m
		k.Ranges = append(slices.Clone(k.Ranges), other)
		both := model(t, k, mild())
		c, s := both.Curve(post75(), Certain, at), both.Curve(post75(), Strongest, at)
		for i := range at {
			if c[i] > sure.Curve(post75(), Certain, at)[i] || s[i] < sure.Curve(post75(), Strongest, at)[i] {
				t.Errorf("with %g m beside: certain %g, strongest %g at %g m", m, c[i], s[i], at[i])
			}
		}
		alone := k
		alone.Ranges = []scene.Range{other}
		if lone := model(t, alone, mild()); c[0] > lone.Curve(post75(), Certain, at)[0] || s[0] < lone.Curve(post75(), Strongest, at)[0] {
			t.Errorf("%g m alone is not held", m)
		}
	}
}

func TestBadCardsAreRefused(t *testing.T) {
	for what, spoil := range map[string]func(*scene.Kind){
		"carrier": func(k *scene.Kind) { k.CarrierHz.X = 0 }, "no range": func(k *scene.Kind) { k.Ranges = nil },
		"width": func(k *scene.Kind) { k.Beam.Across = 0 }, "level": func(k *scene.Kind) { k.Beam.Meaning.LevelDB = 3 },
		"range":  func(k *scene.Kind) { k.Ranges[0].M.X = 0 },
		"radius": func(k *scene.Kind) { k.Ranges[0].Against.RadiusM = 0 },
		"shape":  func(k *scene.Kind) { k.Ranges[0].Against.Shape = "cube" },
	} {
		k := can()
		spoil(&k)
		if _, err := NewModel(k, still()); err == nil {
			t.Errorf("%s: not refused", what)
		}
	}
}

// 2R/c and 2d/c: 5 m at 20 degC 29.136 ms, 0.25 m 1.4568 ms at c = 343.2146 m/s (computed).
func TestClockwork(t *testing.T) {
	m := model(t, can(), still())
	m.slow.Value, m.fast.Value, m.cRef = 343.2146, 343.2146, 343.2146
	listen := m.ListenUntil(5) - 600*time.Microsecond - 400*time.Microsecond
	near(t, "listen, ms", listen.Seconds()*1000, 29.136, 1e-3)
	near(t, "blind, ms", (m.BlindUntil()-600*time.Microsecond).Seconds()*1000, 1.4568, 1e-4)
	near(t, "earliest, ms", (m.BlindEarliest()-250*time.Microsecond).Seconds()*1000, 1.4568, 1e-4)
	near(t, "admits", m.ListensM(m.ListenUntil(3)), 3, 1e-6)
	// Common practice, no source: a reading at 4 m takes about 25 ms.
	if at4 := m.ListenUntil(4); at4 < 22*time.Millisecond || at4 > 28*time.Millisecond {
		t.Errorf("4 m takes %v", at4)
	}
	mild := model(t, can(), mild())
	if !(mild.NearestM() < 0.25 && 0.25 < mild.BlindM()) {
		t.Errorf("blind from %g to %g m", mild.NearestM(), mild.BlindM())
	}
	// Common practice, no source: sound goes near 330 m/s in the cold.
	near(t, "cold, m/s", SpeedOfSound(Weather{0, 50, 101325}), 330, 3)
}

// shown/true = assumed/c: with 343.215 m/s assumed, +7.61 % at -20 degC, -3.25 % at 40 degC, by the
// textbook form for dry air (computed); ours uses the better speed, 0.02 % off that. Per kelvin at 20 degC 50/T = 0.17056 %.
func TestReadingError(t *testing.T) {
	k := can()
	k.AssumedSpeed.X = 343.2146
	a := box(-20, 40, 0, 0)
	e := model(t, k, a).ReadingError()
	near(t, "cold, %", e[0]*100, 7.61, 0.03)
	near(t, "hot, %", e[1]*100, -3.25, 0.03)
	near(t, "per kelvin, %", 100*(dryAir(20.001)/dryAir(20)-1)/0.001, 0.17056, 1e-5)
	k.AssumedSpeed.X = 0
	for _, v := range model(t, k, a).ReadingError() {
		near(t, "compensated", v, 0, 1e-3)
	}
	least, most := model(t, k, a).Reads(2)
	if least > most || math.Abs(least-1) > 1e-3 {
		t.Errorf("reads %g..%g", least, most)
	}
}

func TestInsideReads(t *testing.T) {
	k := can()
	k.BlindM.X = 0.2
	m := model(t, k, still())
	if text, d := m.InsideReads(0.12); text != "a panel at 12 cm reads 24 cm" || math.Abs(d-0.24) > 1e-12 {
		t.Errorf("%s, %g", text, d)
	}
	for _, r := range [][2]float64{{0.1, 0.2}, {0.05, 0.2}, {0.03, 0.21}, {0.2, 0.2}, {0.5, 0.5}} {
		_, d := m.InsideReads(r[0])
		near(t, "reads", d, r[1], 1e-12)
	}
	for how, want := range map[scene.InsideReads]float64{scene.ReadsLeast: 0.2, scene.ReadsNothing: math.NaN(), scene.ReadsUnknown: math.NaN()} {
		k.InsideReads = how
		if _, d := model(t, k, still()).InsideReads(0.1); d != want && !(math.IsNaN(d) && math.IsNaN(want)) {
			t.Errorf("%s reads %g", how, d)
		}
	}
}

func TestThresholdOverTime(t *testing.T) {
	p := []scene.ThresholdPoint{{At: time.Millisecond, DB: 20}, {At: 3 * time.Millisecond, DB: 10}, {At: 5 * time.Millisecond}}
	for _, r := range [][2]float64{{0, 20}, {1e-3, 20}, {2e-3, 15}, {4e-3, 5}, {9e-3, 0}} {
		near(t, "rise", thresholdAt(p, r[0]), r[1], 1e-9)
	}
	least, most := thresholdSpan(p, 2e-3, 4e-3)
	near(t, "least", least, 5, 1e-9)
	near(t, "most", most, 15, 1e-9)
	k := can()
	flat := model(t, k, mild())
	k.Threshold = p
	m := model(t, k, mild())
	if flat.ThresholdKnown() || !m.ThresholdKnown() {
		t.Error("threshold known?")
	}
	// A raised threshold early on weakens near echoes and leaves the far ones, whose gain was solved there.
	c, f := m.Curve(post75(), Certain, []float64{0.3, 1.9}), flat.Curve(post75(), Certain, []float64{0.3, 1.9})
	if !(c[0] < f[0]-10) || math.Abs(c[1]-f[1]) > 1e-9 {
		t.Errorf("raised %v, flat %v", c, f)
	}
	near(t, "lowest", m.LowestRiseDB(), 0, 0)
}

// The envelope never rises with the angle, holds every direction farther out, and stays above the floor;
// a null is not silence.
func TestEnvelopeOverAngles(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 40 {
		e, _, _ := randomCase(t, r)
		last := math.Inf(1)
		for a := 0.0; a <= math.Pi; a += 0.02 {
			v := e.m.EnvelopeDB(a)
			if v > last || v < e.m.FloorDB()/2 {
				t.Fatalf("envelope %g after %g at %g", v, last, a)
			}
			last = v
			for range 6 {
				d := randomDirection(r)
				angle := math.Acos(math.Max(-1, math.Min(1, d.Dot(e.Axis()))))
				w := e.OneWayDB(d, Strongest)
				if c := e.OneWayDB(d, Certain); c > w+1e-9 || (angle >= math.Pi/2 && !math.IsInf(c, -1)) {
					t.Fatalf("certain %g, strongest %g at %g", c, w, angle)
				}
				if angle >= a && w > v+1e-9 {
					t.Fatalf("direction at %g has %g, envelope from %g is %g", angle, w, a, v)
				}
			}
		}
	}
}

func randomDirection(r *rand.Rand) r3.Vector {
	return r3.Vector{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Normalize()
}

func TestCrossGain(t *testing.T) {
	k := can()
	a := model(t, k, still()).Mount(scene.Sensor{}, scene.GroundNone)
	near(t, "equals", CrossGainDB(a, a), a.m.Gain().Hi, 1e-12)
	k.Ranges[0].EndedBy = scene.EndedByTimeout
	b := model(t, k, still()).Mount(scene.Sensor{}, scene.GroundNone)
	near(t, "half the margin", CrossGainDB(a, b), a.m.Gain().Hi+UnsureMarginDB/2, 1e-12)
	k.CarrierHz.X = 42e3
	near(t, "spreads meet", BandRejectionDB(a.m, model(t, k, still())), 0, 0)
	last := 0.0
	for f := 43e3; f < 400e3; f *= 1.1 {
		k.CarrierHz.X = f
		v := BandRejectionDB(model(t, k, still()), a.m)
		if v < last || v > mostRejectionDB {
			t.Errorf("%g Hz: %g dB after %g", f, v, last)
		}
		last = v
	}
	near(t, "most", last, mostRejectionDB, 0)
}

// A kerb or low post answers through its corner with the ground: the echo of the image source mirrored in
// face and ground, path twice the slant, weaker by the ground's loss.
func TestCornerByImageSource(t *testing.T) {
	m := model(t, can(), still())
	s := scene.Sensor{HeightM: 0.5, Tilt: deg(-20)}
	kerb := scene.Target{Shape: scene.Kerb, HeightM: scene.Span{Hi: 0.12}}
	for _, x := range []float64{0.5, 1, 2} {
		e := m.Mount(s, scene.GroundSmooth)
		image := r3.Vector{X: 2 * x, Z: -0.5} // mirrored in the plane X = x and in the ground
		path := image.Sub(r3.Vector{Z: 0.5}).Norm()
		dir := r3.Vector{X: x, Z: -0.5}
		want := m.Gain().Lo - WallSpreading(path) - m.most.Value*path + 2*e.OneWayDB(dir, Certain)
		near(t, "kerb", e.Level(kerb, r2.Point{X: x}, Certain), want, 1e-9)
		rough := m.Mount(s, scene.GroundGravel).Level(kerb, r2.Point{X: x}, Certain)
		near(t, "gravel", rough, want-20, 1e-9)
		if v := m.Mount(s, scene.GroundNone).Level(kerb, r2.Point{X: x}, Strongest); !math.IsInf(v, -1) {
			t.Errorf("no ground, yet %g dB", v)
		}
	}
	low := post75()
	low.HeightM.Hi = 0.3
	// The corner of a post: the two curvatures of the wave after a mirror of radius a met at the slant's angle
	// (Coddington: 1/rho = 1/s + 2 cos(angle)/a across), then once more over the slant.
	x, h, a := 0.8, 0.5, low.RadiusM
	slant := math.Hypot(x, h)
	rho := 1 / (1/slant + 2*x/slant/a)
	want := 20*math.Log10(slant) - 10*math.Log10(rho/(rho+slant)*slant/(2*slant))
	w, ok := answerOf(low, h, scene.GroundSmooth)
	if !ok {
		t.Fatal("a low post on smooth ground must answer")
	}
	near(t, "post's corner", w.spreading(x), want, 1e-9)
	hanging := wallTurned(0)
	hanging.HeightM = scene.Span{Lo: 0.6, Hi: 1}
	if _, ok := answerOf(hanging, 0.5, scene.GroundSmooth); ok {
		t.Error("a panel above the sensor cannot answer")
	}
	if sight, ok := m.Mount(s, scene.GroundSmooth).Sight(low); !ok || sight != (scene.Span{Lo: 0, Hi: 0.5}) {
		t.Errorf("sight %v", sight)
	}
}
