package delays

import (
	"fmt"
	"math"
)

// Terms are what the readings are taken under. Times are whole microseconds.
type Terms struct {
	CycleUs   int64   // from a job's firing to its next, without delays, at the longest
	FiringUs  int64   // each firing may be off by so much, either way
	ReadingUs int64   // each reading may be off by so much, either way
	Drift     float64 // u: how much later or sooner an echo may come for every unit of time between two firings
	LateUs    int64   // a firing may be so much longer in coming than a cycle after the one before, besides its jitter
	StepUs    int64   // delays and threshold are whole multiples of this; 0 means 1
}

// mostUs keeps all sums far within 64 bits, and is longer than any delay that makes sense.
const mostUs = 100_000_000

// Cannot is why no delays keep the inequalities.
type Cannot struct{ Why string }

func (c *Cannot) Error() string { return c.Why }

func (t Terms) step() int64 { return max(1, t.StepUs) }

// jitterUs is J: four instants of firing and two of reading count in the difference of two readings.
func (t Terms) jitterUs() int64 { return 4*t.FiringUs + 2*t.ReadingUs }

// ChangeUs is a: the greatest change of a true echo from one reading to the next, if the greatest delay is so much. Between the
// two lie the cycle, the delay and the jitter of both firings.
func (t Terms) ChangeUs(delayUs int64) int64 {
	return int64(math.Ceil(t.Drift*float64(t.CycleUs+delayUs+2*t.FiringUs+t.LateUs))) + t.jitterUs()
}

// ThresholdUs is the least threshold that lets a true echo pass.
func (t Terms) ThresholdUs(delayUs int64) int64 {
	step := t.step()
	return (t.ChangeUs(delayUs) + step - 1) / step * step
}

// Alternating is a set of delays for every second cycle.
type Alternating struct {
	ThresholdUs int64
	ShiftUs     int64   // delays, and their sums, differ by more than this
	DelaysUs    []int64 // of each class, rising
}

// MostUs is the greatest of the delays.
func (a Alternating) MostUs() int64 { return a.DelaysUs[len(a.DelaysUs)-1] }

// Choose returns the least delays of so many classes, classes >= 1. If there are none the error is a *Cannot.
//
// The threshold decides the delays and these the threshold: beginning with no delay, each round gives the least that the one before
// asks for, so the first that asks for no more is the least of all.
func Choose(t Terms, classes int) (Alternating, error) {
	if share := t.Drift * float64(2*classes-1); share >= 1 {
		return Alternating{}, &Cannot{fmt.Sprintf("an echo may move by %.4g %% of the time between two readings, and of %d different delays the greatest is %d times half of what a foreign sound must shift: they outrun each other, as %.4g %% x %d is no less than 100 %%",
			100*t.Drift, classes, 2*classes-1, 100*t.Drift, 2*classes-1)}
	}
	step, most := t.step(), int64(0)
	for {
		a := Alternating{ThresholdUs: t.ThresholdUs(most)}
		a.ShiftUs = a.ThresholdUs + t.ChangeUs(most)
		first := (a.ShiftUs/2/step + 1) * step // twice this is more than the shift
		for k := range int64(classes) {
			a.DelaysUs = append(a.DelaysUs, (2*k+1)*first)
		}
		if a.MostUs() == most {
			return a, nil
		}
		if most = a.MostUs(); most > mostUs {
			return Alternating{}, &Cannot{fmt.Sprintf("%d different delays would have to reach beyond %d s", classes, mostUs/1_000_000)}
		}
	}
}
