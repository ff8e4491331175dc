package firing

import (
	"errors"
	"math"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// staggered finds the timetable in which every sensor has its own time, and, for comparison, that of slots.
//
// The table is in whole ticks. Where a tick is not a whole part of a microsecond, the problem is solved once more with all spans
// rounded outward to ticks; the bound stays that of the problem itself.
func (w *work) staggered() error {
	if err := w.solve(); err != nil || w.cannot != nil {
		return err
	}
	w.slots = &slotsAnswer{t: w.t, us: int64(math.Ceil(w.ticks().realisedUs())), proven: w.t.Proven}
	w.remade = false
	w.p.Style = instance.Staggered
	t, err := w.inTicks(w.p)
	if errors.As(err, &w.cannot) {
		w.t = instance.Timetable{}
		return nil
	}
	if err != nil {
		return err
	}
	w.t = t
	return nil
}

// slotsAnswer is what groups, one after the other, would take.
type slotsAnswer struct {
	t      instance.Timetable
	us     int64
	proven bool
}

// inTicks solves a problem; its times are whole ticks of the controller.
func (w *work) inTicks(p instance.Problem) (instance.Timetable, error) {
	return w.solvedInTicks(p, func(p instance.Problem) (instance.Timetable, error) {
		return scheduler.Solve(w.ctx, p, scheduler.Options{Nodes: w.o.Nodes})
	})
}

// solvedInTicks is inTicks for a solver.
func (w *work) solvedInTicks(p instance.Problem, solve func(instance.Problem) (instance.Timetable, error)) (instance.Timetable, error) {
	t, err := solve(p)
	if err != nil {
		return t, err
	}
	if tick := w.tickUs(); !wholePart(tick) {
		again, err := solve(inUnits(p, tick))
		if err != nil {
			return t, err
		}
		for i, f := range again.Firings {
			again.Firings[i].AtUs = int64(math.Round(float64(f.AtUs) * tick))
		}
		cycle := int64(math.Ceil(float64(again.CycleUs)*tick - slack))
		again.CycleUs, again.LowerBoundUs, again.Clique, again.Why = cycle, t.LowerBoundUs, t.Clique, t.Why
		again.Proven = t.Proven && cycle == t.LowerBoundUs
		if !again.Proven {
			again.Why += "\nThe table is in whole ticks; the bound is not."
		}
		t = again
	}
	t.Groups = together(t.Firings)
	return t, nil
}

// wholePart reports whether every microsecond is a whole number of ticks.
func wholePart(tick float64) bool {
	n := 1 / tick
	return math.Abs(n-math.Round(n)) < slack && n > 0.5
}

// inUnits is a problem in whole units of so many microseconds, every time rounded so that what keeps to it keeps to the problem.
// Where a unit is no whole number of microseconds, times are one wider, so that the table may be rounded to microseconds, too.
func inUnits(p instance.Problem, unit float64) instance.Problem {
	wide := 0.0
	if math.Abs(unit-math.Round(unit)) > slack {
		wide = 1
	}
	up := func(us int64) int64 {
		if us == 0 {
			return 0
		}
		return int64(math.Ceil((float64(us)+wide)/unit - slack))
	}
	down := func(us int64) int64 { return max(0, int64(math.Floor((float64(us)-wide)/unit+slack))) }
	p.Jobs, p.Arcs, p.Resources = slices.Clone(p.Jobs), slices.Clone(p.Arcs), slices.Clone(p.Resources)
	for i, j := range p.Jobs {
		j.OpenUs, j.CloseUs, j.TransferUs = down(j.OpenUs), up(j.CloseUs), up(j.TransferUs)
		j.BusyUs, j.RestUs = up(j.BusyUs), up(j.RestUs)
		if j.EveryUs > 0 {
			j.EveryUs = max(1, down(j.EveryUs))
		}
		p.Jobs[i] = j
	}
	for i, a := range p.Arcs {
		a.FromUs, a.UntilUs = down(a.FromUs), up(a.UntilUs)
		p.Arcs[i] = a
	}
	for i, r := range p.Resources {
		p.Resources[i].Uses = slices.Clone(r.Uses)
		for k, u := range r.Uses {
			p.Resources[i].Uses[k].FromUs, p.Resources[i].Uses[k].UntilUs = down(u.FromUs), up(u.UntilUs)
		}
	}
	p.GuardUs, p.JitterUs = up(p.GuardUs), up(p.JitterUs)
	p.BudgetUs = int64(float64(p.BudgetUs) / unit)
	return p
}

// together lists the jobs that fire at each instant.
func together(firings []instance.Firing) (groups [][]int) {
	for i, f := range firings {
		if i == 0 || f.AtUs != firings[i-1].AtUs {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], f.Job)
	}
	return groups
}

// isStaggered reports whether every sensor has its own time.
func (w *work) isStaggered() bool { return w.slots != nil }

// staggeredText says what makes the cycle as long as it is, and what slots would take.
func (w *work) staggeredText() string {
	us := int64(math.Ceil(w.ticks().realisedUs()))
	than := "as long as in slots"
	if gain := w.slots.us - us; gain > 0 {
		than = plan.Milliseconds(w.slots.us) + " in slots"
	}
	if !w.slots.proven {
		than += ", the best found of them"
	}
	switch n := len(w.t.Clique); {
	case !w.t.Proven:
		return "the best found: " + exact(w.t.CycleUs) + ", " + than
	case n == 1:
		return "cannot be shorter: " + w.name(w.t.Clique[0]) + " alone takes as long; " + than
	case w.p.AtOnce == 1 && n == len(w.p.Jobs):
		return "cannot be shorter: one reading at a time; " + than
	case n > 1:
		return "cannot be shorter: " + join(w.names(w.t.Clique)) + " must take turns, soonest in this order; " + than
	}
	return "cannot be shorter: every order was tried or ruled out; " + than
}
