package acoustics

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/planner/scene"
)

// feature is one thing of a prism that answers: where it answers, and with what curvature.
type feature struct {
	at    r2.Point // in plan
	dz    float64  // over the sensor
	shape curvature
	a     float64
}

// MountedOnM is how near a face or edge may be to the sensor to count as what it is mounted on, m.
const MountedOnM = 2e-3

// samePlaceM is the difference in distance below which two echoes come from one place, m: far below a
// wavelength, yet far above rounding, so that a mirrored machine answers with the same echo.
const samePlaceM = 1e-6

// Own is a constant reading of the ear's own machine or of the ground.
type Own struct {
	ReadsM  float64 // true distance, m
	LevelDB float64 // highest level at the strongest end
	WeakDB  float64 // highest level at the weak end; below 0 it may not be read at all, −Inf where nothing answers
}

// Always reports whether it is read at the weak end too.
func (o Own) Always() bool { return o.WeakDB >= 0 }

// OwnReading is the nearest distance at which the ear reads a prism of its own machine (a part, or the
// body), at the strongest end: high supply, least absorption, the beam never below its floor. What
// answers: an upright face at the foot of the perpendicular, where the face reaches the sensor's height;
// its upright edges; below or above it level edges and corners; edges and corners as rods and balls of
// EdgeRadiusM; a round part as a post. Only what turns towards the sensor answers, so the face it is
// mounted on, the rest of a convex body and the far side of a part beside it do not; of a part that
// lies right under or over the sensor all edges do. Of echoes from one distance the loudest counts. ok is
// false when nothing is read beyond the blind distance. hidden, when given, says which answering places,
// in plan and at a height above the ground, the rest of the machine stands before.
func (e *Ear) OwnReading(outline []r2.Point, height scene.Span, isCircle bool, centre r2.Point, radius float64, hidden func(at r2.Point, height float64) bool) (own Own, ok bool) {
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
	var heard []Own
	for _, f := range features {
		if hidden != nil && hidden(f.at, e.s.HeightM+f.dz) {
			continue
		}
		if o := e.echoOf(f); o.LevelDB >= 0 && o.ReadsM >= e.m.NearestM() {
			heard = append(heard, o)
		}
	}
	if len(heard) == 0 {
		return Own{}, false
	}
	own = slices.MinFunc(heard, func(a, b Own) int { return cmp.Compare(a.ReadsM, b.ReadsM) })
	first := own.ReadsM
	for _, o := range heard {
		if o.ReadsM <= first+samePlaceM && o.LevelDB > own.LevelDB {
			own = Own{first, o.LevelDB, o.WeakDB}
		}
	}
	return own, true
}

func (e *Ear) echoOf(f feature) Own {
	p := f.at.Sub(e.s.At)
	w := answer{dz: f.dz, shape: f.shape, a: f.a}
	phi := math.Atan2(p.Y, p.X) - e.s.Heading.Radians()
	x := p.Norm() // not kept from 0: right above or below the sensor the bearing is but rounding, and must count for nothing
	return Own{w.half(x), e.levelAt(w, phi, x, Strongest), e.levelAt(w, phi, x, Certain)}
}

// roundFeature is the line (or the point of the rim) of a round part that turns to the sensor.
func (e *Ear) roundFeature(centre r2.Point, radius, dz float64) []feature {
	v := centre.Sub(e.s.At)
	d := v.Norm()
	if d-radius < MountedOnM && dz == 0 {
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
// where the prism reaches the sensor's height; otherwise its top or bottom lies dz over the sensor. A rounded
// edge turns to the sensor only if its upright face does: the edges of the far side look away, and the near
// side stands before them. From right above or below the prism no side is the near one, and all edges show.
func (e *Ear) prismFeatures(outline []r2.Point, dz float64) []feature {
	var list []feature
	n := len(outline)
	all := dz != 0 && (geometry.Contains(outline, e.s.At) || geometry.Distance(outline, e.s.At) <= MountedOnM)
	before := e.facing(outline, n-1)
	for i, p := range outline {
		q := outline[(i+1)%n]
		faces := e.facing(outline, i)
		off := p.Sub(e.s.At).Norm()
		if (faces || before || all) && math.Hypot(off, dz) > MountedOnM {
			shape := round
			if dz != 0 {
				shape = ball
			}
			list = append(list, feature{p, dz, shape, EdgeRadiusM})
		}
		before = faces
		if !faces && !all {
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
	return side > MountedOnM*u.Norm()
}

// footOn is the foot of the perpendicular from s on the segment p–q, and whether it lies on it, its ends
// included whichever way they round.
func footOn(p, q, s r2.Point) (r2.Point, bool) {
	u := q.Sub(p)
	n := u.Dot(u)
	if n == 0 {
		return p, false
	}
	t, end := s.Sub(p).Dot(u)/n, samePlaceM/math.Sqrt(n)
	return p.Add(u.Mul(math.Max(0, math.Min(1, t)))), t >= -end && t <= 1+end
}
