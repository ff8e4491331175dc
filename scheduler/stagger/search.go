package stagger

import "slices"

// outcome of a search.
type outcome int

const (
	stopped outcome = iota
	found           // a timetable is in found
	nothing         // there is none from lo to most
	closed          // there is none with the literals to be kept
)

const (
	restart   = 100   // conflicts, times 1 1 2 1 1 2 4 … (Luby, Sinclair, Zuckerman 1993)
	firstKept = 4_000 // clauses
	mostKept  = 50_000
	lent      = 4 // levels that a clause may join to be worth handing on
)

// search goes on for so many conflicts.
func (e *engine) search(conflicts int64) outcome {
	until := e.conflicts + conflicts
	for round := int64(1); ; round++ {
		pause := min(until, e.conflicts+restart*luby(round))
		for {
			if e.dead {
				return nothing
			}
			if clash := e.propagate(); clash != nil {
				if !e.learn(clash) {
					return nothing
				}
				continue
			}
			if e.turns != nil && e.turns.due() {
				if clash := e.turns.clash(e); clash != nil {
					if !e.learn(clash) {
						return nothing
					}
					continue
				}
			}
			if !e.meter.Tick() || e.conflicts >= until {
				e.backTo(0)
				return stopped
			}
			if e.conflicts >= pause {
				break
			}
			if len(e.levels) < len(e.kept) {
				l := e.kept[len(e.levels)]
				if e.value[l] < 0 {
					e.backTo(0)
					return closed
				}
				e.decide(l)
				continue
			}
			l := e.pick()
			if l >= 0 {
				e.decide(l)
				continue
			}
			clash, ok := e.whole()
			switch {
			case ok:
				e.backTo(0)
				return found
			case clash != nil && !e.learn(clash):
				return nothing
			case clash == nil && (e.full || e.meter.Ended()):
				e.backTo(0)
				return stopped
			}
		}
		e.backTo(len(e.kept))
		if int64(len(e.learned)) > min(firstKept+e.conflicts/8, mostKept) {
			e.forget()
		}
	}
}

func luby(i int64) int64 {
	for k := int64(1); ; k++ {
		if i == 1<<k-1 {
			return 1 << (k - 1)
		}
		if i < 1<<k-1 {
			return luby(i - (1<<(k-1) - 1))
		}
	}
}

func (e *engine) pick() int32 {
	for len(e.heap.vs) > 0 {
		v := e.heap.pop()
		if e.value[2*v] == 0 {
			if e.phase[v] {
				return 2 * v
			}
			return 2*v + 1
		}
	}
	return -1
}

// whole times a timetable in which all is decided. If no cycle is right, or more is held than there is, it
// returns what clashes, or has added a clause.
func (e *engine) whole() (clash []int32, ok bool) {
	edges := slices.Clone(e.base)
	for _, l := range e.trail {
		edges = append(edges, e.edges[l])
	}
	t := e.m.shortest(edges, e.lo, e.most, e.meter)
	if t.at == nil {
		if t.why == nil {
			return nil, false // the meter ended it
		}
		for _, i := range t.why {
			if k := int(i) - len(e.base); k >= 0 && e.level[e.trail[k]>>1] > 0 {
				clash = append(clash, e.trail[k]^1)
			}
		}
		if clash == nil {
			clash = []int32{} // no choice led here
		}
		return clash, false
	}
	if over := e.m.overfull(t); over != nil {
		e.part(over)
		return nil, false
	}
	e.found = t
	return nil, true
}

// part demands that of pieces that are too much at one moment two do not meet.
func (e *engine) part(over []held) {
	e.backTo(0)
	if e.full = len(e.level) > mostVars; e.full {
		return
	}
	var lits []int32
	for k, a := range over {
		for _, b := range over[:k] {
			if a.block == b.block {
				continue
			}
			after, before, turns := a.from-b.until, a.until-b.from, a.cycle-b.cycle
			u, v := int32(a.block), int32(b.block)
			lits = append(lits, e.atom(edge{u, v, before, turns}), e.atom(edge{v, u, -after, -turns}))
		}
	}
	slices.Sort(lits)
	lits = slices.Compact(lits)
	if !e.settle() {
		e.dead = true
		return
	}
	open := lits[:0]
	for _, l := range lits {
		if e.value[l] > 0 {
			return
		}
		if e.value[l] == 0 {
			open = append(open, l)
		}
	}
	switch len(open) {
	case 0:
		e.dead = true
	case 1:
		e.assign(open[0], reason{})
	default:
		c := &clause{lits: open}
		e.demands = append(e.demands, c)
		e.watch(c)
	}
}

// atom is the literal of an edge.
func (e *engine) atom(ed edge) int32 {
	if l, ok := e.atoms[ed]; ok {
		return l
	}
	not := edge{ed.v, ed.u, 1 - ed.us, -ed.k}
	l := e.variable(ed, not)
	e.atoms[ed], e.atoms[not] = l, l+1
	e.phase[l>>1] = false
	return l
}
