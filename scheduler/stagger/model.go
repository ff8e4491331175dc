package stagger

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// span is an open span of whole distances in time that must not be.
type span struct{ after, before int64 }

// model is a problem laid bare. Its vertices are blocks, jobs that must fire together, and behind them the
// origin of the cycle where chains need one.
type model struct {
	p        instance.Problem
	blocks   [][]int
	of       []int // block of each job
	occupied []int64
	n        int
	ref      int       // the vertex that fires at 0
	alone    []int64   // by block: the least cycle for its occupation, its guard and its rest
	own      [][]span  // by block: no multiple of the cycle may lie there
	between  []between // pairs with spans
	pair     []int32   // by u*n+v, u < v: place in between, or -1
	chains   [][2]int  // blocks that fire one after the other in the cycle
	holders  []holder
	alike    [][]int // sets of blocks that may swap places: they fire in the order given
	extra    Extra
	edges    []edge // of extra
}

// between holds the distances from a firing of block u to one of block v that must not be, whatever the cycles;
// u < v; disjoint and ascending.
type between struct {
	u, v  int
	spans []span
}

// holder is something of which only so much may be held at a moment.
type holder struct {
	capacity int64
	pieces   []piece
}

// piece is what a job may hold from from to until after it was due, jitter at its worst; pieces of one job do not
// add up.
type piece struct {
	block, job          int
	from, until, amount int64
}

func lay(p instance.Problem, x Extra) *model {
	m := &model{p: p, blocks: p.Blocks(), of: make([]int, len(p.Jobs)), occupied: p.OccupiedUs(), extra: x}
	for b, jobs := range m.blocks {
		var us int64
		for _, j := range jobs {
			m.of[j] = b
			us = max(us, m.holds(j), p.Jobs[j].BusyUs+p.Jobs[j].RestUs+2*p.JitterUs)
		}
		m.alone = append(m.alone, us)
	}
	m.n = len(m.blocks)
	if len(p.Order) > 0 {
		m.n++
	}
	m.ref = m.n - 1
	m.hold()
	m.spans()
	for _, c := range p.Order {
		for k := 1; k < len(c); k++ {
			m.chains = append(m.chains, [2]int{m.of[c[k-1]], m.of[c[k]]})
		}
	}
	if len(p.Order) == 0 {
		m.ref = m.busiest()
	}
	if x.Owner != nil {
		m.extend()
	} else {
		m.alike = m.interchangeable()
	}
	return m
}

// holds is how long a job keeps off those it conflicts with.
func (m *model) holds(j int) int64 { return m.occupied[j] + m.p.GuardUs + 2*m.p.JitterUs }

// hold collects what is held of each resource and of the number at once, where that can be too much.
func (m *model) hold() {
	p := m.p
	add := func(h holder) {
		most := map[int]int64{}
		for _, pc := range h.pieces {
			most[pc.job] = max(most[pc.job], pc.amount)
		}
		var sum int64
		for _, a := range most {
			sum += a
		}
		if sum > h.capacity {
			m.holders = append(m.holders, h)
		}
	}
	for _, r := range p.Resources {
		h := holder{capacity: r.Capacity}
		uses := make([][]instance.Use, len(p.Jobs))
		for _, u := range r.Uses {
			uses[u.Job] = append(uses[u.Job], u)
		}
		for j, us := range uses {
			for _, u := range pieces(us) {
				h.pieces = append(h.pieces, piece{m.of[j], m.extra.owner(j), u.FromUs - p.JitterUs, u.UntilUs + p.JitterUs, u.Amount})
			}
		}
		add(h)
	}
	if p.AtOnce > 1 {
		h := holder{capacity: int64(p.AtOnce)}
		for j := range p.Jobs {
			h.pieces = append(h.pieces, piece{m.of[j], m.extra.owner(j), -p.JitterUs, m.holds(j) - p.JitterUs, 1})
		}
		add(h)
	}
}

// pieces cuts a job's uses where they begin and end, and adds them up.
func pieces(uses []instance.Use) (out []instance.Use) {
	var cuts []int64
	for _, u := range uses {
		cuts = append(cuts, u.FromUs, u.UntilUs)
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for k := 1; k < len(cuts); k++ {
		pc := instance.Use{FromUs: cuts[k-1], UntilUs: cuts[k]}
		for _, u := range uses {
			if u.FromUs <= pc.FromUs && pc.UntilUs <= u.UntilUs {
				pc.Amount += u.Amount
			}
		}
		if pc.Amount > 0 {
			out = append(out, pc)
		}
	}
	return out
}

// spans collects the distances that must not be.
func (m *model) spans() {
	p, two := m.p, 2*m.p.JitterUs
	type one struct {
		u, v int
		span
	}
	var all []one
	m.own = make([][]span, len(m.blocks))
	add := func(u, v int, after, before int64) {
		switch {
		case before-after < 2:
		case u == v:
			if before > 1 {
				m.own[u] = append(m.own[u], span{after, before})
			}
		case u < v:
			all = append(all, one{u, v, span{after, before}})
		default:
			all = append(all, one{v, u, span{-before, -after}})
		}
	}
	for _, a := range p.Arcs {
		to := p.Jobs[a.To]
		add(m.of[a.From], m.of[a.To], a.FromUs-two-to.CloseUs, a.UntilUs+two-to.OpenUs)
	}
	for _, a := range m.extra.Apart {
		if u, v := m.of[a.From], m.of[a.To]; u != v {
			add(u, v, a.AfterUs, a.BeforeUs)
		}
	}
	apart := func(i, j int) {
		if m.of[i] != m.of[j] {
			add(m.of[i], m.of[j], -m.holds(j), m.holds(i))
		}
	}
	for _, c := range p.Conflicts {
		apart(c[0], c[1])
	}
	if p.AtOnce == 1 {
		for i := range p.Jobs {
			for j := range i {
				apart(i, j)
			}
		}
	}
	for _, h := range m.holders {
		if len(h.pieces) > mostPieces {
			continue
		}
		for k, a := range h.pieces {
			for _, b := range h.pieces[:k] {
				if a.block != b.block && a.job != b.job && a.amount+b.amount > h.capacity {
					add(a.block, b.block, a.from-b.until, a.until-b.from)
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b one) int {
		return cmp.Or(cmp.Compare(a.u, b.u), cmp.Compare(a.v, b.v), cmp.Compare(a.after, b.after), cmp.Compare(a.before, b.before))
	})
	m.pair = slices.Repeat([]int32{-1}, m.n*m.n)
	for _, o := range all {
		k := len(m.between) - 1
		if k < 0 || m.between[k].u != o.u || m.between[k].v != o.v {
			m.pair[o.u*m.n+o.v] = int32(len(m.between))
			m.between = append(m.between, between{o.u, o.v, []span{o.span}})
			continue
		}
		// Spans that only touch leave the moment between them.
		if last := &m.between[k].spans[len(m.between[k].spans)-1]; o.after < last.before {
			last.before = max(last.before, o.before)
		} else {
			m.between[k].spans = append(m.between[k].spans, o.span)
		}
	}
}

// busiest is the block that keeps most others off for longest: with it at 0, all of those follow it.
func (m *model) busiest() int {
	us := make([]int64, len(m.blocks))
	for _, b := range m.between {
		var sum int64
		for _, s := range b.spans {
			sum += s.before - s.after
		}
		us[b.u] += sum
		us[b.v] += sum
	}
	best := 0
	for b := range us {
		if us[b] > us[best] {
			best = b
		}
	}
	return best
}

// soonest is the least distance from block u on at which block v may fire, for all that the two demand of each
// other.
func (m *model) soonest(u, v int) int64 {
	var us int64
	if u > v {
		if k := m.pair[v*m.n+u]; k >= 0 {
			spans := m.between[k].spans
			for i := len(spans) - 1; i >= 0; i-- {
				if -spans[i].before < us && us < -spans[i].after {
					us = -spans[i].after
				}
			}
		}
		return us
	}
	if k := m.pair[u*m.n+v]; k >= 0 {
		for _, s := range m.between[k].spans {
			if s.after < us && us < s.before {
				us = s.before
			}
		}
	}
	return us
}

// least is the least cycle that each block and each pair by itself allow.
func (m *model) least() int64 {
	us := int64(1)
	for _, a := range m.alone {
		us = max(us, a)
	}
	for _, b := range m.between {
		for _, s := range b.spans {
			us = max(us, s.before-s.after)
		}
	}
	return m.next(us)
}

// next is the first cycle from us on at which no block's own sound meets a later window of its own.
func (m *model) next(us int64) int64 {
	for again := true; again; {
		again = false
		for _, spans := range m.own {
			for _, s := range spans {
				// The first multiple past after is the one that may lie in the span.
				for n := max(0, s.after)/us + 1; n*us < s.before; n = max(0, s.after)/us + 1 {
					us, again = (s.before+n-1)/n, true
				}
			}
		}
	}
	return us
}

// previous is the last cycle up to us at which no block's own sound meets a later window of its own, or 0.
func (m *model) previous(us int64) int64 {
	for again := true; again && us > 0; {
		again = false
		for _, spans := range m.own {
			for _, s := range spans {
				for us > 0 {
					n := max(0, s.after)/us + 1
					if n*us >= s.before {
						break
					}
					us, again = max(0, s.after)/n, true
				}
			}
		}
	}
	return us
}
