package plan

import (
	"fmt"
	"math"
)

// Place says where a point is as a builder would measure it with a rule: from the nearest end of the body
// or from its nearest side, and from the middle line across.
func (b Body) Place(at [2]float64) string {
	lo, hi := b.box()
	front, rear := at[0]-hi[0], lo[0]-at[0]
	switch {
	case front > 0:
		return Metres(front) + " ahead of the front, " + across(at)
	case rear > 0:
		return Metres(rear) + " behind the rear, " + across(at)
	case len(b.Outline) < 3:
		return Metres(at[0]) + " forward, " + across(at)
	}
	off, way := b.nearest(at)
	along := Metres(-front) + " back from the front"
	if -rear < -front {
		along = Metres(-rear) + " forward of the rear"
	}
	if off < -edge {
		return "within the body's outline, " + along + ", " + across(at)
	}
	return fmt.Sprintf("%s %s, %s, %s", Metres(math.Max(0, off)), b.side(at, way), along, across(at))
}

// edge is how near, m, a point counts as on the outline: a length is printed to the millimetre.
const edge = 0.0005

// across says how far a point is from the middle line.
func across(at [2]float64) string {
	switch {
	case at[1] > 0.005:
		return Metres(at[1]) + " left of the middle"
	case at[1] < -0.005:
		return Metres(-at[1]) + " right of the middle"
	}
	return "on the middle line"
}

// side names the part of the outline a point lies off, by the way from the outline to it: within 10
// degrees of straight ahead or across it is a side, anything between is a corner.
func (b Body) side(at, way [2]float64) string {
	lo, hi := b.box()
	end, hand := "front", "left"
	if way[0] < 0 {
		end = "rear"
	}
	if way[1] < 0 {
		hand = "right"
	}
	const slant = 0.17 // sine of 10 degrees
	switch {
	case math.Abs(way[0]) < slant && (at[1] > hi[1]-edge || at[1] < lo[1]+edge):
		return hand + " of the body"
	case math.Abs(way[0]) < slant || math.Abs(way[1]) < slant:
		return "from its edge" // in a hollow of the outline
	}
	return "off the " + end + " " + hand + " corner"
}

func (b Body) box() (lo, hi [2]float64) {
	lo, hi = [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range b.Outline {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], p[k]), math.Max(hi[k], p[k])
		}
	}
	return lo, hi
}

// nearest is the distance of a point from the outline, below zero inside it, and the direction from
// the nearest place of the outline to the point.
func (b Body) nearest(at [2]float64) (off float64, way [2]float64) {
	off = math.Inf(1)
	inside := false
	for i, q := range b.Outline {
		p := b.Outline[(i+len(b.Outline)-1)%len(b.Outline)]
		ex, ey := q[0]-p[0], q[1]-p[1]
		dx, dy := at[0]-p[0], at[1]-p[1]
		if (p[1] > at[1]) != (q[1] > at[1]) && at[0] < p[0]+(at[1]-p[1])/ey*ex {
			inside = !inside
		}
		length := math.Hypot(ex, ey)
		if length == 0 {
			continue
		}
		u := math.Max(0, math.Min(1, (dx*ex+dy*ey)/(length*length)))
		wx, wy := dx-u*ex, dy-u*ey
		d := math.Hypot(wx, wy)
		if d >= off {
			continue
		}
		off, way = d, [2]float64{wx / d, wy / d}
		if d < 1e-9 {
			way = [2]float64{ey / length, -ex / length} // on the edge: straight out of it
		}
	}
	if inside {
		off = -off
	}
	return off, way
}
