// Package scheduler turns jobs, silences and shared resources into a cyclic timetable, with a
// lower bound on its length and what makes that bound. It speaks of jobs and microseconds, not
// of sound.
//
//	scheduler ─► order ─► slots ─► bound ─► instance
//	scheduler ─► refresh ─► stagger ─► bound ─► instance
//	scheduler ─► check ──────────────────► instance      (shares no code with the solvers)
//
// In: an instance.Problem. Out: an instance.Timetable that package check has replayed and found
// sound. In the style slots, groups of jobs fire together, one group after the other: where the order of
// the groups does not matter, package slots solves it; where late sound may die while others listen, and for
// chains and resources, package order does. In the style staggered, every job has an offset of its own: package
// stagger starts from what slots come to after a short search. Where jobs ask to fire every so often, and once a cycle
// is not enough, package refresh finds how often. All are exact. The same problem gives the same
// timetable, unless the context ends first.
package scheduler

import (
	"context"
	"fmt"
	"slices"
	"time"

	"echowright/scheduler/bound"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
	"echowright/scheduler/order"
	"echowright/scheduler/slots"
	"echowright/scheduler/stagger"
)

// What comes after the search, on a slow machine: a reserve for the context to be noticed and the words to be
// found, and for each event of the checker's replay.
const (
	reserve      = 2 * time.Millisecond
	reserveEvent = 400 * time.Nanosecond
	oftenEvents  = 4 // times as many where jobs fire several times a cycle
)

// Options of Solve; the zero value searches until the answer is proven or the context ends.
type Options = slots.Options

// Solve returns the shortest timetable found in the problem's style. When the context ends or the node limit is
// reached first, that is the best so far with Proven false and a lower bound below it; a valid
// timetable is returned in any case. The search stops so long before the context's deadline that checking what it
// found and putting it into words meet the deadline, too. A faulty problem is an *instance.Fault, one whose demands
// contradict each other, refresh limits that cannot be kept included, an *instance.Cannot; where neither that was proven nor a
// timetable that keeps the limits found, the error is a *NotFound, which without limits is never so; a timetable that the checker refuses is an
// *InternalError. Memory of slots: some 100 bytes for each pair of jobs and at most 2^20 remembered states;
// staggered see package stagger.
func Solve(ctx context.Context, p instance.Problem, o Options) (instance.Timetable, error) {
	if err := p.Validate(); err != nil {
		return instance.Timetable{}, err
	}
	if err := p.Possible(); err != nil {
		return instance.Timetable{}, err
	}
	if len(p.Jobs) == 0 {
		return instance.Timetable{Proven: true, Why: "There is nothing to fire."}, nil
	}
	if end, ok := ctx.Deadline(); ok {
		events := time.Duration(12*len(p.Jobs) + 6*len(p.Arcs))
		if p.Refreshes() {
			events *= oftenEvents
		}
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, end.Add(-reserve-events*reserveEvent))
		defer cancel()
	}
	t, err := solve(ctx, p, o)
	if err != nil {
		return instance.Timetable{}, err
	}
	if err := check.Check(p, t); err != nil {
		return instance.Timetable{}, &InternalError{err}
	}
	return t, nil
}

func solve(ctx context.Context, p instance.Problem, o Options) (instance.Timetable, error) {
	switch {
	case p.Refreshes():
		return often(ctx, p, o)
	case p.Style == instance.Staggered:
		q := p
		q.Style = instance.Slots
		nodes := int64(firstNodes)
		if o.Nodes > 0 {
			nodes = min(nodes, o.Nodes)
		}
		return stagger.Solve(ctx, p, inSlots(ctx, q, Options{Nodes: nodes, Bare: true}), o), nil
	}
	return inSlots(ctx, p, o), nil
}

// firstNodes is how long slots are looked for where a staggered timetable is wanted: every slots timetable is one.
const firstNodes = 3_000

// inSlots returns the shortest slots timetable found.
func inSlots(ctx context.Context, p instance.Problem, o Options) instance.Timetable {
	l := bound.Lay(p)
	if l.Plain() && slices.Equal(l.Low.Us, l.High.Us) {
		return slots.Solve(ctx, l, o)
	}
	return order.Solve(ctx, l, o)
}

// InternalError is a timetable made by the solver and refused by the checker.
type InternalError struct{ Refusal error }

func (e *InternalError) Error() string {
	return fmt.Sprintf("internal fault: the timetable does not stand up to its check: %v", e.Refusal)
}

func (e *InternalError) Unwrap() error { return e.Refusal }
