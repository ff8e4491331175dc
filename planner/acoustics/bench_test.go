package acoustics

import (
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

func BenchmarkLobe(b *testing.B) {
	k := can()
	m := model(b, k, mild())
	level := m.Mount(scene.Sensor{HeightM: 0.4}, scene.GroundSmooth)
	tilted := m.Mount(scene.Sensor{HeightM: 0.4, Tilt: deg(5)}, scene.GroundSmooth)
	o := LobeOptions{NearM: m.BlindM(), FarM: 4}
	for _, c := range []struct {
		name string
		e    *Ear
		t    scene.Target
	}{
		{"post", level, post75()}, {"wall", level, wallTurned(0)}, {"wall turned 15", tilted, wallTurned(15)},
		{"kerb", tilted, scene.Target{Shape: scene.Kerb, HeightM: scene.Span{Hi: 0.15}}},
		{"bar turned 10", tilted, scene.Target{Shape: scene.Bar, RadiusM: 0.015, HeightM: scene.Span{Lo: 0.6, Hi: 0.63},
			Turned: scene.Span{Lo: -0.17, Hi: 0.17}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			var rings [][]r2.Point
			for b.Loop() {
				rings = c.e.Lobe(c.t, o).Rings
			}
			n := 0
			for _, r := range rings {
				n += len(r)
			}
			if n == 0 {
				b.Fatal("nothing seen")
			}
			b.ReportMetric(float64(n), "vertices")
			b.ReportMetric(float64(len(rings)), "rings")
		})
	}
}

func BenchmarkNewModel(b *testing.B) {
	for b.Loop() {
		if m := model(b, can(), mild()); m.Gain().Hi < m.Gain().Lo {
			b.Fatal("gain reversed")
		}
	}
}
