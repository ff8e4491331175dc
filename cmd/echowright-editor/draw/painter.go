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
	letters *letters
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
	marks   *tiles // of the picture that is being made; nil while the screen is painted
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

// New makes a Painter; it fails only when the program's own fonts or shader cannot be read.
func New() (*Painter, error) {
	shader, err := ebiten.NewShader([]byte(program))
	if err != nil {
		return nil, err
	}
	letters, err := newLetters()
	if err != nil {
		return nil, err
	}
	return &Painter{shader: shader, letters: letters, meshes: map[digest]*kept{}}, nil
}

// Stale reports once that the last frame would look different now, since a photo has been read meanwhile.
func (p *Painter) Stale() bool { return p.photos.takeStale() }

// Unreadable tells once why the photo of a version cannot be painted; why is empty as long as nothing is known against it.
func (p *Painter) Unreadable() (version int, why string) { return p.photos.takeWhy() }

// settled is for how many frames a layer must have been the same before it is kept as a picture.
const settled = 3

// Paint covers all of dst with a frame; scale is pixels a point.
func (p *Painter) Paint(dst *ebiten.Image, f *canvas.Frame, scale float64, dark bool) {
	if p.tones == nil || p.scale != scale || p.dark != dark {
		p.forget()
		p.scale, p.dark, p.tones = scale, dark, inksOf(dark)
	}
	p.turn++
	shapes := p.look(f)
	if len(f.Layers) == 0 || !p.still(0) {
		dst.Fill(p.paper())
	}
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

func (p *Painter) paper() color.RGBA {
	c := p.tones[pic.Paper]
	return color.RGBA{c[0], c[1], c[2], 255}
}

// forget drops all that is kept.
func (p *Painter) forget() {
	clear(p.meshes)
	p.letters.begin(firstSide)
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

// clip is the part of dst a layer may touch, in pixels.
func (p *Painter) clip(all image.Rectangle, l *canvas.Layer) image.Rectangle {
	if l.Clip == (canvas.Rect{}) {
		return all
	}
	px := func(v float64) int { return int(math.Round(math.Max(-1e6, math.Min(1e6, v*p.scale)))) }
	return all.Intersect(image.Rect(px(l.Clip.X), px(l.Clip.Y), px(l.Clip.X+l.Clip.W), px(l.Clip.Y+l.Clip.H)))
}

// layer paints one layer: all its shapes gathered into one call.
func (p *Painter) layer(dst *ebiten.Image, l *canvas.Layer, shapes []digest) {
	r := p.clip(dst.Bounds(), l)
	if r.Empty() {
		return
	}
	part := dst.SubImage(r).(*ebiten.Image)
	if l.Photo != nil {
		p.photos.draw(part, l.Photo, p.scale)
		p.marks.all(r)
	}
	for i := range l.Shapes {
		m, ok := p.mesh(&l.Shapes[i], shapes[i])
		for tries := 0; !ok && tries < 3; tries++ { // the atlas is full: what is gathered is painted by it, then it begins anew
			p.flush(part)
			p.letters.grow()
			clear(p.meshes)
			m, ok = p.mesh(&l.Shapes[i], shapes[i])
		}
		p.batch.add(m)
	}
	p.flush(part)
}

// mesh is the triangles of a shape, kept from an earlier frame where they are; ok is false when some of its
// letters are missing.
func (p *Painter) mesh(s *pic.Shape, d digest) (m *mesh, ok bool) {
	k, ok := p.meshes[d]
	if !ok {
		k, ok = &kept{}, true
		if s.Text == "" {
			k.mesh.shape(s, p.scale, p.tones)
		} else if c, seen := p.tones.of(s.Style.Fill, s.Style.Opacity); seen {
			ok = k.mesh.text(s, p.scale, p.letters, c)
		}
		p.meshes[d] = k
	}
	k.turn = p.turn
	return &k.mesh, ok
}

func (p *Painter) flush(dst *ebiten.Image) {
	if len(p.batch.indices) > 0 {
		op := &ebiten.DrawTrianglesShaderOptions{}
		op.Images[0] = p.letters.atlas
		p.marks.triangles(&p.batch, dst.Bounds())
		dst.DrawTrianglesShader32(p.batch.vertices, p.batch.indices, p.shader, op)
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
