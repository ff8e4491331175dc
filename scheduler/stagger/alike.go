package stagger

import (
	"cmp"
	"slices"
)

// interchangeable finds sets of blocks of which any two may swap places in every timetable, ref left out: of all
// the orders of such a set, one is enough to look at.
func (m *model) interchangeable() (sets [][]int) {
	if len(m.blocks) > mostSearched {
		return nil
	}
	chained := map[int]bool{m.ref: true}
	for _, c := range m.chains {
		chained[c[0]], chained[c[1]] = true, true
	}
	held := make([][]piece, len(m.blocks))
	for k, h := range m.holders {
		for _, pc := range h.pieces {
			pc.job = k // whose it is does not matter, of what it is does
			held[pc.block] = append(held[pc.block], pc)
		}
	}
	for b := range held {
		for k := range held[b] {
			held[b][k].block = 0
		}
		slices.SortFunc(held[b], func(x, y piece) int {
			return cmp.Or(cmp.Compare(x.job, y.job), cmp.Compare(x.from, y.from), cmp.Compare(x.until, y.until), cmp.Compare(x.amount, y.amount))
		})
	}
	in := make([]bool, len(m.blocks))
	for a := range m.blocks {
		if in[a] || chained[a] || len(m.blocks[a]) > 1 {
			continue
		}
		set := []int{a}
		for b := a + 1; b < len(m.blocks); b++ {
			// Whom a may swap with, those may swap with each other.
			if !in[b] && !chained[b] && len(m.blocks[b]) == 1 && slices.Equal(held[a], held[b]) && m.swap(a, b) {
				set = append(set, b)
				in[b] = true
			}
		}
		if len(set) > 1 {
			sets = append(sets, set)
		}
	}
	return sets
}

// swap tells whether a and b demand the same of all others, of themselves and of each other.
func (m *model) swap(a, b int) bool {
	if m.alone[a] != m.alone[b] || !sameOwn(m.own[a], m.own[b]) || !slices.Equal(m.seen(a, b), m.seen(b, a)) {
		return false
	}
	for c := range m.blocks {
		if c != a && c != b && !slices.Equal(m.seen(a, c), m.seen(b, c)) {
			return false
		}
	}
	return true
}

func sameOwn(a, b []span) bool {
	order := func(x, y span) int { return cmp.Or(cmp.Compare(x.after, y.after), cmp.Compare(x.before, y.before)) }
	return slices.Equal(slices.SortedFunc(slices.Values(a), order), slices.SortedFunc(slices.Values(b), order))
}

// seen lists the distances from u to v that must not be.
func (m *model) seen(u, v int) []span {
	if u < v {
		if k := m.pair[u*m.n+v]; k >= 0 {
			return m.between[k].spans
		}
		return nil
	}
	k := m.pair[v*m.n+u]
	if k < 0 {
		return nil
	}
	var out []span
	for _, s := range slices.Backward(m.between[k].spans) {
		out = append(out, span{-s.before, -s.after})
	}
	return out
}
