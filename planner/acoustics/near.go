package acoustics

import (
	"fmt"
	"math"

	"echowright/planner/scene"
)

// InsideReads says what the module shows for a panel at distance d, m: in words, and as a distance, NaN
// where nothing or anything may be shown. Beyond the blind distance it is d itself. "Double" means that
// a later bounce between panel and sensor is the first one heard: the least whole multiple of d that is
// not blind, such as a panel at 12 cm that reads 24.
func (m *Model) InsideReads(d float64) (text string, reads float64) {
	blind := m.kind.BlindM.X
	if d >= blind {
		return fmt.Sprintf("a panel at %s reads %s", centimetres(d), centimetres(d)), d
	}
	switch m.kind.InsideReads {
	case scene.ReadsNothing:
		return fmt.Sprintf("a panel at %s is not read at all", centimetres(d)), math.NaN()
	case scene.ReadsLeast:
		return fmt.Sprintf("a panel at %s reads the least distance, %s", centimetres(d), centimetres(blind)), blind
	case scene.ReadsDouble:
		if d > 0 {
			reads = d * math.Max(2, math.Ceil(blind/d-1e-9))
			return fmt.Sprintf("a panel at %s reads %s", centimetres(d), centimetres(reads)), reads
		}
	}
	return fmt.Sprintf("a panel at %s may read anything", centimetres(d)), math.NaN()
}

// centimetres prints a distance to two figures: what is read inside the blind distance is known no better.
func centimetres(m float64) string { return fmt.Sprintf("%.2g cm", m*100) }

// ReadingError is the distance shown over the true one, less 1, at the slowest and at the fastest sound.
// A module with a fixed speed of sound errs by its ratio to the true one; one that compensates for
// temperature is left with the error of taking the air as dry.
func (m *Model) ReadingError() [2]float64 {
	var e [2]float64
	for i, x := range [2]Extreme{m.slow, m.fast} {
		assumed := m.kind.AssumedSpeed.X
		if !(assumed > 0) {
			assumed = dryAir(x.At.TemperatureC)
		}
		e[i] = assumed/x.Value - 1
	}
	return e
}

// Reads is the distance the module shows, least and most over the weather, for a sound that went that far
// in all, m, and left as the module's own burst would have: half the path and ReadingError.
func (m *Model) Reads(path float64) (least, most float64) {
	e := m.ReadingError()
	a, b := path/2*(1+e[0]), path/2*(1+e[1])
	return math.Min(a, b), math.Max(a, b)
}
