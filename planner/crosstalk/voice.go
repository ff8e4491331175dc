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

// voice is one mounted sensor as other sensors hear it or it hears them; the pattern serves both ways.
type voice struct {
	at       r2.Point
	height   float64 // m
	ahead    r2.Point
	cos, sin float64 // of the tilt
	// pattern is the strongest one-way pattern, dB, in the direction in front that has these components to the side and up,
	// seen along the acoustic axis; it falls, or stays, as either grows.
	pattern func(side, up float64) float64
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
// Any vertical part has its sign from rise and lies between rise over far and rise over near.
type cone struct {
	lo, hi    r2.Point // need not be of unit length
	rise      float64  // m
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
		side = front // what is in front is so by its bearing alone
	}
	e := end{math.Inf(-1), math.Inf(-1)}
	if toward.hi >= 0 {
		e.straight = v.pattern(min(1, side*cosE.lo), up.least())
	}
	if toward.lo < 0 && toward.hi >= -flush {
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
	if c.rise == 0 {
		return span{1, 1}, span{}
	}
	rise2 := float64(c.rise * c.rise)
	steep, flat := math.Sqrt(c.near*c.near+rise2), math.Sqrt(c.far*c.far+rise2)
	a, b := c.rise/steep, c.rise/flat
	return span{c.near / steep, c.far / flat}, span{min(a, b), max(a, b)}
}

// span is a closed interval of numbers.
type span struct{ lo, hi float64 }

// times multiplies by a span of numbers not below zero.
func (s span) times(t span) span {
	return span{min(s.lo*t.lo, s.lo*t.hi), max(s.hi*t.lo, s.hi*t.hi)}
}

func (s span) scale(f float64) span {
	if f < 0 {
		return span{s.hi * f, s.lo * f}
	}
	return span{s.lo * f, s.hi * f}
}

func (s span) plus(t span) span { return span{s.lo + t.lo, s.hi + t.hi} }

// least is the least magnitude in s.
func (s span) least() float64 { return max(0, max(s.lo, -s.hi)) }
