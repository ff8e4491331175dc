package stagger

import (
	"cmp"
	"context"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	"echowright/scheduler/slots"
)

const (
	firstRound = 500 // conflicts
	lastShare  = 64
	leastShare = 1 << 40 // where the range of cycles is still too wide then, it is not searched
	// Larger problems are answered with slots, pressed together where that can be done soon.
	mostSearched = 300
	mostLaid     = 1_000
	mostPieces   = 4_000
)

type solver struct {
	m     *model
	o     slots.Options
	meter *bound.Meter
	best  least
	floor int64
	round round
	share share
	far   []int64
	near  *near
	// searched tells that the floor is higher than a pencil gets.
	searched bool
	deadEnds int64
}

// Solve returns the shortest staggered timetable found, no longer than the first one given, which is one of
// slots for the same problem.
func Solve(ctx context.Context, p instance.Problem, first instance.Timetable, o slots.Options) instance.Timetable {
	meter := bound.NewMeter(ctx, o.Nodes)
	if len(p.Jobs) > mostLaid {
		return asSlots(p, first, o)
	}
	s := &solver{m: lay(p, Extra{}), o: o, meter: meter}
	if o.Progress != nil {
		meter.Poll = func(int64) { s.tell() }
	}
	s.floor = s.m.least()
	s.offer(s.m.read(first))
	if s.m.pieces() <= mostPieces {
		s.offer(s.m.squeeze(s.best, s.floor, meter))
	}
	if !s.done() && meter.Look() {
		s.far = s.m.far()
		s.round = s.m.rounds(s.far, meter)
		s.lift(s.round.us)
		if !s.done() {
			s.share = s.m.shares(s.far, meter)
			s.lift(s.share.us)
		}
	}
	if s.m.n <= mostSearched && s.m.pieces() <= mostPieces {
		s.run()
	}
	return s.timetable()
}

// asSlots is the answer where there are too many jobs to look at each pair.
func asSlots(p instance.Problem, first instance.Timetable, o slots.Options) instance.Timetable {
	t := instance.Timetable{CycleUs: first.CycleUs, Firings: first.Firings, Nodes: first.Nodes}
	for j, us := range p.OccupiedUs() {
		t.LowerBoundUs = max(t.LowerBoundUs, us+p.GuardUs+2*p.JitterUs, p.Jobs[j].BusyUs+p.Jobs[j].RestUs+2*p.JitterUs)
	}
	t.Proven = t.LowerBoundUs == t.CycleUs
	if !o.Bare {
		t.Why = "The job that is occupied or rests for longest needs " + bound.Time(t.LowerBoundUs) +
			".\nThere are too many jobs to look at every pair: the cycle is that of groups, one after the other."
	}
	return t
}

func (s *solver) tell() {
	if s.o.Progress != nil {
		s.o.Progress(s.best.period, s.floor, s.meter.Nodes)
	}
}

func (s *solver) offer(t least) {
	if s.best.at == nil || t.at != nil && t.period < s.best.period {
		s.best = t
		s.tell()
	}
}

func (s *solver) lift(floor int64) {
	if floor > s.floor {
		s.floor = min(s.m.next(floor), s.best.period)
		s.tell()
	}
}

func (s *solver) done() bool { return s.floor >= s.best.period }

// run betters the best timetable and lifts the floor by turns.
func (s *solver) run() {
	var upper, lower *engine
	share := int64(2)
	for round := int64(firstRound); !s.done() && s.meter.Look(); round += round / 2 {
		if upper == nil {
			upper = s.engine(s.best.period - 1)
		}
		if upper != nil {
			s.better(upper, round)
			s.closer(upper, round)
			if upper.full {
				return
			}
		}
		if s.done() || !s.meter.Look() {
			return
		}
		goal := s.floor + (s.best.period-1-s.floor)/share
		switch {
		case lower != nil:
			lower.narrow(s.floor, goal)
		case upper != nil:
			lower = upper.apart(goal)
		default:
			lower = s.engine(goal)
		}
		if lower == nil {
			if share *= 2; share > leastShare {
				return
			}
			continue
		}
		switch s.search(lower, round) {
		case found:
			s.offer(lower.found)
			lower, share = nil, 2
		case nothing:
			s.lift(lower.most + 1)
			s.searched = true
			lower, share = nil, max(share/2, 2)
		case stopped:
			share = min(2*share, lastShare)
		}
		if upper != nil {
			upper.narrow(s.floor, s.best.period-1)
			upper.follow(s.best)
		}
	}
}

// engine looks from the floor to most; nil: too much to decide.
func (s *solver) engine(most int64) *engine {
	e := newEngine(s.m, s.floor, most, s.meter)
	if e != nil {
		e.turns = newTurns(s.m, s.round.blocks, s.far)
		e.follow(s.best)
	}
	return e
}

func (s *solver) search(e *engine, conflicts int64) outcome {
	before := e.conflicts
	defer func() { s.deadEnds += e.conflicts - before }()
	return e.search(conflicts)
}

// better looks for shorter cycles for so many conflicts.
func (s *solver) better(e *engine, conflicts int64) {
	for {
		switch s.search(e, conflicts) {
		case found:
			s.offer(e.found)
			e.narrow(s.floor, s.best.period-1)
			e.follow(s.best)
		case nothing:
			s.lift(s.best.period)
			s.searched = true
			return
		case stopped:
			return
		}
	}
}

// read takes the times of a timetable.
func (m *model) read(t instance.Timetable) least {
	l := least{at: make([]int64, m.n), period: t.CycleUs}
	for _, f := range t.Firings {
		l.at[m.of[f.Job]] = f.AtUs
	}
	if ref := l.at[m.ref]; len(m.chains) == 0 {
		for b := range l.at {
			l.at[b] = mod(l.at[b]-ref, t.CycleUs)
		}
	}
	for _, set := range m.alike {
		var at []int64
		for _, b := range set {
			at = append(at, l.at[b])
		}
		slices.Sort(at)
		for k, b := range set {
			l.at[b] = at[k]
		}
	}
	return l
}

// squeeze shortens a timetable as far as it will go while all that meets in it comes in the same order.
func (m *model) squeeze(t least, floor int64, meter *bound.Meter) least {
	edges := m.frame()
	for _, b := range m.between {
		for _, s := range b.spans {
			first, last := copies(s, floor, t.period)
			if last-first > mostVars || len(edges)+int(last-first) > 2*mostVars {
				return t
			}
			for k := first; k <= last; k++ {
				if t.at[b.v]-t.at[b.u] >= s.before+k*t.period {
					edges = append(edges, edge{int32(b.u), int32(b.v), s.before, k})
				} else {
					edges = append(edges, edge{int32(b.v), int32(b.u), -s.after, -k})
				}
			}
		}
	}
	if short := m.shortest(edges, floor, t.period, meter); short.at != nil && m.overfull(short) == nil {
		return short
	}
	return t
}

func (s *solver) timetable() instance.Timetable {
	t := instance.Timetable{CycleUs: s.best.period, LowerBoundUs: min(s.floor, s.best.period), Nodes: s.meter.Nodes}
	for j, b := range s.m.of {
		t.Firings = append(t.Firings, instance.Firing{Job: j, AtUs: s.best.at[b]})
	}
	slices.SortFunc(t.Firings, func(a, b instance.Firing) int {
		return cmp.Or(cmp.Compare(a.AtUs, b.AtUs), cmp.Compare(a.Job, b.Job))
	})
	t.Proven = t.LowerBoundUs == t.CycleUs
	if !s.o.Bare {
		s.explain(&t)
	}
	return t
}
