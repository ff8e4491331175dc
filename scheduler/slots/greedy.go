package slots

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"echowright/scheduler/bound"
)

// dealer deals the jobs of a graph out to groups, again and again.
type dealer struct {
	g      *bound.Graph
	taken  []bound.Set // per group: everybody who conflicts with a member
	slotOf []int
	size   []int
}

// firstFit deals the jobs out in the given order, each into the first group that takes it.
func firstFit(g *bound.Graph, order []int) [][]int { return (&dealer{g: g}).deal(order) }

func (d *dealer) deal(order []int) [][]int {
	n := len(order)
	if d.slotOf == nil {
		d.slotOf = make([]int, n)
	}
	d.size = d.size[:0]
	for _, v := range order {
		k := 0
		for k < len(d.size) && (d.size[k] >= d.g.AtOnce || d.taken[k].Has(v)) {
			k++
		}
		switch {
		case k < len(d.size):
			d.size[k]++
			merge(d.taken[k], d.g.Adj[v])
		default:
			d.size = append(d.size, 1)
			if k == len(d.taken) {
				d.taken = append(d.taken, bound.NewSet(n))
			}
			copy(d.taken[k], d.g.Adj[v])
		}
		d.slotOf[v] = k
	}
	groups, all := make([][]int, len(d.size)), make([]int, n)
	for k, size := range d.size {
		groups[k], all = all[:0:size], all[size:]
	}
	for _, v := range order {
		groups[d.slotOf[v]] = append(groups[d.slotOf[v]], v)
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
	d := &dealer{g: g}
	best, bestCost := groups, g.Cost(groups)
	now, nowCost := groups, bestCost
	for r := range rounds {
		if bestCost <= goal || !m.Tick() || !m.Look() {
			break
		}
		next := d.deal(shuffled(g, now, r, lots))
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
