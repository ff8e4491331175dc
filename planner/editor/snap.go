package editor

import (
	"math"

	"echowright/geometry"
	"echowright/planner/scene"

	"github.com/golang/geo/s1"
)

// Snaps says which things a dragged sensor keeps to. Each can be turned off, and all are held off while Alt is held.
type Snaps struct {
	Step, Axis, Neighbours, Angle bool
}

// AllSnaps is how the editor starts.
var AllSnaps = Snaps{Step: true, Axis: true, Neighbours: true, Angle: true}

// snapped is where a drag comes to rest and what it keeps to, in words; "" for nothing.
type snapped struct {
	arc float64
	to  string
}

// snapPoints is how near, in window points, a thing must be for a drag to keep to it.
const snapPoints = 5

// snapArc finds what a place on the outline keeps to: the machine's middle lines first, then the mirror image of a
// sensor and the middle between two neighbours, then whole steps. pointsPerM is the drawing's scale.
func snapArc(o *geometry.Outline, arc float64, others []scene.Sensor, s Snaps, pointsPerM float64) snapped {
	best, reach := snapped{arc: wrapArc(o, arc)}, snapPoints/pointsPerM
	try := func(to float64, what string) {
		if d := arcDistance(o, to, arc); d < reach {
			best, reach = snapped{wrapArc(o, to), what}, d
		}
	}
	if s.Axis {
		for _, side := range []geometry.Side{geometry.Front, geometry.Left, geometry.Rear, geometry.Right} {
			try(o.Anchor(side), words.middleOf(side.String()))
		}
	}
	if s.Neighbours && best.to == "" {
		for _, other := range others {
			if !math.IsNaN(other.ArcM) {
				try(-other.ArcM, words.mirrorOf(other.Name))
			}
		}
		if a, b, ok := neighbours(o, arc, others); ok {
			gap := math.Mod(b.ArcM-a.ArcM+2*o.Length(), o.Length())
			if gap == 0 {
				gap = o.Length()
			}
			try(a.ArcM+gap/2, words.halfway(a.Name, b.Name))
		}
	}
	if s.Step && best.to == "" {
		step := stepFor(pointsPerM, lengthSteps)
		best = snapped{stepped(o, arc, step), words.steps(lengthText(step))}
	}
	return best
}

// stepped is the nearest place at a round offset from the middle of its side, or at a round arc length beside the sides.
func stepped(o *geometry.Outline, arc, step float64) float64 {
	for _, side := range []geometry.Side{geometry.Front, geometry.Left, geometry.Rear, geometry.Right} {
		if d, on := offsetOn(o, side, arc); on {
			if s, err := o.OnSide(side, math.Round(d/step)*step); err == nil {
				return wrapArc(o, s)
			}
		}
	}
	return wrapArc(o, math.Round(wrapArc(o, arc)/step)*step)
}

// neighbours are the sensors on the outline before and after a place, going counter-clockwise.
func neighbours(o *geometry.Outline, arc float64, others []scene.Sensor) (before, after scene.Sensor, ok bool) {
	back, ahead := math.Inf(1), math.Inf(1)
	for _, s := range others {
		if math.IsNaN(s.ArcM) {
			continue
		}
		d := math.Mod(s.ArcM-arc+2*o.Length(), o.Length())
		if d < ahead {
			after, ahead = s, d
		}
		if o.Length()-d < back {
			before, back = s, o.Length()-d
		}
	}
	return before, after, !math.IsInf(back, 1) && before.Name != after.Name
}

// The steps a drag may keep to: the finest that is still some points wide on the screen is taken.
var lengthSteps = []float64{0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1}

// leastStep is how wide a step is on the screen at least, in points: less cannot be aimed at.
const leastStep = 3.5

func stepFor(pointsPerM float64, steps []float64) float64 {
	for _, s := range steps {
		if s*pointsPerM >= leastStep {
			return s
		}
	}
	return steps[len(steps)-1]
}

// snapHeading finds what a heading keeps to: square to the outline, straight ahead, left, back or right, then steps of
// five degrees from square.
func snapHeading(heading, normal s1.Angle, s Snaps) (s1.Angle, string) {
	if !s.Angle {
		return heading, ""
	}
	const reach = 2 * s1.Degree
	if (heading - normal).Normalized().Abs() < reach {
		return normal, words.square
	}
	for k := range 4 {
		if to := s1.Angle(k) * 90 * s1.Degree; (heading - to).Normalized().Abs() < reach {
			return to.Normalized(), words.quarter(k)
		}
	}
	turn := (heading - normal).Normalized()
	turn = s1.Angle(math.Round(turn.Degrees()/5)*5) * s1.Degree
	return (normal + turn).Normalized(), words.steps("5 deg")
}
