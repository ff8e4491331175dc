package ways

import (
	"slices"

	"echowright/planner/firing"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// mostLeft is how many pairs may be left to delays, as more would be a plan that rests on them; mostHeard how many are looked at.
const (
	mostLeft  = 4
	mostHeard = 24
)

// ghosts leaves sound of as few pairs as shorten the cycle to alternating delays, which have it dropped.
func (w *work) ghosts() error {
	if w.sc.Wishes.Style == plan.AsRead || w.sc.Wishes.Delays.Way == plan.Dithered || len(w.sc.Wishes.Refresh) > 0 {
		return nil
	}
	pairs := w.pairsThatBind()
	if len(pairs) == 0 {
		return nil
	}
	var let [][2]int
	var names []string
	for _, p := range pairs {
		let = append(let, [2]int{w.sensor(p.a), w.sensor(p.b)})
		names = append(names, p.a+" and "+p.b)
	}
	_, err := w.offer(step{
		Way: plan.Way{Kind: plan.WayDelays, What: "alternating delays, to which is left what " + join(names) + " hear of each other: such a reading is dropped, and one counts when a second agrees"},
		apply: func(sc *scene.Scene) (*scene.Scene, error) {
			out := *sc
			d := &out.Wishes.Delays
			if d.Way == "" {
				d.MoversMS = firing.WalkMS
			}
			d.Way, d.Let = plan.Alternating, let
			return &out, nil
		},
	})
	return err
}

// pairsThatBind are the pairs of those that make the cycle, no sensor in two of them, that win most, one after the other, if they hear
// nothing of each other.
func (w *work) pairsThatBind() (let []pair) {
	open := w.pairsHeard()
	us := w.trialUs
	open = open[:min(len(open), mostHeard)]
	if !w.shorter(w.solve(w.sc, w.without(open...))) {
		return nil
	}
	for len(let) < mostLeft && w.ctx.Err() == nil {
		best, bestUs := -1, int64(0)
		for k, p := range open {
			if slices.ContainsFunc(let, func(o pair) bool { return o.a == p.a || o.a == p.b || o.b == p.a || o.b == p.b }) {
				continue
			}
			if now := w.solve(w.sc, w.without(append(slices.Clone(let), p)...)); now > 0 && (best < 0 || now < bestUs) {
				best, bestUs = k, now
			}
		}
		if best < 0 || !wins(bestUs, us) {
			break
		}
		let, us = append(let, open[best]), bestUs
		if b := w.p.Schedule.BudgetUs; us <= b*9/10 { // the delays need the rest
			break
		}
	}
	return let
}

// pairsHeard are the pairs of those that make the cycle of which one hears the other, in the order of the scene.
func (w *work) pairsHeard() (pairs []pair) {
	heard := map[[2]string]bool{}
	for _, a := range w.problem.Arcs {
		heard[[2]string{w.problem.Jobs[min(a.From, a.To)].Name, w.problem.Jobs[max(a.From, a.To)].Name}] = true
	}
	for k, b := range w.from {
		for _, a := range w.from[:k] {
			if heard[[2]string{a, b}] {
				pairs = append(pairs, pair{a: a, b: b})
			}
		}
	}
	return pairs
}

func (w *work) sensor(name string) int {
	return slices.IndexFunc(w.sc.Sensors, func(s scene.Sensor) bool { return s.Name == name })
}
