package coverage

import (
	"math"

	"echowright/geometry"
	"echowright/geometry/region"
)

// ground is what the ground is called among constant readings.
const ground = "ground"

// reading is a constant reading a sensor has of its own machine or of the ground.
type reading struct {
	obstacle int     // index into the obstacles; -1: the ground
	what     string  // its name
	reads    float64 // m
	levelDB  float64
}

// readingsOf lists what a sensor always reads of its own machine and the ground, over all states, in
// the order of the layout. What lies inside the blind distance in all weathers is blanked and left out.
func (st *study) readingsOf(l *listener) []reading {
	var found []reading
	add := func(obstacle int, what string, reads, level float64, ok bool) {
		if ok && reads >= l.nearest && reads < l.listen {
			found = append(found, reading{obstacle, what, reads, level})
		}
	}
	for i, o := range st.obstacles {
		if o.holds(l.mount) {
			continue
		}
		reads, level, ok := l.OwnReading(o.outline, o.height, o.round, o.centre, o.radius)
		add(i, o.name, reads, level, ok)
	}
	reads, level, ok := l.GroundReading(st.sc.Around.Ground)
	add(-1, ground, reads, level, ok)
	return found
}

// firstReading is the earliest of a sensor's constant readings in a state; nil when it has none.
func firstReading(readings []reading, obstacles []obstacle, state string) (first *reading) {
	for i, r := range readings {
		if r.in(obstacles, state) && (first == nil || r.reads < first.reads) {
			first = &readings[i]
		}
	}
	return first
}

// in reports whether the cause of a reading exists in a state.
func (r reading) in(obstacles []obstacle, state string) bool {
	return r.obstacle < 0 || obstacles[r.obstacle].in(state)
}

// nearestLobe is the sensor whose lobe comes nearest to a region; -1 when nobody sees anything.
func nearestLobe(hs []*hearing, s region.Set) int {
	best, least := -1, math.Inf(1)
	centre := s.Centroid()
	for i, h := range hs {
		for _, r := range h.final.Rings() {
			if d := geometry.Distance(r, centre); d < least {
				best, least = i, d
			}
		}
	}
	return best
}
