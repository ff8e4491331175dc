package firing

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

const ms = time.Millisecond

// bench is a layout of n equal sensors of one kind and a controller that takes atOnce readings at once.
func bench(n, atOnce int) *scene.Scene {
	sc := &scene.Scene{
		Name:       "bench",
		Around:     scene.Around{WallsM: scene.Span{Lo: 0.5, Hi: 4}, Bounces: 1},
		Kinds:      []scene.Kind{{Name: "can", Timing: scene.Timing{By: scene.ByModule}}},
		Controller: scene.Controller{Reading: scene.Capture, AtOnce: atOnce},
	}
	for i := range n {
		sc.Sensors = append(sc.Sensors, scene.Sensor{Name: fmt.Sprintf("s%d", i+1)})
	}
	return sc
}

// clocks are n equal ones that listen from 1 ms until closes and are busy until busy.
func clocks(n int, closes, busy time.Duration) []Clock {
	out := make([]Clock, n)
	for i := range out {
		out[i] = Clock{OpenUs: 1000, DeafUs: 1200, CloseUs: closes.Microseconds(), BusyUs: busy.Microseconds(), NeedsUs: closes.Microseconds(), ListenM: 2}
	}
	return out
}

func arc(from, to int, starts, ends time.Duration) crosstalk.Arc {
	return crosstalk.Arc{From: from, To: to, Path: crosstalk.Wall, Starts: starts, Ends: ends, LevelDB: 10}
}

func solve(t *testing.T, sc *scene.Scene, c []Clock, arcs []crosstalk.Arc) Result {
	t.Helper()
	r, err := Plan(context.Background(), sc, c, arcs, Options{Try: true})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}

func finding(r Result, code string) (plan.Finding, bool) {
	for _, f := range r.Findings {
		if f.Code == code {
			return f, true
		}
	}
	return plan.Finding{}, false
}

// A blocking controller reads one sensor after the other: the cycle is the sum, by hand 4 x (60 + 1) ms.
func TestOneReadingAtATime(t *testing.T) {
	sc := bench(4, 1)
	sc.Controller.Reading = scene.Blocking
	sc.Wishes = scene.Wishes{Guard: ms, Cycle: 250 * ms}
	r := solve(t, sc, clocks(4, 12*ms, 60*ms), nil)
	s := r.Schedule
	if s.CycleUs != 244000 || !s.Proven || !s.Met || len(s.Groups) != 4 {
		t.Errorf("cycle %d us, proven %v, met %v, groups %v", s.CycleUs, s.Proven, s.Met, s.Groups)
	}
	if want := "cannot be shorter: one reading at a time, 4 x 60 ms + 4 guards of 1 ms = 244 ms"; firstLine(s.Why) != want {
		t.Errorf("why: %q, want %q", s.Why, want)
	}
	if s.AllAtOnce != 0 {
		t.Errorf("%d pairs harmed without any arc", s.AllAtOnce)
	}
}

// Jitter of either firing eats into the guard from both sides.
func TestGuardTakesInJitter(t *testing.T) {
	sc := bench(2, 1)
	sc.Wishes = scene.Wishes{Guard: ms, Jitter: 100 * time.Microsecond}
	if s := solve(t, sc, clocks(2, 10*ms, 0), nil).Schedule; s.GuardUs != 1200 || s.CycleUs != 2*11200 {
		t.Errorf("guard %d us, cycle %d us", s.GuardUs, s.CycleUs)
	}
}

// Three sensors that hear each other take turns; a fourth that hears nobody goes with the first.
func TestTakeTurns(t *testing.T) {
	sc := bench(4, 4)
	var arcs []crosstalk.Arc
	for i := range 3 {
		for j := range 3 {
			if i != j {
				arcs = append(arcs, arc(i, j, 2*ms, 5*ms))
			}
		}
	}
	r := solve(t, sc, clocks(4, 10*ms, 0), arcs)
	s := r.Schedule
	if s.CycleUs != 30000 || !s.Proven || len(s.Groups) != 3 || s.AllAtOnce != 6 {
		t.Errorf("%+v", s)
	}
	if !reflect.DeepEqual(s.MadeBy, []string{"s1", "s2", "s3"}) {
		t.Errorf("made by %v", s.MadeBy)
	}
	if want := "cannot be shorter: s1, s2 and s3 disturb one another and must take turns, 3 x 10 ms = 30 ms"; firstLine(s.Why) != want {
		t.Errorf("why: %q, want %q", s.Why, want)
	}
	f, ok := finding(r, CodeTakeTurns)
	if !ok || !strings.Contains(f.Text, "for walls from 0.5 to 4 m") {
		t.Errorf("no word on the walls: %+v", f)
	}
	for k, a := range r.Arcs {
		if !a.Harms {
			t.Errorf("arc %d harms nobody", k)
		}
	}
}

// Every code of finding, each by the smallest layout that raises it, and none by a layout in order.
func TestFindings(t *testing.T) {
	quiet := bench(2, 2)
	quiet.Wishes.Cycle = 20 * ms
	if r := solve(t, quiet, clocks(2, 10*ms, 0), nil); len(r.Findings) != 0 || !r.Schedule.Met {
		t.Errorf("findings in a layout in order: %+v", r.Findings)
	}
	for _, c := range []struct {
		code, severity, text string
		change               func(sc *scene.Scene, c []Clock) []crosstalk.Arc
	}{
		{CodeOverBudget, plan.NotMet, "one cycle takes 10 ms, asked 5 ms", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Wishes.Cycle = 5 * ms
			return nil
		}},
		{CodeGroupLasts, plan.Note, "group 1 lasts 60 ms because s1 holds its line when nothing answers; its window needs 10 ms", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds[0].Timing.BusyWithoutEcho = 60 * ms
			c[0].BusyUs, c[1].BusyUs = 60000, 60000
			return nil
		}},
		{CodeGroupLasts, plan.Note, "because the answer of s1 is fetched only then; its window needs 10 ms", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds[0].Timing.AnswerAfter = 65 * ms
			c[0].BusyUs = 65000
			return nil
		}},
		{CodeGroupLasts, plan.Note, "group 1 lasts 40 ms because s1 listens until its own time-out; its window needs 10 ms", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			c[0].CloseUs = 40000
			return nil
		}},
		{CodeGroupLasts, plan.Note, "group 1 lasts 29 ms because what s1 sends can still be taken by s2 until then", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			return []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms)}
		}},
		{CodeTakeTurns, plan.Note, "s1 and s2 can disturb one another (for walls from 0.5 to 4 m) and take turns", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			return []crosstalk.Arc{arc(0, 1, 2*ms, 3*ms)}
		}},
		{CodeByItself, plan.NotMet, "s2 fires by itself every 50 ms to 55 ms and cannot be told when; sooner or later its sound falls into the window of s1", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			own := sc.Kinds[0]
			own.Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: 50 * ms, Hi: 55 * ms}}
			sc.Kinds = append(sc.Kinds, own)
			sc.Sensors[1].Kind = 1
			return []crosstalk.Arc{arc(1, 0, 20*ms, 21*ms)}
		}},
		{CodeCannot, plan.NotMet, "no cycle keeps all that is asked: s1 and s2 must fire together, but then sound of s1 can be taken by s2 (for walls from 0.5 to 4 m)", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
			return []crosstalk.Arc{arc(0, 1, 2*ms, 3*ms)}
		}},
		{CodeCannot, plan.NotMet, "s1 and s2 must fire together, but the controller waits for one echo after the other", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
			sc.Controller = scene.Controller{Reading: scene.Blocking, AtOnce: 1}
			return nil
		}},
		{CodeOneReader, plan.Look, "a reader that waits for each echo takes one reading at a time, not the 2 asked", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Controller.Reading = scene.Blocking
			return nil
		}},
		{CodeOwnLine, plan.Note, "no wire says which bus s1 and s2 answer on: each is taken to have a line of its own", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds[0].Interface = scene.Serial
			return nil
		}},
		{CodeWindowFixed, plan.Look, "asked to listen to 0.40 m, but the window of can cannot be set: it listens to 2.00 m", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds[0].Timing.BusyWithoutEcho = 10 * ms
			sc.Sensors[1].ListenM = 0.4
			return nil
		}},
		{CodePeakCurrent, plan.NotMet, "s1 draws 250 mA as it fires, the rail allows 200 mA", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds = append(sc.Kinds, sc.Kinds[0])
			sc.Kinds[0].Supply.PeakA.X = 0.25
			sc.Sensors[1].Kind = 1
			sc.Controller = scene.Controller{AtOnce: 1, RailLimitA: 0.2}
			return nil
		}},
		{CodeRail, plan.Note, "the rail gives 200 mA and 2 bursts at once may draw 240 mA: they never fire together", func(sc *scene.Scene, c []Clock) []crosstalk.Arc {
			sc.Kinds[0].Supply.PeakA.X = 0.12
			sc.Controller.RailLimitA = 0.2
			return nil
		}},
	} {
		sc, cl := bench(2, 2), clocks(2, 10*ms, 0)
		arcs := c.change(sc, cl)
		r := solve(t, sc, cl, arcs)
		f, ok := finding(r, c.code)
		if !ok || f.Severity != c.severity || !strings.Contains(f.Text, c.text) {
			t.Errorf("%s: want %q in %+v", c.code, c.text, r.Findings)
		}
		if len(r.Findings) != 1 {
			t.Errorf("%s: not alone: %+v", c.code, r.Findings)
		}
		if met := c.severity != plan.NotMet; r.Schedule.Met != met {
			t.Errorf("%s: met is %v", c.code, r.Schedule.Met)
		}
	}
}

// Each way out of a cycle too long is reckoned by solving again; the sums by hand: windows of 12 ms in place of lines held
// for 60 ms, a guard of 1 ms each, one reading at a time or all four.
func TestWaysOutAreSolvedAgain(t *testing.T) {
	for _, c := range []struct {
		budget time.Duration
		want   string
	}{
		{200 * ms, "modules in place of s1, s2, s3 and s4 whose window can be set and whose line is free sooner (12 ms instead of 60 ms): cycle 52 ms, within the 200 ms asked; " +
			"a controller that takes all readings at once that sound allows: cycle 61 ms, within the 200 ms asked; such a controller and all such modules: cycle 13 ms, within the 200 ms asked"},
		{40 * ms, "(12 ms instead of 60 ms): cycle 52 ms, not enough by itself; a controller that takes all readings at once that sound allows: cycle 61 ms, not enough by itself; " +
			"such a controller and all such modules: cycle 13 ms, within the 40 ms asked"},
	} {
		sc := bench(4, 1)
		sc.Wishes = scene.Wishes{Guard: ms, Cycle: c.budget}
		f, ok := finding(solve(t, sc, clocks12of60(), nil), CodeOverBudget)
		if !ok || !strings.HasSuffix(f.Mend, c.want) {
			t.Errorf("budget %v: %q, want %q", c.budget, f.Mend, c.want)
		}
	}
}

func clocks12of60() []Clock {
	out := clocks(4, 60*ms, 60*ms)
	for i := range out {
		out[i].NeedsUs = 12000
	}
	return out
}

// More readings at a time are named only where the controller's limit is what binds: not where the rail gives no more, nor
// where sensors of one trigger disturb one another.
func TestMoreReadingsOnlyWhereTheyBind(t *testing.T) {
	for _, c := range []struct {
		code   string
		change func(sc *scene.Scene)
		arcs   []crosstalk.Arc
		want   bool
	}{
		{CodeOverBudget, func(sc *scene.Scene) {}, nil, true},
		{CodeOverBudget, func(sc *scene.Scene) { sc.Controller.AtOnce = 2 }, nil, false},
		{CodeOverBudget, func(sc *scene.Scene) { sc.Kinds[0].Supply.PeakA.X, sc.Controller.RailLimitA = 0.15, 0.2 }, nil, false},
		{CodeCannot, func(sc *scene.Scene) { sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}} }, nil, true},
		{CodeCannot, func(sc *scene.Scene) {
			sc.Controller.AtOnce = 2
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
		}, []crosstalk.Arc{arc(0, 1, 2*ms, 3*ms)}, false},
	} {
		sc := bench(2, 1)
		sc.Wishes.Cycle = 5 * ms
		c.change(sc)
		f, ok := finding(solve(t, sc, clocks(2, 10*ms, 0), c.arcs), c.code)
		if got := strings.Contains(f.Mend, "readings at once"); !ok || got != c.want {
			t.Errorf("%s: %+v, want %v", c.code, f, c.want)
		}
	}
}

// Groups that last long for one reason are told together, and every sensor that makes them so is named.
func TestGroupsOfOneReasonNameAllTheirSensors(t *testing.T) {
	sc := bench(4, 1)
	f, ok := finding(solve(t, sc, clocks12of60(), nil), CodeGroupLasts)
	if want := "groups 1, 2, 3 and 4 last 60 ms because s1, s2, s3 and s4 listen until their own time-out; their windows need 12 ms"; !ok || f.Text != want {
		t.Errorf("%q, want %q", f.Text, want)
	}
	if !strings.HasSuffix(f.Mend, ": cycle 48 ms instead of 240 ms") {
		t.Errorf("mend: %q", f.Mend)
	}
}

// Ticks are rounded outward: with a tick of 64 us each pause of 10 ms becomes 157 ticks (10.048 ms), a window that ends at
// 10 ms ends with tick 157, one that opens at 1.2 ms opens with tick 18.
func TestTicksAreRoundedOutward(t *testing.T) {
	sc := bench(2, 1)
	sc.Controller.Tick = 64 * time.Microsecond
	s := solve(t, sc, clocks(2, 10*ms, 0), nil).Schedule
	if s.TickUs != 64 || s.CycleTicks != 314 || s.RealisedCycleUs != 20096 {
		t.Errorf("tick %g us, cycle %d ticks, %g us", s.TickUs, s.CycleTicks, s.RealisedCycleUs)
	}
	for k, f := range s.Firings {
		if at := int64(157 * k); f.AtTicks != at || f.ListenFromTicks != at+18 || f.ListenUntilTicks != at+157 {
			t.Errorf("firing %d: %+v", k, f)
		}
	}
	sc.Wishes.Cycle = 20050 * time.Microsecond
	if s := solve(t, sc, clocks(2, 10*ms, 0), nil).Schedule; s.Met {
		t.Error("the cycle in whole ticks is longer than asked, yet met")
	}
}

// Deaf until for certain is not the same as deaf until at least.
func TestListenFromIsWhenDeafnessEndsForCertain(t *testing.T) {
	s := solve(t, bench(2, 1), clocks(2, 10*ms, 0), nil).Schedule
	for _, f := range s.Firings {
		if f.MayHearFromUs != f.AtUs+1000 || f.ListenFromUs != f.AtUs+1200 {
			t.Errorf("%+v", f)
		}
	}
}

// A search cut off before its proof says so.
func TestNotProven(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	sc, cl := bench(60, 60), clocks(60, 10*ms, 0)
	var arcs []crosstalk.Arc
	for i := range 60 {
		cl[i].CloseUs += rnd.Int64N(20000)
		for j := range 60 {
			if i != j && rnd.IntN(4) == 0 {
				arcs = append(arcs, arc(i, j, 2*ms, 5*ms))
			}
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	r, err := Plan(ctx, sc, cl, arcs, Options{Try: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := finding(r, CodeNotProven); r.Schedule.Proven || !ok {
		t.Errorf("proven %v, findings %+v", r.Schedule.Proven, r.Findings)
	}
	if !strings.HasPrefix(r.Schedule.Why, "the best found: ") || strings.Contains(firstLine(r.Schedule.Why), "not proven") {
		t.Errorf("why: %s", r.Schedule.Why)
	}
}

// With modules that fire by themselves alone there is nothing to plan, and that is no fault.
func TestNothingToPlan(t *testing.T) {
	sc := bench(2, 2)
	sc.Kinds[0].Timing.By = scene.ByItself
	r := solve(t, sc, clocks(2, 10*ms, 0), []crosstalk.Arc{arc(0, 1, ms, 2*ms)})
	if r.Schedule.Met || len(r.Schedule.Firings) != 0 || r.Schedule.AllAtOnce != 1 {
		t.Errorf("%+v", r.Schedule)
	}
}

// Random layouts, replayed by brute force: no arc, of this cycle or an older one, falls into a window; nobody fires while
// still busy; no more are busy than can be taken at once.
func TestReplay(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 4))
	for range 60 {
		n := 1 + rnd.IntN(10)
		sc, cl := bench(n, 1+rnd.IntN(n)), clocks(n, 0, 0)
		sc.Wishes.Guard = time.Duration(rnd.IntN(2000)) * time.Microsecond
		for i := range cl {
			cl[i].CloseUs = 1000 + rnd.Int64N(30000)
			cl[i].BusyUs = rnd.Int64N(50000)
			cl[i].RestUs = rnd.Int64N(10000)
		}
		var arcs []crosstalk.Arc
		for range rnd.IntN(4 * n) {
			from := time.Duration(rnd.IntN(40000)) * time.Microsecond
			arcs = append(arcs, arc(rnd.IntN(n), rnd.IntN(n), from, from+time.Duration(rnd.IntN(30000))*time.Microsecond))
		}
		replay(t, sc, cl, arcs, solve(t, sc, cl, arcs).Schedule)
	}
}

func replay(t *testing.T, sc *scene.Scene, cl []Clock, arcs []crosstalk.Arc, s plan.Schedule) {
	t.Helper()
	at := map[string]int64{}
	for _, f := range s.Firings {
		at[f.Sensor] = f.AtUs
	}
	if len(at) != len(sc.Sensors) {
		t.Fatalf("%d firings of %d sensors", len(at), len(sc.Sensors))
	}
	for _, a := range arcs {
		for k := int64(0); k < 40; k++ { // 40 cycles outlast any sound here
			if a.From == a.To && k == 0 {
				continue
			}
			lag := at[sc.Sensors[a.To].Name] - at[sc.Sensors[a.From].Name] + k*s.CycleUs
			if lag < 0 {
				continue
			}
			if a.Starts.Microseconds() < lag+cl[a.To].CloseUs && a.Ends.Microseconds() > lag+cl[a.To].OpenUs {
				t.Fatalf("sound of %d reaches %d after %d cycles: %+v", a.From, a.To, k, s)
			}
		}
	}
	for i, a := range sc.Sensors {
		busy := 0
		for j, b := range sc.Sensors {
			since := (at[a.Name] - at[b.Name] + s.CycleUs) % s.CycleUs
			if lasts := max(cl[j].CloseUs, cl[j].BusyUs); i == j || since < lasts {
				busy++
			}
		}
		if busy > sc.Controller.AtOnce {
			t.Fatalf("%d at once", busy)
		}
		if cl[i].BusyUs+cl[i].RestUs > s.CycleUs {
			t.Fatalf("%s fires again before it has rested", a.Name)
		}
	}
}
