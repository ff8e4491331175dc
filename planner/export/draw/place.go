package draw

import (
	"math"
	"slices"
)

// Names are set where they cost least: a name has places to choose from, a board says what each would cover.

// box is a rectangle in pixels from the top left.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlap(c box) float64 {
	w := math.Min(b.x1, c.x1) - math.Max(b.x0, c.x0)
	h := math.Min(b.y1, c.y1) - math.Max(b.y0, c.y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

func (b box) area() float64 { return (b.x1 - b.x0) * (b.y1 - b.y0) }

func (b box) middle() Point { return Point{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2} }

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

// nearest is the point of a box nearest to another point.
func (b box) nearest(q Point) Point {
	return Point{math.Max(b.x0, math.Min(b.x1, q[0])), math.Max(b.y0, math.Min(b.y1, q[1]))}
}

// around is the box round some points.
func around(pts []Point) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, q := range pts {
		b = box{math.Min(b.x0, q[0]), math.Min(b.y0, q[1]), math.Max(b.x1, q[0]), math.Max(b.y1, q[1])}
	}
	return b
}

// segment is a drawn line in pixels and how much a pixel of it under a name costs.
type segment struct {
	a, b   Point
	weight float64
}

// under is the length of a segment inside a box.
func (s segment) under(b box) float64 {
	from, to := 0.0, 1.0
	lo, hi := [2]float64{b.x0, b.y0}, [2]float64{b.x1, b.y1}
	for k := range 2 {
		d := s.b[k] - s.a[k]
		if d == 0 {
			if s.a[k] < lo[k] || s.a[k] > hi[k] {
				return 0
			}
			continue
		}
		u, v := (lo[k]-s.a[k])/d, (hi[k]-s.a[k])/d
		from, to = math.Max(from, math.Min(u, v)), math.Min(to, math.Max(u, v))
	}
	return math.Max(0, to-from) * distance(s.a, s.b)
}

func distance(a, b Point) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }

// spot is a place a name could stand at, and what speaks against it beside what it covers.
type spot struct {
	box   box
	extra float64
}

// name is a small text, the places it could stand at, and what it is the name of.
type name struct {
	text  string
	ink   Ink
	spots []spot
	of    []Point // in pixels: the name had best be near one of these, and has a leader to it from afar
	not   []Point // other things of its kind, which it must not seem to belong to
}

// gap is how far a box is from the nearest of some points, and that point.
func gap(b box, pts []Point) (d float64, at Point) {
	d = math.Inf(1)
	for _, q := range pts {
		if e := distance(b.nearest(q), q); e < d {
			d, at = e, q
		}
	}
	return d, at
}

// board is what names have to stand clear of.
type board struct {
	page   box
	marks  []box       // what nothing may hide: texts, sensors, bars of reflectors
	lines  []segment   // what had best not be crossed
	hatchs [][][]Point // hatched areas, even-odd
}

// board gathers what is drawn already.
func (p *Picture) board() *board {
	b := &board{page: box{4, 4, p.Width() - 4, p.Height() - 4}}
	for _, l := range p.Layers {
		for _, s := range l.Shapes {
			b.take(p, s)
		}
	}
	return b
}

func (b *board) take(p *Picture, s Shape) {
	if s.Text != "" {
		b.marks = append(b.marks, p.textBox(s))
		return
	}
	if s.Style.Stroke == Grid {
		return
	}
	solid := !s.Open && !s.Style.Hatched && s.Style.Opacity == 0 && slices.Contains([]Ink{Text, Blind, Late}, s.Style.Fill)
	var rings [][]Point
	for _, r := range s.Rings {
		pts := p.pixels(r)
		rings = append(rings, pts)
		if solid {
			b.marks = append(b.marks, around(pts).grown(1))
			continue
		}
		for i := range pts {
			if i == 0 && s.Open {
				continue
			}
			b.lines = append(b.lines, segment{pts[(i+len(pts)-1)%len(pts)], pts[i], s.weight()})
		}
	}
	if s.Style.Hatched {
		b.hatchs = append(b.hatchs, rings)
	}
}

// weight is what a pixel of a shape's line costs under a name: the broader the more; of a disturbance, and of the arrow that
// says which way is forward, more than of an outline, which goes on beside the name.
func (s Shape) weight() float64 {
	w := 0.4 * s.Style.Width
	switch s.Style.Stroke {
	case Late:
		w *= 2
	case Quiet:
		w *= 5
	}
	return w
}

// textBox is the box of a text.
func (p *Picture) textBox(s Shape) box {
	x, y := p.Px(s.At)
	x, y = x+s.Shift[0], y-s.Shift[1]
	w := textWidth(s.Text, s.Size)
	switch s.Anchor {
	case Middle:
		x -= w / 2
	case End:
		x -= w
	}
	return box{x, y - s.Size, x + w, y + 2}
}

// pixels are points of the world in pixels from the top left.
func (p *Picture) pixels(r []Point) []Point {
	out := make([]Point, len(r))
	for i, q := range r {
		out[i][0], out[i][1] = p.Px(q)
	}
	return out
}

// near is what of a board matters to places inside a box.
func (b *board) near(in box) *board {
	n := &board{page: b.page}
	for _, m := range b.marks {
		if m.overlap(in) > 0 {
			n.marks = append(n.marks, m)
		}
	}
	for _, s := range b.lines {
		if s.under(in) > 0 {
			n.lines = append(n.lines, s)
		}
	}
	for _, h := range b.hatchs {
		var all []Point
		for _, r := range h {
			all = append(all, r...)
		}
		if around(all).overlap(in) > 0 {
			n.hatchs = append(n.hatchs, h)
		}
	}
	return n
}

const (
	costOfMark  = 4  // a square pixel of a mark or of another name
	costOffPage = 20 // a square pixel outside the page
	costOfHatch = 3  // a corner or the middle on a hatched area
	costOfDoubt = 3  // a pixel by which a name is not nearer to its own thing than to another
	clearance   = 6  // by how much it should be nearer
)

// cost weighs what a text in a box would cover.
func (b *board) cost(at box) float64 {
	c := costOffPage * (at.area() - at.overlap(b.page))
	for _, m := range b.marks {
		c += costOfMark * at.overlap(m)
	}
	for _, s := range b.lines {
		c += s.weight * s.under(at)
	}
	for _, h := range b.hatchs {
		for _, q := range []Point{at.middle(), {at.x0, at.y0}, {at.x1, at.y0}, {at.x1, at.y1}, {at.x0, at.y1}} {
			if holds(h, q) {
				c += costOfHatch
			}
		}
	}
	return c
}

// holds reports whether a point lies inside rings, even-odd.
func holds(rings [][]Point, q Point) (in bool) {
	for _, r := range rings {
		for i := range r {
			a, b := r[(i+len(r)-1)%len(r)], r[i]
			if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+(q[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				in = !in
			}
		}
	}
	return in
}

// place chooses a place for every name: the one that costs least beside those before it, and then again beside all others, a
// few times over. Of places that cost the same it takes the first.
func (b *board) place(names []name) []box {
	at := make([]box, len(names))
	in := make([]box, len(names))          // holds all places of a name
	alone := make([][]float64, len(names)) // the costs without the other names
	for i, n := range names {
		in[i], alone[i] = b.weighed(n)
	}
	meets := make([][]int, len(names)) // the others a name could overlap
	for i := range names {
		for j := range names {
			if j != i && in[i].grown(2).overlap(in[j]) > 0 {
				meets[i] = append(meets[i], j)
			}
		}
	}
	for range 4 {
		for i, n := range names {
			best, least := box{}, math.Inf(1)
			for k, s := range n.spots {
				c := alone[i][k]
				for _, j := range meets[i] {
					c += costOfMark * s.box.grown(1).overlap(at[j])
				}
				if c < least-1e-9 {
					best, least = s.box, c
				}
			}
			at[i] = best
		}
	}
	return at
}

// weighed is the box round all places of a name, and what each of them costs beside no other name.
func (b *board) weighed(n name) (in box, costs []float64) {
	var all []Point
	for _, s := range n.spots {
		all = append(all, Point{s.box.x0, s.box.y0}, Point{s.box.x1, s.box.y1})
	}
	in = around(all)
	near := b.near(in)
	farthest := 0.0
	for _, s := range n.spots {
		own, _ := gap(s.box, n.of)
		farthest = math.Max(farthest, own)
	}
	var rivals []Point
	for _, q := range n.not {
		if distance(in.nearest(q), q) < farthest+clearance {
			rivals = append(rivals, q)
		}
	}
	for _, s := range n.spots {
		c := s.extra + near.cost(s.box)
		own, _ := gap(s.box, n.of)
		if other, _ := gap(s.box, rivals); other < own+clearance {
			c += costOfDoubt * (own + clearance - other)
		}
		costs = append(costs, c)
	}
	return in, costs
}
