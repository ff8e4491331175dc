package latency

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// watch is when one sensor takes its readings, in seconds, at the worst.
type watch struct {
	name  string
	at    r2.Point
	first []float64 // its firings within a cycle, from the cycle's start; none if it never fires
	gaps  []float64 // from each firing to its next, the last across the end of the cycle
	// jitter is what may come to any time between two firings.
	jitter float64
	// answer is from a firing until its answer is known, apart from the sound's way; least is the least it takes
	// whatever the way, for a module that answers after a set time.
	answer, least float64
	powerUp       float64
	seesM         float64 // to the farthest place it sees any target at
	listenM       float64
	ends          bool // the layout can set how far it listens
	frees         bool // a longer window holds up the next firing
}

// watchesOf lists every sensor's watch, in the order of the scene. Times are those of the controller's whole
// ticks, if it has any, by a clock as slow as its error allows.
func watchesOf(sc *scene.Scene, p *plan.Plan) []watch {
	ws := make([]watch, len(sc.Sensors))
	slow := 1 + sc.Controller.ClockError
	for i, s := range sc.Sensors {
		k := sc.Kinds[s.Kind].Timing
		w := watch{
			name: s.Name, at: s.At, jitter: 2 * sc.Wishes.Jitter.Seconds(), powerUp: k.PowerUp.Seconds(),
			answer: (k.TriggerToBurst.Hi + k.Burst + k.Transfer).Seconds(),
			ends:   k.By == scene.ByController || k.WindowSettable,
		}
		if k.AnswerAfter > 0 {
			w.least = (k.AnswerAfter + k.Transfer).Seconds()
		}
		if k.By == scene.ByItself {
			// Nobody tells it when: its first firing may be a whole period away.
			w.jitter, w.first, w.gaps = 0, []float64{k.OwnPeriod.Hi.Seconds()}, []float64{k.OwnPeriod.Hi.Seconds()}
		} else {
			w.fire(s.Name, p.Schedule, slow)
		}
		for _, q := range p.Sensors {
			if q.Name == s.Name {
				w.listenM = q.ListenM
				w.frees = p.Schedule.Style == plan.AsRead || q.BusyUs <= q.ListenUntilUs+k.Transfer.Microseconds()
			}
		}
		for _, l := range p.Lobes {
			if l.Sensor == s.Name {
				for _, q := range slices.Concat(l.Polygon...) {
					w.seesM = math.Max(w.seesM, r2.Point{X: q[0], Y: q[1]}.Sub(s.At).Norm())
				}
			}
		}
		ws[i] = w
	}
	return ws
}

// fire takes a sensor's firings from the table.
func (w *watch) fire(name string, s plan.Schedule, slow float64) {
	tick, cycle := s.TickUs, float64(s.CycleTicks)
	if tick <= 0 || s.CycleTicks <= 0 {
		tick, cycle = 1, float64(s.CycleUs)
	}
	for _, f := range s.Firings {
		at := f.AtUs
		if tick == s.TickUs && s.CycleTicks > 0 {
			at = f.AtTicks
		}
		if f.Sensor == name {
			w.first = append(w.first, float64(at)*tick/1e6*slow)
		}
	}
	if w.delayed(name, s, slow) {
		return
	}
	for i, at := range w.first {
		next := float64(cycle*tick/1e6*slow) + w.first[0]
		if i+1 < len(w.first) {
			next = w.first[i+1]
		}
		w.gaps = append(w.gaps, next-at)
	}
}

// delayed takes the firings of as many cycles as it takes for their delays to repeat; false where they have none.
func (w *watch) delayed(name string, s plan.Schedule, slow float64) bool {
	if s.Delays == nil || s.Delays.TableCycles == 0 {
		return false
	}
	at := w.first
	w.first = nil
	cycles := s.Delays.TableCycles
	for n := range cycles {
		k := 0
		for _, f := range s.Firings {
			if f.Sensor == name {
				w.first = append(w.first, at[k]+float64(float64(n)*s.RealisedCycleUs+float64(f.DelaysUs[n%len(f.DelaysUs)]))/1e6*slow)
				k++
			}
		}
	}
	for i, t := range w.first {
		if i+1 < len(w.first) {
			w.gaps = append(w.gaps, w.first[i+1]-t)
		} else {
			w.gaps = append(w.gaps, float64(float64(cycles)*s.RealisedCycleUs)/1e6*slow+w.first[0]-t)
		}
	}
	return true
}

// fires is false for a sensor that the table never fires.
func (w *watch) fires() bool { return len(w.gaps) > 0 }

// wait is the longest time for n firings to come, s, counted from just after a firing: the longest n gaps in a
// row, not n times their mean.
func (w *watch) wait(n int) float64 {
	worst := 0.0
	for i := range w.gaps {
		sum := 0.0
		for k := range n {
			sum += w.gaps[(i+k)%len(w.gaps)]
		}
		worst = math.Max(worst, sum)
	}
	return worst + w.jitter
}

// until is the time of the n-th firing from the start of the first cycle, s.
func (w *watch) until(n int) float64 {
	t := w.first[0]
	for k := range n - 1 {
		t += w.gaps[k%len(w.gaps)]
	}
	return t + w.jitter
}

// echo is how long after its firing the answer to a target r metres off is known, s, at a speed of sound.
func (w *watch) echo(r, speedMS float64) float64 {
	return math.Max(w.answer+2*r/speedMS, w.least)
}
