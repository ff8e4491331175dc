package scheduler_test

import (
	"context"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/instance"
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
