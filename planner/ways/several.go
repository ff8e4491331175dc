package ways

import (
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
// least work first, while each shortens the cycle; then those are left out again that are not needed.
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
		if len(from) < 2 || slices.ContainsFunc(w.steps, func(s step) bool { return s.Fits && len(s.Lost) == 0 && (all || s.Taken()) }) {
			continue
		}
		if err := w.together(from); err != nil {
			return err
		}
	}
	return nil
}

// together adds up steps until the budget is kept, and offers what then is left of them.
func (w *work) together(from []step) error {
	slices.SortStableFunc(from, func(a, b step) int { return effort[a.Kind] - effort[b.Kind] })
	var used []step
	us := w.trialUs
	for _, s := range from {
		if slices.ContainsFunc(used, func(u step) bool { return u.clashes(s) }) {
			continue
		}
		now, err := w.afterAll(append(slices.Clone(used), s))
		if err != nil {
			return err
		}
		if now > 0 && (us == 0 || now < us) {
			used, us = append(used, s), now
		}
		if us > 0 && us <= w.p.Schedule.BudgetUs {
			break
		}
	}
	for k := len(used) - 2; k >= 0 && len(used) > 1; k-- {
		fewer := slices.Delete(slices.Clone(used), k, k+1)
		if now, err := w.afterAll(fewer); err != nil {
			return err
		} else if now > 0 && now <= max(us, w.p.Schedule.BudgetUs) {
			used = fewer
		}
	}
	if len(used) < 2 {
		return nil
	}
	s := joined(used)
	_, err := w.offer(s)
	return err
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
