package firing

import (
	"fmt"
	"math"

	"echowright/planner/plan"
	"echowright/scheduler/delays"
)

// Rounds, and times the cycle without delays, after which a search for a cycle that its own delays fit is given up.
const (
	mostRounds = 12
	mostLonger = 20
)

// settle finds a cycle that fits the delays it asks for: the longer it is, the more an echo may change from one reading to the next,
// the longer are the delays, and the longer is the cycle. cycleWith gives the cycle with delays made for one of us; settle returns
// once that is no longer than us. It begins with first, follows the slope between its trials, and adds ever more to spare, so that it
// ends soon; what is spared the delays have too much, by 1/2048 of the cycle in the second round, twice that in the third.
func settle(first int64, cycleWith func(us int64) (int64, error)) error {
	us, lastUs, lastGot := first, int64(0), int64(0)
	for round := range mostRounds {
		got, err := cycleWith(us)
		if err != nil || got <= us {
			return err
		}
		next := got
		if slope := float64(got-lastGot) / float64(us-lastUs); round > 0 && slope > 0 && slope < 0.98 {
			next = max(got, us+int64(math.Ceil(float64(got-us)/(1-slope))))
		}
		lastUs, lastGot = us, got
		if us == mostLonger*first {
			break
		}
		us = min(mostLonger*first, next+next>>max(2, 12-round))
	}
	return &delays.Cannot{Why: fmt.Sprintf("the cycle grows with the delays and these with the cycle, as things move the farther between two readings: at %s they still do not fit each other, without delays it is %s", plan.Milliseconds(lastUs), plan.Milliseconds(first))}
}
