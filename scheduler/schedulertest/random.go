package schedulertest

import (
	"math/rand/v2"

	"echowright/scheduler/instance"
)

// Plain draws a problem of n jobs that fall into groups without regard to order: windows, line and rest,
// conflicts, sounds that end as the sender's own window does, a number at once, a guard.
func Plain(r *rand.Rand, n int) instance.Problem {
	scale := []int64{1, 3, 20, 30_000}[r.IntN(4)]
	p := some(r, n, scale)
	if r.IntN(2) == 0 && n > 0 {
		for range r.IntN(2 * n) {
			a := instance.Arc{From: r.IntN(n), To: r.IntN(n)}
			a.UntilUs = 1 + r.Int64N(p.Jobs[a.From].LastsUs())
			a.FromUs = r.Int64N(a.UntilUs)
			p.Arcs = append(p.Arcs, a)
		}
	}
	if r.IntN(2) == 0 {
		p.AtOnce = 1 + r.IntN(4)
	}
	return p
}

// some draws jobs, conflicts and a guard.
func some(r *rand.Rand, n int, scale int64) instance.Problem {
	us := func() int64 { return 1 + r.Int64N(scale) }
	p := instance.Problem{Name: "random"}
	for range n {
		j := instance.Job{CloseUs: us()}
		if r.IntN(2) == 0 {
			j.OpenUs = r.Int64N(j.CloseUs + 1)
			j.BusyUs = us()
		}
		if r.IntN(8) == 0 {
			j.RestUs = us() * 3
		}
		p.Jobs = append(p.Jobs, j)
	}
	density := r.Float64()
	for i := range n {
		for j := range i {
			if r.Float64() < density {
				p.Conflicts = append(p.Conflicts, [2]int{i, j})
			}
		}
	}
	if r.IntN(2) == 0 {
		p.GuardUs = us()
	}
	return p
}

// Random draws a problem of n jobs with times up to scale and everything a problem may have: late
// sound up to several cycles old, some that pass a window early, jitter, transfers, sets, chains
// and resources. It may contradict itself.
func Random(r *rand.Rand, n int, scale int64) instance.Problem {
	p := some(r, n, scale)
	if n == 0 {
		return p
	}
	us := func() int64 { return 1 + r.Int64N(scale) }
	reach := scale * []int64{1, 2, 3, 8}[r.IntN(4)]
	for range r.IntN(3 * n) {
		from := r.Int64N(reach + 1)
		until := from + r.Int64N(scale+1)
		if r.IntN(2) == 0 {
			from = 0
		}
		p.Arcs = append(p.Arcs, instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: until})
	}
	once := func(one int) bool { return r.IntN(one) == 0 }
	if once(3) {
		p.AtOnce = 1 + r.IntN(4)
	}
	if once(3) {
		p.JitterUs = r.Int64N(scale/4 + 2)
	}
	if once(3) {
		p.Jobs[r.IntN(n)].TransferUs = us()
	}
	if once(3) && n > 2 {
		p.Together = append(p.Together, r.Perm(n)[:2])
	}
	for range 2 {
		if once(4) && n > 2 {
			p.Order = append(p.Order, r.Perm(n)[:2+r.IntN(n-1)])
		}
	}
	for range r.IntN(3) {
		if once(2) {
			res := instance.Resource{Capacity: 1 + r.Int64N(5)}
			for range 1 + r.IntN(n+1) {
				from := r.Int64N(scale)
				res.Uses = append(res.Uses, instance.Use{Job: r.IntN(n), Amount: 1 + r.Int64N(3), FromUs: from, UntilUs: from + us()})
			}
			p.Resources = append(p.Resources, res)
		}
	}
	return p
}

// Groups returns the least sum of longest windows over all partitions into groups without a
// conflict and of at most atOnce (0: any number).
func Groups(us []int64, joined func(i, j int) bool, atOnce int) int64 {
	least := int64(1) << 62
	var place func(i int, groups [][]int)
	place = func(i int, groups [][]int) {
		if i == len(us) {
			var sum int64
			for _, g := range groups {
				var longest int64
				for _, v := range g {
					longest = max(longest, us[v])
				}
				sum += longest
			}
			least = min(least, sum)
			return
		}
	next:
		for k, g := range groups {
			if atOnce > 0 && len(g) >= atOnce {
				continue
			}
			for _, v := range g {
				if joined(i, v) {
					continue next
				}
			}
			groups[k] = append(g, i)
			place(i+1, groups)
			groups[k] = g
		}
		place(i+1, append(groups, []int{i}))
	}
	place(0, nil)
	return least
}
