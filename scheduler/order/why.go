package order

import (
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// Work set aside for the words, in nodes.
const (
	shrinkWork = 4_000 // for each block that might be left out
	shrinkMost = 40    // more blocks than this are not shrunk
	ringMost   = 6     // blocks whose orders round the cycle are counted out
)

// explain fills in why no cycle is shorter than the floor.
func (s *solver) explain(t *instance.Timetable) {
	tell := bound.Teller{L: s.l, Turns: s.l.LowTurns, G: s.l.Low}
	var lines []string
	alone, _ := s.l.Alone()
	switch {
	case s.floor == alone:
		lines = tell.Alone()
	case s.floor == s.low.FloorUs:
		var clique []int
		lines, clique = s.low.Reason(tell, s.m)
		t.Clique = s.l.Jobs(clique)
	case s.floor == s.tour:
		lines = s.tourLines(tell, t)
		if s.nearest(s.toured) >= s.floor {
			t.Clique = s.l.Jobs(s.toured)
		}
	default:
		lines = s.searched(tell, t)
	}
	t.Why = strings.Join(tell.Verdict(lines, t), "\n")
}

// searched looks for few blocks that need the floor by themselves, and says why in the plainest way.
func (s *solver) searched(tell bound.Teller, t *instance.Timetable) []string {
	few := s.shrink()
	if s.allTurn(few) {
		if lines, ok := s.rings(tell, few, t); ok {
			if s.nearest(few) >= s.floor {
				t.Clique = s.l.Jobs(few)
			}
			return lines
		}
	}
	var lines []string
	turns := s.turnsOf(few)
	if us := s.nearest(turns); len(turns) > 1 && us > s.low.FloorUs {
		lines = []string{fmt.Sprintf("These %d must all take turns (%s); from each to whichever of them comes next, until it is over and its sound can no longer be taken, it is at least %s.",
			len(turns), tell.Names(turns), s.gaps(turns))}
	} else {
		lines, _ = s.low.Reason(tell, s.m)
	}
	text := fmt.Sprintf("Beyond that by search: these %d alone need %s, all groupings and orders that would be shorter having been tried: %s.",
		len(few), bound.Time(s.floor), tell.Names(few))
	return append(lines, text)
}

// allTurn tells whether any two of the blocks must take turns, and they are few.
func (s *solver) allTurn(few []int) bool {
	for k, a := range few {
		for _, b := range few[:k] {
			if !s.l.Low.Adj[a].Has(b) {
				return false
			}
		}
	}
	return len(few) > 1 && len(few) <= ringMost && s.l.P.Order == nil
}

// rings adds up the gaps of every order in which the blocks may follow one another round the cycle.
func (s *solver) rings(tell bound.Teller, few []int, t *instance.Timetable) ([]string, bool) {
	best, count := int64(-1), 0
	var order []int
	orders(few[1:], func(rest []int) {
		ring := append([]int{few[0]}, rest...)
		count++
		if us := s.around(ring); best < 0 || us < best {
			best, order = us, ring
		}
	})
	if best < s.floor {
		return nil, false
	}
	if used := s.inTable(few, t); s.around(used) == best {
		order = used
	}
	var gaps []string
	for k, a := range order {
		gaps = append(gaps, bound.Time(s.l.Gap(a, order[(k+1)%len(order)])))
	}
	which := "in turn and round again:"
	if count > 1 {
		which = fmt.Sprintf("of the %d orders round the cycle none is shorter than", count)
	}
	lines := []string{fmt.Sprintf("These %d must all take turns, as no two of them may share a group; %s %s.",
		len(few), which, tell.Names(order))}
	return append(lines, fmt.Sprintf("From each to the next, until it is over and its sound can no longer be taken: %s = %s.",
		strings.Join(gaps, " + "), bound.Time(best))), true
}

// inTable puts blocks that take turns into the order of the timetable.
func (s *solver) inTable(blocks []int, t *instance.Timetable) (ring []int) {
	for _, jobs := range t.Groups {
		for _, b := range blocks {
			if slices.Contains(jobs, s.l.Blocks[b][0]) {
				ring = append(ring, b)
			}
		}
	}
	return ring
}

// tourLines says than which way round none is shorter, the timetable's own where it is such a one, and what it adds up to.
func (s *solver) tourLines(tell bound.Teller, t *instance.Timetable) []string {
	ring := s.toured
	if used := s.inTable(ring, t); s.around(used) == s.tour {
		ring = used
	}
	var gaps []string
	for k, a := range ring {
		gaps = append(gaps, bound.Time(s.l.Gap(a, ring[(k+1)%len(ring)])))
	}
	return []string{
		fmt.Sprintf("These %d must all take turns, as no two of them may share a group; of all orders round the cycle none is shorter than %s.", len(ring), tell.Names(ring)),
		fmt.Sprintf("From each to the next, until it is over and its sound can no longer be taken: %s = %s.", strings.Join(gaps, " + "), bound.Time(s.tour)),
	}
}

// turnsOf picks, by weight, blocks of which no two may share a group.
func (s *solver) turnsOf(few []int) (turns []int) {
	for _, v := range s.heavy {
		if slices.Contains(few, v) && !slices.ContainsFunc(turns, func(u int) bool { return !s.l.Low.Adj[v].Has(u) }) {
			turns = append(turns, v)
		}
	}
	return turns
}

// gaps spells what nearest adds up.
func (s *solver) gaps(turns []int) string {
	var parts []string
	for _, a := range turns {
		parts = append(parts, bound.Time(s.soonest(a, turns)))
	}
	return strings.Join(parts, " + ") + " = " + bound.Time(s.nearest(turns))
}

// nearest adds up the gaps from each to whichever comes soonest.
func (s *solver) nearest(few []int) (us int64) {
	for _, a := range few {
		us += s.soonest(a, few)
	}
	return us
}

func (s *solver) soonest(a int, few []int) int64 {
	least := never
	for _, b := range few {
		if a != b {
			least = min(least, s.l.Gap(a, b))
		}
	}
	return least
}

func (s *solver) around(ring []int) (us int64) {
	for k, a := range ring {
		us += s.l.Gap(a, ring[(k+1)%len(ring)])
	}
	return us
}

func orders(rest []int, each func([]int)) {
	var walk func(k int)
	walk = func(k int) {
		if k == len(rest) {
			each(slices.Clone(rest))
			return
		}
		for i := k; i < len(rest); i++ {
			rest[k], rest[i] = rest[i], rest[k]
			walk(k + 1)
			rest[k], rest[i] = rest[i], rest[k]
		}
	}
	rest = slices.Clone(rest)
	walk(0)
}

// shrink leaves blocks out, one by one, as long as a short search proves that those that remain need
// the floor.
func (s *solver) shrink() []int {
	few := make([]int, len(s.l.Blocks))
	for k := range few {
		few[k] = k
	}
	if s.needed != nil {
		few = slices.Clone(s.needed)
	}
	if len(few) > shrinkMost {
		return few
	}
	by := s.l.Low.ByTurn()
	slices.Reverse(by)
	for _, v := range by {
		if !slices.Contains(few, v) {
			continue
		}
		less := slices.DeleteFunc(slices.Clone(few), func(u int) bool { return u == v })
		if s.m.Ended() || len(less) == 0 {
			break
		}
		if s.needs(less) {
			few = less
		}
	}
	return few
}

// needs tells whether a short search proves that the blocks alone need the floor.
func (s *solver) needs(blocks []int) bool {
	l := bound.Lay(s.l.P.Only(s.l.Jobs(blocks)))
	m := s.m.Apart(shrinkWork)
	low, _ := l.Alone()
	levels, _ := l.Low.Levels(m, shrinkWork/4)
	if low >= s.floor || bound.Sum(levels) >= s.floor {
		return true
	}
	se := newSearch(l, newApart(l, max(low, 1), s.floor-1), newRing(l, takers(l, heaviest(l))), levels, m, m.Part(shrinkWork))
	return se.all() && !se.ok
}
