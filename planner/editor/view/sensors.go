package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Sizes of a sensor's marks, in points.
const (
	wedgeRadius = 9
	ringRadius  = 15
	gripRadius  = 5.5
	gripFar     = 92 // of the grip from its sensor, at most
)

// sensors draws each as a dark wedge that opens along its heading; the chosen ones with a ring, the one chosen last with
// the grip that turns it.
func (s *sheet) sensors() {
	s.layer("sensors")
	head, have := first(s.p, s.looks)
	for _, of := range s.p.Sensors {
		pose := s.pose(of)
		at := s.cam.At(pose.At)
		if !finite(at) || !s.room.Holds(at) {
			continue
		}
		s.keep = append(s.keep, around(at, wedgeRadius+2))
		switch {
		case s.chosen(of.Name):
			s.disc(at, ringRadius, draw.Style{Fill: draw.None, Stroke: draw.Chosen, Width: 2}, "")
			s.wedge(pose, draw.Style{Fill: draw.Chosen}, of.Name)
			s.named(of.Name, pose, draw.Chosen)
		default:
			if have && twins(head, of) {
				s.disc(at, ringRadius, draw.Style{Fill: draw.None, Stroke: draw.Chosen, Width: 1.4, Dashed: true}, words.twin)
			}
			if s.looks.Over.Kind == Sensor && s.looks.Over.Name == of.Name {
				s.disc(at, ringRadius, draw.Style{Fill: draw.None, Stroke: draw.Text, Width: 1.2}, "")
				s.named(of.Name, pose, draw.Text)
			}
			s.wedge(pose, draw.Style{Fill: draw.Text}, of.Name)
		}
	}
	if have {
		s.grip(s.pose(head))
	}
	for i, g := range s.live.Ghost {
		st := draw.Style{Fill: draw.Plate, Stroke: draw.Chosen, Width: 1.6, Dashed: i > 0}
		s.disc(s.cam.At(g.At), ringRadius, draw.Style{Fill: draw.None, Stroke: draw.Chosen, Width: 1.2, Dashed: true}, "")
		s.wedge(g, st, words.ghost)
		s.keep = append(s.keep, around(s.cam.At(g.At), ringRadius))
	}
	s.keptTo(head, have)
}

// named has a sensor's name written behind it, on the body and not in the beam.
func (s *sheet) named(name string, pose Pose, ink draw.Ink) {
	sin, cos := math.Sincos(pose.Heading)
	s.tag(tag{at: s.cam.At(pose.At), texts: []string{name}, ink: ink, bare: true, bold: ink == draw.Chosen, gap: ringRadius, way: canvas.Point{-cos, sin}})
}

// twins reports whether two sensors stand and look like mirror images about the middle line.
func twins(a, b plan.Sensor) bool {
	const near = 1e-6
	turned := math.Remainder(a.Heading+b.Heading, 2*math.Pi)
	return a.Name != b.Name && math.Abs(a.X-b.X) < near && math.Abs(a.Y+b.Y) < near && math.Abs(turned) < near
}

// wedge draws a sensor.
func (s *sheet) wedge(at Pose, st draw.Style, title string) {
	c := s.cam.At(at.At)
	if !finite(c) {
		return
	}
	corner := func(angle, r float64) canvas.Point {
		sin, cos := math.Sincos(at.Heading + angle)
		return canvas.Point{c[0] + r*cos, c[1] - r*sin}
	}
	s.shape(st, title, corner(math.Pi-0.5, wedgeRadius*0.5), corner(math.Pi+0.5, wedgeRadius*0.5), corner(-0.5, wedgeRadius), corner(0.5, wedgeRadius))
}

// gripOf is where the grip that turns a sensor is.
func gripOf(cam Camera, at Pose) canvas.Point {
	c, far := cam.At(at.At), min(gripFar, 0.35*min(cam.Area.W, cam.Area.H))
	sin, cos := math.Sincos(at.Heading)
	return canvas.Point{c[0] + far*cos, c[1] - far*sin}
}

// grip draws the line of the heading with a round grip at its end, and tells the heading.
func (s *sheet) grip(at Pose) {
	c, g := s.cam.At(at.At), gripOf(s.cam, at)
	if !finite(c) || !finite(g) || !s.room.Holds(c) {
		return
	}
	d := math.Hypot(g[0]-c[0], g[1]-c[1])
	if d < 2*ringRadius {
		return
	}
	u := unit(c, g)
	st := draw.Style{Stroke: draw.Chosen, Width: 1.6}
	s.line(st, "", canvas.Point{c[0] + ringRadius*u[0], c[1] + ringRadius*u[1]}, canvas.Point{g[0] - gripRadius*u[0], g[1] - gripRadius*u[1]})
	width := 2.0
	if s.looks.Over.Kind == Heading {
		width = 3
	}
	s.disc(g, gripRadius, draw.Style{Fill: draw.Plate, Stroke: draw.Chosen, Width: width}, "")
	s.tag(tag{at: g, texts: []string{words.degrees(at.Heading)}, ink: draw.Chosen, bare: true, bold: true, gap: gripRadius, way: u})
}

// keptTo says beside what is being dragged or mounted what it keeps to.
func (s *sheet) keptTo(head plan.Sensor, have bool) {
	if s.live.KeptTo == "" {
		return
	}
	var at Pose
	switch {
	case len(s.live.Ghost) > 0:
		at = s.live.Ghost[0]
	case have:
		at = s.pose(head)
	default:
		return
	}
	s.tag(tag{at: s.cam.At(at.At), texts: []string{s.live.KeptTo}, ink: draw.Chosen, gap: ringRadius, leader: true})
}

func around(c canvas.Point, r float64) canvas.Rect {
	return canvas.Rect{X: c[0] - r, Y: c[1] - r, W: 2 * r, H: 2 * r}
}
