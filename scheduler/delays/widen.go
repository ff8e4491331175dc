package delays

import (
	"slices"

	"echowright/scheduler/instance"
)

// Widen is the problem whose timetables hold whatever delay, from none to the given one, each firing has by itself: what a job
// does may end so much later and begins no later, and so does its sound. Jobs that must fire together have one delay and p a
// timetable; then what they hear of each other's same firing is as without delays, and the arc between two of them is put as one of the
// sender with itself, which asks as much of the cycles after it.
func Widen(p instance.Problem, delaysUs []int64) instance.Problem {
	if !slices.ContainsFunc(delaysUs, func(us int64) bool { return us > 0 }) {
		return p
	}
	set := make([]int, len(p.Jobs))
	for b, jobs := range p.Blocks() {
		for _, j := range jobs {
			set[j] = b
		}
	}
	p.Jobs, p.Arcs, p.Resources = slices.Clone(p.Jobs), slices.Clone(p.Arcs), slices.Clone(p.Resources)
	for j, us := range delaysUs {
		p.Jobs[j].CloseUs += us
		p.Jobs[j].BusyUs += us
	}
	for i, a := range p.Arcs {
		late := delaysUs[a.From]
		a.UntilUs += late
		if late > 0 && a.From != a.To && set[a.From] == set[a.To] {
			a = instance.Arc{From: a.From, To: a.From, UntilUs: max(0, a.UntilUs-p.Jobs[a.To].OpenUs+p.Jobs[a.From].OpenUs)}
		}
		p.Arcs[i] = a
	}
	for i, r := range p.Resources {
		p.Resources[i].Uses = nil
		for j, late := range delaysUs {
			p.Resources[i].Uses = append(p.Resources[i].Uses, stretched(r.Uses, j, late)...)
		}
	}
	return p
}

// stretched is the most that a job may use at each moment if its firing may come so much later: not the sum of what it uses one after
// the other, as it uses it once.
func stretched(uses []instance.Use, job int, lateUs int64) (out []instance.Use) {
	var own []instance.Use
	for _, u := range uses {
		if u.Job == job {
			own = append(own, u)
		}
	}
	if lateUs == 0 {
		return own
	}
	level := func(at int64) (sum int64) { // from at on, without delay
		for _, u := range own {
			if u.FromUs <= at && at < u.UntilUs {
				sum += u.Amount
			}
		}
		return sum
	}
	var changes, turns []int64 // when the level changes, and when the most of it may
	for _, u := range own {
		changes = append(changes, u.FromUs, u.UntilUs)
		turns = append(turns, u.FromUs, u.UntilUs, u.FromUs+lateUs, u.UntilUs+lateUs)
	}
	slices.Sort(turns)
	for k := 1; k < len(turns); k++ {
		from, until := turns[k-1], turns[k]
		if from == until {
			continue
		}
		most := level(from - lateUs)
		for _, at := range changes {
			if at > from-lateUs && at < until {
				most = max(most, level(at))
			}
		}
		if n := len(out); n > 0 && out[n-1].Amount == most && out[n-1].UntilUs == from {
			out[n-1].UntilUs = until
		} else if most > 0 {
			out = append(out, instance.Use{Job: job, Amount: most, FromUs: from, UntilUs: until})
		}
	}
	return out
}
