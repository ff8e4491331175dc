package slots

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// timetable strings the groups together, the longest first, then the one with the least job.
func (s *solver) timetable(l *bound.Laid) instance.Timetable {
	g := l.High
	t := instance.Timetable{CycleUs: s.cycle(), LowerBoundUs: s.floor()}
	var groups [][]int
	for _, pt := range s.parts {
		for _, gr := range pt.best.groups {
			gr = through(gr, pt.jobs)
			slices.Sort(gr)
			groups = append(groups, gr)
		}
	}
	slices.SortFunc(groups, func(a, b []int) int {
		return cmp.Or(cmp.Compare(longest(g, b), longest(g, a)), cmp.Compare(a[0], b[0]))
	})
	var at int64
	for _, gr := range groups {
		jobs := l.Jobs(gr)
		for _, j := range jobs {
			t.Firings = append(t.Firings, instance.Firing{Job: j, AtUs: at})
		}
		t.Groups = append(t.Groups, jobs)
		at += longest(g, gr)
	}
	t.Proven = t.LowerBoundUs == t.CycleUs
	if !s.o.Bare {
		s.explain(&t, l)
	}
	t.Nodes = s.m.Nodes
	return t
}
