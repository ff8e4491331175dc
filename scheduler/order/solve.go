package order

import (
	"cmp"
	"context"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	"echowright/scheduler/slots"
)

// Work set aside for what comes before the search, in nodes.
const (
	firstWork  = 2_000
	lowWork    = 120_000
	firstRound = 1_000
	firstShift = 2_000
	shiftLeast = 20 // blocks; fewer are soon solved
	// The parts of the cycle that the threshold of shift starts with, by turns: the best row is bettered, or left.
	shiftNear = 120
	shiftFar  = 40
	fewBlocks = 32 // with no more than these a proof comes into reach
	// mostBlocks bounds the memory: the matrices take some 100 bytes for each pair of blocks.
	mostBlocks = 1_000
)

// solver carries one run.
type solver struct {
	l     *bound.Laid
	o     slots.Options
	m     *bound.Meter
	best  timing
	floor int64
	low   slots.Grouping
	// levels bound the low turns of the longest group, the next, and so on.
	levels []bound.Level
	// needed are the blocks that by themselves need the floor, where a search for some of them raised it.
	needed []int
	ring   *ring
	tour   int64 // what going round the ring takes at the least; 0: not known
	toured []int // its blocks in that order
	heavy  []int // blocks by weight, the heaviest first
	lots   *lots
	moves  *shift
}

// Solve returns the shortest timetable found.
func Solve(ctx context.Context, l *bound.Laid, o slots.Options) instance.Timetable {
	s := &solver{l: l, o: o, m: bound.NewMeter(ctx, o.Nodes), lots: newLots()}
	if o.Progress != nil {
		s.m.Poll = func(int64) { s.tell() }
	}
	s.start(firstWork)
	s.shift(firstShift, shiftNear)
	s.improve(firstRound)
	s.lower(lowWork)
	s.run(0)
	return s.timetable()
}

// run improves and proves until that is done, or so many nodes are used (0: any number).
func (s *solver) run(nodes int64) {
	if len(s.l.Blocks) > mostBlocks {
		return
	}
	size := 8
	for round := int64(firstRound); !s.done() && !s.m.Ended() && (nodes == 0 || s.m.Nodes < nodes); round *= 2 {
		s.shift(round, shiftFar)
		s.shift(round, shiftNear)
		s.improve(round)
		if len(s.l.Blocks) <= fewBlocks || 50*(s.best.period-s.floor) < s.best.period {
			s.prove(2 * round)
		} else {
			s.prove(round / 4) // so far off, few does more
		}
		s.few(size, 2*round)
		size += 2
	}
}

func (s *solver) done() bool { return s.best.period <= s.floor }

func (s *solver) tell() {
	if s.o.Progress != nil {
		s.o.Progress(s.best.period, s.floor, s.m.Nodes)
	}
}

func (s *solver) offer(t timing) {
	if s.best.groups == nil || t.period < s.best.period {
		s.best = t
		s.tell()
	}
}

func (s *solver) raise(floor int64) {
	if floor > s.floor {
		s.floor = min(floor, s.best.period)
		s.tell()
	}
}

// start gives a first timetable, in which every group waits until nobody could be harmed, and a
// first floor.
func (s *solver) start(nodes int64) {
	s.offer(s.waiting(s.fill()))
	alone, _ := s.l.Alone()
	s.raise(alone)
	if s.l.Plain() {
		s.offer(s.waiting(slots.Group(s.l.High, s.m, s.m.Left(nodes)).Groups))
	}
	if len(s.l.Blocks) <= mostBlocks && s.m.Look() {
		s.heavy = heaviest(s.l)
		s.tours(nodes)
	}
	s.lower(nodes)
}

// tours looks for blocks that must all take turns and are long in going round, from each block on.
func (s *solver) tours(nodes int64) {
	s.ring = newRing(s.l, takers(s.l, s.heavy))
	part := s.m.Part(nodes)
	var tried [][]int
	for _, v := range s.heavy {
		blocks := takers(s.l, slices.Concat([]int{v}, s.heavy))
		set := slices.Sorted(slices.Values(blocks))
		if len(set) > tourMost || slices.ContainsFunc(tried, func(t []int) bool { return slices.Equal(t, set) }) {
			continue
		}
		tried = append(tried, set)
		r := newRing(s.l, blocks)
		if us, order := r.tour(part); us > s.tour {
			s.ring, s.tour, s.toured = r, us, order
		}
		if part.Ended() || !s.m.Look() {
			break
		}
	}
	s.raise(s.tour)
}

// lower groups the blocks without regard to order: what that takes at the least is a floor, and the
// groups, in whatever order, may make a shorter row.
func (s *solver) lower(nodes int64) {
	if s.done() {
		return
	}
	low := slots.Group(s.l.Low, s.m, s.m.Left(nodes))
	if s.low.Groups == nil || low.FloorUs >= s.low.FloorUs {
		s.low = low
	}
	s.raise(s.low.FloorUs)
	if len(s.l.Blocks) > mostBlocks {
		return
	}
	levels, _ := s.l.Low.Levels(s.m, nodes/int64(len(s.l.Blocks)))
	if bound.Sum(levels) > bound.Sum(s.levels) {
		s.levels = levels
	}
	if !s.done() && s.l.Plain() {
		if t, ok := timed(s.l, low.Groups, s.floor, s.best.period-1, s.m.Part(nodes)); ok {
			s.offer(t)
		}
	}
}

// fill deals the blocks out, the longest turn first, each into the first group that order and resources
// leave it.
func (s *solver) fill() [][]int {
	var groups [][]int
	placed := bound.NewSet(len(s.l.Blocks))
	left := s.l.High.ByTurn()
	for len(left) > 0 {
		k := slices.IndexFunc(left, func(v int) bool {
			return s.l.Before[v] == nil || s.l.Before[v].Inside(placed)
		})
		v := left[k]
		left = slices.Delete(left, k, k+1)
		placed.Add(v)
		from := 0
		for k, g := range groups {
			if s.l.Before[v] != nil && slices.ContainsFunc(g, s.l.Before[v].Has) {
				from = k + 1
			}
		}
		at := slices.IndexFunc(groups[from:], func(g []int) bool {
			return !slices.ContainsFunc(g, s.l.Low.Adj[v].Has) && s.l.Fits(append(slices.Clone(g), v))
		})
		if at < 0 {
			groups = append(groups, []int{v})
		} else {
			groups[from+at] = append(groups[from+at], v)
		}
	}
	return groups
}

// waiting times groups so that each waits for all sound to die.
func (s *solver) waiting(groups [][]int) timing {
	t := timing{groups: groups}
	for _, g := range groups {
		t.at = append(t.at, t.period)
		var us int64
		for _, v := range g {
			us = max(us, s.l.High.Us[v])
		}
		t.period += us
	}
	alone, _ := s.l.Alone()
	t.period = max(t.period, alone)
	return t
}

// prove tries to show that no cycle is shorter than the best, else that none is shorter than
// something between the floor and the best.
func (s *solver) prove(nodes int64) {
	for !s.done() && !s.m.Ended() {
		t, ended, ok := s.within(s.best.period-1, nodes)
		if ok {
			s.offer(t)
			continue
		}
		if ended {
			s.needed = nil
			s.raise(s.best.period)
			return
		}
		break
	}
	for share, fails := int64(2), 0; !s.done() && !s.m.Ended() && fails < 3; {
		goal := s.floor + (s.best.period-s.floor)/share
		if goal >= s.best.period-1 {
			return
		}
		t, ended, ok := s.within(goal, nodes/2)
		switch {
		case ok:
			s.offer(t)
		case ended:
			s.needed = nil
			s.raise(goal + 1)
		default:
			fails++
			share *= 2
		}
	}
}

// within searches for a row with a period from the floor to most; ended without one, there is none.
func (s *solver) within(most, nodes int64) (t timing, ended, ok bool) {
	se := newSearch(s.l, newApart(s.l, s.floor, most), s.ring, s.levels, s.m, s.m.Part(nodes))
	ended = se.all()
	return se.found, ended, se.ok
}

// timetable puts the best row into the form of the answer.
func (s *solver) timetable() instance.Timetable {
	t := instance.Timetable{CycleUs: s.best.period, LowerBoundUs: s.floor, Ordered: true}
	for k, g := range s.best.groups {
		jobs := s.l.Jobs(g)
		t.Groups = append(t.Groups, jobs)
		for _, j := range jobs {
			t.Firings = append(t.Firings, instance.Firing{Job: j, AtUs: s.best.at[k]})
		}
	}
	slices.SortStableFunc(t.Firings, func(a, b instance.Firing) int { return cmp.Compare(a.AtUs, b.AtUs) })
	t.Proven = t.LowerBoundUs == t.CycleUs
	if !s.o.Bare {
		s.explain(&t)
	}
	t.Nodes = s.m.Nodes
	return t
}
