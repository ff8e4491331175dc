package draw

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"echowright/planner/editor/typeset"
)

// letters are the glyphs painted lately, in one picture: each is rasterised once for its size and for each quarter of a
// pixel it may begin at.
type letters struct {
	ruler  *typeset.Ruler
	raster vector.Rasterizer
	atlas  *ebiten.Image
	side   int // of the atlas, pixels
	most   int // it may become
	cells  map[cellKey]cell
	next   image.Point // where there is room in the row that is being filled
	row    int         // the row's height
}

type cellKey struct {
	glyph   typeset.Glyph
	size    float64 // pixels
	quarter uint8   // of a pixel, by which it stands to the right
}

// cell is where a glyph lies in the atlas, and which pixels about the point it stands on it covers.
type cell struct {
	from image.Point
	box  image.Rectangle
}

const (
	firstSide = 512  // of the atlas: enough for a window at one pixel a point
	lastSide  = 2048 // 16 MiB of texture
)

// cell finds or makes a glyph; ok is false when there is no room for it.
func (l *letters) cell(k cellKey) (c cell, ok bool) {
	if c, ok = l.cells[k]; ok {
		return c, true
	}
	line, units, err := l.ruler.Outline(k.glyph)
	if err != nil { // no glyph of the embedded fonts fails
		line = nil
	}
	c.box = l.outline(line, k.size/units, float64(k.quarter)/4)
	if c.box.Empty() {
		l.cells[k] = c
		return c, true
	}
	if c.from, ok = l.place(c.box.Dx(), c.box.Dy()); !ok {
		return cell{}, false
	}
	to := image.Rectangle{Min: c.from, Max: c.from.Add(c.box.Size())}
	l.atlas.SubImage(to).(*ebiten.Image).WritePixels(l.paint(c.box.Size()))
	l.cells[k] = c
	return c, true
}

// outline hands a glyph to the rasteriser and returns the pixels it touches.
func (l *letters) outline(line sfnt.Segments, unit, right float64) image.Rectangle {
	if len(line) == 0 {
		return image.Rectangle{}
	}
	// A quadratic or cubic piece lies within the points that make it.
	lo, hi := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	at := func(p fixed.Point26_6) point { return point{float64(p.X)*unit + right, float64(p.Y) * unit} }
	points := map[sfnt.SegmentOp]int{sfnt.SegmentOpMoveTo: 1, sfnt.SegmentOpLineTo: 1, sfnt.SegmentOpQuadTo: 2, sfnt.SegmentOpCubeTo: 3}
	for _, s := range line {
		for _, a := range s.Args[:points[s.Op]] {
			p := at(a)
			lo, hi = point{min(lo.x, p.x), min(lo.y, p.y)}, point{max(hi.x, p.x), max(hi.y, p.y)}
		}
	}
	box := image.Rect(int(math.Floor(lo.x)), int(math.Floor(lo.y)), int(math.Ceil(hi.x)), int(math.Ceil(hi.y)))
	l.raster.Reset(box.Dx(), box.Dy())
	to := func(a fixed.Point26_6) (x, y float32) {
		p := at(a)
		return float32(p.x - float64(box.Min.X)), float32(p.y - float64(box.Min.Y))
	}
	for i, s := range line {
		x0, y0 := to(s.Args[0])
		x1, y1 := to(s.Args[1])
		x2, y2 := to(s.Args[2])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				l.raster.ClosePath()
			}
			l.raster.MoveTo(x0, y0)
		case sfnt.SegmentOpLineTo:
			l.raster.LineTo(x0, y0)
		case sfnt.SegmentOpQuadTo:
			l.raster.QuadTo(x0, y0, x1, y1)
		case sfnt.SegmentOpCubeTo:
			l.raster.CubeTo(x0, y0, x1, y1, x2, y2)
		}
	}
	l.raster.ClosePath()
	return box
}

// paint is the share of each pixel that the rasteriser's outline covers, as premultiplied white.
func (l *letters) paint(size image.Point) []byte {
	mask := image.NewAlpha(image.Rectangle{Max: size})
	l.raster.Draw(mask, mask.Rect, image.Opaque, image.Point{})
	white := make([]byte, 4*len(mask.Pix))
	for i, a := range mask.Pix {
		for k := range 4 {
			white[4*i+k] = a
		}
	}
	return white
}

// place takes room for w by h pixels, row by row.
func (l *letters) place(w, h int) (image.Point, bool) {
	if l.next.X+w > l.side {
		l.next, l.row = image.Pt(0, l.next.Y+l.row), 0
	}
	if l.next.X+w > l.side || l.next.Y+h > l.side {
		return image.Point{}, false
	}
	at := l.next
	l.next.X += w
	l.row = max(l.row, h)
	return at, true
}

// begin empties the atlas and makes it as large as is said. Meshes made before do not fit it any more.
func (l *letters) begin(side int) {
	clear(l.cells)
	l.next, l.row = image.Point{}, 0
	if l.side == side {
		return // what lies there is written over, cell by cell
	}
	if l.atlas != nil {
		l.atlas.Deallocate()
	}
	l.side = side
	l.atlas = ebiten.NewImageWithOptions(image.Rect(0, 0, side, side), &ebiten.NewImageOptions{Unmanaged: true})
}

// grow begins anew, with more room as long as it may.
func (l *letters) grow() { l.begin(min(2*l.side, l.most)) }
