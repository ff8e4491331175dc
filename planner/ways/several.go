package ways

import (
	"cmp"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// parts are the kinds that a step is made of.
func (s step) parts() []string {
	if len(s.of) > 0 {
		return s.of
	}
	return []string{s.Kind}
}

// several puts ways together where none keeps the budget alone: first those that a layout can say, then all. They are added, the
// least work first, while each shortens the cycle; then those are left out again that are not needed. Where that is not enough, either,
// it looks for what wins something only once the driver does not block.
func (w *work) several() error {
	if b := w.p.Schedule.BudgetUs; b == 0 || w.p.Schedule.Met {
		return nil
	}
	for _, all := range []bool{false, true} {
		var from []step
		for _, s := range w.steps {
			if s.Kind != plan.WaySeveral && len(s.Lost) == 0 && (all || s.Taken()) {
				from = append(from, s)
			}
		}
		if len(from) < 2 || w.fits(all) {
			continue
		}
		if err := w.together(from); err != nil {
			return err
		}
	}
	if w.fits(true) {
		return nil
	}
	return w.unblocked()
}

// fits reports whether some way out keeps the budget and loses no demand; all: one too that a layout cannot say.
func (w *work) fits(all bool) bool {
	return slices.ContainsFunc(w.steps, func(s step) bool { return s.Fits && len(s.Lost) == 0 && (all || s.Taken()) })
}

// unblocked looks for ways out of what is left when the driver does not block, and offers them together with that.
func (w *work) unblocked() error {
	i := slices.IndexFunc(w.steps, func(s step) bool { return s.Kind == plan.WayReading })
	if i < 0 {
		return nil
	}
	sc, err := w.steps[i].apply(w.sc)
	if err != nil {
		return nil
	}
	p, err := w.plan(sc)
	if err != nil {
		return w.ctx.Err()
	}
	then, err := begin(w.ctx, sc, p, Options{Memory: w.memory, Workers: w.workers})
	if err != nil {
		return err
	}
	for _, look := range []func() error{then.style, then.windows, then.arcs, then.lines, then.carriers} {
		if err := look(); err != nil {
			return err
		}
	}
	for _, s := range then.ordered() {
		told := slices.ContainsFunc(w.steps, func(o step) bool { return o.What == joined([]step{w.steps[i], s}).What })
		if told || len(s.Lost) > 0 {
			continue
		}
		if err := w.offerJoined([]step{w.steps[i], s}); err != nil || w.fits(true) {
			return err
		}
	}
	if len(then.steps) > 1 { // and all of it, where that is what it takes
		used, _, err := then.addUp(then.ordered())
		if err != nil || len(used) < 2 {
			return err
		}
		return w.offerJoined(append([]step{w.steps[i]}, used...))
	}
	return nil
}

// together adds up steps until the budget is kept, and offers what then is left of them: of steps of one kind first that which loses
// least and, where that is not enough, that with the shortest cycle.
func (w *work) together(from []step) error {
	var best []step
	var bestUs int64
	for _, first := range []func(s step) int64{func(s step) int64 { return int64(roundM2(s.LostM2())) }, func(s step) int64 { return s.CycleUs[1] }} {
		slices.SortStableFunc(from, func(a, b step) int {
			return cmp.Or(cmp.Compare(effort[a.Kind], effort[b.Kind]), cmp.Compare(first(a), first(b)))
		})
		used, us, err := w.addUp(from)
		if err != nil {
			return err
		}
		if best == nil || us < bestUs {
			best, bestUs = used, us
		}
		if bestUs > 0 && bestUs <= w.p.Schedule.BudgetUs {
			break
		}
	}
	if len(best) < 2 {
		return nil
	}
	return w.offerJoined(best)
}

// offerJoined offers steps at once, where that wins more than any of them alone.
func (w *work) offerJoined(parts []step) error {
	s := joined(parts)
	for _, o := range w.steps {
		if slices.ContainsFunc(parts, func(p step) bool { return p.What == o.What }) && (s.under == 0 || o.CycleUs[1] < s.under) {
			s.under = o.CycleUs[1]
		}
	}
	_, err := w.offer(s)
	return err
}

// addUp takes steps in their order while each shortens the cycle, until the budget is kept, and leaves out again what is not needed.
func (w *work) addUp(from []step) (used []step, us int64, err error) {
	us = w.trialUs
	for _, s := range from {
		if slices.ContainsFunc(used, func(u step) bool { return u.clashes(s) }) {
			continue
		}
		now, err := w.afterAll(append(slices.Clone(used), s))
		if err != nil {
			return nil, 0, err
		}
		if now > 0 && (us == 0 || now < us) {
			used, us = append(used, s), now
		}
		if us > 0 && us <= w.p.Schedule.BudgetUs {
			break
		}
	}
	for k := len(used) - 2; k >= 0; k-- {
		fewer := slices.Delete(slices.Clone(used), k, k+1)
		if now, err := w.afterAll(fewer); err != nil {
			return nil, 0, err
		} else if now > 0 && now <= max(us, w.p.Schedule.BudgetUs) {
			used, us = fewer, now
		}
	}
	return used, us, nil
}

// clashes reports whether two steps change the same thing.
func (s step) clashes(o step) bool {
	if s.Kind == o.Kind && s.Kind != plan.WayTurn && s.Kind != plan.WayMove {
		return true
	}
	for _, a := range s.Changes {
		for _, b := range o.Changes {
			if a.Sensor != "" && a.Sensor == b.Sensor && a.ListenM == 0 && b.ListenM == 0 {
				return true
			}
		}
	}
	return false
}

// joined is all steps at once.
func joined(all []step) step {
	var texts []string
	s := step{Way: plan.Way{Kind: plan.WaySeveral}}
	for _, o := range all {
		texts = append(texts, o.What)
		s.Changes = append(s.Changes, o.Changes...)
		s.of = append(s.of, o.Kind)
	}
	for _, o := range all {
		if !o.Taken() {
			s.Changes = nil
		}
	}
	s.What = strings.Join(texts, "; and ")
	s.apply = func(sc *scene.Scene) (*scene.Scene, error) { return applied(sc, all) }
	return s
}

func applied(sc *scene.Scene, all []step) (*scene.Scene, error) {
	for _, s := range all {
		var err error
		if sc, err = s.apply(sc); err != nil {
			return nil, err
		}
	}
	return sc, nil
}

// afterAll is the cycle of the short search with steps made.
func (w *work) afterAll(all []step) (int64, error) {
	sc, err := applied(w.sc, all)
	if err != nil {
		return 0, nil
	}
	return w.solveOf(sc)
}
