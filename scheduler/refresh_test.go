package scheduler_test

import (
	"context"
	"errors"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// pinwheel is unit windows of w, one at once, each at least once in every so many.
func pinwheel(style instance.Style, w int64, every ...int64) instance.Problem {
	p := instance.Problem{Style: style, AtOnce: 1}
	for _, a := range every {
		p.Jobs = append(p.Jobs, instance.Job{CloseUs: w, EveryUs: a * w})
	}
	return p
}

// Lists of Gasieniec, Smith, Wild, "Towards the 5/6-density conjecture of pinwheel scheduling", ALENEX 2022, and of
// Holte et al., "The pinwheel: a real-time scheduling problem", HICSS 1989.
func TestPinwheelsThatTurn(t *testing.T) {
	for _, c := range []struct {
		every []int64
		cycle int64
	}{
		{[]int64{2, 4, 4}, 4}, {[]int64{3, 4, 6, 6}, 6}, {[]int64{3, 4, 5, 8}, 8}, {[]int64{4, 5, 6, 7, 8}, 12}, {[]int64{2, 4, 8, 8}, 8}, {[]int64{2, 6, 6, 6}, 6},
	} {
		for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
			for _, w := range []int64{1, 12_000} {
				p := pinwheel(style, w, c.every...)
				tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 300_000})
				if err != nil || !tt.Proven || tt.CycleUs != c.cycle*w {
					t.Errorf("%v %v: %d us, proven %v, %v; want %d", style, c.every, tt.CycleUs, tt.Proven, err, c.cycle*w)
				}
			}
		}
	}
}

// Lists of the same, density 17/18 to 1.01 included: that none of them can turn is proven by looking at every state.
func TestPinwheelsThatDoNot(t *testing.T) {
	for _, every := range [][]int64{{2, 3, 6}, {2, 3, 12}, {2, 3, 100}, {3, 4, 5, 6}} {
		for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
			for _, w := range []int64{1, 12_000} {
				tt, err := scheduler.Solve(context.Background(), pinwheel(style, w, every...), scheduler.Options{Nodes: 300_000})
				var cannot *instance.Cannot
				if !errors.As(err, &cannot) {
					t.Errorf("%v %v: %v, %v", style, every, err, tt)
				}
				t.Log(err)
			}
		}
	}
	// Five in a ring, each in conflict with both neighbours only: no two neighbours ask for more than 5/6. Rates sum to 2, two
	// at most fire together, so all periods are exact, and neighbours with exact periods of 2 and 3 collide.
	ring := pinwheel(instance.Slots, 1, 2, 3, 2, 3, 3)
	ring.AtOnce, ring.Conflicts = 0, st.Ring(5, 1)
	_, err := scheduler.Solve(context.Background(), ring, scheduler.Options{Nodes: 300_000})
	var cannot *instance.Cannot
	if !errors.As(err, &cannot) {
		t.Errorf("ring: %v", err)
	}
	t.Log(err)
}
