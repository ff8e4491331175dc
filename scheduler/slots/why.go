package slots

import (
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// Work set aside for the words, in nodes.
const (
	cliqueWork = 200_000
	shrinkWork = 20_000 // for each job that might be left out
	shrinkJobs = 40     // more jobs than this are not shrunk
)

// explain fills in why no cycle is shorter than the lower bound.
func (s *solver) explain(t *instance.Timetable, p instance.Problem, g *bound.Graph) {
	tell := bound.Teller{P: p, Turns: bound.Turns(p), G: g}
	var lines []string
	if us, job := bound.RestUs(p); us > 0 && us == t.LowerBoundUs {
		j := p.Jobs[job]
		lines = []string{fmt.Sprintf("%s is busy for %s and must then rest for %s, so no cycle is shorter than %s.",
			p.JobName(job), bound.Time(j.BusyUs), bound.Time(j.RestUs), bound.Time(us))}
	} else {
		var reasons []bound.Reason
		for _, pt := range s.parts {
			reasons = append(reasons, pt.reason(tell, s.m))
		}
		lines, t.Clique = tell.Why(reasons)
	}
	switch {
	case len(p.Jobs) == 0:
		lines = []string{"There is nothing to fire."}
	case t.Proven:
		lines = append(lines, fmt.Sprintf("The cycle of %s is as short as that, so none is shorter.", bound.Time(t.CycleUs)))
	default:
		lines = append(lines, fmt.Sprintf("The search ended early: the cycle of %s may be up to %s longer than the shortest.",
			bound.Time(t.CycleUs), bound.Time(t.CycleUs-t.LowerBoundUs)))
	}
	t.Why = strings.Join(lines, "\n")
}

// reason finds the plainest proof of the part's floor.
func (pt *part) reason(tell bound.Teller, m *bound.Meter) bound.Reason {
	floor := pt.best.floor
	r, ok := pt.pencil(tell, pt.jobs, floor, m)
	if ok {
		return r
	}
	few := pt.shrink(floor, m)
	if len(few) < len(pt.jobs) {
		sub := newPart(pt.g, few, m)
		if r, ok = sub.pencil(tell, through(few, pt.jobs), floor, m); ok {
			return r
		}
	}
	return tell.Search(through(few, pt.jobs), floor, r)
}

// pencil gives the plainest of the bounds a pencil can follow, and whether it reaches the floor.
func (pt *part) pencil(tell bound.Teller, jobs []int, floor int64, m *bound.Meter) (bound.Reason, bool) {
	clique, us := pt.g.HeaviestClique(m.Part(cliqueWork))
	if us == floor {
		return tell.Clique(through(clique, jobs)), true
	}
	share := tell.Share(jobs, pt.share)
	if share.Us == floor {
		return share, true
	}
	if bound.Sum(pt.levels) == us {
		return tell.Clique(through(clique, jobs)), false
	}
	levels := slices.Clone(pt.levels)
	for k, l := range levels {
		levels[k].Jobs = through(l.Jobs, jobs)
	}
	r := tell.Levels(levels)
	return r, r.Us == floor
}

// shrink leaves jobs out, one by one, as long as those that remain provably need the floor.
func (pt *part) shrink(floor int64, m *bound.Meter) []int {
	few := make([]int, len(pt.jobs))
	for k := range few {
		few[k] = k
	}
	if len(few) > shrinkJobs {
		return few
	}
	order := pt.g.ByTurn()
	for k := len(order) - 1; k >= 0 && !m.Ended(); k-- {
		less := slices.DeleteFunc(slices.Clone(few), func(v int) bool { return v == order[k] })
		if len(less) > 0 && needs(pt.g.Sub(less), floor, m.Apart(shrinkWork)) {
			few = less
		}
	}
	return few
}

// needs tells whether a short search proves that no grouping costs less than us.
func needs(g *bound.Graph, us int64, m *bound.Meter) bool {
	if g.Cost(firstFit(g, g.ByTurn())) < us {
		return false
	}
	levels, share := g.Levels(m, shrinkWork/10)
	// The search starts from a best of us that no groups make, and ends at the first it finds.
	best := &incumbent{g: g, groups: [][]int{}, cost: us, floor: us - 1}
	return newPick(g, share, levels, best).run(m.Part(shrinkWork)) && best.cost == us
}
