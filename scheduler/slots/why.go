package slots

import (
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// Work set aside for the words, in nodes.
const (
	cliqueWork = 200_000
	shrinkWork = 3_000 // for each job that might be left out
	shrinkJobs = 40    // more jobs than this are not shrunk
)

// explain fills in why no cycle is shorter than the lower bound.
func (s *solver) explain(t *instance.Timetable, l *bound.Laid) {
	tell := bound.Teller{L: l, Turns: l.Turns, G: l.High}
	var lines []string
	if us, _ := l.Alone(); us > 0 && us == t.LowerBoundUs && us > s.sum() {
		lines = tell.Alone()
	} else {
		var reasons []bound.Reason
		for _, pt := range s.parts {
			reasons = append(reasons, pt.reason(tell, s.m))
		}
		var clique []int
		lines, clique = tell.Why(reasons)
		t.Clique = l.Jobs(clique)
	}
	t.Why = strings.Join(tell.Verdict(lines, t), "\n")
}

// sum is the floor that the grouping alone gives.
func (s *solver) sum() int64 {
	var sum int64
	for _, pt := range s.parts {
		sum += pt.best.floor
	}
	return sum
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
	best := newIncumbent(g)
	best.groups, best.cost, best.floor = [][]int{}, us, us-1
	return newPick(g, share, levels, best).run(m.Part(shrinkWork)) && best.cost == us
}
