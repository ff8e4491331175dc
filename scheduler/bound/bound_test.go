package bound_test

import (
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
		g := bound.FromProblem(st.Random(r, 1+r.IntN(9)))
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
		p := st.Random(r, 1+r.IntN(6))
		for i := range p.Jobs {
			p.Jobs[i].RestUs = 0
		}
		g := bound.FromProblem(p)
		for _, work := range []int64{0, 2, 1e6} {
			levels, _ := g.Levels(meter(), work)
			if sum, least := bound.Sum(levels), st.Brute(p); sum > least {
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
		GuardUs: 2,
	}
	want := []bound.Turn{{Us: 13, Cause: bound.LateSound, To: 0}, {Us: 14, Cause: bound.Busy}, {Us: 18, Cause: bound.LateSound, To: 1}}
	if got := bound.Turns(p); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	g := bound.FromProblem(p)
	if !g.Adj[0].Has(1) || g.Adj[1].Has(2) || g.Adj[0].Has(2) || g.Adj[0].Has(0) {
		t.Error("only 0 and 1 conflict: the sound of 2 comes as 1 closes, an own echo is no conflict")
	}
}

func TestRest(t *testing.T) {
	p := instance.Problem{Jobs: []instance.Job{{CloseUs: 9}, {CloseUs: 9, BusyUs: 5, RestUs: 30}, {CloseUs: 9, RestUs: 34}}}
	if us, job := bound.RestUs(p); us != 35 || job != 1 {
		t.Errorf("got %d us of job %d", us, job)
	}
	if us, job := bound.RestUs(instance.Problem{}); us != 0 || job != -1 {
		t.Errorf("no jobs: got %d us of job %d", us, job)
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
