package draw

import (
	"math"
	"math/bits"

	"echowright/planner/editor/canvas"
	pic "echowright/planner/export/draw"
)

// digest tells shapes and layers apart by 64 bits: what has the same digest is taken to look the same.
type digest uint64

func (d *digest) word(v uint64) {
	hi, lo := bits.Mul64(uint64(*d)^v^0x9e3779b97f4a7c15, 0xd6e8feb86659fd93)
	*d = digest(hi ^ lo)
}

func (d *digest) number(v float64) { d.word(math.Float64bits(v)) }

func (d *digest) text(s string) {
	d.word(uint64(len(s)))
	for i := 0; i < len(s); i += 8 {
		v := uint64(0)
		for k := i; k < min(i+8, len(s)); k++ {
			v = v<<8 | uint64(s[k])
		}
		d.word(v)
	}
}

func (d *digest) flags(fs ...bool) {
	v := uint64(1)
	for _, f := range fs {
		v <<= 1
		if f {
			v |= 1
		}
	}
	d.word(v)
}

// shapeDigest covers all of a shape that is painted.
func shapeDigest(s *pic.Shape) digest {
	var d digest
	d.flags(s.Open, s.Bold, s.Style.Dashed, s.Style.Dotted, s.Style.Hatched)
	d.text(string(s.Style.Fill))
	d.text(string(s.Style.Stroke))
	d.number(s.Style.Opacity)
	d.number(s.Style.Width)
	if s.Text != "" {
		d.text(s.Text)
		d.text(string(s.Anchor))
		for _, v := range []float64{s.At[0], s.At[1], s.Shift[0], s.Shift[1], s.Size} {
			d.number(v)
		}
		return d
	}
	for _, r := range s.Rings {
		d.word(uint64(len(r)))
		for _, p := range r {
			d.number(p[0])
			d.number(p[1])
		}
	}
	return d
}

// layerDigest covers a layer whose shapes have these digests.
func layerDigest(l *canvas.Layer, shapes []digest, photoReady bool) digest {
	var d digest
	for _, v := range []float64{l.Clip.X, l.Clip.Y, l.Clip.W, l.Clip.H} {
		d.number(v)
	}
	for _, s := range shapes {
		d.word(uint64(s))
	}
	if p := l.Photo; p != nil {
		d.flags(photoReady)
		d.word(uint64(p.Version))
		for _, v := range []float64{p.At[0], p.At[1], p.X[0], p.X[1], p.Y[0], p.Y[1], p.Opacity} {
			d.number(v)
		}
	}
	return d
}
