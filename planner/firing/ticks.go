package firing

import "math"

// ticks is the timetable in whole ticks of the controller. The pause from each group to the next is rounded up by
// itself, so that none is shorter than in microseconds; what that adds is in the cycle.
type ticks struct {
	tick  float64 // us
	at    []int64 // of each group
	cycle int64
}

func (w *work) ticks() ticks {
	t := ticks{tick: float64(w.sc.Controller.Tick.Nanoseconds()) / 1e3}
	if t.tick <= 0 {
		t.tick = 1
	}
	starts := append(w.starts(), w.t.CycleUs)
	for g := range len(starts) - 1 {
		t.at = append(t.at, t.cycle)
		t.cycle += t.ceil(starts[g+1] - starts[g])
	}
	return t
}

// slack keeps a time that is a whole number of ticks from being rounded to the next by the division.
const slack = 1e-9

func (t ticks) ceil(us int64) int64  { return int64(math.Ceil(float64(us)/t.tick - slack)) }
func (t ticks) floor(us int64) int64 { return int64(math.Floor(float64(us)/t.tick + slack)) }

// realisedUs is how long the cycle lasts in whole ticks.
func (t ticks) realisedUs() float64 { return float64(t.cycle) * t.tick }
