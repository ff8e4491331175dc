package stagger

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
)

// round is a set of blocks and what going round them takes: in whatever cyclic order they fire, the distances from
// each to the next add up to the cycle, and each is at least soonest.
type round struct {
	us     int64
	blocks []int // in the shortest order, where that is known
	whole  bool
}

const (
	roundMost = 40  // blocks of a round whose shortest order is looked for
	coverMost = 150 // blocks of which covers are; of more, only the shortest steps are added up
	roundWork = 400 // nodes of the search for the shortest order
	mostSets  = 200
)

// far lists soonest for all pairs, by u*n+v.
func (m *model) far() []int64 {
	n := len(m.blocks)
	us := make([]int64, n*n)
	for u := range n {
		for v := range n {
			if u != v {
				us[u*n+v] = m.soonest(u, v)
			}
		}
	}
	return us
}

// rounds looks for the set of blocks that takes longest to go round.
func (m *model) rounds(far []int64, meter *bound.Meter) (best round) {
	n := len(m.blocks)
	// weight is how long a block keeps off the others on average of those it keeps off.
	weight := make([]int64, n)
	for u := range n {
		var sum, k int64
		for v := range n {
			if us := far[u*n+v]; us > 0 {
				sum, k = sum+us, k+1
			}
		}
		if k > 0 {
			weight[u] = sum / k
		}
	}
	heavy := make([]int, n)
	for u := range heavy {
		heavy[u] = u
	}
	slices.SortStableFunc(heavy, func(a, b int) int { return cmp.Compare(weight[b], weight[a]) })
	type grown struct {
		blocks []int
		us     int64 // less than going round takes
	}
	var sets []grown
	for _, both := range []bool{true, false} {
		for _, first := range heavy {
			if len(sets) >= mostSets || !meter.Look() {
				break
			}
			g := grown{blocks: []int{first}}
			for _, u := range heavy {
				if !slices.ContainsFunc(g.blocks, func(v int) bool {
					out, back := far[u*n+v], far[v*n+u]
					return u == v || both && min(out, back) == 0 || out+back == 0
				}) {
					g.blocks = append(g.blocks, u)
				}
			}
			slices.Sort(g.blocks)
			if len(g.blocks) < 3 || slices.ContainsFunc(sets, func(o grown) bool { return slices.Equal(o.blocks, g.blocks) }) {
				continue
			}
			g.us = around(g.blocks, far, n)
			sets = append(sets, g)
		}
	}
	slices.SortStableFunc(sets, func(a, b grown) int { return cmp.Compare(b.us, a.us) })
	for _, g := range sets[:min(len(sets), 4)] {
		r := round{us: g.us, blocks: g.blocks}
		if len(g.blocks) <= roundMost {
			r = shortestRound(g.blocks, far, n, meter)
		}
		if r.us > best.us {
			best = r
		}
	}
	return best
}

// around is less than going round takes.
func around(blocks []int, far []int64, n int) int64 {
	if len(blocks) <= coverMost {
		return newCover(blocks, far, n).us
	}
	var sum int64
	for _, u := range blocks {
		least := banned
		for _, v := range blocks {
			if u != v {
				least = min(least, far[u*n+v])
			}
		}
		sum += least
	}
	return sum
}

// cover is the cheapest way to give every block another to follow it: rings that may be several (the assignment
// problem; going round all takes no less). Bans forbid some followers.
type cover struct {
	us   int64
	next []int // by place in the set
	bans [][2]int
}

const banned = int64(1) << 50

func newCover(blocks []int, far []int64, n int, bans ...[2]int) cover {
	as := newAssignment(len(blocks))
	for a, u := range blocks {
		for b, v := range blocks {
			as.cost[a*as.k+b] = far[u*n+v]
		}
		as.cost[a*as.k+a] = banned
	}
	for _, b := range bans {
		as.cost[b[0]*as.k+b[1]] = banned
	}
	return cover{us: as.solve(), next: as.next(), bans: bans}
}

// shortestRound joins the rings of covers into one by forbidding the steps of the smallest in turn, the cheapest
// cover first (Carpaneto, Toth 1980). Stopped early, the cheapest cover left is a lower bound still.
func shortestRound(blocks []int, far []int64, n int, meter *bound.Meter) round {
	open := []cover{newCover(blocks, far, n)}
	for work := 0; ; work++ {
		best := 0
		for k, c := range open {
			if c.us < open[best].us {
				best = k
			}
		}
		c := open[best]
		ring := smallest(c.next)
		r := round{us: c.us, blocks: blocks}
		if len(ring) == len(blocks) {
			r.whole = true
			r.blocks = nil
			for _, a := range ring {
				r.blocks = append(r.blocks, blocks[a])
			}
			return r
		}
		if work >= roundWork || !meter.Look() {
			return r
		}
		open = slices.Delete(open, best, best+1)
		for _, a := range ring {
			open = append(open, newCover(blocks, far, n, append(slices.Clip(c.bans), [2]int{a, c.next[a]})...))
		}
	}
}

// smallest is the smallest ring of a cover.
func smallest(next []int) (ring []int) {
	seen := make([]bool, len(next))
	for s := range next {
		var r []int
		for a := s; !seen[a]; a = next[a] {
			seen[a] = true
			r = append(r, a)
		}
		if len(r) > 0 && (ring == nil || len(r) < len(ring)) {
			ring = r
		}
	}
	return ring
}
