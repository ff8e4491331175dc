package clash

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// Kind is what sort of thing a demand asks.
type Kind string

// The kinds.
const (
	Job      Kind = "job"       // it fires, and is occupied so long
	Pair     Kind = "pair"      // two keep off each other: all arcs and conflicts between them, either way
	Own      Kind = "own-sound" // no window of a job takes what it sent in a cycle before
	Rest     Kind = "rest"      // a job rests before it fires again
	Refresh  Kind = "refresh"   // a job fires again within so long
	Together Kind = "together"  // a set fires together
	Order    Kind = "order"     // a chain fires in its order
	Resource Kind = "resource"  // no more in use than there is
	AtOnce   Kind = "at-once"   // no more jobs occupied at once
	Guard    Kind = "guard"
	Jitter   Kind = "jitter"
)

// Demand is one of those that clash. Jobs counts in the problem asked about.
type Demand struct {
	Kind  Kind
	Jobs  []int // whom it concerns: those of the clash alone; none for at-once, guard and jitter
	Index int   // of a set, chain or resource in the problem
	Us    int64 // job: occupied so long; rest, refresh, guard, jitter: that long
	Most  int64 // resource, at-once: how much there is
	Never bool  // pair: no sound in it, it is in conflict
}

// Clash is a set of demands that cannot all be kept within the budget.
type Clash struct {
	Demands  []Demand // none: none was found
	BudgetUs int64
	// BoundUs is what no cycle that keeps them is shorter than. 0: no cycle keeps them, however long.
	BoundUs  int64
	Smallest bool // proven: without any one of them, the others can be kept
	// Text says it in a line, Why in the lines of the scheduler's own proof.
	Text  string
	Why   string
	Nodes int64 // work done, the same on every machine
}

// Options of Find.
type Options struct {
	Nodes int64 // most work in all; 0: no limit
}

// The parts of all work that one step may take, by its divisor, and what a step costs before its search: laying bare each
// pair of jobs, as many as a node's time holds.
const (
	stepShare  = 16
	againShare = 4
	pairsANode = 8
	mostSaid   = 1_000 // more demands are no reason
)

// Find looks for the clash in a problem. t is what Solve came to for it, in its style; the zero value is solved anew. A problem
// whose budget is met, or not proven to be missed, has no clash, and where more than a thousand demands are left when the work is used
// up, none is told. The error is a fault of the problem or of the solver, or the
// context's when that has ended before anything was known.
func Find(ctx context.Context, p instance.Problem, t instance.Timetable, o Options) (Clash, error) {
	if err := p.Validate(); err != nil {
		return Clash{}, err
	}
	f := &filter{ctx: ctx, p: p, limit: p.BudgetUs, o: o, all: demandsOf(p)}
	f.kept = make([]bool, len(f.all))
	for k := range f.kept {
		f.kept[k] = true
	}
	switch {
	case p.Possible() != nil:
		f.limit = 0 // the contradiction holds whatever the budget
	case p.BudgetUs == 0 && !p.Refreshes():
		return Clash{}, nil
	default:
		if len(t.Firings) == 0 {
			var err error
			t, err = scheduler.Solve(ctx, p, scheduler.Options{Nodes: f.share(againShare)})
			f.nodes += t.Nodes
			var lost *scheduler.NotFound
			switch {
			case isCannot(err):
				f.limit = 0 // so do limits that cannot be kept
			case errors.As(err, &lost):
				t.LowerBoundUs = lost.AtLeastUs
				f.nodes += lost.Nodes
			case err != nil:
				return Clash{}, err
			}
			if f.limit == 0 {
				break
			}
		}
		if f.bound = t.LowerBoundUs; f.bound <= f.limit {
			return Clash{Nodes: f.nodes}, nil
		}
		f.begin(t.Clique)
	}
	if err := f.run(); err != nil {
		return Clash{}, err
	}
	return f.clash()
}

func isCannot(err error) bool {
	var cannot *instance.Cannot
	return errors.As(err, &cannot)
}

// filter leaves demands out as long as the others clash.
type filter struct {
	ctx    context.Context
	p      instance.Problem
	limit  int64 // 0: no cycle at all
	o      Options
	all    []Demand
	kept   []bool
	unsure []int // demands kept because it was not found out whether they are needed
	bound  int64 // on the cycle of those kept
	nodes  int64
	err    error
}

// begin leaves out all jobs but those that make the bound, if they do it alone.
func (f *filter) begin(clique []int) {
	if len(clique) == 0 || len(clique) == len(f.p.Jobs) {
		return
	}
	var others []int
	for j := range f.p.Jobs {
		if !slices.Contains(clique, j) {
			others = append(others, j)
		}
	}
	f.without(others, stepShare)
}

// run leaves out what is not needed, kind by kind.
func (f *filter) run() error {
	occupied := f.p.OccupiedUs()
	jobs := f.left(Job)
	slices.SortStableFunc(jobs, func(a, b int) int { return cmp.Or(cmp.Compare(occupied[a], occupied[b]), cmp.Compare(b, a)) })
	f.drop(jobs, false)
	for k, d := range f.all {
		f.kept[k] = f.kept[k] && f.says(d)
	}
	// What holds for many comes last: it stays in place of the many pairs it is worth.
	for _, kinds := range [][]Kind{{Jitter}, {Guard}, {Rest}, {Refresh}, {Pair, Own}, {Order}, {Together}, {Resource}, {AtOnce}} {
		f.drop(f.left(kinds...), false)
	}
	again := f.unsure
	f.unsure = nil
	for _, k := range again {
		if f.kept[k] && f.without([]int{k}, againShare) == unknown {
			f.unsure = append(f.unsure, k)
		}
	}
	return f.err
}

// left lists the demands of some kinds that are still kept.
func (f *filter) left(kinds ...Kind) (list []int) {
	for k, d := range f.all {
		if f.kept[k] && slices.Contains(kinds, d.Kind) {
			list = append(list, k)
		}
	}
	return list
}

// says tells whether a demand still asks anything of the jobs that are left.
func (f *filter) says(d Demand) bool {
	n := len(f.among(d.Jobs))
	switch d.Kind {
	case AtOnce, Guard, Jitter:
		return true
	case Pair:
		return n == 2
	case Together, Order:
		return n > 1
	}
	return n > 0
}

// among lists those jobs that are left.
func (f *filter) among(jobs []int) (some []int) {
	for _, j := range jobs {
		if f.kept[j] {
			some = append(some, j)
		}
	}
	return some
}

// drop leaves out what it can of a list, halves at a time; needed tells that it is known not to go all at once.
func (f *filter) drop(list []int, needed bool) {
	if len(list) == 0 {
		return
	}
	if f.spent() {
		f.unsure = append(f.unsure, list...)
		return
	}
	if !needed {
		switch f.without(list, stepShare) {
		case impossible:
			return
		case possible:
			needed = true
		case unknown:
			if len(list) == 1 {
				f.unsure = append(f.unsure, list[0])
			}
		}
	}
	if len(list) == 1 {
		return
	}
	left, right := list[:len(list)/2], list[len(list)/2:]
	f.drop(left, false)
	gone := !slices.ContainsFunc(left, func(k int) bool { return f.kept[k] })
	f.drop(right, needed && gone)
}

type verdict int

const (
	unknown verdict = iota
	possible
	impossible
)

// without finds out whether the demands kept clash even without those of the list, and leaves these out if so.
func (f *filter) without(list []int, part int64) verdict {
	if f.spent() {
		return unknown
	}
	was := slices.Clone(f.kept)
	for _, k := range list {
		f.kept[k] = false
	}
	v, bound := f.decide(part)
	if v == impossible {
		f.bound = bound
	} else {
		f.kept = was
	}
	return v
}

// decide asks whether the demands kept can be kept within the limit; if not, with a bound above it.
func (f *filter) decide(part int64) (verdict, int64) {
	q, _ := f.problem()
	switch {
	case q.Possible() != nil:
		return impossible, 0
	case f.limit == 0 && !q.Refreshes() || len(q.Jobs) == 0:
		return possible, 0
	}
	// Either answer ends the search, at a node that is the same on every machine.
	ctx, cancel := context.WithCancel(f.ctx)
	defer cancel()
	t, err := scheduler.Solve(ctx, q, scheduler.Options{Nodes: f.share(part), Bare: true, Progress: func(cycleUs, leastUs, _ int64) {
		if cycleUs <= f.limit || f.limit > 0 && leastUs > f.limit || f.limit == 0 && cycleUs > 0 {
			cancel()
		}
	}})
	n := int64(len(q.Jobs))
	f.nodes += t.Nodes + n*n/pairsANode + 1
	var lost *scheduler.NotFound
	switch {
	case isCannot(err):
		return impossible, 0
	case errors.As(err, &lost):
		if f.nodes += lost.Nodes; f.limit > 0 && lost.AtLeastUs > f.limit {
			return impossible, lost.AtLeastUs
		}
	case f.limit == 0 && err == nil:
		return possible, 0
	case err != nil:
		f.err = cmp.Or(f.err, err)
	case t.CycleUs <= f.limit:
		return possible, 0
	case t.LowerBoundUs > f.limit:
		return impossible, t.LowerBoundUs
	}
	return unknown, 0
}

// spent tells whether no more work is allowed. What contradicts itself is seen without a search.
func (f *filter) spent() bool {
	return f.ctx.Err() != nil || (f.limit > 0 || f.p.Refreshes()) && f.o.Nodes > 0 && f.nodes >= f.o.Nodes
}

// share is the work that a step may take.
func (f *filter) share(part int64) int64 {
	if f.o.Nodes == 0 {
		return 0
	}
	return max(1, min(f.o.Nodes/part, f.o.Nodes-f.nodes))
}

// clash is what is left, with its bound and words.
func (f *filter) clash() (Clash, error) {
	c := Clash{BudgetUs: f.limit, BoundUs: f.bound, Smallest: len(f.unsure) == 0}
	for k, d := range f.all {
		if f.kept[k] {
			d.Jobs = f.among(d.Jobs)
			c.Demands = append(c.Demands, d)
		}
	}
	if len(c.Demands) > mostSaid {
		return Clash{Nodes: f.nodes}, nil
	}
	q, jobs := f.problem()
	var t instance.Timetable
	err := q.Possible()
	if err == nil && (f.limit > 0 || q.Refreshes()) {
		t, err = scheduler.Solve(f.ctx, q, scheduler.Options{Nodes: f.share(againShare)})
	}
	f.nodes += t.Nodes
	var cannot *instance.Cannot
	var lost *scheduler.NotFound
	switch {
	case errors.As(err, &cannot):
		c.BoundUs, c.Why = 0, cannot.Wrong
	case errors.As(err, &lost):
		c.BoundUs = max(f.bound, lost.AtLeastUs)
		f.nodes += lost.Nodes
	case err != nil:
		return Clash{}, err
	case f.limit > 0:
		c.BoundUs, c.Why = max(f.bound, t.LowerBoundUs), t.Why
	}
	c.Nodes = f.nodes
	c.Text = teller{p: f.p, q: q, jobs: jobs, t: t, c: c}.text()
	return c, nil
}
