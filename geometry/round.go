package geometry

import (
	"math"

	"github.com/golang/geo/r2"
)

// maxQuarterSteps bounds the chords of a quarter turn, whatever error is asked for.
const maxQuarterSteps = 1 << 14

// quarterSteps returns how many chords a quarter turn of the radius needs so that none stands off the arc by
// more than err (its sagitta r (1 − cos(step/2))), at least two.
func quarterSteps(radius, err float64) int {
	if err >= radius*(1-math.Sqrt2/2) || radius <= 0 {
		return 2
	}
	step := 4 * math.Asin(math.Sqrt(max(err, 0)/(2*radius)))
	n := math.Ceil(math.Pi / 2 / step)
	return int(max(2, min(n, maxQuarterSteps)))
}

// quarter returns the directions from +x to +y in n steps, both ends included. The second half mirrors the
// first, so that shapes built of it are symmetric to the last bit.
func quarter(n int) []r2.Point {
	dirs := make([]r2.Point, n+1)
	dirs[0], dirs[n] = r2.Point{X: 1}, r2.Point{Y: 1}
	for i := 1; 2*i <= n; i++ {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / float64(n))
		if 2*i == n {
			sin, cos = math.Sqrt2/2, math.Sqrt2/2
		}
		dirs[i] = r2.Point{X: cos, Y: sin}
		dirs[n-i] = r2.Point{X: sin, Y: cos}
	}
	return dirs
}

// Circle returns a counter-clockwise polygon inscribed in the circle, corners on it and sagitta <= err (m),
// starting at +x and symmetric about both axes. A radius of zero or less gives nil.
func Circle(centre r2.Point, radius, err float64) Ring {
	if !(radius > 0) {
		return nil
	}
	return RoundedRectangle(2*radius, 2*radius, radius, centre, err)
}

// RoundedRectangle returns a counter-clockwise rectangle, length along x and width along y, its corners
// rounded by inscribed arcs of the radius corner with sagitta <= err (all m); it starts at the left end of its
// front edge. A corner larger than half the shorter side is cut back to that; sizes of zero or less give nil.
//
//	╭──────────╮
//	│  centre  │ ► x
//	╰──────────╯
func RoundedRectangle(length, width, corner float64, centre r2.Point, err float64) Ring {
	if !(length > 0 && width > 0) {
		return nil
	}
	corner = max(0, min(corner, length/2, width/2))
	quarters := [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}}
	dirs := []r2.Point{{X: 1, Y: 1}}
	if corner > 0 {
		dirs = quarter(quarterSteps(corner, err))
	}
	inner := r2.Point{X: length/2 - corner, Y: width/2 - corner}
	var out Ring
	for k, q := range quarters {
		for i := range dirs {
			d := dirs[i]
			if k%2 == 1 { // the second and fourth quarter run from y to x
				d = dirs[len(dirs)-1-i]
			}
			out = appendNew(out, r2.Point{
				X: centre.X + q[0]*(inner.X+cornerReach(corner, d.X)),
				Y: centre.Y + q[1]*(inner.Y+cornerReach(corner, d.Y)),
			})
		}
	}
	if len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

func cornerReach(corner, share float64) float64 { return float64(corner * share) }

// appendNew appends p unless the ring already ends there.
func appendNew(r Ring, p r2.Point) Ring {
	if len(r) > 0 && r[len(r)-1] == p {
		return r
	}
	return append(r, p)
}
