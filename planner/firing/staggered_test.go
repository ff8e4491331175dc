package firing

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// ringOf is n sensors, each of which harms k on either side if they listen at once, with windows of 10 ms.
func ringOf(n, k int) (*scene.Scene, []Clock, []crosstalk.Arc) {
	sc, c := bench(n, n), clocks(n, 10*ms, 0)
	for i := range c {
		c[i].OpenUs, c[i].DeafUs = 0, 0
	}
	var arcs []crosstalk.Arc
	for i := range n {
		for d := 1; d <= k; d++ {
			j := (i + d) % n
			arcs = append(arcs, arc(i, j, 0, 10*ms), arc(j, i, 0, 10*ms))
		}
	}
	return sc, c, arcs
}

// The published cases: a ring of five takes three windows in slots and 2.5 staggered, sixteen with two neighbours a side 4 and 3.2
// (circular chromatic number of powers of cycles: Deuber and Zhu 1996).
func TestRingsAreShorterStaggered(t *testing.T) {
	for _, c := range []struct {
		n, k            int
		slots, staggers int64
	}{{5, 1, 30000, 25000}, {16, 2, 40000, 32000}, {8, 2, 40000, 40000}} {
		sc, cl, arcs := ringOf(c.n, c.k)
		sc.Wishes.Style = plan.Staggered
		s := solve(t, sc, cl, arcs).Schedule
		if s.CycleUs != c.staggers || s.SlotsCycleUs != c.slots || !s.Proven || !s.SlotsProven || s.Style != plan.Staggered {
			t.Errorf("%d, %d: %d us, %d in slots, proven %v and %v", c.n, c.k, s.CycleUs, s.SlotsCycleUs, s.Proven, s.SlotsProven)
		}
		if line := firstLine(s.Why); !strings.HasPrefix(line, "cannot be shorter: ") || c.slots > c.staggers && !strings.HasSuffix(line, plan.Milliseconds(c.slots)+" in slots") {
			t.Error(line)
		}
		replay(t, sc, cl, arcs, s)
	}
}

// Random arrays, in ticks of every sort: the staggered cycle is no longer than that of slots, the table played lets no sound in, its
// ticks are exact, and the table in ticks stands up to the scheduler's checker, in nanoseconds.
func TestStaggeredPlayed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(6, 1))
	shorter := 0
	for trial := range 60 {
		n := 2 + rnd.IntN(6)
		sc, cl := bench(n, 1+rnd.IntN(n)), clocks(n, 0, 0)
		sc.Wishes.Style, sc.Wishes.Guard = plan.Staggered, time.Duration(rnd.IntN(2000))*time.Microsecond
		tick := []time.Duration{0, 500, 1000, 4000, 64000, 1500, 333333}[trial%7]
		sc.Controller.Tick = tick
		for i := range cl {
			cl[i].CloseUs = 1200 + rnd.Int64N(20000)
			cl[i].BusyUs = rnd.Int64N(30000)
			cl[i].RestUs = rnd.Int64N(10000)
		}
		var arcs []crosstalk.Arc
		for range rnd.IntN(3 * n) {
			from := time.Duration(rnd.IntN(30000)) * time.Microsecond
			arcs = append(arcs, arc(rnd.IntN(n), rnd.IntN(n), from, from+time.Duration(1+rnd.IntN(20000))*time.Microsecond))
		}
		r, err := Plan(t.Context(), sc, cl, arcs, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := r.Schedule
		replay(t, sc, cl, arcs, s)
		if got := (&plan.Plan{Schedule: s, Crosstalk: r.Arcs}); got.Disturbed() != 0 {
			t.Errorf("tick %v: %d pairs disturb: %+v", tick, got.Disturbed(), s)
		}
		if tick <= 1000 && s.CycleUs > s.SlotsCycleUs {
			t.Errorf("tick %v: %d us, %d in slots", tick, s.CycleUs, s.SlotsCycleUs)
		}
		if s.CycleUs < s.SlotsCycleUs {
			shorter++
		}
		if s.Proven && s.LowerBoundUs != s.CycleUs || s.LowerBoundUs > s.CycleUs {
			t.Errorf("tick %v: %d us, bound %d, proven %v", tick, s.CycleUs, s.LowerBoundUs, s.Proven)
		}
		if math.Abs(s.RealisedCycleUs-float64(s.CycleTicks)*s.TickUs) > 1e-6 || s.RealisedCycleUs < float64(s.LowerBoundUs) {
			t.Errorf("tick %v: %d ticks last %g us, bound %d", tick, s.CycleTicks, s.RealisedCycleUs, s.LowerBoundUs)
		}
		checkTicks(t, sc, cl, arcs, s)
	}
	if shorter < 15 {
		t.Errorf("staggered was shorter in %d of 60", shorter)
	}
}

// checkTicks holds the table in ticks to the problem, both in nanoseconds.
func checkTicks(t *testing.T, sc *scene.Scene, cl []Clock, arcs []crosstalk.Arc, s plan.Schedule) {
	t.Helper()
	p, _ := Problem(sc, cl, arcs)
	p.Style = instance.Staggered
	const ns = 1000
	for i, j := range p.Jobs {
		p.Jobs[i] = instance.Job{Name: j.Name, OpenUs: j.OpenUs * ns, CloseUs: j.CloseUs * ns, BusyUs: j.BusyUs * ns, RestUs: j.RestUs * ns, TransferUs: j.TransferUs * ns}
	}
	for i := range p.Arcs {
		p.Arcs[i].FromUs *= ns
		p.Arcs[i].UntilUs *= ns
	}
	for _, r := range p.Resources {
		for i := range r.Uses {
			r.Uses[i].FromUs *= ns
			r.Uses[i].UntilUs *= ns
		}
	}
	p.GuardUs, p.JitterUs, p.BudgetUs = p.GuardUs*ns, p.JitterUs*ns, 0
	tick := int64(math.Round(s.TickUs * ns))
	tt := instance.Timetable{CycleUs: s.CycleTicks * tick}
	for _, f := range s.Firings {
		for j := range p.Jobs {
			if p.Jobs[j].Name == f.Sensor {
				tt.Firings = append(tt.Firings, instance.Firing{Job: j, AtUs: f.AtTicks * tick})
			}
		}
	}
	if err := check.Check(p, tt); err != nil {
		t.Errorf("tick %g us: %v", s.TickUs, err)
	}
}

// A budget that slots miss and staggered firing keeps is met, and one that neither keeps is answered by ways out solved in the same
// style.
func TestStaggeredBudget(t *testing.T) {
	sc, cl, arcs := ringOf(5, 1)
	sc.Wishes.Style, sc.Wishes.Cycle = plan.Staggered, 26*ms
	if s := solve(t, sc, cl, arcs).Schedule; !s.Met {
		t.Errorf("%+v", s)
	}
	for i := range cl {
		cl[i].BusyUs = 20000
	}
	sc.Controller.AtOnce, sc.Wishes.Cycle = 1, 60*ms
	r := solve(t, sc, cl, arcs)
	f, ok := finding(r, CodeOverBudget)
	if !ok || r.Schedule.Met || !strings.Contains(f.Mend, "a controller that takes all readings at once that sound allows: cycle 25 ms, within the 60 ms asked") {
		t.Errorf("met %v: %s", r.Schedule.Met, f.Mend)
	}
}
