package stagger

import (
	"cmp"
	"maps"
	"slices"

	"echowright/scheduler/bound"
)

// engine looks for a timetable with a cycle from lo to most by deciding, pair by pair, who comes first, and learns
// a clause from every dead end: those decisions that cannot all be. What it has learned stays true while lo rises and
// most falls.
//
// A literal is 2·variable, plus 1 for its opposite; each has an edge that holds when the literal does.
type engine struct {
	m        *model
	meter    *bound.Meter
	lo, most int64
	base     []edge

	edges  []edge         // by literal
	weight []int64        // by literal: of its edge at the cycle that asks for least
	on     [][]weighty    // by u*n+v: literals whose edge goes from u to v and that are open at level 0, by weight
	atoms  map[edge]int32 // literals made for holders, by edge

	value   []int8 // by literal: 1 true, -1 false
	level   []int32
	reason  []reason
	phase   []bool // by variable: last value
	trail   []int32
	head    int // boolean propagation has come so far
	told    int // the net has been told so far
	levels  []mark
	net     *net
	store   []int32 // reasons of the net: length, literals that are false
	watches [][]watch
	learned []*clause
	demands []*clause // of holders: never forgotten

	activity []float64
	bump     float64
	heap     heap
	seen     []bool
	dead     bool // nothing from lo to most
	full     bool // too many decisions
	ready    bool // the literals are listed
	order    []int32

	kept      []int32 // literals that a search takes first, and gives up with
	turns     *turns
	conflicts int64
	found     least
}

type weighty struct {
	weight int64
	lit    int32
}

type mark struct{ trail, back, added, store int }

// reason is why a literal is true: a clause, or the net's words from at on.
type reason struct {
	c  *clause
	at int32
}

type clause struct {
	lits  []int32 // the first two are watched
	score int32   // how many levels it joins
	old   bool    // out of use
}

type watch struct {
	c     *clause
	other int32 // if this is true, so is the clause
}

// mostVars bounds the decisions an engine may have, and with them its memory.
const mostVars = 60_000

// newEngine returns nil where there would be too many decisions.
func newEngine(m *model, lo, most int64, meter *bound.Meter) *engine {
	e := &engine{m: m, meter: meter, lo: lo, most: most, bump: 1, net: newNet(m.n), base: m.frame(), on: make([][]weighty, m.n*m.n), atoms: map[edge]int32{}}
	e.heap.e = e
	for _, b := range m.between {
		for _, s := range b.spans {
			first, last := copies(s, lo, most)
			if last-first > mostVars || len(e.level)+int(last-first) > mostVars {
				return nil
			}
			for k := first; k <= last; k++ {
				u, v := int32(b.u), int32(b.v)
				e.variable(edge{u, v, s.before, k}, edge{v, u, -s.after, -k})
			}
		}
	}
	for v := range e.level {
		a, b := e.edges[2*v], e.edges[2*v+1]
		e.activity[v] = 1e-9 * float64(a.us+b.us)
		e.heap.up(int32(v))
	}
	e.reset()
	return e
}

// copies is which cycles a span may be met in: moved by k cycles, it reaches into the distances of firings of one
// cycle.
func copies(s span, lo, most int64) (first, last int64) {
	last = 1 + max(floorDiv(-2-s.after, lo), floorDiv(-2-s.after, most))
	first = -1 - max(floorDiv(s.before-2, lo), floorDiv(s.before-2, most))
	return first, last
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && a < 0 {
		q--
	}
	return q
}

// variable makes a decision between two edges and returns the literal of the first.
func (e *engine) variable(yes, no edge) int32 {
	v := int32(len(e.level))
	e.level, e.reason, e.phase = append(e.level, 0), append(e.reason, reason{}), append(e.phase, false)
	e.activity, e.seen = append(e.activity, 0), append(e.seen, false)
	for k, ed := range []edge{yes, no} {
		e.edges = append(e.edges, ed)
		e.weight = append(e.weight, e.weigh(ed))
		e.value = append(e.value, 0)
		e.watches = append(e.watches, nil)
		if e.ready {
			e.list(2*v + int32(k))
		}
	}
	e.heap.add(v)
	return 2 * v
}

// list puts a literal on the list of its edge's ends.
func (e *engine) list(l int32) {
	at := int(e.edges[l].u)*e.m.n + int(e.edges[l].v)
	w := weighty{e.weight[l], l}
	k, _ := slices.BinarySearchFunc(e.on[at], w, byWeight)
	e.on[at] = slices.Insert(e.on[at], k, w)
}

func byWeight(a, b weighty) int {
	return cmp.Or(cmp.Compare(a.weight, b.weight), cmp.Compare(a.lit, b.lit))
}

// weigh is what an edge asks at the least of the cycles from lo to most.
func (e *engine) weigh(ed edge) int64 {
	if ed.k > 0 {
		return ed.us + ed.k*e.lo
	}
	return ed.us + ed.k*e.most
}

// apart returns an engine of its own that knows all that this one knows, between searches, for cycles up to most.
func (e *engine) apart(most int64) *engine {
	o := &engine{m: e.m, meter: e.meter, lo: e.lo, most: min(most, e.most), base: e.base, bump: e.bump, dead: e.dead, turns: e.turns,
		net: newNet(e.m.n), on: make([][]weighty, len(e.on)), atoms: maps.Clone(e.atoms),
		edges: slices.Clone(e.edges), weight: slices.Clone(e.weight), value: slices.Clone(e.value), level: slices.Clone(e.level),
		reason: make([]reason, len(e.reason)), phase: slices.Clone(e.phase), trail: slices.Clone(e.trail), head: e.head,
		watches: make([][]watch, len(e.watches)), activity: slices.Clone(e.activity), seen: make([]bool, len(e.seen))}
	o.heap.e = o
	for v := range int32(len(o.level)) {
		o.heap.add(v)
	}
	copied := func(cs []*clause) (out []*clause) {
		for _, c := range cs {
			if c.score > lent {
				continue
			}
			c := &clause{lits: slices.Clone(c.lits), score: c.score}
			out = append(out, c)
			o.watch(c)
		}
		return out
	}
	o.learned, o.demands = copied(e.learned), copied(e.demands)
	o.reset()
	return o
}

// narrow leaves fewer cycles to look for.
func (e *engine) narrow(lo, most int64) {
	e.lo, e.most = max(e.lo, lo), min(e.most, most)
	e.reset()
}

// reset begins anew with what is certain.
func (e *engine) reset() {
	e.backTo(0)
	e.lo, e.most = e.m.next(e.lo), e.m.previous(e.most)
	if e.dead = e.dead || e.lo > e.most; e.dead {
		return
	}
	for l, ed := range e.edges {
		e.weight[l] = e.weigh(ed)
	}
	e.net.clear()
	for _, b := range e.base {
		if !e.net.add(b.u, b.v, e.weigh(b), -1) {
			e.dead = true
			return
		}
	}
	e.told = 0
	if !e.settle() {
		e.dead = true
		return
	}
	for at := range e.on {
		e.on[at] = e.on[at][:0]
	}
	for l, ed := range e.edges {
		if at := int(ed.u)*e.m.n + int(ed.v); e.value[l] == 0 {
			e.on[at] = append(e.on[at], weighty{e.weight[l], int32(l)})
		}
	}
	for _, list := range e.on {
		slices.SortFunc(list, byWeight)
	}
	e.ready = true
	e.dead = e.propagate() != nil
}

// settle decides, at level 0, all that the net leaves no choice about.
func (e *engine) settle() bool {
	for l := range int32(len(e.edges)) {
		if e.value[l] == 0 && e.impossible(l) {
			e.assign(l^1, reason{})
		} else if e.value[l] > 0 && e.impossible(l) {
			return false
		}
	}
	return true
}

func (e *engine) impossible(l int32) bool {
	r := e.net.far[int(e.edges[l].v)*e.m.n+int(e.edges[l].u)]
	return r > none && r+e.weight[l] > 0
}

func (e *engine) assign(l int32, r reason) {
	e.value[l], e.value[l^1] = 1, -1
	e.level[l>>1], e.reason[l>>1] = int32(len(e.levels)), r
	e.trail = append(e.trail, l)
}

func (e *engine) backTo(level int) {
	if level >= len(e.levels) {
		return
	}
	mk := e.levels[level]
	for k := len(e.trail) - 1; k >= mk.trail; k-- {
		l := e.trail[k]
		e.phase[l>>1] = l&1 == 0
		e.value[l], e.value[l^1] = 0, 0
		e.reason[l>>1] = reason{}
		e.heap.add(l >> 1)
	}
	e.trail = e.trail[:mk.trail]
	e.head, e.told = mk.trail, mk.trail
	e.net.undo(mk.back, mk.added)
	e.store = e.store[:mk.store]
	e.levels = e.levels[:level]
}

func (e *engine) decide(l int32) {
	e.levels = append(e.levels, mark{len(e.trail), len(e.net.back), len(e.net.added), len(e.store)})
	if e.value[l] == 0 { // one to be kept may be true already
		e.assign(l, reason{})
	}
}

// follow makes the search begin from a timetable.
func (e *engine) follow(t least) {
	for v := range e.level {
		ed := e.edges[2*v]
		e.phase[v] = t.at[ed.v]-t.at[ed.u] >= ed.us+ed.k*t.period
	}
}
