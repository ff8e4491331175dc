package scheduler_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

func solve(t testing.TB, p instance.Problem) instance.Timetable {
	t.Helper()
	tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{})
	if err != nil {
		t.Fatalf("%+v\n%v", p, err)
	}
	if !tt.Proven {
		t.Fatalf("not proven: %+v", tt)
	}
	return tt
}

// Every answer passes the checker, which Solve asks, and is as short as brute force finds over all
// partitions and orders; on the smallest, a second brute force over all microseconds agrees.
func TestAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	solved, ordered, cannot := 0, 0, 0
	for k := range 4000 {
		p := st.Random(r, 1+k%5, []int64{2, 3, 5, 40, 30_000}[k%7%5])
		if p.Possible() != nil {
			cannot++
			continue
		}
		want := st.Brute(p)
		if us := p.Jobs[0].LastsUs(); k%3 == 0 && len(p.Jobs) < 5 && us < 6 && k%7%5 < 3 {
			if c := st.Clockwork(p); c != want {
				t.Fatalf("problem %d: brute force over orders %d, over times %d\n%+v", k, want, c, p)
			}
		}
		tt := solve(t, p)
		if tt.CycleUs != want {
			t.Fatalf("problem %d: %d, brute force %d\n%+v", k, tt.CycleUs, want, p)
		}
		solved++
		if tt.Ordered {
			ordered++
		}
	}
	if solved < 2500 || ordered < 1000 || cannot < 300 {
		t.Errorf("%d solved, %d of them with regard to order; %d cannot", solved, ordered, cannot)
	}
}

// Larger ones, of which brute force can do fewer.
func TestAgainstBruteForceOfSeven(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for k := range 40 {
		p := st.Random(r, 6+k%2, []int64{4, 30_000}[k%2])
		if p.Possible() != nil {
			continue
		}
		if got, want := solve(t, p).CycleUs, st.Brute(p); got != want {
			t.Fatalf("problem %d: %d, brute force %d\n%+v", k, got, want, p)
		}
	}
}

// Problems without order go the other way, and give the same.
func TestPlain(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	plain := 0
	for k := range 800 {
		p := st.Plain(r, k%7)
		tt := solve(t, p)
		if want := st.Brute(p); tt.CycleUs != want {
			t.Fatalf("problem %d %+v: %d, brute force %d", k, p, tt.CycleUs, want)
		}
		if !tt.Ordered {
			plain++
		}
	}
	if plain < 500 {
		t.Errorf("only %d without order", plain)
	}
}

// No bound may exceed the shortest cycle, however early the search is stopped.
func TestStoppedEarly(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for k := range 150 {
		p := st.Random(r, 6, 30)
		if p.Possible() != nil {
			continue
		}
		least := st.Brute(p)
		for _, nodes := range []int64{1, 3, 10, 100} {
			tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: nodes})
			if err != nil || tt.LowerBoundUs > least || tt.CycleUs < least || tt.Proven != (tt.LowerBoundUs == tt.CycleUs) {
				t.Fatalf("problem %d, %d nodes: %v %+v, shortest %d", k, nodes, err, tt, least)
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := st.Mycielski(7).Problem(1000)
	tt, err := scheduler.Solve(ctx, p, scheduler.Options{})
	if err != nil || tt.Proven || len(tt.Firings) != len(p.Jobs) {
		t.Errorf("%v, proven %v, %d firings", err, tt.Proven, len(tt.Firings))
	}
	if !strings.Contains(tt.Why, "ended early") {
		t.Errorf("does not say that it ended early: %s", tt.Why)
	}
}

// A limit of time ends a hard search soon after; how soon depends on the machine, so only a hang
// is caught.
func TestLimit(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	best := int64(1 << 62)
	o := scheduler.Options{Progress: func(cycle, floor, _ int64) {
		if cycle > best || floor > cycle {
			t.Errorf("progress from %d to %d with a bound of %d", best, cycle, floor)
		}
		best = cycle
	}}
	tt, err := scheduler.Solve(ctx, st.Mycielski(7).Problem(1000), o)
	if err != nil || tt.CycleUs != 8000 || tt.Proven || tt.LowerBoundUs >= 8000 {
		t.Errorf("%v: %d us, at least %d, proven %v", err, tt.CycleUs, tt.LowerBoundUs, tt.Proven)
	}
}

// Five hundred jobs that all take turns while sound is late: each move, each way round and each row to be timed is
// long, and none of them may pass the limit by far. The machine decides how far, so only a hang is caught.
func TestLimitOfMany(t *testing.T) {
	p := st.Echoes(500, 60, 160, 1)
	for i := range p.Jobs {
		for j := range i {
			p.Conflicts = append(p.Conflicts, [2]int{i, j})
		}
	}
	ctx, cancel := context.WithTimeout(context.Background(), 800*time.Millisecond)
	defer cancel()
	began := time.Now()
	tt, err := scheduler.Solve(ctx, p, scheduler.Options{})
	if took := time.Since(began); err != nil || len(tt.Groups) != 500 || took > 12*time.Second {
		t.Errorf("%v: %d groups after %v", err, len(tt.Groups), took)
	}
}

// draw gives a random problem that does not contradict itself.
func draw(r *rand.Rand, n int) instance.Problem {
	for {
		if p := st.Random(r, n, 50); p.Possible() == nil {
			return p
		}
	}
}

// Other orders of the same jobs, with names carried along, have the same least cycle.
func TestRelabelling(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		p := draw(r, 1+r.IntN(9))
		q := p.Only(r.Perm(len(p.Jobs)))
		if a, b := solve(t, p).CycleUs, solve(t, q).CycleUs; a != b {
			t.Fatalf("%+v: %d, relabelled %d", p, a, b)
		}
	}
}

// Asking for more never shortens a cycle, asking for less never lengthens it: a timetable that
// keeps the harder demands keeps the easier ones, for times need not be tight; and one from which a
// job is taken away is still one.
func TestMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 250 {
		p := draw(r, 2+r.IntN(7))
		n := len(p.Jobs)
		was := solve(t, p).CycleUs
		longer := func(what string, q instance.Problem) {
			if q.Possible() != nil {
				return
			}
			if now := solve(t, q).CycleUs; now < was {
				t.Fatalf("%s: from %d to %d us\n%+v", what, was, now, p)
			}
		}
		q := p
		q.GuardUs += 1 + r.Int64N(50)
		longer("longer guard", q)
		q = p
		q.JitterUs += 1 + r.Int64N(5)
		longer("more jitter", q)
		q = p
		q.Jobs = append([]instance.Job(nil), p.Jobs...)
		q.Jobs[r.IntN(n)].CloseUs += 1 + r.Int64N(100)
		longer("longer window", q)
		q = p
		from := r.Int64N(100)
		q.Arcs = append(p.Arcs[:len(p.Arcs):len(p.Arcs)], instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: from + r.Int64N(100)})
		longer("one more arc", q)
		q = p
		q.Conflicts = append(p.Conflicts[:len(p.Conflicts):len(p.Conflicts)], [2]int{0, 1})
		longer("one more conflict", q)
		q = p
		q.Order = append(p.Order[:len(p.Order):len(p.Order)], []int{1, 0})
		longer("one more chain", q)
		if now := solve(t, without(p, r.IntN(n))).CycleUs; now > was {
			t.Fatalf("a job less: from %d to %d us\n%+v", was, now, p)
		}
	}
}

func without(p instance.Problem, gone int) instance.Problem {
	var rest []int
	for i := range p.Jobs {
		if i != gone {
			rest = append(rest, i)
		}
	}
	return p.Only(rest)
}

func TestSameAnswerTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for k := range 40 {
		p := st.Plain(r, 16)
		if k%2 == 0 {
			p = draw(r, 9)
		}
		if a, b := solve(t, p), solve(t, p); !reflect.DeepEqual(a, b) {
			t.Fatalf("%+v\n%+v", a, b)
		}
	}
}

func TestFaultyProblem(t *testing.T) {
	ok := instance.Job{CloseUs: 10}
	for name, p := range map[string]instance.Problem{
		"reversed window":    {Jobs: []instance.Job{{OpenUs: 5, CloseUs: 4}}},
		"negative open":      {Jobs: []instance.Job{{OpenUs: -1, CloseUs: 4}}},
		"negative rest":      {Jobs: []instance.Job{{CloseUs: 4, RestUs: -1}}},
		"no time at all":     {Jobs: []instance.Job{{}}},
		"too long":           {Jobs: []instance.Job{{CloseUs: instance.MaxUs + 1}}},
		"arc to nobody":      {Jobs: []instance.Job{ok}, Arcs: []instance.Arc{{To: 1}}},
		"arc reversed":       {Jobs: []instance.Job{ok}, Arcs: []instance.Arc{{FromUs: 2, UntilUs: 1}}},
		"arc too long":       {Jobs: []instance.Job{ok}, Arcs: []instance.Arc{{UntilUs: instance.MaxUs + 1}}},
		"conflict with self": {Jobs: []instance.Job{ok}, Conflicts: [][2]int{{0, 0}}},
		"conflict with none": {Jobs: []instance.Job{ok}, Conflicts: [][2]int{{0, 1}}},
		"negative guard":     {Jobs: []instance.Job{ok}, GuardUs: -1},
		"negative jitter":    {Jobs: []instance.Job{ok}, JitterUs: -1},
		"negative transfer":  {Jobs: []instance.Job{{CloseUs: 4, TransferUs: -1}}},
		"set of nobody":      {Jobs: []instance.Job{ok}, Together: [][]int{{0, 1}}},
		"chain of one twice": {Jobs: []instance.Job{ok}, Order: [][]int{{0, 0}}},
		"no capacity":        {Jobs: []instance.Job{ok}, Resources: []instance.Resource{{}}},
		"use by nobody":      {Jobs: []instance.Job{ok}, Resources: []instance.Resource{{Capacity: 1, Uses: []instance.Use{{Job: 1, Amount: 1, UntilUs: 1}}}}},
		"use of nothing":     {Jobs: []instance.Job{ok}, Resources: []instance.Resource{{Capacity: 1, Uses: []instance.Use{{UntilUs: 1}}}}},
		"use for no time":    {Jobs: []instance.Job{ok}, Resources: []instance.Resource{{Capacity: 1, Uses: []instance.Use{{Amount: 1}}}}},
		"negative at once":   {Jobs: []instance.Job{ok}, AtOnce: -1},
		"too many jobs":      {Jobs: make([]instance.Job, instance.MaxJobs+1)},
	} {
		var f *instance.Fault
		if _, err := scheduler.Solve(context.Background(), p, scheduler.Options{}); !errors.As(err, &f) {
			t.Errorf("%s: got %v, want a fault", name, err)
		}
	}
}

// What contradicts itself is said to, with the place.
func TestCannot(t *testing.T) {
	ok := instance.Job{CloseUs: 10}
	three := []instance.Job{ok, ok, ok}
	use := func(job int, amount int64) instance.Use { return instance.Use{Job: job, Amount: amount, UntilUs: 5} }
	for where, p := range map[string]instance.Problem{
		"together 0: conflict":   {Jobs: three, Together: [][]int{{0, 1}}, Conflicts: [][2]int{{1, 0}}},
		"together 1: joined":     {Jobs: three, Together: [][]int{{0, 1}, {1, 2}}, Conflicts: [][2]int{{2, 0}}},
		"together 0: sound":      {Jobs: three, Together: [][]int{{0, 1}}, Arcs: []instance.Arc{{From: 1, To: 0, FromUs: 3, UntilUs: 4}}},
		"together 0: at once":    {Jobs: three, Together: [][]int{{0, 1, 2}}, AtOnce: 2},
		"order 0: in a set":      {Jobs: three, Together: [][]int{{0, 1}}, Order: [][]int{{0, 2, 1}}},
		"order 0: against":       {Jobs: three, Order: [][]int{{0, 1}, {1, 0}}},
		"order 0: round":         {Jobs: three, Order: [][]int{{0, 1}, {1, 2}, {2, 0}}},
		"resource 0: one job":    {Jobs: three, Resources: []instance.Resource{{Capacity: 2, Uses: []instance.Use{use(0, 3)}}}},
		"resource 0: itself":     {Jobs: three, Resources: []instance.Resource{{Capacity: 2, Uses: []instance.Use{use(0, 1), use(0, 2)}}}},
		"resource 0: of a set":   {Jobs: three, Together: [][]int{{0, 1}}, Resources: []instance.Resource{{Capacity: 2, Uses: []instance.Use{use(0, 1), use(1, 2)}}}},
		"order 0: in joined set": {Jobs: three, Together: [][]int{{0, 1}, {1, 2}}, Order: [][]int{{0, 2}}},
	} {
		var c *instance.Cannot
		_, err := scheduler.Solve(context.Background(), p, scheduler.Options{})
		if !errors.As(err, &c) || !strings.HasPrefix(where, c.Where+":") {
			t.Errorf("%s: got %v", where, err)
		}
	}
}
