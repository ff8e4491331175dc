package firing

import (
	"fmt"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// beat says how the firings of a module of its own period drift through the cycle. Of period and cycle one goes into the other
// some whole number of times, and what is left to the nearest such number is the slip: per cycle where the period is the shorter,
// per firing where the cycle is. When the slips add up to the shorter of the two, the windows met are the same again.
func (w *work) beat(period scene.TimeSpan) string {
	cycle := int64(w.ticks().realisedUs())
	lo, hi := period.Lo.Microseconds(), period.Hi.Microseconds()
	if cycle <= 0 || lo <= 0 || hi < lo || w.read != nil {
		return ""
	}
	against := "; against the cycle of " + plan.Milliseconds(cycle)
	if step := keepsStep(lo, hi, cycle); step != "" {
		return fmt.Sprintf("%s it may keep step (%s): it then meets the same windows every time, or for long none", against, step)
	}
	each := "cycle"
	if lo > cycle {
		each = "firing"
	}
	// With no whole ratio in the span the slip grows to the half between two of them, or falls from there, and the time with it.
	a, b := slip(lo, cycle), slip(hi, cycle)
	least, most := min(a, b), max(a, b)
	again := func(p int64) int64 { return int64(float64(p) * float64(cycle) / float64(slip(p, cycle))) }
	soonest, latest := min(again(lo), again(hi)), max(again(lo), again(hi))
	if n := cycle / hi; lo <= cycle && (2*n+1)*lo <= 2*cycle && 2*cycle <= (2*n+1)*hi {
		most, soonest = cycle/(2*n+1), 2*cycle
	}
	if half := 2*(lo/cycle) + 1; lo > cycle && 2*lo <= half*cycle && half*cycle <= 2*hi {
		most, soonest = cycle/2, half*cycle
	}
	return fmt.Sprintf("%s it slips by %s to %s each %s and is back at the same windows after %s to %s",
		against, plan.Milliseconds(least), plan.Milliseconds(most), each, plan.Duration(soonest), plan.Duration(latest))
}

// beatsWith says how a module drifts through others that disturb it or that it disturbs, all of which fire by periods of their own:
// of those alike, once.
func (w *work) beatsWith(i int, others []int) (text string) {
	var drifts []string
	names := map[string][]string{}
	for _, other := range others {
		drift := w.driftPast(i, other)
		if drift == "" {
			continue
		}
		if names[drift] == nil {
			drifts = append(drifts, drift)
		}
		names[drift] = append(names[drift], w.sc.Sensors[other].Name)
	}
	for _, drift := range drifts {
		text += "; against " + join(names[drift]) + " it " + drift
	}
	return text
}

// driftPast says how the windows of two modules that fire by periods of their own pass each other. How far both are known to differ
// is the least slip, and the windows met are not the same again before it adds up to a period.
func (w *work) driftPast(i, other int) string {
	a, b := w.sc.Kinds[w.sc.Sensors[i].Kind].Timing.OwnPeriod, w.sc.Kinds[w.sc.Sensors[other].Kind].Timing.OwnPeriod
	long, short := [2]int64{a.Lo.Microseconds(), a.Hi.Microseconds()}, [2]int64{b.Lo.Microseconds(), b.Hi.Microseconds()}
	if long[0] < short[0] {
		long, short = short, long
	}
	if short[0] <= 0 || long[1] < long[0] || short[1] < short[0] {
		return ""
	}
	n := long[0] / short[1]
	if n == 0 || long[0] == n*short[1] || long[1] >= (n+1)*short[0] {
		return "may keep step, and then meets the same window every time, or for long none"
	}
	slips := min(long[0]-n*short[1], (n+1)*short[0]-long[1])
	return fmt.Sprintf("slips by %s or more each firing of the slower, and is back at the same windows within %s",
		plan.Milliseconds(slips), plan.Duration(int64(float64(long[1])*float64(short[1])/float64(slips))))
}

// keepsStep names the whole ratio of period and cycle that the span from lo to hi holds, if any.
func keepsStep(lo, hi, cycle int64) string {
	if lo <= cycle && cycle <= hi {
		return "1 firing every cycle"
	}
	if n := cycle / lo; n > 0 && cycle <= n*hi {
		return fmt.Sprintf("%d firings every cycle", n)
	}
	if n := hi / cycle; n > 0 && lo <= n*cycle {
		return fmt.Sprintf("1 firing every %d cycles", n)
	}
	return ""
}

// slip is how far the longer of two times is from the nearest multiple of the shorter.
func slip(a, b int64) int64 {
	long, short := max(a, b), min(a, b)
	return min(long%short, short-long%short)
}
