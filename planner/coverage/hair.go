package coverage

import (
	"math"

	"github.com/golang/geo/r2"

	"echowright/geometry/region"
)

// hair is the width in metres of a strip that is no more than rounding. Where two lobes of one sensor
// share an edge that was reckoned twice, such a strip may hang on a piece as a long thread, or cut
// another in two.
const hair = 1e-7

// shave takes the threads off a piece: what is left of it, and the threads.
func shave(s region.Set) (body, threads region.Set) {
	var rings [][]r2.Point
	changed := false
	for _, r := range s.Rings() {
		short := unspiked(r)
		changed = changed || len(short) < len(r)
		rings = append(rings, short)
	}
	if !changed {
		return s, region.Set{}
	}
	body = region.FromRings(rings...)
	return body, region.Difference(s, body)
}

// unspiked drops the corners at which a ring runs out and back along itself:
//
//	───a───────────b        c lies within a hair of the side ab (or a of bc): b goes,
//	───c───────────┘        and then a and c may make the next such corner
func unspiked(r []r2.Point) []r2.Point {
	out := append([]r2.Point(nil), r...)
	for {
		n := len(out)
		out = unspikedOnce(out)
		if len(out) == n || n < 3 {
			return out
		}
		// A spike may hang on the first point: begin elsewhere next time.
		out = append(out[len(out)/2:], out[:len(out)/2]...)
	}
}

func unspikedOnce(r []r2.Point) []r2.Point {
	var out []r2.Point
	for _, p := range r {
		out = append(out, p)
		for n := len(out); n >= 3 && isSpike(out[n-3], out[n-2], out[n-1]); n = len(out) {
			out = append(out[:n-2], out[n-1])
		}
	}
	return out
}

func isSpike(a, b, c r2.Point) bool {
	u, v := a.Sub(b), c.Sub(b)
	if u.Dot(v) <= 0 {
		return false
	}
	// The shorter side's end is this far beside the longer side.
	return math.Abs(float64(u.X*v.Y)-float64(u.Y*v.X)) < hair*math.Max(u.Norm(), v.Norm())
}
