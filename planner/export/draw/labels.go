package draw

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// label is a call-out: a text on a plate that belongs to a place. Parts of the text with " · " between them are lines.
type label struct {
	at   Point
	text string
	ink  Ink
}

const (
	labelSize = 12
	lineStep  = labelSize + 3
	plateGap  = 8
	// lineMost is how many characters a line of a plate holds; the whole text is its title.
	lineMost = 36
)

// lines are the lines of a plate.
func (l label) lines() []string {
	out := strings.Split(l.text, " · ")
	for i, s := range out {
		if r := []rune(s); len(r) > lineMost {
			out[i] = string(r[:lineMost-1]) + "…"
		}
	}
	return out
}

// plateSize is how wide a plate is, and how high that of most lines is: all are of one height, so that each can stand where
// another could.
func plateSize(ls []label) (widths []float64, height float64) {
	most := 0
	for _, l := range ls {
		w := 0.0
		for _, s := range l.lines() {
			w = math.Max(w, textWidth(s, labelSize)+14)
		}
		widths, most = append(widths, w), max(most, len(l.lines()))
	}
	return widths, float64(most)*lineStep + 7
}

// columns says beside which sides of a drawing plates may stand.
type columns struct{ left, right bool }

// gutter is how wide a column of plates is with the space beside it, pixels.
func gutter(ls []label) float64 {
	widths, _ := plateSize(ls)
	if len(widths) == 0 {
		return 0
	}
	return slices.Max(widths) + 24
}

// width is what the columns take of a picture's width, pixels.
func (c columns) width(ls []label) (w float64) {
	for _, there := range []bool{c.left, c.right} {
		if there {
			w += gutter(ls)
		}
	}
	return w
}

// seat is where a plate stands: in a column, at a height; end is where its leader meets it, in pixels.
type seat struct {
	left bool
	end  Point
}

const (
	costOfBody  = 8  // a pixel of a leader over the body
	costOfCross = 80 // two leaders that cross
)

// seats widens the picture by columns and chooses a seat there for every plate, so that it hides nothing of the drawing: near
// its place, its leader not over the body and across no other, if that can be. It returns what they cost.
func (p *Picture) seats(ls []label, c columns, body []Point) (at []seat, cost float64) {
	if len(ls) == 0 {
		return nil, 0
	}
	_, high := plateSize(ls)
	wide := gutter(ls)
	sides := 0.0
	if c.left {
		p.Min[0] -= wide / p.PxX
		sides++
	}
	if c.right {
		p.Max[0] += wide / p.PxX
		sides++
	}
	if lack := math.Ceil(float64(len(ls))/sides)*(high+plateGap) + plateGap - p.Height(); lack > 0 {
		p.Min[1] -= lack / 2 / p.PxY
		p.Max[1] += lack / 2 / p.PxY
	}
	from, outline := p.pixels(places(ls)), p.pixels(body)
	for _, step := range []float64{8, high + plateGap} { // in the second everything fits
		var all []seat
		for y := plateGap/2 + high/2; y+high/2 <= p.Height()-plateGap/2+1e-6; y += step {
			if c.left {
				all = append(all, seat{true, Point{wide - 12, y}})
			}
			if c.right {
				all = append(all, seat{false, Point{p.Width() - wide + 12, y}})
			}
		}
		var fits bool
		if at, fits = seated(from, all, high+plateGap, outline); fits {
			break
		}
	}
	uncross(from, at)
	for i := range at {
		cost += distance(from[i], at[i].end) + costOfBody*over(from[i], at[i].end, outline)
	}
	return at, cost
}

func places(ls []label) (out []Point) {
	for _, l := range ls {
		out = append(out, l.at)
	}
	return out
}

// seating is places that want seats, and what is known of both.
type seating struct {
	from  []Point
	all   []seat
	alone [][]float64 // by place and seat: leader's length and way over the body
	apart float64     // between seats of one column at least
}

// seated looks for the cheapest seats: each place takes the best beside those before it, in three orders; then places move or
// two of them change seats as long as that helps. It reports whether every place has found one.
func seated(from []Point, all []seat, apart float64, body []Point) (at []seat, fits bool) {
	s := seating{from: from, all: all, apart: apart}
	var order, best []int
	for i, q := range from {
		costs := make([]float64, len(all))
		for k, t := range all {
			costs[k] = distance(q, t.end) + costOfBody*over(q, t.end, body)
		}
		s.alone, order = append(s.alone, costs), append(order, i)
	}
	least := math.Inf(1)
	for range 3 {
		if k := s.settled(order); k != nil && s.total(k) < least-1e-6 {
			best, least = k, s.total(k)
		}
		down := func(i, j int) int { return cmp.Compare(from[i][1], from[j][1]) }
		if slices.IsSortedFunc(order, down) {
			slices.Reverse(order)
		} else {
			slices.SortStableFunc(order, down)
		}
	}
	for _, k := range best {
		at = append(at, all[k])
	}
	return at, best != nil
}

// settled seats the places in an order and betters that; nil where one finds no seat. Seats are by their number, -1 for none yet.
func (s *seating) settled(order []int) []int {
	at := slices.Repeat([]int{-1}, len(s.from))
	for range 8 {
		before := slices.Clone(at)
		for _, i := range order {
			least := math.Inf(1)
			at[i] = -1
			for k := range s.all {
				if c := s.cost(at, i, k); c < least {
					at[i], least = k, c
				}
			}
			if at[i] < 0 {
				return nil
			}
		}
		for i := range at {
			for j := range i {
				was := s.total(at)
				if at[i], at[j] = at[j], at[i]; s.total(at) > was-1e-6 {
					at[i], at[j] = at[j], at[i]
				}
			}
		}
		if slices.Equal(at, before) {
			break
		}
	}
	return at
}

// cost is what seat k costs place i beside the seats of the others.
func (s *seating) cost(at []int, i, k int) float64 {
	c, t := s.alone[i][k], s.all[k]
	for j, m := range at {
		if j == i || m < 0 {
			continue
		}
		o := s.all[m]
		if t.left == o.left && math.Abs(t.end[1]-o.end[1]) < s.apart-1e-6 {
			return math.Inf(1)
		}
		if cross(s.from[i], t.end, s.from[j], o.end) {
			c += costOfCross
		}
	}
	return c
}

// total is what all seats cost, a crossing as much as to both of it.
func (s *seating) total(at []int) (c float64) {
	for i, k := range at {
		c += s.cost(at, i, k)
	}
	return c
}

// over is how much of a line lies over a ring, to about a pixel in 30.
func over(a, b Point, ring []Point) float64 {
	const steps = 32
	n := 0
	for k := range steps {
		u := (float64(k) + 0.5) / steps
		if holds([][]Point{ring}, Point{a[0] + u*(b[0]-a[0]), a[1] + u*(b[1]-a[1])}) {
			n++
		}
	}
	return distance(a, b) * float64(n) / steps
}

// uncross swaps the seats of plates whose leaders cross until none do; each swap makes the leaders shorter in all.
func uncross(from []Point, at []seat) {
	for swapped := true; swapped; {
		swapped = false
		for i := range at {
			for j := range i {
				if cross(from[i], at[i].end, from[j], at[j].end) {
					at[i], at[j] = at[j], at[i]
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

// world turns pixels from the top left into a world point.
func (p *Picture) world(x, y float64) Point {
	return Point{p.Min[0] + x/p.PxX, p.Max[1] - y/p.PxY}
}

// plates draws labels at their seats, with leaders from the plates' edges to their places.
func (p *Picture) plates(ls []label, at []seat) {
	widths, high := plateSize(ls)
	for i, l := range ls {
		s := at[i]
		b := box{s.end[0], s.end[1] - high/2, s.end[0] + widths[i], s.end[1] + high/2}
		if s.left {
			b.x0, b.x1 = s.end[0]-widths[i], s.end[0]
		}
		c0, c1 := p.world(b.x0, b.y0), p.world(b.x1, b.y1)
		p.add("labels",
			line(Style{Stroke: l.ink, Width: 0.8}, l.at, p.world(s.end[0], s.end[1])),
			Shape{Rings: [][]Point{circle(l.at[0], l.at[1], 2.5/p.PxX)}, Style: Style{Fill: l.ink}},
			Shape{Rings: [][]Point{rect(c0[0], c0[1], c1[0], c1[1])}, Style: Style{Fill: Plate, Stroke: l.ink, Width: 1}, Title: l.text})
		lines := l.lines()
		y := s.end[1] - lineStep*float64(len(lines))/2 - 3
		for _, text := range lines {
			y += lineStep
			p.add("labels", Shape{Text: text, At: p.world(b.x0+7, y), Size: labelSize, Anchor: Start, Style: Style{Fill: l.ink}})
		}
	}
}
