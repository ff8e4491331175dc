package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

// pen gathers the shapes of a layer.
type pen struct {
	ruler  canvas.Ruler
	shapes []draw.Shape
	cut    []string    // texts that were shortened, whole
	room   canvas.Rect // of the item being drawn, which nothing leaves; the zero Rect is everywhere
}

type side int

const (
	left side = iota
	middle
	right
)

// rounded is a rectangle with round corners.
func rounded(r canvas.Rect, radius float64) []draw.Point {
	radius = math.Max(0, math.Min(radius, math.Min(r.W, r.H)/2))
	if radius == 0 {
		return box(r.X, r.Y, r.X+r.W, r.Y+r.H)
	}
	const steps = 6
	pts := make([]draw.Point, 0, 4*(steps+1))
	for k, c := range [4]draw.Point{{r.X + r.W - radius, r.Y + r.H - radius}, {r.X + radius, r.Y + r.H - radius}, {r.X + radius, r.Y + radius}, {r.X + r.W - radius, r.Y + radius}} {
		for i := range steps + 1 {
			s, co := quarter[i][1], quarter[i][0]
			for range k {
				s, co = co, -s
			}
			pts = append(pts, draw.Point{c[0] + radius*co, c[1] + radius*s})
		}
	}
	return pts
}

// quarter is a quarter of the unit circle.
var quarter = func() (q [7]draw.Point) {
	for i := range q {
		s, c := math.Sincos(float64(i) * math.Pi / 12)
		q[i] = draw.Point{c, s}
	}
	return q
}()

// crisp moves a rectangle's edges onto whole points.
func crisp(r canvas.Rect) canvas.Rect {
	x, y := math.Round(r.X), math.Round(r.Y)
	return canvas.Rect{X: x, Y: y, W: math.Max(0, math.Round(r.X+r.W)-x), H: math.Max(0, math.Round(r.Y+r.H)-y)}
}

// keep is the part of r that the item being drawn may use.
func (p *pen) keep(r canvas.Rect) canvas.Rect {
	if p.room == (canvas.Rect{}) {
		return r
	}
	return within(r, p.room)
}

func (p *pen) fill(r canvas.Rect, radius float64, ink draw.Ink, opacity float64) {
	if r = crisp(p.keep(r)); r.W > 0 && r.H > 0 {
		p.shapes = append(p.shapes, draw.Shape{Rings: [][]draw.Point{rounded(r, radius)}, Style: draw.Style{Fill: ink, Stroke: draw.None, Opacity: opacity}})
	}
}

// edge draws a line just inside a rectangle.
func (p *pen) edge(r canvas.Rect, radius float64, ink draw.Ink, width float64, dashed bool) {
	if r = crisp(p.keep(r)).Inset(width / 2); r.W > 0 && r.H > 0 {
		p.shapes = append(p.shapes, draw.Shape{Rings: [][]draw.Point{rounded(r, radius-width/2)}, Style: draw.Style{Fill: draw.None, Stroke: ink, Width: width, Dashed: dashed}})
	}
}

// bar is a rectangle hatched or plain.
func (p *pen) bar(r canvas.Rect, ink draw.Ink, hatched bool) {
	if r = crisp(p.keep(r)); r.W > 0 && r.H > 0 {
		p.shapes = append(p.shapes, draw.Shape{Rings: [][]draw.Point{rounded(r, 2)}, Style: draw.Style{Fill: ink, Stroke: draw.None, Hatched: hatched}})
		if hatched {
			p.edge(r, 2, ink, 1, false)
		}
	}
}

func (p *pen) line(a, b canvas.Point, ink draw.Ink, width float64) {
	p.shapes = append(p.shapes, draw.Shape{Rings: [][]draw.Point{{a, b}}, Open: true, Style: draw.Style{Fill: draw.None, Stroke: ink, Width: width}})
}

func (p *pen) mark(m Mark, at canvas.Rect, ink draw.Ink) {
	if at.W > 0 && at.H > 0 && math.Abs(p.keep(at).W-at.W)+math.Abs(p.keep(at).H-at.H) < 1e-6 {
		p.shapes = append(p.shapes, m.Shapes(at, ink)...)
	}
}

// text writes one line in the middle of a rectangle's height, shortened to its width, and returns how wide it is. A
// rectangle too low for the text stays empty.
func (p *pen) text(text string, in canvas.Rect, size float64, ink draw.Ink, bold bool, to side) float64 {
	in = p.keep(in)
	if text == "" || in.W <= 0 || in.H < size {
		return 0
	}
	fit := typeset.Fit(p.ruler, text, size, bold, in.W)
	if fit != text {
		p.cut = append(p.cut, text)
	}
	if fit == "" {
		return 0
	}
	wide := p.ruler.Width(fit, size, bold)
	x := in.X
	switch to {
	case middle:
		x += (in.W - wide) / 2
	case right:
		x += in.W - wide
	}
	p.write(fit, canvas.Point{x, baseline(in, size)}, size, ink, bold)
	return wide
}

func (p *pen) write(text string, at canvas.Point, size float64, ink draw.Ink, bold bool) {
	p.shapes = append(p.shapes, draw.Shape{Text: text, At: at, Size: size, Anchor: draw.Start, Bold: bold, Style: draw.Style{Fill: ink, Stroke: draw.None}})
}

// baseline is where a line in the middle of a rectangle stands, higher where what reaches below it would leave: on a
// whole point, so that it is crisp.
func baseline(in canvas.Rect, size float64) float64 {
	return math.Min(math.Round(in.Y+in.H/2+capital*size/2), math.Round(in.Y+in.H-below*size))
}

// lines writes a text in as many lines as find room, the last one shortened, and returns how high they are.
func (p *pen) lines(text string, in canvas.Rect, size float64, ink draw.Ink, bold bool, to side) float64 {
	if text == "" || in.W <= 0 || in.H < size {
		return 0
	}
	all := typeset.Wrap(p.ruler, text, size, bold, in.W)
	step := lineStep(size)
	n := min(len(all), max(1, int((in.H+0.01)/step)))
	if n < len(all) {
		p.cut = append(p.cut, text)
		all[n-1] = typeset.Fit(p.ruler, all[n-1]+typeset.Ellipsis, size, bold, in.W)
	}
	cut := len(p.cut)
	for i, l := range all[:n] {
		p.text(l, canvas.Rect{X: in.X, Y: in.Y + float64(i)*step, W: in.W, H: math.Min(step, in.H)}, size, ink, bold, to)
	}
	p.cut = p.cut[:cut]
	return float64(n) * step
}
