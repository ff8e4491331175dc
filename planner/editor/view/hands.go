package view

import (
	"math"
	"slices"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// hands draws what is being done: a line being measured, a target put down, a zone drawn, a box stretched.
func (s *sheet) hands() {
	s.layer("hands")
	s.measure()
	s.probe()
	if n := len(s.live.Ring); n > 1 {
		st := draw.Style{Stroke: draw.Chosen, Width: 2, Dotted: true}
		if n > 2 {
			s.area(plan.Polygon{s.live.Ring}, draw.Style{Fill: draw.Chosen, Opacity: 0.1, Stroke: st.Stroke, Width: st.Width, Dotted: true}, "")
		} else {
			s.line(st, "", s.cam.At(s.live.Ring[0]), s.cam.At(s.live.Ring[1]))
		}
	}
	if b := s.live.Box; b.W != 0 || b.H != 0 {
		ring := []canvas.Point{{b.X, b.Y}, {b.X + b.W, b.Y}, {b.X + b.W, b.Y + b.H}, {b.X, b.Y + b.H}}
		if finite(ring[0]) && finite(ring[2]) {
			s.shape(draw.Style{Fill: draw.Chosen, Opacity: 0.08, Stroke: draw.Chosen, Width: 1.2, Dashed: true}, "", cutRing(ring, s.room)...)
		}
	}
}

// onEdgePoints is how near, in points, a place counts as on the outline.
const onEdgePoints = 6

// measure draws a line with ticks and its length and, where both ends lie on the outline, the length along it.
func (s *sheet) measure() {
	m := s.looks.Measure
	if !s.looks.Measured || !finite(m[0]) || !finite(m[1]) {
		return
	}
	a, b := s.cam.At(m[0]), s.cam.At(m[1])
	d := math.Hypot(b[0]-a[0], b[1]-a[1])
	st := draw.Style{Stroke: draw.Chosen, Width: 1.6}
	s.line(st, "", a, b)
	if d > 1 {
		n := canvas.Point{-(b[1] - a[1]) / d * 6, (b[0] - a[0]) / d * 6}
		for _, q := range []canvas.Point{a, b} {
			s.line(st, "", canvas.Point{q[0] - n[0], q[1] - n[1]}, canvas.Point{q[0] + n[0], q[1] + n[1]})
		}
	}
	texts := []string{plan.Metres(math.Hypot(m[1][0]-m[0][0], m[1][1]-m[0][1]))}
	if l, ok := s.alongEdge(m); ok {
		texts = append(texts, words.along(l))
	}
	s.tag(tag{at: canvas.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}, texts: texts, ink: draw.Chosen, gap: 10})
}

// alongEdge is the length along the outline between two places on it, the shorter way round, m.
func (s *sheet) alongEdge(m [2][2]float64) (float64, bool) {
	o := s.cache.measured(s.p)
	if o == nil {
		return 0, false
	}
	var arc [2]float64
	for i, q := range m {
		var off float64
		arc[i], off = o.ArcOf(pointOf(q))
		if off*s.cam.Scale > onEdgePoints {
			return 0, false
		}
	}
	d := math.Abs(arc[1] - arc[0])
	return min(d, o.Length()-d), true
}

// probe draws the target that was put down and says who sees it, or why nobody does.
func (s *sheet) probe() {
	q := s.looks.Probe
	if !s.looks.Probed || !finite(q) {
		return
	}
	r := 0.0
	for _, t := range s.p.Targets {
		if t.Name == s.target {
			r = t.RadiusM
		}
	}
	names := s.seers
	target := s.target
	if target == "" {
		target = words.aTarget
	}
	ink, texts := draw.Met, words.seen(target, names)
	if len(names) == 0 {
		ink, texts = draw.Blind, words.unseen(target, s.unseen(q))
	}
	c := s.cam.At(q)
	for _, of := range s.p.Sensors {
		if slices.Contains(names, of.Name) {
			s.line(draw.Style{Stroke: ink, Width: 1, Dotted: true}, "", s.cam.At(s.pose(of).At), c)
		}
	}
	s.disc(c, min(max(r*s.cam.Scale, 5), 2000), draw.Style{Fill: draw.Plate, Stroke: ink, Width: 2}, s.target)
	s.keep = append(s.keep, around(c, 8))
	s.tag(tag{at: c, texts: texts, ink: ink, gap: 10, leader: true})
}

// seersAt are the sensors that see the target at a place for certain.
func (s *sheet) seersAt(q [2]float64) (names []string) {
	for _, l := range s.p.Lobes {
		if l.Target == s.target && l.State == s.state && !slices.Contains(names, l.Sensor) && holds(l.Polygon, q) {
			names = append(names, l.Sensor)
		}
	}
	return names
}

// unseen is why no sensor sees the target at a place: the plan's own cause where the place lies in one of its blind spots,
// elsewhere what distance and direction tell.
func (s *sheet) unseen(q [2]float64) string {
	for _, b := range s.p.BlindSpots {
		if b.Target == s.target && b.State == s.state && holds(b.Polygon, q) {
			return words.cause(b)
		}
	}
	if len(s.p.Body.Outline) > 2 && holds(plan.Polygon{s.p.Body.Outline}, q) {
		return words.inside
	}
	why := words.offBeam
	for _, of := range s.p.Sensors {
		pose := s.pose(of)
		d := math.Hypot(q[0]-pose.At[0], q[1]-pose.At[1])
		off := math.Remainder(math.Atan2(q[1]-pose.At[1], q[0]-pose.At[0])-pose.Heading, 2*math.Pi)
		if math.Abs(off) > beamHalf(of, s.p.Air) {
			continue
		}
		far := of.ListenM
		for _, r := range of.OnAxis {
			if r.Target == s.target {
				far = r.ToM
			}
		}
		switch {
		case d < of.BlindM:
			return words.tooClose + " to " + of.Name
		case d <= far:
			return words.outOfSight
		}
		why = words.tooFar
	}
	return why
}

// holds reports whether a place lies in a polygon, by the even-odd rule.
func holds(p plan.Polygon, q [2]float64) bool {
	in := false
	for _, r := range p {
		for i, b := range r {
			a := r[(i+len(r)-1)%len(r)]
			if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+(q[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				in = !in
			}
		}
	}
	return in
}
