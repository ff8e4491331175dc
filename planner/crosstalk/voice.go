package crosstalk

import (
	"math"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// BendLossDB is what sound is taken to lose at each end where it does not leave, or does not arrive, in the half space
// in front of the sensor's mounting plane and so must bend round the body. Common practice, no source: a middle estimate,
// as an edge takes 6 dB at the border of its shadow and 20 dB and more deep in it.
const BendLossDB = 15

// flush is the sine of the slack, one degree, a direction may have behind the mounting plane before it counts as bent:
// sensors side by side on one straight edge look along it, not through it.
const flush = 0.017452406437283512

// inPlane is the sine within which a direction counts as in the mounting plane, which is in front: far above rounding, which
// may decide nothing about sensors side by side.
const inPlane = 1e-9

// voice is one mounted sensor as other sensors hear it or it hears them; the pattern serves both ways.
type voice struct {
	at       r2.Point
	height   float64 // m
	ahead    r2.Point
	cos, sin float64 // of the tilt
	// pattern is the strongest one-way pattern, dB, in the direction in front that has these components to the side and up,
	// seen along the acoustic axis; it falls, or stays, as either grows.
	pattern func(side, up float64) float64
	sure    *certain // nil where nothing is
	// edge is its greatest value in the mounting plane, taken for everything behind that plane.
	edge float64
}

func newVoice(s scene.Sensor, pattern func(side, up float64) float64) voice {
	sin, cos := math.Sincos(float64(s.Tilt))
	return voice{
		at: s.At, height: s.HeightM, ahead: unit(float64(s.Heading)), cos: cos, sin: sin,
		pattern: pattern, edge: max(pattern(1, 0), pattern(0, 1)),
	}
}

// end is what one end of a path adds to the level, at the most, over a set of directions, dB;
// straight for those that stay in front of the mounting plane, bent for those that do not. -Inf where there are none.
type end struct{ straight, bent float64 }

// cone is a set of directions in space, seen from above less than half a turn wide: from lo counter-clockwise to hi.
// In it sound climbs by as much as rise says over a level way from near to far.
type cone struct {
	lo, hi    r2.Point // need not be of unit length
	rise      span     // m
	near, far float64  // level way, m
}

// strongest bounds what v adds to the level of sound that leaves, or arrives, within c.
func (v *voice) strongest(c cone) end {
	lo, hi := v.turned(c.lo), v.turned(c.hi)
	// Straight ahead (or astern) lies within when the edges pass it on either side.
	ahead := lo.Y <= 0 && hi.Y >= 0
	astern := lo.Y >= 0 && hi.Y <= 0
	if ahead && astern { // a single direction
		ahead, astern = lo.X > 0, lo.X <= 0
	}
	across := span{min(lo.X, hi.X), max(lo.X, hi.X)} // cosine of the bearing
	side, front := min(math.Abs(lo.Y), math.Abs(hi.Y)), math.Inf(1)
	if lo.X >= 0 {
		front = math.Abs(lo.Y)
	}
	if hi.X >= 0 {
		front = min(front, math.Abs(hi.Y))
	}
	if ahead {
		across.hi, side, front = 1, 0, 0
	}
	if astern {
		across.lo, side = -1, 0
	}
	cosE, sinE := c.climb()
	toward := across.times(cosE).scale(v.cos).plus(sinE.scale(v.sin))
	up := across.times(cosE).scale(-v.sin).plus(sinE.scale(v.cos))
	if v.sin == 0 {
		side = min(1, front) // what is in front is so by its bearing alone
	}
	e := end{math.Inf(-1), math.Inf(-1)}
	if toward.hi >= -inPlane {
		e.straight = v.pattern(min(1, side*cosE.lo), up.least())
	}
	if toward.lo < -inPlane && toward.hi >= -flush {
		e.straight = max(e.straight, v.edge)
	}
	if toward.lo < -flush {
		e.bent = v.edge - BendLossDB
	}
	return e
}

// turned returns p in the frame of v's heading, at unit length.
func (v *voice) turned(p r2.Point) r2.Point {
	n := math.Sqrt(dot(p, p))
	if n == 0 {
		return r2.Point{X: 1}
	}
	return r2.Point{X: dot(v.ahead, p) / n, Y: cross(v.ahead, p) / n}
}

// climb returns the cosine and the sine of the elevations of c.
func (c cone) climb() (cos, sin span) {
	if c.rise == (span{}) {
		return span{1, 1}, span{}
	}
	sin = span{min(slope(c.rise.lo, c.near), slope(c.rise.lo, c.far)), max(slope(c.rise.hi, c.near), slope(c.rise.hi, c.far))}
	steep := max(math.Abs(sin.lo), math.Abs(sin.hi))
	cos = span{math.Sqrt(max(0, 1-steep*steep)), math.Sqrt(max(0, 1-sin.least()*sin.least()))}
	return cos, sin
}

// slope is the sine of the elevation of sound that climbs by rise over a level way.
func slope(rise, level float64) float64 {
	if rise == 0 {
		return 0
	}
	return rise / math.Sqrt(float64(rise*rise)+float64(level*level))
}

// all is what v adds at the most in any direction.
func (v *voice) all() end { return end{v.pattern(0, 0), v.edge - BendLossDB} }
