package stagger

import (
	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// Extra is what firings demand beyond their problem where several of its jobs are firings of one: package refresh
// writes a problem out so. The zero value demands nothing.
type Extra struct {
	Owner []int // by job: whose firing it is. Firings of one owner use and count once where they fall together
	First int   // the job that fires at 0, where there are no chains
	Apart []Apart
	Least []Least
}

// Apart is an open span of distances from the firing of From to that of To that must not be, whatever the cycles.
type Apart struct {
	From, To          int
	AfterUs, BeforeUs int64
}

// Least says that To fires at least Us + Cycles cycles after From, both in one cycle.
type Least struct {
	From, To   int
	Us, Cycles int64
}

func (x Extra) owner(j int) int {
	if x.Owner == nil {
		return j
	}
	return x.Owner[j]
}

func (m *model) extend() {
	if len(m.chains) == 0 && len(m.p.Order) == 0 {
		m.ref = m.of[m.extra.First]
	}
	for _, l := range m.extra.Least {
		m.edges = append(m.edges, edge{int32(m.of[l.From]), int32(m.of[l.To]), l.Us, l.Cycles})
	}
}

// Range looks for a timetable with a cycle between two lengths.
type Range struct {
	m      *model
	e      *engine
	LoUs   int64
	MostUs int64
}

// NewRange lays a problem and what it demands beyond out for cycles from loUs to mostUs; nil: too much to decide.
func NewRange(p instance.Problem, x Extra, loUs, mostUs int64, meter *bound.Meter) *Range {
	if len(p.Jobs) > mostSearched {
		return nil
	}
	m := lay(p, x)
	if m.pieces() > mostPieces {
		return nil
	}
	e := newEngine(m, loUs, mostUs, meter)
	if e == nil {
		return nil
	}
	far := m.far()
	e.turns = newTurns(m, m.rounds(far, meter).blocks, far)
	return &Range{m: m, e: e, LoUs: loUs, MostUs: mostUs}
}

// Outcome of a search.
type Outcome int

// Stopped: not found out. Found: At has it. Nothing: there is none.
const (
	Stopped Outcome = iota
	Found
	Nothing
)

// Search goes on for so many dead ends.
func (r *Range) Search(deadEnds int64) Outcome {
	switch r.e.search(deadEnds) {
	case found:
		return Found
	case nothing:
		return Nothing
	}
	return Stopped
}

// Full tells that there were too many decisions: searching on leads nowhere.
func (r *Range) Full() bool { return r.e.full }

// At is the cycle found and when each job fires in it.
func (r *Range) At() (cycleUs int64, atUs []int64) {
	t := r.e.found
	for _, b := range r.m.of {
		atUs = append(atUs, t.at[b])
	}
	return t.period, atUs
}

// Follow makes the search begin from such a timetable, right or not.
func (r *Range) Follow(cycleUs int64, atUs []int64) {
	at := make([]int64, r.m.n)
	for j, us := range atUs {
		at[r.m.of[j]] = us
	}
	r.e.follow(least{at: at, period: cycleUs})
}

// Below looks for shorter cycles than that found from now on.
func (r *Range) Below(us int64) {
	r.MostUs = min(r.MostUs, us-1)
	r.e.narrow(r.LoUs, r.MostUs)
	if r.e.found.at != nil {
		r.e.follow(r.e.found)
	}
}

// Soonest is, for every two blocks u and v of n of a problem, at u*n+v the least time after a firing of u at which v
// may fire, for all that the two demand of each other.
func Soonest(p instance.Problem) []int64 { return lay(p, Extra{}).far() }

// Weights is a bound: of blocks that hold so long, no set that may hold at once weighs more than Most.
type Weights struct {
	HoldUs, Weight []int64
	Most           int64
}

// Shares looks for weights of the blocks of a problem; none: Most is 0.
func Shares(p instance.Problem, meter *bound.Meter) Weights {
	m := lay(p, Extra{})
	s := m.shares(m.far(), meter)
	return Weights{s.hold, s.weight, s.most}
}

// Prices are what rows and columns of k pay each in the cheapest assignment of rows to columns: no cost, by row*k+column, is
// below the sum of its two, and all together make the sum of the cheapest.
func Prices(cost []int64, k int) (rows, columns []int64) {
	as := newAssignment(k)
	copy(as.cost, cost)
	as.solve()
	return as.u[1:], as.v[1:]
}

// Press times firings anew and anew while who comes first stays the same.
type Press struct {
	m     *model
	edges []edge
	meter *bound.Meter
}

// NewPress lays a problem and what it demands beyond out; nil: too much.
func NewPress(p instance.Problem, x Extra, meter *bound.Meter) *Press {
	if len(p.Jobs) > mostSearched {
		return nil
	}
	m := lay(p, x)
	if m.pieces() > mostPieces {
		return nil
	}
	return &Press{m: m, edges: m.frame(), meter: meter}
}

// Time finds the shortest cycle from loUs to mostUs in which firings that are too close in the order given, right or not, give way to the
// side that is nearer; false: there is none, or more is held than there is.
func (p *Press) Time(cycleUs int64, atUs []int64, loUs, mostUs int64) (int64, []int64, bool) {
	m := p.m
	at := make([]int64, m.n)
	for j, us := range atUs {
		at[m.of[j]] = us
	}
	edges := p.edges[:len(p.edges):len(p.edges)]
	for _, b := range m.between {
		for _, s := range b.spans {
			first, last := copies(s, loUs, mostUs)
			if last-first > mostVars || len(edges)+int(last-first) > 2*mostVars {
				return 0, nil, false
			}
			for k := first; k <= last; k++ {
				if 2*(at[b.v]-at[b.u]-k*cycleUs) >= s.before+s.after {
					edges = append(edges, edge{int32(b.u), int32(b.v), s.before, k})
				} else {
					edges = append(edges, edge{int32(b.v), int32(b.u), -s.after, -k})
				}
			}
		}
	}
	t := m.shortest(edges, loUs, mostUs, p.meter)
	if t.at == nil || m.overfull(t) != nil {
		return 0, nil, false
	}
	var out []int64
	for _, b := range m.of {
		out = append(out, t.at[b])
	}
	return t.period, out, true
}
