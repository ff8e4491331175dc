package scheduler_test

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// staggered asks for the same in the other style.
func staggered(p instance.Problem) instance.Problem {
	p.Style = instance.Staggered
	return p
}

func inSlots(p instance.Problem) instance.Problem {
	p.Style = instance.Slots
	return p
}

// drawStaggered gives a random problem that does not contradict itself.
func drawStaggered(r *rand.Rand, n int, scale int64) instance.Problem {
	for {
		if p := st.Random(r, n, scale); p.Possible() == nil {
			return staggered(p)
		}
	}
}

// Every answer passes the checker, which Solve asks, and is as short as trying every offset in every cycle finds;
// slots are never shorter.
func TestStaggeredAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	solved, shorter, late := 0, 0, 0
	for k := range 5000 {
		n := 1 + k%5
		scale := []int64{12, 12, 12, 3, 2}[n-1]
		if k%40 == 3 {
			scale = 6
		}
		p := drawStaggered(r, n, scale)
		if k%11 == 0 && n < 5 { // sound far older than a cycle
			from := r.Int64N(100 * scale)
			p.Arcs = append(p.Arcs, instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: from + r.Int64N(scale)})
			late++
		}
		if k%7 == 0 && n > 1 { // two that may swap places, all but
			j := r.IntN(n - 1)
			p.Jobs[j+1] = p.Jobs[j]
			if p.Possible() != nil {
				continue
			}
		}
		tt := solve(t, p)
		if math.Pow(float64(tt.CycleUs), float64(n)) > 2e5 {
			continue // brute force would take too long
		}
		want := st.Offsets(p)
		if tt.CycleUs != want {
			t.Fatalf("problem %d: %d, brute force %d\n%+v\n%+v", k, tt.CycleUs, want, p, tt)
		}
		solved++
		if in := solve(t, inSlots(p)).CycleUs; in < want {
			t.Fatalf("problem %d: slots %d, staggered %d\n%+v", k, in, want, p)
		} else if in > want {
			shorter++
		}
	}
	if solved < 3000 || shorter < 600 || late < 200 {
		t.Errorf("%d solved, %d of them shorter than slots, %d with sound far older", solved, shorter, late)
	}
}

// Equal windows w round a ring of n, each in conflict with k on either side: ceil(n w / floor(n/(k+1))). Derived
// in a line each way: no more than q = floor(n/(k+1)) listen at once, and job i at (i q mod n) w / q does it.
func TestRingsClosedForm(t *testing.T) {
	for _, c := range [][2]int{{5, 1}, {7, 1}, {10, 2}, {16, 2}, {14, 3}, {8, 2}, {19, 4}} {
		n, k := int64(c[0]), c[1]
		for _, w := range []int64{1, 7, 12_000} {
			us := slices.Repeat([]int64{w}, c[0])
			q := n / int64(k+1)
			want := (n*w + q - 1) / q
			tt := solve(t, staggered(st.Windows("ring", us, st.Ring(c[0], k))))
			if tt.CycleUs != want {
				t.Errorf("ring(%d,%d), windows of %d: %d, want %d", n, k, w, tt.CycleUs, want)
			}
		}
	}
}

// Windows and conflicts of which the least cycle without slots is known: by brute force over real times, rounded
// up to whole microseconds here where it is a fraction.
func TestKnownStaggered(t *testing.T) {
	ring5 := st.Ring(5, 1)
	wheel := append(st.Ring(5, 1), [2]int{0, 5}, [2]int{1, 5}, [2]int{2, 5}, [2]int{3, 5}, [2]int{4, 5})
	hub := [][2]int{{0, 1}, {1, 2}, {2, 3}, {0, 4}, {1, 4}, {2, 4}, {3, 4}}
	for _, c := range []struct {
		name      string
		us        []int64
		conflicts [][2]int
		slots     int64
		want      int64
	}{
		{"P4", []int64{10, 1, 1, 10}, st.Path(4, 1), 12, 11},
		{"ring(5,1)", []int64{2, 2, 2, 2, 2}, ring5, 6, 5},
		{"ring(5,1) unequal, tenfold", []int64{30, 10, 20, 30, 20}, ring5, 60, 55},
		{"ring(7,2), twofold", []int64{6, 6, 6, 6, 6, 6, 6}, st.Ring(7, 2), 24, 21},
		{"ring(8,1)", []int64{12, 6, 12, 6, 12, 6, 12, 6}, st.Ring(8, 1), 18, 18},
		{"ring(8,2)", []int64{2, 2, 2, 2, 2, 2, 2, 2}, st.Ring(8, 2), 8, 8},
		{"path(6,2)", []int64{9, 15, 18, 18, 15, 9}, st.Path(6, 2), 51, 51},
		{"wheel", []int64{2, 2, 2, 2, 2, 3}, wheel, 9, 9},
		{"P4 and a hub", []int64{10, 1, 1, 10, 3}, hub, 15, 14},
	} {
		p := st.Windows(c.name, c.us, c.conflicts)
		if got := solve(t, p).CycleUs; got != c.slots {
			t.Errorf("%s: slots %d, want %d", c.name, got, c.slots)
		}
		if got := solve(t, staggered(p)).CycleUs; got != c.want {
			t.Errorf("%s: staggered %d, want %d", c.name, got, c.want)
		}
	}
}

// On odd rings the least cycle is the fractional weight of cliques: the heaviest pair of neighbours, or all weights
// shared out among the most that fit at once, (n−1)/2. Deuber, Zhu, "Circular colorings of weighted graphs", Journal of Graph
// Theory 23 (1996).
func TestOddRings(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	shared := 0
	for range 200 {
		n := int64(3 + 2*r.IntN(6))
		us := make([]int64, n)
		var sum, want int64
		for i := range us {
			us[i] = 1 + r.Int64N(20)
			sum += us[i]
		}
		for i := range us {
			want = max(want, us[i]+us[(i+1)%int(n)])
		}
		if half := (n - 1) / 2; (sum+half-1)/half > want {
			want = (sum + half - 1) / half
			shared++
		}
		if got := solve(t, staggered(st.Windows("ring", us, st.Ring(int(n), 1)))).CycleUs; got != want {
			t.Fatalf("%v: %d, want %d", us, got, want)
		}
	}
	if shared < 20 {
		t.Errorf("only %d shared out", shared)
	}
}

// Two that hear each other from the firing on: the next may fire when the sound is over as its window opens, and
// not before the window of the one before it has closed.
func TestPairClosedForm(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for range 200 {
		open, wait := [2]int64{r.Int64N(50), r.Int64N(50)}, [2]int64{}
		p := instance.Problem{Style: instance.Staggered, JitterUs: r.Int64N(4)}
		for i := range 2 {
			p.Jobs = append(p.Jobs, instance.Job{OpenUs: open[i], CloseUs: open[i] + 1 + r.Int64N(50)})
		}
		for i := range 2 {
			until := 100 + r.Int64N(100)
			p.Arcs = append(p.Arcs, instance.Arc{From: i, To: 1 - i, UntilUs: until})
			wait[i] = max(until-open[1-i], p.Jobs[i].CloseUs) + 2*p.JitterUs
		}
		if got, want := solve(t, p).CycleUs, wait[0]+wait[1]; got != want {
			t.Fatalf("%+v: %d, want %d", p, got, want)
		}
	}
}

// A longer cycle may be wrong where a shorter one is right, for sound that is older than a cycle: its own
// sound arrives 40 us after a firing and must fall outside the window that opens 0 to 5 us after one.
func TestLongerMayBeWrong(t *testing.T) {
	p := instance.Problem{Style: instance.Staggered, Jobs: []instance.Job{{CloseUs: 5, BusyUs: 7}}, Arcs: []instance.Arc{{FromUs: 40, UntilUs: 40}}}
	right := func(us int64) bool {
		for d := us; d <= 40; d += us {
			if 35 < d && d < 40 {
				return false
			}
		}
		return true
	}
	if !right(8) || right(9) || right(7) != true {
		t.Fatalf("the example is none: %v %v %v", right(7), right(8), right(9))
	}
	if got := solve(t, p).CycleUs; got != 7 {
		t.Errorf("%d, want 7", got)
	}
	p.Jobs[0].BusyUs = 9
	if got := solve(t, p).CycleUs; got != 10 || !right(10) {
		t.Errorf("%d, want 10", got)
	}
}

// No bound may exceed the shortest cycle, however early the search is stopped.
func TestStaggeredStoppedEarly(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	for k := range 150 {
		p := drawStaggered(r, 7, 30)
		shortest := solve(t, p).CycleUs
		for _, nodes := range []int64{1, 3, 10, 100} {
			tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: nodes})
			if err != nil || tt.LowerBoundUs > shortest || tt.CycleUs < shortest || tt.Proven != (tt.LowerBoundUs == tt.CycleUs) {
				t.Fatalf("problem %d, %d nodes: %v %+v, shortest %d", k, nodes, err, tt, shortest)
			}
		}
	}
}

// Jobs of few kinds, so that many may swap places.
func TestStaggeredAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(37, 38))
	for k := range 300 {
		n := 3 + k%3
		p := instance.Problem{Style: instance.Staggered, GuardUs: r.Int64N(2), AtOnce: r.IntN(3)}
		kind := make([]int, n)
		us := [2]int64{1 + r.Int64N(4), 1 + r.Int64N(3)}
		for i := range n {
			kind[i] = r.IntN(2)
			p.Jobs = append(p.Jobs, instance.Job{CloseUs: us[kind[i]]})
		}
		late, foes := [2][2]int64{{r.Int64N(7), r.Int64N(7)}, {r.Int64N(7), r.Int64N(7)}}, [3]bool{r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0}
		for i := range n {
			for j := range n {
				if from := late[kind[i]][kind[j]]; from < 5 {
					p.Arcs = append(p.Arcs, instance.Arc{From: i, To: j, FromUs: from, UntilUs: from + 2})
				}
				if i < j && foes[kind[i]+kind[j]] {
					p.Conflicts = append(p.Conflicts, [2]int{i, j})
				}
			}
		}
		if k%4 == 0 {
			res := instance.Resource{Capacity: 2}
			for i := range n {
				res.Uses = append(res.Uses, instance.Use{Job: i, Amount: int64(1 + kind[i]), UntilUs: 2})
			}
			p.Resources = []instance.Resource{res}
		}
		if got, want := solve(t, p).CycleUs, st.Offsets(p); got != want {
			t.Fatalf("problem %d: %d, brute force %d\n%+v", k, got, want, p)
		}
	}
}

func TestStaggeredRelabelling(t *testing.T) {
	r := rand.New(rand.NewPCG(29, 30))
	for range 200 {
		p := drawStaggered(r, 1+r.IntN(8), 50)
		q := p.Only(r.Perm(len(p.Jobs)))
		if a, b := solve(t, p).CycleUs, solve(t, q).CycleUs; a != b {
			t.Fatalf("%+v: %d, relabelled %d", p, a, b)
		}
	}
}

// Asking for more never shortens a cycle, asking for less never lengthens it: a timetable that keeps the harder
// demands keeps the easier ones, and one from which a job is taken away is still one. That does not mean that
// every longer cycle is right, see TestLongerMayBeWrong.
func TestStaggeredMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	for range 150 {
		p := drawStaggered(r, 2+r.IntN(6), 50)
		n := len(p.Jobs)
		was := solve(t, p).CycleUs
		longer := func(what string, change func(q *instance.Problem)) {
			q := p.Only(seq(n)) // a copy
			change(&q)
			if q.Possible() != nil {
				return
			}
			if now := solve(t, q).CycleUs; now < was {
				t.Fatalf("%s: from %d to %d us\n%+v", what, was, now, p)
			}
		}
		longer("longer guard", func(q *instance.Problem) { q.GuardUs += 1 + r.Int64N(50) })
		longer("more jitter", func(q *instance.Problem) { q.JitterUs += 1 + r.Int64N(5) })
		longer("longer window", func(q *instance.Problem) { q.Jobs[r.IntN(n)].CloseUs += 1 + r.Int64N(100) })
		longer("longer sound", func(q *instance.Problem) {
			if len(q.Arcs) > 0 {
				q.Arcs[r.IntN(len(q.Arcs))].UntilUs += 1 + r.Int64N(100)
			}
		})
		longer("one more arc", func(q *instance.Problem) {
			from := r.Int64N(100)
			q.Arcs = append(q.Arcs, instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: from + r.Int64N(100)})
		})
		longer("one more conflict", func(q *instance.Problem) { q.Conflicts = append(q.Conflicts, [2]int{0, 1}) })
		longer("one more chain", func(q *instance.Problem) { q.Order = append(q.Order, []int{1, 0}) })
		if now := solve(t, without(p, r.IntN(n))).CycleUs; now > was {
			t.Fatalf("a job less: from %d to %d us\n%+v", was, now, p)
		}
	}
}

func seq(n int) (s []int) {
	for i := range n {
		s = append(s, i)
	}
	return s
}

func TestStaggeredSameAnswerTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	for range 30 {
		p := drawStaggered(r, 9, 50)
		if a, b := solve(t, p), solve(t, p); !reflect.DeepEqual(a, b) {
			t.Fatalf("%+v\n%+v", a, b)
		}
	}
}

// A stopped search says so, and never more than it knows; a thousand jobs end with the limit, too.
func TestStaggeredLimit(t *testing.T) {
	dense := st.Spans(32, 90, 1)
	ctx, cancel := context.WithTimeout(context.Background(), 200*time.Millisecond)
	defer cancel()
	tt, err := scheduler.Solve(ctx, dense, scheduler.Options{})
	if err != nil || tt.Proven || !strings.Contains(tt.Why, "ended early") {
		t.Errorf("%v, proven %v: %s", err, tt.Proven, tt.Why)
	}
	late := staggered(st.Echoes(1000, 4, 200, 1))
	many := staggered(st.Echoes(1100, 4, 200, 1))
	complete := staggered(st.Windows("complete", st.Spread(1000, false, 1), st.Path(1000, 1000)))
	chained := late
	chained.Order = [][]int{{3, 500, 7}, {900, 1}}
	for _, p := range []instance.Problem{late, chained, many, complete} {
		tt, took := run(t, p, 300*time.Millisecond)
		t.Logf("%s: %d us, at least %d, %v", p.Name, tt.CycleUs, tt.LowerBoundUs, took)
		if took > 8*time.Second || len(tt.Firings) != len(p.Jobs) {
			t.Errorf("%s: %d firings after %v", p.Name, len(tt.Firings), took)
		}
	}
}

// What makes a bound is named.
func TestStaggeredWhy(t *testing.T) {
	three := []instance.Job{{Name: "a", CloseUs: 10}, {Name: "b", CloseUs: 20}, {Name: "c", CloseUs: 30}}
	ring5 := st.Windows("ring", []int64{2, 2, 2, 2, 2}, st.Ring(5, 1))
	for _, c := range []struct {
		p      instance.Problem
		words  []string
		clique int
	}{
		{instance.Problem{Jobs: three}, []string{"c is occupied for 30 us, so no cycle is shorter than 30 us.", "none is shorter"}, 1},
		{instance.Problem{Jobs: three, GuardUs: 2, JitterUs: 1}, []string{"c is occupied for 30 us, with 2 us of guard and twice 1 us of jitter"}, 1},
		{instance.Problem{Jobs: []instance.Job{{Name: "a", CloseUs: 10, RestUs: 60}}}, []string{"a is busy for 0 us and must then rest for 60 us"}, 1},
		{instance.Problem{Jobs: three, Conflicts: [][2]int{{1, 2}}}, []string{"c may not fire from -30 us to 20 us after b", "no cycle is shorter than 50 us"}, 2},
		{instance.Problem{Jobs: three, AtOnce: 1}, []string{"These 3 take turns", "a, 10 us; b, 20 us; c, 30 us; then a again. Sum: 60 us."}, 3},
		{instance.Problem{Jobs: three[:1], Arcs: []instance.Arc{{FromUs: 0, UntilUs: 65}}}, []string{"a later window of its own"}, 0},
		{ring5, []string{"Beyond that by search: for each of the 5 pairs", "was tried or ruled out (dead ends: ", "none leaves a cycle below 5 us."}, 0},
	} {
		tt := solve(t, staggered(c.p))
		for _, w := range c.words {
			if !strings.Contains(tt.Why, w) {
				t.Errorf("no %q in\n%s", w, tt.Why)
			}
		}
		if len(tt.Clique) != c.clique {
			t.Errorf("clique %v, want %d\n%s", tt.Clique, c.clique, tt.Why)
		}
	}
}

// The instances committed for measuring.

func carts() (ps []instance.Problem) {
	for seed := range uint64(6) {
		ps = append(ps, st.Cart(12, seed+1))
	}
	return ps
}

func spans(n int, percents ...int) (ps []instance.Problem) {
	for _, d := range percents {
		for seed := range uint64(3) {
			ps = append(ps, st.Spans(n, d, seed+1))
		}
	}
	return ps
}

func staggeredEchoes(n int) (ps []instance.Problem) {
	for _, p := range echoes(n) {
		ps = append(ps, staggered(p))
	}
	return ps
}

func staggeredRandoms(n int) (ps []instance.Problem) {
	for _, p := range randoms(n) {
		ps = append(ps, staggered(p))
	}
	return ps
}

// All of them proven, with times that only a far slower machine or solver misses.
func TestStaggeredProven(t *testing.T) {
	for _, c := range []struct {
		ps    []instance.Problem
		limit time.Duration
	}{
		{carts(), 10 * time.Second},
		{spans(16, 20, 50), 10 * time.Second},
		{staggeredEchoes(16), 10 * time.Second},
		{staggeredEchoes(24), 10 * time.Second},
	} {
		for _, p := range c.ps {
			if tt, _ := run(t, p, c.limit); !tt.Proven {
				t.Errorf("%s: %d us, at least %d", p.Name, tt.CycleUs, tt.LowerBoundUs)
			}
		}
	}
}

// A first valid timetable is there at once, and it is checked: Solve does that. Four times the 50 ms asked of two
// quiet cores.
func TestStaggeredAtOnce(t *testing.T) {
	for _, p := range slices.Concat(staggeredEchoes(64), spans(64, 20, 90)) {
		tt, took := run(t, p, 40*time.Millisecond)
		if took > 200*time.Millisecond || len(tt.Firings) != 64 {
			t.Errorf("%s: %d firings after %v", p.Name, len(tt.Firings), took)
		}
	}
}

func BenchmarkStaggeredCarts12(b *testing.B) { benchStaggered(b, carts(), 10*time.Second) }
func BenchmarkStaggeredSpans16(b *testing.B) {
	benchStaggered(b, spans(16, 20, 50, 90), 10*time.Second)
}
func BenchmarkStaggeredEchoes16(b *testing.B) { benchStaggered(b, staggeredEchoes(16), 10*time.Second) }
func BenchmarkStaggeredSpans24(b *testing.B) {
	benchStaggered(b, spans(24, 20, 50, 90), 30*time.Second)
}
func BenchmarkStaggeredEchoes24(b *testing.B) { benchStaggered(b, staggeredEchoes(24), 30*time.Second) }
func BenchmarkStaggeredRandom24(b *testing.B) {
	benchStaggered(b, staggeredRandoms(24), 30*time.Second)
}
func BenchmarkStaggeredEchoes64(b *testing.B) { benchStaggered(b, staggeredEchoes(64), 10*time.Second) }
func BenchmarkStaggeredFirst64(b *testing.B) {
	benchStaggered(b, slices.Concat(staggeredEchoes(64), spans(64, 20, 50, 90)), 50*time.Millisecond)
}

// benchStaggered solves each once a round in both styles and reports how many are proven, the median and the slowest
// time, the widest gap left, and how much shorter the cycle is than that of slots on average; -v prints the table.
func benchStaggered(b *testing.B, ps []instance.Problem, limit time.Duration) {
	limit = min(limit, *longest)
	var times []time.Duration
	var gap, gain float64
	proven := 0
	for b.Loop() {
		times, gap, gain, proven = nil, 0, 0, 0
		for _, p := range ps {
			in, _ := run(b, inSlots(p), min(limit, 5*time.Second))
			tt, took := run(b, p, limit)
			if tt.Proven {
				proven++
			}
			times = append(times, took)
			open := 100 * float64(tt.CycleUs-tt.LowerBoundUs) / float64(tt.CycleUs)
			shorter := 100 * float64(in.CycleUs-tt.CycleUs) / float64(in.CycleUs)
			gap, gain = max(gap, open), gain+shorter/float64(len(ps))
			if testing.Verbose() {
				b.Logf("%-20s slots %7d staggered %7d us, at least %7d, gap %5.2f %%, proven %-5v %8d nodes %10v, %5.2f %% shorter",
					p.Name, in.CycleUs, tt.CycleUs, tt.LowerBoundUs, open, tt.Proven, tt.Nodes, took.Round(10*time.Microsecond), shorter)
			}
		}
	}
	slices.Sort(times)
	b.ReportMetric(float64(proven), "proven")
	b.ReportMetric(float64(len(ps)), "instances")
	b.ReportMetric(times[len(times)/2].Seconds()*1000, "median-ms")
	b.ReportMetric(times[len(times)-1].Seconds()*1000, "worst-ms")
	b.ReportMetric(gap, "worst-gap-%")
	b.ReportMetric(gain, "shorter-than-slots-%")
}
