package coverage

import (
	"math"

	"echowright/planner/acoustics"
)

// settle names for a spot the sensor that decides at the middle of its own disc, a place surely inside it, with what its
// echo lacks there: where the echo is too weak, the sensor that hears most; otherwise the one with most of the spot, if
// it would see its middle, else the first that would.
func (p *patch) settle(s *spot) {
	weak := s.cause == TooWeak || s.cause == JustTooWeak
	first, most := -1, math.Inf(-1)
	for _, r := range p.remedies {
		if r.cause != s.cause || r.part != s.part || !r.where.Contains(s.own.centre) {
			continue
		}
		if !weak && r.sensor == s.sensor {
			return
		}
		h := p.verdict.hearings[r.sensor]
		level := 0.0
		if weak {
			level = h.Level(h.target, s.own.centre, acoustics.Certain)
		}
		if first < 0 || level > most+1e-6 { // more than rounding, so that a mirrored scene names the mirrored sensor
			first, most = r.sensor, level
		}
	}
	if first >= 0 {
		s.sensor, s.shortDB = first, -most
	}
}
