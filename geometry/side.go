package geometry

import (
	"fmt"
	"math"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// Side names one of the four sides of an outline.
type Side int

// The sides, counter-clockwise from the front.
const (
	Front Side = iota // +x
	Left              // +y
	Rear              // −x
	Right             // −y
)

func (s Side) String() string {
	return [...]string{"front", "left", "rear", "right"}[s&3]
}

// axes returns the outward direction of the side and the direction offsets along it are counted in: to the
// left (+y) on front and rear, forward (+x) on left and right.
func (s Side) axes() (out, along r2.Point) {
	switch s & 3 {
	case Front:
		return r2.Point{X: 1}, r2.Point{Y: 1}
	case Left:
		return r2.Point{Y: 1}, r2.Point{X: 1}
	case Rear:
		return r2.Point{X: -1}, r2.Point{Y: 1}
	}
	return r2.Point{Y: -1}, r2.Point{X: 1}
}

// sideTie decides edges that face exactly between two sides: they belong to front or rear.
const sideTie = 1e-9 // rad

// faces reports whether an edge's outward normal (rad) is nearest to the direction of the side.
func (s Side) faces(normal float64) bool {
	out, _ := s.axes()
	limit := math.Pi/4 + sideTie
	if s == Left || s == Right {
		limit = math.Pi/4 - sideTie
	}
	return turnTo(normal, math.Atan2(out.Y, out.X)) <= limit
}

// OnSide returns the arc length, in (−length/2, length/2], of the point of a side at an offset: the y of a
// point on front or rear, the x of a point on left or right (frame of the outline, m). A side is made of the
// edges whose outward normal is nearest its direction; where an outline has several at one offset, the
// outermost is meant. It is an error if the side does not reach so far.
func (o *Outline) OnSide(side Side, offset float64) (s float64, err error) {
	out, along := side.axes()
	best, found := math.Inf(-1), false
	least, most := math.Inf(1), math.Inf(-1)
	for i, a := range o.ring {
		if !side.faces(o.facing(i)) {
			continue
		}
		b := o.ring[next(o.ring, i)]
		from, to := predicate.Dot(a, along), predicate.Dot(b, along)
		least, most = min(least, from, to), max(most, from, to)
		if offset < min(from, to) || offset > max(from, to) {
			continue
		}
		t := (offset - from) / (to - from)
		reach := predicate.Dot(a, out) + float64(t*(predicate.Dot(b, out)-predicate.Dot(a, out)))
		if reach > best {
			best, found = reach, true
			s = o.start[i] + float64(t*(o.start[i+1]-o.start[i]))
		}
	}
	if !found {
		return 0, offSideError(side, offset, least, most)
	}
	return o.centred(s), nil
}

func offSideError(side Side, offset, least, most float64) error {
	if least > most {
		return fmt.Errorf("the outline has no %v side", side)
	}
	return fmt.Errorf("the %v side reaches from %.6g to %.6g m, not to %.6g m", side, least, most, offset)
}

// centred brings an arc length into (−length/2, length/2].
func (o *Outline) centred(s float64) float64 {
	if s > o.Length()/2 {
		return s - o.Length()
	}
	return s
}

// facing is the normal of the chord of edge i, rad.
func (o *Outline) facing(i int) float64 {
	u := o.ring[next(o.ring, i)].Sub(o.ring[i])
	return math.Atan2(-u.X, u.Y)
}

// Side returns the counter-clockwise arc span from one end of a side to the other, from <= to, with from in
// (−length/2, length/2]; notches between the ends are part of it. Both are zero where the outline has no such side.
func (o *Outline) Side(side Side) (from, to float64) {
	_, along := side.axes()
	least, most := math.Inf(1), math.Inf(-1)
	var low, high float64 // arc lengths of the ends
	for i, a := range o.ring {
		if !side.faces(o.facing(i)) {
			continue
		}
		b := o.ring[next(o.ring, i)]
		for k, p := range [2]r2.Point{a, b} {
			at := predicate.Dot(p, along)
			if at < least {
				least, low = at, o.start[i+k]
			}
			if at > most {
				most, high = at, o.start[i+k]
			}
		}
	}
	if least > most {
		return 0, 0
	}
	from, to = low, high
	if side == Left || side == Rear { // counter-clockwise runs against the offset there
		from, to = high, low
	}
	from = o.centred(from)
	for to < from {
		to += o.Length()
	}
	for to > from+o.Length() {
		to -= o.Length()
	}
	return from, to
}

// Anchor returns the arc length of the middle of a side: the point at offset zero where the side has one,
// else half-way along its span.
func (o *Outline) Anchor(side Side) float64 {
	if s, err := o.OnSide(side, 0); err == nil {
		return s
	}
	from, to := o.Side(side)
	return o.centred(from + (to-from)/2)
}
