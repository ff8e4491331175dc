package live

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	"echowright/planner"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/planner/ways"
)

// Want is what a question asks for beside the plan. A question with the number of the one before is about the same text: what is
// known of it is not told again. One that wants nothing ends the search under way.
type Want int

// What may be wanted.
const (
	Nothing    Want = iota
	WaysOut         // what can be done about the cycle: each way as it is found, then all of them
	WhatBreaks      // what breaks first, and what a dead sensor takes away
)

// longest is how long it is reckoned what breaks first, as by the command line: what is not done by then is named in the answer.
const longest = 60 * time.Second

// look begins what a question wants of the plan that is kept. It does not wait for it: a hand that drags meanwhile gets its
// numbers though a search is slow to end.
func (r *Runner) look(later context.Context, q Question) {
	if q.Want == Nothing || later.Err() != nil {
		return
	}
	sc, p := r.kept.Scene, r.kept.Plan
	r.more.Go(func() {
		a := Answer{Number: q.Number, Search: q.Search, Stage: Searched}
		begun := r.now()
		a.Ways, a.Margins, a.Err = guardedWant(func() (*plan.Ways, *plan.Margins, error) {
			return r.steps.want(later, q.Want, sc, p, func(w plan.Way) {
				if later.Err() == nil {
					r.tell(Answer{Number: q.Number, Search: q.Search, Stage: Found, Way: w})
				}
			})
		})
		a.Took = r.now().Sub(begun)
		if later.Err() == nil {
			r.tell(a)
		}
	})
}

// search does what is wanted with memories of its own: the next question may come while it ends.
func search(ctx context.Context, w Want, sc *scene.Scene, p *plan.Plan, found func(plan.Way)) (all *plan.Ways, m *plan.Margins, err error) {
	switch w {
	case WaysOut:
		all, err = ways.Find(ctx, sc, p, ways.Options{Found: found})
	case WhatBreaks:
		within, cancel := context.WithTimeout(ctx, longest)
		defer cancel()
		m, err = planner.Margins(within, sc, p)
	}
	return all, m, err
}

// guardedWant turns a panic of a search into an error, as guarded does for the analysis.
func guardedWant(do func() (*plan.Ways, *plan.Margins, error)) (all *plan.Ways, m *plan.Margins, err error) {
	defer func() {
		if f := recover(); f != nil {
			all, m, err = nil, nil, fmt.Errorf("internal fault in the search: %v\n%s", f, debug.Stack())
		}
	}()
	return do()
}
