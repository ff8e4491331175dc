package bound_test

import (
	"cmp"
	"context"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

func meter() *bound.Meter { return bound.NewMeter(context.Background(), 0) }

// subsets finds, by trying every subset, the heaviest clique and the largest group.
func subsets(g *bound.Graph) (clique int64, group int) {
	for s := range 1 << g.N() {
		joined, free := true, true
		var us int64
		for i := range g.N() {
			if s>>i&1 == 0 {
				continue
			}
			us += g.Us[i]
			for j := range i {
				if s>>j&1 != 0 {
					joined, free = joined && g.Adj[i].Has(j), free && !g.Adj[i].Has(j)
				}
			}
		}
		if joined {
			clique = max(clique, us)
		}
		if n := bits.OnesCount(uint(s)); free && n <= g.AtOnce {
			group = max(group, n)
		}
	}
	return clique, group
}

func TestAgainstSubsets(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 600 {
		g := bound.Lay(st.Plain(r, 1+r.IntN(9))).High
		wantClique, wantGroup := subsets(g)
		jobs, us := g.HeaviestClique(meter().Part(1e6))
		if us != wantClique {
			t.Fatalf("heaviest clique %d, want %d", us, wantClique)
		}
		for k, i := range jobs {
			for _, j := range jobs[:k] {
				if !g.Adj[i].Has(j) {
					t.Fatalf("%d and %d do not conflict", i, j)
				}
			}
		}
		levels, share := g.Levels(meter(), 1e6)
		if share != wantGroup {
			t.Fatalf("largest group %d, want %d", share, wantGroup)
		}
		if sum := bound.Sum(levels); sum < us {
			t.Fatalf("levels %d below the clique %d", sum, us)
		}
	}
}

// Levels bound the shortest cycle even when their search is cut short, and each one's jobs prove it.
func TestLevelsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range 600 {
		p := st.Plain(r, 1+r.IntN(6))
		g := bound.Lay(p).High
		least := st.Groups(g.Us, func(i, j int) bool { return g.Adj[i].Has(j) }, g.AtOnce)
		for _, work := range []int64{0, 2, 1e6} {
			levels, _ := g.Levels(meter(), work)
			if sum := bound.Sum(levels); sum > least {
				t.Fatalf("levels %d above the shortest %d: %+v", sum, least, p)
			}
			for k, l := range levels {
				if len(l.Jobs) <= k*l.Share {
					t.Fatalf("level %d: %d jobs in groups of %d do not need %d groups", k, len(l.Jobs), l.Share, k+1)
				}
				for _, v := range l.Jobs {
					if g.Us[v] < l.Us {
						t.Fatalf("level %d of %d us: job %d takes %d us", k, l.Us, v, g.Us[v])
					}
				}
				if _, most := subsets(g.Sub(l.Jobs)); most > l.Share {
					t.Fatalf("level %d: %d of %v fit into a group, not %d", k, most, l.Jobs, l.Share)
				}
			}
		}
	}
}

func TestTurns(t *testing.T) {
	p := instance.Problem{
		Jobs: []instance.Job{{OpenUs: 3, CloseUs: 10}, {OpenUs: 4, CloseUs: 10, BusyUs: 12}, {CloseUs: 10}},
		Arcs: []instance.Arc{
			{From: 0, To: 1, FromUs: 1, UntilUs: 14}, // 10 us after firing: no later than its window
			{From: 0, To: 0, UntilUs: 14},            // 11
			{From: 2, To: 1, FromUs: 10, UntilUs: 20},
			{From: 1, To: 0, FromUs: 0, UntilUs: 3}, // ends as 0 opens
		},
	}
	l := bound.Lay(p)
	want := []bound.Turn{{Us: 11, Cause: bound.LateSound, To: 0}, {Us: 12, Cause: bound.Busy}, {Us: 16, Cause: bound.LateSound, To: 1}}
	if !slices.Equal(l.Turns, want) {
		t.Errorf("got %v, want %v", l.Turns, want)
	}
	// Whoever comes next: 0 may be followed by 2, which hears nothing of it, 2 by 0.
	if !slices.Equal(l.Low.Us, []int64{10, 12, 10}) {
		t.Errorf("low turns %v", l.Low.Us)
	}
	if g := l.High; !g.Adj[0].Has(1) || g.Adj[1].Has(2) || g.Adj[0].Has(2) || g.Adj[0].Has(0) {
		t.Error("only 0 and 1 conflict: the sound of 2 comes as 1 closes, an own echo is no conflict")
	}
	// The guard is silence between jobs, jitter moves both ends of everything.
	p.GuardUs, p.JitterUs = 2, 1
	l = bound.Lay(p)
	want = []bound.Turn{{Us: 14, Cause: bound.Window}, {Us: 16, Cause: bound.Busy}, {Us: 18, Cause: bound.LateSound, To: 1}}
	if !slices.Equal(l.Turns, want) {
		t.Errorf("with guard and jitter: %v, want %v", l.Turns, want)
	}
	if !l.High.Adj[1].Has(2) {
		t.Error("with jitter the sound of 2 may come before 1 closes")
	}
}

func TestAlone(t *testing.T) {
	p := instance.Problem{Jobs: []instance.Job{{CloseUs: 9}, {CloseUs: 9, BusyUs: 5, RestUs: 30}, {CloseUs: 9, RestUs: 34}}}
	if us, job := bound.Lay(p).Alone(); us != 35 || job != 1 {
		t.Errorf("got %d us of job %d", us, job)
	}
	if us, job := bound.Lay(instance.Problem{}).Alone(); us != 0 || job != -1 {
		t.Errorf("no jobs: got %d us of job %d", us, job)
	}
	// An echo from 40 to 44 us must not meet the window from 0 to 9 of any later firing: the cycle is at
	// least 13, thrice 13 is too near, thrice 15 is past it.
	p = instance.Problem{Jobs: []instance.Job{{CloseUs: 9}}, Arcs: []instance.Arc{{FromUs: 40, UntilUs: 44}}}
	if us, _ := bound.Lay(p).Alone(); us != 15 {
		t.Errorf("old echo: got %d us", us)
	}
}

// What is strict, what is a number at once, and what is nothing.
func TestResources(t *testing.T) {
	jobs := []instance.Job{{CloseUs: 10}, {CloseUs: 10}, {CloseUs: 10}, {CloseUs: 10}}
	use := func(job int, amount, from, until int64) instance.Use {
		return instance.Use{Job: job, Amount: amount, FromUs: from, UntilUs: until}
	}
	all := []instance.Use{use(0, 3, 0, 5), use(1, 3, 1, 5), use(2, 3, 2, 5), use(3, 3, 3, 9)}
	for _, c := range []struct {
		name     string
		capacity int64
		uses     []instance.Use
		atOnce   int
		strict   bool
	}{
		{"enough for all", 12, all, 4, false},
		{"three at once", 11, all, 3, false},
		{"one at once", 5, all, 1, false},
		{"not all use it", 8, all[:3], 4, true},
		{"different amounts", 8, append([]instance.Use{use(0, 4, 0, 5)}, all[1:]...), 4, true},
		{"one after another", 8, append([]instance.Use{use(0, 3, 6, 9)}, all[1:]...), 4, true},
	} {
		l := bound.Lay(instance.Problem{Jobs: jobs, Resources: []instance.Resource{{Capacity: c.capacity, Uses: c.uses}}})
		if l.Low.AtOnce != c.atOnce || (len(l.Strict) > 0) != c.strict {
			t.Errorf("%s: %d at once, strict %v", c.name, l.Low.AtOnce, l.Strict)
		}
	}
	bus := []instance.Use{use(0, 1, 0, 8), use(1, 1, 0, 8), use(2, 2, 7, 10)}
	l := bound.Lay(instance.Problem{Jobs: jobs, Resources: []instance.Resource{{Capacity: 2, Uses: bus}}})
	if g := l.Low; g.Adj[0].Has(1) || !g.Adj[0].Has(2) || !g.Adj[1].Has(2) || g.Adj[3].Len() > 0 {
		t.Error("a transfer takes all of the bus while others range")
	}
}

// Parts are what remains connected when every pair that does not conflict is joined.
func TestJoins(t *testing.T) {
	g := bound.NewGraph(make([]int64, 6), 0)
	for _, e := range append(st.Ring(5, 1), [][2]int{{5, 0}, {5, 1}, {5, 2}, {5, 3}, {5, 4}}...) {
		g.Join(e[0], e[1])
	}
	if got := g.Joins(); !slices.EqualFunc(got, [][]int{{0, 1, 2, 3, 4}, {5}}, slices.Equal[[]int]) {
		t.Errorf("wheel: %v", got)
	}
}

func TestTime(t *testing.T) {
	for us, want := range map[int64]string{0: "0 us", 999: "999 us", 1000: "1 ms", 12_350: "12.35 ms", 60_001: "60.001 ms", 1_000_000: "1000 ms"} {
		if got := bound.Time(us); got != want {
			t.Errorf("%d: %q, want %q", us, got, want)
		}
	}
}

// A set behaves like a map from number to presence.
func TestSet(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		n := 1 + r.IntN(200)
		a, b, both := bound.NewSet(n), bound.NewSet(n), bound.NewSet(n)
		var inA, inBoth []int
		for i := range n {
			x, y := r.IntN(3) == 0, r.IntN(3) == 0
			if x {
				a.Add(i)
				inA = append(inA, i)
			}
			if y {
				b.Add(i)
			}
			if x && y {
				inBoth = append(inBoth, i)
			}
		}
		both.And(a, b)
		if !slices.Equal(a.Members(), inA) || !slices.Equal(both.Members(), inBoth) || a.Len() != len(inA) ||
			a.Common(b) != len(inBoth) || a.Meets(b) != (len(inBoth) > 0) || !both.Inside(a) || a.Inside(b) != (len(inA) == len(inBoth)) {
			t.Fatalf("%v %v", a, b)
		}
	}
}

// How long a group may come to last, against trying every time.
func TestLimits(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 2000 {
		some := func() (us []int64) {
			for range r.IntN(5) {
				us = append(us, r.Int64N(12))
			}
			return us
		}
		var levels []bound.Level
		for _, us := range some() {
			levels = append(levels, bound.Level{Us: us})
		}
		slices.SortFunc(levels, func(a, b bound.Level) int { return cmp.Compare(b.Us, a.Us) })
		times, most := some(), r.Int64N(50)
		rank := bound.NewRank(levels)
		limits := rank.Limits(times, most, nil)
		for k, got := range limits {
			c, from := k, int64(0)
			if k == len(times) {
				c = -1
			} else {
				from = times[k]
			}
			for us := from; us < 60; us++ {
				if fits := rank.Cost(times, c, us) <= most; fits != (us <= got) {
					t.Fatalf("levels %v, groups %v: group %d may last %d, limit %d, cost at most %d: %v", levels, times, c, us, got, most, fits)
				}
			}
		}
	}
}
