package resolve

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/scene"
)

// absorption is ISO 9613-1:1993, Eqs. (3) to (5) and Annex B, at one atmosphere; dB/m. Written out here so that
// the kinds are judged by the standard and not by our own acoustics.
func absorption(f, tempC, humidity float64) float64 {
	T := tempC + 273.15
	h := humidity * math.Pow(10, -6.8346*math.Pow(273.16/T, 1.261)+4.6151)
	t := T / 293.15
	frO := 24 + 4.04e4*h*(0.02+h)/(0.391+h)
	frN := math.Pow(t, -0.5) * (9 + 280*h*math.Exp(-4.170*(math.Pow(t, -1.0/3)-1)))
	return 8.686 * f * f * (1.84e-11*math.Sqrt(t) + math.Pow(t, -2.5)*
		(0.01275*math.Exp(-2239.1/T)/(frO+f*f/frO)+0.1068*math.Exp(-3352.0/T)/(frN+f*f/frN)))
}

// gainFrom is the level after 1 m of path by a perfect mirror that a range stands for: spherical spreading
// over 2 r, absorption, and for a post 10 lg((r+a)/a) less than a wall (geometrical acoustics; with a wall
// as image source).
func gainFrom(t *testing.T, k scene.Kind, r scene.Range) float64 {
	d := r.M.X
	g := 20*math.Log10(2*d) + 2*d*absorption(k.CarrierHz.X, r.TemperatureC, r.HumidityPct) + r.Against.LossDB.X
	switch r.Against.Shape {
	case scene.Wall:
	case scene.Post:
		g += 10 * math.Log10((d+r.Against.RadiusM)/r.Against.RadiusM)
	default:
		t.Fatalf("%s: a range against a %s", k.Name, r.Against.Shape)
	}
	return g
}

func TestBuiltinKinds(t *testing.T) {
	// 40 kHz, 20 degC, 50 %, one atmosphere: 1.3182 dB/m, computed from the standard's formula
	if a := absorption(40e3, 20, 50); math.Abs(a-1.3182) > 1e-4 {
		t.Fatalf("absorption in this test is %g dB/m", a)
	}
	kinds, targets, list := Kinds(builtin(t))
	if len(list) > 0 || len(kinds) < 8 {
		t.Fatalf("%d kinds: %v", len(kinds), list)
	}
	for _, k := range kinds {
		if k.Title == "" || k.Serves == "" || k.Limits == "" || k.Water == "" || len(k.Ranges) != 2 {
			t.Errorf("%s: title %q, serves %q, limits %q, water %q, %d ranges", k.Name, k.Title, k.Serves, k.Limits, k.Water, len(k.Ranges))
			continue
		}
		a, b := gainFrom(t, k, k.Ranges[0]), gainFrom(t, k, k.Ranges[1])
		t.Logf("%-20s gain from %.2f m wall %.2f dB, from %.2f m post %.2f dB", k.Name, k.Ranges[0].M.X, a, k.Ranges[1].M.X, b)
		if math.Abs(a-b) > 1 { // dB: figures on a card are rounded to about that
			t.Errorf("%s: its two ranges give %.2f and %.2f dB", k.Name, a, b)
		}
		for what, v := range map[string]scene.Value{"carrier": k.CarrierHz, "spread": k.SpreadHz, "blind": k.BlindM, "range": k.Ranges[0].M, "second range": k.Ranges[1].M,
			"never-below": k.Beam.NeverBelowDB, "across": {From: k.Beam.AcrossFrom}, "upright": {From: k.Beam.UprightFrom}, "burst": {From: k.Timing.BurstFrom},
			"busy": {From: k.Timing.BusyFrom}, "nominal": k.Supply.NominalV, "average": k.Supply.AverageA, "peak": k.Supply.PeakA, "pins": k.PinVolts} {
			if v.From != scene.Estimate {
				t.Errorf("%s: %s comes from %q; a generic kind has only estimates", k.Name, what, v.From)
			}
		}
	}
	if !slices.ContainsFunc(kinds, func(k scene.Kind) bool { return k.Interface == scene.TwoWire }) ||
		!slices.ContainsFunc(kinds, func(k scene.Kind) bool { return k.Interface == scene.Serial && k.AssumedSpeed.X == 0 }) {
		t.Error("no kind on a two-wire bus, or none with serial answer and temperature reading")
	}
	for _, name := range []string{"wall", "cloth", "post", "post-75", "kerb", "bar"} {
		if !slices.ContainsFunc(targets, func(t scene.Target) bool { return t.Name == name }) {
			t.Errorf("no built-in target %s", name)
		}
	}
}

// A 3.3 V supply shortens the range: common practice, no source.
func TestLowSupplySeesLess(t *testing.T) {
	kinds, _, _ := Kinds(builtin(t))
	by := map[string]scene.Kind{}
	for _, k := range kinds {
		by[k.Name] = k
	}
	if lo, hi := by["open-pair-3v3"], by["open-pair-5v"]; lo.Ranges[0].M.X >= hi.Ranges[0].M.X || lo.Supply.NominalV.X != 3.3 || hi.Supply.NominalV.X != 5 {
		t.Errorf("%v against %v", lo.Ranges[0], hi.Ranges[0])
	}
}

func TestLikeInheritsValueByValue(t *testing.T) {
	sc := resolved(t, with(t, "{like: open-pair-5v, blind: 40 mm}",
		"{like: middle, timing: {burst: 12 cycles, source: datasheet}, carrier: {value: 42 kHz, source: bench}}\n"+
			"  middle: {like: sealed-pulse-width, timing: {rest: 5 ms}, blind: {value: 0.3 m, source: bench}, beam: {vertical: 40 deg}}"))
	k := sc.Kinds[0]
	if k.Name != "mine" || k.Pair || k.Water != "IP67" || k.Title == "" {
		t.Errorf("%+v", k)
	}
	if want := time.Duration(math.Round(12.0 / 42e3 * 1e9)); k.Timing.Burst != want || k.Timing.BurstFrom != scene.Datasheet {
		t.Errorf("burst %v (%s), want %v by datasheet", k.Timing.Burst, k.Timing.BurstFrom, want)
	}
	if k.Timing.Rest != 5*time.Millisecond || k.Timing.BusyWithoutEcho != 60*time.Millisecond || k.Timing.BusyFrom != scene.Estimate {
		t.Errorf("timing %+v", k.Timing)
	}
	if k.BlindM != (scene.Value{X: 0.3, From: scene.Bench}) || k.InsideReads != scene.ReadsDouble {
		t.Errorf("blind %+v %s: distance from the middle kind, reading from the built-in one", k.BlindM, k.InsideReads)
	}
	if math.Abs(k.Beam.Across.Degrees()-110) > 1e-9 || math.Abs(k.Beam.Upright.Degrees()-40) > 1e-9 || !k.Beam.Meaning.TwoWay || k.Beam.Meaning.LevelDB != -6 {
		t.Errorf("beam %+v", k.Beam)
	}
	if k.CarrierHz != (scene.Value{X: 42e3, From: scene.Bench}) || k.SpreadHz != (scene.Value{X: 1000, From: scene.Estimate}) {
		t.Errorf("carrier %+v ± %+v", k.CarrierHz, k.SpreadHz)
	}
}

// A range a built-in kind states keeps its own target, whatever the layout calls by that name.
func TestRangeKeepsItsTarget(t *testing.T) {
	text := with(t, "targets:\n", "targets:\n  wall: {shape: wall, height: 0..1 m, surface: foam, turned: -20..20 deg}\n")
	text = strings.Replace(text, "target: leg", "target: wall", 1)
	sc := resolved(t, text)
	if w := sc.Kinds[0].Ranges[0].Against; w.Name != "wall" || w.LossDB.X != 0 || w.Turned.Hi != 0 {
		t.Errorf("range of open-pair-5v holds against %+v", w)
	}
	if z := sc.Targets[sc.Zones[0].Target]; z.LossDB.X != surfaceLossDB["foam"] || z.Turned.Hi == 0 {
		t.Errorf("zone asks for %+v", z)
	}
	n := 0
	for _, tg := range sc.Targets {
		if tg.Name == "wall" {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d targets are called wall", n)
	}
}
