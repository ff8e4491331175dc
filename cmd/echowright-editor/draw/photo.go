package draw

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	stdraw "image/draw"
	"image/jpeg" // photos are PNG or JPEG
	"image/png"
	"io"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor/canvas"
)

// largestSide is that of the texture, in pixels; what is larger is made smaller.
const largestSide = 4096

// photos reads pictures beside the frame loop and keeps the last one as a texture.
type photos struct {
	mu      sync.Mutex
	version int
	asked   bool
	read    image.Image // waiting to become a texture
	shrunk  float64     // pixels of the file a pixel of the texture stands for
	texture *ebiten.Image
	stale   bool
	why     string // it cannot be read; empty when that is told
}

// ready takes a photo on: it starts reading one that is new, and reports whether it can be painted.
func (ps *photos) ready(p *canvas.Photo) bool {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	if !ps.asked || ps.version != p.Version {
		ps.asked, ps.version, ps.read, ps.why = true, p.Version, nil, ""
		if ps.texture != nil {
			ps.texture.Deallocate()
			ps.texture = nil
		}
		go ps.decode(p.Pixels, p.Version)
	}
	if ps.read != nil {
		ps.texture, ps.read = ebiten.NewImageFromImageWithOptions(ps.read, &ebiten.NewImageFromImageOptions{Unmanaged: true}), nil
	}
	return ps.texture != nil
}

// decode reads a picture; one that cannot be read is not painted.
func (ps *photos) decode(data []byte, version int) {
	img, shrunk, err := decode(data)
	ps.mu.Lock()
	defer ps.mu.Unlock()
	switch {
	case ps.version != version:
	case err != nil:
		ps.why = err.Error()
	default:
		ps.read, ps.shrunk, ps.stale = img, shrunk, true
	}
}

// takeWhy tells once why the picture of a version cannot be painted.
func (ps *photos) takeWhy() (version int, why string) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	version, why = ps.version, ps.why
	ps.why = ""
	return version, why
}

func decode(data []byte) (img image.Image, shrunk float64, err error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err == nil && (c.Width <= 0 || c.Height <= 0 || float64(c.Width)*float64(c.Height) > canvas.MostPixels) {
		err = fmt.Errorf("%d by %d pixels cannot be read", c.Width, c.Height)
	}
	if err != nil {
		return nil, 0, err
	}
	img, _, err = image.Decode(bytes.NewReader(data))
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, png.FormatError("not enough pixel data")), errors.Is(err, jpeg.FormatError("short Huffman data")):
		return nil, 0, errors.New("its file breaks off")
	case err != nil:
		return nil, 0, fmt.Errorf("it is damaged (%w)", err)
	}
	n := (max(c.Width, c.Height) + largestSide - 1) / largestSide
	if n == 1 {
		return img, 1, nil
	}
	return shrink(img, n), float64(n), nil
}

// shrink makes one pixel of each n by n; what is left over at the right and the bottom is cut off.
func shrink(img image.Image, n int) *image.RGBA {
	b := img.Bounds()
	w, h := max(1, b.Dx()/n), max(1, b.Dy()/n)
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	rows := image.NewRGBA(image.Rect(0, 0, w*n, n))
	for y := range h {
		stdraw.Draw(rows, rows.Rect, img, b.Min.Add(image.Pt(0, y*n)), stdraw.Src)
		for x := range w {
			var sum [4]int
			for k := range n {
				for i, v := range rows.Pix[k*rows.Stride+4*x*n : k*rows.Stride+4*(x+1)*n] {
					sum[i%4] += int(v)
				}
			}
			for i, v := range sum {
				small.Pix[y*small.Stride+4*x+i] = uint8((v + n*n/2) / (n * n))
			}
		}
	}
	return small
}

// takeStale reports once that a photo has become ready since it was asked for.
func (ps *photos) takeStale() bool {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	s := ps.stale
	ps.stale = false
	return s
}

func (ps *photos) draw(dst *ebiten.Image, p *canvas.Photo, scale float64) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	if ps.texture == nil {
		return
	}
	op := &ebiten.DrawImageOptions{Filter: ebiten.FilterLinear}
	k := ps.shrunk * scale
	op.GeoM.SetElement(0, 0, p.X[0]*k)
	op.GeoM.SetElement(1, 0, p.X[1]*k)
	op.GeoM.SetElement(0, 1, p.Y[0]*k)
	op.GeoM.SetElement(1, 1, p.Y[1]*k)
	op.GeoM.SetElement(0, 2, p.At[0]*scale)
	op.GeoM.SetElement(1, 2, p.At[1]*scale)
	if p.Opacity > 0 {
		op.ColorScale.ScaleAlpha(float32(p.Opacity))
	}
	dst.DrawImage(ps.texture, op)
}
