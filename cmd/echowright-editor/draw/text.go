package draw

import (
	"image"
	"math"

	"echowright/planner/editor/typeset"
	pic "echowright/planner/export/draw"
)

const (
	leastSize, largestSize = 0.5, 500 // pixels; text beyond is not painted
	farAway                = 1e5      // pixels
)

// text adds a quad a glyph. The base line lies between two rows of pixels, and each glyph on the nearest quarter of a
// pixel. It returns false when there is no room for a glyph in the atlas; what there is room for is added all the same.
func (m *mesh) text(s *pic.Shape, scale float64, l *letters, c colour) bool {
	x, y := (s.At[0]+s.Shift[0])*scale, (s.At[1]-s.Shift[1])*scale
	size := s.Size * scale
	if !(size > leastSize && size < largestSize && math.Abs(x) < farAway && math.Abs(y) < farAway) {
		return true
	}
	switch s.Anchor {
	case pic.Middle:
		x -= l.ruler.Width(s.Text, size, s.Bold) / 2
	case pic.End:
		x -= l.ruler.Width(s.Text, size, s.Bold)
	}
	base, room := int(math.Round(y)), true
	for at, g := range l.ruler.Glyphs(s.Text, s.Bold) {
		quarters := int(math.Round((x + at*size) * 4))
		if quarters > farAway*4 {
			break
		}
		room = m.glyph(l, cellKey{g, size, uint8(quarters & 3)}, quarters>>2, base, c) && room
	}
	return room
}

func (m *mesh) glyph(l *letters, k cellKey, x, y int, c colour) bool {
	cell, ok := l.cell(k)
	if !ok || cell.box.Empty() {
		return ok
	}
	to, from := cell.box.Add(image.Pt(x, y)), cell.from
	w, h := to.Dx(), to.Dy()
	m.quad(
		m.letter(to.Min, from, c), m.letter(to.Min.Add(image.Pt(w, 0)), from.Add(image.Pt(w, 0)), c),
		m.letter(to.Max, from.Add(image.Pt(w, h)), c), m.letter(to.Min.Add(image.Pt(0, h)), from.Add(image.Pt(0, h)), c),
	)
	return true
}

func newLetters() (*letters, error) {
	r, err := typeset.New()
	if err != nil {
		return nil, err
	}
	return &letters{ruler: r, most: lastSide, cells: map[cellKey]cell{}}, nil
}
