package scheduler_test

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"

	sat "github.com/crillab/gophersat/solver"
)

// The second opinion: a general-purpose pseudo-boolean solver, github.com/crillab/gophersat.

// rival asks it for the least slots cycle of windows and conflicts, in the model with representatives
// (Campêlo, Campos, Corrêa, "On the asymmetric representatives formulation for the vertex coloring
// problem", Discrete Applied Mathematics 156, 2008): every group stands for its longest job. It hands over each cycle found,
// the last one proven unless the solver broke down.
func rival(p instance.Problem, found func(us int64, proven bool)) {
	n := len(p.Jobs)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.Jobs[b].CloseUs, p.Jobs[a].CloseUs) })
	joined := map[[2]int]bool{}
	for _, c := range p.Conflicts {
		joined[c], joined[[2]int{c[1], c[0]}] = true, true
	}
	next := 0
	in := map[[2]int]int{} // in[u,v]: v is in the group of u
	for k, u := range order {
		for _, v := range order[k:] {
			if !joined[[2]int{u, v}] {
				next++
				in[[2]int{u, v}] = next
			}
		}
	}
	var cs []sat.PBConstr
	var cost []sat.Lit
	var weight []int
	for k, v := range order {
		var where []int
		for _, u := range order[:k+1] {
			if x := in[[2]int{u, v}]; x != 0 {
				where = append(where, x)
			}
		}
		cs = append(cs, sat.AtLeast(where, 1))
		cost, weight = append(cost, sat.IntToLit(int32(in[[2]int{v, v}]))), append(weight, int(p.Jobs[v].CloseUs))
	}
	for k, u := range order {
		for _, v := range order[k+1:] {
			if x := in[[2]int{u, v}]; x != 0 {
				cs = append(cs, sat.PropClause(-x, in[[2]int{u, u}]))
			}
		}
	}
	for _, c := range p.Conflicts {
		for _, u := range order {
			if x, y := in[[2]int{u, c[0]}], in[[2]int{u, c[1]}]; x != 0 && y != 0 {
				cs = append(cs, sat.PropClause(-x, -y))
			}
		}
	}
	pb := sat.ParsePBConstrs(cs)
	pb.SetCostFunc(cost, weight)
	results := make(chan sat.Result)
	done := make(chan sat.Result, 1)
	go func() {
		// Version 1.4.0 runs past a buffer of its own on some larger problems; that is no proof.
		defer func() {
			if recover() != nil {
				done <- sat.Result{Status: sat.Indet}
			}
		}()
		done <- sat.New(pb).Optimal(results, nil)
	}()
	for {
		select {
		case r, ok := <-results:
			if !ok {
				results = nil
			} else if r.Status == sat.Sat {
				found(int64(r.Weight), false)
			}
		case r := <-done:
			if r.Status == sat.Sat {
				found(int64(r.Weight), true)
			}
			return
		}
	}
}

// rivalApart asks in a process of its own: version 1.4.0 keeps a buffer that all its solvers share, goes on
// for a while when told to stop, and then spoils the next answer. The time is that process's own, from the problem read.
func rivalApart(tb testing.TB, p instance.Problem, limit time.Duration) (us int64, proven bool, took time.Duration) {
	ctx, cancel := context.WithTimeout(context.Background(), limit+time.Second)
	defer cancel()
	in, err := json.Marshal(p)
	if err != nil {
		tb.Fatal(err)
	}
	cmd := exec.CommandContext(ctx, os.Args[0])
	cmd.Env, cmd.Stdin = append(os.Environ(), "ECHOWRIGHT_SECOND_OPINION="+limit.String()), bytes.NewReader(in)
	out, err := cmd.Output()
	if err != nil && ctx.Err() == nil {
		tb.Logf("%s: second opinion: %v", p.Name, err)
	}
	took = limit
	for line := range strings.Lines(string(out)) {
		var a opinion
		switch {
		case json.Unmarshal([]byte(line), &a) != nil:
		case a.Ended:
			took = a.Took
		default:
			us, proven = a.Us, a.Proven
		}
	}
	return us, proven, took
}

// opinion is a line of the process that gives the second opinion.
type opinion struct {
	Us            int64
	Proven, Ended bool
	Took          time.Duration
}

func TestMain(m *testing.M) {
	limit, err := time.ParseDuration(os.Getenv("ECHOWRIGHT_SECOND_OPINION"))
	if err != nil {
		os.Exit(m.Run())
	}
	var p instance.Problem
	if err := json.NewDecoder(os.Stdin).Decode(&p); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	start := time.Now()
	time.AfterFunc(limit, func() { os.Exit(0) })
	e := json.NewEncoder(os.Stdout)
	rival(p, func(us int64, proven bool) { e.Encode(opinion{us, proven, false, time.Since(start)}) })
	e.Encode(opinion{Ended: true, Took: time.Since(start)})
	os.Exit(0)
}

func secondOpinion(p instance.Problem) (us int64, proven bool) {
	rival(p, func(u int64, ok bool) { us, proven = u, ok })
	return us, proven
}

func TestSecondOpinionOnGroups(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	for range 60 {
		n := 6 + r.IntN(9)
		p := st.Windows("", st.Spread(n, r.IntN(2) == 0, r.Uint64()), st.Gnp(n, 20+r.IntN(60), r.Uint64()))
		us, proven := secondOpinion(p)
		if got := solve(t, p).CycleUs; !proven || got != us {
			t.Fatalf("%d, second opinion %d (%v)\n%+v", got, us, proven, p)
		}
	}
	// Chromatic numbers that are 1 + the greatest clique or more are what searches are for.
	for _, k := range []st.Known{st.Mycielski(3), st.Queen(5, 5, 5)} {
		if us, proven := secondOpinion(k.Problem(1000)); !proven || us != int64(k.Chromatic)*1000 {
			t.Errorf("%s: %d, %v", k.Name, us, proven)
		}
	}
}

// fires tells whether the jobs can fire with a period, in whole microseconds, one variable for each job and
// moment: the second opinion knows nothing of groups, distances or paths.
func fires(p instance.Problem, period int64) bool {
	x := func(i int, t int64) int { return int(int64(i)*period+t) + 1 }
	var cnf [][]int
	for i := range p.Jobs {
		var when []int
		for t := range period {
			when = append(when, x(i, t))
			for u := range t {
				cnf = append(cnf, []int{-x(i, t), -x(i, u)})
			}
		}
		cnf = append(cnf, when)
		for j := range i + 1 {
			for d := range period {
				if allowed(p, i, j, d, period) {
					continue
				}
				for t := range period {
					cnf = append(cnf, []int{-x(i, t), -x(j, (t+d)%period)})
				}
			}
		}
	}
	for _, chain := range p.Order {
		for k := 1; k < len(chain); k++ {
			for t := range period {
				for u := range t + 1 {
					cnf = append(cnf, []int{-x(chain[k-1], t), -x(chain[k], u)})
				}
			}
		}
	}
	return sat.New(sat.ParseSlice(cnf)).Solve() == sat.Sat
}

// allowed tells whether job j may fire d after job i.
func allowed(p instance.Problem, i, j int, d, period int64) bool {
	lasts := func(k int) int64 { return p.Jobs[k].LastsUs() + p.GuardUs + 2*p.JitterUs }
	back := (period - d) % period
	if i == j {
		return d != 0 || period >= lasts(i) && period >= p.Jobs[i].BusyUs+p.Jobs[i].RestUs+2*p.JitterUs && heard(p, i, i, period, period)
	}
	if d > 0 && (d < lasts(i) || back < lasts(j)) {
		return false
	}
	for _, s := range p.Together {
		if slices.Contains(s, i) && slices.Contains(s, j) && d != 0 {
			return false
		}
	}
	if d == 0 && (slices.Contains(p.Conflicts, [2]int{i, j}) || slices.Contains(p.Conflicts, [2]int{j, i}) || p.AtOnce == 1) {
		return false
	}
	return heard(p, i, j, d, period) && heard(p, j, i, back, period)
}

// heard tells whether no sound of i meets a window of j that fires d after it, or whole periods later.
func heard(p instance.Problem, i, j int, d, period int64) bool {
	for _, a := range p.Arcs {
		for t := d; a.From == i && a.To == j && t < a.UntilUs+2*p.JitterUs; t += period {
			if t+p.Jobs[j].OpenUs < a.UntilUs+2*p.JitterUs && a.FromUs-2*p.JitterUs < t+p.Jobs[j].CloseUs {
				return false
			}
		}
	}
	return true
}

func TestSecondOpinionOnOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	ordered := 0
	for range 60 {
		p := st.Random(r, 4+r.IntN(3), 3)
		if p.Resources = nil; p.AtOnce > 1 {
			p.AtOnce = 0
		}
		if p.Possible() != nil {
			continue
		}
		tt := solve(t, p)
		if tt.CycleUs > 30 {
			continue // a variable for each moment and clauses for each pair of them: slow
		}
		if !fires(p, tt.CycleUs) {
			t.Fatalf("no timetable of %d us by second opinion\n%+v", tt.CycleUs, p)
		}
		for us := int64(1); us < tt.CycleUs; us++ {
			if fires(p, us) {
				t.Fatalf("%d us, second opinion %d us\n%+v", tt.CycleUs, us, p)
			}
		}
		if tt.Ordered {
			ordered++
		}
	}
	if ordered < 6 {
		t.Errorf("only %d with regard to order", ordered)
	}
}

// The second opinion on staggered timetables: every job is at one of the moments of a cycle, and pairs of moments
// that break a rule exclude each other. No cycle shorter than ours has a way, and ours has.
func TestStaggeredAgainstRival(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 36))
	asked := 0
	for range 60 {
		p := drawStaggered(r, 4+r.IntN(4), 4)
		if p.AtOnce > 1 || len(p.Resources) > 0 || len(p.Order) > 0 {
			continue // more than pairs
		}
		us := solve(t, p).CycleUs
		if us > 40 {
			continue
		}
		for cycle := int64(1); cycle <= us; cycle++ {
			if got := rivalHas(p, cycle); got != (cycle == us) {
				t.Fatalf("a cycle of %d: second opinion %v, ours is %d\n%+v", cycle, got, us, p)
			}
		}
		asked++
	}
	if asked < 15 {
		t.Errorf("asked about only %d", asked)
	}
}

// rivalHas asks whether there is a staggered timetable of that cycle.
func rivalHas(p instance.Problem, cycle int64) bool {
	at := func(job int, us int64) int { return job*int(cycle) + int(us) + 1 }
	clauses := [][]int{{at(0, 0)}}
	for i := range p.Jobs {
		var some []int
		for us := range cycle {
			some = append(some, at(i, us))
		}
		clauses = append(clauses, some)
		for j := range i + 1 {
			for x := range cycle {
				for y := range cycle {
					if i == j && x != y || !st.Fit(p, cycle, i, j, y-x) {
						clauses = append(clauses, []int{-at(i, x), -at(j, y)})
					}
				}
			}
		}
	}
	return sat.New(sat.ParseSlice(clauses)).Solve() == sat.Sat
}
