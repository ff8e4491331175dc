package order

import (
	"math/bits"
	"slices"

	"echowright/scheduler/bound"
)

// shift betters a row of groups by small moves: a block goes into another group or into one of its own, two
// blocks change places, a group moves along the row. A move that makes the cycle longer is taken, too, as
// long as it costs less than a threshold that is drawn anew each time and falls to nothing (threshold accepting;
// Dueck, Scheuer, "Threshold accepting", J. Computational Physics 90, 1990, here with draws).
//
// Each group waits for the one before until all that the two have for one another is over, however much later
// sound might let it fire in between. So a row keeps all demands, and improve and search may yet find it a
// shorter cycle.
type shift struct {
	l    *bound.Laid
	n    int
	wait []int64 // [a·n+b]: from block a to block b of another group
	gap  []int64 // [g·n+h]: from group g to group h, or to itself a cycle later
	in   [][]int
	of   []int // group of each block, -1: none just now
	row  []int // groups in order
	idle []int // groups without blocks
	at   []int64
	lots *lots
	// Scratch: what a block asks of each group, and each group of it.
	out, back []int64
	// What undo needs: the row, and of up to two groups their blocks, gaps to and from others.
	oldRow  []int
	opened  int
	changed []int
	oldIn   [2][]int
	oldGaps [2][]int64
}

func newShift(l *bound.Laid, lots *lots) *shift {
	n := len(l.Blocks)
	s := &shift{l: l, n: n, wait: make([]int64, n*n), gap: make([]int64, n*n), in: make([][]int, n), out: make([]int64, n), back: make([]int64, n), of: make([]int, n), lots: lots}
	for a := range n {
		for b := range n {
			s.wait[a*n+b] = l.Base[a]
		}
		for _, h := range l.Heard[a] {
			w := &s.wait[a*n+h.To]
			*w = max(*w, h.Spans[len(h.Spans)-1].Before)
		}
	}
	return s
}

// load takes over a row of groups.
func (s *shift) load(groups [][]int) {
	s.row, s.idle = s.row[:0], s.idle[:0]
	for v := range s.of {
		s.of[v] = -1
	}
	clear(s.gap)
	for g := range s.n {
		s.in[g] = s.in[g][:0]
		if g < len(groups) {
			s.row = append(s.row, g)
		} else {
			s.idle = append(s.idle, g)
		}
	}
	for g, blocks := range groups {
		for _, v := range blocks {
			s.add(v, g)
		}
	}
}

func (s *shift) groups() [][]int {
	out := make([][]int, len(s.row))
	for k, g := range s.row {
		out[k] = slices.Clone(s.in[g])
		slices.Sort(out[k])
	}
	return out
}

// add puts block v, which is in no group, into group g.
func (s *shift) add(v, g int) {
	s.of[v] = g
	s.in[g] = append(s.in[g], v)
	s.widen(v, g)
}

func (s *shift) widen(v, g int) {
	n := s.n
	from, to := s.gap[g*n:g*n+n], s.wait[v*n:v*n+n]
	for u, h := range s.of {
		if h < 0 {
			continue
		}
		from[h] = max(from[h], to[u])
		back := &s.gap[h*n+g]
		*back = max(*back, s.wait[u*n+v])
	}
}

// drop takes block v out of its group. Only gaps that v made as long as they are can change.
func (s *shift) drop(v int) {
	g, n := s.of[v], s.n
	k := slices.Index(s.in[g], v)
	s.in[g] = slices.Delete(s.in[g], k, k+1)
	s.of[v] = -1
	for _, h := range s.row {
		s.out[h], s.back[h] = 0, 0
	}
	for u, h := range s.of {
		if h >= 0 {
			s.out[h] = max(s.out[h], s.wait[v*n+u])
			s.back[h] = max(s.back[h], s.wait[u*n+v])
		}
	}
	for _, h := range s.row {
		if h == g || s.out[h] == s.gap[g*n+h] {
			s.gap[g*n+h] = s.between(g, h)
		}
		if h != g && s.back[h] == s.gap[h*n+g] {
			s.gap[h*n+g] = s.between(h, g)
		}
	}
}

// between is the gap from group g to group h.
func (s *shift) between(g, h int) (us int64) {
	for _, u := range s.in[g] {
		wait := s.wait[u*s.n : u*s.n+s.n]
		for _, w := range s.in[h] {
			us = max(us, wait[w])
		}
	}
	return us
}

// period is a cycle that does for the row: every group fires as early as those before it let it.
func (s *shift) period() int64 {
	s.at = s.at[:0]
	for k, g := range s.row {
		var at int64
		for i, h := range s.row[:k] {
			at = max(at, s.at[i]+s.gap[h*s.n+g])
		}
		s.at = append(s.at, at)
	}
	var period int64
	for i, g := range s.row {
		for j, h := range s.row[:i+1] {
			period = max(period, s.at[i]+s.gap[g*s.n+h]-s.at[j])
		}
	}
	return period
}

// movesNode is how many moves are worth a node of the search.
const movesNode = 16

// run makes as many moves as so many nodes are worth, starting with the row that is loaded, the threshold falling from
// most to nothing, and hands every row that is better than all before to better.
func (s *shift) run(nodes, most int64, part *bound.Part, better func(timing)) {
	now := s.period()
	best := now
	moves := nodes * movesNode
	for left := moves; left > 0; left-- {
		if left%movesNode == 0 && (!part.Tick() || !part.Look()) {
			return
		}
		if !s.move() {
			continue
		}
		us := s.period()
		if us > now+s.lots.Int64N(fraction(fraction(most, left, moves), left, moves)+1) {
			s.undo()
			continue
		}
		if now = us; us < best {
			best = us
			better(timing{s.groups(), slices.Clone(s.at), us})
		}
	}
}

// fraction is us·left/moves, rounded down, left being at most moves, for products of any size.
func fraction(us, left, moves int64) int64 {
	hi, lo := bits.Mul64(uint64(us), uint64(left))
	q, _ := bits.Div64(hi, lo, uint64(moves))
	return int64(q)
}

// move draws a move and makes it, if it can be made.
func (s *shift) move() bool {
	s.oldRow = append(s.oldRow[:0], s.row...)
	s.changed = s.changed[:0]
	v := s.lots.IntN(s.n)
	switch from := s.of[v]; s.lots.IntN(8) {
	case 0:
		return s.slide()
	case 1:
		if len(s.in[from]) == 1 {
			return false
		}
		g := s.idle[len(s.idle)-1]
		s.idle = s.idle[:len(s.idle)-1]
		s.opened = g
		for _, h := range s.row {
			s.gap[g*s.n+h], s.gap[h*s.n+g] = 0, 0
		}
		s.gap[g*s.n+g] = 0
		s.keep(from)
		s.row = slices.Insert(s.row, s.lots.IntN(len(s.row)+1), g)
		s.drop(v)
		s.add(v, g)
	case 2:
		w := s.lots.IntN(s.n)
		to := s.of[w]
		if from == to || !s.takes(to, v, w) || !s.takes(from, w, v) {
			return false
		}
		s.keep(from)
		s.keep(to)
		s.drop(v)
		s.drop(w)
		s.add(v, to)
		s.add(w, from)
	default:
		to := s.row[s.lots.IntN(len(s.row))]
		if from == to || !s.takes(to, v, -1) {
			return false
		}
		s.keep(from)
		s.keep(to)
		s.drop(v)
		s.add(v, to)
		s.close(from)
	}
	return true
}

// slide moves a group to another place in the row.
func (s *shift) slide() bool {
	if len(s.row) < 3 {
		return false
	}
	k := s.lots.IntN(len(s.row))
	g := s.row[k]
	s.row = slices.Delete(s.row, k, k+1)
	s.row = slices.Insert(s.row, s.lots.IntN(len(s.row)+1), g)
	return true
}

// close takes a group out of the row when it is empty.
func (s *shift) close(g int) {
	if len(s.in[g]) == 0 {
		k := slices.Index(s.row, g)
		s.row = slices.Delete(s.row, k, k+1)
		s.idle = append(s.idle, g)
	}
}

// takes tells whether group g, without block w, takes v.
func (s *shift) takes(g, v, w int) bool {
	held := len(s.in[g])
	if w >= 0 {
		held--
	}
	if held >= s.l.Low.AtOnce {
		return false
	}
	for _, u := range s.in[g] {
		if u != w && s.l.Low.Adj[v].Has(u) {
			return false
		}
	}
	if len(s.l.Strict) == 0 && len(s.l.Blocks) == len(s.l.Of) {
		return true
	}
	group := slices.DeleteFunc(slices.Clone(s.in[g]), func(u int) bool { return u == w })
	return s.l.Fits(append(group, v))
}

// keep notes a group as it is, for undo.
func (s *shift) keep(g int) {
	k := len(s.changed)
	s.changed = append(s.changed, g)
	s.oldIn[k] = append(s.oldIn[k][:0], s.in[g]...)
	old := append(s.oldGaps[k][:0], s.gap[g*s.n+g])
	for _, h := range s.oldRow {
		old = append(old, s.gap[g*s.n+h], s.gap[h*s.n+g])
	}
	s.oldGaps[k] = old
}

func (s *shift) undo() {
	for k, g := range s.changed {
		old := s.oldGaps[k]
		s.gap[g*s.n+g] = old[0]
		for i, h := range s.oldRow {
			s.gap[g*s.n+h], s.gap[h*s.n+g] = old[2*i+1], old[2*i+2]
		}
		s.in[g] = append(s.in[g][:0], s.oldIn[k]...)
		for _, v := range s.in[g] {
			s.of[v] = g
		}
	}
	if len(s.row) != len(s.oldRow) {
		// The one group that was opened or closed.
		if len(s.row) > len(s.oldRow) {
			g := s.opened
			s.in[g] = s.in[g][:0]
			s.idle = append(s.idle, g)
		} else {
			s.idle = s.idle[:len(s.idle)-1]
		}
	}
	s.row = append(s.row[:0], s.oldRow...)
}
