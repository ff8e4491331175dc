// Package scheduler turns jobs, silences and shared resources into a cyclic timetable, with a
// lower bound on its length and what makes that bound. It speaks of jobs and microseconds, not
// of sound.
//
//	scheduler ─► slots ─► bound ─► instance
//	scheduler ─► check ─────────► instance      (shares no code with the solver)
//
// In: an instance.Problem. Out: an instance.Timetable that package check has replayed and found
// sound. The style of this release is slots: groups of jobs fire together, one group after the
// other; package slots says what a slot is. The same problem gives the same timetable, unless
// the context ends first.
package scheduler

import (
	"context"
	"fmt"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
	"echowright/scheduler/slots"
)

// Options of Solve; the zero value searches until the answer is proven or the context ends.
type Options = slots.Options

// Solve returns the shortest slots timetable found. When the context ends or the node limit is
// reached first, that is the best so far with Proven false and a lower bound below it; a valid
// timetable is returned in any case. A faulty problem is an *instance.Fault; a timetable that
// the checker refuses is an *InternalError.
func Solve(ctx context.Context, p instance.Problem, o Options) (instance.Timetable, error) {
	if err := p.Validate(); err != nil {
		return instance.Timetable{}, err
	}
	t := slots.Solve(ctx, p, o)
	if err := check.Check(p, t); err != nil {
		return instance.Timetable{}, &InternalError{err}
	}
	return t, nil
}

// InternalError is a timetable made by the solver and refused by the checker.
type InternalError struct{ Refusal error }

func (e *InternalError) Error() string {
	return fmt.Sprintf("internal fault: the timetable does not stand up to its check: %v", e.Refusal)
}

func (e *InternalError) Unwrap() error { return e.Refusal }
