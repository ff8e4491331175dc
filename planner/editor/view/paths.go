package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// barPoints is how far the bar of a reflector reaches to either side, in points.
const barPoints = 18

// paths draws the loudest disturbances dashed, with a bar where they are turned back, their metres, and of the loudest
// what its listener would take it for.
func (s *sheet) paths() {
	s.layer("paths")
	if !s.looks.Paths {
		return
	}
	for n, i := range s.cache.paths(s.p, s.target, s.looks) {
		a := s.p.Crosstalk[i]
		if len(a.Points) < 2 {
			continue
		}
		is := func(t Thing) bool { return t.Kind == Path && t.Index == i }
		st := draw.Style{Stroke: draw.Late, Width: 1.6, Dashed: true}
		if is(s.looks.Thing) || is(s.looks.Over) {
			st.Width = 2.6
		}
		pts := s.store.take(len(a.Points))
		for _, q := range a.Points {
			pts = append(pts, s.cam.At(q))
		}
		// The ends go with sensors that are being dragged.
		for k, name := range map[int]string{0: a.From, len(pts) - 1: a.To} {
			if to, ok := s.live.Moved[name]; ok {
				pts[k] = s.cam.At(to.At)
			}
		}
		s.line(st, draw.Said(s.p, a), pts...)
		for k := 1; k+1 < len(pts); k++ {
			if finite(pts[k]) && s.room.Holds(pts[k]) {
				s.add(draw.Reflector(pts[k-1], pts[k], pts[k+1], barPoints))
			}
		}
		s.lengthOf(a, pts)
		if n == 0 || is(s.looks.Thing) || is(s.looks.Over) {
			s.tag(tag{at: pts[len(pts)/2], texts: words.disturbance(s.p, a), ink: draw.Late, leader: true})
		}
	}
}

// lengthOf tells the metres of a path beside one of its legs: by choice the middle of the longest.
func (s *sheet) lengthOf(a plan.Arc, pts []canvas.Point) {
	leg := func(k int) float64 {
		p, q := a.Points[k-1], a.Points[k]
		return math.Hypot(q[0]-p[0], q[1]-p[1])
	}
	sum, long := 0.0, 1
	for k := 1; k < len(pts); k++ {
		if sum += leg(k); leg(k) > leg(long) {
			long = k
		}
	}
	on := func(k int, u float64) canvas.Point {
		return canvas.Point{pts[k-1][0] + u*(pts[k][0]-pts[k-1][0]), pts[k-1][1] + u*(pts[k][1]-pts[k-1][1])}
	}
	t := tag{at: on(long, 0.5), texts: []string{plan.Metres(sum)}, ink: draw.Late, bare: true}
	for k := 1; k < len(pts); k++ {
		for _, u := range []float64{0.3, 0.5, 0.7} {
			if against := 20 * (math.Abs(u-0.5) + 1 - leg(k)/leg(long)); against > 0 {
				t.other = append(t.other, anchor{at: on(k, u), against: against})
			}
		}
	}
	s.tag(t)
}

// ways are the ways of travel.
var ways = map[string][2]float64{"forward": {1, 0}, "backward": {-1, 0}, "left": {0, 1}, "right": {0, -1}}

// stops draws, on each way the machine goes, across the lane: where it has the first warning of the target, and how far
// off it needs it to stop in time.
func (s *sheet) stops() {
	s.layer("stops")
	if !s.looks.Stops {
		return
	}
	for _, w := range s.p.Warnings {
		way, ok := ways[w.Way]
		if !ok || !w.Asked || !s.zoneShown(w.Target, w.State) {
			continue
		}
		// Where the target touches the machine on the worst line of the lane; distances count from there.
		touch := [2]float64{w.At[0] - way[0]*w.FirstM, w.At[1] - way[1]*w.FirstM}
		from := touch[0]*way[0] + touch[1]*way[1]
		across := func(m float64) (right, left canvas.Point) {
			at := func(side float64) canvas.Point { // to the left as one goes
				return s.cam.At([2]float64{(from+m)*way[0] - side*way[1], (from+m)*way[1] + side*way[0]})
			}
			return at(w.LaneM[0]), at(w.LaneM[1])
		}
		a, b := across(w.NeededM)
		s.line(draw.Style{Stroke: draw.Attention, Width: 2, Dashed: true}, "", a, b)
		s.tag(tag{at: b, texts: []string{words.needs(w)}, ink: draw.Attention, bare: true, way: unit(a, b), other: []anchor{{at: a, way: unit(b, a), against: 8}}})
		ink := draw.Met
		if !w.Met {
			ink = draw.Blind
		}
		if w.FirstM > 0 {
			c, d := across(w.FirstM)
			s.line(draw.Style{Stroke: ink, Width: 2}, "", c, d)
			s.tag(tag{at: c, texts: []string{words.warned(w)}, ink: ink, bare: true, way: unit(d, c), other: []anchor{{at: d, way: unit(c, d), against: 8}}})
		} else {
			s.tag(tag{at: s.cam.At(touch), texts: []string{words.warned(w)}, ink: ink, leader: true})
		}
	}
}

// unit is the direction from one point to another, or none.
func unit(from, to canvas.Point) canvas.Point {
	d := math.Hypot(to[0]-from[0], to[1]-from[1])
	if !(d > 0) || math.IsInf(d, 0) {
		return canvas.Point{}
	}
	return canvas.Point{(to[0] - from[0]) / d, (to[1] - from[1]) / d}
}
