package draw

import "math"

// label is a text on a plate that belongs to a place.
type label struct {
	at   Point
	text string
	ink  Ink
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

const labelSize = 12

// place sets labels on plates near their places, each where it hides least of the plates before it and of the boxes to keep clear.
func (p *Picture) place(labels []label, clear []box) {
	taken := append([]box(nil), clear...)
	for _, l := range labels {
		x, y := p.Px(l.at)
		w, h := textWidth(l.text, labelSize)+14, float64(labelSize)+10
		best, bestCost := box{}, math.Inf(1)
		for _, r := range []float64{30, 55, 85, 120, 165} {
			for k := range 16 {
				a := 2 * math.Pi * float64(k) / 16
				cx, cy := x+math.Cos(a)*(r+w/2), y+math.Sin(a)*(r+h/2)
				b := box{cx - w/2, cy - h/2, cx + w/2, cy + h/2}
				if c := p.cost(b, taken) + r; c < bestCost {
					best, bestCost = b, c
				}
			}
		}
		taken = append(taken, best)
		p.plate(l, best)
	}
}

// cost weighs what a plate would cover and how far it leaves the picture.
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

func (p *Picture) plate(l label, b box) {
	x, y := p.Px(l.at)
	nx, ny := math.Max(b.x0, math.Min(x, b.x1)), math.Max(b.y0, math.Min(y, b.y1))
	c0, c1 := p.world(b.x0, b.y0), p.world(b.x1, b.y1)
	p.add("labels",
		line(Style{Stroke: l.ink, Width: 1}, l.at, p.world(nx, ny)),
		Shape{Rings: [][]Point{rect(c0[0], c0[1], c1[0], c1[1])}, Style: Style{Fill: Plate, Stroke: l.ink, Width: 1}},
		Shape{Text: l.text, At: p.world(b.x0+7, b.y1-7), Size: labelSize, Anchor: Start, Style: Style{Fill: l.ink}})
}
