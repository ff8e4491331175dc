package ways

import (
	"fmt"
	"slices"

	"echowright/planner/plan"
)

// relax finds, for each entry of sensors of which a refresh is asked, the least longer one of it alone with which all that is asked is
// kept, the budget too; only where something is not.
func (w *work) relax() error {
	asked := w.p.Schedule.Refresh
	if w.p.Schedule.RefreshKept() == len(asked) && w.within(w.usUs) {
		return nil
	}
	done := map[string]bool{}
	for _, r := range asked {
		group := w.groupOf(r.Sensor)
		if done[group] {
			continue
		}
		done[group] = true
		var changes []plan.Change
		var names []string
		for _, o := range asked {
			if w.groupOf(o.Sensor) == group && o.AskedUs == r.AskedUs {
				changes, names = append(changes, plan.Change{Sensor: o.Sensor}), append(names, o.Sensor)
			}
		}
		us := w.leastRefresh(names, r.AskedUs)
		if us == 0 {
			continue // others must be relaxed, too
		}
		for i := range changes {
			changes[i].EveryUs = us
		}
		what := fmt.Sprintf("a refresh of %s for %s, in place of %s", plan.Milliseconds(us), join(names), plan.Milliseconds(r.AskedUs))
		if _, err := w.offer(change(plan.WayRefresh, what, changes...)); err != nil {
			return err
		}
	}
	return nil
}

func (w *work) groupOf(sensor string) string {
	return w.sc.Sensors[w.sensor(sensor)].Group
}

// leastRefresh is the shortest refresh above one that is too short, us in whole milliseconds, with which some sensors let all be kept; 0 where
// none up to the longest tried does.
func (w *work) leastRefresh(names []string, tooShort int64) int64 {
	const ms, most = 1000, 8 // times the one asked
	keeps := func(every int64) bool {
		p := w.problem
		p.Jobs = slices.Clone(p.Jobs)
		for k, j := range p.Jobs {
			if slices.Contains(names, j.Name) {
				p.Jobs[k].EveryUs = every
			}
		}
		us := w.solve(w.sc, p)
		return us > 0 && w.within(us)
	}
	bad, good := tooShort/ms, w.keptBy(names)/ms
	for every := bad + bad/4 + 1; good == 0 && every <= most*tooShort/ms; every += every / 2 {
		if keeps(every * ms) {
			good = every
		} else {
			bad = every
		}
	}
	for good-bad > 1 {
		if mid := (good + bad) / 2; keeps(mid * ms) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good * ms
}

// keptBy is what some sensors keep to in the table there is, us in whole milliseconds upward, if it keeps all that is asked of the others;
// else 0.
func (w *work) keptBy(names []string) (us int64) {
	for _, r := range w.p.Schedule.Refresh {
		switch mine := slices.Contains(names, r.Sensor); {
		case mine:
			us = max(us, (r.KeptUs+999)/1000*1000)
		case !r.Met:
			return 0
		}
	}
	if !w.within(w.usUs) {
		return 0
	}
	return us
}

// within reports whether a cycle keeps the budget, where there is one.
func (w *work) within(us int64) bool {
	b := w.p.Schedule.BudgetUs
	return b == 0 || us <= b
}
