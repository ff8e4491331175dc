package clash_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/clash"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// leave puts together the problem of some demands of a clash, not the way the package does: what is not asked is made harmless
// in place, and only the jobs are taken out.
func leave(p instance.Problem, ds []clash.Demand) instance.Problem {
	q := p
	q.GuardUs, q.JitterUs, q.AtOnce = 0, 0, 0
	q.Jobs, q.Arcs, q.Conflicts, q.Together, q.Order, q.Resources = slices.Clone(p.Jobs), nil, nil, nil, nil, nil
	for i := range q.Jobs {
		q.Jobs[i].RestUs = 0
	}
	var jobs []int
	for _, d := range ds {
		switch d.Kind {
		case clash.Job:
			jobs = append(jobs, d.Jobs[0])
		case clash.Rest:
			q.Jobs[d.Jobs[0]].RestUs = p.Jobs[d.Jobs[0]].RestUs
		case clash.Pair, clash.Own:
			i, j := d.Jobs[0], d.Jobs[len(d.Jobs)-1]
			for _, a := range p.Arcs {
				if a.From == i && a.To == j || a.From == j && a.To == i {
					q.Arcs = append(q.Arcs, a)
				}
			}
			for _, c := range p.Conflicts {
				if i != j && (c == [2]int{i, j} || c == [2]int{j, i}) {
					q.Conflicts = append(q.Conflicts, c)
				}
			}
		case clash.Together:
			q.Together = append(q.Together, p.Together[d.Index])
		case clash.Order:
			q.Order = append(q.Order, p.Order[d.Index])
		case clash.Resource:
			q.Resources = append(q.Resources, p.Resources[d.Index])
		case clash.AtOnce:
			q.AtOnce = p.AtOnce
		case clash.Guard:
			q.GuardUs = p.GuardUs
		case clash.Jitter:
			q.JitterUs = p.JitterUs
		}
	}
	slices.Sort(jobs)
	return q.Only(jobs)
}

// fits tries everything: whether some cycle within the budget keeps the problem. ok is false where that would take too long.
func fits(p instance.Problem, budget int64) (fit, ok bool) {
	if p.Possible() != nil {
		return false, true
	}
	if p.Style == instance.Slots {
		return st.Brute(p) <= budget, true
	}
	if math.Pow(float64(budget), float64(len(p.Jobs))) > 2e5 {
		return false, false
	}
	return st.Offsets(p) <= budget, true
}

// On random problems of every kind the demands named cannot all be kept, by trying everything, and can without any one of them; with
// little work allowed, at least where that is claimed.
func TestSmallestByBruteForce(t *testing.T) {
	for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
		t.Run(style.String(), func(t *testing.T) {
			r := rand.New(rand.NewPCG(31, uint64(style)))
			found, tooLong, cutShort := 0, 0, 0
			kinds := map[clash.Kind]int{}
			for k := range 1500 {
				n, scale := 1+k/5%5, []int64{40, 12}[style]
				if style == instance.Staggered && n > 3 {
					scale = 5
				}
				p := st.Random(r, n, scale)
				p.Style = style
				if p.Possible() != nil {
					continue
				}
				whole, err := scheduler.Solve(t.Context(), p, scheduler.Options{})
				if err != nil {
					t.Fatal(err)
				}
				p.BudgetUs = 1 + r.Int64N(whole.CycleUs)
				nodes := []int64{0, 0, 4, 40, 400}[k%5]
				c, err := clash.Find(t.Context(), p, whole, clash.Options{Nodes: nodes})
				if err != nil {
					t.Fatal(err)
				}
				if p.BudgetUs >= whole.CycleUs {
					if len(c.Demands) > 0 {
						t.Fatalf("problem %d: a clash where the budget is met: %s", k, c.Text)
					}
					continue
				}
				if fit, ok := fits(leave(p, c.Demands), p.BudgetUs); !ok {
					tooLong++
					continue
				} else if fit || len(c.Demands) == 0 || !c.Smallest && nodes == 0 {
					t.Fatalf("problem %d: it fits %v, smallest %v: %+v\n%+v", k, fit, c.Smallest, c, p)
				}
				if c.BoundUs <= p.BudgetUs || c.BoundUs > whole.CycleUs {
					t.Fatalf("problem %d: a bound of %d, budget %d, cycle %d", k, c.BoundUs, p.BudgetUs, whole.CycleUs)
				}
				if !c.Smallest {
					cutShort++
					continue
				}
				for i, d := range c.Demands {
					kinds[d.Kind]++
					if fit, ok := fits(leave(p, slices.Delete(slices.Clone(c.Demands), i, i+1)), p.BudgetUs); !ok {
						tooLong++
					} else if !fit {
						t.Fatalf("problem %d: not needed: %+v of %s\n%+v", k, d, c.Text, p)
					}
				}
				found++
			}
			t.Logf("%d found, %d cut short, %d times too much to try, kinds %v", found, cutShort, tooLong, kinds)
			if found < 600 || cutShort < 50 || len(kinds) < 9 {
				t.Errorf("only %d found, of kinds %v", found, kinds)
			}
		})
	}
}

// Demands that contradict each other clash whatever the budget.
func TestContradictionsByBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	found := 0
	for range 4000 {
		p := st.Random(r, 3+r.IntN(3), 20)
		p.Style = instance.Style(r.IntN(2))
		p.BudgetUs = r.Int64N(2) * 5
		if p.Possible() == nil {
			continue
		}
		c, err := clash.Find(t.Context(), p, instance.Timetable{}, clash.Options{Nodes: 1})
		if err != nil {
			t.Fatal(err)
		}
		if leave(p, c.Demands).Possible() == nil || !c.Smallest || c.BoundUs != 0 || len(c.Demands) == 0 {
			t.Fatalf("%+v of %+v", c, p)
		}
		for i := range c.Demands {
			if leave(p, slices.Delete(slices.Clone(c.Demands), i, i+1)).Possible() != nil {
				t.Fatalf("%d not needed: %+v of %+v", i, c, p)
			}
		}
		found++
	}
	if found < 300 {
		t.Errorf("only %d", found)
	}
}

func find(t testing.TB, p instance.Problem, o clash.Options) clash.Clash {
	t.Helper()
	c, err := clash.Find(context.Background(), p, instance.Timetable{}, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// kinds counts the demands of a clash by kind.
func kinds(c clash.Clash) string {
	var list []string
	for _, k := range []clash.Kind{clash.Job, clash.Pair, clash.Own, clash.Rest, clash.Together, clash.Order, clash.Resource, clash.AtOnce, clash.Guard, clash.Jitter} {
		n := 0
		for _, d := range c.Demands {
			if d.Kind == k {
				n++
			}
		}
		if n > 0 {
			list = append(list, fmt.Sprintf("%d %s", n, k))
		}
	}
	return strings.Join(list, ", ")
}

func both(p instance.Problem) []instance.Problem {
	q := p
	p.Style, q.Style = instance.Slots, instance.Staggered
	return []instance.Problem{p, q}
}

// The cases a pencil can follow; the sums by hand.
func TestWords(t *testing.T) {
	windows := func(n int, us, budget int64, conflicts [][2]int) instance.Problem {
		p := st.Windows("", slices.Repeat([]int64{us}, n), conflicts)
		p.BudgetUs = budget
		for i := range p.Jobs {
			p.Jobs[i].Name = string(rune('A' + i))
		}
		return p
	}
	sounds := func(p instance.Problem) instance.Problem {
		for _, c := range p.Conflicts {
			us := p.Jobs[0].CloseUs
			p.Arcs = append(p.Arcs, instance.Arc{From: c[0], To: c[1], UntilUs: us}, instance.Arc{From: c[1], To: c[0], UntilUs: us})
		}
		p.Conflicts = nil
		return p
	}
	// Six that all disturb one another, of which three are enough: 3 x 61 = 183 > 150, 2 x 61 = 122.
	six := sounds(windows(6, 61_000, 150_000, st.Path(6, 6)))
	guarded := windows(4, 60_600, 243_000, st.Path(4, 4)) // 4 x 60.6 = 242.4; with 4 x 1.2 of guard 247.2
	guarded.GuardUs = 1_200
	bus := windows(4, 30_000, 80_000, nil)
	bus.Resources = []instance.Resource{{Name: "bus i2c-0", Capacity: 2}}
	for j := range 4 {
		bus.Resources[0].Uses = append(bus.Resources[0].Uses, instance.Use{Job: j, Amount: 2, FromUs: 0, UntilUs: 30_000})
	}
	rest := windows(3, 10_000, 50_000, nil)
	rest.Jobs[1].BusyUs, rest.Jobs[1].RestUs = 20_000, 40_000
	once := windows(5, 30_000, 100_000, st.Path(5, 5))
	once.AtOnce = 1
	cannot := windows(3, 30_000, 100_000, [][2]int{{0, 1}})
	cannot.Together = [][]int{{0, 1, 2}}

	for _, c := range []struct {
		name  string
		p     []instance.Problem
		bound int64
		kinds string
		text  string
	}{
		{"clique", both(six), 183_000, "3 job, 3 pair", "these clash: A, B and C must take turns (each disturbs the others): 3 x 61 ms = 183 ms > 150 ms; without any one of them the others fit"},
		{"guard", both(guarded), 247_200, "4 job, 6 pair, 1 guard",
			"these clash: A, B, C and D must take turns (no two together); the guard of 1.2 ms: 4 x 60.6 ms + 4 guards of 1.2 ms = 247.2 ms > 243 ms; without any one of them the others fit"},
		{"bus", both(bus), 90_000, "3 job, 1 resource", "these clash: A, B and C share bus i2c-0: 3 x 30 ms = 90 ms > 80 ms; without any one of them the others fit"},
		{"rest", both(rest), 60_000, "1 job, 1 rest", "these clash: B must rest for 40 ms: busy for 20 ms + 40 ms of rest = 60 ms > 50 ms; without any one of them the others fit"},
		// One limit in place of six pairs.
		{"at once", both(once), 120_000, "4 job, 1 at-once", "these clash: A, B, C and D; one at a time: 4 x 30 ms = 120 ms > 100 ms; without any one of them the others fit"},
		// A ring of five: three windows in slots, two and a half staggered (Deuber, Zhu 1996).
		{"ring in slots", []instance.Problem{windows(5, 30_000, 75_000, st.Ring(5, 1))}, 90_000, "5 job, 5 pair",
			"these clash: A and B, A and E, B and C, C and D, D and E never together: at best in 3 groups, 3 x 30 ms = 90 ms > 75 ms; without any one of them the others fit"},
		{"ring staggered", both(windows(5, 30_000, 74_000, st.Ring(5, 1)))[1:], 75_000, "5 job, 5 pair",
			"these clash: A and B, A and E, B and C, C and D, D and E never together: no cycle is shorter than 75 ms > 74 ms; without any one of them the others fit"},
		{"one too long", both(windows(3, 30_000, 29_000, nil)), 30_000, "1 job", "A alone does not fit: it is held 30 ms > 29 ms"},
		{"contradiction", both(cannot), 0, "2 job, 1 pair, 1 together", "these clash, however long the cycle: A and B never together; A and B together; without any one of them the others can be kept"},
	} {
		for _, p := range c.p {
			got := find(t, p, clash.Options{})
			if got.BoundUs != c.bound || kinds(got) != c.kinds || got.Text != c.text || !got.Smallest {
				t.Errorf("%s, %s: %d, %s, smallest %v\n%s\n%s", c.name, p.Style, got.BoundUs, kinds(got), got.Smallest, got.Text, c.text)
			}
		}
	}
}

// What is met or may be has no clash, and faults are told.
func TestNoClash(t *testing.T) {
	p := st.Windows("", []int64{5, 5}, [][2]int{{0, 1}})
	for _, budget := range []int64{0, 10, 11} {
		p.BudgetUs = budget
		if c := find(t, p, clash.Options{}); len(c.Demands) > 0 || c.Text != "" {
			t.Errorf("budget %d: %+v", budget, c)
		}
	}
	var fault *instance.Fault
	p.Conflicts[0] = [2]int{0, 7}
	if _, err := clash.Find(t.Context(), p, instance.Timetable{}, clash.Options{}); !errors.As(err, &fault) {
		t.Errorf("%v", err)
	}
}

// With too little work allowed, or none, nothing is called smallest that is not, what is named does clash, and all ends soon.
func TestLittleWork(t *testing.T) {
	ps := []instance.Problem{st.Echoes(28, 3, 150, 1), st.Spans(16, 40, 2), st.Windows("random", st.Spread(40, false, 3), st.Gnp(40, 50, 3))}
	for _, p := range slices.Concat(both(ps[0]), both(ps[1]), both(ps[2])) {
		p.BudgetUs = 1
		t0, err := scheduler.Solve(t.Context(), p, scheduler.Options{Nodes: 2_000})
		if err != nil {
			t.Fatal(err)
		}
		for _, budget := range []int64{t0.LowerBoundUs - 1, t0.LowerBoundUs * 3 / 4} {
			p.BudgetUs = budget
			for _, nodes := range []int64{1, 300, 5_000} {
				c, err := clash.Find(t.Context(), p, t0, clash.Options{Nodes: nodes})
				if err != nil {
					t.Fatal(err)
				}
				if again, _ := clash.Find(t.Context(), p, t0, clash.Options{Nodes: nodes}); !reflect.DeepEqual(c, again) {
					t.Errorf("%s: not the same again: %s\n%s", p.Name, c.Text, again.Text)
				}
				if len(c.Demands) == 0 || c.BoundUs <= budget || c.Nodes > 2*nodes+1_000 {
					t.Errorf("%s, %d nodes: %d demands, bound %d, budget %d, %d nodes", p.Name, nodes, len(c.Demands), c.BoundUs, budget, c.Nodes)
				}
				if nodes == 1 && (c.Smallest || strings.Contains(c.Text, "without any one")) {
					t.Errorf("%s: called smallest: %s", p.Name, c.Text)
				}
			}
			ended, cancel := context.WithCancel(t.Context())
			cancel()
			if c, err := clash.Find(ended, p, t0, clash.Options{}); err != nil || c.Smallest || c.BoundUs <= budget {
				t.Errorf("%s, ended: %v, %+v", p.Name, err, c)
			}
		}
	}
}

// The work of large problems stays near what is allowed, and what could not be cut down is not told; with more work it is.
func TestManyJobs(t *testing.T) {
	for _, p := range both(st.Windows("many", st.Spread(1_500, false, 5), st.Ring(1_500, 2))) {
		p.BudgetUs = 30_000
		if c := find(t, p, clash.Options{Nodes: 50}); len(c.Demands) > 0 || c.Text != "" {
			t.Errorf("%d demands, bound %d, %s", len(c.Demands), c.BoundUs, c.Text)
		}
		c := find(t, p, clash.Options{Nodes: 2_000_000})
		if c.BoundUs <= p.BudgetUs || !c.Smallest || len(c.Demands) > 3 {
			t.Errorf("%d demands, bound %d, %s", len(c.Demands), c.BoundUs, c.Text)
		}
	}
}

// BenchmarkReason24 finds the reasons for arrays of 24, budgets a little and far below the least cycle, with the nodes the planner
// gives; it reports the slowest, how many are proven smallest, and how many demands they have. -v prints each.
func BenchmarkReason24(b *testing.B) {
	var ps []instance.Problem
	for seed := range uint64(3) {
		for _, p := range []instance.Problem{
			st.Windows(fmt.Sprintf("bumper-%d", seed), st.Spread(24, false, seed), st.Bumper(24, 3)),
			st.Windows(fmt.Sprintf("random-%d", seed), st.Spread(24, true, seed), st.Gnp(24, 50, seed)),
			st.Echoes(24, 3, 150, seed), st.Spans(24, 30, seed),
		} {
			ps = append(ps, both(p)...)
		}
	}
	var worst time.Duration
	proven, demands, found := 0, 0, 0
	for b.Loop() {
		worst, proven, demands, found = 0, 0, 0, 0
		for _, p := range ps {
			t, err := scheduler.Solve(b.Context(), p, scheduler.Options{Nodes: 50_000})
			if err != nil {
				b.Fatal(err)
			}
			for _, percent := range []int64{97, 70, 40} {
				p.BudgetUs = t.LowerBoundUs * percent / 100
				began := time.Now()
				c, err := clash.Find(b.Context(), p, t, clash.Options{Nodes: 50_000})
				if err != nil || len(c.Demands) == 0 {
					b.Fatal(err, c)
				}
				took := time.Since(began)
				worst, demands, found = max(worst, took), demands+len(c.Demands), found+1
				if c.Smallest {
					proven++
				}
				if testing.Verbose() {
					b.Logf("%-16s %-9s %2d %% smallest %-5v %3d demands %7d nodes %v: %s", p.Name, p.Style, percent, c.Smallest, len(c.Demands), c.Nodes, took.Round(time.Millisecond), c.Text)
				}
			}
		}
	}
	b.ReportMetric(float64(found), "reasons")
	b.ReportMetric(float64(proven), "proven")
	b.ReportMetric(float64(demands)/float64(found), "demands/reason")
	b.ReportMetric(worst.Seconds(), "slowest-s")
}
