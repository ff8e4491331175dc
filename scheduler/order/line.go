package order

import (
	"slices"

	"echowright/scheduler/bound"
)

// line is a row of groups, the first of which begins the cycle, with the longest paths between them.
//
//	d[g·size+h]   least that t(h) − t(g) must be, closed over all groups
//	early, late   what a block v not yet placed asks of group h, for either side of h it may go:
//	              to is the least of t(v) − t(h), back the least of t(h) − t(v)
type line struct {
	p     *apart
	l     *bound.Laid
	size  int
	rows  []int   // groups in order
	in    [][]int // blocks of each group
	asks  [][]ask // by group and block
	shut  []bound.Set
	price []int64 // longest low turn in each group
	d     []int64
	to    []int64 // scratch: longest path from each group to the place in question
	back  []int64
	near  []int64 // scratch: what the block asks of each group, in order
	far   []int64
	noIn  []uint64 // by block: groups it is known not to fit into, of the first 64
	noAt  []uint64 // and groups it is known not to fit right after
	spare [][]ask
	words [][]uint64
}

// ask is what a block asks of a group.
type ask struct{ afterTo, afterBack, beforeTo, beforeBack int64 }

// place is where a block may go: into group rows[at], or into a new group before rows[at].
type place struct {
	at  int
	new bool
}

// mark is what undo needs.
type mark struct {
	block, group int
	pl           place
	asks         []ask
	shut         bound.Set
	price        int64
	d            []int64
	no           []uint64
}

func newLine(l *bound.Laid, p *apart) *line {
	return &line{p: p, l: l, size: p.n, d: make([]int64, p.n*p.n), to: make([]int64, p.n), back: make([]int64, p.n),
		near: make([]int64, p.n), far: make([]int64, p.n), noIn: make([]uint64, p.n), noAt: make([]uint64, p.n)}
}

// fill works out what the place means for block v: to[h] and back[h] become the longest path from group
// h to v and back. It reports whether any ring then adds up to too much.
func (ln *line) fill(v int, pl place) bool {
	m := len(ln.rows)
	near, far := ln.near[:m], ln.far[:m]
	for k, h := range ln.rows {
		a := &ln.asks[h][v]
		if k < pl.at {
			near[k], far[k] = a.afterTo, a.afterBack
		} else {
			near[k], far[k] = a.beforeTo, a.beforeBack
		}
	}
	if !pl.new {
		near[pl.at], far[pl.at] = 0, 0
	}
	if ln.tight(pl, near, far) {
		return false
	}
	for i, g := range ln.rows {
		row := ln.d[g*ln.size : g*ln.size+ln.size]
		best := -never
		for k, h := range ln.rows {
			best = max(best, row[h]+near[k])
		}
		if best+far[i] > 0 {
			return false
		}
		ln.to[g] = best
	}
	for _, g := range ln.rows {
		best := -never
		for k, h := range ln.rows {
			best = max(best, far[k]+ln.d[h*ln.size+g])
		}
		if best+ln.to[g] > 0 {
			return false
		}
		ln.back[g] = best
	}
	return true
}

// tight tells at once of most places that do not do: the groups on either side leave no room.
func (ln *line) tight(pl place, near, far []int64) bool {
	m := len(ln.rows)
	if m == 0 {
		return false
	}
	before, after := (pl.at+m-1)%m, pl.at%m
	if !pl.new {
		after = (pl.at + 1) % m
	}
	return far[after]+ln.d[ln.rows[after]*ln.size+ln.rows[before]]+near[before] > 0
}

// fits tells whether v may go to the place.
func (ln *line) fits(v int, pl place) bool {
	if !pl.new {
		g := ln.rows[pl.at]
		if ln.shut[g].Has(v) || len(ln.in[g]) >= ln.l.Low.AtOnce {
			return false
		}
	}
	if !ln.fill(v, pl) {
		return false
	}
	return pl.new || ln.roomy(ln.rows[pl.at], v)
}

// roomy tells whether v fits into the group besides what pairs say.
func (ln *line) roomy(g, v int) bool {
	if len(ln.l.Strict) == 0 && len(ln.l.Blocks) == len(ln.l.Of) {
		return true
	}
	return ln.l.Fits(append(slices.Clone(ln.in[g]), v))
}

// put places v where fits has just found it does.
func (ln *line) put(v int, pl place) mark {
	mk := mark{block: v, pl: pl}
	if pl.new {
		g := len(ln.in)
		ln.in = append(ln.in, nil)
		ln.rows = slices.Insert(ln.rows, pl.at, g)
		ln.asks = append(ln.asks, nil)
		ln.shut = append(ln.shut, bound.NewSet(ln.size))
		ln.price = append(ln.price, 0)
		ln.to[g], ln.back[g] = 0, 0
	}
	g := ln.rows[pl.at]
	mk.group = g
	mk.d = ln.saveD()
	ln.widen(g)
	ln.in[g] = append(ln.in[g], v)
	mk.shut = ln.shut[g].Clone()
	for w := range ln.shut[g] {
		ln.shut[g][w] |= ln.p.split[v][w]
	}
	mk.price = ln.price[g]
	ln.price[g] = max(ln.price[g], ln.l.Low.Us[v])
	mk.asks = ln.asks[g]
	ln.asks[g] = ln.merged(mk.asks, v)
	mk.no = append(append(ln.word(), ln.noIn...), ln.noAt...)
	if pl.new && pl.at > 0 && g < 64 {
		// What does not fit between two groups does not fit on either side of a third between them.
		if left := ln.rows[pl.at-1]; left < 64 {
			for u, no := range ln.noAt {
				ln.noAt[u] |= no >> left & 1 << g
			}
		}
	}
	return mk
}

func (ln *line) undo(mk mark) {
	g := mk.group
	ln.loadD(mk.d)
	copy(ln.noIn, mk.no)
	copy(ln.noAt, mk.no[ln.size:])
	ln.words = append(ln.words, mk.no)
	if !mk.pl.new {
		ln.in[g] = ln.in[g][:len(ln.in[g])-1]
		ln.shut[g], ln.price[g] = mk.shut, mk.price
		ln.spare = append(ln.spare, ln.asks[g])
		ln.asks[g] = mk.asks
		return
	}
	ln.spare = append(ln.spare, ln.asks[g])
	ln.rows = slices.Delete(ln.rows, mk.pl.at, mk.pl.at+1)
	ln.in, ln.asks, ln.shut, ln.price = ln.in[:g], ln.asks[:g], ln.shut[:g], ln.price[:g]
}

// widen closes the matrix over the new paths through group g, which fill has left in to and back.
func (ln *line) widen(g int) {
	for _, a := range ln.rows {
		row := ln.d[a*ln.size : a*ln.size+ln.size]
		if a == g {
			for _, b := range ln.rows {
				row[b] = ln.back[b]
			}
			row[g] = 0
			continue
		}
		first := ln.to[a]
		for _, b := range ln.rows {
			if w := first + ln.back[b]; b != g && w > row[b] {
				row[b] = w
			}
		}
		row[g] = first
	}
}

// tie adds t(b) − t(a) >= us between groups that there are, and tells whether a period is left.
func (ln *line) tie(a, b int, us int64) bool {
	if ln.d[b*ln.size+a]+us > 0 {
		return false
	}
	for _, g := range ln.rows {
		first := ln.d[g*ln.size+a] + us
		row := ln.d[g*ln.size : g*ln.size+ln.size]
		for _, h := range ln.rows {
			if w := first + ln.d[b*ln.size+h]; w > row[h] {
				row[h] = w
			}
		}
	}
	return true
}

func (ln *line) saveD() []int64 {
	out := make([]int64, 0, len(ln.in)*len(ln.in))
	for g := range ln.in {
		out = append(out, ln.d[g*ln.size:g*ln.size+len(ln.in)]...)
	}
	return out
}

func (ln *line) loadD(saved []int64) {
	m := len(ln.in)
	for g := range m {
		copy(ln.d[g*ln.size:], saved[g*m:g*m+m])
	}
}

func (ln *line) word() []uint64 {
	if k := len(ln.words); k > 0 {
		w := ln.words[k-1]
		ln.words = ln.words[:k-1]
		return w[:0]
	}
	return make([]uint64, 0, 2*ln.size)
}

// known tells whether v is known not to fit there. What does not fit once never fits with more blocks
// placed.
func (ln *line) known(v int, pl place) bool {
	if pl.new {
		g := ln.rows[pl.at-1]
		return g < 64 && ln.noAt[v]>>g&1 != 0
	}
	g := ln.rows[pl.at]
	return g < 64 && ln.noIn[v]>>g&1 != 0
}

func (ln *line) learn(v int, pl place) {
	if pl.new {
		if g := ln.rows[pl.at-1]; g < 64 {
			ln.noAt[v] |= 1 << g
		}
	} else if g := ln.rows[pl.at]; g < 64 {
		ln.noIn[v] |= 1 << g
	}
}

// merged is what every block asks of a group once v is in it.
func (ln *line) merged(was []ask, v int) []ask {
	n := ln.size
	var out []ask
	if k := len(ln.spare); k > 0 {
		out, ln.spare = ln.spare[k-1], ln.spare[:k-1]
	} else {
		out = make([]ask, n)
	}
	for u := range n {
		a := ask{
			afterTo: ln.p.least[v*n+u], afterBack: -ln.p.most[v*n+u],
			beforeTo: -ln.p.most[u*n+v], beforeBack: ln.p.least[u*n+v],
		}
		if was != nil {
			o := was[u]
			a = ask{max(a.afterTo, o.afterTo), max(a.afterBack, o.afterBack), max(a.beforeTo, o.beforeTo), max(a.beforeBack, o.beforeBack)}
		}
		out[u] = a
	}
	return out
}

// settle moves what is known of the distances past the holes between them, as far as it goes.
func (ln *line) settle() bool {
	if len(ln.p.holes) == 0 {
		return true
	}
	for again := true; again; {
		again = false
		for i, a := range ln.rows {
			for _, b := range ln.rows[i+1:] {
				for _, u := range ln.in[a] {
					for _, v := range ln.in[b] {
						for _, h := range ln.p.holes[[2]int{u, v}] {
							if low := ln.d[a*ln.size+b]; h.After < low && low < h.Before {
								if again = true; !ln.tie(a, b, h.Before) {
									return false
								}
							}
							if high := -ln.d[b*ln.size+a]; h.After < high && high < h.Before {
								if again = true; !ln.tie(b, a, -h.After) {
									return false
								}
							}
						}
					}
				}
			}
		}
	}
	return true
}

// groups copies the row of groups.
func (ln *line) groups() [][]int {
	out := make([][]int, len(ln.rows))
	for k, g := range ln.rows {
		out[k] = slices.Clone(ln.in[g])
		slices.Sort(out[k])
	}
	return out
}
