package slots

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"echowright/scheduler/bound"
)

// firstFit deals the jobs out in the given order, each into the first group that takes it.
func firstFit(g *bound.Graph, order []int) [][]int {
	var groups [][]int
	var taken []bound.Set // per group: everybody who conflicts with a member
next:
	for _, v := range order {
		for k, gr := range groups {
			if len(gr) < g.AtOnce && !taken[k].Has(v) {
				groups[k] = append(gr, v)
				merge(taken[k], g.Adj[v])
				continue next
			}
		}
		groups, taken = append(groups, []int{v}), append(taken, g.Adj[v].Clone())
	}
	return groups
}

func merge(s, t bound.Set) {
	for k := range s {
		s[k] |= t[k]
	}
}

// redeal improves groups by dealing them out again, group by group, in other orders: first fit
// then never costs more than before when the groups stay in order of their longest turn, and may
// cost less. Orders that are only a draw of lots come from a generator with a fixed start.
func redeal(g *bound.Graph, groups [][]int, goal int64, rounds int, m *bound.Meter) [][]int {
	lots := rand.New(rand.NewPCG(1, 2))
	best, bestCost := groups, g.Cost(groups)
	now, nowCost := groups, bestCost
	for r := range rounds {
		if bestCost <= goal || !m.Tick() || !m.Look() {
			break
		}
		next := firstFit(g, shuffled(g, now, r, lots))
		c := g.Cost(next)
		if c <= nowCost || lots.IntN(50) == 0 {
			now, nowCost = next, c
		}
		if c < bestCost {
			best, bestCost = next, c
		}
		if r%200 == 199 {
			now, nowCost = best, bestCost
		}
	}
	return best
}

// shuffled puts the groups into a new order and strings their jobs together.
func shuffled(g *bound.Graph, groups [][]int, round int, lots *rand.Rand) []int {
	gs := slices.Clone(groups)
	lots.Shuffle(len(gs), func(a, b int) { gs[a], gs[b] = gs[b], gs[a] })
	switch round % 3 {
	case 0: // longest turn first: cannot cost more
		slices.SortStableFunc(gs, func(a, b []int) int {
			return cmp.Compare(longest(g, b), longest(g, a))
		})
	case 1: // largest group first
		slices.SortStableFunc(gs, func(a, b []int) int { return cmp.Compare(len(b), len(a)) })
	}
	return slices.Concat(gs...)
}

func longest(g *bound.Graph, group []int) int64 {
	var us int64
	for _, v := range group {
		us = max(us, g.Us[v])
	}
	return us
}
