package margins

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"echowright/planner/crosstalk"
	"echowright/planner/firing"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// Tools reckon a changed scene. They should remember what a change does not touch: scenes follow that differ from the first in one thing each. They
// are called by several goroutines at once.
type Tools struct {
	// Listen gives the clockwork of each sensor, and who hears whom.
	Listen func(ctx context.Context, sc *scene.Scene) ([]firing.Clock, []crosstalk.Arc, error)
	// Plan is the whole Plan, without remedies.
	Plan func(ctx context.Context, sc *scene.Scene) (*plan.Plan, error)
}

// run is one reckoning.
type run struct {
	ctx     context.Context
	sc      *scene.Scene
	base    *plan.Plan
	tools   Tools
	demands []demand // of the base

	clocks   []firing.Clock
	arcs     []crosstalk.Arc
	problem  instance.Problem
	sensors  []int // of each job
	table    instance.Timetable
	hasTable bool
}

// Reckon finds what breaks first and what each sensor's loss takes away. p is the Plan of sc. When ctx ends first, what is reckoned by then is told,
// with the names of what is not; the error is then nil.
func Reckon(ctx context.Context, sc *scene.Scene, p *plan.Plan, tools Tools) (*plan.Margins, error) {
	m := &plan.Margins{Missed: []string{}, Rows: []plan.Margin{}, Lost: []plan.Lost{}, FirstKept: -1, FirstAnew: -1}
	r := &run{ctx: ctx, sc: sc, base: p, tools: tools, demands: demandsOf(p)}
	for _, d := range r.demands {
		if !d.met {
			m.Missed = append(m.Missed, d.said())
		}
	}
	if err := r.begin(); err != nil {
		if ctx.Err() != nil {
			m.NotReckoned = append(m.NotReckoned, "anything")
			return m, nil
		}
		return nil, err
	}
	late := func(err error, what string) error {
		if err != nil && ctx.Err() != nil {
			m.NotReckoned = append(m.NotReckoned, what)
			return nil
		}
		return err
	}
	rows := r.rows()
	fill := func(rows []row) error {
		for _, w := range rows {
			err := r.fill(&w)
			m.Rows = append(m.Rows, w.Margin)
			if err = late(err, w.Quantity+", "+w.Change); err != nil {
				return err
			}
		}
		return nil
	}
	// The quick ones and the losses come before what asks for new acoustics at every step.
	quick := 0
	for quick < len(rows) && !rows[quick].slow {
		quick++
	}
	if err := fill(rows[:quick]); err != nil {
		return nil, err
	}
	lost, err := each(ctx, len(sc.Sensors), r.lose)
	if m.Lost = append(m.Lost, lost...); err != nil {
		if err = late(err, "what is lost with each sensor"); err != nil {
			return nil, err
		}
	}
	if err := fill(rows[quick:]); err != nil {
		return nil, err
	}
	m.FirstKept = first(m.Rows, func(w plan.Margin) *plan.Break { return w.Spent })
	m.FirstAnew = first(m.Rows, func(w plan.Margin) *plan.Break { return w.Anew })
	return m, nil
}

// begin reckons what the changes start from.
func (r *run) begin() (err error) {
	if r.clocks, r.arcs, err = r.tools.Listen(r.ctx, r.sc); err != nil {
		return err
	}
	r.problem, r.sensors = r.asked(r.sc, r.clocks, r.arcs)
	if r.base.Schedule.Delays != nil { // the checker knows of no delays
		return nil
	}
	// The firmware runs whole ticks; where rounding those to microseconds loses what was just enough, the table before it stands for it.
	for _, s := range []plan.Schedule{r.base.Schedule.Ticked(), r.base.Schedule} {
		if r.table, r.hasTable = timetable(s, r.problem); !r.hasTable || refuse(r.problem, r.table) == nil {
			return nil
		}
	}
	return nil
}

// asked is the problem of a scene in the style of the Plan.
func (r *run) asked(sc *scene.Scene, clocks []firing.Clock, arcs []crosstalk.Arc) (instance.Problem, []int) {
	p, sensors := firing.Problem(sc, clocks, arcs)
	if r.base.Schedule.Style == plan.Staggered {
		p.Style = instance.Staggered
	}
	for _, kept := range r.base.Schedule.Refresh {
		for k := range p.Jobs {
			if p.Jobs[k].Name == kept.Sensor { // a wish that is missed as it stands cannot break
				p.Jobs[k].EveryUs = max(kept.AskedUs, kept.KeptUs)
			}
		}
	}
	return p, sensors
}

// fill looks for the least changes of one row.
func (r *run) fill(w *row) (err error) {
	n := max(1, w.n)
	steps := func(step float64) (out []int64) {
		for _, x := range w.Tried {
			out = append(out, int64(math.Round(x/step)))
		}
		return out
	}
	search := func(step float64, at func(i int, x float64) (*broken, error)) (*plan.Break, error) {
		k, i, why, err := least(r.ctx, n, steps(step), func(i int, k int64) (*broken, error) {
			if err := r.ctx.Err(); err != nil {
				return nil, err
			}
			b, err := at(i, units(k, step))
			if err == nil {
				err = r.ctx.Err() // a search cut short by it proves nothing
			}
			return b, err
		})
		if err != nil {
			return nil, err
		}
		b := &plan.Break{At: units(k, step), Step: step, None: why == nil}
		if why != nil {
			b.Rule, b.Sensors, b.Text = why.rule, why.sensors, why.text
			if w.alone != nil && k > 0 {
				b.Text = w.alone(i) + ": " + b.Text
			}
		}
		return b, nil
	}
	if r.hasTable && w.kept != nil {
		problem := remembered(w.kept)
		ask := func(spent bool) (*plan.Break, error) {
			return search(w.step, func(i int, x float64) (*broken, error) {
				p, err := problem(i, x)
				if err != nil {
					return nil, err
				}
				if spent {
					p.GuardUs = 0
				}
				return refuse(p, r.table), nil
			})
		}
		if w.Kept, err = ask(false); err != nil {
			return err
		}
		if !w.only {
			if w.Spent, err = ask(true); err != nil {
				return err
			}
		}
	}
	if w.anew != nil {
		w.Anew, err = search(w.coarse, func(i int, x float64) (*broken, error) {
			if x == 0 {
				return nil, nil // what is missed already is no change's doing
			}
			sc := w.anew(i, x)
			p, err := r.tools.Plan(r.ctx, sc)
			if err != nil {
				return nil, err
			}
			gone := flipped(r.demands, demandsOf(p))
			if slices.ContainsFunc(gone, demand.ofFiring) {
				if stands, err := r.stands(sc); err != nil {
					return nil, err
				} else if stands { // a search cut short found nothing as good
					gone = slices.DeleteFunc(gone, demand.ofFiring)
				}
			}
			b := missed(gone)
			if b != nil && gone[0].ofFiring() && !p.Schedule.Proven {
				b.text += " (the best found)"
			}
			return b, nil
		})
	}
	return err
}

// stands reports whether the checker takes the timetable there is for another scene.
func (r *run) stands(sc *scene.Scene) (bool, error) {
	if !r.hasTable {
		return false, nil
	}
	clocks, arcs, err := r.tools.Listen(r.ctx, sc)
	if err != nil {
		return false, err
	}
	p, _ := r.asked(sc, clocks, arcs)
	return len(p.Jobs) == len(r.problem.Jobs) && refuse(p, r.table) == nil, nil
}

// remembered asks for no problem twice: with and without the guard mostly the same changes are tried.
func remembered(problem func(int, float64) (instance.Problem, error)) func(int, float64) (instance.Problem, error) {
	type change struct {
		i int
		x float64
	}
	var known sync.Map
	return func(i int, x float64) (instance.Problem, error) {
		if p, ok := known.Load(change{i, x}); ok {
			return p.(instance.Problem), nil
		}
		p, err := problem(i, x)
		if err == nil {
			known.Store(change{i, x}, p)
		}
		return p, err
	}
}

// units is a number of steps in units, rounded once.
func units(k int64, step float64) float64 {
	if step < 1 {
		return float64(k) / math.Round(1/step)
	}
	return float64(k) * step
}

// missed is the first of the demands that flipped.
func missed(ds []demand) *broken {
	if len(ds) == 0 {
		return nil
	}
	b := &broken{rule: ds[0].kind, text: ds[0].said()}
	if s := ds[0].sensor; s != "" {
		b.sensors = []string{s}
	}
	if n := len(ds) - 1; n > 0 {
		b.text += fmt.Sprintf("; %d more likewise", n)
	}
	return b
}

// first is the row that breaks soonest, or -1: the one whose greatest change found right is the least part of what is allowed for, so that of
// those with no room at all the first counts, however finely each is asked.
func first(rows []plan.Margin, of func(plan.Margin) *plan.Break) int {
	best, least := -1, math.Inf(1)
	for k, w := range rows {
		b := of(w)
		if b == nil || b.None {
			continue
		}
		if parts := math.Max(0, b.At-b.Step) / w.Allowed; parts < least {
			best, least = k, parts
		}
	}
	return best
}
