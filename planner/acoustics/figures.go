package acoustics

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

// onAxis is a target as the card's figures mean it: opposite the sensor, facing it squarely.
func (m *Model) onAxis(t scene.Target) (answer, bool) {
	shape, a, err := shapeOf(t)
	return answer{shape: shape, a: a, loss: t.LossDB.X}, err == nil
}

// Curve is a target's level on axis, facing squarely, over distances to its surface, m.
func (m *Model) Curve(t scene.Target, at End, dists []float64) []float64 {
	v := make([]float64, len(dists))
	w, ok := m.onAxis(t)
	for i, d := range dists {
		if !ok {
			v[i] = math.Inf(-1)
			continue
		}
		v[i] = m.GainAt(at) - w.loss - spreading(w.shape, w.a, d, d) - 2*m.absorptionAt(at)*d - m.rise(d, at)
	}
	return v
}

// ReachM is the farthest distance at which a target facing squarely on axis is seen at the low supply, at
// the most and at the least absorption of the weather; 0 when it is never seen.
func (m *Model) ReachM(t scene.Target) (most, least float64) {
	w, ok := m.onAxis(t)
	if !ok {
		return 0, 0
	}
	return m.reach(w, m.most.Value), m.reach(w, m.least.Value)
}

// reach is the farthest distance with a level not below 0 at that absorption, dB/m.
func (m *Model) reach(w answer, absorption float64) float64 {
	s := &looker{e: &Ear{m: m, cosT: 1}, w: w, budget: m.GainAt(Certain) - w.loss, alpha: 2 * absorption}
	s.steady = !m.ThresholdKnown()
	far := s.reachX(s.budget - m.LowestRiseDB())
	if s.steady {
		return far
	}
	s.xhi = far
	seen := s.piece(0, far, 0, nil)
	if len(seen) == 0 {
		return 0
	}
	return seen[len(seen)-1].hi
}

// Sight is the span of heights, m over the ground, that the line from the sensor to where the target
// answers runs through; ok is false when the target cannot answer.
func (e *Ear) Sight(t scene.Target) (heights scene.Span, ok bool) {
	w, ok := answerOf(t, e.s.HeightM, e.ground)
	h := e.s.HeightM
	return scene.Span{Lo: h + math.Min(0, w.dz), Hi: h + math.Max(0, w.dz)}, ok
}

// AwayM is the distance from the sensor to where a target at a place answers, facing it squarely: what the
// blind distance, the window and a reading mean, m. ok is false when it cannot answer.
func (e *Ear) AwayM(t scene.Target, place r2.Point) (m float64, ok bool) {
	w, ok := answerOf(t, e.s.HeightM, e.ground)
	return w.half(math.Max(0, place.Sub(e.s.At).Norm()-w.inset)), ok
}

// VanishTurn is the least turn from facing the sensor squarely at which a target about a place is no longer
// seen for certain, its level too low or its answer nearer than nearM (m); positive as the target's own turns.
// ok is false when it is not seen even squarely or never vanishes. Posts and spheres look the same from all
// sides.
func (e *Ear) VanishTurn(t scene.Target, place r2.Point, nearM float64) (turn s1.Angle, ok bool) {
	w, can := answerOf(t, e.s.HeightM, e.ground)
	if !can || t.Shape == scene.Post || t.Shape == scene.Sphere {
		return 0, false
	}
	d := place.Sub(e.s.At)
	phi := math.Remainder(math.Atan2(d.Y, d.X)-e.s.Heading.Radians(), 2*math.Pi)
	r := math.Max(d.Norm(), leastHalf)
	seen := func(tau float64) bool {
		x := r * math.Cos(tau)
		return w.half(x) >= nearM && e.levelAt(w, phi+tau, x, Certain) >= 0
	}
	if !seen(0) {
		return 0, false
	}
	const step = math.Pi / 1440 // an eighth of a degree
	for i := 1; i < 720; i++ {
		for _, side := range [2]float64{1, -1} {
			in, out := side*float64(i-1)*step, side*float64(i)*step
			if seen(out) {
				continue
			}
			for range 30 {
				if mid := (in + out) / 2; seen(mid) {
					in = mid
				} else {
					out = mid
				}
			}
			return s1.Angle(out), true
		}
	}
	return 0, false
}

// SideView is the beam in the upright plane through the heading: a polygon of (distance, height over the
// ground) of the places at which the target, answering squarely in each direction, is seen for certain in
// the main lobe, cut off at the ground. It shows the beam, not where the target can stand; nil when
// nothing is seen.
func (e *Ear) SideView(t scene.Target, o LobeOptions) []r2.Point {
	w, ok := e.m.onAxis(t)
	if !ok {
		return nil
	}
	var outer, inner []r2.Point
	const front = math.Pi/2 - 2*grazing
	for i := -180; i <= 180; i++ {
		off := math.Max(-front, math.Min(front, float64(i)*math.Pi/360))
		near, far, seen := e.slice(w, off, o)
		if !seen {
			continue
		}
		s, c := math.Sincos(off + e.s.Tilt.Radians())
		outer = append(outer, r2.Point{X: far * c, Y: e.s.HeightM + far*s})
		inner = append(inner, r2.Point{X: near * c, Y: e.s.HeightM + near*s})
	}
	if len(outer) < 2 {
		return nil
	}
	for i := len(inner) - 1; i >= 0; i-- {
		outer = append(outer, inner[i])
	}
	return aboveGround(outer)
}

// slice is the nearest and farthest distance seen at an angle from the axis in the upright plane.
func (e *Ear) slice(w answer, off float64, o LobeOptions) (near, far float64, seen bool) {
	s, c := math.Sincos(off)
	p := 2 * e.m.oneWay(0, s, c, Certain)
	main := e.m.table != nil || e.m.lobeOf(e.m.argument(0, s)) == 0
	if c <= 0 || !main || math.IsInf(p, -1) {
		return 0, 0, false
	}
	loud := w
	loud.loss -= p
	far = e.m.reach(loud, e.m.most.Value)
	if o.FarM > 0 {
		far = math.Min(far, o.FarM)
	}
	near = math.Max(0, o.NearM)
	return near, far, far > near
}

// aboveGround cuts a polygon at height 0 (Sutherland and Hodgman, one edge).
func aboveGround(p []r2.Point) []r2.Point {
	var out []r2.Point
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if a.Y >= 0 {
			out = append(out, a)
		}
		if (a.Y >= 0) != (b.Y >= 0) {
			u := a.Y / (a.Y - b.Y)
			out = append(out, r2.Point{X: a.X + u*(b.X-a.X)})
		}
	}
	return out
}
