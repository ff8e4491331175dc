package slots

import (
	"context"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// Options of Solve. The zero value searches until the answer is proven or the context ends.
type Options struct {
	// Nodes bounds the search, the same on every machine; 0 means no bound.
	Nodes int64
	// Bare leaves out the words: Why and Clique stay empty.
	Bare bool
	// Progress, when given, hears of every better cycle and, now and then, of work done.
	Progress func(cycleUs, lowerBoundUs, nodes int64)
}

// Work set aside for what comes before the search, in nodes.
const (
	boundWork   = 4_000_000 // divided by the number of jobs, as each node then costs more
	redealWork  = 2_000
	firstDeals  = 60
	firstSearch = 500
	firstRound  = 300
	localRound  = 4_000 // from here on, local search goes before the exact ones
)

// solver carries one run over all parts of a problem.
type solver struct {
	m     *bound.Meter
	o     Options
	rest  int64
	parts []*part
}

// part is a set of jobs every one of which conflicts with every job of all other parts.
type part struct {
	jobs   []int // in the whole problem, or in the part this was cut from
	g      *bound.Graph
	levels []bound.Level
	share  int
	best   incumbent
	proven bool // best cannot be beaten
}

// Solve returns the shortest timetable found. The problem must be plain, and every turn of its low
// graph that of the high one: then the order of the groups does not matter.
func Solve(ctx context.Context, l *bound.Laid, o Options) instance.Timetable {
	m := bound.NewMeter(ctx, o.Nodes)
	s := newSolver(l.High, m, o)
	s.rest, _ = l.Alone()
	s.run(m)
	return s.timetable(l)
}

// Grouping is a way to share the blocks of a graph out to groups.
type Grouping struct {
	Groups  [][]int
	FloorUs int64 // no grouping costs less
	s       *solver
}

// Group looks for the grouping that costs least, with a share of the meter's nodes; a stop at that
// share still leaves a valid grouping.
func Group(g *bound.Graph, m *bound.Meter, nodes int64) Grouping {
	own := m.Apart(nodes)
	s := newSolver(g, own, Options{})
	s.run(own)
	m.Spend(own.Nodes)
	gr := Grouping{FloorUs: s.floor(), s: s}
	for _, pt := range s.parts {
		for _, one := range pt.best.groups {
			gr.Groups = append(gr.Groups, through(one, pt.jobs))
		}
	}
	return gr
}

// Reason says why no grouping costs less than the floor.
func (gr Grouping) Reason(tell bound.Teller, m *bound.Meter) (lines []string, clique []int) {
	var reasons []bound.Reason
	for _, pt := range gr.s.parts {
		reasons = append(reasons, pt.reason(tell, m))
	}
	return tell.Why(reasons)
}

func newSolver(g *bound.Graph, m *bound.Meter, o Options) *solver {
	s := &solver{m: m, o: o}
	for _, jobs := range g.Joins() {
		s.parts = append(s.parts, newPart(g, jobs, m))
	}
	if o.Progress != nil {
		m.Poll = func(int64) { s.tell() }
	}
	return s
}

func (s *solver) run(m *bound.Meter) {
	for _, pt := range s.parts {
		if s.cycle() <= s.rest {
			break // no grouping can be shorter than the rest
		}
		pt.best.better = s.tell
		pt.solve(m)
	}
}

func newPart(g *bound.Graph, jobs []int, m *bound.Meter) *part {
	pt := &part{jobs: jobs, g: g.Sub(jobs)}
	pt.best = *newIncumbent(pt.g)
	pt.levels, pt.share = pt.g.Levels(m, boundWork/int64(pt.g.N()))
	pt.best.floor = bound.Sum(pt.levels)
	pt.best.offer(firstFit(pt.g, pt.g.ByTurn()))
	return pt
}

// solve improves and proves one part. What is left after reducing may fall into parts again.
func (pt *part) solve(m *bound.Meter) {
	if pt.best.done() {
		pt.proven = true
		return
	}
	if pt.saturate(firstSearch, m) {
		return
	}
	pt.best.offer(redeal(pt.g, pt.best.groups, pt.best.floor, firstDeals, m))
	if pt.saturate(20*firstSearch, m) {
		return
	}
	r := reduce(pt.g, pt.levels, pt.share, m)
	switch {
	case pt.best.done():
		pt.proven = true
	case len(r.aside) > 0:
		pt.solveKept(r, m)
	default:
		pt.proven = pt.search(m)
	}
	if pt.proven {
		pt.best.floor = pt.best.cost
	}
}

func (pt *part) saturate(nodes int64, m *bound.Meter) bool {
	pt.proven = newSaturate(pt.g, pt.levels, &pt.best).prove(nodes, m)
	if pt.proven {
		pt.best.floor = pt.best.cost
	}
	return pt.proven
}

// solveKept solves what reduce has kept and puts the rest back, at no cost.
func (pt *part) solveKept(r reduced, m *bound.Meter) {
	kept := pt.g.Sub(r.kept)
	var groups [][]int
	var floor int64
	pt.proven = true
	for _, jobs := range kept.Joins() {
		sub := newPart(kept, jobs, m)
		sub.best.offer(pt.among(r, jobs))
		sub.solve(m)
		pt.proven = pt.proven && sub.proven
		floor += sub.best.floor
		for _, gr := range sub.best.groups {
			groups = append(groups, through(gr, jobs, r.kept))
		}
	}
	pt.best.floor = max(pt.best.floor, floor)
	pt.best.offer(r.restore(pt.g, groups))
	pt.proven = pt.proven || pt.best.done()
}

// among is the best grouping so far as far as it concerns some of the jobs kept.
func (pt *part) among(r reduced, jobs []int) [][]int {
	at := map[int]int{}
	for k, v := range through(jobs, r.kept) {
		at[v] = k
	}
	var groups [][]int
	for _, gr := range pt.best.groups {
		var some []int
		for _, v := range gr {
			if k, ok := at[v]; ok {
				some = append(some, k)
			}
		}
		if some != nil {
			groups = append(groups, some)
		}
	}
	return groups
}

// through maps a group by each list of numbers in turn.
func through(group []int, lists ...[]int) []int {
	out := slices.Clone(group)
	for _, l := range lists {
		for k, v := range out {
			out[k] = l[v]
		}
	}
	return out
}

// search lets the two exact searches take turns, each longer than the one before, and tells
// whether one of them came to its end.
func (pt *part) search(m *bound.Meter) bool {
	one := newSaturate(pt.g, pt.levels, &pt.best)
	whole := newPick(pt.g, pt.share, pt.levels, &pt.best)
	dealt := false
	for round := int64(firstRound); !m.Ended(); round *= 4 {
		if round >= localRound {
			if !dealt {
				pt.best.offer(redeal(pt.g, pt.best.groups, pt.best.floor, redealWork, m))
				dealt = true
			}
			squeezed(&pt.best, pt.levels, int(round/20), uint64(round), m)
		}
		if pt.best.done() || whole.deepen(m.Part(round)) || one.prove(round, m) {
			return true
		}
	}
	return false
}

func (s *solver) cycle() int64 {
	var sum int64
	for _, pt := range s.parts {
		sum += pt.best.cost
	}
	return max(sum, s.rest)
}

func (s *solver) floor() int64 { return max(s.sum(), s.rest) }

func (s *solver) tell() {
	if s.o.Progress != nil {
		s.o.Progress(s.cycle(), s.floor(), s.m.Nodes)
	}
}
