package scheduler

import (
	"context"

	"echowright/scheduler/instance"
	"echowright/scheduler/refresh"
)

// onceNodes is how long a cycle in which each fires once is looked for before limits are: no cycle is shorter than that,
// and if it keeps them, it is the answer.
const onceNodes = 20_000

// NotFound is a problem for which neither a timetable that keeps its limits was found nor that there is none.
type NotFound = refresh.NotFound

// often solves a problem in which jobs ask to fire every so often.
func often(ctx context.Context, p instance.Problem, o Options) (instance.Timetable, error) {
	short := Options{Nodes: onceNodes, Bare: o.Bare}
	if o.Nodes > 0 {
		short.Nodes = min(onceNodes, max(1, o.Nodes/4))
	}
	t, err := solve(ctx, p.Once(), short)
	if err != nil {
		return t, err
	}
	if keeps(p, t) {
		if t.Proven {
			return t, nil
		}
		at, err := solve(ctx, p.Once(), o) // at length; a search cut short may come to less
		if err != nil {
			return at, err
		}
		if at.CycleUs > t.CycleUs {
			t.LowerBoundUs, t.Proven = at.LowerBoundUs, at.LowerBoundUs == t.CycleUs
			at, t = t, at
		}
		at.Nodes += t.Nodes
		return at, nil
	}
	if o.Nodes > 0 {
		o.Nodes = max(1, o.Nodes-t.Nodes)
	}
	again, err := refresh.Solve(ctx, p, refresh.Wish{Once: t}, o)
	again.Nodes += t.Nodes
	return again, err
}

// keeps tells whether a timetable keeps all limits.
func keeps(p instance.Problem, t instance.Timetable) bool {
	for j, us := range t.Widest(p) {
		if every := p.Jobs[j].EveryUs; every > 0 && us > every {
			return false
		}
	}
	return true
}
