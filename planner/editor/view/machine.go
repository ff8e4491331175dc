package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// zones draws where something must be seen, dotted, each with its name.
func (s *sheet) zones() {
	s.layer("zones")
	if !s.looks.Zones {
		return
	}
	named := map[string]bool{}
	for _, z := range s.p.Zones {
		if !s.zoneShown(z.Target, z.State) {
			continue
		}
		st := draw.Style{Stroke: draw.Text, Width: 1.2, Dotted: true}
		switch {
		case s.looks.Thing.Kind == Zone && s.looks.Thing.Name == z.Name:
			st = draw.Style{Stroke: draw.Chosen, Width: 2.4, Dotted: true}
		case s.looks.Over.Kind == Zone && s.looks.Over.Name == z.Name:
			st.Width = 2
		}
		s.area(z.Polygon, st, "zone "+z.Name)
		if !named[z.Name] && len(z.Polygon) > 0 {
			named[z.Name] = true
			s.tag(s.zoneName(z))
		}
	}
}

// namesApart is how far apart, in points, the places lie along a zone's edge that its name may stand at.
const namesApart = 60

// zoneName stands along the zone's edge, by choice at the upper left.
func (s *sheet) zoneName(z plan.Zone) tag {
	t := tag{at: s.cam.At(upperLeft(z.Polygon[0])), texts: []string{z.Name}, ink: draw.Quiet, bare: true, way: canvas.Point{0, -1}}
	const most = 24
	last := t.at
	for _, m := range z.Polygon[0] {
		p := s.cam.At(m)
		for n := 0; n < most && len(t.other) < most; n++ { // along a long edge too
			d := math.Hypot(p[0]-last[0], p[1]-last[1])
			if !(d >= namesApart) || math.IsInf(d, 0) {
				break
			}
			last = canvas.Point{last[0] + (p[0]-last[0])*namesApart/d, last[1] + (p[1]-last[1])*namesApart/d}
			if s.cam.Area.Holds(last) {
				t.other = append(t.other, anchor{at: last, against: 0.04 * math.Hypot(last[0]-t.at[0], last[1]-t.at[1])})
			}
		}
	}
	return t
}

func (s *sheet) zoneShown(target, state string) bool {
	return target == s.target && (state == "" || state == s.state)
}

// upperLeft is the place of a ring farthest to the upper left of the window.
func upperLeft(r plan.Ring) (best [2]float64) {
	far := math.Inf(-1)
	for _, q := range r {
		if d := q[1] - q[0]; d > far {
			far, best = d, q
		}
	}
	return best
}

// body draws the machine, its parts and the way it goes.
func (s *sheet) body() {
	s.layer("body")
	if len(s.p.Body.Outline) > 2 {
		s.area(plan.Polygon{s.p.Body.Outline}, draw.Style{Fill: draw.Body, Stroke: draw.Text, Width: 2.2}, "body")
	}
	for _, part := range s.p.Body.Parts {
		if !part.In(s.state) {
			continue
		}
		st := draw.Style{Fill: draw.Body, Stroke: draw.Text, Width: 1.2, Dashed: len(part.OnlyIn) > 0}
		ink := draw.Quiet
		picked := s.looks.Thing.Kind == Part && s.looks.Thing.Name == part.Name
		switch {
		case picked:
			st.Stroke, st.Width, ink = draw.Chosen, 2, draw.Chosen
		case s.looks.Over.Kind == Part && s.looks.Over.Name == part.Name:
			st.Width = 2
		}
		s.area(plan.Polygon{part.Outline}, st, part.Name)
		s.keepPart(part.Outline)
		if picked || s.looks.Over.Kind == Part && s.looks.Over.Name == part.Name {
			s.tag(tag{at: s.cam.At(middle(part.Outline)), texts: []string{part.Name}, ink: ink, leader: true})
		}
	}
	s.forward()
}

// smallPart is how large a part is at most, in points, that a text would hide.
const smallPart = 60

func (s *sheet) keepPart(r plan.Ring) {
	b := emptyBox()
	for _, m := range r {
		b.add(s.cam.At(m))
	}
	if w, h := b.hi[0]-b.lo[0], b.hi[1]-b.lo[1]; w >= 0 && w < smallPart && h < smallPart {
		s.keep = append(s.keep, canvas.Rect{X: b.lo[0], Y: b.lo[1], W: w, H: h})
	}
}

func middle(r plan.Ring) [2]float64 {
	b := emptyBox()
	for _, q := range r {
		b.add(q)
	}
	if b.lo[0] > b.hi[0] {
		return [2]float64{}
	}
	return [2]float64{(b.lo[0] + b.hi[0]) / 2, (b.lo[1] + b.hi[1]) / 2}
}

// forward is an arrow on the body, and its word where there is room.
func (s *sheet) forward() {
	b := emptyBox()
	for _, q := range s.p.Body.Outline {
		b.add(q)
	}
	wide, high := (b.hi[0]-b.lo[0])*s.cam.Scale, (b.hi[1]-b.lo[1])*s.cam.Scale
	if !(wide > 24 && high > 10) {
		return
	}
	c := s.cam.At([2]float64{(b.lo[0] + b.hi[0]) / 2, (b.lo[1] + b.hi[1]) / 2})
	l, head := min(0.3*wide, 48), min(0.08*wide, 8)
	tip := canvas.Point{c[0] + l/2, c[1]}
	st := draw.Style{Stroke: draw.Quiet, Width: 1.5}
	s.line(st, "", canvas.Point{c[0] - l/2, c[1]}, tip)
	s.line(st, "", canvas.Point{tip[0] - head, tip[1] - 0.6*head}, tip, canvas.Point{tip[0] - head, tip[1] + 0.6*head})
	if high > 60 && wide > 70 && s.cam.Area.Inset(-20).Holds(c) {
		s.add(draw.Shape{Text: words.forward, At: canvas.Point{c[0], c[1] + 18}, Size: small, Anchor: draw.Middle, Style: draw.Style{Fill: draw.Quiet}})
		s.keep = append(s.keep, canvas.Rect{X: c[0] - 28, Y: c[1] - 8, W: 56, H: 30})
	}
}
