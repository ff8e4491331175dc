// Package typeset measures text, shortens it and breaks it into lines. It holds the editor's one family of letters,
// the Go fonts, which come with their module as bytes: no file is read.
//
//	planner/editor/widget, …/view ─► typeset ─► canvas
//
// The Go fonts hold no kerning and no ligatures, so a text is as wide as the advances of its letters together, and a
// painter that sets glyph after glyph paints it that wide.
package typeset

import (
	"fmt"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Regular is the font file of plain text.
func Regular() []byte { return goregular.TTF }

// Bold is the font file of bold text.
func Bold() []byte { return gobold.TTF }

// Height is how far a line of text reaches, in points.
type Height struct {
	Ascent, Descent float64 // above and below the baseline
	Line            float64 // from one baseline to the next, at least
	Capital, Small  float64 // of an H and of an x above the baseline
}

// Ruler measures text. It remembers the letters and some of the texts it has met and is for one goroutine at a time.
type Ruler struct {
	plain, bold face
	wrapped     map[wrapping][]string
}

// face is one font; lengths are in parts of the size.
type face struct {
	font    *sfnt.Font
	buf     sfnt.Buffer
	units   fixed.Int26_6
	height  Height
	unknown letter          // the box for letters the font lacks
	common  [0x250]letter   // Latin letters
	others  map[rune]letter // and others the font has, as they are met
}

// letter is what a face holds of a letter.
type letter struct {
	advance float64
	glyph   sfnt.GlyphIndex
	unseen  bool
}

// New makes a ruler of the embedded fonts.
func New() (*Ruler, error) {
	r := &Ruler{wrapped: map[wrapping][]string{}}
	for _, f := range []struct {
		name string
		data []byte
		into *face
	}{{"regular", Regular(), &r.plain}, {"bold", Bold(), &r.bold}} {
		if err := f.into.load(f.data); err != nil {
			return nil, fmt.Errorf("embedded %s font: %w", f.name, err)
		}
	}
	return r, nil
}

func (f *face) load(data []byte) error {
	var err error
	if f.font, err = sfnt.Parse(data); err != nil {
		return err
	}
	f.units = fixed.Int26_6(f.font.UnitsPerEm())
	// Asked for at a size of as many 1/64 as there are units to the em, every length comes in font units, unrounded.
	m, err := f.font.Metrics(&f.buf, f.units, font.HintingNone)
	if err != nil {
		return err
	}
	em := func(v fixed.Int26_6) float64 { return float64(v) / float64(f.units) }
	f.height = Height{em(m.Ascent), em(m.Descent), em(m.Height), em(m.CapHeight), em(m.XHeight)}
	f.others = map[rune]letter{}
	if f.unknown, err = f.glyph(0); err != nil {
		return err
	}
	for c := range f.common {
		f.common[c], _ = f.look(rune(c))
	}
	return nil
}

func (f *face) glyph(i sfnt.GlyphIndex) (letter, error) {
	a, err := f.font.GlyphAdvance(&f.buf, i, f.units, font.HintingNone)
	return letter{advance: float64(a) / float64(f.units), glyph: i}, err
}

// look finds a letter, and tells whether the font has it.
func (f *face) look(c rune) (letter, bool) {
	if unseen(c) {
		return letter{unseen: true}, true
	}
	i, err := f.font.GlyphIndex(&f.buf, c)
	if err != nil || i == 0 {
		return f.unknown, false
	}
	l, err := f.glyph(i)
	if err != nil {
		return f.unknown, false
	}
	return l, true
}

// unseen says which letters take no room: joiners, marks of direction, soft hyphens.
func unseen(c rune) bool {
	return c == 0xAD || c >= 0x200B && c <= 0x200F || c >= 0x202A && c <= 0x202E || c >= 0x2060 && c <= 0x2064 ||
		c >= 0xFE00 && c <= 0xFE0F || c == 0xFEFF
}

func (f *face) letter(c rune) letter {
	if c >= 0 && int(c) < len(f.common) {
		return f.common[c]
	}
	if l, ok := f.others[c]; ok {
		return l
	}
	l, ok := f.look(c)
	if ok {
		f.others[c] = l
	}
	return l
}

func (r *Ruler) face(bold bool) *face {
	if bold {
		return &r.bold
	}
	return &r.plain
}

// Width is how wide a text of one line is in points.
func (r *Ruler) Width(text string, size float64, bold bool) float64 {
	f, w := r.face(bold), 0.0
	for _, c := range text {
		w += f.letter(c).advance
	}
	return w * size
}

// Height is how high text of a size stands.
func (r *Ruler) Height(size float64, bold bool) Height {
	h := r.face(bold).height
	return Height{h.Ascent * size, h.Descent * size, h.Line * size, h.Capital * size, h.Small * size}
}

// Has reports whether the font can write all of a text.
func (r *Ruler) Has(text string) bool {
	for _, c := range text {
		if _, ok := r.plain.look(c); !ok {
			return false
		}
	}
	return true
}

// Fit is the package's Fit by this ruler.
func (r *Ruler) Fit(text string, size float64, bold bool, width float64) string {
	return Fit(r, text, size, bold, width)
}

// Wrap is the package's Wrap by this ruler.
func (r *Ruler) Wrap(text string, size float64, bold bool, width float64) []string {
	return Wrap(r, text, size, bold, width)
}

// joins reports whether a letter belongs to the one before it.
func joins(c rune) bool { return unicode.Is(unicode.M, c) || unseen(c) }
