package draw

import (
	"image"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	pic "echowright/planner/export/draw"
)

// A glyph of the atlas is what the font's own package draws. That one rounds corners to 1/64 pixel, after which a bow
// may be taken for straight that is not here: the rasteriser does so below √0.333 / 4 = 0.144 pixels (dev² < 0.333 in
// golang.org/x/image/vector). One pixel may differ by that much and some roundings, the ink as a whole hardly.
func TestGlyphsAreTheFonts(t *testing.T) {
	const near, nearlyAll = 43, 0.02 // 0.144 × 255, and 6
	l, err := newLetters()
	if err != nil {
		t.Fatal(err)
	}
	for _, bold := range []bool{false, true} {
		file := typeset.Regular()
		if bold {
			file = typeset.Bold()
		}
		f, err := opentype.Parse(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, size := range []float64{9, 11, 13, 16.25, 19.5, 30, 120} {
			face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range "Agj@%µ°−é…Ω→1 |" {
				for quarter := range 4 {
					_, g, ok := glyphOf(l.ruler, string(c), bold)
					if !ok {
						t.Fatalf("no glyph for %q", c)
					}
					line, units, err := l.ruler.Outline(g)
					if err != nil {
						t.Fatal(err)
					}
					box := l.outline(line, size/units, float64(quarter)/4)
					got := map[image.Point]int{}
					if !box.Empty() {
						white := l.paint(box.Size())
						for i := 0; i < len(white); i += 4 {
							got[box.Min.Add(image.Pt(i/4%box.Dx(), i/4/box.Dx()))] = int(white[i])
						}
					}
					to, mask, from, _, ok := face.Glyph(fixed.Point26_6{X: fixed.Int26_6(quarter * 16)}, c)
					if !ok {
						t.Fatalf("the font draws no %q", c)
					}
					worst, off, ink := 0, 0, 0
					for y := to.Min.Y; y < to.Max.Y; y++ {
						for x := to.Min.X; x < to.Max.X; x++ {
							_, _, _, a := mask.At(from.X+x-to.Min.X, from.Y+y-to.Min.Y).RGBA()
							d := int(a>>8) - got[image.Pt(x, y)]
							worst, off, ink = max(worst, d, -d), off+d, ink+int(a>>8)
							delete(got, image.Pt(x, y))
						}
					}
					for _, a := range got { // beyond what the font's package drew
						worst, off = max(worst, a), off-a
					}
					if worst > near || math.Abs(float64(off)) > nearlyAll*float64(ink) {
						t.Errorf("%q, bold %v, %g pixels, %d quarters: a pixel differs by %d of 255, all by %d of %d", c, bold, size, quarter, worst, off, ink)
					}
				}
			}
		}
	}
}

func glyphOf(r *typeset.Ruler, text string, bold bool) (at float64, g typeset.Glyph, ok bool) {
	for at, g := range r.Glyphs(text, bold) {
		return at, g, true
	}
	return 0, g, false
}

// Painted text begins and ends where the ruler says, within half a pixel, at sizes that are no whole pixels too.
func TestTextIsAsWideAsTheRuler(t *testing.T) {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	const text = "Hidden thing, near band: 28 mm AV To \u2060WH"
	for _, bold := range []bool{false, true} {
		left, right := bearings(t, bold)
		for _, size := range []float64{9, 11, 12, 13, 15} {
			for _, scale := range []float64{1, 1.25, 1.5, 2} {
				for anchor, back := range map[pic.Anchor]float64{pic.Start: 0, pic.Middle: 0.5, pic.End: 1} {
					const at = 400.3
					img := painted(t, int(800*scale), int(30*scale), scale, false, layer(
						pic.Shape{Text: text, At: pic.Point{at, 20}, Size: size, Bold: bold, Anchor: anchor, Style: pic.Style{Fill: pic.Text}}))
					width := r.Width(text, size, bold)
					from := (at - back*width + left*size) * scale
					to := (at + (1-back)*width - right*size) * scale
					gotFrom, gotTo := edges(img, int(20*scale)-int(0.25*size*scale))
					if math.Abs(gotFrom-from) > 0.5 || math.Abs(gotTo-to) > 0.5 {
						t.Errorf("bold %v, %g points, scale %g, %s: ink from %.2f to %.2f, want %.2f to %.2f", bold, size, scale, anchor, gotFrom, gotTo, from, to)
					}
				}
			}
		}
	}
}

// bearings are how far an H's ink stays from its two ends, in parts of the size.
func bearings(t *testing.T, bold bool) (left, right float64) {
	t.Helper()
	file := typeset.Regular()
	if bold {
		file = typeset.Bold()
	}
	f, err := sfnt.Parse(file)
	if err != nil {
		t.Fatal(err)
	}
	i, err := f.GlyphIndex(nil, 'H')
	if err != nil {
		t.Fatal(err)
	}
	units := fixed.Int26_6(f.UnitsPerEm())
	b, advance, err := f.GlyphBounds(nil, i, units, font.HintingNone)
	if err != nil {
		t.Fatal(err)
	}
	return float64(b.Min.X) / float64(units), float64(advance-b.Max.X) / float64(units)
}

// edges are where the ink of a row of pixels begins and ends: a pixel half covered begins in its middle.
func edges(img *image.RGBA, y int) (from, to float64) {
	paper, ink := float64(tone(pic.Paper, false)[0]), float64(tone(pic.Text, false)[0])
	cover := func(x int) float64 { return (paper - float64(rgb(img, x, y)[0])) / (paper - ink) }
	x := 0
	for ; x < img.Rect.Dx()-1 && cover(x) < 0.02; x++ {
	}
	from = float64(x) + 1 - cover(x)
	for x = img.Rect.Dx() - 1; x > 0 && cover(x) < 0.02; x-- {
	}
	return from, float64(x) + cover(x)
}

// A frame with more glyphs than the atlas holds is painted like one whose texts are painted each by a painter of its own.
func TestMoreGlyphsThanTheAtlasHolds(t *testing.T) {
	const w, h = 1200, 640
	var shapes []pic.Shape
	for i := range 8 {
		shapes = append(shapes, pic.Shape{Text: "Abcdefghijklmnopqrst", At: pic.Point{4, float64(65 + 80*i)}, Size: 70 + float64(i)/3, Anchor: pic.Start, Style: pic.Style{Fill: pic.Text}})
	}
	paint := func(most int, shapes ...pic.Shape) *image.RGBA {
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		inside(t, func() {
			p, err := New()
			if err != nil {
				t.Error(err)
				return
			}
			p.letters.most = most
			dst := ebiten.NewImage(w, h)
			defer dst.Deallocate()
			p.Paint(dst, &canvas.Frame{W: w, H: h, Layers: []canvas.Layer{layer(shapes...)}}, 1, false)
			dst.ReadPixels(img.Pix)
			if p.letters.side > most {
				t.Errorf("the atlas is %d pixels wide", p.letters.side)
			}
		})
		return img
	}
	got := paint(firstSide, shapes...) // three of these lines fill it
	for i := range shapes {
		alone := paint(lastSide, shapes[i])
		part := image.Rect(0, 80*i, w, 80*(i+1))
		a, b := got.SubImage(part).(*image.RGBA), alone.SubImage(part).(*image.RGBA)
		if !slices.Equal(a.Pix[:80*w*4], b.Pix[:80*w*4]) {
			t.Errorf("line %d differs", i)
		}
	}
}

// Thousands of sizes, as a scale that is changed by and by brings, leave no more behind than the atlas holds.
func TestManySizesTakeNoMore(t *testing.T) {
	var p *Painter
	inside(t, func() {
		var err error
		if p, err = New(); err != nil {
			t.Error(err)
		}
	})
	if p == nil {
		return
	}
	heap := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / (1 << 20)
	}
	const rounds, lines = 30, 40
	round := 0
	show := func() float64 {
		frames(t, rounds, func(dst *ebiten.Image) {
			var shapes []pic.Shape
			for i := range lines {
				round++
				size := 9 + float64(round*577%4799)/160 // no size twice, large ones among small ones
				shapes = append(shapes, pic.Shape{Text: "412 mm wide", At: pic.Point{5, float64(18 * i)}, Size: size, Anchor: pic.Start, Style: pic.Style{Fill: pic.Text}})
			}
			p.Paint(dst, &canvas.Frame{W: 1280, H: 800, Layers: []canvas.Layer{layer(shapes...)}}, 1, false)
		})
		return heap()
	}
	first := show()
	if last := show(); last > first+2 {
		t.Errorf("%.1f MiB after half of the sizes, %.1f after all", first, last)
	}
	inside(t, func() {
		if p.letters.side > lastSide {
			t.Errorf("the atlas is %d pixels wide", p.letters.side)
		}
		t.Logf("%d sizes, %d glyphs kept in %d pixels square", round, len(p.letters.cells), p.letters.side)
	})
}
