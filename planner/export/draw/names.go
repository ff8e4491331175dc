package draw

import (
	"math"

	"echowright/planner/plan"
)

const (
	nameSize = 10
	leaderPx = 13 // a name farther than this from its thing has a leader
)

// names sets small names on plates where they cover least.
func (p *Picture) names(ns []name) {
	for i, b := range p.board().place(ns) {
		n := ns[i]
		if d, at := gap(b, n.of); d > leaderPx {
			from := b.nearest(at)
			p.add("names", line(Style{Stroke: n.ink, Width: 0.7}, p.world(from[0], from[1]), p.world(at[0], at[1])))
		}
		c0, c1 := p.world(b.x0, b.y0), p.world(b.x1, b.y1)
		p.add("names", Shape{Rings: [][]Point{rect(c0[0], c0[1], c1[0], c1[1])}, Style: Style{Fill: Plate, Opacity: 0.72}},
			Shape{Text: n.text, At: p.world((b.x0+b.x1)/2, b.y1-2.5), Size: nameSize, Anchor: Middle, Style: Style{Fill: n.ink}})
	}
}

// nameBox is how wide and high a name is, with the rim of its plate.
func nameBox(text string) (w, h float64) { return textWidth(text, nameSize) + 3, nameSize + 3 }

func boxAt(x, y, w, h float64) box { return box{x - w/2, y - h/2, x + w/2, y + h/2} }

// ringed are places all round a point, the nearest first; against is what speaks against one that lies at an angle from it,
// counter-clockwise from the right.
func ringed(text string, x, y float64, gaps []float64, against func(angle float64) float64) (out []spot) {
	w, h := nameBox(text)
	for _, g := range gaps {
		for k := range 24 {
			a := 2 * math.Pi * float64(k) / 24
			sin, cos := math.Sincos(a)
			b := boxAt(x+cos*(g+w/2), y-sin*(g+h/2), w, h)
			out = append(out, spot{b, g + against(a)})
		}
	}
	return out
}

// named writes the names of sensors, zones and parts and the lengths of paths, small, and which way is forward.
func (pic *Picture) named(p *plan.Plan, v View, arcs []plan.Arc) {
	ns := pic.sensorNames(p)
	ns = append(ns, pic.pathMetres(arcs)...)
	seen := map[string]bool{}
	for _, z := range p.Zones {
		if z.State == v.State && z.Target == v.Target && !seen[z.Name] {
			seen[z.Name] = true
			ns = append(ns, pic.zoneName(z))
		}
	}
	body := [][]Point{pic.pixels(rings(plan.Polygon{p.Body.Outline})[0])}
	for _, part := range p.Body.Parts {
		if !part.In(v.State) {
			continue
		}
		n := pic.partName(part.Name, Quiet, rings(plan.Polygon{part.Outline})[0])
		on := holds(body, around(n.of).middle())
		for k, s := range n.spots {
			if holds(body, s.box.middle()) != on { // else what stands beside the machine would seem to be on it
				n.spots[k].extra += 40
			}
		}
		ns = append(ns, n)
	}
	pic.names(ns)
}

// sensorNames have best behind their sensors, so that they stand on the body and not in the beam.
func (pic *Picture) sensorNames(p *plan.Plan) (ns []name) {
	var at []Point
	for _, s := range p.Sensors {
		x, y := pic.Px(Point{s.X, s.Y})
		at = append(at, Point{x, y})
	}
	for i, s := range p.Sensors {
		n := name{text: s.Name, ink: Text, of: at[i : i+1]}
		for j, q := range at {
			if q != at[i] {
				n.not = append(n.not, at[j])
			}
		}
		n.spots = ringed(s.Name, at[i][0], at[i][1], []float64{9, 14, 22, 34, 50}, func(a float64) float64 {
			return 4 * (1 + math.Cos(a-s.Heading))
		})
		ns = append(ns, n)
	}
	return ns
}

// pathMetres are the metres of the paths, each beside one of its legs.
func (pic *Picture) pathMetres(arcs []plan.Arc) (ns []name) {
	for _, a := range arcs {
		pts := corners([]plan.Arc{a})
		if len(pts) < 2 {
			continue
		}
		sum, long := 0.0, 0.0
		for i := 1; i < len(pts); i++ {
			leg := distance(pts[i-1], pts[i])
			sum, long = sum+leg, math.Max(long, leg)
		}
		n := name{text: plan.Metres(sum), ink: Late}
		w, h := nameBox(n.text)
		for i := 1; i < len(pts); i++ {
			ends := pic.pixels(pts[i-1 : i+1])
			leg := distance(ends[0], ends[1])
			if leg == 0 {
				continue
			}
			across := Point{-(ends[1][1] - ends[0][1]) / leg, (ends[1][0] - ends[0][0]) / leg}
			for _, u := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
				x, y := ends[0][0]+u*(ends[1][0]-ends[0][0]), ends[0][1]+u*(ends[1][1]-ends[0][1])
				n.of = append(n.of, Point{x, y})
				against := 10*math.Abs(u-0.5) + 10*(1-leg/(long*pic.PxX))
				for _, side := range []float64{1, -1} {
					for _, g := range []float64{2, 12, 30} {
						far := side * (g + math.Abs(across[0])*w/2 + math.Abs(across[1])*h/2)
						n.spots = append(n.spots, spot{boxAt(x+far*across[0], y+far*across[1], w, h), g + against})
					}
				}
			}
		}
		if len(n.spots) > 0 {
			ns = append(ns, n)
		}
	}
	return ns
}

// zoneName stands along the zone's edge, by choice at the upper left.
func (pic *Picture) zoneName(z plan.Zone) name {
	n := name{text: z.Name, ink: Quiet, of: every(pic.pixels(rings(z.Polygon)[0]), 24)}
	x, y := pic.Px(topLeft(z.Polygon[0]))
	w, h := nameBox(z.Name)
	for _, q := range n.of {
		far := 0.04 * distance(q, Point{x, y})
		for _, dx := range []float64{0.5, 0, -0.5} {
			for _, dy := range []float64{-1, 1} {
				n.spots = append(n.spots, spot{boxAt(q[0]+dx*w, q[1]+dy*(3+h/2), w, h), far})
			}
		}
		for _, dx := range []float64{-1, 1} {
			n.spots = append(n.spots, spot{boxAt(q[0]+dx*(4+w/2), q[1], w, h), far + 2})
		}
	}
	return n
}

// partName stands in the part if it is large enough, or beside it.
func (pic *Picture) partName(text string, ink Ink, outline []Point) name {
	ring := pic.pixels(outline)
	n := name{text: text, ink: ink, of: every(ring, 8)}
	in := around(ring)
	w, h := nameBox(text)
	for _, u := range []float64{0.5, 0.25, 0.75} {
		for _, v := range []float64{0.5, 0.25, 0.75} {
			b := boxAt(in.x0+u*(in.x1-in.x0), in.y0+v*(in.y1-in.y0), w, h)
			if in.overlap(b) == b.area() && holds([][]Point{ring}, b.middle()) {
				n.of = append(n.of, b.middle())
				n.spots = append(n.spots, spot{b, 4 * (math.Abs(u-0.5) + math.Abs(v-0.5))})
			}
		}
	}
	for _, q := range every(ring, math.Max(8, (in.x1-in.x0+in.y1-in.y0)/20)) {
		for _, s := range ringed(text, q[0], q[1], []float64{4, 18, 36}, func(float64) float64 { return 4 }) {
			if !holds([][]Point{ring}, s.box.middle()) {
				n.spots = append(n.spots, s)
			}
		}
	}
	return n
}

// every is points along a ring at most so far apart, its corners among them where they are not closer than half of that.
func every(ring []Point, apart float64) (out []Point) {
	for i, q := range ring {
		if len(out) == 0 || distance(out[len(out)-1], q) >= apart/2 {
			out = append(out, q)
		}
		to := ring[(i+1)%len(ring)]
		for k := 1.0; k*apart < distance(q, to); k++ {
			u := k * apart / distance(q, to)
			out = append(out, Point{q[0] + u*(to[0]-q[0]), q[1] + u*(to[1]-q[1])})
		}
	}
	return out
}

// topLeft is the point of a ring farthest to the upper left of the picture.
func topLeft(r plan.Ring) (best Point) {
	far := math.Inf(-1)
	for _, q := range r {
		if d := q[1] - q[0]; d > far {
			far, best = d, q
		}
	}
	return best
}
