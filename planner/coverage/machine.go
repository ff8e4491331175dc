package coverage

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/geometry/sight"
	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

// bodyName is what the machine's own outline is called among its parts.
const bodyName = "body"

// obstacle is something of the machine that fills space, shades and answers.
type obstacle struct {
	name    string
	outline []r2.Point
	height  scene.Span
	round   bool
	centre  r2.Point
	radius  float64
	onlyIn  []string
}

func (o obstacle) in(state string) bool { return scene.Part{OnlyIn: o.onlyIn}.In(state) }

// obstaclesOf lists the body, where it has an outline yet, and then its parts in the order of the layout, over all states.
func obstaclesOf(b scene.Body) (all []obstacle) {
	if len(b.Outline) > 0 {
		all = append(all, obstacle{name: bodyName, outline: b.Outline, height: b.HeightM})
	}
	for _, p := range b.Parts {
		all = append(all, obstacle{
			name: p.Name, outline: p.Outline, height: p.HeightM,
			round: p.RadiusM > 0, centre: p.Centre, radius: p.RadiusM, onlyIn: p.OnlyIn,
		})
	}
	return all
}

// keepsOff is how far from an obstacle the place of a target stays because both are solid, m: the radius of a
// post; of a sphere or bar what its round section leaves at the obstacle's heights. ok is false where
// their heights share no more than a level: there the target may stand in it as seen from above.
func (o obstacle) keepsOff(t scene.Target) (m float64, ok bool) {
	if t.Shape == scene.Sphere || t.Shape == scene.Bar {
		middle := (t.HeightM.Lo + t.HeightM.Hi) / 2
		over := max(o.height.Lo-middle, middle-o.height.Hi, 0)
		return math.Sqrt(max(0, (t.RadiusM-over)*(t.RadiusM+over))), t.RadiusM > over
	}
	return t.RadiusM, min(o.height.Hi, t.HeightM.Hi) > max(o.height.Lo, t.HeightM.Lo)
}

// roundnessM is how far the corners of a footprint may lie from round, m: a tenth of the lobes' own bound.
const roundnessM = 1e-4

// footprint is where the machine leaves no room for the place of a target in a state, round corners
// within err (m).
func footprint(all []obstacle, t scene.Target, state string, err float64) region.Set {
	var parts []region.Set
	for _, o := range all {
		off, fills := o.keepsOff(t)
		switch {
		case !fills || !o.in(state):
		case off > 0:
			parts = append(parts, region.FromRings(geometry.Offset(o.outline, off, err)...))
		default:
			parts = append(parts, region.FromRings(o.outline))
		}
	}
	return region.Union(parts...)
}

// deepM is how far behind an outline a sensor may look out of a hole without the hole shaping its beam, m.
// Common practice, no source.
const deepM = 0.05

// encloses reports whether an obstacle encloses a sensor seen from above.
func (o obstacle) encloses(s scene.Sensor) bool {
	return geometry.Contains(o.outline, s.At) && geometry.Distance(o.outline, s.At) > sight.OnOutline
}

// eye is the place from which a sensor looks past an obstacle: its own; from inside it where its heading
// first leaves it, as through a hole; within a mount's thickness the nearest place of the outline. So a sensor
// set back is shaded by the body on all sides but that one. ok is false when the obstacle lies above or
// below a sensor that it encloses as seen from above: a roof, or what it stands on, neither shades nor answers.
func (o obstacle) eye(s scene.Sensor) (eye r2.Point, ok bool) {
	switch {
	case !o.encloses(s):
		return s.At, true
	case !o.height.Contains(s.HeightM):
		return s.At, false
	}
	if near := nearestOn(o.outline, s.At); near.Sub(s.At).Norm() <= acoustics.MountedOnM {
		return near, true
	}
	return wayOut(o.outline, s.At, s.Heading), true
}

// nearestOn is the place of a ring that is nearest to a point.
func nearestOn(ring []r2.Point, p r2.Point) (best r2.Point) {
	least := math.Inf(1)
	for i, a := range ring {
		q := nearestOfEdge(a, ring[(i+1)%len(ring)], p)
		if d := q.Sub(p).Norm(); d < least {
			best, least = q, d
		}
	}
	return best
}

func nearestOfEdge(a, b, p r2.Point) r2.Point {
	u := b.Sub(a)
	if n := u.Dot(u); n > 0 {
		return a.Add(u.Mul(math.Max(0, math.Min(1, p.Sub(a).Dot(u)/n))))
	}
	return a
}

// wayOut is where a line from a point inside a ring first meets it.
func wayOut(ring []r2.Point, from r2.Point, heading s1.Angle) r2.Point {
	sin, cos := math.Sincos(heading.Radians())
	u, first := r2.Point{X: cos, Y: sin}, math.Inf(1)
	out := from
	for i, a := range ring {
		v := ring[(i+1)%len(ring)].Sub(a)
		det := u.Cross(v)
		if det == 0 {
			continue
		}
		w := a.Sub(from)
		t, k := w.Cross(v)/det, w.Cross(u)/det
		if t > 0 && t < first && k >= -1e-12 && k <= 1+1e-12 {
			first, out = t, a.Add(v.Mul(math.Max(0, math.Min(1, k)))) // on the edge itself: a later look finds it there
		}
	}
	return out
}

// staresInto reports whether a sensor stands against an obstacle and faces into it.
func (o obstacle) staresInto(s scene.Sensor) bool {
	if !o.height.Contains(s.HeightM) || geometry.Distance(o.outline, s.At) > acoustics.MountedOnM {
		return false
	}
	sin, cos := math.Sincos(s.Heading.Radians())
	return geometry.Contains(o.outline, s.At.Add(r2.Point{X: cos, Y: sin}.Mul(2*acoustics.MountedOnM)))
}
