package stagger

import (
	"cmp"
	"slices"
)

// propagate draws all consequences and returns a set of literals that are all false but must not be, or nil.
func (e *engine) propagate() []int32 {
	for {
		for e.head < len(e.trail) {
			l := e.trail[e.head]
			e.head++
			if c := e.visit(l ^ 1); c != nil {
				return c.lits
			}
		}
		if e.told == len(e.trail) {
			return nil
		}
		l := e.trail[e.told]
		e.told++
		if c := e.tell(l); c != nil {
			return c
		}
	}
}

// visit looks at the clauses that watch a literal that has become false.
func (e *engine) visit(l int32) (clash *clause) {
	ws := e.watches[l]
	kept := ws[:0]
	for i, w := range ws {
		if clash != nil {
			kept = append(kept, ws[i:]...)
			break
		}
		if e.value[w.other] > 0 {
			kept = append(kept, w)
			continue
		}
		c := w.c
		if c.old {
			continue
		}
		if c.lits[0] == l {
			c.lits[0], c.lits[1] = c.lits[1], c.lits[0]
		}
		first := c.lits[0]
		if e.value[first] > 0 {
			kept = append(kept, watch{c, first})
			continue
		}
		moved := false
		for k := 2; k < len(c.lits); k++ {
			if e.value[c.lits[k]] >= 0 {
				c.lits[1], c.lits[k] = c.lits[k], c.lits[1]
				e.watches[c.lits[1]] = append(e.watches[c.lits[1]], watch{c, first})
				moved = true
				break
			}
		}
		if moved {
			continue
		}
		kept = append(kept, watch{c, first})
		if e.value[first] < 0 {
			clash = c
		} else {
			e.assign(first, reason{c: c})
		}
	}
	e.watches[l] = kept
	return clash
}

// tell puts a literal's edge into the net and draws the consequences.
func (e *engine) tell(l int32) []int32 {
	ed := e.edges[l]
	from := len(e.net.back)
	if !e.net.add(ed.u, ed.v, e.weight[l], e.named(l)) {
		clash := e.net.path(ed.v, ed.u, []int32{})
		if e.level[l>>1] > 0 {
			clash = append(clash, l)
		}
		for k := range clash {
			clash[k] ^= 1
		}
		return clash
	}
	n := int32(e.m.n)
	for _, w := range e.net.back[from:] {
		x, y := w.at/n, w.at%n
		far := e.net.far[w.at]
		list := e.on[y*n+x]
		at := -1 // all that it rules out, it rules out by the same words
		for k := len(list) - 1; k >= 0 && far+list[k].weight > 0; k-- {
			o := list[k].lit
			if e.value[o] != 0 {
				continue
			}
			if at < 0 {
				at = len(e.store)
				e.store = append(e.store, 0)
				e.store = e.net.path(x, y, e.store)
				for k := at + 1; k < len(e.store); k++ {
					e.store[k] ^= 1
				}
				e.store[at] = int32(len(e.store) - at - 1)
			}
			e.assign(o^1, reason{at: int32(at) + 1})
		}
	}
	return nil
}

// named is the literal as a reason: what is certain needs none.
func (e *engine) named(l int32) int32 {
	if e.level[l>>1] == 0 {
		return -1
	}
	return l
}

// because lists the literals whose being false made l true.
func (e *engine) because(l int32) []int32 {
	switch r := e.reason[l>>1]; {
	case r.c != nil:
		return r.c.lits[1:]
	case r.at > 0:
		n := e.store[r.at-1]
		return e.store[r.at : r.at+n]
	}
	return nil
}

// learn turns a clash into a clause, goes back to where it leaves one choice, and takes it. It reports false when
// nothing is left to try.
func (e *engine) learn(clash []int32) bool {
	e.conflicts++
	var top int32
	for _, l := range clash {
		top = max(top, e.level[l>>1])
	}
	if top == 0 {
		e.dead = true
		return false
	}
	clash = slices.Clone(clash) // going back drops the net's words
	e.backTo(int(top))
	lits := []int32{0}
	open, at := 0, len(e.trail)-1
	take := func(ls []int32) {
		for _, q := range ls {
			v := q >> 1
			if e.seen[v] || e.level[v] == 0 {
				continue
			}
			e.seen[v] = true
			e.raise(v)
			if e.level[v] == top {
				open++
			} else {
				lits = append(lits, q)
			}
		}
	}
	take(clash)
	var uip int32
	for {
		for !e.seen[e.trail[at]>>1] {
			at--
		}
		uip = e.trail[at]
		if open--; open == 0 {
			break
		}
		e.seen[uip>>1] = false
		take(e.because(uip))
		at--
	}
	lits[0] = uip ^ 1
	kept := lits[:1]
	all := slices.Clone(lits)
	for _, q := range lits[1:] {
		if !e.implied(q) {
			kept = append(kept, q)
		}
	}
	for _, q := range all {
		e.seen[q>>1] = false
	}
	lits = kept
	e.bump /= 0.95
	back := int32(0)
	for k := 1; k < len(lits); k++ {
		if lv := e.level[lits[k]>>1]; lv > back {
			back = lv
			lits[1], lits[k] = lits[k], lits[1]
		}
	}
	score := e.joins(lits)
	e.backTo(int(back))
	if len(lits) == 1 {
		e.assign(lits[0], reason{})
		return true
	}
	c := &clause{lits: lits, score: score}
	e.learned = append(e.learned, c)
	e.watch(c)
	e.assign(lits[0], reason{c: c})
	return true
}

// implied tells a literal of a clause that the others make superfluous.
func (e *engine) implied(q int32) bool {
	why := e.because(q ^ 1)
	if why == nil {
		return false
	}
	for _, o := range why {
		if e.level[o>>1] > 0 && !e.seen[o>>1] {
			return false
		}
	}
	return true
}

func (e *engine) joins(lits []int32) int32 {
	e.order = e.order[:0]
	for _, l := range lits {
		e.order = append(e.order, e.level[l>>1])
	}
	slices.Sort(e.order)
	return int32(len(slices.Compact(e.order)))
}

func (e *engine) watch(c *clause) {
	e.watches[c.lits[0]] = append(e.watches[c.lits[0]], watch{c, c.lits[1]})
	e.watches[c.lits[1]] = append(e.watches[c.lits[1]], watch{c, c.lits[0]})
}

func (e *engine) raise(v int32) {
	if e.activity[v] += e.bump; e.activity[v] > 1e100 {
		for i := range e.activity {
			e.activity[i] *= 1e-100
		}
		e.bump *= 1e-100
	}
	e.heap.up(v)
}

// forget drops the half of what was learned that joins most levels.
func (e *engine) forget() {
	slices.SortStableFunc(e.learned, func(a, b *clause) int {
		return cmp.Or(cmp.Compare(a.score, b.score), cmp.Compare(len(a.lits), len(b.lits)))
	})
	kept := e.learned[:0]
	for k, c := range e.learned {
		if k < len(e.learned)/2 || c.score <= 2 || e.reason[c.lits[0]>>1].c == c {
			kept = append(kept, c)
		} else {
			c.old = true
		}
	}
	clear(e.learned[len(kept):])
	e.learned = kept
}
