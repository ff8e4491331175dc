package refresh

import (
	"context"
	"slices"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
	"echowright/scheduler/slots"
	"echowright/scheduler/stagger"
)

const (
	firstRound  = 200 // dead ends
	walkRound   = 3
	openMost    = 12 // ranges searched by turns
	unfoundMost = 48 // the same while nothing is found: some more each time
	openEach    = 2
	narrow      = 24  // a range is so many times narrower than its cycles are long: wider ones rule out less at each step
	spansMost   = 400 // ranges opened in all while nothing is found
	copiesMost  = 160 // firings of a cycle that are searched
	jobsMost    = 160 // of more, nothing is found
)

// NotFound is a problem for which no timetable was found, and that none exists was not proven.
type NotFound struct {
	// AtLeastUs is what no cycle that keeps the limits is shorter than.
	AtLeastUs int64
	Nodes     int64
}

func (e *NotFound) Error() string {
	return "no timetable found: the search ended before one that keeps the refresh limits, and did not prove that there is none; no cycle below " +
		bound.Time(e.AtLeastUs) + " does"
}

type solver struct {
	l     *laid
	o     slots.Options
	wish  Wish
	meter *bound.Meter
	sets  []set
	floor int64
	open  []*span // ascending, apart
	next  int64   // cycles from here on have not been opened; 0: none is left
	past  int64   // where next ended
	spans int
	// hole is where a range was given up: what lies from there on is not proven; 0: none was.
	hole     int64
	cycle    int64 // of the best timetable; 0: none
	firings  []instance.Firing
	searched bool // the floor is higher than the sets say
}

// Wish is which cycles are looked for.
type Wish struct {
	Once   instance.Timetable // the shortest found in which each job fires once, with what none is shorter than
	MostUs int64              // none longer is wanted; 0: any
	Any    bool               // the first found will do
}

// Cannot looks for proof that limits cannot be kept in any cycle; nil: none was found.
func Cannot(ctx context.Context, p instance.Problem, o slots.Options) (nodes int64, cannot error) {
	if len(p.Jobs) > jobsMost {
		return 0, nil
	}
	s := &solver{l: lay(p), o: o, meter: bound.NewMeter(ctx, o.Nodes)}
	s.sets = s.l.sets(s.meter)
	if err := s.l.cannot(s.sets); err != nil {
		return s.meter.Nodes, err
	}
	err := s.exhaust(false, walkWork)
	return s.meter.Nodes, err
}

// Solve returns the shortest timetable found that keeps the limits, or any. Limits that cannot be kept are an
// *instance.Cannot; where neither a timetable nor that was found, the error is a *NotFound.
func Solve(ctx context.Context, p instance.Problem, wish Wish, o slots.Options) (instance.Timetable, error) {
	if len(p.Jobs) > jobsMost {
		return instance.Timetable{}, &NotFound{wish.Once.LowerBoundUs, 0}
	}
	s := &solver{l: lay(p), o: o, meter: bound.NewMeter(ctx, o.Nodes), floor: max(1, wish.Once.LowerBoundUs), wish: wish}
	s.sets = s.l.sets(s.meter)
	if err := s.l.cannot(s.sets); err != nil {
		return instance.Timetable{}, err
	}
	s.advance(s.floor)
	s.floor = max(s.floor, s.next)
	for round, k := int64(firstRound), 0; s.meter.Look() && !s.done(); round, k = round+round/2, k+1 {
		s.widen()
		if len(s.open) == 0 {
			break
		}
		s.turn(round)
		s.tell()
		if err := s.unfound(k); err != nil {
			return instance.Timetable{}, err
		}
	}
	if s.cycle == 0 {
		if s.beyond() && s.hole == 0 && len(s.open) == 0 {
			return instance.Timetable{}, cannotf(s.l.tightest(), "%s", s.l.beyondWords(wish.MostUs))
		}
		if s.l.chained(s.past) && s.hole == 0 && s.next == 0 && len(s.open) == 0 {
			return instance.Timetable{}, s.l.chainWords()
		}
		return instance.Timetable{}, &NotFound{s.floor, s.meter.Nodes}
	}
	return s.timetable(), nil
}

// unfound looks, while nothing is found, for proof that nothing can be, and for something by other means than search: quickly after the
// first round, at length after some.
func (s *solver) unfound(round int) error {
	switch {
	case s.cycle > 0:
		return nil
	case round == 0:
		if err := s.exhaust(true, walkFirst); err != nil {
			return err
		}
		if s.cycle == 0 {
			s.draft()
		}
	case round == walkRound:
		return s.exhaust(true, walkWork)
	}
	return nil
}

// draft takes the draft that comes nearest to the limits, if it keeps them.
func (s *solver) draft() {
	if s.wish.Once.CycleUs == 0 {
		return
	}
	if d, sc := s.insert(); sc.worst <= 1 && (s.wish.MostUs == 0 || d.cycleUs <= s.wish.MostUs) {
		s.cycle, s.firings = d.cycleUs, s.l.firings(d)
	}
}

// Near returns the timetable that comes nearest to the limits of those that are found without a search, by putting more firings
// into that of once each.
func Near(ctx context.Context, p instance.Problem, wish Wish, o slots.Options) instance.Timetable {
	if len(p.Jobs) > jobsMost {
		return wish.Once
	}
	s := &solver{l: lay(p), o: o, wish: wish, meter: bound.NewMeter(ctx, o.Nodes)}
	d, _ := s.insert()
	s.cycle, s.firings, s.floor, s.o.Bare = d.cycleUs, s.l.firings(d), wish.Once.LowerBoundUs, true
	return s.timetable()
}

func (s *solver) done() bool { return s.cycle > 0 && (s.wish.Any || s.floor >= s.cycle) }

// beyond tells that the next cycle is longer than wanted.
func (s *solver) beyond() bool { return s.wish.MostUs > 0 && (s.next == 0 || s.next > s.wish.MostUs) }

func (s *solver) tell() {
	if s.o.Progress != nil && s.cycle > 0 {
		s.o.Progress(s.cycle, s.floor, s.meter.Nodes)
	}
}

// advance moves on to the next cycle from us on that the sets allow. Where none was found, chains or what is wanted may end
// it there; else all from there on is a hole.
func (s *solver) advance(us int64) {
	var ok bool
	if s.next, ok = s.l.next(s.sets, us); ok {
		return
	}
	s.past, s.next = s.next, 0
	if !s.l.chained(s.past) && (s.wish.MostUs == 0 || s.past <= s.wish.MostUs) {
		s.giveUp(s.past)
	}
}

// giveUp notes that what lies from us on is not proven.
func (s *solver) giveUp(us int64) {
	if s.hole == 0 || us < s.hole {
		s.hole = us
	}
}

// widen opens ranges: those below the best, or some more while there is none.
func (s *solver) widen() {
	most := openMost
	if s.cycle == 0 {
		most = min(unfoundMost, len(s.open)+openEach)
	}
	for s.next > 0 && len(s.open) < most && (s.cycle == 0 || s.cycle > s.next) {
		if s.beyond() || s.cycle == 0 && s.spans >= spansMost {
			return
		}
		s.spans++
		lo := s.next
		hi := min(s.l.until(lo), lo+max(lo/narrow, 1))
		if s.cycle > 0 {
			hi = min(hi, s.cycle-1)
		}
		if s.wish.MostUs > 0 {
			hi = min(hi, s.wish.MostUs)
		}
		s.push(s.span(lo, hi, true))
		s.advance(hi + 1)
	}
}

// span lays out the search of a range.
func (s *solver) span(lo, hi int64, fewest bool) *span {
	all := s.l.counts(s.sets, lo, hi)
	c := all
	if fewest {
		c = all.fixed()
	}
	if c.sum() > copiesMost {
		return &span{lo: lo, hi: hi, fewest: true, dead: true}
	}
	sp := s.search(lo, hi, c)
	sp.fewest = c.sum() < all.sum()
	sp.dead = sp.r == nil
	return sp
}

func (s *solver) push(sp *span) {
	k, _ := slices.BinarySearchFunc(s.open, sp.lo, func(o *span, lo int64) int { return int(min(1, max(-1, o.lo-lo))) })
	s.open = slices.Insert(s.open, k, sp)
}

// turn lets every open range search for so many dead ends.
func (s *solver) turn(round int64) {
	for k := 0; k < len(s.open) && s.meter.Look() && !s.done(); k++ {
		sp := s.open[k]
		if s.cycle > 0 && sp.lo >= s.cycle {
			break
		}
		if sp.dead {
			if sp.fewest && sp.r != nil {
				s.open[k] = s.span(sp.lo, sp.hi, false)
				k--
			}
			continue
		}
		s.try(sp, round)
	}
	s.settle()
}

// try searches a range, and below what it finds.
func (s *solver) try(sp *span, round int64) {
	if s.cycle > 0 && sp.hi >= s.cycle {
		sp.hi = s.cycle - 1
		sp.r.Below(s.cycle)
	}
	for {
		switch sp.r.Search(round) {
		case stagger.Found:
			us, at := sp.r.At()
			s.cycle, s.firings = us, sp.w.firings(at)
			if s.tell(); s.wish.Any {
				return
			}
			if sp.hi = us - 1; sp.hi < sp.lo {
				sp.dead, sp.fewest = true, false
				return
			}
			sp.r.Below(us)
		case stagger.Nothing:
			sp.dead = true
			return
		default:
			sp.dead = sp.r.Full()
			return
		}
	}
}

// settle drops the ranges that hold nothing and lifts the floor to the first that may.
func (s *solver) settle() {
	s.open = slices.DeleteFunc(s.open, func(sp *span) bool {
		switch {
		case s.cycle > 0 && sp.lo >= s.cycle:
			return true
		case sp.dead && sp.fewest && sp.r != nil && !sp.r.Full():
			return false // to be searched with more firings
		case sp.dead && (sp.r == nil || sp.r.Full()):
			s.giveUp(sp.lo)
			return true
		case sp.dead:
			s.searched = true
			return true
		}
		return false
	})
	floor := s.next
	if len(s.open) > 0 {
		floor = s.open[0].lo
	}
	if s.hole > 0 && (floor == 0 || s.hole < floor) {
		floor = s.hole
	}
	if s.cycle > 0 && (floor == 0 || floor > s.cycle) {
		floor = s.cycle
	}
	s.floor = max(s.floor, floor)
}
