package slots

import (
	"slices"

	"echowright/scheduler/bound"
)

// reduced is a graph without the jobs that need no thought, and those jobs in the order in which
// they were put aside.
type reduced struct {
	kept  []int
	aside []int
}

// reduce puts aside, while there are any,
//   - a job whose conflicts are all conflicts of another job, with which it has none and whose
//     turn is no shorter: it goes where that one goes;
//   - a job with d conflicts where d+1 jobs of at least its turn, it not among them, must all take
//     turns: of at least d+1 slots so long, its conflicts block at most d.
//
// Both need slots that never fill up, so share, which bounds every group, must be below AtOnce.
func reduce(g *bound.Graph, levels []bound.Level, share int, m *bound.Meter) reduced {
	alive := bound.Full(g.N())
	r := reduced{}
	if share < g.AtOnce || g.AtOnce >= g.N() {
		for r.sweep(g, alive, levels, m) {
		}
	}
	r.kept = alive.Members()
	return r
}

func (r *reduced) sweep(g *bound.Graph, alive bound.Set, levels []bound.Level, m *bound.Meter) bool {
	order := g.ByTurn()
	slices.Reverse(order)
	found := false
	near := bound.NewSet(g.N())
	for _, v := range order {
		if !m.Look() {
			return false // what is put aside so far is so rightly
		}
		if !alive.Has(v) {
			continue
		}
		near.And(g.Adj[v], alive)
		if blockedNever(g, v, near.Len(), alive, levels) || covered(g, v, near, alive) {
			alive.Drop(v)
			r.aside = append(r.aside, v)
			found = true
		}
	}
	return found
}

// blockedNever tells whether a clique proves d+1 slots of at least v's turn without v.
func blockedNever(g *bound.Graph, v, d int, alive bound.Set, levels []bound.Level) bool {
	if d >= len(levels) {
		return false
	}
	l := levels[d]
	if l.Share != 1 || l.Us < g.Us[v] {
		return false
	}
	for _, w := range l.Jobs {
		if w == v || !alive.Has(w) {
			return false
		}
	}
	return true
}

// covered tells whether some u can take v along wherever it goes.
func covered(g *bound.Graph, v int, near, alive bound.Set) bool {
	for u := alive.First(); u >= 0; u = alive.Next(u + 1) {
		if u != v && g.Us[u] >= g.Us[v] && !g.Adj[v].Has(u) && near.Inside(g.Adj[u]) {
			return true
		}
	}
	return false
}

// restore puts the jobs put aside back, the last one first, each into the longest slot that takes
// it. That slot is at least as long as the job needs, so nothing is added.
func (r reduced) restore(g *bound.Graph, groups [][]int) [][]int {
	for k := len(r.aside) - 1; k >= 0; k-- {
		v := r.aside[k]
		into := -1
		for i, gr := range groups {
			free := !slices.ContainsFunc(gr, g.Adj[v].Has)
			if free && (into < 0 || longest(g, gr) > longest(g, groups[into])) {
				into = i
			}
		}
		groups[into] = append(groups[into], v)
	}
	return groups
}
