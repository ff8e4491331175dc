package firing

import (
	"math"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/scene"
	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
)

// Problem returns the scheduler's problem, and for each of its jobs the index of its sensor: modules that fire by themselves
// cannot be told when, so they are no jobs.
//
// Arcs are rounded outward to whole microseconds. Jitter stands in the problem's own and in nothing else: the scheduler widens
// arcs, guard, rests and uses of what is shared by it, and its checker replays the timetable with it at its worst.
func Problem(sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc) (p instance.Problem, sensors []int) {
	p = instance.Problem{
		Name:     sc.Name,
		AtOnce:   sc.Controller.AtOnce,
		GuardUs:  up(sc.Wishes.Guard),
		JitterUs: up(sc.Wishes.Jitter),
		BudgetUs: sc.Wishes.Cycle.Microseconds(),
	}
	job := make([]int, len(sc.Sensors))
	for i, s := range sc.Sensors {
		job[i] = -1
		if sc.Kinds[s.Kind].Timing.By == scene.ByItself {
			continue
		}
		job[i] = len(sensors)
		sensors = append(sensors, i)
		c := clocks[i]
		p.Jobs = append(p.Jobs, instance.Job{Name: s.Name, OpenUs: c.OpenUs, CloseUs: c.CloseUs, BusyUs: c.BusyUs, RestUs: c.RestUs, EveryUs: every(sc, i)})
	}
	for _, a := range arcs {
		if job[a.From] >= 0 && job[a.To] >= 0 {
			from, until := a.SpanUs(0)
			p.Arcs = append(p.Arcs, instance.Arc{From: job[a.From], To: job[a.To], FromUs: from, UntilUs: until})
		}
	}
	shared(sc, clocks, job, &p)
	late := make([]int64, len(sensors))
	for j, i := range sensors {
		late[j] = clocks[i].DelayUs
	}
	return delays.Widen(p, late), sensors
}

// every is how soon sensor i shall fire again by a clock that may be slow, µs; 0: not asked.
func every(sc *scene.Scene, i int) int64 {
	asked := refreshUs(sc, i)
	if asked == 0 {
		return 0
	}
	jitter := 2 * up(sc.Wishes.Jitter)
	return max(1, int64(math.Floor(float64(asked-jitter)/(1+sc.Controller.ClockError)))+jitter)
}

// refreshUs is how soon sensor i shall fire again; 0: not asked.
func refreshUs(sc *scene.Scene, i int) int64 {
	if len(sc.Wishes.Refresh) == 0 {
		return 0
	}
	return down(sc.Wishes.Refresh[i])
}

func up(d time.Duration) int64   { return int64(math.Ceil(float64(d) / 1e3)) }
func down(d time.Duration) int64 { return int64(math.Floor(float64(d) / 1e3)) }

// pauseUs is what one group leaves the next after its end: the guard, and the jitter of both, since the one may end late and the
// other begin early.
func pauseUs(p instance.Problem) int64 { return p.GuardUs + 2*p.JitterUs }

// lags is the open span of times between the firings of an arc's two jobs, the listener's after the sender's, at which its
// sound meets the window, jitter at its worst.
func lags(p instance.Problem, a instance.Arc) (after, before int64) {
	to := p.Jobs[a.To]
	return a.FromUs - 2*p.JitterUs - to.CloseUs, a.UntilUs + 2*p.JitterUs - to.OpenUs
}

// harms reports whether sound of an arc can fall into its listener's window if both fire together, or, where one of
// them fires by itself and so at any time, at all. A sensor's own sound is then its own echo.
func harms(sc *scene.Scene, clocks []Clock, a crosstalk.Arc) bool {
	if a.From == a.To {
		return false
	}
	if byItself(sc, a.From) || byItself(sc, a.To) {
		return true
	}
	from, until := a.SpanUs(sc.Wishes.Jitter)
	return from < clocks[a.To].CloseUs && until > clocks[a.To].OpenUs
}

func byItself(sc *scene.Scene, i int) bool {
	return sc.Kinds[sc.Sensors[i].Kind].Timing.By == scene.ByItself
}

// harmedPairs counts the ordered pairs of sensors of which the first can harm the second if all fire together.
func harmedPairs(sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc) int {
	pairs := map[[2]int]bool{}
	for _, a := range arcs {
		if harms(sc, clocks, a) {
			pairs[[2]int{a.From, a.To}] = true
		}
	}
	return len(pairs)
}
