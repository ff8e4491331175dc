package draw

import (
	"fmt"
	"image"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor/canvas"
	pic "echowright/planner/export/draw"
)

// lobes are n translucent beams of 180 corners, some 250 px long, turned by a little with each frame.
func lobes(n int, turn float64) []pic.Shape {
	var s []pic.Shape
	for i := range n {
		at := point{200 + 90*float64(i%10), 150 + 80*float64(i/10)}
		sn, c := math.Sincos(turn + float64(i))
		ps := make([]pic.Point, 180)
		for k := range ps {
			t := 2 * math.Pi * float64(k) / float64(len(ps))
			x, y := 125*(1-math.Cos(t)), 60*math.Sin(t)*math.Sqrt((1-math.Cos(t))/2)
			ps[k] = pic.Point{at.x + x*c - y*sn, at.y + x*sn + y*c}
		}
		s = append(s, pic.Shape{Rings: [][]pic.Point{ps}, Style: pic.Style{Fill: pic.Beam, Opacity: 0.15, Stroke: pic.Beam, Width: 1.5}})
	}
	return s
}

func manyLines(turn float64) []pic.Shape {
	var s []pic.Shape
	for i := range 400 {
		sn, c := math.Sincos(turn + float64(i)*0.7)
		x, y := 640+float64(i%20)*10, 400+float64(i/20)*5
		s = append(s, pic.Shape{Open: true, Rings: [][]pic.Point{{{x - 300*c, y - 300*sn}, {x + 300*c, y + 300*sn}}}, Style: pic.Style{Stroke: pic.Late, Width: 1}})
	}
	return s
}

func labels(turn int) []pic.Shape {
	var s []pic.Shape
	for i := range 200 {
		s = append(s, pic.Shape{Text: fmt.Sprintf("label %03d %03d", i, turn%1000), At: pic.Point{20 + 120*float64(i%10), 20 + 38*float64(i/10)}, Size: 12, Anchor: pic.Start, Style: pic.Style{Fill: pic.Text}})
	}
	return s
}

// scenes are what a window of 1280 by 800 is asked to show, frame after frame.
var scenes = []struct {
	name  string
	frame func(turn int) []canvas.Layer
}{
	{"all-still", func(int) []canvas.Layer {
		return []canvas.Layer{layer(lobes(60, 0)...), layer(manyLines(0)...), layer(labels(0)...)}
	}},
	{"one-of-12-turns", func(k int) []canvas.Layer {
		return []canvas.Layer{layer(manyLines(0)...), layer(append(lobes(11, 0), lobes(1, 0.01*float64(k))...)...), layer(labels(0)...)}
	}},
	{"one-of-64-turns", func(k int) []canvas.Layer {
		return []canvas.Layer{layer(manyLines(0)...), layer(append(lobes(63, 0), lobes(1, 0.01*float64(k))...)...), layer(labels(0)...)}
	}},
	{"60-lobes-turn", func(k int) []canvas.Layer { return []canvas.Layer{layer(lobes(60, 0.01*float64(k))...)} }},
	{"400-lines-turn", func(k int) []canvas.Layer { return []canvas.Layer{layer(manyLines(0.01 * float64(k))...)} }},
	{"200-texts-change", func(k int) []canvas.Layer { return []canvas.Layer{layer(labels(k)...)} }},
	{"all-turns-texts-stay", func(k int) []canvas.Layer {
		return []canvas.Layer{layer(append(append(lobes(60, 0.01*float64(k)), manyLines(0.01*float64(k))...), labels(0)...)...)}
	}},
}

// frames shows n frames in the window and returns how long one took on average, from one to the next.
func frames(b testing.TB, n int, paint func(*ebiten.Image)) time.Duration {
	count := func() (d int) {
		time.Sleep(time.Millisecond) // asked without a pause, the loop answers in place of drawing
		inside(b, func() { d = loop.drawn })
		return d
	}
	inside(b, func() { loop.paint = paint })
	for from := count(); count() < from+6; { // until what is kept is kept
	}
	from, start := count(), time.Now()
	now := from
	for now < from+n {
		now = count()
	}
	took := time.Since(start)
	inside(b, func() { loop.paint = nil })
	return took / time.Duration(now-from)
}

// BenchmarkFrame shows scenes in a real window and tells how many times as long a frame takes as that of an empty
// window in the same run, and how much of it our own code takes (median; other work on the
// machine stretches both).
func BenchmarkFrame(b *testing.B) {
	for _, scene := range scenes {
		b.Run(scene.name, func(b *testing.B) {
			var p *Painter
			inside(b, func() {
				var err error
				if p, err = New(); err != nil {
					b.Error(err)
				}
			})
			empty := frames(b, 20, func(dst *ebiten.Image) { dst.Fill(image.White) })
			var own []time.Duration
			made := map[int][]canvas.Layer{}
			for k := range 40 {
				made[k] = scene.frame(k)
			}
			var whole time.Duration
			for b.Loop() {
				own = own[:0]
				whole = frames(b, 20, func(dst *ebiten.Image) {
					f := &canvas.Frame{W: 1280, H: 800, Layers: made[len(own)%40]}
					start := time.Now()
					p.Paint(dst, f, 1, false)
					own = append(own, time.Since(start))
				})
			}
			b.ReportMetric(float64(whole)/float64(empty), "×empty")
			own = own[6:] // what is kept is kept by then
			slices.Sort(own)
			b.ReportMetric(float64(own[len(own)/2].Microseconds())/1000, "own-ms-p50")
			b.ReportMetric(float64(empty.Microseconds())/1000, "empty-ms")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// BenchmarkTriangles turns 64 beams of 180 corners into triangles, as a frame in which all of them move must.
func BenchmarkTriangles(b *testing.B) {
	tones := inksOf(false)
	shapes := lobes(64, 0.3)
	var m mesh
	for b.Loop() {
		m.reset()
		for i := range shapes {
			m.shape(&shapes[i], 1, tones)
		}
	}
	if len(m.indices) == 0 {
		b.Fatal("nothing made")
	}
	b.ReportMetric(float64(len(m.indices)/3), "triangles")
}
