package slots

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// timetable strings the groups together, the longest first, then the one with the least job.
func (s *solver) timetable(p instance.Problem, g *bound.Graph) instance.Timetable {
	t := instance.Timetable{CycleUs: s.cycle(), LowerBoundUs: s.floor()}
	for _, pt := range s.parts {
		for _, gr := range pt.best.groups {
			gr = through(gr, pt.jobs)
			slices.Sort(gr)
			t.Groups = append(t.Groups, gr)
		}
	}
	slices.SortFunc(t.Groups, func(a, b []int) int {
		return cmp.Or(cmp.Compare(longest(g, b), longest(g, a)), cmp.Compare(a[0], b[0]))
	})
	var at int64
	for _, gr := range t.Groups {
		for _, v := range gr {
			t.Firings = append(t.Firings, instance.Firing{Job: v, AtUs: at})
		}
		at += longest(g, gr)
	}
	t.Proven = t.LowerBoundUs == t.CycleUs
	s.explain(&t, p, g)
	return t
}
