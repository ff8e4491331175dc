package view

import (
	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Drawing is the machine from above as the camera sees it: layers from back to front, all clipped to the camera's area. The
// first is the sheet it lies on, so that a photo may be put between that and the rest.
func Drawing(c *Cache, p *plan.Plan, live Live, cam Camera, looks Looks, r canvas.Ruler) []canvas.Layer {
	a := cam.Area
	if p == nil || !cam.usable() {
		return nil
	}
	if c == nil {
		c = new(Cache)
	}
	s := &sheet{p: p, cache: c, live: live, cam: cam, looks: looks, ruler: r, room: a.Inset(-spill)}
	s.target, s.state = Shown(p, looks)
	c.begin(p)
	if looks.Probed {
		s.seers = s.seersAt(looks.Probe)
	}
	s.layer("sheet")
	s.add(filled(a, draw.Style{Fill: draw.Plate}))
	s.grid()
	s.zones()
	s.lobes()
	s.overlaps()
	s.blind()
	s.body()
	s.stops()
	s.paths()
	s.sound()
	s.sensors()
	s.hands()
	s.scaleBar()
	s.labels()
	out := s.layers[:0]
	for _, l := range s.layers {
		if len(l.Shapes) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// filled is a rectangle of the window.
func filled(r canvas.Rect, st draw.Style) draw.Shape {
	return draw.Shape{Rings: [][]draw.Point{{{r.X, r.Y}, {r.X + r.W, r.Y}, {r.X + r.W, r.Y + r.H}, {r.X, r.Y + r.H}}}, Style: st}
}

// Extent is the box round all there is to see of a plan, m: body, parts, zones and beams.
func Extent(p *plan.Plan) (lo, hi [2]float64) {
	b := emptyBox()
	ring := func(r [][2]float64) {
		for _, q := range r {
			if finite(q) {
				b.add(q)
			}
		}
	}
	if p != nil {
		ring(p.Body.Outline)
		for _, part := range p.Body.Parts {
			ring(part.Outline)
		}
		for _, z := range p.Zones {
			for _, r := range z.Polygon {
				ring(r)
			}
		}
		for _, l := range p.Lobes {
			for _, r := range l.Polygon {
				ring(r)
			}
		}
		for _, s := range p.Sensors {
			ring([][2]float64{{s.X, s.Y}})
		}
	}
	if b.lo[0] > b.hi[0] {
		return [2]float64{-1, -1}, [2]float64{1, 1}
	}
	return b.lo, b.hi
}
