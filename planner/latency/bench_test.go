package latency

import (
	"fmt"
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// ring is n sensors round a machine of 4 m whose lobes, of 400 corners each, overlap their neighbours'.
func ring(n int) *world {
	var lobes [][][]r2.Point
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		var lobe []r2.Point
		for k := range 400 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 400)
			lobe = append(lobe, r2.Point{X: 3.2*cos + 1.4*c, Y: 3.2*sin + 1.4*s})
		}
		lobes = append(lobes, [][]r2.Point{lobe})
	}
	w := newWorld(lobes...)
	w.sc.Body.Outline = nil
	for k := range 200 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 200)
		w.sc.Body.Outline = append(w.sc.Body.Outline, r2.Point{X: 2 * c, Y: 2 * s})
	}
	w.p.Zones = nil
	w.zone("lane", rect(-5, 5, -5, 5))
	return w
}

// BenchmarkAnalyse is four ways at once. It should stay a small part of an analysis: 1.5 s for 64 sensors.
func BenchmarkAnalyse(b *testing.B) {
	for _, n := range []int{8, 64} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			w := ring(n)
			for b.Loop() {
				r := w.analyse()
				if len(r.Warnings) != 4 || r.Warnings[0].FirstM <= 0 {
					b.Fatalf("%+v", r.Warnings)
				}
			}
		})
	}
}
