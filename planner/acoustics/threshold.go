package acoustics

import (
	"math"

	"echowright/planner/scene"
)

// thresholdAt is how far the threshold is raised at t seconds after the trigger: linear between points,
// flat outside; none means 0.
func thresholdAt(p []scene.ThresholdPoint, t float64) float64 {
	if len(p) == 0 {
		return 0
	}
	for i, q := range p {
		at := seconds(q.At)
		if t > at {
			continue
		}
		if i == 0 {
			return q.DB
		}
		was := p[i-1]
		u := (t - seconds(was.At)) / (at - seconds(was.At))
		return was.DB + u*(q.DB-was.DB)
	}
	return p[len(p)-1].DB
}

// thresholdSpan is the least and most rise between two times: at their ends or at a point between.
func thresholdSpan(p []scene.ThresholdPoint, from, until float64) (least, most float64) {
	a, b := thresholdAt(p, from), thresholdAt(p, until)
	least, most = math.Min(a, b), math.Max(a, b)
	for _, q := range p {
		if t := seconds(q.At); t > from && t < until {
			least, most = math.Min(least, q.DB), math.Max(most, q.DB)
		}
	}
	return least, most
}

// rise is the threshold's rise for an echo of half path d at an end: over all times that echo may arrive,
// the most for Certain, the least for Strongest.
func (m *Model) rise(d float64, end End) float64 {
	if len(m.kind.Threshold) == 0 {
		return 0
	}
	least, most := m.riseOver(d, d)
	if end == Strongest {
		return least
	}
	return most
}

// riseOver is the least and most rise over echoes of half path d1 to d2.
func (m *Model) riseOver(d1, d2 float64) (least, most float64) {
	if len(m.kind.Threshold) == 0 {
		return 0, 0
	}
	t := m.kind.Timing.TriggerToBurst
	return thresholdSpan(m.kind.Threshold, seconds(t.Lo)+2*d1/m.fast.Value, seconds(t.Hi)+2*d2/m.slow.Value)
}

// LowestRiseDB is the lowest the threshold ever stands against what the gain is taken at: sound of another
// sensor may arrive at any time after the listener's own trigger, so it meets the threshold flat there.
func (m *Model) LowestRiseDB() float64 {
	least := math.Inf(1)
	for _, p := range m.kind.Threshold {
		least = math.Min(least, p.DB)
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
