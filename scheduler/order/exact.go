package order

import "echowright/scheduler/bound"

// timing is a row of groups with their times and period.
type timing struct {
	groups [][]int // blocks of each group, in order
	at     []int64
	period int64
}

// keep is t(b) − t(a) >= us − k·T.
type keep struct {
	a, b int
	k    int64
	us   int64
}

// timed finds the least period from floor to most of a row of groups, with times, or reports false; when
// the part ends first, what it reports is not the last word.
func timed(l *bound.Laid, groups [][]int, floor, most int64, part *bound.Part) (timing, bool) {
	t := timer{l: l, groups: groups, best: most + 1, part: part}
	of := groupOf(len(l.Blocks), groups)
	ks := make([]keep, 0, len(groups)*len(groups))
	for a, from := range groups {
		gaps := make([]int64, len(groups))
		for _, v := range from {
			for b := range gaps {
				gaps[b] = max(gaps[b], l.Base[v])
			}
			for _, h := range l.Heard[v] {
				gaps[of[h.To]] = max(gaps[of[h.To]], l.Gap(v, h.To))
			}
		}
		for b, us := range gaps {
			k := int64(0)
			if b <= a {
				k = 1
			}
			ks = append(ks, keep{a, b, k, us})
		}
	}
	t.branch(ks, floor)
	return timing{groups, t.at, t.best}, t.at != nil
}

// groupOf is the group of each of n blocks.
func groupOf(n int, groups [][]int) []int {
	of := make([]int, n)
	for g, blocks := range groups {
		for _, v := range blocks {
			of[v] = g
		}
	}
	return of
}

// timer tries both where a sound may come before or after a window.
type timer struct {
	l      *bound.Laid
	groups [][]int
	part   *bound.Part
	best   int64
	at     []int64
}

func (t *timer) branch(ks []keep, floor int64) {
	if t.part.Ended() {
		return
	}
	at, period, ok := least(len(t.groups), ks, floor, t.best, t.part)
	if !ok || !t.part.Tick() {
		return
	}
	a, b, k, s, clash := t.clash(at, period)
	if !clash {
		t.best, t.at = period, at
		return
	}
	ks = ks[:len(ks):len(ks)]
	t.branch(append(ks, keep{a, b, k, s.Before}), period)
	t.branch(append(ks, keep{b, a, -k, -s.After}), period)
}

// clash finds a sound that meets a window: group b fires k periods later than it stands after a.
func (t *timer) clash(at []int64, period int64) (a, b int, k int64, s bound.Span, found bool) {
	group := groupOf(len(t.l.Blocks), t.groups)
	for a, blocks := range t.groups {
		for _, u := range blocks {
			for _, h := range t.l.Heard[u] {
				b := group[h.To]
				d := at[b] - at[a]
				for _, s := range h.Spans {
					k := max(0, (max(s.After, 0)-d)/period)
					for ; d+k*period < s.Before; k++ {
						if x := d + k*period; x > s.After && x > 0 {
							return a, b, k, s, true
						}
					}
				}
			}
		}
	}
	return 0, 0, 0, bound.Span{}, false
}

// keepsNode is how many differences looked at are worth a node of the search.
const keepsNode = 1 << 14

// least finds the least period from floor to below limit that leaves times for all that must be kept.
// While some ring adds up to more than its periods, the period grows to that; a ring that
// no longer period helps ends it, and so does the end of the part.
func least(n int, ks []keep, floor, limit int64, part *bound.Part) (at []int64, period int64, ok bool) {
	at = make([]int64, n)
	by := make([]int, n)
	for period = max(floor, 1); period < limit; {
		clear(at)
		ring := -1
		for round := 0; round <= n; round++ {
			for range len(ks) / keepsNode {
				part.Tick()
			}
			if ring = -1; part.Ended() {
				return nil, 0, false
			}
			for i, k := range ks {
				if v := at[k.a] + k.us - k.k*period; v > at[k.b] {
					at[k.b], by[k.b], ring = v, i, k.b
				}
			}
			if ring < 0 {
				first := at[0]
				for g := range at {
					at[g] -= first
				}
				return at, period, true
			}
		}
		us, periods := around(ks, by, ring, n)
		if periods <= 0 {
			return nil, 0, false
		}
		period = max(period+1, (us+periods-1)/periods)
	}
	return nil, 0, false
}

// around adds up the ring that by leads back to from v.
func around(ks []keep, by []int, v, n int) (us, periods int64) {
	for range n {
		v = ks[by[v]].a
	}
	for u := v; ; {
		k := ks[by[u]]
		us, periods = us+k.us, periods+k.k
		if u = k.a; u == v {
			return us, periods
		}
	}
}
