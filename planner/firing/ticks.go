package firing

import (
	"errors"
	"math"
	"slices"

	"echowright/scheduler"
)

// ticks is the timetable in whole ticks of the controller. No group fires sooner after the one before than in microseconds, nor
// sooner after the tick by which that one is done than the pause, rounded up; what that adds is in the cycle.
type ticks struct {
	tick  float64 // us
	at    []int64 // of each group
	cycle int64
}

func (w *work) ticks() ticks {
	t := ticks{tick: w.tickUs()}
	if w.ownTimes() { // which are whole ticks
		for _, us := range w.starts() {
			t.at = append(t.at, int64(math.Round(float64(us)/t.tick)))
		}
		t.cycle = t.ceil(w.t.CycleUs)
		return t
	}
	starts, occupied := append(w.starts(), w.t.CycleUs), w.p.OccupiedUs()
	for g := range len(starts) - 1 {
		t.at = append(t.at, t.cycle)
		done := int64(0)
		for _, j := range w.t.Groups[g] {
			done = max(done, occupied[j])
		}
		t.cycle += max(t.ceil(starts[g+1]-starts[g]), t.ceil(done)+t.ceil(pauseUs(w.p)))
	}
	return t
}

// tickUs is the controller's tick.
func (w *work) tickUs() float64 {
	us := float64(w.sc.Controller.Tick.Nanoseconds()) / 1e3
	if us <= 0 || w.read != nil { // as-read fires when it may, not at ticks
		return 1
	}
	return us
}

// slack keeps a time that is a whole number of ticks from being rounded to the next by the division.
const slack = 1e-9

func (t ticks) ceil(us int64) int64  { return int64(math.Ceil(float64(us)/t.tick - slack)) }
func (t ticks) floor(us int64) int64 { return int64(math.Floor(float64(us)/t.tick + slack)) }

// realisedUs is how long the cycle lasts in whole ticks.
func (t ticks) realisedUs() float64 { return float64(t.cycle) * t.tick }

// solve finds the timetable, or what makes any impossible.
//
// Where the order of the groups matters, some sound must come no sooner than a window ends, and a pause made longer by whole
// ticks may be too long. Then it is solved again with such sound coming sooner by what the ticks may add, until the table in ticks
// lets none in; the bound stays that of the problem itself.
func (w *work) solve() error {
	o := scheduler.Options{Nodes: w.o.Nodes}
	t, err := scheduler.Solve(w.ctx, w.p, o)
	if errors.As(err, &w.cannot) {
		return nil
	}
	if err != nil {
		return err
	}
	searched := t.Proven
	t = w.intoChains(w.p, t, o)
	w.t = t
	sooner := w.ticks().tick * float64(len(w.p.Jobs)+1)
	for !w.keepsInTicks() {
		p := w.p
		p.Arcs = slices.Clone(p.Arcs)
		for i, a := range p.Arcs {
			if after, _ := lags(p, a); after > 0 { // it may still share a group
				p.Arcs[i].FromUs -= min(after, int64(math.Ceil(sooner)))
			}
		}
		again, err := scheduler.Solve(w.ctx, p, o)
		if err != nil {
			return err
		}
		w.t = asBoundOf(w.intoChains(p, again, o), t, "In whole ticks that table lets sound into a window; the one given does not.")
		sooner *= 4
	}
	w.remade = searched && !w.t.Proven
	return nil
}

// keepsInTicks reports whether the table in whole ticks lets no sound into a window. Pauses are only made longer, so that all else
// is kept.
func (w *work) keepsInTicks() bool {
	table := w.ticks()
	if !w.t.Ordered || table.tick == 1 {
		return true
	}
	at := make([]int64, len(w.p.Jobs))
	for g, jobs := range w.t.Groups {
		for _, j := range jobs {
			at[j] = table.at[g]
		}
	}
	// In nanoseconds, of which a tick is a whole number.
	tick := int64(math.Round(table.tick * 1e3))
	for _, a := range w.p.Arcs {
		after, before := lags(w.p, a)
		lag := (at[a.To] - at[a.From]) * tick
		if lag < 0 || a.From == a.To {
			lag += table.cycle * tick
		}
		for ; lag < before*1000; lag += table.cycle * tick {
			if lag > after*1000 {
				return false
			}
		}
	}
	return true
}
