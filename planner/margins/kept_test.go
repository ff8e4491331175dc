package margins

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
	"echowright/scheduler/schedulertest"
)

// two is a pair of jobs a and b; b fires later by lag, both again after cycle.
func two(lag, cycle int64, style instance.Style, arcs ...instance.Arc) (instance.Problem, instance.Timetable) {
	p := instance.Problem{Name: "two", Style: style, Arcs: arcs, Jobs: []instance.Job{
		{Name: "a", OpenUs: 100, CloseUs: 5000, BusyUs: 6000}, {Name: "b", OpenUs: 300, CloseUs: 4000, BusyUs: 5000},
	}}
	t := instance.Timetable{CycleUs: cycle, Firings: []instance.Firing{{Job: 0}, {Job: 1, AtUs: lag}}}
	return p, ordered(t, style)
}

// breaksAt is the least change found of a problem with its timetable kept.
func breaksAt(t *testing.T, tt instance.Timetable, most int64, problem func(x int64) instance.Problem) (int64, *broken) {
	t.Helper()
	x, _, b, err := least(context.Background(), 1, []int64{most}, func(_ int, x int64) (*broken, error) { return refuse(problem(x), tt), nil })
	if err != nil {
		t.Fatal(err)
	}
	return x, b
}

// Cases with a closed form. Spans that only touch do no harm, so each breaks one microsecond past the touch.
func TestBreaksWhereArithmeticSays(t *testing.T) {
	late := instance.Arc{From: 0, To: 1, FromUs: 400, UntilUs: 12_000} // b opens 300 after it fires: a's sound is over then from 11.7 ms of lag on
	ahead := instance.Arc{From: 0, To: 1, FromUs: 4700, UntilUs: 9000} // fired together: begins 700 after b's window is over
	for _, c := range []struct {
		name     string
		lag      int64
		cycle    int64
		style    instance.Style
		arcs     []instance.Arc
		change   func(p *instance.Problem, x int64)
		want     int64
		rule     check.Rule
		sensors  []string
		atNoneTo int64
	}{
		// Sound begins and ends, window opens and closes, each off by the jitter: 12000 + j > 12000 + 300 - j from j = 151 on.
		{"jitter", 12_000, 40_000, instance.Staggered, []instance.Arc{late}, func(p *instance.Problem, x int64) { p.JitterUs = x }, 151, check.Sound, []string{"a", "b"}, 0},
		{"window begins before sound ends", 12_000, 40_000, instance.Staggered, []instance.Arc{late}, func(p *instance.Problem, x int64) { p.Jobs[1].OpenUs -= x }, 0, "", nil, 300},
		{"window to where an arc begins", 0, 40_000, instance.Slots, []instance.Arc{ahead}, func(p *instance.Problem, x int64) { p.Jobs[1].CloseUs += x }, 701, check.Sound, []string{"a", "b"}, 0},
		{"arc ends later", 12_000, 40_000, instance.Slots, []instance.Arc{late}, func(p *instance.Problem, x int64) { p.Arcs[0].UntilUs += x }, 301, check.Sound, []string{"a", "b"}, 0},
		// Group a is over after 6000, b fires at 9000: 3000 are left for a guard, and for a reading that overruns.
		{"guard", 9000, 40_000, instance.Slots, nil, func(p *instance.Problem, x int64) { p.GuardUs = x }, 3001, check.Guard, []string{"a", "b"}, 0},
		{"overrun", 9000, 40_000, instance.Slots, nil, func(p *instance.Problem, x int64) { *p = overrun(*p, 0, x) }, 3001, check.Guard, []string{"a", "b"}, 0},
		{"overrun past the guard", 9000, 40_000, instance.Slots, nil, func(p *instance.Problem, x int64) { p.GuardUs = 1000; *p = overrun(*p, 0, x) }, 2001, check.Guard, []string{"a", "b"}, 0},
		// b is over at 14 ms and the cycle at 15 ms.
		{"overrun into the next cycle", 9000, 15_000, instance.Slots, nil, func(p *instance.Problem, x int64) { *p = overrun(*p, 1, x) }, 1001, check.Guard, []string{"a", "b"}, 0},
		// Staggered, nothing in common: a may be busy until it fires again itself.
		{"overrun into itself", 9000, 15_000, instance.Staggered, nil, func(p *instance.Problem, x int64) { *p = overrun(*p, 0, x) }, 9001, check.Rest, []string{"a"}, 0},
		{"own late sound", 9000, 15_000, instance.Staggered, []instance.Arc{{From: 0, To: 0, FromUs: 50, UntilUs: 15_000}}, func(p *instance.Problem, x int64) { p.Arcs[0].UntilUs += x }, 101, check.Sound, []string{"a"}, 0},
	} {
		p, tt := two(c.lag, c.cycle, c.style, c.arcs...)
		most := int64(20_000)
		if c.atNoneTo > 0 {
			most = c.atNoneTo
		}
		x, b := breaksAt(t, tt, most, func(x int64) instance.Problem {
			q := p
			q.Jobs, q.Arcs = slices.Clone(p.Jobs), slices.Clone(p.Arcs)
			c.change(&q, x)
			return q
		})
		switch {
		case c.want == 0 && b == nil:
		case b == nil || x != c.want || b.rule != string(c.rule) || !slices.Equal(b.sensors, c.sensors):
			t.Errorf("%s: breaks at %d, %+v; want %d, %s of %v", c.name, x, b, c.want, c.rule, c.sensors)
		}
	}
}

// On small problems the change found is the one found by trying every microsecond, and whoever is named is refused alone, too.
func TestBisectionIsBruteForce(t *testing.T) {
	const most = 400
	broke, named := 0, 0
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 7))
		p := schedulertest.Plain(r, 2+r.IntN(4))
		if seed%2 == 0 {
			p.Style = instance.Staggered
		}
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 2000})
		if err != nil {
			continue // a problem without any timetable
		}
		tt.LowerBoundUs, tt.Proven, tt.Clique = 0, false, nil
		for name, change := range map[string]func(i int, x int64) instance.Problem{
			"guard":   func(_ int, x int64) instance.Problem { q := p; q.GuardUs += x; return q },
			"jitter":  func(_ int, x int64) instance.Problem { q := p; q.JitterUs += x; return q },
			"overrun": func(i int, x int64) instance.Problem { return overrun(p, i, x) },
			"window": func(i int, x int64) instance.Problem {
				q := p
				q.Jobs = slices.Clone(p.Jobs)
				q.Jobs[i].CloseUs += x
				return q
			},
		} {
			want, first := int64(0), -1
			for x := int64(0); x <= most && first < 0; x++ {
				for i := range p.Jobs {
					if check.Check(change(i, x), tt) != nil {
						want, first = x, i
						break
					}
				}
			}
			got, who, b, err := least(context.Background(), len(p.Jobs), []int64{most}, func(i int, x int64) (*broken, error) { return refuse(change(i, x), tt), nil })
			if err != nil {
				t.Fatal(err)
			}
			if (b == nil) != (first < 0) || b != nil && (got != want || who != first) {
				t.Fatalf("seed %d, %s: found %d of job %d, brute force %d of job %d\n%+v", seed, name, got, who, want, first, p)
			}
			if b != nil {
				broke++
				if len(b.sensors) > 0 {
					named++
				}
			}
		}
	}
	t.Logf("%d break, %d with names", broke, named)
	if broke < 200 || named < broke*8/10 {
		t.Errorf("only %d break, %d of them with names", broke, named)
	}
}

// Angles tried in rising order: the break below the first that breaks is found, the whole list is used, and ties go to the first.
func TestLeastOfSeveral(t *testing.T) {
	at := func(breaks ...int64) func(int, int64) (*broken, error) {
		return func(i int, x int64) (*broken, error) {
			if breaks[i] > 0 && x >= breaks[i] {
				return &broken{rule: "x"}, nil
			}
			return nil, nil
		}
	}
	for _, c := range []struct {
		breaks []int64
		rising []int64
		steps  int64
		which  int
		none   bool
	}{
		{[]int64{7}, []int64{10}, 7, 0, false},
		{[]int64{1}, []int64{10}, 1, 0, false},
		{[]int64{10}, []int64{10}, 10, 0, false},
		{[]int64{11}, []int64{10}, 0, 0, true},
		{[]int64{0, 90, 80}, []int64{20, 100}, 80, 2, false},
		{[]int64{90, 80, 80}, []int64{20, 100}, 80, 1, false},
		{[]int64{15, 90, 14}, []int64{20, 100}, 14, 2, false},
		{[]int64{21, 21}, []int64{20, 100}, 21, 0, false},
		{nil, []int64{5}, 0, 0, true},
	} {
		ask := at(append(c.breaks, 0)...)
		steps, which, why, err := least(context.Background(), len(c.breaks), c.rising, ask)
		if err != nil || (why == nil) != c.none || steps != c.steps || which != c.which {
			t.Errorf("%v: %d steps of %d, %v, %v", c, steps, which, why, err)
		}
	}
}
