package schedulertest

import (
	"slices"

	"echowright/scheduler/instance"
)

// Brute returns the least slots cycle by trying every ordered partition of the jobs into groups.
// It reads the rules off the problem directly. For each partition it finds the least period from
// the differences that must be kept, and where a sound may come before or after a window, tries
// both. Slow: up to 7 jobs.
func Brute(p instance.Problem) int64 {
	if len(p.Jobs) == 0 {
		return 0
	}
	b := brute{p: p, least: 1 << 62}
	for _, j := range p.Jobs {
		b.floor = max(b.floor, j.BusyUs+j.RestUs+2*p.JitterUs)
	}
	b.place(0, nil)
	return b.least
}

type brute struct {
	p     instance.Problem
	floor int64
	least int64
}

// place puts job i into a group there is, or into a new one anywhere between them. Without chains
// the cycle may begin anywhere, so job 0 stays in the first group.
func (b *brute) place(i int, groups [][]int) {
	if i == len(b.p.Jobs) {
		if b.keeps(groups) {
			b.time(groups)
		}
		return
	}
	for k, g := range groups {
		groups[k] = append(g, i)
		b.place(i+1, groups)
		groups[k] = g
	}
	for k := 0; k <= len(groups); k++ {
		if k == 0 && i > 0 && len(b.p.Order) == 0 {
			continue
		}
		b.place(i+1, slices.Insert(slices.Clone(groups), k, []int{i}))
	}
}

// keeps looks at everything but times.
func (b *brute) keeps(groups [][]int) bool {
	at := map[int]int{}
	for k, g := range groups {
		if b.p.AtOnce > 0 && len(g) > b.p.AtOnce {
			return false
		}
		for _, r := range b.p.Resources {
			if !fits(b.p, r, g) {
				return false
			}
		}
		for _, i := range g {
			at[i] = k
		}
	}
	for _, c := range b.p.Conflicts {
		if at[c[0]] == at[c[1]] {
			return false
		}
	}
	for _, s := range b.p.Together {
		for _, j := range s {
			if at[j] != at[s[0]] {
				return false
			}
		}
	}
	for _, chain := range b.p.Order {
		for k := 1; k < len(chain); k++ {
			if at[chain[k-1]] >= at[chain[k]] {
				return false
			}
		}
	}
	for _, a := range b.p.Arcs {
		to := b.p.Jobs[a.To]
		if a.From != a.To && at[a.From] == at[a.To] && a.FromUs-2*b.p.JitterUs < to.CloseUs && a.UntilUs+2*b.p.JitterUs > to.OpenUs {
			return false
		}
	}
	return true
}

// fits tries the moments just after each use may begin: what each job of a group may then use.
func fits(p instance.Problem, r instance.Resource, group []int) bool {
	for _, first := range r.Uses {
		for _, edge := range []int64{first.FromUs - p.JitterUs, first.FromUs + p.JitterUs, first.UntilUs - p.JitterUs, first.UntilUs + p.JitterUs} {
			var sum int64
			for _, j := range group {
				sum += mostNear(p, r, j, edge)
			}
			if sum > r.Capacity {
				return false
			}
		}
	}
	return true
}

// mostNear is the most job j may use just after the moment at, whatever its jitter: its uses
// only change at their ends, so trying the jitter at which one of them falls on the moment is enough.
func mostNear(p instance.Problem, r instance.Resource, j int, at int64) int64 {
	offs := []int64{-p.JitterUs, p.JitterUs}
	for _, u := range r.Uses {
		offs = append(offs, at-u.FromUs, at-u.UntilUs+1)
	}
	var most int64
	for _, o := range offs {
		if o < -p.JitterUs || o > p.JitterUs {
			continue
		}
		var sum int64
		for _, u := range r.Uses {
			if u.Job == j && u.FromUs+o <= at && at < u.UntilUs+o {
				sum += u.Amount
			}
		}
		most = max(most, sum)
	}
	return most
}

// keep says that group b fires at least us − k·T after group a.
type keep struct {
	a, b, k int
	us      int64
}

func (b *brute) time(groups [][]int) {
	var ks []keep
	for g, jobs := range groups {
		var lasts int64
		for _, i := range jobs {
			lasts = max(lasts, b.p.Jobs[i].CloseUs+b.p.Jobs[i].TransferUs, b.p.Jobs[i].BusyUs+b.p.Jobs[i].TransferUs)
			for _, r := range b.p.Resources {
				for _, u := range r.Uses {
					if u.Job == i {
						lasts = max(lasts, u.UntilUs)
					}
				}
			}
		}
		next, k := g+1, 0
		if next == len(groups) {
			next, k = 0, 1
		}
		ks = append(ks, keep{g, next, k, lasts + b.p.GuardUs + 2*b.p.JitterUs})
	}
	b.branch(groups, ks, b.floor)
}

// branch finds the least period of what must be kept so far, and where a sound then meets a window,
// lets it come after, or before.
func (b *brute) branch(groups [][]int, ks []keep, floor int64) {
	at, period := solve(len(groups), ks, floor, b.least)
	if at == nil || period >= b.least {
		return
	}
	for ga, a := range groups {
		for gb, c := range groups {
			for _, arc := range b.p.Arcs {
				if !slices.Contains(a, arc.From) || !slices.Contains(c, arc.To) {
					continue
				}
				to := b.p.Jobs[arc.To]
				before, after := arc.FromUs-2*b.p.JitterUs-to.CloseUs, arc.UntilUs+2*b.p.JitterUs-to.OpenUs
				for k := 0; int64(k-1)*period <= after; k++ {
					d := at[gb] - at[ga] + int64(k)*period
					if d < 0 || d == 0 && k == 0 || d <= before || d >= after {
						continue
					}
					b.branch(groups, append(slices.Clone(ks), keep{ga, gb, k, after}), period)
					b.branch(groups, append(slices.Clone(ks), keep{gb, ga, -k, -before}), period)
					return
				}
			}
		}
	}
	b.least = period
}

// solve returns the least period >= floor that keeps everything, with times, or nil. A set of things to
// keep that closes a ring and adds up to more than its periods asks for a longer one.
func solve(n int, ks []keep, floor, limit int64) ([]int64, int64) {
again:
	if floor >= limit {
		return nil, 0
	}
	at := make([]int64, n)
	from := make([]int, n)
	for round := 0; ; round++ {
		moved := -1
		for i, k := range ks {
			if v := at[k.a] + k.us - int64(k.k)*floor; v > at[k.b] {
				at[k.b], from[k.b], moved = v, i, k.b
			}
		}
		if moved < 0 {
			low := slices.Min(at)
			for g := range at {
				at[g] -= low
			}
			return at, floor
		}
		if round < n {
			continue
		}
		v := moved
		for range n {
			v = ks[from[v]].a
		}
		var us, periods int64
		for u := v; ; {
			k := ks[from[u]]
			us, periods = us+k.us, periods+int64(k.k)
			if u = k.a; u == v {
				break
			}
		}
		if periods <= 0 {
			return nil, 0
		}
		floor = (us + periods - 1) / periods
		goto again
	}
}

// Clockwork returns the least slots cycle by trying every whole microsecond for every job. It
// knows nothing of groups but that jobs of different ones do not overlap. For a few jobs of a few
// microseconds.
func Clockwork(p instance.Problem) int64 {
	if len(p.Jobs) == 0 {
		return 0
	}
	var t int64 = 1
	for _, j := range p.Jobs {
		if j.RestUs > 0 {
			t = max(t, j.BusyUs+j.RestUs+2*p.JitterUs)
		}
	}
	for ; ; t++ {
		c := clockwork{p: p, period: t, at: make([]int64, len(p.Jobs)), lasts: make([]int64, len(p.Jobs))}
		for i, j := range p.Jobs {
			c.lasts[i] = max(j.CloseUs, j.BusyUs) + j.TransferUs
			for _, r := range p.Resources {
				for _, u := range r.Uses {
					if u.Job == i {
						c.lasts[i] = max(c.lasts[i], u.UntilUs)
					}
				}
			}
			c.lasts[i] += p.GuardUs + 2*p.JitterUs
		}
		if c.place(0) {
			return t
		}
	}
}

type clockwork struct {
	p         instance.Problem
	period    int64
	at, lasts []int64
}

func (c *clockwork) place(i int) bool {
	if i == len(c.p.Jobs) {
		return c.whole()
	}
	last := c.period
	if i == 0 && len(c.p.Order) == 0 {
		last = 1
	}
next:
	for t := range last {
		c.at[i] = t
		for j := range i + 1 {
			if !c.placed(i, j) || !c.pair(i, j) {
				continue next
			}
		}
		if c.place(i + 1) {
			return true
		}
	}
	return false
}

func (c *clockwork) pair(i, j int) bool {
	d := ((c.at[j]-c.at[i])%c.period + c.period) % c.period
	if i == j && c.period < c.lasts[i] || d != 0 && (d < c.lasts[i] || c.period-d < c.lasts[j]) {
		return false
	}
	for _, x := range c.p.Conflicts {
		if d == 0 && (x == [2]int{i, j} || x == [2]int{j, i}) {
			return false
		}
	}
	for _, a := range c.p.Arcs {
		if a.From == i && a.To == j && !c.clear(a, d) || i != j && a.From == j && a.To == i && !c.clear(a, (c.period-d)%c.period) {
			return false
		}
	}
	return true
}

// clear tries every cycle in which the sound could still arrive.
func (c *clockwork) clear(a instance.Arc, d int64) bool {
	to := c.p.Jobs[a.To]
	if a.From == a.To {
		d = c.period
	}
	for ; d <= a.UntilUs+2*c.p.JitterUs; d += c.period {
		if a.FromUs-2*c.p.JitterUs < d+to.CloseUs && d+to.OpenUs < a.UntilUs+2*c.p.JitterUs {
			return false
		}
	}
	return true
}

// whole looks at groups; sets and chains were looked at pair by pair.
func (c *clockwork) whole() bool {
	for i, t := range c.at {
		var group []int
		for j, u := range c.at {
			if u == t && j < i {
				group = nil
				break
			}
			if u == t {
				group = append(group, j)
			}
		}
		if c.p.AtOnce > 0 && len(group) > c.p.AtOnce {
			return false
		}
		for _, r := range c.p.Resources {
			if !fits(c.p, r, group) {
				return false
			}
		}
	}
	return true
}

// placed tells whether sets and chains hold between job i and job j.
func (c *clockwork) placed(i, j int) bool {
	for _, s := range c.p.Together {
		if slices.Contains(s, i) && slices.Contains(s, j) && c.at[i] != c.at[j] {
			return false
		}
	}
	for _, chain := range c.p.Order {
		a, b := slices.Index(chain, i), slices.Index(chain, j)
		if a >= 0 && b >= 0 && (a < b) != (c.at[i] < c.at[j]) && a != b {
			return false
		}
		if a >= 0 && b >= 0 && a != b && c.at[i] == c.at[j] {
			return false
		}
	}
	return true
}
