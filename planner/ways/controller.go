package ways

import (
	"fmt"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// style tries every sensor at a time of its own; from as-read, groups too.
func (w *work) style() error {
	styles := []string{plan.Staggered}
	if w.sc.Wishes.Style == plan.AsRead {
		styles = []string{plan.Slots, plan.Staggered}
	}
	for _, st := range styles {
		if st == w.sc.Wishes.Style {
			continue
		}
		what := "style: staggered, every sensor at a time of its own"
		if st == plan.Slots {
			what = "style: slots, groups at set times"
		}
		if _, err := w.offer(change(plan.WayStyle, what, plan.Change{Style: st})); err != nil {
			return err
		}
	}
	return nil
}

// readings tries a driver that does not block: the least number of readings at once that wins all there is to win, and, where
// fewer keep the budget, as few as do.
func (w *work) readings() error {
	n := len(w.problem.Jobs)
	if w.sc.Controller.AtOnce >= n {
		return nil
	}
	us := make([]int64, n+1)
	of := func(k int) (int64, error) {
		sc, err := With(w.sc, atOnce(k))
		if err == nil && us[k] == 0 {
			us[k], err = w.solveOf(sc)
		}
		return us[k], err
	}
	all, err := of(n)
	if err != nil || !w.shorter(all) {
		return err
	}
	budget := w.p.Schedule.BudgetUs
	for k := max(1, w.sc.Controller.AtOnce) + 1; k <= n; k++ {
		now, err := of(k)
		if err != nil {
			return err
		}
		if now == 0 || now > all && (budget == 0 || now > budget || all > budget) {
			continue
		}
		what := fmt.Sprintf("a driver that does not block: reading: capture, %d readings at once", k)
		if w.sc.Controller.Reading == scene.Capture {
			what = fmt.Sprintf("a driver for more: %d readings at once", k)
		}
		ok, err := w.offer(change(plan.WayReading, what, atOnce(k)))
		if err != nil || now <= all || ok && w.steps[len(w.steps)-1].Fits {
			return err
		}
	}
	return nil
}

func atOnce(k int) plan.Change { return plan.Change{Reading: string(scene.Capture), AtOnce: k} }
