package acoustics

import (
	"math"

	"github.com/golang/geo/r3"
)

// frame is the sensor's own frame: axis out of the face, left along it, up along it.
type frame struct{ axis, left, up r3.Vector }

// newFrame turns the world's frame by heading, then tilts it.
func newFrame(heading, tilt float64) frame {
	sh, ch := math.Sincos(heading)
	st, ct := math.Sincos(tilt)
	return frame{
		axis: r3.Vector{X: ch * ct, Y: sh * ct, Z: st},
		left: r3.Vector{X: -sh, Y: ch},
		up:   r3.Vector{X: -ch * st, Y: -sh * st, Z: ct},
	}
}

// certainOneWay is the narrowest one-way pattern over the weather, as a pressure ratio: the least of
// |2J1(x)/x| for x between the fastest and the slowest sound; v is the argument at the slowest. Between
// its nulls the function rises and falls once, so the least is at an end, or 0 when a null lies between.
func (m *Model) certainOneWay(v float64) float64 {
	low := v * m.narrow
	for _, z := range pistonNulls {
		if z > v {
			break
		}
		if z >= low {
			return 0
		}
	}
	a, b := math.Abs(pistonFast(low)), math.Abs(pistonFast(v))
	return math.Min(a, b)
}

// certainTops are the arguments at which certainOneWay is highest within each side lobe, as far as the
// aperture reaches: where its two ends are level with each other.
func (m *Model) certainTops() []float64 {
	var tops []float64
	end := m.kSlow * math.Max(m.across, m.up)
	if m.narrow > 1-1e-9 { // one state of the air: the piston's own tops
		for i := 0; i < lobesKnown && pistonNulls[i] < end; i++ {
			tops = append(tops, pistonTops[i])
		}
		return tops
	}
	for i := 0; i+1 < len(pistonNulls) && pistonNulls[i]/m.narrow < end; i++ {
		lo, hi := pistonNulls[i]/m.narrow, pistonNulls[i+1]
		if lo >= hi {
			break // the weather smears this null into the next: nothing is certain from here on
		}
		for range 60 {
			mid := (lo + hi) / 2
			if math.Abs(pistonFast(mid)) > math.Abs(pistonFast(mid*m.narrow)) {
				lo = mid
			} else {
				hi = mid
			}
		}
		tops = append(tops, (lo+hi)/2)
	}
	return tops
}

// argument is the piston's argument at the slowest sound in a unit direction given by its components
// across and up in the sensor's frame: k·sqrt((ah·l)² + (av·u)²). It scales the round piston's aperture to
// an ellipse and is not the product of two patterns.
func (m *Model) argument(l, u float64) float64 {
	return m.kSlow * math.Hypot(m.across*l, m.up*u)
}

// silent stands for −Inf dB where a finite number is needed to bracket a root.
const silent = -600.0

// decibels of a pressure ratio, never below silent.
func decibels(p float64) float64 {
	if p < 1e-30 {
		return silent
	}
	return tenthNeper * math.Log(p)
}

// grazing is how near to the mounting plane a direction counts as in it, rad: far above the rounding of a heading,
// so that rounding does not put what stands beside a sensor in front of it, and behind its mirror image. In the plane
// nothing is certain, and what disturbs is as strong as in front.
const grazing = 1e-10

// oneWay is the one-way pattern in a direction of the sensor's frame (n along the axis), dB.
func (m *Model) oneWay(l, u, n float64, end End) float64 {
	floor := m.FloorDB() / 2
	switch {
	case end == Certain && n <= grazing:
		return math.Inf(-1)
	case end == Strongest && n < -grazing:
		return floor
	}
	if m.table != nil {
		return m.table.oneWay(l, u, n, end, floor)
	}
	v := m.argument(l, u)
	if end == Certain {
		p := m.certainOneWay(v)
		if p == 0 {
			return math.Inf(-1)
		}
		return decibels(p)
	}
	return math.Max(floor, decibels(envelope(v*m.narrow)))
}

// EnvelopeDB is an upper bound on the one-way pattern, at the strongest end, in every direction at least
// that angle (radians) from the axis; it never rises with the angle and never falls below half the floor.
func (m *Model) EnvelopeDB(angle float64) float64 {
	floor := m.FloorDB() / 2
	if angle > math.Pi/2+grazing {
		return floor
	}
	if m.table != nil {
		return math.Max(floor, m.table.envelope(angle))
	}
	v := m.kFast * math.Min(m.across, m.up) * math.Sin(math.Max(0, math.Min(angle, math.Pi/2)))
	return math.Max(floor, decibels(envelope(v)))
}
