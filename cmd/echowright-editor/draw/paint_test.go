package draw

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"echowright/planner/editor/canvas"
	pic "echowright/planner/export/draw"
)

func ring(ps []point) []pic.Point {
	out := make([]pic.Point, len(ps))
	for i, p := range ps {
		out[i] = pic.Point{p.x, p.y}
	}
	return out
}

func box(x0, y0, x1, y1 float64) []pic.Point {
	return []pic.Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func layer(shapes ...pic.Shape) canvas.Layer { return canvas.Layer{Shapes: shapes} }

// Every ink fills with exactly its colour, on either paper.
func TestInksAreThePalettes(t *testing.T) {
	for _, dark := range []bool{false, true} {
		var shapes []pic.Shape
		for i, p := range pic.Palette {
			shapes = append(shapes, pic.Shape{Rings: [][]pic.Point{box(float64(10*i+1), 1, float64(10*i+9), 9)}, Style: pic.Style{Fill: p.Ink}})
		}
		img := painted(t, 10*len(pic.Palette), 10, 1, dark, layer(shapes...))
		for i, p := range pic.Palette {
			if got := rgb(img, 10*i+5, 5); got != tone(p.Ink, dark) {
				t.Errorf("dark %v: %s is %v, want %v", dark, p.Ink, got, tone(p.Ink, dark))
			}
			if got := rgb(img, 10*i, 5); got != tone(pic.Paper, dark) {
				t.Errorf("dark %v: paper is %v", dark, got)
			}
		}
	}
}

// Each pixel further than a pixel from the edges is all fill or all paper, as the winding of the rings says.
func TestFillsAreWhereTheRingsSay(t *testing.T) {
	for name, rings := range awkward {
		for _, stroke := range []pic.Ink{pic.None, pic.Blind} {
			s := pic.Shape{Style: pic.Style{Fill: pic.Beam, Stroke: stroke, Width: 1}}
			var moved [][]point
			for _, r := range rings {
				var m []point
				for _, p := range r {
					m = append(m, point{p.x + 5.3, p.y + 5.6})
				}
				moved = append(moved, m)
				s.Rings = append(s.Rings, ring(m))
			}
			img := painted(t, 116, 116, 1, false, layer(s))
			wrong := 0
			for y := range 116 {
				for x := range 116 {
					cx, cy := float64(x)+0.5, float64(y)+0.5
					if nearEdge(moved, cx, cy, 2) {
						continue
					}
					want := tone(pic.Paper, false)
					if windingAt(moved, cx, cy)&1 != 0 {
						want = tone(pic.Beam, false)
					}
					if rgb(img, x, y) != want {
						wrong++
					}
				}
			}
			if wrong > 0 {
				t.Errorf("%s, stroke %s: %d pixels are wrong", name, stroke, wrong)
			}
		}
	}
}

// The ink a smooth fill lays down adds up to its area, and is even on all sides: what is missing inside an edge lies outside.
func TestSmoothEdgesKeepTheArea(t *testing.T) {
	for name, c := range map[string]struct {
		rings [][]point
		area  float64
	}{
		"circle":      {[][]point{circlePoints(40.3, 39.8, 30, 200)}, math.Pi * 900},
		"small dot":   {[][]point{circlePoints(40.3, 39.8, 2.5, 24)}, math.Pi * 6.25},
		"annulus":     {[][]point{circlePoints(40.3, 39.8, 30, 200), circlePoints(40.3, 39.8, 20, 100)}, math.Pi * 500},
		"turned box":  {[][]point{{{40, 10.5}, {69, 40}, {40, 69}, {11, 40}}}, 1696.5},
		"wedge":       {[][]point{{{10, 10}, {70, 30}, {40, 40}, {60, 70}, {20, 60}}}, 1700},
		"three holes": {[][]point{circlePoints(40, 40, 35, 100), circlePoints(30, 30, 6, 40), circlePoints(55, 40, 9, 40), circlePoints(35, 58, 7, 40)}, math.Pi * (1225 - 36 - 81 - 49)},
	} {
		s := pic.Shape{Style: pic.Style{Fill: pic.Text}}
		for _, r := range c.rings {
			s.Rings = append(s.Rings, ring(r))
		}
		img := painted(t, 80, 80, 1, false, layer(s))
		paper, ink := tone(pic.Paper, false), tone(pic.Text, false)
		sum := 0.0
		for y := range 80 {
			for x := range 80 {
				sum += (float64(paper[0]) - float64(rgb(img, x, y)[0])) / (float64(paper[0]) - float64(ink[0]))
			}
		}
		// A side of n pixels samples its ramp n times; what rounding leaves is a few hundredths of a pixel a pixel of edge.
		if math.Abs(sum-c.area) > 0.01*c.area+0.3 {
			t.Errorf("%s: the ink covers %.1f pixels, want %.1f", name, sum, c.area)
		}
	}
}

// Where n translucent beams lie over each other the colour is that of n layers of glass, so it darkens by count.
func TestOverlapsDarkenByCount(t *testing.T) {
	const opacity = 0.2
	var beams []pic.Shape
	for i := range 4 {
		beams = append(beams, pic.Shape{Rings: [][]pic.Point{box(0, 0, float64(20*(i+1)), 20)}, Style: pic.Style{Fill: pic.Beam, Opacity: opacity}})
	}
	img := painted(t, 100, 20, 1, false, layer(beams...))
	for n := range 5 {
		x := 80 - 20*n + 10 // four beams over the first 20 pixels, none over the last
		var want pic.RGB
		for k := range want {
			through := math.Pow(1-opacity, float64(n))
			want[k] = uint8(math.Round(float64(tone(pic.Paper, false)[k])*through + float64(tone(pic.Beam, false)[k])*(1-through)))
		}
		if got := rgb(img, x, 10); differ(got[:], want[:]) > 3 { // each layer is rounded to a byte
			t.Errorf("%d beams: %v, want %v", n, got, want)
		}
		if n > 0 && rgb(img, x, 10)[0] >= rgb(img, x+20, 10)[0] {
			t.Errorf("%d beams are no darker than %d", n, n-1)
		}
	}
}

// A level line has six points of ink and four of none, from its start on; a dotted one 1.5 and 3.5.
func TestDashesAndDotsHaveTheirLengths(t *testing.T) {
	for _, scale := range []float64{1, 2} {
		dashed := pic.Shape{Open: true, Rings: [][]pic.Point{{{10, 5.5}, {90, 5.5}}}, Style: pic.Style{Stroke: pic.Text, Width: 1, Dashed: true}}
		dotted := pic.Shape{Open: true, Rings: [][]pic.Point{{{10, 15.5}, {90, 15.5}}}, Style: pic.Style{Stroke: pic.Text, Width: 1, Dotted: true}}
		img := painted(t, int(100*scale), int(20*scale), scale, false, layer(dashed, dotted))
		y := int(5 * scale)
		for x := range int(100 * scale) {
			at := float64(x)/scale - 10
			want := tone(pic.Paper, false)
			if at >= 0 && at < 80 && math.Mod(at, 10) < 6 {
				want = tone(pic.Text, false)
			}
			if got := rgb(img, x, y); got != want {
				t.Errorf("scale %g: pixel %d of the dashes is %v, want %v", scale, x, got, want)
			}
		}
		ink := 0
		for x := range int(100 * scale) {
			if rgb(img, x, int(15*scale)) != tone(pic.Paper, false) {
				ink++
			}
		}
		if want := 80 * scale * 1.5 / 5; math.Abs(float64(ink)-want) > 16*0.5*scale { // a dot's end may fall in the middle of a pixel
			t.Errorf("scale %g: %d pixels of dots, want %g", scale, ink, want)
		}
	}
}

// A dashed ring bends its dashes round the corners and has as much gap as its length says.
func TestDashesFollowTheRing(t *testing.T) {
	drawn := 0.0
	dashes(circlePoints(0, 0, 100, 300), true, 6, 4, func(ps []point) { drawn += length(ps) })
	if whole := length(circlePoints(0, 0, 100, 300)) * 300 / 299; math.Abs(drawn-0.6*whole) > 4 {
		t.Errorf("%g of %g drawn", drawn, whole)
	}
}

// Hatches rise to the right at 45 degrees, cover 1.6 in 6, and stay inside, out of holes too.
func TestHatchesStayInside(t *testing.T) {
	outer, hole := circlePoints(60, 60, 50, 90), circlePoints(70, 60, 20, 60)
	img := painted(t, 120, 120, 1, false, layer(pic.Shape{Rings: [][]pic.Point{ring(outer), ring(hole)}, Style: pic.Style{Fill: pic.Blind, Hatched: true}}))
	rings := [][]point{outer, hole}
	paper, blind := tone(pic.Paper, false), tone(pic.Blind, false)
	sum, n, stripes := 0.0, 0.0, 0
	for y := range 119 {
		for x := range 119 {
			in := windingAt(rings, float64(x)+0.5, float64(y)+0.5)&1 != 0
			edge := nearEdge(rings, float64(x)+0.5, float64(y)+0.5, 2)
			got := rgb(img, x, y)
			if !in && !edge && got != paper {
				t.Fatalf("(%d, %d) is outside and is %v", x, y, got)
			}
			if in && !edge {
				sum += (float64(paper[1]) - float64(got[1])) / (float64(paper[1]) - float64(blind[1]))
				n++
				if y > 0 && !nearEdge(rings, float64(x)+1.5, float64(y)-0.5, 2) {
					if d := int(got[1]) - int(rgb(img, x+1, y-1)[1]); d > 3 || d < -3 {
						stripes++
					}
				}
			}
		}
	}
	if share := sum / n; math.Abs(share-1.6/6) > 0.02 {
		t.Errorf("hatches cover %.3f, want %.3f", share, 1.6/6)
	}
	if stripes > 0 {
		t.Errorf("%d pixels differ from their neighbour along the hatch", stripes)
	}
}

// Nothing of a layer is painted outside its clip, text and photo included; what is inside is.
func TestClipsHold(t *testing.T) {
	l := layer(
		pic.Shape{Rings: [][]pic.Point{box(0, 0, 100, 60)}, Style: pic.Style{Fill: pic.Beam}},
		pic.Shape{Text: "WWWWWWWWWWWWWW", At: pic.Point{0, 35}, Size: 20, Anchor: pic.Start, Style: pic.Style{Fill: pic.Text}},
	)
	l.Clip = canvas.Rect{X: 30, Y: 20, W: 40, H: 20}
	for _, scale := range []float64{1, 2} {
		img := painted(t, int(100*scale), int(60*scale), scale, false, l)
		for y := range int(60 * scale) {
			for x := range int(100 * scale) {
				p := pic.Point{(float64(x) + 0.5) / scale, (float64(y) + 0.5) / scale}
				if in := l.Clip.Holds(p); in == (rgb(img, x, y) == tone(pic.Paper, false)) {
					t.Fatalf("scale %g: (%d, %d) inside %v is %v", scale, x, y, in, rgb(img, x, y))
				}
			}
		}
	}
}

// A line of one point that lies level or upright anywhere paints one row or column in full and nothing beside it.
func TestLevelAndUprightLinesAreCrisp(t *testing.T) {
	for _, at := range []float64{10, 10.3, 10.5, 10.8} {
		for _, scale := range []float64{1, 2, 3} {
			img := painted(t, int(30*scale), int(30*scale), scale, false, layer(
				pic.Shape{Open: true, Rings: [][]pic.Point{{{at, 0}, {at, 30}}}, Style: pic.Style{Stroke: pic.Text, Width: 1}}))
			full := 0
			for x := range int(30 * scale) {
				switch rgb(img, x, int(15*scale)) {
				case tone(pic.Text, false):
					full++
				case tone(pic.Paper, false):
				default:
					t.Errorf("x %g, scale %g: column %d is half painted", at, scale, x)
				}
			}
			if full != int(scale) {
				t.Errorf("x %g, scale %g: %d columns", at, scale, full)
			}
		}
	}
}

// inkBox is the part of a picture that is not paper.
func inkBox(img *image.RGBA, dark bool) image.Rectangle {
	var r image.Rectangle
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			if rgb(img, x, y) != tone(pic.Paper, dark) {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}

// A text stands on its base line, at the side of its point the anchor says, moved by its shift, and grows with the scale.
func TestTextsStandWhereTheyAre(t *testing.T) {
	for _, scale := range []float64{1, 2} {
		for _, c := range []struct {
			anchor   pic.Anchor
			from, to float64 // points
		}{{pic.Start, 60, 99}, {pic.Middle, 41, 80}, {pic.End, 21, 60}} {
			img := painted(t, int(120*scale), int(40*scale), scale, true, layer(
				pic.Shape{Text: "HHHH", At: pic.Point{58, 25}, Shift: pic.Point{2, 3}, Size: 14, Anchor: c.anchor, Style: pic.Style{Fill: pic.Text}}))
			b := inkBox(img, true)
			// The letter H of the face: height 0.73, advance 0.70 of the size, its side bearings below 0.1 (measured from the font).
			for what, v := range map[string][2]float64{
				"left": {float64(b.Min.X) / scale, c.from}, "right": {float64(b.Max.X) / scale, c.to},
				"base": {float64(b.Max.Y) / scale, 22}, "top": {float64(b.Min.Y) / scale, 22 - 0.73*14},
			} {
				if math.Abs(v[0]-v[1]) > 2.1 {
					t.Errorf("%s, scale %g: %s at %g, want %g", c.anchor, scale, what, v[0], v[1])
				}
			}
		}
	}
}

func TestBoldTextIsHeavier(t *testing.T) {
	ink := func(bold bool) (n int) {
		img := painted(t, 120, 30, 1, false, layer(pic.Shape{Text: "Heading", At: pic.Point{5, 20}, Size: 15, Anchor: pic.Start, Bold: bold, Style: pic.Style{Fill: pic.Text}}))
		for y := range 30 {
			for x := range 120 {
				n += int(tone(pic.Paper, false)[0]) - int(rgb(img, x, y)[0])
			}
		}
		return n
	}
	if plain, bold := ink(false), ink(true); float64(bold) < 1.15*float64(plain) {
		t.Errorf("bold has ink %d, plain %d", bold, plain)
	}
}

// A photo lies where its corner and its two ways say, under the shapes of its layer, as faint as it is told.
func TestPhotosLieWhereTheyAre(t *testing.T) {
	src := image.NewNRGBA(image.Rect(0, 0, 2, 2))
	for i, c := range []color.NRGBA{{200, 0, 0, 255}, {0, 200, 0, 255}, {0, 0, 200, 255}, {90, 90, 90, 255}} {
		src.SetNRGBA(i%2, i/2, c)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, src); err != nil {
		t.Fatal(err)
	}
	// Turned by a quarter: its x leads down, its y to the left.
	l := layer(pic.Shape{Rings: [][]pic.Point{box(56, 10, 60, 14)}, Style: pic.Style{Fill: pic.Text}})
	l.Photo = &canvas.Photo{Pixels: b.Bytes(), Version: 1, At: canvas.Point{60, 10}, X: canvas.Point{0, 20}, Y: canvas.Point{-20, 0}, Opacity: 0.5}
	img := painted(t, 80, 60, 1, false, l)
	half := func(c color.NRGBA) pic.RGB {
		p := tone(pic.Paper, false)
		return pic.RGB{uint8((int(c.R) + int(p[0])) / 2), uint8((int(c.G) + int(p[1])) / 2), uint8((int(c.B) + int(p[2])) / 2)}
	}
	for _, c := range []struct {
		x, y int
		want pic.RGB
	}{
		{53, 17, half(src.NRGBAAt(0, 0))}, {53, 43, half(src.NRGBAAt(1, 0))}, {27, 17, half(src.NRGBAAt(0, 1))}, {27, 43, half(src.NRGBAAt(1, 1))},
		{58, 12, tone(pic.Text, false)}, {10, 30, tone(pic.Paper, false)}, {70, 30, tone(pic.Paper, false)},
	} {
		if got := rgb(img, c.x, c.y); differ(got[:], c.want[:]) > 40 { // between two pixels of the photo colours run into each other
			t.Errorf("(%d, %d) is %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

// What cannot be painted is left out, and nothing falls over.
func TestImpossibleShapesAreLeftOut(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	var shapes []pic.Shape
	for _, style := range []pic.Style{{Fill: pic.Beam}, {Fill: pic.Beam, Hatched: true}, {Stroke: pic.Beam, Width: 2}, {Stroke: pic.Beam, Width: 2, Dashed: true}, {Stroke: "no such ink", Fill: "nor this", Width: 1}} {
		for _, r := range [][]pic.Point{nil, {{5, 5}}, {{5, 5}, {5, 5}, {5, 5}}, {{nan, 1}, {2, 3}, {4, 5}}, {{inf, 1}, {2, -inf}, {4, 5}}, {{1e9, 1}, {-1e9, 3}, {4, 1e9}}} {
			for _, open := range []bool{false, true} {
				shapes = append(shapes, pic.Shape{Rings: [][]pic.Point{r, nil}, Open: open, Style: style})
			}
		}
	}
	img := painted(t, 20, 20, 1, false, layer(shapes...))
	if b := inkBox(img, false); !b.Empty() {
		t.Errorf("something is painted at %v", b)
	}
	painted(t, 20, 20, 1, false, canvas.Layer{Clip: canvas.Rect{X: 50, Y: 50, W: nan, H: inf}, Photo: &canvas.Photo{Pixels: []byte("no picture")}, Shapes: []pic.Shape{
		{Text: "x", At: pic.Point{nan, 3}, Size: 12, Style: pic.Style{Fill: pic.Text}}, {Text: "x", At: pic.Point{3, 3}, Size: 1e9, Style: pic.Style{Fill: pic.Text}}}})
}
