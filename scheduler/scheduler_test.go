package scheduler_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/check"
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

// Every answer passes the checker, which Solve asks, and is as short as brute force finds.
func TestAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for k := range 3000 {
		p := st.Random(r, k%8)
		if got, want := solve(t, p).CycleUs, st.Brute(p); got != want && len(p.Jobs) > 0 {
			t.Fatalf("problem %d %+v: %d, brute force %d", k, p, got, want)
		}
	}
}

// No bound may exceed the shortest cycle, however early the search is stopped.
func TestStoppedEarly(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for k := range 300 {
		p := st.Random(r, 7)
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

// Other orders of the same jobs, with names carried along, have the same least cycle.
func TestRelabelling(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		p := st.Random(r, 1+r.IntN(14))
		q := p
		to := r.Perm(len(p.Jobs))
		q.Jobs = make([]instance.Job, len(p.Jobs))
		for i, j := range p.Jobs {
			q.Jobs[to[i]] = j
		}
		q.Arcs, q.Conflicts = nil, nil
		for _, a := range p.Arcs {
			a.From, a.To = to[a.From], to[a.To]
			q.Arcs = append(q.Arcs, a)
		}
		for _, c := range p.Conflicts {
			q.Conflicts = append(q.Conflicts, [2]int{to[c[1]], to[c[0]]})
		}
		if a, b := solve(t, p).CycleUs, solve(t, q).CycleUs; a != b {
			t.Fatalf("%+v: %d, relabelled %d", p, a, b)
		}
	}
}

// Asking for more never shortens a cycle, asking for less never lengthens it.
func TestMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 300 {
		p := st.Random(r, 2+r.IntN(10))
		n := len(p.Jobs)
		was := solve(t, p).CycleUs
		longer := func(what string, q instance.Problem) {
			if now := solve(t, q).CycleUs; now < was {
				t.Fatalf("%s: from %d to %d us\n%+v", what, was, now, p)
			}
		}
		q := p
		q.GuardUs += 1 + r.Int64N(50)
		longer("longer guard", q)
		q = p
		q.Jobs = append([]instance.Job(nil), p.Jobs...)
		q.Jobs[r.IntN(n)].CloseUs += 1 + r.Int64N(1000)
		longer("longer window", q)
		q = p
		from := r.Int64N(1000)
		q.Arcs = append(p.Arcs[:len(p.Arcs):len(p.Arcs)], instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: from + r.Int64N(1000)})
		longer("one more arc", q)
		q = p
		q.Conflicts = append(p.Conflicts[:len(p.Conflicts):len(p.Conflicts)], [2]int{0, 1})
		longer("one more conflict", q)
		if now := solve(t, without(p, r.IntN(n))).CycleUs; now > was {
			t.Fatalf("a job less: from %d to %d us\n%+v", was, now, p)
		}
	}
}

func without(p instance.Problem, gone int) instance.Problem {
	q := p
	at := func(i int) int {
		if i > gone {
			return i - 1
		}
		return i
	}
	q.Jobs = append(append([]instance.Job(nil), p.Jobs[:gone]...), p.Jobs[gone+1:]...)
	q.Arcs, q.Conflicts = nil, nil
	for _, a := range p.Arcs {
		if a.From != gone && a.To != gone {
			a.From, a.To = at(a.From), at(a.To)
			q.Arcs = append(q.Arcs, a)
		}
	}
	for _, c := range p.Conflicts {
		if c[0] != gone && c[1] != gone {
			q.Conflicts = append(q.Conflicts, [2]int{at(c[0]), at(c[1])})
		}
	}
	return q
}

func TestSameAnswerTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 40 {
		p := st.Random(r, 16)
		if a, b := solve(t, p), solve(t, p); !reflect.DeepEqual(a, b) {
			t.Fatalf("%+v\n%+v", a, b)
		}
	}
}

// A timetable of the solver with one firing moved is refused: the check in Solve is not idle.
func TestCheckerRefusesDamage(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	damaged := 0
	for range 500 {
		p := st.Random(r, 2+r.IntN(6))
		tt := solve(t, p)
		k := r.IntN(len(tt.Firings))
		if len(tt.Groups) < 2 || tt.Firings[k].AtUs == 0 {
			continue
		}
		damaged++
		moved := tt.Firings[k].AtUs
		for i := range tt.Firings {
			if tt.Firings[i].AtUs == moved {
				tt.Firings[i].AtUs--
			}
		}
		// A slot 1 us early breaks in on the one before unless that one only waits for the guard
		// of a sound nobody in this slot can take.
		if err := check.Check(p, tt); err == nil && len(p.Arcs) == 0 {
			t.Fatalf("%+v\n%+v", p, tt)
		}
	}
	if damaged < 100 {
		t.Fatalf("only %d damaged", damaged)
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
		"negative at once":   {Jobs: []instance.Job{ok}, AtOnce: -1},
		"too many jobs":      {Jobs: make([]instance.Job, instance.MaxJobs+1)},
	} {
		var f *instance.Fault
		if _, err := scheduler.Solve(context.Background(), p, scheduler.Options{}); !errors.As(err, &f) {
			t.Errorf("%s: got %v, want a fault", name, err)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, k := range []st.Known{st.Queen(8, 8, 9), st.Mycielski(5)} {
		b.Run(k.Name, func(b *testing.B) { bench(b, k.Problem(1000), int64(k.Chromatic)*1000) })
	}
	for _, n := range []int{8, 16, 32, 64} {
		us := make([]int64, n)
		for i := range us {
			us[i] = 12_000 + int64(i*7919%48_000)
		}
		b.Run(fmt.Sprintf("ring%d", n), func(b *testing.B) { bench(b, st.Windows("", us, st.Ring(n, 3)), 0) })
	}
}

func bench(b *testing.B, p instance.Problem, want int64) {
	var nodes int64
	for b.Loop() {
		last := int64(0)
		o := scheduler.Options{Progress: func(_, _, n int64) { last = n }}
		tt, err := scheduler.Solve(context.Background(), p, o)
		if err != nil || !tt.Proven || want > 0 && tt.CycleUs != want {
			b.Fatal(err, tt.CycleUs, tt.Proven)
		}
		nodes += last
	}
	b.ReportMetric(float64(nodes)/b.Elapsed().Seconds(), "nodes/s")
}
