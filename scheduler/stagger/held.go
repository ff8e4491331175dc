package stagger

import (
	"cmp"
	"slices"
)

// held is a piece of a firing so many cycles on.
type held struct {
	piece
	cycle int64
}

// pieces counts what there is to look at.
func (m *model) pieces() (n int) {
	for _, h := range m.holders {
		n += len(h.pieces)
	}
	return n
}

// overfull gives pieces that are held at one moment and are too much together, or nil. None of them can be left
// out.
func (m *model) overfull(t least) []held {
	for _, h := range m.holders {
		if over := h.overfull(t); over != nil {
			return over
		}
	}
	return nil
}

func (h holder) overfull(t least) []held {
	type start struct {
		at int64
		k  int
	}
	var starts []start
	for k, pc := range h.pieces {
		starts = append(starts, start{mod(t.at[pc.block]+pc.from, t.period), k})
	}
	slices.SortStableFunc(starts, func(a, b start) int { return cmp.Compare(a.at, b.at) })
	for _, s := range starts {
		if now := h.heldAt(t, s.at); now != nil {
			return now
		}
	}
	return nil
}

// heldAt gives the fewest pieces held just after a moment that are too much, or nil.
func (h holder) heldAt(t least, at int64) []held {
	most := map[int]held{} // by job
	var jobs []int
	for _, pc := range h.pieces {
		// The last firing whose piece has begun.
		start := t.at[pc.block] + pc.from
		cycle := floorDiv(at-start, t.period)
		if start+cycle*t.period+(pc.until-pc.from) <= at {
			continue
		}
		was, ok := most[pc.job]
		if !ok {
			jobs = append(jobs, pc.job)
		}
		if !ok || pc.amount > was.amount {
			most[pc.job] = held{pc, cycle}
		}
	}
	slices.SortStableFunc(jobs, func(a, b int) int { return cmp.Compare(most[b].amount, most[a].amount) })
	var sum int64
	for k, j := range jobs {
		if sum += most[j].amount; sum > h.capacity {
			var now []held
			for _, j := range jobs[:k+1] {
				now = append(now, most[j])
			}
			return now
		}
	}
	return nil
}

func mod(a, b int64) int64 { return a - floorDiv(a, b)*b }
