package coverage

import (
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

// A rail behind the machine is not read by a sensor at its front: the body stands between. From the
// rear it is; from the front over the body's top it is again.
func TestBodyHidesWhatStandsBehindIt(t *testing.T) {
	box := func(x0, y0, x1, y1 float64) []r2.Point {
		return []r2.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	}
	all := obstaclesOf(scene.Body{
		Outline: box(-0.5, -0.3, 0.5, 0.3), HeightM: scene.Span{Lo: 0.1, Hi: 0.5},
		Parts: []scene.Part{{Name: "rail", Outline: box(-0.7, -0.3, -0.6, 0.3), HeightM: scene.Span{Lo: 0, Hi: 1}}},
	})
	rail := r2.Point{X: -0.6}
	for _, c := range []struct {
		name   string
		at     r2.Point
		height float64
		want   bool
	}{
		{"from the front", r2.Point{X: 0.5}, 0.3, true},
		{"from the rear", r2.Point{X: -0.5}, 0.3, false},
		{"over the top", r2.Point{X: 0.5}, 0.6, false},
	} {
		if got := hides(all, 1, scene.Sensor{At: c.at, HeightM: c.height})(rail, c.height); got != c.want {
			t.Errorf("%s: hidden %v, want %v", c.name, got, c.want)
		}
	}
}
