package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// ticks are the directions of which a whole turn is made where searches look at directions themselves; all boxes of
// directions begin and end on a multiple of leastTicks, their middles on an even tick.
const (
	ticks      = 8192
	quarter    = ticks / 4
	leastTicks = 4
)

// compass holds what every direction asks for, so that no search computes sines. Ticks count from a direction fixed to the
// machine, so that turning or mirroring the whole scene turns or mirrors them.
type compass struct {
	unit  [ticks]r2.Point // in the scene's frame
	trig  [ticks]r2.Point // cosine and sine of the tick itself
	reach [ticks]float64  // of the hull, m
}

func newCompass(h *hull, zero float64) *compass {
	c := new(compass)
	for k := range ticks {
		a := 2 * math.Pi * float64(k) / ticks
		c.trig[k] = unit(a)
		c.unit[k] = unit(zero + a)
		c.reach[k] = dot(c.unit[k], h.farthest(zero+a))
	}
	return c
}

func tick(k int32) int32 { return k & (ticks - 1) }

// radians of a number of ticks.
func radians(k int32) float64 { return 2 * math.Pi / ticks * float64(k) }

// round is how far the hull reaches ahead of a sensor in every direction.
type round struct {
	ahead       [ticks]float64 // m
	least, most float64        // over all of them
	far         float64        // to the farthest corner of the hull: the most ahead changes by per radian, m
}

func newRound(c *compass, h *hull, p r2.Point) *round {
	r := &round{least: math.Inf(1), most: math.Inf(-1)}
	for k := range ticks {
		r.ahead[k] = c.reach[k] - dot(c.unit[k], p)
		r.least, r.most = min(r.least, r.ahead[k]), max(r.most, r.ahead[k])
	}
	for _, q := range h.pts {
		r.far = max(r.far, q.Sub(p).Norm())
	}
	// Between two ticks it may be a little less or more.
	slack := r.far * radians(1)
	r.least, r.most = r.least-slack, r.most+slack
	return r
}

// over bounds ahead over all directions within half of tick k.
func (r *round) over(k, half int32) span {
	mid, slack := r.ahead[tick(k)], r.far*radians(half)
	return span{max(r.least, mid-slack), min(r.most, mid+slack)}
}
