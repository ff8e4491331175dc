package firing

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// airy gives a scene weather and a wish for delays.
func airy(sc *scene.Scene, d scene.Delays) *scene.Scene {
	sc.Air = scene.Air{TemperatureC: scene.Span{Lo: 20, Hi: 20}, HumidityPct: scene.Span{Lo: 50, Hi: 50}, PressurePa: scene.Span{Lo: 101325, Hi: 101325}}
	sc.Wishes.Delays = d
	return sc
}

// Random arrays in both styles and ways, in ticks of every sort, played for some cycles with the delays of the table: no sound meets
// a foreign window, none of a sensor's own an own window of another cycle, jitter at its worst; all delays are whole ticks; and a cycle
// with delays is no shorter than one without.
func TestDelaysPlayed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 3))
	had, costs := 0, 0
	for trial := range 80 {
		n := 2 + rnd.IntN(5)
		sc, cl := bench(n, 1+rnd.IntN(n)), clocks(n, 0, 0)
		airy(sc, scene.Delays{Way: []string{plan.Alternating, plan.Dithered}[trial%2], MoversMS: rnd.Float64() * 2, Span: 15 * ms, Seed: uint64(1 + trial)})
		sc.Wishes.Style = []string{plan.Slots, plan.Staggered}[trial/2%2]
		sc.Wishes.Guard, sc.Wishes.Jitter = time.Duration(rnd.IntN(2000))*us, time.Duration(rnd.IntN(150))*us
		sc.Controller.Tick = []time.Duration{0, 500, 1000, 4000, 64000, 1500}[trial%6]
		for i := range cl {
			cl[i].CloseUs = 1200 + rnd.Int64N(12000)
			cl[i].NeedsUs, cl[i].BusyUs, cl[i].RestUs = cl[i].CloseUs, rnd.Int64N(15000), rnd.Int64N(5000)
		}
		var arcs []crosstalk.Arc
		for range rnd.IntN(3 * n) {
			from := time.Duration(rnd.IntN(25000))
			arcs = append(arcs, arc(rnd.IntN(n), rnd.IntN(n), from*us, (from+time.Duration(rnd.IntN(12000)))*us))
		}
		if n > 2 && trial%5 == 0 {
			sc.Wires = []scene.Wire{{Sensors: []int{0, 2}, TriggerShared: true}}
		}
		r := solve(t, sc, cl, arcs)
		s := r.Schedule
		d := s.Delays
		if d == nil && len(s.Firings) > 0 {
			t.Fatal("no delays in the plan")
		} else if d == nil { // two of one trigger disturb each other
			continue
		}
		if d.Cannot != "" {
			if f, ok := finding(r, CodeNoDelays); !ok || s.Met || f.Severity != plan.NotMet || len(s.Firings[0].DelaysUs) > 0 {
				t.Errorf("trial %d: cannot, and %+v, met %v", trial, f, s.Met)
			}
			continue
		}
		had++
		if s.RunsUs() < d.WithoutUs && s.Proven {
			t.Errorf("trial %d: %d us with delays, %d without", trial, s.RunsUs(), d.WithoutUs)
		} else if s.RunsUs() > d.WithoutUs {
			costs++
		}
		for _, i := range d.Inequalities {
			if !i.Met || (i.Relation == ">") != (i.LeftUs > i.RightUs) {
				t.Errorf("trial %d: %+v", trial, i)
			}
		}
		tickUs := s.TickUs
		for _, f := range s.Firings {
			for _, us := range append(f.DelaysUs, d.ThresholdUs) {
				if x := float64(us) / tickUs; math.Abs(x-math.Round(x)) > 1e-6 {
					t.Errorf("trial %d: %d us in ticks of %g", trial, us, tickUs)
				}
			}
		}
		playDelays(t, trial, sc, cl, arcs, s)
	}
	if had < 50 || costs < 40 {
		t.Errorf("%d plans with delays, %d of them longer: too few to tell", had, costs)
	}
}

// playDelays fires the table at its ticks, each firing in each cycle with its delay, early and late by the jitter.
func playDelays(t *testing.T, trial int, sc *scene.Scene, cl []Clock, arcs []crosstalk.Arc, s plan.Schedule) {
	t.Helper()
	const cycles = 8
	jitter := float64(sc.Wishes.Jitter) / 1e3
	fires := map[string][]float64{}
	for _, f := range s.Firings {
		for n := range cycles {
			fires[f.Sensor] = append(fires[f.Sensor], float64(f.AtTicks)*s.TickUs+float64(n)*s.RealisedCycleUs+float64(f.DelaysUs[n%len(f.DelaysUs)]))
		}
	}
	for _, a := range arcs {
		from, until := float64(a.Starts)/1e3, float64(a.Ends)/1e3
		for n, e := range fires[sc.Sensors[a.From].Name] {
			for m, l := range fires[sc.Sensors[a.To].Name] {
				if a.From == a.To && n == m {
					continue
				}
				if e+from-2*jitter < l+float64(cl[a.To].CloseUs)-1e-6 && e+until+2*jitter > l+float64(cl[a.To].OpenUs)+1e-6 {
					t.Errorf("trial %d (%s, tick %g): sound of %s fired at %.1f meets the window of %s fired at %.1f", trial, s.Style, s.TickUs, sc.Sensors[a.From].Name, e, sc.Sensors[a.To].Name, l)
					return
				}
			}
		}
	}
	for i, c := range cl {
		all := fires[sc.Sensors[i].Name]
		for n := 1; n < len(all); n++ {
			if all[n]-all[n-1]+1e-6 < float64(c.BusyUs+c.RestUs)+2*jitter {
				t.Errorf("trial %d: %s fires again after %.1f us, busy %d and resting %d", trial, sc.Sensors[i].Name, all[n]-all[n-1], c.BusyUs, c.RestUs)
			}
		}
	}
}

// Three in a ring of who hears whom, one at a time, windows of 10 ms, nothing moves: J = 4 x 0.1 ms + 2 us, threshold 402 us, shift
// 804; delays 403, 1209 and 2015 us, rising, so that only the last holds the next cycle up. 3 x 10 + 3 x 1.2 of guard and jitter + 2.015 ms.
func TestAlternatingByHand(t *testing.T) {
	sc, c := bench(3, 1), clocks(3, 10*ms, 0)
	airy(sc, scene.Delays{Way: plan.Alternating})
	sc.Wishes.Guard, sc.Wishes.Jitter, sc.Controller.Tick = ms, 100*us, us
	var arcs []crosstalk.Arc
	for i := range 3 {
		arcs = append(arcs, arc(i, (i+1)%3, 2*ms, 9*ms))
	}
	s := solve(t, sc, c, arcs).Schedule
	d := s.Delays
	if d == nil || d.ThresholdUs != 402 || d.ShiftUs != 804 || d.MostUs != 2015 || d.Classes != 3 || !d.ClassesProven || d.WithoutUs != 33600 || s.CycleUs != 33600+2015 || !s.Proven || !addsUp(firstLine(s.Why), s.CycleUs) {
		t.Fatalf("cycle %d: %+v", s.CycleUs, d)
	}
	if d.ConfirmUs != 2*s.CycleUs+200 || len(d.Inequalities) != 5 {
		t.Errorf("confirmed after %d us: %+v", d.ConfirmUs, d.Inequalities)
	}
	if !strings.Contains(s.Why, "So far without delays: 33.6 ms.") {
		t.Error(s.Why)
	}
}

// Sensors on one trigger have one delay, and the plan says that their own ghosts do not shift. A link of a chain shares that of its
// first.
func TestSetsShareADelay(t *testing.T) {
	for _, way := range []string{plan.Alternating, plan.Dithered} {
		sc, c := bench(4, 4), clocks(4, 10*ms, 0)
		airy(sc, scene.Delays{Way: way, Span: 20 * ms, Seed: 1})
		sc.Wires = []scene.Wire{{Sensors: []int{0, 2}, TriggerShared: true}}
		arcs := []crosstalk.Arc{arc(0, 2, 15*ms, 16*ms), arc(0, 1, 2*ms, 9*ms), arc(1, 3, 2*ms, 9*ms)}
		s := solve(t, sc, c, arcs).Schedule
		of := map[string][]int64{}
		for _, f := range s.Firings {
			of[f.Sensor] = f.DelaysUs
		}
		if s.Delays == nil || !slices.Equal(of["s1"], of["s3"]) || slices.Equal(of["s1"], of["s2"]) || slices.Equal(of["s2"], of["s4"]) {
			t.Errorf("%s: %v", way, of)
		}
		if !slices.ContainsFunc(s.Delays.NotRejected, func(x string) bool { return strings.HasPrefix(x, "s1 and s3 hear each other and fire as one") }) {
			t.Errorf("%s: %q", way, s.Delays.NotRejected)
		}
	}
}

// Too fast for any delays: the plan is made without them, is not met, and says why.
func TestTooFastForDelays(t *testing.T) {
	for _, speed := range []float64{60, 400} {
		sc, c := bench(3, 1), clocks(3, 10*ms, 0)
		airy(sc, scene.Delays{Way: plan.Alternating, MoversMS: speed})
		var arcs []crosstalk.Arc
		for i := range 3 {
			arcs = append(arcs, arc(i, (i+1)%3, 2*ms, 9*ms))
		}
		r := solve(t, sc, c, arcs)
		f, ok := finding(r, CodeNoDelays)
		if !ok || r.Schedule.Met || len(r.Schedule.Firings) != 3 || r.Schedule.Firings[1].DelaysUs != nil || !strings.Contains(f.Text, "outrun") {
			t.Errorf("%g m/s: %+v, met %v", speed, f, r.Schedule.Met)
		}
	}
}

// A clock that may be off, a machine that turns and a far-out sensor all add to how fast echoes change.
func TestClosingSpeed(t *testing.T) {
	sc := airy(bench(1, 1), scene.Delays{Way: plan.Alternating, MoversMS: 1})
	sc.Sensors[0].At.X, sc.Sensors[0].At.Y = 3, 4
	sc.Motion = &scene.Motion{SpeedMS: 2, TurnRadS: scene.Span{Lo: -0.4, Hi: 0.2}}
	sc.Controller.ClockError = 0.01
	got, err := closingOf(sc)
	// 1 + 2 + 5 m x 0.4/s; sound at 20 degC and 50 % as in package acoustics, some 344 m/s.
	if want := 1.01 * 1.01 * 2 * 5 / (344 - 5); err != nil || got.ms != 5 || math.Abs(got.drift/want-1) > 0.005 {
		t.Errorf("%+v, %v; want 5 m/s and %.5f", got, err, want)
	}
}

func TestStepIsWholeTicks(t *testing.T) {
	for tick, want := range map[time.Duration]int64{0: 1, 500: 1, 1000: 1, 62: 31, 1500: 3, 4000: 4, 333333: 333333} {
		if got := stepUs(tick); got != want {
			t.Errorf("tick %v: %d us, want %d", tick, got, want)
		}
	}
}

// The bound of a rising table against all orders, on arrays so small that all can be
// tried: sensors take turns, each as long as it listens.
func TestRisingBound(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 9))
	for trial := range 30 {
		n := 2 + rnd.IntN(4)
		sc, cl := bench(n, 1), clocks(n, 0, 0)
		airy(sc, scene.Delays{Way: plan.Alternating, MoversMS: rnd.Float64() * 3})
		var arcs []crosstalk.Arc
		for i := range n {
			cl[i].CloseUs = 5000 + rnd.Int64N(9000)
			cl[i].NeedsUs = cl[i].CloseUs
			for j := range i {
				if rnd.IntN(2) == 0 {
					arcs = append(arcs, arc(i, j, 0, 4*ms))
				}
			}
		}
		s := solve(t, sc, cl, arcs).Schedule
		if s.Delays.Cannot != "" {
			t.Fatal(s.Delays.Cannot)
		}
		late := map[string]int64{}
		for _, f := range s.Firings {
			late[f.Sensor] = f.MostDelayUs()
		}
		best := int64(math.MaxInt64)
		permute(n, func(order []int) {
			at := int64(0)
			for k, i := range order[1:] {
				before := order[k]
				at += cl[before].CloseUs + max(0, late[sc.Sensors[before].Name]-late[sc.Sensors[i].Name])
			}
			last := order[n-1]
			best = min(best, at+cl[last].CloseUs+late[sc.Sensors[last].Name])
		})
		if s.CycleUs != best || s.LowerBoundUs != best || !s.Proven {
			t.Errorf("trial %d: %d us, bound %d, proven %v; of all orders the shortest is %d", trial, s.CycleUs, s.LowerBoundUs, s.Proven, best)
		}
	}
}

func permute(n int, do func(order []int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var from func(k int)
	from = func(k int) {
		if k == n {
			do(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			from(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	from(0)
}

// Delays much longer than windows let one sensor overtake the other from cycle to cycle: two that take turns of 10 ms, the one delayed
// by d, the other by 3d, can do with 3d and one turn, where the table made here takes 3d and both. Nothing is called proven then.
func TestOvertakingIsNotProven(t *testing.T) {
	sc, c := bench(2, 1), clocks(2, 10*ms, 0)
	airy(sc, scene.Delays{Way: plan.Alternating, MoversMS: 22})
	s := solve(t, sc, c, []crosstalk.Arc{arc(0, 1, 2*ms, 9*ms)}).Schedule
	if d := s.Delays; d.MostUs*2/3 < 20_000 || s.CycleUs != 20_000+d.MostUs || s.Proven || s.LowerBoundUs > 10_000+d.MostUs {
		t.Errorf("cycle %d, bound %d, delays up to %d, proven %v", s.CycleUs, s.LowerBoundUs, d.MostUs, s.Proven)
	}
}

// A refresh counts from a firing in time to the next one late: one that is kept without delays, of 33.6 ms and jitter, is not to be missed
// for them. Drift 0: alternating adds 403 us of delay at the least and 2 ms of cycle, dithered 10 ms thrice.
func TestDelaysDoNotMissARefresh(t *testing.T) {
	arcs := []crosstalk.Arc{arc(0, 1, 2*ms, 9*ms), arc(1, 2, 2*ms, 9*ms), arc(2, 0, 2*ms, 9*ms)}
	for _, way := range []string{"", plan.Alternating, plan.Dithered} {
		for _, asked := range []time.Duration{33800 * us, 80 * ms} {
			sc, c := bench(3, 1), clocks(3, 10*ms, 0)
			airy(sc, scene.Delays{Way: way, Span: 10 * ms, Seed: 1})
			sc.Wishes.Guard, sc.Wishes.Jitter, sc.Controller.Tick = ms, 100*us, us
			sc.Wishes.Refresh = []time.Duration{0, asked, 0}
			r := solve(t, sc, c, arcs)
			s := r.Schedule
			can := way == "" || asked == 80*ms
			if len(s.Refresh) != 1 || !s.Refresh[0].Met || s.Met != can || (s.Delays != nil && s.Delays.Cannot != "") == can {
				t.Errorf("%q, every %v: cycle %d us, %+v, met %v, %+v", way, asked, s.CycleUs, s.Refresh, s.Met, s.Delays)
			}
			if f, ok := finding(r, CodeNoDelays); ok == can || way == plan.Alternating && ok && !strings.Contains(f.Text, "and shall every 33.8 ms") {
				t.Errorf("%q, every %v: %s", way, asked, f.Text)
			}
			late := map[string]int64{plan.Alternating: s.Firings[slices.IndexFunc(s.Firings, func(f plan.Firing) bool { return f.Sensor == "s2" })].MostDelayUs(), plan.Dithered: 10_000}
			if can && s.Refresh[0].KeptUs != s.CycleUs+200+late[way] {
				t.Errorf("%q: kept %d us in a cycle of %d, late by %d", way, s.Refresh[0].KeptUs, s.CycleUs, late[way])
			}
		}
	}
}
