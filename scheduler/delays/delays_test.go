package delays_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/delays"
	"echowright/scheduler/ghosts"
	"echowright/scheduler/instance"
	"echowright/scheduler/schedulertest"
)

// worked is an example worked from the closed form of the inequalities, not taken from a publication: M = 2 (u T + J) / (1 - u (2K - 1)),
// max = (K - 1/2) M, threshold = M/2, at
// v = 1 m/s, T = 100 ms, J = 0.2 ms, c = 343.2 m/s.
var worked = delays.Terms{CycleUs: 100_000, ReadingUs: 100, Drift: 2 / 343.2}

func TestWorkedFigures(t *testing.T) {
	for _, want := range []struct {
		classes              int
		threshold, shift, ms float64 // ms
	}{{8, 0.858, 1.715, 12.9}, {24, 1.078, 2.156, 50.7}} {
		got, err := delays.Choose(worked, want.classes)
		if err != nil {
			t.Fatal(err)
		}
		// Whole microseconds: the change is rounded up by less than 1, the step by at most 2, and the loop through the delays
		// makes that more by 1 / (1 - u (2K-1)); printed figures are off by half their last digit.
		loop := 1 / (1 - worked.Drift*float64(2*want.classes-1))
		near := func(what string, us int64, ms, digit, least float64) {
			if x := float64(us) / 1000; x < ms-digit/2 || x > ms+digit/2+least*loop/1000 {
				t.Errorf("%d classes: %s %.3f ms, worked %g", want.classes, what, x, ms)
			}
		}
		near("threshold", got.ThresholdUs, want.threshold, 0.001, 2)
		near("shift", got.ShiftUs, want.shift, 0.001, 4)
		near("greatest delay", got.MostUs(), want.ms, 0.1, 2*float64(2*want.classes-1))
	}
}

// Every pair of different delays, sound of each age, every sensor with itself: 120 and 1128 pairs if every delay counts twice, as of
// this cycle and of the last. Played at both ends of speed and jitter, none is accepted but a sensor's own sound two cycles old; and
// every true echo is.
func TestPlayedFiguresAcceptNoGhost(t *testing.T) {
	for _, terms := range []delays.Terms{worked, {CycleUs: 100_000, FiringUs: 50, Drift: 2 / 343.2}, {CycleUs: 41_000, FiringUs: 90, ReadingUs: 10, Drift: 0.011, StepUs: 10}} {
		for _, classes := range []int{1, 2, 8, 24} {
			a, err := delays.Choose(terms, classes)
			if err != nil {
				t.Fatal(err)
			}
			rule := played(terms, a, upTo(classes))
			if lost := rule.Lost(); len(lost) > 0 {
				t.Errorf("%d classes: true echoes of %v are lost", classes, lost)
			}
			var pairs [][2]int
			for i := range classes {
				for j := range classes {
					pairs = append(pairs, [2]int{i, j})
				}
			}
			for _, g := range rule.Accepted(pairs, 3) {
				if g.From != g.To || g.Back%2 != 0 {
					t.Errorf("%d classes: accepted %+v", classes, g)
				}
			}
			// No microsecond of the greatest shift is spare twice over: with delays three steps nearer something passes.
			for k := range a.DelaysUs {
				a.DelaysUs[k] -= int64(2*k+1) * 2 * max(1, terms.StepUs)
			}
			if classes > 1 && len(played(terms, a, upTo(classes)).Accepted(pairs, 1)) == 0 {
				t.Errorf("%d classes: delays of less keep the ghosts out, too", classes)
			}
		}
	}
}

func upTo(n int) (list []int) {
	for i := range n {
		list = append(list, i)
	}
	return list
}

func played(t delays.Terms, a delays.Alternating, of []int) ghosts.Rule {
	r := ghosts.Rule{CycleUs: t.CycleUs, FiringUs: t.FiringUs, ReadingUs: t.ReadingUs, ThresholdUs: a.ThresholdUs, Drift: t.Drift}
	for _, k := range of {
		r.DelaysUs = append(r.DelaysUs, []int64{0, a.DelaysUs[k]})
	}
	return r
}

// The least delays: a brute search over thresholds finds none below.
func TestLeastThreshold(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		terms := delays.Terms{CycleUs: 1000 + r.Int64N(200_000), FiringUs: r.Int64N(200), ReadingUs: r.Int64N(20), Drift: r.Float64() * 0.03, StepUs: 1 + r.Int64N(5)}
		classes := 1 + r.IntN(8)
		got, err := delays.Choose(terms, classes)
		if err != nil {
			t.Fatal(err)
		}
		step, greatest := max(1, terms.StepUs), int64(2*classes-1)
		for first := step; ; first += step { // of the first delay; all others follow
			change := int64(math.Ceil(terms.Drift*float64(terms.CycleUs+greatest*first+2*terms.FiringUs))) + 4*terms.FiringUs + 2*terms.ReadingUs
			threshold := (change + step - 1) / step * step
			if 2*first > threshold+change {
				if first != got.DelaysUs[0] || threshold != got.ThresholdUs {
					t.Fatalf("%+v, %d classes: %+v, by search threshold %d and first delay %d", terms, classes, got, threshold, first)
				}
				break
			}
		}
		for _, us := range append(got.DelaysUs, got.ThresholdUs) {
			if us%step != 0 {
				t.Fatalf("%d us in steps of %d", us, step)
			}
		}
	}
}

func TestTooFast(t *testing.T) {
	for _, c := range []struct {
		drift   float64
		classes int
		can     bool
	}{{0.0999, 5, true}, {1.0 / 9, 5, false}, {0.2, 5, false}, {0.99, 1, true}, {1, 1, false}, {0.999999999, 1, false}} {
		_, err := delays.Choose(delays.Terms{CycleUs: 50_000, FiringUs: 100, Drift: c.drift}, c.classes)
		if _, is := err.(*delays.Cannot); (err == nil) != c.can || !c.can && !is {
			t.Errorf("drift %g, %d classes: %v", c.drift, c.classes, err)
		}
	}
}

// As few classes as a brute search over colourings finds, on random graphs with sets that are alike.
func TestFewestClasses(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		n := 1 + r.IntN(7)
		h := delays.Hearing{Jobs: n}
		for range r.IntN(2 * n) {
			h.Pairs = append(h.Pairs, [2]int{r.IntN(n), r.IntN(n)})
		}
		if n > 2 && r.IntN(2) == 0 {
			h.Alike = append(h.Alike, []int{r.IntN(n), r.IntN(n)})
			h.Alike = append(h.Alike, []int{r.IntN(n), r.IntN(n)})
		}
		got, err := delays.Classify(context.Background(), h, nil, scheduler.Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := fewest(h)
		if got.Count != want || !got.Proven || got.Least != want {
			t.Fatalf("%+v: %+v, by search %d", h, got, want)
		}
		for _, set := range h.Alike {
			if got.Of[set[0]] != got.Of[set[1]] {
				t.Fatalf("%+v: %+v parts %v", h, got, set)
			}
		}
		for _, p := range got.Pairs {
			if got.Of[p[0]] == got.Of[p[1]] {
				t.Fatalf("%+v: %+v joins %v", h, got, p)
			}
		}
	}
}

// fewest is the number of colours by trying all.
func fewest(h delays.Hearing) int {
	joined := make([]int, h.Jobs)
	for i := range joined {
		joined[i] = i
	}
	for range h.Jobs {
		for _, s := range h.Alike {
			least := min(joined[s[0]], joined[s[1]])
			joined[s[0]], joined[s[1]] = least, least
		}
	}
	root := func(i int) int {
		for joined[i] != i {
			i = joined[i]
		}
		return i
	}
	for k := 1; ; k++ {
		colours := make([]int, h.Jobs)
		for {
			ok := true
			for _, p := range h.Pairs {
				a, b := root(p[0]), root(p[1])
				ok = ok && (a == b || colours[a] != colours[b])
			}
			if ok {
				return k
			}
			i := 0
			for ; i < len(colours); i++ {
				if colours[i]++; colours[i] < k {
					break
				}
				colours[i] = 0
			}
			if i == len(colours) {
				break
			}
		}
	}
}

// A ring in which each hears its neighbours up to k places off needs ceil(n / floor(n/(k+1))) delays, closed form of its
// chromatic number.
func TestRings(t *testing.T) {
	for _, c := range [][3]int{{5, 1, 3}, {16, 2, 4}, {14, 3, 5}, {8, 2, 4}, {24, 5, 6}} {
		h := delays.Hearing{Jobs: c[0]}
		for i := range c[0] {
			for d := 1; d <= c[1]; d++ {
				h.Pairs = append(h.Pairs, [2]int{i, (i + d) % c[0]})
			}
		}
		got, err := delays.Classify(context.Background(), h, nil, scheduler.Options{})
		if err != nil || got.Count != c[2] || !got.Proven {
			t.Errorf("ring of %d, %d a side: %d delays, proven %v (%v), want %d", c[0], c[1], got.Count, got.Proven, err, c[2])
		}
	}
}

// Groups of a timetable become the classes where they may, and only there.
func TestGroupsAsClasses(t *testing.T) {
	h := delays.Hearing{Jobs: 4, Pairs: [][2]int{{0, 1}, {1, 2}, {2, 3}}}
	for _, c := range []struct {
		groups [][]int
		taken  bool
	}{{[][]int{{1, 3}, {0, 2}}, true}, {[][]int{{0, 1}, {2, 3}}, false}, {[][]int{{1, 3}, {0}}, false}, {[][]int{{1, 3}, {0}, {2}}, false}} {
		got, err := delays.Classify(context.Background(), h, c.groups, scheduler.Options{})
		if err != nil || got.Count != 2 {
			t.Fatal(got, err)
		}
		if is := slices.Equal(got.Of, []int{1, 0, 1, 0}); c.taken && !is {
			t.Errorf("groups %v: classes %v", c.groups, got.Of)
		}
	}
}

// Timetables of a widened problem stand up to the checker whatever delay each firing has: the delayed firings are put to it as a
// problem of their own, two cycles long, delays as they come.
func TestWidenedTimetablesHoldAtEveryDelay(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for round := range 200 {
		p := schedulertest.Random(r, 2+r.IntN(4), 40)
		most := make([]int64, len(p.Jobs))
		for j := range most {
			most[j] = r.Int64N(8)
		}
		if len(p.Order) > 0 || p.Possible() != nil { // links have no times of their own
			continue
		}
		for _, set := range p.Together {
			for _, j := range set {
				most[j] = most[set[0]]
			}
		}
		t1, err := scheduler.Solve(context.Background(), delays.Widen(p, most), scheduler.Options{})
		if err != nil {
			t.Fatal(round, err)
		}
		for range 40 {
			if why := clashes(p, t1, func(int, int) int64 { return 0 }); why != "" {
				t.Fatal(round, "without delay: ", why)
			}
			at := map[[2]int]int64{}
			if why := clashes(p, t1, func(j, n int) int64 {
				for _, set := range p.Together {
					if slices.Contains(set, j) {
						j = set[0]
					}
				}
				us, had := at[[2]int{j, n}]
				if !had {
					us = r.Int64N(most[j] + 1)
					at[[2]int{j, n}] = us
				}
				return us
			}); why != "" {
				t.Fatalf("round %d: %s\n%+v\n%+v", round, why, p, t1)
			}
		}
	}
}

// clashes plays some cycles of a timetable with delays and says what sound meets what window, or what is used beyond what there is.
func clashes(p instance.Problem, t instance.Timetable, delay func(job, cycle int) int64) string {
	const cycles = 6
	at := make([]int64, len(p.Jobs))
	for _, f := range t.Firings {
		at[f.Job] = f.AtUs
	}
	fires := func(j, n int) int64 { return at[j] + int64(n)*t.CycleUs + delay(j, n) }
	for _, r := range p.Resources { // at the start of each use, each firing as planned
		for _, v := range r.Uses {
			for k := range cycles {
				at, sum := fires(v.Job, k)+v.FromUs, int64(0)
				for _, u := range r.Uses {
					for n := range cycles {
						if from := fires(u.Job, n) + u.FromUs; from <= at && at < from+u.UntilUs-u.FromUs {
							sum += u.Amount
						}
					}
				}
				if sum > r.Capacity {
					return "more is used than there is"
				}
			}
		}
	}
	for j, job := range p.Jobs {
		for n := 1; n < cycles; n++ {
			if fires(j, n-1)+job.BusyUs+job.RestUs+2*p.JitterUs > fires(j, n) {
				return "a job does not rest"
			}
		}
	}
	for _, a := range p.Arcs {
		for n := range cycles {
			for m := range cycles {
				if a.From == a.To && n == m {
					continue
				}
				// Each may be early or late by the jitter.
				from, until := fires(a.From, n)+a.FromUs-2*p.JitterUs, fires(a.From, n)+a.UntilUs+2*p.JitterUs
				open, closes := fires(a.To, m)+p.Jobs[a.To].OpenUs, fires(a.To, m)+p.Jobs[a.To].CloseUs
				if from < closes && until > open {
					return "a sound meets a window"
				}
			}
		}
	}
	return ""
}
