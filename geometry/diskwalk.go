package geometry

import (
	"math"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// walker is a curve to hop along; at runs from 0 to end.
type walker interface {
	place(at float64) r2.Point
	end() float64
	box() r2box
	// exit returns where the curve, inside the capsule of the radius about ab at the given place, leaves it;
	// a place not beyond the first such, but ahead.
	exit(at float64, a, b r2.Point, radius float64) float64
	// ahead returns the next place, from one that is no centre, that may be one; at least a quarter of the slack on, since
	// so near the border that keeps it out nothing reaches the level.
	ahead(s *diskSearch, at float64) float64
}

// straight is a segment measured by length, m.
type straight struct {
	from, to, u r2.Point
	length      float64
}

func newStraight(a, b r2.Point) *straight {
	d := b.Sub(a)
	return &straight{from: a, to: b, u: d.Normalize(), length: d.Norm()}
}

func (w *straight) place(at float64) r2.Point { return predicate.Move(w.from, w.u, at) }
func (w *straight) end() float64              { return w.length }
func (w *straight) box() r2box                { return emptyBox.add(w.from).add(w.to) }

func (w *straight) ahead(s *diskSearch, at float64) float64 {
	p := w.place(at)
	edge, t := s.keeper(p).firstHit(p, w.to, -1)
	if edge < 0 {
		return math.Inf(1)
	}
	return at + max(float64(t*(w.length-at)), s.slack/4)
}

// exit: a capsule is convex, so the line leaves it once: at the last of the ends of its three parts.
func (w *straight) exit(at float64, a, b r2.Point, radius float64) float64 {
	out := at
	for _, q := range [2]r2.Point{a, b} {
		v := q.Sub(w.from)
		if half2 := square(radius) - square(predicate.Cross(w.u, v)); half2 > 0 {
			out = max(out, predicate.Dot(w.u, v)+math.Sqrt(half2))
		}
	}
	e := b.Sub(a)
	length := e.Norm()
	e = e.Mul(1 / length)
	v := w.from.Sub(a)
	lo, hi := math.Inf(-1), math.Inf(1)
	lo, hi = clip(lo, hi, predicate.Dot(e, v), predicate.Dot(e, w.u), 0, length)
	lo, hi = clip(lo, hi, predicate.Cross(e, v), predicate.Cross(e, w.u), -radius, radius)
	if lo <= hi {
		out = max(out, hi)
	}
	return math.Nextafter(out, math.Inf(1))
}

// clip narrows lo..hi to where c + m x lies in from..to.
func clip(lo, hi, c, m, from, to float64) (float64, float64) {
	if m == 0 {
		if c < from || c > to {
			return 1, 0
		}
		return lo, hi
	}
	p, q := (from-c)/m, (to-c)/m
	return max(lo, min(p, q)), min(hi, max(p, q))
}

// walls keep a climb on the segment: two for the line, two for its ends.
func (w *straight) walls() []plane {
	n := w.u.Ortho()
	across, along := predicate.Dot(n, w.from), predicate.Dot(w.u, w.from)
	return []plane{
		{n.X, n.Y, 0, -across}, {-n.X, -n.Y, 0, across},
		{w.u.X, w.u.Y, 0, -along}, {-w.u.X, -w.u.Y, 0, along + w.length},
	}
}

// arc is part of a circle, measured by the angle turned counter-clockwise, rad.
type arc struct {
	centre       r2.Point
	radius, from float64
	turn         float64
}

func (w *arc) place(at float64) r2.Point {
	sin, cos := math.Sincos(w.from + at)
	return predicate.Move(w.centre, r2.Point{X: cos, Y: sin}, w.radius)
}

func (w *arc) end() float64 { return w.turn }

func (w *arc) box() r2box {
	d := r2.Point{X: w.radius, Y: w.radius}
	return emptyBox.add(w.centre.Sub(d)).add(w.centre.Add(d))
}

func (w *arc) ahead(s *diskSearch, at float64) float64 {
	p := w.place(at)
	_, dist := s.keeper(p).nearest(p)
	return at + float64(2*math.Asin(min(1, max(dist, s.slack/4)/(2*w.radius))))
}

// exit: the curve stays in the capsule at least as long as in the disc about the capsule's nearest point, about an
// end of it, or in its straight part.
func (w *arc) exit(at float64, a, b r2.Point, radius float64) float64 {
	p := w.place(at)
	q := nearestOnSegment(a, b, p)
	out := at
	for _, o := range [3]r2.Point{q, a, b} {
		if p.Sub(o).Norm() < radius {
			out = max(out, w.leavesDisc(at, o, radius))
		}
	}
	if q != a && q != b {
		out = max(out, w.leavesStrip(at, a, b, radius))
	}
	return math.Nextafter(out, math.Inf(1))
}

// leavesDisc returns where the arc, inside the disc about o, leaves it.
func (w *arc) leavesDisc(at float64, o r2.Point, radius float64) float64 {
	v := o.Sub(w.centre)
	d := v.Norm()
	// Law of cosines: the angle between the directions of o and of the crossing.
	c := (square(d) + square(w.radius) - square(radius)) / (2 * d * w.radius)
	if !(c > -1) {
		return w.turn + 1 // the whole circle is inside
	}
	off := math.Remainder(w.from+at-math.Atan2(v.Y, v.X), 2*math.Pi)
	return at + math.Acos(min(c, 1)) - off
}

// leavesStrip returns where the arc, inside the straight part of the capsule, first meets one of its four sides.
func (w *arc) leavesStrip(at float64, a, b r2.Point, radius float64) float64 {
	e := b.Sub(a)
	length := e.Norm()
	e = e.Mul(1 / length)
	v := w.centre.Sub(a)
	along, across := predicate.Dot(e, v), predicate.Cross(e, v)
	axis := math.Atan2(e.Y, e.X)
	gap := 2 * math.Pi
	meet := func(angle float64) { // an angle counted from the axis
		if g := math.Mod(axis+angle-w.from-at, 2*math.Pi); g < 0 {
			gap = min(gap, g+2*math.Pi)
		} else {
			gap = min(gap, g)
		}
	}
	for _, side := range [2]float64{-along, length - along} {
		if c := side / w.radius; c >= -1 && c <= 1 {
			meet(math.Acos(c))
			meet(-math.Acos(c))
		}
	}
	for _, side := range [2]float64{-radius - across, radius - across} {
		if c := side / w.radius; c >= -1 && c <= 1 {
			meet(math.Asin(c))
			meet(math.Pi - math.Asin(c))
		}
	}
	return at + gap
}

func square(x float64) float64 { return float64(x * x) }
