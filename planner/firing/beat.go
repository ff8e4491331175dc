package firing

import (
	"fmt"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// beat says how the firings of a module of its own period drift through the cycle: with a period P and a cycle T they move by the
// distance of T to the nearest multiple of P each cycle, and are back where they were after P divided by that many cycles.
func (w *work) beat(period scene.TimeSpan) string {
	cycle := int64(w.ticks().realisedUs())
	lo, hi := period.Lo.Microseconds(), period.Hi.Microseconds()
	if cycle <= 0 || lo <= 0 || w.read != nil {
		return ""
	}
	against := "; against the cycle of " + plan.Milliseconds(cycle)
	// Some period of the span fits into the cycle a whole number of times.
	if fits := cycle / lo; fits > 0 && cycle <= fits*hi {
		return fmt.Sprintf("%s it may keep step (%d x %s): it then meets the same windows in every cycle, or for long none", against, fits, plan.Milliseconds(cycle/fits))
	}
	slipOf := func(p int64) int64 { return min(cycle%p, p-cycle%p) }
	// Between the multiples the slip is greatest where the cycle is a half more than one, and falls to either side of that.
	a, b := slipOf(lo), slipOf(hi)
	least, most := min(a, b), max(a, b)
	if n := cycle / hi; (2*n+1)*lo <= 2*cycle && 2*cycle <= (2*n+1)*hi {
		most = 2 * cycle / (2*n + 1) / 2
	}
	soonest, latest := plan.Duration(cycle*(lo/most)), plan.Duration(cycle*(hi/least+1))
	return fmt.Sprintf("%s it slips by %s to %s each cycle and is back at the same windows after %s to %s", against, plan.Milliseconds(least), plan.Milliseconds(most), soonest, latest)
}
