package crosstalk

import (
	"context"
	"math"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r3"
	"github.com/golang/geo/s1"
)

// Arcs returns every way any sensor of sc can disturb any other, or itself with its late sound, ordered by From, To and
// way. ears[i] belongs to sc.Sensors[i]; slow and fast bound the speed of sound, m/s. The only error is that of ctx, which has
// ended before all pairs were looked at.
func Arcs(ctx context.Context, sc *scene.Scene, ears []*acoustics.Ear, slow, fast float64) ([]Arc, error) {
	return new(Memory).Arcs(ctx, sc, ears, slow, fast)
}

func arrayOf(sc *scene.Scene, ears []*acoustics.Ear, slow, fast float64) *array {
	n := len(ears)
	a := &array{
		sc: sc, slow: slow, fast: fast,
		hull:   newHull(geometry.ConvexHull(sc.Body.Outline)),
		voices: make([]voice, n),
		alpha:  make([]float64, n),
	}
	patterns := map[int]func(side, up float64) float64{} // by kind
	sures := map[int]*certain{}
	for i, e := range ears {
		k := sc.Sensors[i].Kind
		level := e.Model().Mount(scene.Sensor{}, scene.GroundNone) // so that what a kind hears depends on no mount
		if patterns[k] == nil {
			patterns[k] = strongest(level)
		}
		a.voices[i] = newVoice(sc.Sensors[i], patterns[k])
		if sures[k] == nil && e.Model().BeamShape() != "table" { // a table knows no bound between its points
			sures[k] = surest(level)
		}
		a.voices[i].sure = sures[k]
		a.alpha[i] = e.Model().Absorption().Lo
	}
	gains := make([]float64, n*n)
	for i := range ears {
		for j := range ears {
			gains[i*n+j] = acoustics.CrossGainDB(ears[i], ears[j]) - acoustics.BandRejectionDB(ears[i].Model(), ears[j].Model())
		}
	}
	a.gainDB = func(i, j int) float64 { return gains[i*n+j] }
	return a
}

// steps is how many steps a piston's pattern is cut into, over the square of the sine: each falls by a few hundredths of a
// decibel at the most, and each is as loud as its loud end, so nothing is lost.
const steps = 4096

// strongest returns an ear's strongest pattern in the form searches need: quick, and never rising as either component
// grows. A measured table is taken by its envelope over the angle from the axis. A piston's pattern depends on
// (across side)² + (upright up)² with its semi-axes, so one cut through it along the longer of them holds it all.
func strongest(e *acoustics.Ear) func(side, up float64) float64 {
	m := e.Model()
	across, upright := m.SemiAxes()
	level := func(sine float64) float64 { return e.EnvelopeDB(s1.Angle(math.Asin(sine))) }
	if m.BeamShape() == "table" {
		across, upright = 1, 1
	} else {
		cut := cutThrough(e, across >= upright)
		level = func(sine float64) float64 { return e.OneWayDB(cut(sine), acoustics.Strongest) }
	}
	longer := max(across, upright)
	side2, up2 := across*across/(longer*longer), upright*upright/(longer*longer)
	table := make([]float64, steps+1)
	for i := range table {
		table[i] = level(math.Sqrt(float64(i) / steps))
	}
	return func(side, up float64) float64 {
		// A hair less, so that rounding decides nothing at the round figures that right angles make.
		return table[min(steps, int(max(0, (side2*side*side+up2*up*up)*steps-1e-6)))]
	}
}

// surest is an ear's own hearing at its surest, with a one-way pattern that is never above the certain one: the least of it over
// all directions nearer the axis, by the angle from it.
func surest(e *acoustics.Ear) *certain {
	m := e.Model()
	rise := 0.0
	for _, p := range m.Kind().Threshold {
		rise = max(rise, p.DB)
	}
	across, upright := cutThrough(e, true), cutThrough(e, false)
	table := make([]float64, steps+1)
	least := 0.0
	for i := range table {
		sine := math.Sqrt(float64(i) / steps)
		least = min(least, e.OneWayDB(across(sine), acoustics.Certain), e.OneWayDB(upright(sine), acoustics.Certain))
		table[i] = least
	}
	return &certain{
		gainDB: m.GainAt(acoustics.Certain) - rise,
		alpha:  m.Absorption().Hi,
		pattern: func(side, up float64) float64 {
			return table[min(steps, int(math.Ceil((side*side+up*up)*steps)))]
		},
	}
}

// cutThrough returns the directions in front of an ear to the side of its axis, or up from it, by their sine.
func cutThrough(e *acoustics.Ear, side bool) func(sine float64) r3.Vector {
	axis := e.Axis()
	sin, cos := math.Sincos(float64(e.Sensor().Heading))
	off := r3.Vector{X: -sin, Y: cos}
	if !side {
		off = axis.Cross(off)
	}
	return func(sine float64) r3.Vector {
		// In the mounting plane itself the front is meant, not the floor behind it.
		front := math.Sqrt(max(grazing, 1-sine*sine))
		return axis.Mul(front).Add(off.Mul(sine))
	}
}

// grazing is the square of the least component along the axis that counts as in front.
const grazing = 1e-18
