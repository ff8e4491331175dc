package firing

import (
	"errors"
	"math"
	"slices"

	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
)

// rising is the work with the groups it has in slots, in an order in which their delays rise: see delays.Rise. It renumbers the
// classes of d.
func (w *work) rising(d *delayed) (*work, error) {
	base := w.t
	if w.isStaggered() {
		base = w.slots.t
	}
	t, of, ok := delays.Rise(w.p, base, d.classes, d.choice.DelaysUs)
	if !ok {
		return nil, &delays.Cannot{Why: "no order of the groups in which delays rise keeps all that is asked"}
	}
	d.classes.Of, d.rises = of, true
	d.setLate()
	again := *w
	again.t = w.bounded(t, base, d)
	if w.isStaggered() {
		again.p.Style = instance.Slots // its times need not be whole ticks yet
		again.t.Groups = together(t.Firings)
		again.slots = &slotsAnswer{t: t, us: int64(math.Ceil(again.ticks().realisedUs()))}
	}
	again.remade = base.Proven && !again.t.Proven
	return &again, nil
}

// bounded says of a rising table t what is known of how short it can be.
//
// From a job's firing that is delayed to its next, which is not, the time is a cycle less the delay, and all others fire once. Where some
// must take turns, that is no less than their turns, and where the order of the groups does not matter no less than the shortest cycle
// without delays; the cycle is longer than that by the greatest delay. Else a table with delays, fired without any, is one of the problem,
// and bounded as that is, if no arc is so short that it may lie between the two times at which a listener fires.
func (w *work) bounded(t, base instance.Timetable, d *delayed) instance.Timetable {
	t.Why, t.Clique, t.Nodes = base.Why, base.Clique, base.Nodes
	most := slices.Max(d.late)
	mixed := slices.ContainsFunc(base.Groups, func(jobs []int) bool {
		return slices.ContainsFunc(jobs, func(j int) bool { return d.late[j] != d.late[jobs[0]] })
	})
	between := slices.ContainsFunc(w.p.Arcs, func(a instance.Arc) bool {
		after, before := lags(w.p, a)
		return before-after < d.late[a.From]+d.late[a.To]
	})
	turns := int64(0)
	for _, j := range base.Clique {
		turns = max(turns, d.late[j])
	}
	switch {
	case len(base.Clique) > 0 && !w.isStaggered():
		t.LowerBoundUs = base.LowerBoundUs + turns
	case !base.Ordered && !mixed && !w.isStaggered():
		t.LowerBoundUs = base.LowerBoundUs + most
	case !between:
		t.LowerBoundUs = w.t.LowerBoundUs
	default:
		t.LowerBoundUs, t.Clique = slices.Max(w.p.OccupiedUs()), nil
	}
	t.LowerBoundUs = min(t.LowerBoundUs, t.CycleUs)
	t.Proven = t.LowerBoundUs == t.CycleUs
	return t
}

// holds puts the table, at the controller's ticks, with its delays to the scheduler's checker; p is the problem without delays. All in
// nanoseconds, of which a tick is a whole number.
func (w *work) holds(p instance.Problem) error {
	ticks := w.ticks()
	ns := int64(math.Round(ticks.tick * 1000))
	t := instance.Timetable{CycleUs: ticks.cycle * ns}
	for _, f := range w.t.Firings {
		t.Firings = append(t.Firings, instance.Firing{Job: f.Job, AtUs: ticks.at[slices.IndexFunc(w.t.Groups, func(jobs []int) bool { return slices.Contains(jobs, f.Job) })] * ns})
	}
	tables := make([][]int64, len(w.delayed.tables))
	for j, table := range w.delayed.tables {
		for _, us := range table {
			tables[j] = append(tables[j], us*1000)
		}
	}
	err := delays.Hold(inNanoseconds(p), t, tables)
	if errors.As(err, new(*instance.Fault)) { // too large to be put to it
		return nil
	}
	return err
}

// inNanoseconds is the problem with nanoseconds where it has microseconds.
func inNanoseconds(p instance.Problem) instance.Problem {
	p.Jobs, p.Arcs, p.Resources = slices.Clone(p.Jobs), slices.Clone(p.Arcs), slices.Clone(p.Resources)
	for i := range p.Jobs {
		j := &p.Jobs[i]
		for _, us := range []*int64{&j.OpenUs, &j.CloseUs, &j.BusyUs, &j.TransferUs, &j.RestUs} {
			*us *= 1000
		}
	}
	for i := range p.Arcs {
		p.Arcs[i].FromUs, p.Arcs[i].UntilUs = p.Arcs[i].FromUs*1000, p.Arcs[i].UntilUs*1000
	}
	for i, r := range p.Resources {
		p.Resources[i].Uses = slices.Clone(r.Uses)
		for k := range r.Uses {
			u := &p.Resources[i].Uses[k]
			u.FromUs, u.UntilUs = u.FromUs*1000, u.UntilUs*1000
		}
	}
	p.GuardUs, p.JitterUs, p.BudgetUs = p.GuardUs*1000, p.JitterUs*1000, p.BudgetUs*1000
	return p
}
