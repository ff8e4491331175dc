package firing

import (
	"context"
	"reflect"
	"strings"
	"testing"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Six that all hear each other from firing to the end of their windows of 61 ms: three of them are enough, 3 x 61 = 183 ms > 150 ms,
// and two are not, in either style. Sound that one of them sends is told of each two.
func TestReasonOfTheBudget(t *testing.T) {
	for _, style := range []string{plan.Slots, plan.Staggered} {
		sc, cl := bench(6, 6), clocks(6, 61*ms, 0)
		var arcs []crosstalk.Arc
		for i := range 6 {
			cl[i].OpenUs, cl[i].DeafUs = 0, 0
			for j := range 6 {
				if i != j {
					arcs = append(arcs, arc(i, j, 0, 61*ms))
				}
			}
		}
		sc.Wishes = scene.Wishes{Style: style, Cycle: 150 * ms}
		r := solve(t, sc, cl, arcs)
		f, _ := finding(r, CodeOverBudget)
		want := "these clash: s1, s2 and s3 must take turns (each disturbs the others): 3 x 61 ms = 183 ms > 150 ms; without any one of them the others fit"
		if f.Reason != want {
			t.Errorf("%s: %q, want %q", style, f.Reason, want)
		}
		job := func(s string) plan.Demand { return plan.Demand{Kind: "job", Sensors: []string{s}, Us: 61000} }
		pair := func(a, b string) plan.Demand { return plan.Demand{Kind: "pair", Sensors: []string{a, b}} }
		if got := r.Schedule.Clash; !reflect.DeepEqual(got, []plan.Demand{job("s1"), job("s2"), job("s3"), pair("s1", "s2"), pair("s1", "s3"), pair("s2", "s3")}) {
			t.Errorf("%s: %+v", style, got)
		}

		sc.Wishes.Cycle = 366 * ms
		if r := solve(t, sc, cl, arcs); len(r.Schedule.Clash) > 0 || !r.Schedule.Met {
			t.Errorf("%s: a reason where the budget is met: %+v", style, r.Schedule.Clash)
		}
		sc.Wishes.Cycle = 150 * ms
		quick, err := Plan(context.Background(), sc, cl, arcs, Options{})
		if f, _ := finding(quick, CodeOverBudget); err != nil || f.Reason != "" || len(quick.Schedule.Clash) > 0 {
			t.Errorf("%s: a reason was looked for, %v", style, err)
		}
	}
}

// One reading at a time is one demand in place of all pairs; what wires contradict clashes however long the cycle; what only ticks make
// too long does not clash, nor what as-read firmware takes.
func TestReasonsOfOtherKinds(t *testing.T) {
	sc := bench(4, 1)
	sc.Wishes.Cycle = 150 * ms
	f, _ := finding(solve(t, sc, clocks(4, 60*ms, 0), nil), CodeOverBudget)
	if want := "these clash: s1, s2 and s3; one at a time: 3 x 60 ms = 180 ms > 150 ms; without any one of them the others fit"; f.Reason != want {
		t.Errorf("%q, want %q", f.Reason, want)
	}

	sc.Controller.Tick, sc.Wishes.Cycle = 7*ms, 240*ms // 4 x 9 ticks = 252 ms
	r := solve(t, sc, clocks(4, 60*ms, 0), nil)
	if f, ok := finding(r, CodeOverBudget); !ok || f.Reason != "" || len(r.Schedule.Clash) > 0 {
		t.Errorf("%+v, %+v", f, r.Schedule.Clash)
	}
	sc.Wishes = scene.Wishes{Style: plan.AsRead, Cycle: 150 * ms}
	if r := solve(t, sc, clocks(4, 60*ms, 0), nil); len(r.Schedule.Clash) > 0 {
		t.Errorf("%+v", r.Schedule.Clash)
	}

	sc = bench(3, 3)
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1, 2}, TriggerShared: true}}
	r = solve(t, sc, clocks(3, 10*ms, 0), []crosstalk.Arc{arc(2, 1, 2*ms, 5*ms)})
	f, ok := finding(r, CodeCannot)
	if want := "these clash, however long the cycle: s2 and s3 disturb one another; s2 and s3 together; without any one of them the others can be kept"; !ok || f.Reason != want {
		t.Errorf("%q, want %q", f.Reason, want)
	}
	if len(r.Schedule.Clash) != 4 || !strings.Contains(f.Text, "no cycle keeps") {
		t.Errorf("%+v, %+v", r.Schedule.Clash, f)
	}
}
