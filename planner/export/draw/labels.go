package draw

import (
	"math"
	"sort"
)

// label is a text on a plate that belongs to a place.
type label struct {
	at    Point
	text  string
	ink   Ink
	above bool  // a name that begins over its place, as on the corner of a zone
	way   Point // the way from its place a name had best stand, right and up, or zero
}

// box is a rectangle in pixels.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlap(c box) float64 {
	w := math.Min(b.x1, c.x1) - math.Max(b.x0, c.x0)
	h := math.Min(b.y1, c.y1) - math.Max(b.y0, c.y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

const (
	labelSize   = 12
	plateHeight = labelSize + 10
	plateGap    = 8
	nameSize    = 10
)

// gutter is how wide a column beside the drawing the labels need, pixels.
func gutter(labels []label) float64 {
	w := 0.0
	for _, l := range labels {
		w = math.Max(w, textWidth(l.text, labelSize)+14)
	}
	if w == 0 {
		return 0
	}
	return w + 24
}

// column sets labels on plates one below the other in a column added beside the picture, at the side that
// is nearer to their places, so that they hide nothing of it, each as near as may be to the height of its
// place, and with leaders that do not cross.
func (p *Picture) column(labels []label) {
	if len(labels) == 0 {
		return
	}
	ls := append([]label(nil), labels...)
	sort.SliceStable(ls, func(i, j int) bool { return ls[i].at[1] > ls[j].at[1] })
	tops := p.stack(ls)
	sum := 0.0
	for _, l := range ls {
		sum += l.at[0]
	}
	wide, edge := gutter(ls), p.Width()+12
	left := sum/float64(len(ls)) < (p.Min[0]+p.Max[0])/2
	if left {
		p.Min[0] -= wide / p.PxX
		edge = wide - 12
	} else {
		p.Max[0] += wide / p.PxX
	}
	p.uncross(ls, tops, edge)
	for i, l := range ls {
		w := textWidth(l.text, labelSize) + 14
		b := box{edge, tops[i], edge + w, tops[i] + plateHeight}
		if left {
			b.x0, b.x1 = edge-w, edge
		}
		p.plate(l, b, edge)
	}
}

// stack is the top of each plate, pixels: at the height of its place, pushed down by the one above it,
// and all pushed up again as far as the last runs out of the picture.
func (p *Picture) stack(ls []label) []float64 {
	tops := make([]float64, len(ls))
	next := 4.0
	for i, l := range ls {
		_, y := p.Px(l.at)
		tops[i] = math.Max(next, y-plateHeight/2)
		next = tops[i] + plateHeight + plateGap
	}
	last := p.Height() - 4 - plateHeight
	for i := len(ls) - 1; i >= 0; i-- {
		tops[i] = math.Max(4, math.Min(tops[i], last))
		last = tops[i] - plateHeight - plateGap
	}
	return tops
}

// uncross swaps labels whose leaders cross until none do; each swap makes the leaders shorter in all.
func (p *Picture) uncross(ls []label, tops []float64, edge float64) {
	end := func(i int) Point { return p.world(edge, tops[i]+plateHeight/2) }
	for swapped := true; swapped; {
		swapped = false
		for i := range ls {
			for j := range i {
				if cross(ls[i].at, end(i), ls[j].at, end(j)) {
					ls[i], ls[j] = ls[j], ls[i]
					swapped = true
				}
			}
		}
	}
}

// cross reports whether two lines properly cross.
func cross(a, b, c, d Point) bool {
	side := func(p, q, r Point) float64 { return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0]) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// names sets small names near their places without a plate, each where it covers least of the names
// before it and of the boxes to keep clear.
func (p *Picture) names(ls []label, clear []box) {
	taken := append([]box(nil), clear...)
	for _, l := range ls {
		x, y := p.Px(l.at)
		w, h := textWidth(l.text, nameSize), float64(nameSize)
		best, bestCost := box{}, math.Inf(1)
		if l.above {
			for _, back := range []float64{0, w / 2, w} {
				b := box{x - back, y - h - 3, x - back + w, y - 3}
				if c := p.cost(b, taken) + back/w; c < bestCost {
					best, bestCost = b, c
				}
			}
		}
		for _, r := range []float64{8, 16, 26, 40} {
			for k := range 16 {
				a := 2 * math.Pi * float64(k) / 16
				cx, cy := x+math.Cos(a)*(r+w/2), y+math.Sin(a)*(r+h/2)
				b := box{cx - w/2, cy - h/2, cx + w/2, cy + h/2}
				off := 12 * (1 - math.Cos(a)*l.way[0] + math.Sin(a)*l.way[1]) // pixels count downwards
				if c := p.cost(b, taken) + r + off; c < bestCost-1e-9 {
					best, bestCost = b, c
				}
			}
		}
		taken = append(taken, best)
		p.add("names", Shape{Text: l.text, At: p.world((best.x0+best.x1)/2, best.y1-1.5), Size: nameSize, Anchor: Middle, Style: Style{Fill: l.ink}})
	}
}

// cost weighs what a text would cover and how far it leaves the picture.
func (p *Picture) cost(b box, taken []box) float64 {
	c := 0.0
	for _, t := range taken {
		c += 3 * b.overlap(t)
	}
	page := box{4, 4, p.Width() - 4, p.Height() - 4}
	return c + 10*((b.x1-b.x0)*(b.y1-b.y0)-b.overlap(page))
}

// world turns pixels from the top left into a world point.
func (p *Picture) world(x, y float64) Point {
	return Point{p.Min[0] + x/p.PxX, p.Max[1] - y/p.PxY}
}

// plate draws a label in its box, with a leader from the box's edge to its place.
func (p *Picture) plate(l label, b box, edge float64) {
	c0, c1 := p.world(b.x0, b.y0), p.world(b.x1, b.y1)
	p.add("labels",
		line(Style{Stroke: l.ink, Width: 0.8}, l.at, p.world(edge, (b.y0+b.y1)/2)),
		Shape{Rings: [][]Point{circle(l.at[0], l.at[1], 2.5/p.PxX)}, Style: Style{Fill: l.ink}},
		Shape{Rings: [][]Point{rect(c0[0], c0[1], c1[0], c1[1])}, Style: Style{Fill: Plate, Stroke: l.ink, Width: 1}},
		Shape{Text: l.text, At: p.world(b.x0+7, b.y1-7), Size: labelSize, Anchor: Start, Style: Style{Fill: l.ink}})
}
