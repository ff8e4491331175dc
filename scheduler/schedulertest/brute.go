package schedulertest

import (
	"math/rand/v2"

	"echowright/scheduler/instance"
)

// Brute returns the least slots cycle by trying every partition of the jobs. It reads the rules
// off the problem directly: two jobs share a slot if no conflict names them, neither's sound
// overlaps the other's window when both fire at once, and there is room; a slot lasts until every
// job is over and its sound comes too early for any window that could open next; then the guard.
func Brute(p instance.Problem) int64 {
	b := brute{p: p, least: 1 << 62}
	b.place(0, nil)
	for _, j := range p.Jobs {
		if j.RestUs > 0 {
			b.least = max(b.least, j.BusyUs+j.RestUs)
		}
	}
	return b.least
}

type brute struct {
	p     instance.Problem
	least int64
}

func (b *brute) place(i int, slots [][]int) {
	if i == len(b.p.Jobs) {
		b.least = min(b.least, b.length(slots))
		return
	}
	for k, s := range slots {
		if b.fits(s, i) {
			slots[k] = append(s, i)
			b.place(i+1, slots)
			slots[k] = s
		}
	}
	b.place(i+1, append(slots, []int{i}))
}

func (b *brute) fits(slot []int, i int) bool {
	if b.p.AtOnce > 0 && len(slot) >= b.p.AtOnce {
		return false
	}
	for _, j := range slot {
		for _, c := range b.p.Conflicts {
			if c == [2]int{i, j} || c == [2]int{j, i} {
				return false
			}
		}
		for _, a := range b.p.Arcs {
			joins := a.From == i && a.To == j || a.From == j && a.To == i
			to := b.p.Jobs[a.To]
			if joins && a.FromUs < to.CloseUs && a.UntilUs > to.OpenUs {
				return false
			}
		}
	}
	return true
}

func (b *brute) length(slots [][]int) int64 {
	var cycle int64
	for _, s := range slots {
		var lasts int64
		for _, i := range s {
			lasts = max(lasts, b.p.Jobs[i].CloseUs, b.p.Jobs[i].BusyUs)
			for _, a := range b.p.Arcs {
				if a.From == i {
					lasts = max(lasts, a.UntilUs-b.p.Jobs[a.To].OpenUs)
				}
			}
		}
		cycle += lasts + b.p.GuardUs
	}
	return cycle
}

// Random draws a problem of n jobs: windows alone or arcs too, few distinct times or many, with
// or without capacity, guard and rests.
func Random(r *rand.Rand, n int) instance.Problem {
	scale := []int64{1, 3, 20, 30_000}[r.IntN(4)]
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
	if r.IntN(2) == 0 && n > 0 {
		for range r.IntN(2 * n) {
			from := r.Int64N(scale * 2)
			p.Arcs = append(p.Arcs, instance.Arc{From: r.IntN(n), To: r.IntN(n), FromUs: from, UntilUs: from + us()})
		}
	}
	if r.IntN(2) == 0 {
		p.AtOnce = 1 + r.IntN(4)
	}
	if r.IntN(2) == 0 {
		p.GuardUs = us()
	}
	return p
}
