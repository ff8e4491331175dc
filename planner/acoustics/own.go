package acoustics

import (
	"math"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

// feature is one thing of a prism that answers: where it answers, and with what curvature.
type feature struct {
	at    r2.Point // in plan
	dz    float64  // over the sensor
	shape curvature
	a     float64
}

// mountedOn is how near a face or edge may be to the sensor to count as what it is mounted on, m.
const mountedOn = 2e-3

// OwnReading is the nearest distance at which the ear reads a prism of its own machine (a part, or the
// body), at the strongest end: high supply, least absorption, the beam never below its floor. What
// answers: an upright face at the foot of the perpendicular, where the face reaches the sensor's height;
// its upright edges; below or above it level edges and corners; edges and corners as rods and balls of
// EdgeRadiusM; a round part as a post. Only what turns towards the sensor answers, so the face it is
// mounted on and the rest of a convex body do not. reads is the true distance, m, level its level; ok is
// false when nothing is read beyond the blind distance.
func (e *Ear) OwnReading(outline []r2.Point, height scene.Span, isCircle bool, centre r2.Point, radius float64) (reads, level float64, ok bool) {
	var features []feature
	dz := 0.0
	switch h := e.s.HeightM; {
	case h > height.Hi:
		dz = height.Hi - h
	case h < height.Lo:
		dz = height.Lo - h
	}
	if isCircle {
		features = e.roundFeature(centre, radius, dz)
	} else {
		features = e.prismFeatures(outline, dz)
	}
	for _, f := range features {
		d, l := e.featureLevel(f)
		if l >= 0 && d >= e.m.NearestM() && (!ok || d < reads) {
			reads, level, ok = d, l, true
		}
	}
	return reads, level, ok
}

func (e *Ear) featureLevel(f feature) (d, level float64) {
	p := f.at.Sub(e.s.At)
	w := answer{dz: f.dz, shape: f.shape, a: f.a}
	phi := math.Atan2(p.Y, p.X) - e.s.Heading.Radians()
	x := math.Max(p.Norm(), leastHalf)
	return w.half(x), e.levelAt(w, phi, x, Strongest)
}

// roundFeature is the line (or the point of the rim) of a round part that turns to the sensor.
func (e *Ear) roundFeature(centre r2.Point, radius, dz float64) []feature {
	v := centre.Sub(e.s.At)
	d := v.Norm()
	if d-radius < mountedOn && dz == 0 {
		return nil
	}
	near := e.s.At
	if d > radius {
		near = e.s.At.Add(v.Mul((d - radius) / d))
	}
	if dz == 0 {
		return []feature{{near, 0, round, radius}}
	}
	return []feature{{near, dz, round, EdgeRadiusM}}
}

// prismFeatures lists the faces and edges of a counter-clockwise outline that turn to the sensor. dz is 0
// where the prism reaches the sensor's height; otherwise its top or bottom lies dz over the sensor, where
// all edges show.
func (e *Ear) prismFeatures(outline []r2.Point, dz float64) []feature {
	var list []feature
	n := len(outline)
	before := e.facing(outline, n-1)
	for i, p := range outline {
		q := outline[(i+1)%n]
		faces := e.facing(outline, i)
		off := p.Sub(e.s.At).Norm()
		if (faces || before || dz != 0) && math.Hypot(off, dz) > mountedOn {
			shape := round
			if dz != 0 {
				shape = ball
			}
			list = append(list, feature{p, dz, shape, EdgeRadiusM})
		}
		before = faces
		if dz == 0 && !faces {
			continue
		}
		foot, inside := footOn(p, q, e.s.At)
		if !inside {
			continue
		}
		if dz == 0 {
			list = append(list, feature{foot, 0, flat, 0})
		} else {
			list = append(list, feature{foot, dz, round, EdgeRadiusM})
		}
	}
	return list
}

// facing reports whether the sensor stands outside the i-th face, farther than a mount's thickness.
func (e *Ear) facing(outline []r2.Point, i int) bool {
	p, q := outline[i], outline[(i+1)%len(outline)]
	u, v := q.Sub(p), e.s.At.Sub(p)
	// Right of a counter-clockwise edge is outside; products rounded one by one.
	side := float64(u.Y*v.X) - float64(u.X*v.Y)
	return side > mountedOn*u.Norm()
}

// footOn is the foot of the perpendicular from s on the segment p–q, and whether it lies on it.
func footOn(p, q, s r2.Point) (r2.Point, bool) {
	u := q.Sub(p)
	n := u.Dot(u)
	if n == 0 {
		return p, false
	}
	t := s.Sub(p).Dot(u) / n
	return p.Add(u.Mul(t)), t >= 0 && t <= 1
}
