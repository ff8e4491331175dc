package geometry

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Outline is the closed border of a body measured by arc length: zero where the x axis leaves it (the
// farthest point forward at which it meets y = 0), counter-clockwise positive, negative to the right, so
// that a mirror about the x axis is s → −s.
//
//	        left (+y)
//	     ╭────◄────╮
//	rear │    ┼──► ▲ s = 0, front (+x)
//	     ╰────►────╯
//	       right (−y)
type Outline struct {
	ring   Ring      // counter-clockwise from s = 0
	start  []float64 // arc length at each point of ring; one more entry holds the whole length
	normal []turning // outward normal along each edge
}

// turning is a direction that runs evenly from one angle to another along an edge, rad.
type turning struct{ from, to float64 }

// NewOutline measures a ring. It is an error if the ring encloses nothing, crosses or touches itself, or
// never meets the x axis; either direction of running round is accepted.
//
// Edges that look like chords of a curve flattened to within a millimetre (turns of at most 15 degrees,
// sagitta below 1 mm) have their normal turned evenly along them, so that a mount on a rounded corner faces
// as the true curve does.
func NewOutline(r Ring) (*Outline, error) {
	r = withoutRepeats(r)
	area := Area(r)
	if len(r) < 3 || area == 0 {
		return nil, fmt.Errorf("outline encloses nothing")
	}
	if at, bad := SelfCrossing(r); bad {
		return nil, fmt.Errorf("outline crosses or touches itself at (%.6g, %.6g) m", at.X, at.Y)
	}
	if area < 0 {
		r = Reverse(r)
	}
	ring, err := startOnAxis(r)
	if err != nil {
		return nil, err
	}
	o := &Outline{ring: ring, start: make([]float64, len(ring)+1)}
	for i, p := range ring {
		o.start[i+1] = o.start[i] + ring[next(ring, i)].Sub(p).Norm()
	}
	o.normal = normals(ring)
	return o, nil
}

// withoutRepeats drops points equal to the one before.
func withoutRepeats(r Ring) Ring {
	out := slices.Compact(slices.Clone(r))
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

// startOnAxis turns the ring so that it starts at the farthest point forward on y = 0, which becomes a point of it.
func startOnAxis(r Ring) (Ring, error) {
	edge, at := -1, r2.Point{X: math.Inf(-1)}
	for i, a := range r {
		b := r[next(r, i)]
		if p, ok := meetAxis(a, b); ok && p.X > at.X && p != b {
			edge, at = i, p
		}
	}
	if edge < 0 {
		return nil, fmt.Errorf("outline does not meet the x axis, so there is no place to measure from")
	}
	out := Ring{at}
	for k := 1; k <= len(r); k++ {
		out = appendNew(out, r[(edge+k)%len(r)])
	}
	if out[len(out)-1] == at {
		out = out[:len(out)-1]
	}
	return out, nil
}

// meetAxis returns the farthest point forward of edge ab on y = 0.
func meetAxis(a, b r2.Point) (r2.Point, bool) {
	switch {
	case a.Y == 0 && b.Y == 0:
		return r2.Point{X: max(a.X, b.X)}, true
	case a.Y == 0:
		return a, true
	case b.Y == 0:
		return b, true
	case (a.Y > 0) == (b.Y > 0):
		return r2.Point{}, false
	}
	if a.Y > 0 { // one order of the ends for both ways round, so that a mirror image starts at the same place
		a, b = b, a
	}
	t := a.Y / (a.Y - b.Y)
	return r2.Point{X: a.X + float64(t*(b.X-a.X))}, true
}

// A corner sharper than this, or with a sagitta above curveSagitta on both sides, is a corner by intent and
// not a flattened curve (common practice, no source).
const (
	curveTurn    = 15 * math.Pi / 180
	curveSagitta = 1e-3 // m
	flatRatio    = 3    // an edge this much longer than its neighbour is straight by intent
)

// normals returns the outward normal along each edge, turned evenly where the ring is a flattened curve.
func normals(r Ring) []turning {
	out := make([]turning, len(r))
	for i, p := range r {
		u := r[next(r, i)].Sub(p)
		a := math.Atan2(-u.X, u.Y)
		out[i] = turning{a, a}
	}
	facing := make([]float64, len(r))
	for i := range out {
		facing[i] = out[i].from
	}
	for i, p := range r {
		before, after := prev(r, i), i
		turn := math.Remainder(facing[after]-facing[before], 2*math.Pi)
		share, soft := curveShare(p.Sub(r[before]).Norm(), r[next(r, i)].Sub(p).Norm(), turn)
		if soft {
			out[before].to = facing[before] + float64(share*turn)
			out[after].from = facing[after] - float64((1-share)*turn)
		}
	}
	return out
}

// curveShare says which share of the turn at a vertex belongs to the edge before it: chords of one circle
// turn in proportion to their lengths (to the third order), a straight run into a curve not at all.
func curveShare(before, after, turn float64) (share float64, soft bool) {
	short, long := min(before, after), max(before, after)
	if math.Abs(turn) > curveTurn || short*math.Abs(turn)/8 > curveSagitta {
		return 0, false
	}
	if long > flatRatio*short {
		if before == long {
			return 0, true
		}
		return 1, true
	}
	return before / (before + after), true
}

// Ring returns the outline counter-clockwise from arc length zero.
func (o *Outline) Ring() Ring { return slices.Clone(o.ring) }

// Length returns the length of the whole outline, m.
func (o *Outline) Length() float64 { return o.start[len(o.ring)] }

// At returns the point at arc length s (m, any whole turns added or taken off) and the outward normal there,
// counter-clockwise from +x. At a corner the normal is that of the edge that follows for s >= 0, of the edge
// before for s < 0, so that mirrored places face mirrored ways.
func (o *Outline) At(s float64) (p r2.Point, normal s1.Angle) {
	length := o.Length()
	forward := s >= 0
	s = math.Mod(s, length)
	if !forward {
		s += length
	}
	edge := o.edgeAt(s, forward)
	span := o.start[edge+1] - o.start[edge]
	t := max(0, min((s-o.start[edge])/span, 1))
	a, b := o.ring[edge], o.ring[next(o.ring, edge)]
	n := o.normal[edge]
	angle := n.from + float64(t*(n.to-n.from))
	p = r2.Point{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y))}
	return p, s1.Angle(math.Remainder(angle, 2*math.Pi))
}

// edgeAt returns the edge that holds arc length s in 0..length.
func (o *Outline) edgeAt(s float64, forward bool) int {
	edge := sort.SearchFloat64s(o.start, s) // the first point at or beyond s
	if forward && edge < len(o.ring) && o.start[edge] == s {
		return edge
	}
	return max(0, min(edge, len(o.ring))-1)
}

// ArcOf returns the arc length, in (−length/2, length/2], of the point of the outline nearest to p, and how far
// p is from it, m. Of several equally near, the first counter-clockwise from s = 0.
func (o *Outline) ArcOf(p r2.Point) (s, dist float64) {
	dist = math.Inf(1)
	for i, a := range o.ring {
		q := nearestOnSegment(a, o.ring[next(o.ring, i)], p)
		if d := p.Sub(q).Norm(); d < dist {
			s, dist = o.start[i]+q.Sub(a).Norm(), d
		}
	}
	if s > o.Length()/2 {
		s -= o.Length()
	}
	return s, dist
}

// turnTo is the angle between direction a and b, 0..π.
func turnTo(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }
