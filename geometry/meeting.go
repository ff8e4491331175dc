package geometry

import (
	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// meetingPoint returns a point shared by the segments ab and cd, which are known to meet.
func meetingPoint(a, b, c, d r2.Point) r2.Point {
	for _, p := range [2]r2.Point{c, d} {
		if predicate.OnSegment(a, b, p) {
			return p
		}
	}
	for _, p := range [2]r2.Point{a, b} {
		if predicate.OnSegment(c, d, p) {
			return p
		}
	}
	u, v := b.Sub(a), d.Sub(c)
	det := predicate.Cross(u, v)
	if det == 0 {
		return a
	}
	t := max(0, min(predicate.Cross(c.Sub(a), v)/det, 1))
	return predicate.Move(a, u, t)
}
