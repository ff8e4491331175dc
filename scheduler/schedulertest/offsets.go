package schedulertest

import "echowright/scheduler/instance"

// Offsets returns the least staggered cycle by trying every whole microsecond for every job, in every cycle from
// the least on. It reads the rules off the problem directly: each firing of a few cycles against each other.
// For a few jobs of a few microseconds.
func Offsets(p instance.Problem) int64 {
	if len(p.Jobs) == 0 {
		return 0
	}
	for t := int64(1); ; t++ {
		if o := newOffsets(p, t); o.place(0) {
			return t
		}
	}
}

// Fit tells whether job j may fire d after job i in every cycle, for all that the two demand of each other; for
// i = j and d = 0, whether the cycle does for it.
func Fit(p instance.Problem, period int64, i, j int, d int64) bool {
	o := newOffsets(p, period)
	o.at[j] = (d + period) % period
	return o.pair(i, j)
}

func newOffsets(p instance.Problem, period int64) *offsets {
	o := &offsets{p: p, period: period, at: make([]int64, len(p.Jobs)), ok: map[[3]int64]bool{}}
	for i, j := range p.Jobs {
		us := max(j.CloseUs, j.BusyUs) + j.TransferUs
		for _, r := range p.Resources {
			for _, u := range r.Uses {
				if u.Job == i {
					us = max(us, u.UntilUs)
				}
			}
		}
		o.lasts = append(o.lasts, us+p.GuardUs+2*p.JitterUs)
	}
	return o
}

type offsets struct {
	p         instance.Problem
	period    int64
	at, lasts []int64           // lasts: occupied, with the guard and the jitter of both
	ok        map[[3]int64]bool // pairs a distance apart that were found to be right
}

func (o *offsets) place(i int) bool {
	if i == len(o.p.Jobs) {
		return o.together()
	}
	last := o.period
	if i == 0 && len(o.p.Order) == 0 {
		last = 1 // the cycle may begin anywhere
	}
next:
	for t := range last {
		o.at[i] = t
		for j := range i + 1 {
			if !o.pair(i, j) {
				continue next
			}
		}
		if o.place(i + 1) {
			return true
		}
	}
	return false
}

func (o *offsets) pair(i, j int) bool {
	for _, s := range o.p.Together {
		if has(s, i) && has(s, j) && o.at[i] != o.at[j] {
			return false
		}
	}
	for _, chain := range o.p.Order {
		for k, x := range chain {
			for _, y := range chain[k+1:] {
				if (x == i && y == j || x == j && y == i) && o.at[y]-o.at[x] <= 2*o.p.JitterUs {
					return false
				}
			}
		}
	}
	key := [3]int64{int64(i), int64(j), o.at[j] - o.at[i]}
	was, known := o.ok[key]
	if !known {
		was = o.apart(i, j)
		o.ok[key] = was
	}
	return was
}

func has(s []int, j int) bool {
	for _, i := range s {
		if i == j {
			return true
		}
	}
	return false
}

// apart compares one firing of i with the firings of j in all cycles that could matter.
func (o *offsets) apart(i, j int) bool {
	p := o.p
	reach := max(o.lasts[i], o.lasts[j])
	for _, a := range p.Arcs {
		reach = max(reach, a.UntilUs+2*p.JitterUs)
	}
	rest := p.Jobs[i].BusyUs + p.Jobs[i].RestUs + 2*p.JitterUs
	if i == j && p.Jobs[i].RestUs > 0 && o.period < rest {
		return false
	}
	foes := p.AtOnce == 1 || i == j
	for _, c := range p.Conflicts {
		foes = foes || c == [2]int{i, j} || c == [2]int{j, i}
	}
	for k := -reach/o.period - 2; k <= reach/o.period+2; k++ {
		d := o.at[j] - o.at[i] + k*o.period // j fires so long after i
		if i == j && k == 0 {
			continue
		}
		if foes && d < o.lasts[i] && -d < o.lasts[j] {
			return false
		}
		for _, a := range p.Arcs {
			d := d
			if a.From == j && a.To == i {
				d = -d
			} else if a.From != i || a.To != j {
				continue
			}
			to := p.Jobs[a.To]
			if a.FromUs-p.JitterUs < d+to.CloseUs+p.JitterUs && d+to.OpenUs-p.JitterUs < a.UntilUs+p.JitterUs {
				return false
			}
		}
	}
	return true
}

// together looks at every moment of a cycle: how many are occupied, and what is in use.
func (o *offsets) together() bool {
	p := o.p
	for us := range o.period {
		at := us + o.period // all that began in the cycle before is still there
		occupied := 0
		for i := range p.Jobs {
			if (at-o.at[i]+p.JitterUs)%o.period < o.lasts[i] {
				occupied++
			}
		}
		if p.AtOnce > 0 && occupied > p.AtOnce {
			return false
		}
		for _, r := range p.Resources {
			var sum int64
			for j := range p.Jobs {
				var most int64
				for k := int64(-2); k <= 2; k++ {
					most = max(most, mostNear(p, r, j, at-o.at[j]+k*o.period))
				}
				sum += most
			}
			if sum > r.Capacity {
				return false
			}
		}
	}
	return true
}
