package draw

import (
	"bytes"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"

	"echowright/planner/editor/typeset"
	pic "echowright/planner/export/draw"
)

// fonts are the embedded faces by size in pixels.
type fonts struct {
	regular, bold *text.GoTextFaceSource
	faces         map[faceKey]*text.GoTextFace
}

type faceKey struct {
	size float64
	bold bool
}

func newFonts() (*fonts, error) {
	regular, err := text.NewGoTextFaceSource(bytes.NewReader(typeset.Regular()))
	if err != nil {
		return nil, err
	}
	bold, err := text.NewGoTextFaceSource(bytes.NewReader(typeset.Bold()))
	if err != nil {
		return nil, err
	}
	return &fonts{regular, bold, map[faceKey]*text.GoTextFace{}}, nil
}

func (f *fonts) face(size float64, bold bool) *text.GoTextFace {
	k := faceKey{size, bold}
	face, ok := f.faces[k]
	if !ok {
		face = &text.GoTextFace{Source: f.regular, Size: size}
		if bold {
			face.Source = f.bold
		}
		f.faces[k] = face
	}
	return face
}

// draw sets a text down with its base line between two rows of pixels.
func (f *fonts) draw(dst *ebiten.Image, s *pic.Shape, scale float64, c colour) {
	x, y := (s.At[0]+s.Shift[0])*scale, (s.At[1]-s.Shift[1])*scale
	size := s.Size * scale
	if !(size > 0.5 && size < 500 && math.Abs(x) < 1e5 && math.Abs(y) < 1e5) {
		return
	}
	if b := dst.Bounds(); y+size < float64(b.Min.Y) || y-size > float64(b.Max.Y) || x > float64(b.Max.X) && s.Anchor != pic.End && s.Anchor != pic.Middle {
		return
	}
	face := f.face(size, s.Bold)
	op := &text.DrawOptions{}
	switch s.Anchor {
	case pic.Middle:
		op.PrimaryAlign = text.AlignCenter
	case pic.End:
		op.PrimaryAlign = text.AlignEnd
	}
	op.GeoM.Translate(x, math.Round(y)-face.Metrics().HAscent)
	op.ColorScale.Scale(c.r, c.g, c.b, c.a)
	text.Draw(dst, s.Text, face, op)
}
