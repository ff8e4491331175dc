package stagger

import (
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// explain says what makes the bound.
func (s *solver) explain(t *instance.Timetable) {
	lines, us, blocks := s.pencil()
	if s.searched {
		lines = append(lines, fmt.Sprintf("Beyond that by search: for each of the %d pairs that may not meet, every way round of who comes first was tried or ruled out (dead ends: %d), and none leaves a cycle below %s.",
			len(s.m.between), s.deadEnds, bound.Time(t.LowerBoundUs)))
	} else if us >= t.LowerBoundUs && s.pencilled(blocks) >= t.LowerBoundUs {
		for _, b := range blocks {
			t.Clique = append(t.Clique, s.m.blocks[b][0])
		}
	}
	switch {
	case t.Proven:
		lines = append(lines, fmt.Sprintf("The cycle of %s is as short as that, so none is shorter.", bound.Time(t.CycleUs)))
	default:
		lines = append(lines, fmt.Sprintf("The search ended early: the cycle of %s may be up to %s longer than the shortest.",
			bound.Time(t.CycleUs), bound.Time(t.CycleUs-t.LowerBoundUs)))
	}
	t.Why = strings.Join(lines, "\n")
}

// pencil gives the best bound that needs no search: in words, and the blocks that make it.
func (s *solver) pencil() (lines []string, us int64, blocks []int) {
	m := s.m
	for b, alone := range m.alone {
		if alone > us {
			us, blocks = alone, []int{b}
			lines = []string{s.aloneWords(b)}
		}
	}
	for _, bt := range m.between {
		for _, sp := range bt.spans {
			if need := sp.before - sp.after; need > us {
				us, blocks = need, []int{bt.u, bt.v}
				lines = []string{fmt.Sprintf("%s may not fire from %s to %s after %s, and firings of either are a cycle apart: no cycle is shorter than %s.",
					m.name(bt.v), signed(sp.after), signed(sp.before), m.name(bt.u), bound.Time(need))}
			}
		}
	}
	if s.round.us > us {
		us, blocks = s.round.us, s.round.blocks
		lines = s.roundWords()
	}
	if s.share.us > us {
		us, blocks = s.share.us, nil
		lines = s.share.words(m)
	}
	if next := m.next(us); next > us {
		us, blocks = next, nil
		lines = append(lines, fmt.Sprintf("In every cycle from there up to %s, what a job sends meets a later window of its own.", bound.Time(next)))
	}
	return lines, us, blocks
}

func (s *solver) aloneWords(b int) string {
	m := s.m
	for _, j := range m.blocks[b] {
		if job := m.p.Jobs[j]; m.holds(j) < m.alone[b] && job.BusyUs+job.RestUs+2*m.p.JitterUs == m.alone[b] {
			return fmt.Sprintf("%s is busy for %s and must then rest for %s%s, so no cycle is shorter than %s.",
				m.p.JobName(j), bound.Time(job.BusyUs), bound.Time(job.RestUs), m.jitterWords(), bound.Time(m.alone[b]))
		}
	}
	k := slices.IndexFunc(m.blocks[b], func(j int) bool { return m.holds(j) == m.alone[b] })
	j := m.blocks[b][k]
	guard := ""
	if m.p.GuardUs > 0 {
		guard = fmt.Sprintf(", with %s of guard", bound.Time(m.p.GuardUs))
	}
	return fmt.Sprintf("%s is occupied for %s%s%s, so no cycle is shorter than %s.",
		m.p.JobName(j), bound.Time(m.occupied[j]), guard, m.jitterWords(), bound.Time(m.alone[b]))
}

func (m *model) jitterWords() string {
	if m.p.JitterUs == 0 {
		return ""
	}
	return fmt.Sprintf(" and twice %s of jitter", bound.Time(m.p.JitterUs))
}

// roundWords names the round; where its shortest order is known, step by step.
func (s *solver) roundWords() []string {
	const most = 16 // steps spelt out
	r := s.round
	var names []string
	for _, b := range r.blocks {
		names = append(names, s.m.name(b))
	}
	step := "A step is how long the one keeps the next from firing, by its window or line, by guard and jitter, or by sound that one of them still hears."
	if !r.whole || len(r.blocks) > most {
		return []string{fmt.Sprintf("These %d take turns (%s): in whatever order, the steps from each to the next add up to %s or more.",
			len(names), strings.Join(names, ", "), bound.Time(r.us)), step}
	}
	var way []string
	for k, b := range r.blocks {
		next := r.blocks[(k+1)%len(r.blocks)]
		way = append(way, fmt.Sprintf("%s, %s", names[k], bound.Time(s.far[b*len(s.m.blocks)+next])))
	}
	return []string{fmt.Sprintf("These %d take turns, and of all orders this is the shortest (each with its step to the next): %s; then %s again. Sum: %s.",
		len(names), strings.Join(way, "; "), names[0], bound.Time(r.us)), step}
}

// pencilled is what the checker can be sure of, knowing only who takes turns: the shortest order of a few, and
// else the shortest steps.
func (s *solver) pencilled(blocks []int) int64 {
	const few, many = 16, 64
	switch {
	case len(blocks) == 0 || len(blocks) > many:
		return 0
	case len(blocks) == 1:
		return s.m.alone[blocks[0]]
	case len(blocks) == 2:
		return s.m.soonest(blocks[0], blocks[1]) + s.m.soonest(blocks[1], blocks[0])
	case len(blocks) <= few:
		return s.round.us
	}
	var sum int64
	for _, u := range blocks {
		least := int64(1) << 62
		for _, v := range blocks {
			if u != v {
				least = min(least, s.m.soonest(u, v))
			}
		}
		sum += least
	}
	return sum
}

// name is the block's only job, or all of them joined.
func (m *model) name(b int) string {
	var s []string
	for _, j := range m.blocks[b] {
		s = append(s, m.p.JobName(j))
	}
	return strings.Join(s, "+")
}

// signed spells a time that may be before.
func signed(us int64) string {
	if us < 0 {
		return "-" + bound.Time(-us)
	}
	return bound.Time(us)
}
