package draw

import (
	"image"
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor/canvas"
	pic "echowright/planner/export/draw"
)

// Painter paints frames. It keeps what does not change from one to the next, so one Painter serves one window.
type Painter struct {
	shader  *ebiten.Shader
	fonts   *fonts
	photos  photos
	scale   float64
	dark    bool
	tones   inks
	meshes  map[digest]*kept
	turn    int // counts frames
	batch   mesh
	rested  []rest
	runs    []run
	digests []digest
}

// kept is the triangles of a shape and the frame that last used them.
type kept struct {
	mesh mesh
	turn int
}

// rest is what a layer looks like, and since which frame.
type rest struct {
	digest digest
	since  int
}

// run is neighbouring layers that do not change, painted once.
type run struct {
	digest digest
	image  *ebiten.Image
	turn   int
}

// New makes a Painter; it fails only when the program's own fonts or shader cannot be read.
func New() (*Painter, error) {
	shader, err := ebiten.NewShader([]byte(program))
	if err != nil {
		return nil, err
	}
	fonts, err := newFonts()
	if err != nil {
		return nil, err
	}
	return &Painter{shader: shader, fonts: fonts, meshes: map[digest]*kept{}}, nil
}

// Stale reports once that the last frame would look different now, since a photo has been read meanwhile.
func (p *Painter) Stale() bool { return p.photos.takeStale() }

// settled is for how many frames a layer must have been the same before it is kept as a picture.
const settled = 3

// Paint covers all of dst with a frame; scale is pixels a point.
func (p *Painter) Paint(dst *ebiten.Image, f *canvas.Frame, scale float64, dark bool) {
	if p.tones == nil || p.scale != scale || p.dark != dark {
		p.forget()
		p.scale, p.dark, p.tones = scale, dark, inksOf(dark)
	}
	p.turn++
	paper, _ := p.tones.of(pic.Paper, 0)
	dst.Fill(color.RGBA{uint8(paper.r*255 + 0.5), uint8(paper.g*255 + 0.5), uint8(paper.b*255 + 0.5), 255})
	shapes := p.look(f)
	for i := 0; i < len(f.Layers); {
		j := i
		for j < len(f.Layers) && p.still(j) {
			j++
		}
		if j == i {
			p.layer(dst, &f.Layers[i], shapes[i])
			i++
			continue
		}
		p.run(dst, f, i, j, shapes)
		i = j
	}
	p.sweepOut()
}

// forget drops all that is kept.
func (p *Painter) forget() {
	clear(p.meshes)
	clear(p.fonts.faces)
	p.rested = nil
	for _, r := range p.runs {
		r.image.Deallocate()
	}
	p.runs = nil
}

// look takes the digests of all shapes and notes which layers have changed.
func (p *Painter) look(f *canvas.Frame) [][]digest {
	p.digests = p.digests[:0]
	total := 0
	for i := range f.Layers {
		total += len(f.Layers[i].Shapes)
	}
	if cap(p.digests) < total {
		p.digests = make([]digest, 0, 2*total)
	}
	shapes := make([][]digest, len(f.Layers))
	if len(p.rested) != len(f.Layers) {
		p.rested = make([]rest, len(f.Layers))
	}
	for i := range f.Layers {
		l := &f.Layers[i]
		first := len(p.digests)
		for k := range l.Shapes {
			p.digests = append(p.digests, shapeDigest(&l.Shapes[k]))
		}
		shapes[i] = p.digests[first:]
		d := layerDigest(l, shapes[i], l.Photo != nil && p.photos.ready(l.Photo))
		if r := &p.rested[i]; r.digest != d {
			*r = rest{digest: d, since: p.turn}
		}
	}
	return shapes
}

// still reports whether a layer has been the same for long enough to be kept as a picture.
func (p *Painter) still(i int) bool { return p.turn-p.rested[i].since >= settled }

// run paints neighbouring still layers from one kept picture, which is made first if it must.
func (p *Painter) run(dst *ebiten.Image, f *canvas.Frame, from, to int, shapes [][]digest) {
	var d digest
	bounds := image.Rectangle{}
	for i := from; i < to; i++ {
		d.word(uint64(p.rested[i].digest))
		bounds = bounds.Union(p.clip(dst.Bounds(), &f.Layers[i]))
	}
	if bounds.Empty() {
		return
	}
	for _, v := range []int{bounds.Min.X, bounds.Min.Y, bounds.Max.X, bounds.Max.Y} {
		d.word(uint64(v))
	}
	at := -1
	for i := range p.runs {
		if p.runs[i].digest == d {
			at = i
		}
	}
	if at < 0 {
		img := ebiten.NewImageWithOptions(bounds, &ebiten.NewImageOptions{Unmanaged: true})
		for i := from; i < to; i++ {
			p.layer(img, &f.Layers[i], shapes[i])
		}
		p.runs, at = append(p.runs, run{digest: d, image: img}), len(p.runs)
	}
	p.runs[at].turn = p.turn
	op := &ebiten.DrawImageOptions{}
	op.GeoM.Translate(float64(bounds.Min.X), float64(bounds.Min.Y))
	dst.DrawImage(p.runs[at].image, op)
}

// clip is the part of dst a layer may touch, in pixels.
func (p *Painter) clip(all image.Rectangle, l *canvas.Layer) image.Rectangle {
	if l.Clip == (canvas.Rect{}) {
		return all
	}
	px := func(v float64) int { return int(math.Round(math.Max(-1e6, math.Min(1e6, v*p.scale)))) }
	return all.Intersect(image.Rect(px(l.Clip.X), px(l.Clip.Y), px(l.Clip.X+l.Clip.W), px(l.Clip.Y+l.Clip.H)))
}

// layer paints one layer: shapes gathered into one call up to the next text.
func (p *Painter) layer(dst *ebiten.Image, l *canvas.Layer, shapes []digest) {
	r := p.clip(dst.Bounds(), l)
	if r.Empty() {
		return
	}
	part := dst.SubImage(r).(*ebiten.Image)
	if l.Photo != nil {
		p.photos.draw(part, l.Photo, p.scale)
	}
	for i := range l.Shapes {
		s := &l.Shapes[i]
		if s.Text == "" {
			p.batch.add(p.mesh(s, shapes[i]))
			continue
		}
		if c, ok := p.tones.of(s.Style.Fill, s.Style.Opacity); ok {
			p.flush(part)
			p.fonts.draw(part, s, p.scale, c)
		}
	}
	p.flush(part)
}

// mesh is the triangles of a shape, kept from an earlier frame where they are.
func (p *Painter) mesh(s *pic.Shape, d digest) *mesh {
	k, ok := p.meshes[d]
	if !ok {
		k = &kept{}
		k.mesh.shape(s, p.scale, p.tones)
		p.meshes[d] = k
	}
	k.turn = p.turn
	return &k.mesh
}

func (p *Painter) flush(dst *ebiten.Image) {
	if len(p.batch.indices) > 0 {
		dst.DrawTrianglesShader32(p.batch.vertices, p.batch.indices, p.shader, nil)
	}
	p.batch.reset()
}

// longKept is for how many frames triangles and pictures that no frame uses are kept.
const longKept = 8

// sweepOut drops what has not been used for a while.
func (p *Painter) sweepOut() {
	live := p.runs[:0]
	for _, r := range p.runs {
		if p.turn-r.turn > longKept {
			r.image.Deallocate()
			continue
		}
		live = append(live, r)
	}
	p.runs = live
	if p.turn%longKept == 0 {
		for d, k := range p.meshes {
			if p.turn-k.turn > longKept*8 {
				delete(p.meshes, d)
			}
		}
	}
}
