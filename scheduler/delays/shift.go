package delays

import (
	"slices"

	"echowright/scheduler/instance"
)

// Shift makes a timetable with alternating delays out of a staggered one without any, where that can be: classes get their delays in the
// order in which they first fire in the cycle, the least first, and firings move apart as little as that takes, each pair in the order in
// which it was. of are the classes so numbered. ok is false where no such table was found that stands up to Hold.
//
// Which of two firings comes first is taken from the table without delays, for each arc and for each pair that is never occupied at once;
// what is left are differences of starts that must not be less than something, solved by the longest path for a cycle given, and the
// cycle is found by halving.
func Shift(p instance.Problem, t instance.Timetable, c Classes, delaysUs []int64) (table instance.Timetable, of []int, ok bool) {
	if len(t.Firings) != len(p.Jobs) || len(p.Order) > 0 {
		return table, nil, false
	}
	s := shifter{p: p, t: t, at: make([]int64, len(p.Jobs)), late: make([]int64, len(p.Jobs))}
	number, next := map[int]int{}, 0
	of = make([]int, len(p.Jobs))
	for _, f := range t.Firings {
		k, known := number[c.Of[f.Job]]
		if !known {
			k, next = next, next+1
			number[c.Of[f.Job]] = k
		}
		of[f.Job], s.at[f.Job], s.late[f.Job] = k, f.AtUs, delaysUs[k]
	}
	s.ask()
	lo, hi := t.CycleUs-1, t.CycleUs+4*delaysUs[len(delaysUs)-1]
	starts := s.starts(hi)
	if starts == nil {
		return table, nil, false
	}
	for hi-lo > 1 {
		middle := lo + (hi-lo)/2
		if found := s.starts(middle); found != nil {
			hi, starts = middle, found
		} else {
			lo = middle
		}
	}
	table = instance.Timetable{CycleUs: hi}
	var tables [][]int64
	for j, at := range starts {
		table.Firings = append(table.Firings, instance.Firing{Job: j, AtUs: at})
		tables = append(tables, []int64{0, s.late[j]})
	}
	slices.SortFunc(table.Firings, func(a, b instance.Firing) int {
		return slices.Compare([]int64{a.AtUs, int64(a.Job)}, []int64{b.AtUs, int64(b.Job)})
	})
	return table, of, Hold(p, table, tables) == nil
}

// shifter holds what is asked of the starts: that of To is no sooner than that of From and Us, less so many cycles.
type shifter struct {
	p        instance.Problem
	t        instance.Timetable
	at, late []int64
	asks     []apartness
	least    int64 // no cycle is shorter
}

type apartness struct {
	from, to   int
	us, cycles int64
}

// ask reads from the table what is to be kept.
func (s *shifter) ask() {
	pause := s.p.GuardUs + 2*s.p.JitterUs
	occupied := s.p.OccupiedUs()
	for j, job := range s.p.Jobs {
		s.least = max(s.least, occupied[j]+pause+s.late[j], job.BusyUs+job.RestUs+2*s.p.JitterUs+s.late[j])
	}
	for _, set := range s.p.Together {
		for _, j := range set[1:] {
			s.asks = append(s.asks, apartness{set[0], j, 0, 0}, apartness{j, set[0], 0, 0})
		}
	}
	for _, a := range s.p.Arcs {
		to := s.p.Jobs[a.To]
		s.keep(a.From, a.To, a.FromUs-2*s.p.JitterUs-to.CloseUs, a.UntilUs+2*s.p.JitterUs-to.OpenUs)
	}
	for i := range s.p.Jobs {
		for j := range i {
			s.keep(i, j, -occupied[j]-pause, occupied[i]+pause)
		}
	}
}

// keep asks that the time from a firing of i to any firing of j stays out of the open span from after to before, on the side on which it
// is in the table without delays. Where some such time lies in the span already, nothing is asked.
func (s *shifter) keep(i, j int, after, before int64) {
	lag := s.at[j] - s.at[i]
	cycles := ceilDiv(before-lag, s.t.CycleUs) // from so many on it is no less than before
	if lag+(cycles-1)*s.t.CycleUs > after && (i != j || cycles != 1) {
		return
	}
	// Between a firing of i and one of j so many cycles later lies, beside their starts, what the one is late more than the other.
	extra := func(cycles, i, j int64) int64 {
		if cycles%2 != 0 {
			return i
		}
		return max(0, i-j)
	}
	if i == j {
		if cycles >= 1 {
			s.least = max(s.least, ceilDiv(before+extra(cycles, s.late[i], s.late[i]), cycles))
		}
		return
	}
	s.asks = append(s.asks,
		apartness{i, j, before + extra(cycles, s.late[i], s.late[j]), cycles},
		apartness{j, i, -after + extra(cycles-1, s.late[j], s.late[i]), 1 - cycles})
}

func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// starts are the soonest for a cycle; nil where there are none within it.
func (s *shifter) starts(cycleUs int64) []int64 {
	if cycleUs < s.least {
		return nil
	}
	at := make([]int64, len(s.p.Jobs))
	for range len(at) + 1 {
		moved := false
		for _, a := range s.asks {
			if us := at[a.from] + a.us - a.cycles*cycleUs; us > at[a.to] {
				if us >= cycleUs {
					return nil
				}
				at[a.to], moved = us, true
			}
		}
		if !moved {
			return at
		}
	}
	return nil
}
