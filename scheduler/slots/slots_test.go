package slots

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

func solve(p instance.Problem) instance.Timetable {
	return Solve(context.Background(), bound.Lay(p), Options{})
}

func groups(g *bound.Graph) int64 {
	return st.Groups(g.Us, func(i, j int) bool { return g.Adj[i].Has(j) }, g.AtOnce)
}

// Small problems with their weighted clique, threshold bound and shortest slots cycle, from brute
// force over all partitions: published with this scheduler's design, recomputed here.
func TestVectors(t *testing.T) {
	two := func(n int, us int64) []int64 {
		w := make([]int64, n)
		for i := range w {
			w[i] = us
		}
		return w
	}
	wheel := append(st.Ring(5, 1), [][2]int{{5, 0}, {5, 1}, {5, 2}, {5, 3}, {5, 4}}...)
	for _, c := range []struct {
		name                    string
		us                      []int64
		edges                   [][2]int
		clique, threshold, best int64
	}{
		{"path of 4", []int64{10, 1, 1, 10}, st.Path(4, 1), 11, 11, 12},
		{"ring(5,1), all 2", two(5, 2), st.Ring(5, 1), 4, 6, 6},
		{"ring(5,1)", []int64{3, 1, 2, 3, 2}, st.Ring(5, 1), 5, 6, 6},
		{"ring(7,2), all 3", two(7, 3), st.Ring(7, 2), 9, 12, 12},
		{"ring(8,1)", []int64{12, 6, 12, 6, 12, 6, 12, 6}, st.Ring(8, 1), 18, 18, 18},
		{"ring(8,2), all 2", two(8, 2), st.Ring(8, 2), 6, 8, 8},
		{"path of 6, to distance 2", []int64{9, 15, 18, 18, 15, 9}, st.Path(6, 2), 51, 51, 51},
		{"wheel", []int64{2, 2, 2, 2, 2, 3}, wheel, 7, 9, 9},
	} {
		p := st.Windows(c.name, c.us, c.edges)
		g := bound.Lay(p).High
		m := bound.NewMeter(context.Background(), 0)
		if _, us := g.HeaviestClique(m.Part(1e6)); us != c.clique {
			t.Errorf("%s: clique %d, want %d", c.name, us, c.clique)
		}
		var threshold int64
		for _, part := range g.Joins() {
			levels, _ := g.Sub(part).Levels(m, 1e6)
			threshold += bound.Sum(levels)
		}
		if threshold != c.threshold {
			t.Errorf("%s: threshold bound %d, want %d", c.name, threshold, c.threshold)
		}
		tt := solve(p)
		if tt.CycleUs != c.best || !tt.Proven || st.Brute(p) != c.best {
			t.Errorf("%s: %d, proven %v, brute force %d, want %d", c.name, tt.CycleUs, tt.Proven, st.Brute(p), c.best)
		}
	}
}

func TestChromaticNumbers(t *testing.T) {
	known := []st.Known{
		st.Mycielski(3), st.Mycielski(4), st.Mycielski(5),
		st.Queen(5, 5, 5), st.Queen(6, 6, 7), st.Queen(7, 7, 7), st.Queen(8, 8, 9), st.Queen(8, 12, 12),
	}
	for _, d := range []struct {
		name string
		chi  int
	}{{"huck", 11}, {"jean", 10}, {"david", 11}, {"anna", 11}, {"games120", 9},
		{"miles250", 8}, {"miles500", 20}, {"miles750", 31}} {
		k, err := st.Dimacs(d.name, d.chi)
		if err != nil {
			t.Fatal(err)
		}
		known = append(known, k)
	}
	for _, k := range known {
		got := solve(k.Problem(1000))
		if want := int64(k.Chromatic) * 1000; got.CycleUs != want || !got.Proven || len(got.Groups) != k.Chromatic {
			t.Errorf("%s: cycle %d in %d groups, proven %v, want %d (%s)",
				k.Name, got.CycleUs, len(got.Groups), got.Proven, want, k.Source)
		}
	}
}

// The built graphs have the published numbers of edges (DIMACS collection), so they are the ones
// that the published chromatic numbers belong to.
func TestBuiltGraphs(t *testing.T) {
	for _, c := range []struct {
		k    st.Known
		n, m int
	}{
		{st.Mycielski(3), 11, 20}, {st.Mycielski(4), 23, 71}, {st.Mycielski(5), 47, 236},
		{st.Queen(5, 5, 5), 25, 160}, {st.Queen(6, 6, 7), 36, 290}, {st.Queen(7, 7, 7), 49, 476},
		{st.Queen(8, 8, 9), 64, 728}, {st.Queen(8, 12, 12), 96, 1368},
	} {
		if c.k.N != c.n || len(c.k.Edges) != c.m {
			t.Errorf("%s: %d vertices, %d edges, want %d, %d", c.k.Name, c.k.N, len(c.k.Edges), c.n, c.m)
		}
	}
}

// Each search proves the least cost by itself, starting from the worst grouping and no floor.
func TestEachSearchAlone(t *testing.T) {
	searches := map[string]func(g *bound.Graph, best *incumbent, share int, part *bound.Part) bool{
		"pick": func(g *bound.Graph, best *incumbent, share int, part *bound.Part) bool {
			return newPick(g, share, nil, best).run(part)
		},
		"pick from below": func(g *bound.Graph, best *incumbent, share int, part *bound.Part) bool {
			return newPick(g, share, nil, best).deepen(part)
		},
		"saturate": func(g *bound.Graph, best *incumbent, _ int, part *bound.Part) bool {
			return newSaturate(g, nil, best).run(part)
		},
	}
	r := rand.New(rand.NewPCG(21, 22))
	for k := range 1500 {
		p := st.Plain(r, 1+k%7)
		g := bound.Lay(p).High
		want := groups(g)
		for name, search := range searches {
			m := bound.NewMeter(context.Background(), 0)
			_, share := g.Levels(m, 1e6)
			best := newIncumbent(g)
			best.offer(alone(g.N()))
			if !search(g, best, share, m.Part(1e9)) || best.cost != want {
				t.Fatalf("%s, problem %d: %d, want %d\n%+v", name, k, best.cost, want, p)
			}
		}
	}
}

func alone(n int) [][]int {
	groups := make([][]int, n)
	for v := range groups {
		groups[v] = []int{v}
	}
	return groups
}

// The two searches agree where brute force cannot follow.
func TestSearchesAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	for range 60 {
		g := bound.Lay(st.Plain(r, 18)).High
		m := bound.NewMeter(context.Background(), 0)
		_, share := g.Levels(m, 1e6)
		a, b := newIncumbent(g), newIncumbent(g)
		a.offer(firstFit(g, g.ByTurn()))
		b.offer(firstFit(g, g.ByTurn()))
		if !newPick(g, share, nil, a).run(m.Part(1e9)) || !newSaturate(g, nil, b).run(m.Part(1e9)) || a.cost != b.cost {
			t.Fatalf("pick %d, saturate %d", a.cost, b.cost)
		}
	}
}

// Putting aside and restoring keeps the least cost, which brute force finds with and without.
func TestReduce(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	aside := 0
	for range 1500 {
		g := bound.Lay(st.Plain(r, 7)).High
		m := bound.NewMeter(context.Background(), 0)
		levels, share := g.Levels(m, 1e6)
		red := reduce(g, levels, share, m)
		aside += len(red.aside)
		kept := g.Sub(red.kept)
		best := newIncumbent(kept)
		best.offer(alone(kept.N()))
		newSaturate(kept, nil, best).run(m.Part(1e9))
		all := newIncumbent(g)
		all.offer(alone(g.N()))
		newSaturate(g, nil, all).run(m.Part(1e9))
		var groups [][]int
		for _, gr := range best.groups {
			groups = append(groups, through(gr, red.kept))
		}
		if got := g.Cost(red.restore(g, groups)); got != all.cost {
			t.Fatalf("%d restored, %d without putting aside", got, all.cost)
		}
	}
	if aside < 1000 {
		t.Errorf("only %d jobs put aside", aside)
	}
}

// What the words claim for a pencil holds.
func TestWhy(t *testing.T) {
	ring := st.Windows("", []int64{2, 2, 2, 2, 2}, st.Ring(5, 1))
	path := st.Windows("", []int64{10, 1, 1, 10}, st.Path(4, 1))
	turns := st.Windows("", []int64{9000, 15000, 18000, 18000, 15000, 9000}, st.Path(6, 2))
	single := turns
	single.AtOnce = 1
	bus := turns
	bus.AtOnce, bus.Resources = 6, []instance.Resource{{Name: "bus x", Capacity: 6}}
	for j := range bus.Jobs {
		bus.Resources[0].Uses = append(bus.Resources[0].Uses, instance.Use{Job: j, Amount: 6, UntilUs: 9000})
	}
	pairs := st.Windows("", []int64{40, 10, 30, 20, 50}, nil)
	pairs.AtOnce, pairs.GuardUs = 2, 500
	rest := pairs
	rest.Jobs = append([]instance.Job(nil), pairs.Jobs...)
	rest.Jobs[1].RestUs, rest.Jobs[1].BusyUs = 60_000, 20
	late := st.Windows("", []int64{40, 30}, [][2]int{{0, 1}})
	late.Arcs = []instance.Arc{{From: 0, To: 1, FromUs: 10, UntilUs: 70}}
	for _, c := range []struct {
		name   string
		p      instance.Problem
		says   []string
		clique int
	}{
		{"clique", turns, []string{"These 3 must all take turns", "(job 2, job 3, job 1): 2 x 18 ms + 15 ms = 51 ms"}, 3},
		{"one at a time", single, []string{"One at a time, so all 6 take turns", "= 84 ms"}, 6},
		{"one in a shared thing", bus, []string{"All share bus x, which has room for one at a time, so all 6 take turns", "= 84 ms"}, 6},
		{"capacity", pairs, []string{"at most 2 may run at once", "each with 500 us of guard", "550 us + 530 us + 510 us = 1.59 ms"}, 0},
		{"odd ring", ring, []string{"any 3 of them hold a pair in conflict", "every 2nd opens a group: 3 x 2 us = 6 us"}, 0},
		{"search", path, []string{"10 us + 1 us = 11 us", "these 4 alone need 12 us"}, 0},
		{"rest", rest, []string{"job 1 is busy for 20 us and must then rest for 60 ms", "60.02 ms"}, 0},
		{"late sound", late, []string{"until no listener to come can take its sound for job 0", "70 us + 30 us = 100 us"}, 2},
		{"nothing", instance.Problem{}, []string{"nothing to fire"}, 0},
	} {
		tt := solve(c.p)
		for _, s := range c.says {
			if !strings.Contains(tt.Why, s) {
				t.Errorf("%s: %q does not say %q", c.name, tt.Why, s)
			}
		}
		if len(tt.Clique) != c.clique || strings.Count(tt.Why, "\n") > 5 {
			t.Errorf("%s: clique %v, why\n%s", c.name, tt.Clique, tt.Why)
		}
	}
}
