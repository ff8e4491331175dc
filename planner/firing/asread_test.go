package firing

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// reader is n sensors that a reader takes one after the other, as echoes come.
func reader(n int) *scene.Scene {
	sc := bench(n, 1)
	sc.Controller.Reading = scene.Blocking
	sc.Wishes.Style = plan.AsRead
	return sc
}

// Three sensors, deaf for 1 ms, of 10 ms of window and a guard of 2 ms: from 3 x 3 to 3 x 12 ms by hand.
func TestAsReadBounds(t *testing.T) {
	sc := reader(3)
	sc.Wishes.Guard = 2 * ms
	r := solve(t, sc, clocks(3, 10*ms, 0), nil)
	s := r.Schedule
	if s.Style != plan.AsRead || s.BestCycleUs != 9000 || s.WorstCycleUs != 36000 || s.CycleUs != 36000 || s.LowerBoundUs != 9000 || s.Proven || s.Met {
		t.Errorf("%+v", s)
	}
	if f, ok := finding(r, CodeAsRead); !ok || f.Severity != plan.NotMet || !strings.Contains(f.Text, "from 9 ms (every echo the nearest possible) to 36 ms (none at all, so each takes its longest); not disturbed for what the layout says may stand around, yet its cycle follows the scene and cannot be called clear") {
		t.Errorf("%+v", r.Findings)
	}
	sc.Wishes.Cycle = 30 * ms
	r = solve(t, sc, clocks(3, 10*ms, 0), nil)
	if f, ok := finding(r, CodeOverBudget); !ok || strings.Contains(f.Mend, "style: slots") {
		t.Errorf("36 ms within 30 ms, or slots of 3 x 12 ms are: %+v", f)
	}
	// Slots of a controller that takes all at once: one group, 12 ms.
	sc.Controller = scene.Controller{Reading: scene.Capture, AtOnce: 3}
	r = solve(t, sc, clocks(3, 10*ms, 0), nil)
	if f, ok := finding(r, CodeOverBudget); !ok || !strings.HasPrefix(f.Mend, "style: slots: cycle 12 ms, within the 30 ms asked; ") {
		t.Errorf("%+v", f)
	}
}

// Sound of s1 that s2 can take from 20 to 21 ms after s1 fires. s2 fires 1 to 10 ms after s1, and listens until 20 ms at the
// latest in this cycle; fired again a whole cycle later (2 to 20 ms more) it takes it at 1 to 10 ms of its window. In slots, s2 fires 10 ms after s1 and not between 10 and 20: 20 ms.
func TestAsReadIsNotCalledClear(t *testing.T) {
	r := solve(t, reader(2), clocks(2, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 20*ms, 21*ms)})
	if r.Schedule.Met || r.Arcs[0].HitsUs != [2]int64{1000, 10000} {
		t.Errorf("met %v, arcs %+v", r.Schedule.Met, r.Arcs)
	}
	f, ok := finding(r, CodeAsRead)
	if !ok || f.Severity != plan.NotMet || !strings.Contains(f.Text, "cannot be called clear: in 1 of 4 pairs") || !strings.Contains(f.Mend, "style: slots keeps all of it apart: cycle 20 ms, always") {
		t.Errorf("%+v", f)
	}
	// Gone before anyone else may open: s2 fires 1 ms after s1 at the soonest and is deaf for 1 ms.
	r = solve(t, reader(2), clocks(2, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 0, 2*ms)})
	if r.Schedule.Met || r.Arcs[0].HitsUs != [2]int64{} {
		t.Errorf("met %v, arcs %+v", r.Schedule.Met, r.Arcs)
	}
}

// Jitter of 0.1 ms takes from the guard at the best and adds to it at the worst, 0.2 ms each: 3 x 2.8 to 3 x 12.2 ms. Sound that was
// gone as s2 might first take it, 2 ms after s1 fires, is there 0.2 ms longer.
func TestAsReadAllowsForJitter(t *testing.T) {
	sc := reader(3)
	sc.Wishes.Guard, sc.Wishes.Jitter = 2*ms, 100*time.Microsecond
	if s := solve(t, sc, clocks(3, 10*ms, 0), nil).Schedule; s.BestCycleUs != 8400 || s.WorstCycleUs != 36600 {
		t.Errorf("%d to %d us", s.BestCycleUs, s.WorstCycleUs)
	}
	sc.Wishes.Guard = 0
	if a := solve(t, sc, clocks(3, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 0, 2*ms)}).Arcs[0]; a.HitsUs != [2]int64{1000, 1200} {
		t.Errorf("%+v", a)
	}
}

// No table keeps apart the sound of a module that fires by itself.
func TestAsReadPromisesNoSlotsToModulesThatFireByThemselves(t *testing.T) {
	sc := reader(3)
	own := sc.Kinds[0]
	own.Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: 50 * ms, Hi: 55 * ms}}
	sc.Kinds = append(sc.Kinds, own)
	sc.Sensors[2].Kind = 1
	f, ok := finding(solve(t, sc, clocks(3, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 20*ms, 21*ms)}), CodeAsRead)
	if !ok || f.Mend != "style: slots keeps apart those that can be told when to fire: cycle 20 ms, always" {
		t.Errorf("%+v", f)
	}
	f, ok = finding(solve(t, sc, clocks(3, 10*ms, 0), nil), CodeAsRead)
	if !ok || !strings.Contains(f.Text, "; but for those that fire by themselves, not disturbed") {
		t.Errorf("%+v", f)
	}
}

// A module that alone draws more than the rail gives is a demand not met in this style too.
func TestAsReadSaysWhatTheRailCannotGive(t *testing.T) {
	sc := reader(2)
	sc.Kinds[0].Supply.PeakA.X, sc.Controller.RailLimitA = 0.25, 0.2
	if f, ok := finding(solve(t, sc, clocks(2, 10*ms, 0), nil), CodePeakCurrent); !ok || f.Severity != plan.NotMet {
		t.Errorf("%+v", f)
	}
}

// Chains are kept to, one trigger line fires together, and what cannot be is said.
func TestAsReadKeepsToWires(t *testing.T) {
	sc := bench(4, 4)
	sc.Wishes.Style = plan.AsRead
	sc.Wires = []scene.Wire{{Sensors: []int{2, 0}, Chained: true}, {Sensors: []int{1, 3}, TriggerShared: true}}
	s := solve(t, sc, clocks(4, 10*ms, 0), nil).Schedule
	if got := strings.Join(s.Groups[0], " ") + ", " + strings.Join(s.Groups[1], " ") + ", " + strings.Join(s.Groups[2], " "); got != "s2 s4, s3, s1" {
		t.Errorf("groups %s", got)
	}
	sc.Controller.Reading = scene.Blocking
	r := solve(t, sc, clocks(4, 10*ms, 0), nil)
	if _, ok := finding(r, CodeCannot); !ok || r.Schedule.Met || r.Schedule.Style != plan.AsRead {
		t.Errorf("%+v", r)
	}
}

// Play: echoes at any time from the nearest possible to none at all, a hundred cycles each; whatever is then heard lies within what
// was said may be, and what may be at all is met in some.
func TestAsReadPlayed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 8))
	hit, said := 0, 0
	for range 60 {
		n := 2 + rnd.IntN(4)
		sc, cl := reader(n), clocks(n, 0, 0)
		sc.Wishes.Guard = time.Duration(rnd.IntN(1500)) * time.Microsecond
		for i := range cl {
			cl[i].OpenUs = 500 + rnd.Int64N(1500)
			cl[i].CloseUs = 3000 + rnd.Int64N(9000)
		}
		var arcs []crosstalk.Arc
		for range 1 + rnd.IntN(2*n) {
			from := time.Duration(rnd.IntN(40000)) * time.Microsecond
			arcs = append(arcs, arc(rnd.IntN(n), rnd.IntN(n), from, from+time.Duration(rnd.IntN(3000))*time.Microsecond))
		}
		r := solve(t, sc, cl, arcs)
		fired := make([][]int64, n)
		at := int64(0)
		for range 100 {
			echo := rnd.Float64()
			for i := range n {
				fired[i] = append(fired[i], at)
				if rnd.IntN(3) == 0 {
					echo = rnd.Float64()
				}
				at += cl[i].OpenUs + int64(echo*float64(cl[i].CloseUs-cl[i].OpenUs)) + sc.Wishes.Guard.Microseconds()
			}
		}
		if c := at / 100; c < r.Schedule.BestCycleUs || c > r.Schedule.WorstCycleUs {
			t.Fatalf("cycle of %d us outside %d to %d", c, r.Schedule.BestCycleUs, r.Schedule.WorstCycleUs)
		}
		for k, a := range arcs {
			met := false
			for _, f := range fired[a.From] {
				for _, g := range fired[a.To] {
					from, until := max(f+a.Starts.Microseconds()-g, cl[a.To].OpenUs), min(f+a.Ends.Microseconds()-g, cl[a.To].CloseUs)
					if g < f || a.From == a.To && f == g || from >= until {
						continue
					}
					met = true
					if h := r.Arcs[k].HitsUs; from < h[0] || until > h[1] {
						t.Fatalf("heard at %d to %d us, said %v: %+v", from, until, h, a)
					}
				}
			}
			if met {
				hit++
			}
			if r.Arcs[k].HitsUs[1] > 0 {
				said++
			}
		}
	}
	if hit < said*3/4 || hit == 0 {
		t.Errorf("%d arcs met, %d said to be possible", hit, said)
	}
}

// A cycle of 48.688 ms by hand: twice it, 97.376 ms, lies in 97 to 98 ms; 98 and 102 ms are 0.624 and 4.624 ms above it and are
// back after 48.688/0.624 x 98 ms = 7.65 s and 48.688/4.624 x 102 ms = 1.07 s.
func TestBeatOfPeriodsAboveTheCycle(t *testing.T) {
	for _, c := range []struct {
		lo, hi time.Duration
		want   []string
	}{
		{97 * ms, 98 * ms, []string{"it may keep step (1 firing every 2 cycles)"}},
		{98 * ms, 102 * ms, []string{"slips by 0.6", "ms to 4.6", "each firing and is back at the same windows after 1.07 s to 7.65 s"}},
	} {
		sc := bench(2, 2)
		own := sc.Kinds[0]
		own.Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: c.lo, Hi: c.hi}}
		sc.Kinds = append(sc.Kinds, own)
		sc.Sensors[1].Kind = 1
		f, _ := finding(solve(t, sc, clocks(2, 48688*time.Microsecond, 0), nil), CodeByItself)
		for _, want := range c.want {
			if !strings.Contains(f.Text, want) {
				t.Errorf("%v..%v: %q, want %q", c.lo, c.hi, f.Text, want)
			}
		}
	}
}

// Against a cycle of 100 ms a period of 30 to 32 ms slips by 4 to 10 ms a cycle (100 - 3 x 32, 100 - 3 x 30), one of 24 to 26 ms
// may be a quarter of it, and one of 35 to 45 ms slips by least at 35 (3 x 35 - 100) and by most at 40 (2.5 x 40).
// A period above the cycle slips each firing: one of 204 to 210 ms by 4 to 10 ms, so by a whole cycle after 100/10 x 210 to 100/4 x 204 ms.
func TestBeat(t *testing.T) {
	for _, c := range []struct {
		lo, hi time.Duration
		want   string
	}{
		{299 * ms, 301 * ms, "it may keep step (1 firing every 3 cycles)"},
		{30 * ms, 32 * ms, "it slips by 4 ms to 10 ms each cycle and is back at the same windows after 300 ms to 800 ms"},
		{24 * ms, 26 * ms, "it may keep step (4 firings every cycle)"},
		{35 * ms, 45 * ms, "it slips by 5 ms to 20 ms each cycle and is back at the same windows after 200 ms to 700 ms"},
		{90 * ms, 110 * ms, "it may keep step (1 firing every cycle)"},
		{195 * ms, 210 * ms, "it may keep step (1 firing every 2 cycles)"},
		{204 * ms, 210 * ms, "it slips by 4 ms to 10 ms each firing and is back at the same windows after 2.10 s to 5.10 s"},
		{240 * ms, 260 * ms, "it slips by 40 ms to 50 ms each firing and is back at the same windows after 500 ms to 650 ms"},
	} {
		sc, cl := bench(2, 2), clocks(2, 100*ms, 0)
		own := sc.Kinds[0]
		own.Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: c.lo, Hi: c.hi}}
		sc.Kinds = append(sc.Kinds, own)
		sc.Sensors[1].Kind = 1
		f, ok := finding(solve(t, sc, cl, nil), CodeByItself)
		if !ok || !strings.Contains(f.Text, "against the cycle of 100 ms "+c.want) {
			t.Errorf("%v..%v: %s", c.lo, c.hi, f.Text)
		}
	}
}

// Played with rests: every answer at any time, each sensor waiting for its own rest from the end of its last turn. No cycle, from any
// sensor's firing to its next, is longer than said. By hand, 3 of 10 ms with a guard of 2 ms: a rest of 14 ms is over 2 + 3 ms before a
// next but one fires if the one between is quick, 9 ms from then, and a turn may take 12: nothing is added to 3 x 12 ms. One of 20 ms
// may hold up by 20 - 5 = 15 ms in place of 12.
func TestAsReadRestsPlayed(t *testing.T) {
	sc, cl := reader(3), clocks(3, 10*ms, 0)
	sc.Wishes.Guard = 2 * ms
	for restUs, want := range map[int64]int64{14000: 36000, 20000: 39000} {
		for i := range cl {
			cl[i].BusyUs, cl[i].RestUs = 10000, restUs
		}
		if s := solve(t, sc, cl, nil).Schedule; s.WorstCycleUs != want {
			t.Errorf("by hand: %d us, want %d", s.WorstCycleUs, want)
		}
	}
	rnd := rand.New(rand.NewPCG(5, 9))
	near := 0
	for range 100 {
		n := 1 + rnd.IntN(4)
		sc, cl := reader(n), clocks(n, 0, 0)
		guard := rnd.Int64N(1500)
		sc.Wishes.Guard = time.Duration(guard) * time.Microsecond
		for i := range cl {
			cl[i].OpenUs, cl[i].CloseUs, cl[i].RestUs = 500+rnd.Int64N(1500), 3000+rnd.Int64N(9000), rnd.Int64N(2)*rnd.Int64N(40000)
			cl[i].BusyUs = cl[i].CloseUs
		}
		said, longest := solve(t, sc, cl, nil).Schedule.WorstCycleUs, int64(0)
		rested, last := make([]int64, n), make([]int64, n)
		at := int64(0)
		for turn := range 600 * n {
			i := turn % n
			at = max(at, rested[i])
			if turn >= n {
				longest = max(longest, at-last[i])
			}
			last[i] = at
			took := []int64{cl[i].OpenUs, cl[i].CloseUs}[rnd.IntN(2)]
			rested[i] = at + took + cl[i].RestUs
			at += took + guard
		}
		if longest > said {
			t.Fatalf("a cycle of %d us, at most %d said: %+v", longest, said, cl)
		}
		if longest > said*95/100 {
			near++
		}
	}
	if near < 80 {
		t.Errorf("only %d of 100 come near", near)
	}
}

// Periods by hand: 98 to 100 against 98 to 102 ms may keep step; 98 to 100 against 45 to 48 ms: 2 x 48 = 96 and 3 x 45 = 135, so a slip
// of 2 ms at the least, and 100 ms x 48 / 2 = 2.4 s.
func TestBeatOfTwoThatFireByThemselves(t *testing.T) {
	for _, c := range []struct {
		lo, hi time.Duration
		want   string
	}{
		{98 * ms, 102 * ms, "; against s2 it may keep step"},
		{45 * ms, 48 * ms, "; against s2 it slips by 2 ms or more each firing of the slower, and is back at the same windows within 2.40 s"},
	} {
		sc := bench(2, 2)
		sc.Kinds[0].Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: 98 * ms, Hi: 100 * ms}}
		other := sc.Kinds[0]
		other.Timing.OwnPeriod = scene.TimeSpan{Lo: c.lo, Hi: c.hi}
		sc.Kinds = append(sc.Kinds, other)
		sc.Sensors[1].Kind = 1
		f, _ := finding(solve(t, sc, clocks(2, 10*ms, 0), []crosstalk.Arc{arc(1, 0, 2*ms, 3*ms)}), CodeByItself)
		if !strings.Contains(f.Text, c.want) {
			t.Errorf("%q, want %q", f.Text, c.want)
		}
	}
}

// Others of one drift are told of together, each name once; one of another drift by itself.
func TestBeatsAlikeAreToldOnce(t *testing.T) {
	sc := bench(4, 4)
	sc.Kinds[0].Timing = scene.Timing{By: scene.ByItself, OwnPeriod: scene.TimeSpan{Lo: 98 * ms, Hi: 100 * ms}}
	quick := sc.Kinds[0]
	quick.Timing.OwnPeriod = scene.TimeSpan{Lo: 45 * ms, Hi: 48 * ms}
	sc.Kinds = append(sc.Kinds, quick)
	sc.Sensors[2].Kind = 1
	arcs := []crosstalk.Arc{arc(1, 0, 2*ms, 3*ms), arc(0, 2, 2*ms, 3*ms), arc(3, 0, 2*ms, 3*ms)}
	f, _ := finding(solve(t, sc, clocks(4, 10*ms, 0), arcs), CodeByItself)
	want := "; against s2 and s4 it may keep step, and then meets the same window every time, or for long none; against s3 it slips by 2 ms or more"
	if !strings.Contains(f.Text, want) || strings.Count(f.Text, "keep step") != 1 {
		t.Errorf("%q, want %q", f.Text, want)
	}
}
