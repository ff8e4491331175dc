package scheduler_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// Three of 10 ms that take turns and ask for 20, 30 and 60 ms (the pinwheel 2, 3, 6 does not turn): with 1 2 1 3 for ever all limits must be
// a third longer, for the second then waits 40 ms. In cycles of at most 30 ms each fires once, so the first waits half as long again.
func TestWidest(t *testing.T) {
	p := instance.Problem{AtOnce: 1, Jobs: []instance.Job{{CloseUs: 10_000, EveryUs: 20_000}, {CloseUs: 10_000, EveryUs: 30_000}, {CloseUs: 10_000, EveryUs: 60_000}}}
	for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
		p.Style = style
		for _, c := range [][3]int64{{0, 4, 3}, {30_000, 3, 2}, {39_999, 3, 2}, {40_000, 4, 3}, {10_000, 4, 3}} {
			p.BudgetUs = c[0]
			w, err := scheduler.Widest(context.Background(), p, scheduler.Options{})
			if err != nil || w.Num != c[1] || w.Den != c[2] || !w.Proven {
				t.Errorf("%v, budget %d: %d/%d, above %d per mille, proven %v, %v; want %d/%d", style, c[0], w.Num, w.Den, w.LeastPermille, w.Proven, err, c[1], c[2])
			}
		}
	}
	// With a margin: 1 2 1 2 for ever is as tight as it gets.
	p.BudgetUs, p.Jobs = 0, []instance.Job{{CloseUs: 10, EveryUs: 40}, {CloseUs: 10, EveryUs: 50}}
	if w, err := scheduler.Widest(context.Background(), p, scheduler.Options{}); err != nil || w.Num != 1 || w.Den != 2 || !w.Proven {
		t.Errorf("%+v, %v", w, err)
	}
}

// Whatever the limits, the answer keeps them stretched, and not with a factor smaller by a thousandth; nor does Solve find one that keeps
// them where the factor is proven to be above 1.
func TestWidestIsValid(t *testing.T) {
	r := rand.New(rand.NewPCG(81, 82))
	proven := 0
	for k := range 60 {
		p := drawOften(r, 2+k%3, 20)
		w, err := scheduler.Widest(context.Background(), p, scheduler.Options{Nodes: 20_000})
		if err != nil {
			t.Fatalf("problem %d: %v\n%+v", k, err, p)
		}
		if w.Num == 0 {
			continue
		}
		if err := check.Check(scheduler.Stretch(p, w.Num, w.Den), w.Timetable); err != nil {
			t.Fatalf("problem %d: %v", k, err)
		}
		if err := check.Check(scheduler.Stretch(p, w.Num-1, w.Den), w.Timetable); err == nil && w.Num > w.Den {
			t.Errorf("problem %d: keeps less than %d/%d\n%+v", k, w.Num, w.Den, p)
		}
		if w.Proven {
			proven++
		}
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 2_000, Bare: true})
		if err == nil && w.LeastPermille >= 1000 {
			t.Errorf("problem %d: %+v keeps the limits, said to need more than %d per mille", k, tt, w.LeastPermille)
		}
	}
	if proven < 30 {
		t.Errorf("only %d proven", proven)
	}
}
