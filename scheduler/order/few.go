package order

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
)

// A cycle of all blocks is no shorter than that of some of them. So the floor is raised by solving for a
// few, those that get into one another's way most.

// few raises the floor with sets of so many blocks, each solved with so many nodes.
func (s *solver) few(size int, nodes int64) {
	if size >= len(s.l.Blocks) {
		return
	}
	const most = 4 // sets tried
	var tried [][]int
	for _, v := range s.heavy {
		set := s.grown(v, size)
		if slices.ContainsFunc(tried, func(t []int) bool { return slices.Equal(t, set) }) {
			continue
		}
		if tried = append(tried, set); len(tried) > most || s.done() || s.m.Ended() {
			return
		}
		sub := s.sub(set, nodes)
		if sub.best.period > s.floor { // else, solved or not, it cannot raise the floor
			sub.run(nodes)
		}
		s.m.Spend(sub.m.Nodes)
		if sub.floor > s.floor {
			s.raise(sub.floor)
			s.needed = set
			if sub.needed != nil {
				s.needed = through(sub.needed, set)
			}
		}
	}
}

func through(few, set []int) []int {
	var out []int
	for _, k := range few {
		out = append(out, set[k])
	}
	return out
}

// sub is a solver of some blocks, sorted, with its first timetable and floor.
func (s *solver) sub(set []int, nodes int64) *solver {
	sub := &solver{l: bound.Lay(s.l.P.Only(s.l.Jobs(set))), m: s.m.Apart(s.m.Left(nodes)), lots: newLots()}
	sub.start(nodes / 8)
	return sub
}

// heaviest lists the blocks by weight: how much of the cycle one and those that it must take turns with
// take from one another.
func heaviest(l *bound.Laid) []int {
	n := len(l.Blocks)
	order, w := make([]int, n), make([]int64, n)
	for v := range n {
		order[v] = v
		for u := l.Low.Adj[v].First(); u >= 0; u = l.Low.Adj[v].Next(u + 1) {
			w[v] += l.Gap(v, u) + l.Gap(u, v)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(w[b], w[a]) })
	return order
}

// grown adds to v, one by one, the block that has most to do with those there are.
func (s *solver) grown(v, size int) []int {
	n := len(s.l.Blocks)
	gain := make([]int64, n)
	set := []int{v}
	in := bound.NewSet(n)
	in.Add(v)
	for len(set) < size {
		last := set[len(set)-1]
		best := -1
		for u := range n {
			if in.Has(u) {
				continue
			}
			if s.l.Low.Adj[last].Has(u) {
				gain[u] += s.l.Gap(last, u) + s.l.Gap(u, last)
			}
			if best < 0 || gain[u] > gain[best] {
				best = u
			}
		}
		set = append(set, best)
		in.Add(best)
	}
	slices.Sort(set)
	return set
}
