package bound

import (
	"cmp"
	"slices"
)

// Level says that at least as many groups as its place in the list (from 1) last Us or longer.
type Level struct {
	Us int64
	// Jobs prove it: no group holds more than Share of them, each has a turn of at least Us, and
	// there are more than Share times the levels before it. Share 1: any two of them conflict.
	Jobs  []int
	Share int
}

// Sum adds up the levels: a lower bound on the cost of any grouping.
func Sum(ls []Level) int64 {
	var sum int64
	for _, l := range ls {
		sum += l.Us
	}
	return sum
}

// ByTurn lists the vertices from the longest turn to the shortest; equal turns by more
// neighbours first, then by number.
func (g *Graph) ByTurn() []int {
	order := make([]int, g.N())
	deg := make([]int, g.N())
	for v := range order {
		order[v], deg[v] = v, g.Adj[v].Len()
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(g.Us[b], g.Us[a]), cmp.Compare(deg[b], deg[a]), cmp.Compare(a, b))
	})
	return order
}

// Levels returns the levels of the graph, and an upper bound on the members of any group. Each
// job is one step from the longest turn to the shortest; the largest clique and the largest group
// among the jobs so far grow by at most one at each, so each step asks only whether they do.
// Each of the two questions may use so many nodes; after that cliques stay smaller and groups are
// taken to be larger.
func (g *Graph) Levels(m *Meter, nodes int64) (levels []Level, share int) {
	n := g.N()
	ones := make([]int64, n)
	for i := range ones {
		ones[i] = 1
	}
	apart := g.apart()
	cliques := &heaviest{adj: g.Adj, weight: ones, part: m.Part(nodes)}
	groups := &heaviest{adj: apart, weight: ones, part: m.Part(nodes)}
	seen, cand := NewSet(n), NewSet(n)
	var clique []int
	var before []int
	for _, v := range g.ByTurn() {
		cand.And(seen, g.Adj[v])
		if set, _ := cliques.reaches(cand, len(clique)); set != nil {
			clique = append(sorted(set), v)
		}
		if share < g.AtOnce {
			cand.And(seen, apart[v])
			if set, done := groups.reaches(cand, share); set != nil || !done {
				share++
			}
		}
		seen.Add(v)
		before = append(before, v)
		switch need := len(levels) + 1; {
		case len(clique) >= need:
			levels = append(levels, Level{g.Us[v], sorted(clique), 1})
		case (len(before)+share-1)/share >= need:
			levels = append(levels, Level{g.Us[v], sorted(before), share})
		}
	}
	return levels, share
}

// apart is the complement of the graph: who may share a group.
func (g *Graph) apart() []Set {
	n := g.N()
	full := Full(n)
	c := NewSets(n, n)
	for v := range c {
		c[v].Less(full, g.Adj[v])
		c[v].Drop(v)
	}
	return c
}

func sorted(s []int) []int {
	s = slices.Clone(s)
	slices.Sort(s)
	return s
}
