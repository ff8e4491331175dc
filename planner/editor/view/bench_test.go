package view

import (
	"fmt"
	"testing"

	"echowright/planner/editor/canvas"
)

// The picture while a hand drags the time mark, with all there is to show.
func BenchmarkDrawing(b *testing.B) {
	r := ruler(b)
	cam := Fit(canvas.Rect{W: 916, H: 522}, [2]float64{-1.8, -1.2}, [2]float64{1.8, 1.2})
	for _, n := range []int{12, 64} {
		p := crowd(n)
		looks := all(p)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var c Cache
			b.ReportAllocs()
			for b.Loop() {
				Drawing(&c, p, Live{KeptTo: "middle of the front"}, cam, looks, r)
			}
		})
	}
}

func BenchmarkCycle(b *testing.B) {
	r := ruler(b)
	for _, n := range []int{12, 64} {
		p := crowd(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Cycle(p, canvas.Rect{W: 1256, H: 160}, Live{}, all(p), r)
			}
		})
	}
}

func BenchmarkUnder(b *testing.B) {
	for _, n := range []int{12, 64} {
		p := crowd(n)
		cam := Fit(canvas.Rect{W: 916, H: 522}, [2]float64{-1.8, -1.2}, [2]float64{1.8, 1.2})
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Under(p, cam, all(p), canvas.Point{900, 20})
			}
		})
	}
}
