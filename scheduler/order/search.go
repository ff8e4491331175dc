package order

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
)

// search places blocks into rows of groups that leave a period between p.lo and p.hi.
type search struct {
	l      *bound.Laid
	p      *apart
	ln     *line
	m      *bound.Meter
	part   *bound.Part
	ring   *ring
	rank   *bound.Rank // of low turns
	after  [][]int     // by block: those that order puts into later groups
	left   []int
	limits []int64 // scratch: how long a turn each group, and a new one, may come to have
	found  timing
	ok     bool
	places [][]place // scratch of each depth
}

func newSearch(l *bound.Laid, p *apart, r *ring, levels []bound.Level, m *bound.Meter, part *bound.Part) *search {
	s := &search{l: l, p: p, ln: newLine(l, p), m: m, part: part, ring: r, rank: bound.NewRank(levels)}
	for b, before := range l.Before {
		if before == nil {
			continue
		}
		if s.after == nil {
			s.after = make([][]int, p.n)
		}
		for a := before.First(); a >= 0; a = before.Next(a + 1) {
			s.after[a] = append(s.after[a], b)
		}
	}
	return s
}

// all looks at every row of all blocks and tells whether it came to an end; found holds the first row
// there is.
func (s *search) all() (ended bool) {
	if s.p.dead {
		return true
	}
	for _, first := range s.firsts() {
		s.left = s.left[:0]
		for v := range s.p.n {
			if v != first {
				s.left = append(s.left, v)
			}
		}
		mk := s.ln.put(first, place{0, true})
		s.step(0)
		s.ln.undo(mk)
		if s.ok || s.over() {
			break
		}
	}
	return !s.over()
}

func (s *search) over() bool { return s.part.Ended() || !s.m.Look() }

// firsts lists the blocks of which one may be taken to fire first: any one, as a cycle begins where
// one likes; with chains, the heads of chains, as some head fires before every other link.
func (s *search) firsts() []int {
	var heads []int
	for v := range s.p.n {
		if s.after != nil && len(s.after[v]) > 0 && s.l.Before[v].Empty() {
			heads = append(heads, v)
		}
	}
	if heads != nil {
		return heads
	}
	best := 0
	for v := range s.p.n {
		if cmp.Or(cmp.Compare(s.p.split[v].Len(), s.p.split[best].Len()), cmp.Compare(s.l.Low.Us[v], s.l.Low.Us[best])) > 0 {
			best = v
		}
	}
	return []int{best}
}

// step places one of left[depth:].
func (s *search) step(depth int) {
	if depth == len(s.left) {
		s.leaf()
		return
	}
	if !s.part.Tick() || !s.m.Look() {
		return
	}
	if s.ring.least(s.ln) > s.p.hi {
		return
	}
	k, places := s.tightest(depth)
	if len(places) == 0 {
		return
	}
	s.left[depth], s.left[k] = s.left[k], s.left[depth]
	v := s.left[depth]
	for _, pl := range places {
		if !s.ln.fits(v, pl) {
			continue
		}
		mk := s.ln.put(v, pl)
		if s.ln.settle() {
			s.step(depth + 1)
		}
		s.ln.undo(mk)
		if s.ok || s.over() {
			break
		}
	}
	s.left[depth], s.left[k] = s.left[k], s.left[depth]
}

func (s *search) leaf() {
	if t, ok := timed(s.l, s.ln.groups(), s.p.lo, s.p.hi, s.part); ok {
		s.found, s.ok = t, true
	}
}

// tightest finds the block with the fewest places; equal ones by longer turn.
func (s *search) tightest(depth int) (int, []place) {
	for len(s.places) <= depth+1 {
		s.places = append(s.places, nil)
	}
	pick, best := -1, s.places[depth][:0]
	other := s.places[len(s.places)-1]
	var turn int64
	s.limits = s.rank.Limits(s.ln.price, s.p.hi, s.limits)
	for k := depth; k < len(s.left); k++ {
		v := s.left[k]
		us := s.l.Low.Us[v]
		most := len(best)
		if pick < 0 {
			most = 1 << 30
		}
		other = s.list(other[:0], v, most)
		if pick < 0 || len(other) < len(best) || len(other) == len(best) && us > turn {
			pick, turn = k, us
			best, other = other, best
		}
		if len(best) == 0 {
			break
		}
	}
	s.places[depth], s.places[len(s.places)-1] = best, other
	return pick, best
}

// list gives the places of v, joining first; it may stop once there are more than most.
func (s *search) list(out []place, v int, most int) []place {
	from, until := 0, len(s.ln.rows)
	if s.after != nil && (s.l.Before[v] != nil) {
		from, until = s.between(v)
	}
	us := s.l.Low.Us[v]
	for at := from; at < until; at++ {
		pl := place{at, false}
		if s.ln.known(v, pl) {
			continue
		}
		g := s.ln.rows[at]
		if us > s.ln.price[g] && us > s.limits[g] || !s.ln.fits(v, pl) {
			s.ln.learn(v, pl)
			continue
		}
		if out = append(out, pl); len(out) > most {
			return out
		}
	}
	if us > s.limits[len(s.ln.price)] {
		return out
	}
	for at := max(1, from); at <= until; at++ {
		pl := place{at, true}
		if s.ln.known(v, pl) {
			continue
		}
		if !s.ln.fits(v, pl) {
			s.ln.learn(v, pl)
			continue
		}
		if out = append(out, pl); len(out) > most {
			return out
		}
	}
	return out
}

// between gives the rows that order leaves for v: after the last before it, before the first after it.
func (s *search) between(v int) (from, until int) {
	until = len(s.ln.rows)
	for k := len(s.ln.rows) - 1; k >= 0; k-- {
		g := s.ln.in[s.ln.rows[k]]
		if slices.ContainsFunc(g, s.l.Before[v].Has) {
			from = k + 1
			break
		}
	}
	for k, r := range s.ln.rows {
		if slices.ContainsFunc(s.ln.in[r], func(u int) bool { return slices.Contains(s.after[v], u) }) {
			until = k
			break
		}
	}
	return from, until
}

// again looks for a row like the given one with the blocks in out placed anew, and whatever else no
// longer fits.
func (s *search) again(groups [][]int, out bound.Set) {
	if s.p.dead {
		return
	}
	var marks []mark
	s.left = s.left[:0]
	for _, g := range groups {
		open := false
		for _, v := range g {
			pl := place{len(s.ln.rows), true}
			if open {
				pl = place{len(s.ln.rows) - 1, false}
			}
			if out.Has(v) || !s.ln.fits(v, pl) {
				s.left = append(s.left, v)
				continue
			}
			mk := s.ln.put(v, pl)
			if !s.ln.settle() {
				s.ln.undo(mk)
				s.left = append(s.left, v)
				continue
			}
			marks = append(marks, mk)
			open = true
		}
	}
	slices.Sort(s.left)
	if len(marks) > 0 && s.rooted(groups) {
		s.step(0)
	}
	for k := len(marks) - 1; k >= 0; k-- {
		s.ln.undo(marks[k])
	}
}

// rooted tells whether no block left would have to come before the first group.
func (s *search) rooted(groups [][]int) bool {
	if s.after == nil {
		return true
	}
	for _, u := range s.ln.in[s.ln.rows[0]] {
		if before := s.l.Before[u]; before != nil && !before.Empty() {
			return false
		}
	}
	return true
}
