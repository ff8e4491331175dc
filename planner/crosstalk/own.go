package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// own is what a listener hears of the same reflector by itself: the length of its own path, where it is heard for certain.
type own struct {
	heard bool
	path  float64 // m
}

// same reports whether the own echo is there no later than a foreign one of that length.
func (o own) same(foreign float64) bool { return o.heard && o.path <= foreign+roundingM }

// certain is a sensor's own echo at its surest: low supply, most absorption.
type certain struct {
	gainDB float64 // after 1 m of path by a mirror, on axis, over its highest threshold
	alpha  float64 // dB/m
	// pattern is a one-way pattern that is never below the truth's least, as voice.pattern takes its directions.
	pattern func(side, up float64) float64
}

// ownMirror is the own echo of a mirror square to n, s before v.
func (v *voice) ownMirror(n r2.Point, s float64) own {
	if v.sure == nil || s <= 0 {
		return own{}
	}
	d := v.turned(n)
	toward, up := d.X*v.cos, -d.X*v.sin
	if toward <= 0 {
		return own{}
	}
	level := v.sure.gainDB + 2*v.sure.pattern(math.Abs(d.Y), math.Abs(up)) - 20*math.Log10(2*s) - v.sure.alpha*2*s
	return own{level >= 0, 2 * s}
}

// certainly reports whether v hears for certain every wall square to a direction of f, s before it or nearer.
func (v *voice) certainly(f fan, s float64) bool {
	if v.sure == nil || s <= 0 || dot(f.n1, v.ahead)*v.cos <= 0 || dot(f.n2, v.ahead)*v.cos <= 0 {
		return false
	}
	side := max(math.Abs(cross(v.ahead, f.n1)), math.Abs(cross(v.ahead, f.n2)))
	up := math.Abs(v.sin) // at the most, for a level direction
	return v.sure.gainDB+2*v.sure.pattern(side, up)-20*math.Log10(2*s)-v.sure.alpha*2*s >= 0
}
