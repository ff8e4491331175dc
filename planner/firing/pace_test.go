package firing

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// s1's sound can be taken by s2 alone, until 30 ms; s3 disturbs nobody and cannot share a group. By hand: s3 listens while the
// sound dies: s1 at 0, s3 at 11, s2 at 29 ms (30 less the 1 ms s2 is deaf), done at 39 with a guard of 1 ms: 40 ms.
func TestLateSoundDiesWhileAnotherListens(t *testing.T) {
	sc := bench(3, 1)
	sc.Wishes.Guard = ms
	r := solve(t, sc, clocks(3, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms)})
	if s := r.Schedule; s.CycleUs != 40000 || !s.Proven || !addsUp(firstLine(s.Why), 40000) {
		t.Errorf("cycle %d us: %s", s.CycleUs, s.Why)
	}
	// Sound both ways: 29 ms from s1 to s2 and 29 ms from s2 to s1, with s3 in one of the two: 58 ms.
	r = solve(t, sc, clocks(3, 10*ms, 0), []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms), arc(1, 0, 15*ms, 30*ms)})
	if s := r.Schedule; s.CycleUs != 58000 || !s.Proven {
		t.Errorf("cycle %d us: %s", s.CycleUs, s.Why)
	}
	line := firstLine(r.Schedule.Why)
	if !addsUp(line, 58000) || !strings.Contains(line, "1 x 29 ms for sound to die") || !strings.Contains(line, "7 ms of waiting for sound of earlier groups") {
		t.Errorf("why: %s", line)
	}
}

var term = regexp.MustCompile(`(?:(\d+) (?:x|guards? of|pauses? of) )?([\d.]+) ms`)

var inside = regexp.MustCompile(` \([^)]*jitter\)`)

// addsUp reports whether the sum in words gives the cycle.
func addsUp(line string, cycleUs int64) bool {
	if _, rest, ok := strings.Cut(line, " groups, "); ok {
		return strings.HasSuffix(rest, exact(cycleUs)+" in all")
	}
	_, sum, _ := strings.Cut(line, ", ")
	if _, after, ok := strings.Cut(line, ": "); ok && !strings.Contains(sum, "=") {
		sum = after
	}
	sum = inside.ReplaceAllString(sum, "") // what a pause is made of
	left, right, total := strings.Cut(sum, " = ")
	us := 0.0
	for _, m := range term.FindAllStringSubmatch(left, -1) {
		n, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			n = 1
		}
		each, _ := strconv.ParseFloat(m[2], 64)
		us += n * each * 1000
	}
	return math.Abs(us-float64(cycleUs)) < 0.5 && (!total || right == exact(cycleUs))
}

// On random layouts the sum in words is the cycle, the pauses in ticks are none shorter, and the table in ticks stands up to
// the replay by brute force with jitter at its worst.
func TestSumsAndTicks(t *testing.T) {
	rnd := rand.New(rand.NewPCG(6, 11))
	ordered := 0
	for range 150 {
		n := 2 + rnd.IntN(6)
		sc, cl := bench(n, 1+rnd.IntN(n)), clocks(n, 0, 0)
		sc.Wishes.Guard = time.Duration(rnd.IntN(2)*rnd.IntN(2000)) * time.Microsecond
		sc.Wishes.Jitter = time.Duration(rnd.IntN(2)*rnd.IntN(800)) * time.Microsecond
		sc.Controller.Tick = []time.Duration{time.Microsecond, 64 * time.Microsecond, 2500 * time.Nanosecond, ms}[rnd.IntN(4)]
		for i := range cl {
			cl[i].CloseUs = 2000 + rnd.Int64N(8000)
			cl[i].BusyUs = rnd.Int64N(12000)
			cl[i].RestUs = rnd.Int64N(2) * rnd.Int64N(60000)
		}
		var arcs []crosstalk.Arc
		for range rnd.IntN(4 * n) {
			from := time.Duration(rnd.IntN(20000)) * time.Microsecond
			arcs = append(arcs, arc(rnd.IntN(n), rnd.IntN(n), from, from+time.Duration(rnd.IntN(20000))*time.Microsecond))
		}
		s := solve(t, sc, cl, arcs).Schedule
		if strings.Contains(s.Why, "late sound") || strings.Contains(s.Why, "no longer be taken") {
			ordered++
		}
		line := firstLine(s.Why)
		_, line, _ = strings.Cut(line, ": ")
		if !addsUp("cannot be shorter: "+line, s.CycleUs) && !addsUp(line, s.CycleUs) {
			t.Errorf("does not add up to %d us: %s", s.CycleUs, firstLine(s.Why))
		}
		inTicks := s
		inTicks.Firings = append([]plan.Firing(nil), s.Firings...)
		scaled, scaledArcs := append([]Clock(nil), cl...), append([]crosstalk.Arc(nil), arcs...)
		// Everything in nanoseconds for the replay: a tick need not be whole microseconds.
		tick := sc.Controller.Tick.Nanoseconds()
		inTicks.CycleUs = s.CycleTicks * tick
		for i := range inTicks.Firings {
			inTicks.Firings[i].AtUs = s.Firings[i].AtTicks * tick
		}
		for i := range scaled {
			scaled[i].OpenUs, scaled[i].CloseUs, scaled[i].BusyUs, scaled[i].RestUs = cl[i].OpenUs*1000, cl[i].CloseUs*1000, cl[i].BusyUs*1000, cl[i].RestUs*1000
		}
		for i := range scaledArcs {
			scaledArcs[i].Starts, scaledArcs[i].Ends = (arcs[i].Starts-2*sc.Wishes.Jitter)*1000, (arcs[i].Ends+2*sc.Wishes.Jitter)*1000
		}
		replay(t, sc, scaled, scaledArcs, inTicks)
	}
	if ordered < 10 {
		t.Errorf("only %d of the layouts have late sound", ordered)
	}
}

// Windows of 10.3 ms and a pause of 1.2 ms in ticks of 1 ms: done at 11, fire again at 13, two ticks of pause; 11.5 ms would be 12.
func TestTicksKeepThePauseFromTheRoundedEnd(t *testing.T) {
	sc := bench(2, 1)
	sc.Wishes.Guard, sc.Controller.Tick = 1200*time.Microsecond, ms
	s := solve(t, sc, clocks(2, 10300*time.Microsecond, 0), nil).Schedule
	if s.Firings[0].ListenUntilTicks != 11 || s.Firings[1].AtTicks != 13 || s.CycleTicks != 26 || s.RealisedCycleUs != 26000 {
		t.Errorf("%+v", s)
	}
}

// What is told to shorten the cycle does: modules with that very line time and a window that can be set give the cycle stated. Windows
// that need 12.345 ms with a clock 0.5 % off and a tick of 4 us: 12.279 ms on the card, told as 12.2.
func TestLineTimeToldGivesTheCycleTold(t *testing.T) {
	sc := bench(4, 1)
	sc.Controller.Tick, sc.Controller.ClockError = 4*time.Microsecond, 0.005
	sc.Wishes = scene.Wishes{Guard: ms, Cycle: 60 * ms}
	cl := clocks(4, 60*ms, 60*ms)
	for i := range cl {
		cl[i].NeedsUs = 12345
	}
	f, _ := finding(solve(t, sc, cl, []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms)}), CodeOverBudget)
	if !strings.Contains(f.Mend, "(12.2 ms instead of 60 ms): cycle ") {
		t.Fatal(f.Mend)
	}
	for i := range cl {
		cl[i].CloseUs, cl[i].BusyUs = 12345, max(12345, newLateness(sc).most(12200*time.Microsecond))
	}
	s := solve(t, sc, cl, []crosstalk.Arc{arc(0, 1, 15*ms, 30*ms)}).Schedule
	if want := ": cycle " + plan.Milliseconds(int64(s.RealisedCycleUs)) + ","; !strings.Contains(f.Mend, want) {
		t.Errorf("%q, built: %q", f.Mend, want)
	}
}
