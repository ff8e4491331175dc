package view

import (
	"echowright/planner/export/draw"
)

// lobes draws where each sensor sees the target for certain; where they overlap they darken. Those of chosen sensors
// lie on top.
func (s *sheet) lobes() {
	s.layer("beams")
	if s.looks.Lobes {
		s.lobesOf(false)
	}
	s.layer("chosen beams")
	s.lobesOf(true)
}

func (s *sheet) lobesOf(chosen bool) {
	for _, l := range s.p.Lobes {
		if l.Target != s.target || l.State != s.state || s.chosen(l.Sensor) != chosen {
			continue
		}
		st := draw.Style{Fill: draw.Beam, Opacity: 0.14, Stroke: draw.Beam, Width: 0.8}
		if chosen {
			st = draw.Style{Fill: draw.Chosen, Opacity: 0.2, Stroke: draw.Chosen, Width: 2}
		} else if s.looks.Over.Kind == Sensor && s.looks.Over.Name == l.Sensor {
			st.Width = 1.8
		}
		by := turn{cos: 1}
		if to, ok := s.live.Moved[l.Sensor]; ok {
			if of, ok := sensorIn(s.p, l.Sensor); ok {
				by = carry(poseIn(of), to)
			}
		}
		s.moved(l.Polygon, by, st, l.Sensor)
	}
}

// overlaps hatches what the first two chosen sensors both see or, of a sensor chosen alone, what it shares with each
// other one.
func (s *sheet) overlaps() {
	s.layer("overlaps")
	if !s.looks.Overlaps || len(s.looks.Chosen) == 0 || s.behind() {
		return
	}
	for _, o := range s.p.Overlaps {
		if o.Target != s.target || o.State != s.state || !s.pair(o.A, o.B) {
			continue
		}
		both := s.cache.overlap(s.p, o)
		st := draw.Style{Fill: draw.Chosen, Hatched: true, Stroke: draw.Chosen, Width: 1}
		s.area(both, st, o.A+" and "+o.B)
		if len(s.looks.Chosen) > 1 && len(both) > 0 {
			s.tag(tag{at: s.cam.At(middle(both[0])), texts: []string{words.both(o)}, ink: draw.Chosen, leader: true})
		}
	}
}

// behind reports whether a sensor is being dragged that the plan has elsewhere.
func (s *sheet) behind() bool {
	for name, to := range s.live.Moved {
		if of, ok := sensorIn(s.p, name); ok && poseIn(of) != to {
			return true
		}
	}
	return false
}

// pair reports whether the overlap of two sensors is asked for.
func (s *sheet) pair(a, b string) bool {
	c := s.looks.Chosen
	if len(c) == 1 {
		return c[0] == a || c[0] == b
	}
	return c[0] == a && c[1] == b || c[0] == b && c[1] == a
}

// blind draws what is not seen by enough sensors, hatched, and says of the worst what it hides.
func (s *sheet) blind() {
	s.layer("blind")
	if !s.looks.Blind {
		return
	}
	worst := -1
	for i, b := range s.p.BlindSpots {
		if !s.zoneShown(b.Target, b.State) {
			continue
		}
		st := draw.Style{Fill: draw.Blind, Hatched: true, Stroke: draw.Blind, Width: 1}
		if s.isBlind(s.looks.Thing, i) || s.isBlind(s.looks.Over, i) {
			st.Width = 2.2
		}
		s.area(b.Polygon, st, b.Cause)
		if worst < 0 || b.OwnM > s.p.BlindSpots[worst].OwnM {
			worst = i
		}
	}
	for i, b := range s.p.BlindSpots {
		if s.zoneShown(b.Target, b.State) && (i == worst || s.isBlind(s.looks.Thing, i) || s.isBlind(s.looks.Over, i)) {
			s.tag(tag{at: s.cam.At(b.OwnAt), texts: []string{words.hides(b)}, ink: draw.Blind, leader: true})
		}
	}
}

func (s *sheet) isBlind(t Thing, i int) bool { return t.Kind == Blind && t.Index == i }
