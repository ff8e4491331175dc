package view

import (
	"math"
	"math/rand/v2"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// What lies under a rectangle of whole cells is the length of the lines there times their weight, as clipping tells it; a line is
// put down in pieces of a cell, so that an end of a rectangle may count or miss half of one.
func TestInkIsTheLengthOfLines(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	area := canvas.Rect{X: 30, Y: 50, W: 400, H: 300}
	for round := range 300 {
		var k ink
		k.lay(area)
		var lines [][2]canvas.Point
		for range 1 + rnd.IntN(6) {
			p := func() canvas.Point { return canvas.Point{rnd.Float64() * 500, rnd.Float64() * 400} }
			lines = append(lines, [2]canvas.Point{p(), p()})
		}
		const width = 3
		for _, l := range lines {
			k.shape(draw.Shape{Rings: [][]draw.Point{{l[0], l[1]}}, Open: true, Style: draw.Style{Stroke: draw.Text, Width: width}})
		}
		k.dry()
		x, y := float64(rnd.IntN(80)), float64(rnd.IntN(60))
		r := canvas.Rect{X: area.X + inkCell*x, Y: area.Y + inkCell*y, W: inkCell * float64(1+rnd.IntN(20)), H: inkCell * float64(1+rnd.IntN(15))}
		in := r
		in.W, in.H = min(in.W, area.X+area.W-in.X), min(in.H, area.Y+area.H-in.Y)
		want := 0.0
		for _, l := range lines {
			if u, v, ok := inside(l[0], l[1], in); ok {
				want += (v - u) * math.Hypot(l[1][0]-l[0][0], l[1][1]-l[0][1])
			}
		}
		if got := k.under(r) / (0.5 * width); math.Abs(got-want) > inkCell*float64(len(lines))+1e-2 {
			t.Fatalf("round %d: %g under %v, want %g", round, got, r, want)
		}
	}
}

// Path metres and names stand beside lines where there is room: a path with a name on it is no name.
func TestBareTextsKeepOffLines(t *testing.T) {
	r := ruler(t)
	p := crowd(12)
	cam := Fit(canvas.Rect{W: 1400, H: 900}, [2]float64{-1.8, -1.2}, [2]float64{1.8, 1.2})
	looks := all(p)
	looks.Lobes, looks.Overlaps = false, false // with all beams there is no place without a line
	layers := Drawing(nil, p, Live{}, cam, looks, r)
	_, texts, _ := boxes(r, find(layers, "labels"))
	if len(texts) < 4 {
		t.Fatalf("%d texts", len(texts))
	}
	for _, name := range []string{"paths", "stops", "body"} {
		for _, s := range find(layers, name) {
			for _, ring := range s.Rings {
				for i := 1; i < len(ring); i++ {
					for _, b := range texts {
						if u, v, ok := inside(ring[i-1], ring[i], b); ok && (v-u)*math.Hypot(ring[i][0]-ring[i-1][0], ring[i][1]-ring[i-1][1]) > 1 {
							t.Errorf("a line of %s runs through the text at %v", name, b)
						}
					}
				}
			}
		}
	}
}
