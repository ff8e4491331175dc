package coverage

import (
	"echowright/geometry/region"
	"echowright/geometry/sight"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// ground is what the ground is called among constant readings.
const ground = "ground"

// reading is a constant reading a sensor has of its own machine or of the ground.
type reading struct {
	acoustics.Own
	obstacle int    // index into the obstacles; -1: the ground
	what     string // its name
}

// readingsOf lists what a sensor reads of its own machine and the ground, over all states, in the
// order of the layout. What lies inside the blind distance in all weathers is blanked and left out.
func (st *study) readingsOf(l *listener) []reading {
	var found []reading
	for i := range st.obstacles {
		if own, ok := st.readsObstacle(l, i); ok {
			found = append(found, reading{own, i, st.obstacles[i].name})
		}
	}
	if own, ok := l.GroundReading(st.sc.Around.Ground, l.listen); ok && own.ReadsM < l.listen {
		found = append(found, reading{own, -1, ground})
	}
	return found
}

// readsObstacle is what a sensor reads of one obstacle inside its window. From inside it looks out of where
// its heading leaves it.
func (st *study) readsObstacle(l *listener, i int) (acoustics.Own, bool) {
	o := st.obstacles[i]
	eye, ok := o.eye(l.mount)
	if !ok {
		return acoustics.Own{}, false
	}
	heard, behind := l.ear, eye.Sub(l.mount.At).Norm()
	if behind > 0 && l.remount != nil {
		mouth := l.mount
		mouth.At = eye
		heard = l.remount(mouth)
	}
	own, ok := heard.OwnReading(o.outline, o.height, o.round, o.centre, o.radius, hides(st.obstacles, i, l.mount))
	own.ReadsM += behind
	return own, ok && own.ReadsM >= l.nearest && own.ReadsM < l.listen
}

// hides returns which places of an obstacle the sensor cannot read because the rest of the machine surely
// stands before them: at both heights, and in every state.
func hides(all []obstacle, obstacle int, s scene.Sensor) func(at r2.Point, height float64) bool {
	return func(at r2.Point, height float64) bool {
		for k, o := range all {
			eye, ok := o.eye(s)
			stands := ok && k != obstacle && len(o.onlyIn) == 0 && o.height.Contains(height) && o.height.Contains(s.HeightM)
			if stands && !sight.Visible(eye, [][]r2.Point{o.outline}, at) {
				return true
			}
		}
		return false
	}
}

// firstReading is the earliest of a sensor's constant readings in a state; nil when it has none.
func firstReading(readings []reading, obstacles []obstacle, state string) (first *reading) {
	for i, r := range readings {
		if r.in(obstacles, state) && (first == nil || r.ReadsM < first.ReadsM) {
			first = &readings[i]
		}
	}
	return first
}

// in reports whether the cause of a reading exists in a state.
func (r reading) in(obstacles []obstacle, state string) bool {
	return r.obstacle < 0 || obstacles[r.obstacle].in(state)
}

// nearestBeam is the sensor whose beam, shadows left aside, comes nearest to a region; -1 when nobody sees
// anything.
func nearestBeam(hs []*hearing, s region.Set) int {
	if near := neighbours(hs, s.Centroid()); len(near) > 0 {
		return near[0]
	}
	return -1
}
