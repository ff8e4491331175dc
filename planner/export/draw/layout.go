package draw

import (
	"fmt"
	"math"
	"sort"

	"echowright/planner/plan"
)

// View chooses what a plan view shows.
type View struct {
	State, Target string
	Width, Height float64 // pixels at most; 0: 900 by 640
	Paths         int     // disturbance paths to draw, loudest first
}

// Layout draws the machine from above, x to the right: beams, zones, blind spots with their causes, disturbance paths.
func Layout(p *plan.Plan, v View) *Picture {
	if v.Width == 0 {
		v.Width, v.Height = 900, 640
	}
	arcs := drawn(p, v)
	labels := append(worst(p, v), misread(p, arcs)...)
	pic, cols := window(p, v, labels, arcs)
	pic.grid()
	pic.zones(p, v)
	pic.beams(p, v)
	pic.blind(p, v)
	pic.body(p, v)
	pic.paths(p, arcs)
	pic.sensors(p)
	pic.scaleBar(pic.Min[1] + 18/pic.PxY)
	seats, _ := pic.seats(labels, cols, rings(plan.Polygon{p.Body.Outline})[0])
	pic.plates(labels, seats)
	pic.named(p, v, arcs)
	return pic
}

// window is an empty picture that holds what the view shows, and the columns of plates beside it: those for which leaders and
// the drawing's loss of width come cheapest.
func window(p *plan.Plan, v View, labels []label, arcs []plan.Arc) (best *Picture, cols columns) {
	pts := append(extent(p, v), corners(arcs)...)
	least, scale := math.Inf(1), 0.0
	for _, c := range []columns{{right: true}, {left: true}, {left: true, right: true}} {
		pic := &Picture{Title: p.Layout}
		wide := math.Min(c.width(labels), 0.6*v.Width)
		pic.fit(v.Width-wide, v.Height, 36, pts...)
		if best == nil {
			scale = pic.PxX
		}
		trial := *pic
		_, cost := trial.seats(labels, c, rings(plan.Polygon{p.Body.Outline})[0])
		cost = cost*scale/pic.PxX + wide // a smaller drawing makes no leader better
		if cost < least {
			best, cols, least = pic, c, cost
		}
	}
	return best, cols
}

// extent is every point the view must hold.
func extent(p *plan.Plan, v View) (pts []Point) {
	add := func(r plan.Ring) {
		for _, q := range r {
			pts = append(pts, q)
		}
	}
	add(p.Body.Outline)
	for _, part := range p.Body.Parts {
		if part.In(v.State) {
			add(part.Outline)
		}
	}
	for _, z := range p.Zones {
		if z.State == v.State && z.Target == v.Target {
			add(z.Polygon[0])
		}
	}
	for _, l := range p.Lobes {
		if l.State == v.State && l.Target == v.Target && len(l.Polygon) > 0 {
			add(l.Polygon[0])
		}
	}
	return pts
}

func rings(p plan.Polygon) (out [][]Point) {
	for _, r := range p {
		pts := make([]Point, len(r))
		for i, q := range r {
			pts[i] = q
		}
		out = append(out, pts)
	}
	return out
}

func (pic *Picture) grid() {
	s := Step(60 / pic.PxX)
	for k := 0; k < 2; k++ {
		for i := math.Ceil(pic.Min[k] / s); i*s <= pic.Max[k]; i++ {
			a, b := Point{i * s, pic.Min[1]}, Point{i * s, pic.Max[1]}
			if k == 1 {
				a, b = Point{pic.Min[0], i * s}, Point{pic.Max[0], i * s}
			}
			pic.add("grid", line(Style{Stroke: Grid, Width: 1}, a, b))
		}
	}
}

func (pic *Picture) zones(p *plan.Plan, v View) {
	for _, z := range p.Zones {
		if z.State == v.State && z.Target == v.Target {
			pic.add("zones", Shape{Rings: rings(z.Polygon), Style: Style{Fill: None, Stroke: Text, Width: 1.2, Dotted: true}, Title: "zone " + z.Name})
		}
	}
}

func (pic *Picture) beams(p *plan.Plan, v View) {
	for _, l := range p.Lobes {
		if l.State == v.State && l.Target == v.Target {
			pic.add("beams", Shape{Rings: rings(l.Polygon), Style: Style{Fill: Beam, Opacity: 0.14, Stroke: Beam, Width: 0.8}, Title: l.Sensor + " sees " + l.Target})
		}
	}
}

func (pic *Picture) blind(p *plan.Plan, v View) {
	for _, b := range p.BlindSpots {
		if b.State == v.State && b.Target == v.Target {
			pic.add("blind spots", Shape{Rings: rings(b.Polygon), Style: Style{Fill: Blind, Hatched: true, Stroke: Blind, Width: 0.8},
				Title: b.Cause + ": hides " + b.Hides()})
		}
	}
}

// Only a few blind spots are labelled: of each cause the widest, and none that is narrow by itself or
// beside the widest.
const (
	mostLabels  = 4
	worthLabelM = 0.01
	worthShare  = 0.2
)

// worst are the labels of the blind spots that matter.
func worst(p *plan.Plan, v View) (labels []label) {
	var spots []plan.BlindSpot
	for _, b := range p.BlindSpots {
		if b.State == v.State && b.Target == v.Target {
			spots = append(spots, b)
		}
	}
	sort.SliceStable(spots, func(i, j int) bool { return spots[i].OwnM > spots[j].OwnM })
	seen := map[string]bool{}
	for _, b := range spots {
		if len(labels) == mostLabels || b.OwnM < math.Max(worthLabelM, worthShare*spots[0].OwnM) {
			break
		}
		if seen[b.Cause] {
			continue
		}
		seen[b.Cause] = true
		labels = append(labels, label{at: b.OwnAt, ink: Blind, text: b.Cause + " · hides " + Brief(b)})
	}
	return labels
}

// Brief is what a blind spot hides in the space of a label.
func Brief(b plan.BlindSpot) string {
	own, gap := plan.Millimetres(b.OwnM), plan.Millimetres(b.HidesM)
	if own != gap {
		return own + " (gap " + gap + ")"
	}
	return b.Hides()
}

func (pic *Picture) body(p *plan.Plan, v View) {
	pic.add("body", Shape{Rings: rings(plan.Polygon{p.Body.Outline}), Style: Style{Fill: Body, Stroke: Text, Width: 2}, Title: "body"})
	for _, part := range p.Body.Parts {
		if part.In(v.State) {
			pic.add("body", Shape{Rings: rings(plan.Polygon{part.Outline}), Style: Style{Fill: Body, Stroke: Text, Width: 1.2, Dashed: true}, Title: part.Name})
		}
	}
	lo, hi := ringBox(p.Body.Outline)
	cx, cy, l := (lo[0]+hi[0])/2, (lo[1]+hi[1])/2, (hi[0]-lo[0])*0.3
	s := Style{Stroke: Quiet, Width: 1.5}
	pic.add("body", line(s, Point{cx - l/2, cy}, Point{cx + l/2, cy}),
		line(s, Point{cx + l*0.35, cy + l*0.1}, Point{cx + l/2, cy}, Point{cx + l*0.35, cy - l*0.1}),
		Shape{Text: "forward", At: Point{cx, cy}, Shift: Point{0, -16}, Size: 11, Anchor: Middle, Style: Style{Fill: Quiet}})
}

func ringBox(r plan.Ring) (lo, hi Point) {
	lo, hi = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, q := range r {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
		}
	}
	return lo, hi
}

// sensors draws each sensor as a dark wedge that opens along its heading.
func (pic *Picture) sensors(p *plan.Plan) {
	r := 9 / pic.PxX
	for _, s := range p.Sensors {
		at := func(angle, radius float64) Point {
			return Point{s.X + radius*math.Cos(s.Heading+angle), s.Y + radius*math.Sin(s.Heading+angle)}
		}
		pic.add("sensors", Shape{Rings: [][]Point{{at(math.Pi-0.5, r*0.5), at(math.Pi+0.5, r*0.5), at(-0.5, r), at(0.5, r)}}, Style: Style{Fill: Text}, Title: s.Name + ", " + s.Kind})
	}
}

// scaleBar is a ruler of a round length at the right, at height y.
func (pic *Picture) scaleBar(y float64) {
	s := Step(60 / pic.PxX)
	if span := pic.Max[0] - pic.Min[0]; 2*s > span/2 {
		s = Step(span / 10) // both halves are then at most half of the picture
	}
	x1 := pic.Max[0] - 16/pic.PxX
	h := 4 / pic.PxY
	for i := range 2 {
		fill := Text
		if i == 1 {
			fill = Plate
		}
		x := x1 - s*float64(2-i)
		pic.add("scale", Shape{Rings: [][]Point{rect(x, y, x+s, y+h)}, Style: Style{Fill: fill, Stroke: Text, Width: 1}})
	}
	pic.add("scale", Shape{Text: "0", At: Point{x1 - 2*s, y}, Shift: Point{0, 10}, Size: 11, Anchor: Middle, Style: Style{Fill: Quiet}},
		Shape{Text: fmt.Sprintf("%.4g m", 2*s), At: Point{x1, y}, Shift: Point{0, 10}, Size: 11, Anchor: End, Style: Style{Fill: Quiet}})
}
