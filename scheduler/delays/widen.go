package delays

import (
	"slices"

	"echowright/scheduler/instance"
)

// Widen is the problem whose timetables hold whatever delay, from none to the given one, each firing has by itself: what a job
// does may end so much later and begins no later, and so does its sound.
func Widen(p instance.Problem, delaysUs []int64) instance.Problem {
	p.Jobs, p.Arcs, p.Resources = slices.Clone(p.Jobs), slices.Clone(p.Arcs), slices.Clone(p.Resources)
	for j, us := range delaysUs {
		p.Jobs[j].CloseUs += us
		p.Jobs[j].BusyUs += us
	}
	for i, a := range p.Arcs {
		p.Arcs[i].UntilUs += delaysUs[a.From]
	}
	for i, r := range p.Resources {
		p.Resources[i].Uses = slices.Clone(r.Uses)
		for k, u := range r.Uses {
			p.Resources[i].Uses[k].UntilUs += delaysUs[u.Job]
		}
	}
	return p
}
