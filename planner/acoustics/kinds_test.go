package acoustics

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

func deg(d float64) s1.Angle { return s1.Angle(d * math.Pi / 180) }

// can is a plain module: 40 kHz, 60 x 30 degrees at -6 dB two way, sees a 75 mm post at 2 m.
func can() scene.Kind {
	return scene.Kind{
		Name: "can", CarrierHz: scene.Value{X: 40e3}, SpreadHz: scene.Value{X: 1e3}, BlindM: scene.Value{X: 0.25},
		InsideReads: scene.ReadsDouble,
		Ranges: []scene.Range{{M: scene.Value{X: 2}, Against: post75(), EndedBy: scene.EndedByThreshold,
			TemperatureC: 20, HumidityPct: 50, PressurePa: 101325}},
		Beam: scene.Beam{Across: deg(60), Upright: deg(30), Meaning: scene.BeamMeaning{LevelDB: -6, TwoWay: true},
			NeverBelowDB: scene.Value{X: -25}},
		Timing: scene.Timing{TriggerToBurst: scene.TimeSpan{Lo: 250 * time.Microsecond, Hi: 600 * time.Microsecond},
			Burst: 400 * time.Microsecond},
		Supply:       scene.Supply{VoltsV: scene.Span{Lo: 4.5, Hi: 5.5}, NominalV: scene.Value{X: 5}},
		AssumedSpeed: scene.Value{X: 343.2},
	}
}

func post75() scene.Target {
	return scene.Target{Name: "post-75", Shape: scene.Post, RadiusM: 0.0375, HeightM: scene.Span{Lo: 0, Hi: 1}}
}

func wallTurned(d float64) scene.Target {
	r := d * math.Pi / 180
	return scene.Target{Name: "wall", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 2}, Turned: scene.Span{Lo: -r, Hi: r}}
}

func mild() scene.Air { return box(5, 35, 20, 90) }

func model(t testing.TB, k scene.Kind, a scene.Air) *Model {
	t.Helper()
	m, err := NewModel(k, a)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// randomCase is any sensor over any ground looking at any target.
func randomCase(t testing.TB, r *rand.Rand) (*Ear, scene.Target, LobeOptions) {
	k := can()
	pick := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	k.CarrierHz.X = pick(25e3, 60e3)
	k.Beam.Across, k.Beam.Upright = deg(pick(12, 120)), deg(pick(12, 90))
	k.Ranges[0].M.X = pick(0.6, 5)
	if r.IntN(3) == 0 {
		k.Ranges[0].Against = wallTurned(0)
	}
	if r.IntN(4) == 0 {
		k.Threshold = []scene.ThresholdPoint{{At: 2 * time.Millisecond, DB: pick(5, 25)}, {At: 5 * time.Millisecond, DB: pick(0, 10)}, {At: 12 * time.Millisecond}}
	}
	a := mild()
	if r.IntN(3) == 0 {
		a = box(20, 20, 50, 50)
	}
	s := scene.Sensor{At: r2.Point{X: pick(-1, 1), Y: pick(-1, 1)}, Heading: deg(pick(-180, 180)), HeightM: pick(0.1, 0.9)}
	if r.IntN(2) == 0 {
		s.Tilt = deg(pick(-30, 30))
	}
	e := model(t, k, a).Mount(s, []scene.Ground{scene.GroundSmooth, scene.GroundAsphalt}[r.IntN(2)])
	o := LobeOptions{NearM: e.Model().BlindM()}
	if r.IntN(2) == 0 {
		o.FarM = pick(0.8, 4)
	}
	if r.IntN(4) == 0 {
		o.NearM = pick(0.03, 0.3)
	}
	return e, randomTarget(r, pick), o
}

func randomTarget(r *rand.Rand, pick func(lo, hi float64) float64) scene.Target {
	var turned scene.Span
	switch r.IntN(3) {
	case 0:
		w := pick(0, 0.5)
		turned = scene.Span{Lo: -w, Hi: w}
	case 1:
		turned = scene.Span{Lo: pick(-0.3, 0.2)}
		turned.Hi = turned.Lo + pick(0, 0.3)
	}
	switch r.IntN(5) {
	case 0:
		return scene.Target{Shape: scene.Post, RadiusM: pick(0.01, 0.2), HeightM: scene.Span{Lo: 0, Hi: pick(0.1, 1)}}
	case 1:
		lo := pick(0, 0.8)
		return scene.Target{Shape: scene.Sphere, RadiusM: 0.1, HeightM: scene.Span{Lo: lo, Hi: lo + 0.2}}
	case 2:
		lo := pick(0, 0.8)
		return scene.Target{Shape: scene.Bar, RadiusM: 0.015, HeightM: scene.Span{Lo: lo, Hi: lo + 0.03}, Turned: turned}
	case 3:
		return scene.Target{Shape: scene.Kerb, HeightM: scene.Span{Lo: 0, Hi: pick(0.05, 0.2)}, Turned: turned}
	}
	return scene.Target{Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: pick(0.3, 2)}, LossDB: scene.Value{X: pick(0, 20)}, Turned: turned}
}
