package acoustics

import (
	"fmt"
	"math"

	"echowright/planner/scene"
)

// Loss of the corner between an upright face and the ground, dB: a smooth ground is a mirror, a rough one
// scatters most of the sound. Stated estimates: common practice, no source.
var cornerLoss = map[scene.Ground]float64{
	scene.GroundSmooth: 0, scene.GroundAsphalt: 6, scene.GroundGravel: 20, scene.GroundGrass: 25,
}

// CornerLossDB is the loss of the corner of an upright face with that ground; ok false where nothing
// below could answer.
func CornerLossDB(g scene.Ground) (loss float64, ok bool) {
	loss, ok = cornerLoss[g]
	return loss, ok
}

// answer is where and how a target answers a sensor. x is the horizontal distance from the sensor to the
// answering line or point: the place's distance less inset.
//
//	sensor ●───── x ─────┐           d = sqrt(x² + dz²) − sub   half the path
//	       │ dz (< 0)    ▼
//	       ·─────────────● answering point
type answer struct {
	dz    float64 // height of the answering point over the sensor, m
	inset float64 // a post answers at its surface, its place is its axis
	sub   float64 // a sphere or bar is aimed at by its centre, answers by its surface
	shape curvature
	a     float64 // radius, m
	loss  float64 // reflection, dB
	turns scene.Span
}

// shapeOf is the curvature by which a target answers and its radius.
func shapeOf(t scene.Target) (curvature, float64, error) {
	switch t.Shape {
	case scene.Wall, scene.Kerb:
		return flat, 0, nil
	case scene.Post, scene.Bar:
		if t.RadiusM > 0 {
			return round, t.RadiusM, nil
		}
	case scene.Sphere:
		if t.RadiusM > 0 {
			return ball, t.RadiusM, nil
		}
	default:
		return flat, 0, fmt.Errorf("target %s: shape %q is not known", t.Name, t.Shape)
	}
	return flat, 0, fmt.Errorf("target %s: a %s needs a radius above zero", t.Name, t.Shape)
}

// onGround is how far above the ground an upright face may begin and still make a corner with it, m.
const onGround = 0.005

// answerOf says where a target answers a sensor at height h; ok false when it cannot: an upright face
// answers at the sensor's height where it reaches so high, a lower one through its corner with the
// ground (the double image: path twice the slant distance to the foot).
func answerOf(t scene.Target, h float64, g scene.Ground) (answer, bool) {
	shape, a, err := shapeOf(t)
	if err != nil {
		return answer{}, false
	}
	w := answer{shape: shape, a: a, loss: t.LossDB.X}
	middle := (t.HeightM.Lo + t.HeightM.Hi) / 2
	switch t.Shape {
	case scene.Sphere:
		w.dz, w.sub = middle-h, a
		return w, true
	case scene.Bar:
		w.dz, w.sub, w.turns = middle-h, a, t.Turned
		return w, true
	case scene.Post:
		w.inset = a
	default:
		w.turns = t.Turned
	}
	if t.HeightM.Contains(h) {
		return w, true
	}
	corner, ok := CornerLossDB(g)
	if !ok || h < t.HeightM.Lo || t.HeightM.Lo > onGround {
		return answer{}, false
	}
	w.dz = -h
	w.loss += corner
	return w, true
}

// squarely reports whether only one turn is asked about.
func (w answer) oneTurn() bool { return !(w.turns.Hi > w.turns.Lo) }

// half is half the length of the path when the answering point is x away horizontally.
func (w answer) half(x float64) float64 { return math.Sqrt(x*x+w.dz*w.dz) - w.sub }

// spreading at horizontal distance x: an upright curvature sees the horizontal distance, a level or round
// one the slant.
func (w answer) spreading(x float64) float64 {
	d := w.half(x)
	if w.inset > 0 {
		return spreading(w.shape, w.a, d, x)
	}
	return spreading(w.shape, w.a, d, d)
}

// leastHalf keeps logarithms finite when a place touches the sensor, m.
const leastHalf = 1e-6

// spreading is the one-place spreading loss, dB: d is half the path, r the distance across which the
// curvature spreads the sound (for the corner of a post with the ground the horizontal one: the wave
// meets the post at the slant's angle, which lengthens its radius as much as it shortens r).
func spreading(shape curvature, a, d, r float64) float64 {
	d = math.Max(d, leastHalf)
	switch shape {
	case round:
		d *= math.Sqrt(1 + math.Max(r, 0)/a)
	case ball:
		d *= 1 + math.Max(r, 0)/a
	}
	return tenthNeper * math.Log(2*d)
}
