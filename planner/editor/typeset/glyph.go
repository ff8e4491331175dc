package typeset

import (
	"iter"

	"golang.org/x/image/font/sfnt"
)

// Glyph is the picture of a letter in one of the two faces.
type Glyph struct {
	Index sfnt.GlyphIndex
	Bold  bool
}

// Glyphs are the glyphs a text is painted with, and how far right of its start each stands, in parts of the size.
// Letters that are not seen have none, and those the font lacks a box.
func (r *Ruler) Glyphs(text string, bold bool) iter.Seq2[float64, Glyph] {
	return func(yield func(float64, Glyph) bool) {
		f, x := r.face(bold), 0.0
		for _, c := range text {
			l := f.letter(c)
			if !l.unseen && !yield(x, Glyph{l.glyph, bold}) {
				return
			}
			x += l.advance
		}
	}
}

// Outline is a glyph's outline from the point it stands on, y down, and how many of its units make the size. It
// holds until the ruler is asked again.
func (r *Ruler) Outline(g Glyph) (line sfnt.Segments, units float64, err error) {
	f := r.face(g.Bold)
	line, err = f.font.LoadGlyph(&f.buf, g.Index, f.units, nil)
	return line, float64(f.units), err
}
