package geometry

import (
	"math"

	"echowright/geometry/predicate"
	"echowright/geometry/region"

	"github.com/golang/geo/r2"
)

// Offset returns the region within d (m) of the inside of a ring that does not cross itself, as its outer ring
// counter-clockwise followed by its holes clockwise: the Minkowski sum with a disc, round at convex corners,
// each arc within err (m) of true and never outside it. A negative d takes away what lies within −d of the
// curve; several outer rings may be left, or none. Zero gives the ring's own inside.
//
// The sum follows from the winding number of one closed curve (Guibas, Ramshaw and Stolfi, "A kinetic framework
// for computational geometry", FOCS 1983), so notches that close and rings that meet themselves need no case of their own.
func Offset(r Ring, d, err float64) []Ring {
	r = withoutRepeats(r)
	area := Area(r)
	if len(r) < 3 || area == 0 || math.IsNaN(d) {
		return nil
	}
	if area < 0 {
		r = Reverse(r)
	}
	switch {
	case d > 0:
		return region.FromRings(convolution(r, d, err)).Rings()
	case d < 0:
		return region.Difference(region.FromRings(r), region.FromRings(capsules(r, -d, err)...)).Rings()
	}
	return region.FromRings(r).Rings()
}

// capsules covers all that lies within d of the curve: one capsule an edge.
func capsules(r Ring, d, err float64) []Ring {
	out := make([]Ring, len(r))
	for i, p := range r {
		out[i] = convolution(Ring{p, r[next(r, i)]}, d, err)
	}
	return out
}

// convolution is the border of a counter-clockwise ring moved outward by d, with an arc about every corner:
// forwards about a convex one, backwards about a reflex one. It may cross itself; its winding number at a place
// is the number of separate pieces that a disc of radius d about the place has in common with the ring's inside,
// so the Minkowski sum is where it is not zero.
func convolution(r Ring, d, err float64) Ring {
	var out Ring
	for i, p := range r {
		u, v := p.Sub(r[prev(r, i)]).Normalize(), r[next(r, i)].Sub(p).Normalize()
		out = append(out, cornerArc(p, u, v, d, err)...)
	}
	return out
}

// cornerArc runs from the normal of the edge along u to that of the edge along v, the short way round.
func cornerArc(p, u, v r2.Point, d, err float64) Ring {
	turn := math.Atan2(predicate.Cross(u, v)+0, predicate.Dot(u, v)) // + 0: the tip of a capsule turns left, whatever the sign of zero
	n := r2.Point{X: u.Y, Y: -u.X}
	steps := 1
	if turn != 0 {
		// Less a hair, so that an exact quarter turn takes as many chords whichever way the scene is turned.
		steps = int(max(1, math.Ceil(math.Abs(turn)/(math.Pi/2)*float64(quarterSteps(d, err))-1e-9)))
	}
	out := make(Ring, 0, steps+1)
	for k := range steps {
		sin, cos := math.Sincos(turn * float64(k) / float64(steps))
		w := r2.Point{X: float64(cos*n.X) - float64(sin*n.Y), Y: float64(sin*n.X) + float64(cos*n.Y)}
		out = append(out, predicate.Move(p, w, d))
	}
	return append(out, predicate.Move(p, r2.Point{X: v.Y, Y: -v.X}, d))
}
