package resolve

import (
	"math"

	"echowright/geometry"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// errM is how far a flattened curve of the body or a zone may lie from the true curve, m: a tenth of
// what a lobe's edge is allowed, so that it never decides.
const errM = 1e-4

// mount is a place on the machine with the direction a sensor there faces at heading zero.
type mount struct {
	at     r2.Point
	facing s1.Angle // outward normal; zero (straight ahead) for a free place
	arcM   float64  // NaN for a free place
	free   bool
}

// onOutline returns the mount at an arc length.
func onOutline(o *geometry.Outline, s float64) mount {
	p, n := o.At(s)
	return mount{at: p, facing: n, arcM: s}
}

// mirrored returns the mount on the other side of the middle line: s → −s on the outline.
func (m mount) mirrored(o *geometry.Outline) mount {
	if !m.free {
		return onOutline(o, -m.arcM)
	}
	return mount{at: r2.Point{X: m.at.X, Y: -m.at.Y}, facing: -m.facing, arcM: math.NaN(), free: true}
}

// outward returns +1 where a turn counter-clockwise turns the sensor away from the middle line, −1 where
// a turn clockwise does, and 0 where neither does: on the middle line, or where it already faces straight away.
//
//	        x
//	 +      |      −        front: left of the middle a turn to the left is outward
//	--------+--------
//	 −      |      +        rear: facing back, the hands are swapped
func (m mount) outward() float64 {
	along := math.Cos(m.facing.Radians())
	if math.Abs(m.at.Y) < placeTol || math.Abs(along) < 1e-6 {
		return 0
	}
	return math.Copysign(1, m.at.Y) * math.Copysign(1, along)
}

// placeTol is the distance below which two places are one, m: far below any drill.
const placeTol = 1e-9

// forwardArc is the sense in which arc length runs for a positive offset along a side: front and rear
// count offsets to the left, left and right count them forward.
func forwardArc(side geometry.Side) float64 {
	if side == geometry.Rear || side == geometry.Left {
		return -1 // counter-clockwise is to the right behind the machine, and backward on its left
	}
	return 1
}

// spreadOver returns n values from one to another, both included; the middle for n = 1.
func spreadOver(from, to float64, n int) []float64 {
	if n == 1 {
		return []float64{from + (to-from)/2}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	out[n-1] = to
	return out
}

// insideTol is how deep a sensor may sit in solid material before it counts as inside, m: drawings are
// rounded to the millimetre.
const insideTol = 1e-3

// mountTol is how far off the outline a place still counts as on it, m: the thickness of a mount, and what
// corners rounded to the millimetre put a sensor off the edge it is meant to stand on.
const mountTol = 5e-3

// within reports whether a height lies strictly inside a span.
func within(h scene.Span, z float64) bool { return h.Lo < z && z < h.Hi }
