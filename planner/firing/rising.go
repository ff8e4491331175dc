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
		again.slots = &slotsAnswer{t: t, us: int64(math.Ceil(again.ticks().realisedUs())), proven: again.t.Proven}
	}
	again.remade = base.Proven && !again.t.Proven
	return &again, nil
}

// shifted is the work with the staggered table it has, firings moved apart for delays that rise: see delays.Shift. It renumbers the
// classes of d.
func (w *work) shifted(d *delayed) (*work, error) {
	p, base, late, tick := w.p, w.t, d.choice.DelaysUs, 1.0
	if t := w.tickUs(); !wholePart(t) { // in whole ticks, as the table is
		tick = t
		inTicks := func(us int64) int64 { return int64(math.Round(float64(us) / tick)) }
		p, late, base.CycleUs = inUnits(p, tick), slices.Clone(late), inTicks(base.CycleUs)
		for k, us := range late {
			late[k] = inTicks(us)
		}
		base.Firings = slices.Clone(base.Firings)
		for k, f := range base.Firings {
			base.Firings[k].AtUs = inTicks(f.AtUs)
		}
	}
	t, of, ok := delays.Shift(p, base, d.classes, late)
	if !ok {
		return nil, &delays.Cannot{Why: "the staggered table cannot be shifted apart"}
	}
	for k, f := range t.Firings {
		t.Firings[k].AtUs = int64(math.Round(float64(f.AtUs) * tick))
	}
	t.CycleUs = int64(math.Ceil(float64(t.CycleUs)*tick - slack))
	d.classes.Of, d.rises = of, true
	d.setLate()
	again := *w
	slots := *w.slots
	again.slots = &slots
	again.t = w.bounded(t, w.t, d)
	again.t.Groups = together(t.Firings)
	again.remade = w.t.Proven && !again.t.Proven
	return &again, nil
}

// bounded says of a table t with delays, made of base without, what is known of how short it can be.
//
//   - A job that is delayed has ended before it fires again, undelayed.
//   - Those that must take turns, all of them where one reading is taken at a time or some in slots, do so twice in two cycles, whatever their delays; and so do all groups, where their order does
//     not matter. So a cycle is no shorter than they take without delays. If delays are too much alike to let one overtake the other,
//     all of them fire once from the most delayed firing of one of them to its next, which is not delayed: then the cycle is longer by that
//     delay.
//   - Where all that is asked is asked of pairs, a table with delays, fired without any, is one of the problem and bounded as that is, if no
//     span is so short that it may lie between the two times at which a listener fires.
func (w *work) bounded(t, base instance.Timetable, d *delayed) instance.Timetable {
	t.Why, t.Nodes = base.Why, base.Nodes
	occupied, pause := w.p.OccupiedUs(), pauseUs(w.p)
	raise := func(us int64, clique []int) {
		if us > t.LowerBoundUs {
			t.LowerBoundUs, t.Clique = us, clique
		}
	}
	for j, us := range occupied {
		raise(us+pause+d.late[j], nil)
	}
	inOrder := func(jobs []int) (us int64) { // the greatest delay of those who cannot overtake each other
		least, shortest := int64(math.MaxInt64), int64(math.MaxInt64)
		for _, j := range jobs {
			us, least, shortest = max(us, d.late[j]), min(least, d.late[j]), min(shortest, occupied[j]+pause)
		}
		if us-least >= 2*shortest {
			return 0
		}
		return us
	}
	if w.p.AtOnce == 1 {
		sum := inOrder(w.jobs())
		for _, us := range occupied {
			sum += us + pause
		}
		raise(sum, w.jobs())
	}
	if !w.isStaggered() && len(base.Clique) > 0 {
		raise(base.LowerBoundUs+inOrder(base.Clique), base.Clique)
	}
	if !w.isStaggered() && !base.Ordered {
		raise(base.LowerBoundUs+inOrder(w.jobs()), base.Clique)
	}
	if !w.mayLieBetween(d) {
		raise(w.t.LowerBoundUs, w.t.Clique)
	}
	t.LowerBoundUs = min(t.LowerBoundUs, t.CycleUs)
	t.Proven = t.LowerBoundUs == t.CycleUs
	return t
}

// mayLieBetween reports whether more is asked than of pairs, or of some pair a span so short that two firings, in turn later and less late
// than without delays, may pass it on either side.
func (w *work) mayLieBetween(d *delayed) bool {
	if len(w.p.Resources) > 0 || w.p.AtOnce > 1 && w.p.AtOnce < len(w.p.Jobs) || !w.isStaggered() {
		return true
	}
	occupied, pause := w.p.OccupiedUs(), pauseUs(w.p)
	short := func(width int64, i, j int) bool { return width < d.late[i]+d.late[j] }
	for i := range w.p.Jobs {
		for j := range i {
			if w.p.AtOnce == 1 && short(occupied[i]+occupied[j]+2*pause, i, j) {
				return true
			}
		}
	}
	return slices.ContainsFunc(w.p.Conflicts, func(c [2]int) bool {
		return short(occupied[c[0]]+occupied[c[1]]+2*pause, c[0], c[1])
	}) || slices.ContainsFunc(w.p.Arcs, func(a instance.Arc) bool {
		after, before := lags(w.p, a)
		return short(before-after, a.From, a.To)
	})
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
	if errors.As(err, new(*instance.Fault)) {
		return &delays.Cannot{Why: "the times of this layout are too long for the check of a table with delays"}
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
