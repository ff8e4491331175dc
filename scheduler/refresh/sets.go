package refresh

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	"echowright/scheduler/stagger"
)

// set is blocks of which only so much may hold at a moment: the turns of their firings, summed up, are no longer
// than most cycles.
//
// Where they take turns one by one (most is 1), a turn is the time to the next firing of another of them. A block that fires
// twice in a row wastes time: both firings then do together what one could, but for the time between them. So a block with
// limit L fires n−1 times with a turn each, n = ⌈T/L⌉, and once more with a turn, or twice in a row with the rest of T
// between the two (not less than it needs to fire again).
type set struct {
	blocks []int
	turn   []int64 // by place in blocks: what each firing takes
	most   int64
	priced bool // turns are prices of steps: more than the least step from each
}

const (
	setsMost   = 200
	cliqueWork = 20_000
	// stepsMost bounds the lengths of cycles looked at while looking for one that no set rules out.
	stepsMost  = 200_000
	pricedMost = 80 // firings
	cycleMost  = int64(1) << 44
	shareMost  = int64(1) << 17
)

// sets looks for blocks that take turns, and for those of which only so many hold at once.
func (l *laid) sets(meter *bound.Meter) (sets []set) {
	n := len(l.blocks)
	add := func(blocks []int) {
		slices.Sort(blocks)
		if len(sets) < setsMost && !slices.ContainsFunc(sets, func(s set) bool { return slices.Equal(s.blocks, blocks) }) {
			sets = append(sets, l.turns(blocks))
			if s := l.priced(blocks); s.blocks != nil {
				sets = append(sets, s)
			}
		}
	}
	for b := range n {
		add([]int{b})
	}
	// Which take turns for longest depends on how often they fire: by limits, and by how long each takes.
	for _, dense := range []bool{true, false} {
		weight := make([]int64, n)
		for b := range n {
			if weight[b] = l.holds[b]; dense {
				weight[b] = max(1, int64(1e9*float64(l.holds[b])/float64(min(l.limit[b], never>>10))))
			}
		}
		g := bound.NewGraph(weight, 0)
		for u := range n {
			for v := range u {
				if l.soonest[u*n+v] > 0 {
					g.Join(u, v)
				}
			}
		}
		clique, _ := g.HeaviestClique(meter.Part(cliqueWork))
		add(clique)
		order := make([]int, n)
		for b := range order {
			order[b] = b
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(weight[b], weight[a]) })
		for _, first := range order {
			grown := []int{first}
			for _, b := range order {
				if !slices.ContainsFunc(grown, func(a int) bool { return a == b || l.soonest[a*n+b] == 0 }) {
					grown = append(grown, b)
				}
			}
			add(grown)
		}
	}
	if len(sets) < 2*n+2 {
		if w := stagger.Shares(l.p, meter); w.Most > 0 {
			s := set{most: w.Most}
			for b, weight := range w.Weight {
				if weight > 0 {
					s.blocks, s.turn = append(s.blocks, b), append(s.turn, weight*min(w.HoldUs[b], l.alone[b]))
				}
			}
			sets = append(sets, s)
		}
	}
	for _, r := range l.p.Resources {
		if s := l.used(r); len(s.blocks) > 0 && r.Capacity <= shareMost {
			sets = append(sets, s)
		}
	}
	if k := l.p.AtOnce; k > 1 {
		s := set{most: int64(k)}
		for b, jobs := range l.blocks {
			s.blocks, s.turn = append(s.blocks, b), append(s.turn, int64(len(jobs))*l.least(b))
		}
		sets = append(sets, s)
	}
	return sets
}

// used is what a resource gives out: no more than its capacity at a moment.
func (l *laid) used(r instance.Resource) set {
	s := set{most: r.Capacity}
	for b := range l.blocks {
		var sum int64
		for _, u := range r.Uses {
			if l.of[u.Job] == b {
				sum += min(u.Amount, r.Capacity) * (u.UntilUs - u.FromUs)
			}
		}
		if sum > 0 && sum < never {
			s.blocks, s.turn = append(s.blocks, b), append(s.turn, sum)
		}
	}
	return s
}

// least is how long the shortest job of a block holds.
func (l *laid) least(b int) int64 {
	us := never
	occupied := l.p.OccupiedUs()
	for _, j := range l.blocks[b] {
		us = min(us, occupied[j]+l.p.GuardUs+2*l.p.JitterUs)
	}
	return us
}

// turns is a set of blocks no two of which hold at once: each firing takes until the soonest one of another.
func (l *laid) turns(blocks []int) set {
	n := len(l.blocks)
	s := set{blocks: blocks, most: 1}
	for _, u := range blocks {
		turn := never
		for _, v := range blocks {
			if u != v || len(blocks) == 1 {
				turn = min(turn, l.soonest[u*n+v])
			}
		}
		s.turn = append(s.turn, min(turn, l.limit[u]))
	}
	return s
}

// priced is the same with turns that depend on who can follow whom: no step from u to v is cheaper than what u pays for
// going and v for coming, so the firings of a cycle pay no more than it lasts. The prices are those of the cheapest way to
// give each firing, in about as long as the longest limit, another to follow it (assignment problem).
func (l *laid) priced(blocks []int) set {
	n := len(l.blocks)
	var longest, sum int64
	for _, b := range blocks {
		if l.limit[b] < never {
			longest = max(longest, l.limit[b])
		}
	}
	var copies []int // of blocks, by place
	for k, b := range blocks {
		times := max(1, l.fires(b, longest))
		if sum += times; sum > pricedMost {
			return set{}
		}
		copies = append(copies, slices.Repeat([]int{k}, int(times))...)
	}
	if len(blocks) < 3 {
		return set{}
	}
	cost := make([]int64, len(copies)*len(copies))
	for a, u := range copies {
		for b, v := range copies {
			if cost[a*len(copies)+b] = l.soonest[blocks[u]*n+blocks[v]]; u == v {
				cost[a*len(copies)+b] = never >> 10
			}
		}
	}
	going, coming := stagger.Prices(cost, len(copies))
	s := set{blocks: blocks, most: 1, turn: make([]int64, len(blocks)), priced: true}
	for k, b := range blocks {
		var out, in, times int64
		for a, u := range copies {
			if u == k {
				out, in, times = out+going[a], in+coming[a], times+1
			}
		}
		// The average over all copies is a price as good as theirs; rounded down, too.
		s.turn[k] = min(floorDiv(out, times)+floorDiv(in, times), l.limit[b])
		if s.turn[k] < 0 {
			return set{}
		}
	}
	return s
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && a < 0 {
		q--
	}
	return q
}

// needs is what a set needs of a cycle if its blocks are to fire as often as their limits ask in a cycle so long.
func (l *laid) needs(s set, cycleUs int64) int64 {
	var sum int64
	for k, b := range s.blocks {
		n := l.fires(b, cycleUs)
		if n > never/max(1, s.turn[k])/2 {
			return never
		}
		turn := s.turn[k]
		if sum += (n - 1) * turn; s.most == 1 && n > 1 {
			turn = min(turn, max(l.alone[b], cycleUs-(n-1)*l.limit[b]))
		}
		if sum += turn; sum > never {
			return never
		}
	}
	return (sum + s.most - 1) / s.most
}

// next is the first cycle from us on that no set rules out, and whether it is one; if not, none up to there is.
func (l *laid) next(sets []set, us int64) (cycleUs int64, ok bool) {
	for steps := 0; ; {
		raised := false
		for _, s := range sets {
			// All that is asked of a longer cycle is no less, so none in between will do.
			for need := l.needs(s, us); need > us; need = l.needs(s, us) {
				us, raised = need, true
				if steps++; steps > stepsMost || us > cycleMost {
					return us, false
				}
			}
		}
		if l.chained(us) {
			return us, false
		}
		if !raised {
			return us, true
		}
	}
}

// until is the last cycle in which all must fire as often as in one of us.
func (l *laid) until(us int64) int64 {
	last := cycleMost
	for b, limit := range l.limit {
		if limit < never {
			last = min(last, l.fires(b, us)*limit)
		}
	}
	return last
}
