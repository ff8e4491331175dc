package coverage

import (
	"math"

	"github.com/golang/geo/r2"
)

// touching is how near a disc's rim may be to an edge to touch it, m: above the exactness of the disc and
// the grid of the arrangement.
const touching = 1e-6

// opposite is the cosine of the angle from which two places of a disc's rim are on opposite sides of it, 150
// degrees seen from the middle: a disc held so cannot grow, whatever else it touches.
var opposite = math.Cos(150 * math.Pi / 180)

// heldByZone reports whether a disc touches the borders of a zone on opposite sides, at least one of them a
// border of the zone as asked for, the other that or the machine. Then the zone and not what is seen makes the
// disc's width: the thing hidden may be wider.
func heldByZone(asked, left [][]r2.Point, d disc) bool {
	own := contacts(asked, d)
	for _, a := range own {
		for _, b := range append(contacts(left, d), own...) {
			if a.Dot(b) <= opposite {
				return true
			}
		}
	}
	return false
}

// contacts are the unit vectors from a disc's middle to where its rim touches the edges of rings.
func contacts(rings [][]r2.Point, d disc) (to []r2.Point) {
	for _, r := range rings {
		for i, a := range r {
			v := nearestOfEdge(a, r[(i+1)%len(r)], d.centre).Sub(d.centre)
			if n := v.Norm(); n > 0 && math.Abs(n-d.radius) <= touching {
				to = append(to, v.Mul(1/n))
			}
		}
	}
	return to
}
