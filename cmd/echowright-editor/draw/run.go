package draw

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor/canvas"
)

// run is neighbouring layers that do not change, painted once.
type run struct {
	digest digest
	image  *ebiten.Image
	inked  mesh // the parts of the picture with something in them; empty where it is copied as a whole
	turn   int
}

// run paints neighbouring still layers from one kept picture, which is made first if it must. The lowest layers lie
// on the paper and cover all.
func (p *Painter) run(dst *ebiten.Image, f *canvas.Frame, from, to int, shapes [][]digest) {
	var d digest
	bounds := image.Rectangle{}
	for i := from; i < to; i++ {
		d.word(uint64(p.rested[i].digest))
		bounds = bounds.Union(p.clip(dst.Bounds(), &f.Layers[i]))
	}
	if from == 0 {
		bounds = dst.Bounds()
	}
	if bounds.Empty() {
		return
	}
	for _, v := range []int{from, bounds.Min.X, bounds.Min.Y, bounds.Max.X, bounds.Max.Y} {
		d.word(uint64(v))
	}
	at := -1
	for i := range p.runs {
		if p.runs[i].digest == d {
			at = i
		}
	}
	if at < 0 {
		p.runs, at = append(p.runs, p.makeRun(d, bounds, f, from, to, shapes)), len(p.runs)
	}
	r := &p.runs[at]
	r.turn = p.turn
	if from == 0 {
		op := &ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
		op.GeoM.Translate(float64(bounds.Min.X), float64(bounds.Min.Y))
		dst.DrawImage(r.image, op)
	} else if len(r.inked.indices) > 0 {
		dst.DrawTriangles32(r.inked.vertices, r.inked.indices, r.image, nil)
	}
}

func (p *Painter) makeRun(d digest, bounds image.Rectangle, f *canvas.Frame, from, to int, shapes [][]digest) run {
	r := run{digest: d, image: ebiten.NewImageWithOptions(bounds, &ebiten.NewImageOptions{Unmanaged: true})}
	if from == 0 {
		r.image.Fill(p.paper())
	} else {
		p.marks = newTiles(bounds)
	}
	for i := from; i < to; i++ {
		p.layer(r.image, &f.Layers[i], shapes[i])
	}
	p.marks.quads(&r.inked)
	p.marks = nil
	return r
}

// tiles tell which parts of a picture have something in them. A nil one is not interested.
type tiles struct {
	bounds image.Rectangle
	across int
	inked  []bool
}

// tile is the side of a part, pixels.
const tile = 32

func newTiles(bounds image.Rectangle) *tiles {
	across, down := (bounds.Dx()+tile-1)/tile, (bounds.Dy()+tile-1)/tile
	return &tiles{bounds, across, make([]bool, across*down)}
}

// all marks a rectangle.
func (t *tiles) all(r image.Rectangle) {
	if t == nil {
		return
	}
	if r = r.Intersect(t.bounds).Sub(t.bounds.Min); r.Empty() {
		return
	}
	for y := r.Min.Y / tile; y <= (r.Max.Y-1)/tile; y++ {
		for x := r.Min.X / tile; x <= (r.Max.X-1)/tile; x++ {
			t.inked[y*t.across+x] = true
		}
	}
}

// triangles marks what the triangles of a mesh may touch inside clip.
func (t *tiles) triangles(m *mesh, clip image.Rectangle) {
	if t == nil {
		return
	}
	for i := 0; i+2 < len(m.indices); i += 3 {
		a, b, c := &m.vertices[m.indices[i]], &m.vertices[m.indices[i+1]], &m.vertices[m.indices[i+2]]
		low := func(v float32) int { return int(math.Floor(float64(v))) }
		high := func(v float32) int { return int(math.Ceil(float64(v))) }
		t.all(image.Rect(low(min(a.DstX, b.DstX, c.DstX)), low(min(a.DstY, b.DstY, c.DstY)),
			high(max(a.DstX, b.DstX, c.DstX)), high(max(a.DstY, b.DstY, c.DstY))).Intersect(clip))
	}
}

// quads makes a quad of each row of neighbouring marked parts.
func (t *tiles) quads(m *mesh) {
	if t == nil {
		return
	}
	corner := func(x, y int) uint32 {
		m.vertices = append(m.vertices, ebiten.Vertex{DstX: float32(x), DstY: float32(y), SrcX: float32(x), SrcY: float32(y), ColorR: 1, ColorG: 1, ColorB: 1, ColorA: 1})
		return uint32(len(m.vertices) - 1)
	}
	for i := 0; i < len(t.inked); i++ {
		if !t.inked[i] {
			continue
		}
		j := i + 1
		for j%t.across != 0 && t.inked[j] {
			j++
		}
		y := i / t.across
		r := image.Rect(i%t.across*tile, y*tile, (i%t.across+j-i)*tile, (y+1)*tile).Add(t.bounds.Min).Intersect(t.bounds)
		m.quad(corner(r.Min.X, r.Min.Y), corner(r.Max.X, r.Min.Y), corner(r.Max.X, r.Max.Y), corner(r.Min.X, r.Max.Y))
		i = j - 1
	}
}
