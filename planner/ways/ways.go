package ways

import (
	"cmp"
	"context"
	"errors"
	"runtime"
	"slices"
	"sync"

	"echowright/planner"
	"echowright/planner/parallel"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// Options of Find; the zero value does the whole job in silence.
type Options struct {
	// Found is called with every way out as it is found, one at a time, before they are ranked. In which order, is up to the machine.
	Found func(plan.Way)
	// Memory, when given, is the one that made the Plan: what it remembers is not reckoned again.
	Memory *planner.Memory
	// Workers is on how many goroutines it may work; 0 means one a processor.
	Workers int
}

// trialNodes is how far the scheduler searches where it only says whether something is worth an analysis.
const trialNodes = 500

// staggeredCost is how much more the scheduler's work is in style staggered; so much less is tried.
const staggeredCost = 4

// Find looks for ways out of a cycle that is too long, or could be shorter, chooses windows together, and draws up range against
// cycle. p is the Plan of sc, with its remedies. When ctx ends first, the error is that of ctx.
func Find(ctx context.Context, sc *scene.Scene, p *plan.Plan, o Options) (*plan.Ways, error) {
	w, err := begin(ctx, sc, p, o)
	if err != nil {
		return nil, err
	}
	return w.all()
}

// all does the search.
func (w *work) all() (*plan.Ways, error) {
	all := &plan.Ways{CycleUs: w.usUs, BudgetUs: w.p.Schedule.BudgetUs, From: w.from, Front: []plan.Limit{}}
	if len(w.problem.Jobs) == 0 {
		all.Out, all.NoFront = w.ranked(), "there is nothing to fire"
		return all, w.ctx.Err()
	}
	// Independent of each other, so that they may be done side by side; what they find is put together in this order.
	parts := [][]func(*work) error{{(*work).style, (*work).relax, (*work).readings, (*work).lines, (*work).carriers, (*work).ghosts}, {(*work).windows, (*work).arcs, (*work).draw}}
	done := []*work{w, w.apart()}
	faults := make([]error, len(parts))
	err := parallel.Each(w.ctx, len(parts), cmp.Or(w.workers, runtime.GOMAXPROCS(0)), func(i int) {
		for _, look := range parts[i] {
			if faults[i] = look(done[i]); faults[i] != nil {
				return
			}
		}
	})
	if err := cmp.Or(err, errors.Join(faults...)); err != nil {
		return nil, err
	}
	w.steps = append(w.steps, done[1].steps...)
	if err := w.several(); err != nil {
		return nil, err
	}
	all.Out, all.Choice = w.ranked(), done[1].choice
	all.Front, all.NoFront = done[1].limits, done[1].none
	return all, w.ctx.Err()
}

// begin is a search with nothing found yet.
func begin(ctx context.Context, sc *scene.Scene, p *plan.Plan, o Options) (w *work, err error) {
	w = &work{ctx: ctx, sc: sc, p: p, usUs: p.Schedule.RunsUs(), found: o.Found, telling: new(sync.Mutex), memory: o.Memory, workers: o.Workers}
	if w.memory == nil {
		w.memory = &planner.Memory{Workers: o.Workers}
	}
	if len(p.Schedule.Firings) == 0 {
		w.usUs = 0
	}
	if w.problem, err = w.memory.Problem(ctx, sc); err != nil {
		return nil, err
	}
	w.from = w.reason()
	if len(w.problem.Jobs) > 0 {
		w.trialUs = w.solve(sc, w.problem)
	}
	return w, nil
}

// apart is the same search with memories of its own.
func (w *work) apart() *work {
	return &work{ctx: w.ctx, sc: w.sc, p: w.p, problem: w.problem, usUs: w.usUs, trialUs: w.trialUs, from: w.from, found: w.found, telling: w.telling, memory: &planner.Memory{Workers: w.workers}, workers: w.workers}
}

// work is one search for ways out.
type work struct {
	ctx     context.Context
	sc      *scene.Scene
	p       *plan.Plan
	memory  *planner.Memory // of whole scenes
	pairs   planner.Memory  // of two sensors alone
	workers int
	problem instance.Problem
	usUs    int64    // the cycle as it is; 0: there is no table
	trialUs int64    // the same as the short search has it
	from    []string // sensors that make it so long
	found   func(plan.Way)
	telling *sync.Mutex // held while found is called
	steps   []step      // that were offered
	choice  *plan.Choice
	limits  []plan.Limit
	none    string // why there are no limits
}

// step is a way out that was offered, and how to make it.
type step struct {
	plan.Way
	of    []string // kinds of its parts, where it is several
	under int64    // the cycle that any of them alone gives; 0: none
	apply func(*scene.Scene) (*scene.Scene, error)
}

// change is a step that a layout's edits can say.
func change(kind, what string, changes ...plan.Change) step {
	return step{Way: plan.Way{Kind: kind, What: what, Changes: changes}, apply: func(sc *scene.Scene) (*scene.Scene, error) { return With(sc, changes...) }}
}

// reason lists the sensors that make the cycle as long as it is, in the order of the scene: those of the demands that clash and
// those that make the bound, or all.
func (w *work) reason() (names []string) {
	var of []string
	for _, d := range w.p.Schedule.Clash {
		of = append(of, d.Sensors...)
	}
	of = append(of, w.p.Schedule.MadeBy...)           // relief of those that clash alone may leave others that clash
	everyone := len(of) == 0 || w.problem.Refreshes() // a refresh makes all of them part of it
	for _, j := range w.problem.Jobs {
		if everyone || slices.Contains(of, j.Name) {
			names = append(names, j.Name)
		}
	}
	return names
}

// solve is the cycle of a problem after a short search, in the style of its scene; 0 where it has none.
func (w *work) solve(sc *scene.Scene, p instance.Problem) int64 {
	us, _ := w.search(sc, p)
	return us
}

// search is the same, and whether it is proven to be the shortest.
func (w *work) search(sc *scene.Scene, p instance.Problem) (us int64, proven bool) {
	o := scheduler.Options{Nodes: trialNodes, Bare: true}
	if sc.Wishes.Style == plan.Staggered {
		p.Style, o.Nodes = instance.Staggered, trialNodes/staggeredCost
	}
	t, err := scheduler.Solve(w.ctx, p, o)
	if err != nil {
		return 0, true
	}
	return t.CycleUs, t.Proven
}

// timed is the problem of a scene in which all sensors stand, look and sound as they do now: who hears whom when is then the same, and not
// looked for again.
func (w *work) timed(sc *scene.Scene) (instance.Problem, error) {
	bare := *sc
	bare.Body.Outline = nil // about half a machine nothing is asked
	p, err := w.memory.Problem(w.ctx, &bare)
	p.Arcs = w.problem.Arcs
	return p, err
}

// solveOf is the cycle of a scene after a short search.
func (w *work) solveOf(sc *scene.Scene) (int64, error) {
	p, err := w.memory.Problem(w.ctx, sc)
	if err != nil {
		return 0, err
	}
	return w.solve(sc, p), nil
}

// worthShare is the part of a cycle that a way out must win to be worth telling. Common practice, no source.
const worthShare = 0.005

// wins reports whether a cycle is shorter than another by more than nothing much; 0 is no cycle at all.
func wins(us, before int64) bool {
	return us > 0 && (before == 0 || float64(before-us) >= worthShare*float64(before))
}

// shorter reports whether a cycle of the short search is worth an analysis.
func (w *work) shorter(us int64) bool { return wins(us, w.trialUs) }

// plan is the whole plan of another scene.
func (w *work) plan(sc *scene.Scene) (*plan.Plan, error) {
	return w.memory.Analyse(w.ctx, sc, planner.Options{Quick: true})
}

// offer analyses the scene with a step made, and offers it where the cycle gets shorter by it, or more sensors fire as often as asked. A step whose outcome cannot be
// planned at all, by figures that contradict each other, is none.
func (w *work) offer(s step) (ok bool, err error) {
	sc, err := s.apply(w.sc)
	if err != nil {
		return false, w.ctx.Err()
	}
	after, err := w.plan(sc)
	if err != nil {
		return false, w.ctx.Err()
	}
	w.weigh(&s.Way, after)
	oftener := after.Schedule.RefreshKept() > w.p.Schedule.RefreshKept()
	if !oftener && (!wins(s.CycleUs[1], w.usUs) || !wins(s.CycleUs[1], s.under)) {
		return false, nil
	}
	w.steps = append(w.steps, s)
	if w.found != nil {
		w.telling.Lock()
		defer w.telling.Unlock()
		w.found(s.Way)
	}
	return true, nil
}
