package view

import (
	"math"
	"slices"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// sheet is a drawing being made.
type sheet struct {
	p             *plan.Plan
	cache         *Cache
	live          Live
	cam           Camera
	looks         Looks
	ruler         canvas.Ruler
	target, state string
	room          canvas.Rect // the area and a little more: nothing is set down outside it
	store         store
	layers        []canvas.Layer
	tags          []tag
	keep          []canvas.Rect // places labels had best not cover
	taken         []canvas.Rect // places labels must not cover
	seers         []string      // who sees the target that was put down
}

// layer begins a layer; what is added goes into it.
func (s *sheet) layer(name string) {
	s.layers = append(s.layers, canvas.Layer{Name: name, Clip: s.cam.Area})
}

func (s *sheet) add(shapes ...draw.Shape) {
	l := &s.layers[len(s.layers)-1]
	l.Shapes = append(l.Shapes, shapes...)
}

// area adds a polygon of the world.
func (s *sheet) area(p plan.Polygon, st draw.Style, title string) {
	s.moved(p, turn{cos: 1}, st, title)
}

// moved adds a polygon of the world after it was turned and shifted.
func (s *sheet) moved(p plan.Polygon, by turn, st draw.Style, title string) {
	var rings [][]draw.Point
	for _, r := range p {
		if ring := s.ring(r, by); len(ring) > 2 {
			if rings == nil {
				rings = make([][]draw.Point, 0, len(p))
			}
			rings = append(rings, ring)
		}
	}
	if len(rings) > 0 {
		s.add(draw.Shape{Rings: rings, Style: st, Title: title})
	}
}

// ring is a ring of the world in window points, cut to the room.
func (s *sheet) ring(r [][2]float64, by turn) []canvas.Point {
	pts, b := s.points(r, by)
	switch {
	case b.misses(s.room):
		return nil
	case b.within(s.room):
		return pts
	}
	return cutRing(pts, s.room)
}

// points are places of the world in window points, those that fall together taken as one, and the box round them.
func (s *sheet) points(r [][2]float64, by turn) ([]canvas.Point, box) {
	pts, b := s.store.take(len(r)), emptyBox()
	for _, q := range r {
		p := s.cam.At(by.apply(q))
		if !finite(p) {
			continue
		}
		if n := len(pts); n > 0 && math.Abs(p[0]-pts[n-1][0]) < finer && math.Abs(p[1]-pts[n-1][1]) < finer {
			continue
		}
		b.add(p)
		pts = append(pts, p)
	}
	return pts, b
}

// line adds an open line of the window, cut to the room.
func (s *sheet) line(st draw.Style, title string, pts ...canvas.Point) {
	b := emptyBox()
	for _, p := range pts {
		if !finite(p) {
			return
		}
		b.add(p)
	}
	switch {
	case len(pts) < 2 || b.misses(s.room):
	case b.within(s.room):
		s.add(draw.Shape{Rings: [][]draw.Point{pts}, Open: true, Style: st, Title: title})
	default:
		if pieces := cutLine(pts, s.room); len(pieces) > 0 {
			s.add(draw.Shape{Rings: pieces, Open: true, Style: st, Title: title})
		}
	}
}

// shape adds a closed shape of the window that is small beside the area, unless it is out of sight.
func (s *sheet) shape(st draw.Style, title string, pts ...canvas.Point) {
	b := emptyBox()
	for _, p := range pts {
		b.add(p)
	}
	if len(pts) > 2 && !b.misses(s.room) {
		s.add(draw.Shape{Rings: [][]draw.Point{pts}, Style: st, Title: title})
	}
}

// disc adds a circle of the window.
func (s *sheet) disc(c canvas.Point, r float64, st draw.Style, title string) {
	s.shape(st, title, s.circle(c, r)...)
}

func (s *sheet) circle(c canvas.Point, r float64) []canvas.Point {
	n := min(max(int(4*math.Sqrt(r)), 12), 96)
	pts := s.store.take(n)
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		pts = append(pts, canvas.Point{c[0] + r*cos, c[1] + r*sin})
	}
	return pts
}

// turn is a rigid movement of the plane.
type turn struct {
	cos, sin float64
	by       [2]float64
}

// carry is the movement that takes one pose to another.
func carry(from, to Pose) turn {
	sin, cos := math.Sincos(to.Heading - from.Heading)
	return turn{cos, sin, [2]float64{to.At[0] - (cos*from.At[0] - sin*from.At[1]), to.At[1] - (sin*from.At[0] + cos*from.At[1])}}
}

func (t turn) apply(q [2]float64) [2]float64 {
	return [2]float64{t.cos*q[0] - t.sin*q[1] + t.by[0], t.sin*q[0] + t.cos*q[1] + t.by[1]}
}

// poseIn is where the plan has a sensor.
func poseIn(s plan.Sensor) Pose { return Pose{[2]float64{s.X, s.Y}, s.Heading} }

// pose is where a sensor is drawn: where the hand has it, or where the plan has it.
func (s *sheet) pose(of plan.Sensor) Pose {
	if p, ok := s.live.Moved[of.Name]; ok {
		return p
	}
	return poseIn(of)
}

func (s *sheet) chosen(name string) bool { return slices.Contains(s.looks.Chosen, name) }

// first is the sensor chosen last, when the plan has it.
func first(p *plan.Plan, looks Looks) (plan.Sensor, bool) {
	if len(looks.Chosen) == 0 {
		return plan.Sensor{}, false
	}
	return sensorIn(p, looks.Chosen[0])
}

func sensorIn(p *plan.Plan, name string) (plan.Sensor, bool) {
	for _, s := range p.Sensors {
		if s.Name == name {
			return s, true
		}
	}
	return plan.Sensor{}, false
}

// Shown is the target and the state whose beams, zones and blind spots are drawn: those asked for, or else the first the plan has.
func Shown(p *plan.Plan, looks Looks) (target, state string) {
	target, state = looks.Target, looks.State
	has := func(t, st string) bool {
		fits := func(at, as string) bool { return (t == "" || at == t) && (st == "" || as == st) }
		for _, l := range p.Lobes {
			if fits(l.Target, l.State) {
				target, state = l.Target, l.State
				return true
			}
		}
		for _, z := range p.Zones {
			if fits(z.Target, z.State) {
				target, state = z.Target, z.State
				return true
			}
		}
		return false
	}
	if !has(target, state) && !has(target, "") && !has("", state) {
		has("", "")
	}
	return target, state
}
