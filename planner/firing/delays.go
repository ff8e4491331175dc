package firing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler"
	"echowright/scheduler/delays"
	"echowright/scheduler/ghosts"
	"echowright/scheduler/instance"
)

// tableCycles is how many cycles a table of dithered delays holds before it repeats: at 60 ms some 4 s, and 128 bytes a sensor.
const tableCycles = 64

// oldest is how many cycles old the sound is that is played against chosen delays. What is older shifts as that of the same parity.
const oldest = 3

// delayed is what became of a wish for delays.
type delayed struct {
	without   int64 // cycle without them, us, as the controller runs it
	closing   closing
	terms     delays.Terms
	cannot    string
	hearing   delays.Hearing
	base      *work              // the plan without delays
	rises     bool               // alternating: the table is base's, in an order in which delays rise; else one that holds at any delay
	late      []int64            // alternating: of each job in every second cycle
	classes   delays.Classes     // alternating
	choice    delays.Alternating // alternating
	drawn     delays.Dithered    // dithered
	rows      []delays.Inequality
	threshold int64
	tables    [][]int64 // of each job
}

// hearing is who hears whom by any arc, whether a timetable keeps them apart or not.
func (w *work) hearing() delays.Hearing {
	h := delays.Hearing{Jobs: len(w.p.Jobs), Pairs: slices.Clone(w.let)}
	for _, a := range w.p.Arcs {
		if a.From != a.To {
			h.Pairs = append(h.Pairs, [2]int{a.From, a.To})
		}
	}
	h.Alike = append(h.Alike, w.p.Together...)
	h.Alike = append(h.Alike, w.p.Order...)
	return h
}

// noDelays is why sensors that fire several times a cycle get none.
const noDelays = "some sensors must fire several times a cycle to keep their refresh, each time with the delay of that cycle, so that their ghosts would repeat"

// withDelays is the firing plan with the delays wished, if there are any.
func (w *work) withDelays() (*work, error) {
	wish := w.sc.Wishes.Delays
	if wish.Way == "" || w.cannot != nil || w.read != nil || len(w.p.Jobs) == 0 {
		return w, nil
	}
	if w.often != nil {
		w.delayed = &delayed{cannot: noDelays}
		return w, nil
	}
	d := &delayed{without: int64(math.Ceil(w.ticks().realisedUs())), hearing: w.hearing(), base: w}
	w.delayed = d
	again, err := w.choose(wish)
	var no *delays.Cannot
	var contradiction *instance.Cannot
	switch {
	case errors.As(err, &no):
		d.cannot = no.Why
		return w, nil
	case errors.As(err, &contradiction):
		d.cannot = "no cycle holds whatever delay each firing has: " + contradiction.Wrong
		return w, nil
	case err != nil:
		return w, err
	}
	for _, r := range again.refresh() {
		if !r.Met {
			d.cannot = fmt.Sprintf("with them %s may fire %s after the time before, and shall every %s", r.Sensor, plan.Milliseconds(r.KeptUs), plan.Milliseconds(r.AskedUs))
			return w, nil
		}
	}
	return again, again.delayed.play()
}

// choose finds delays and the timetable that holds with them.
func (w *work) choose(wish scene.Delays) (again *work, err error) {
	d := w.delayed
	if d.closing, err = closingOf(w.sc); err != nil {
		return nil, err
	}
	d.terms = termsOf(w.sc, w.p, d.closing)
	if wish.Way == plan.Dithered {
		span := wish.Span.Microseconds() / d.terms.StepUs * d.terms.StepUs
		if again, err = w.fresh(filled(len(w.p.Jobs), span)); err != nil {
			return nil, err
		}
		again.delayed = d
		d.terms = termsOf(w.sc, again.p, d.closing)
		d.terms.CycleUs = int64(math.Ceil(again.ticks().realisedUs()))
		return again, d.draw(span, wish.Seed)
	}
	if d.classes, err = delays.Classify(w.ctx, d.hearing, w.t.Groups, scheduler.Options{Nodes: w.o.Nodes}); err != nil {
		return nil, err
	}
	rising := w.settled(func(d *delayed) (*work, error) { return w.rising(d) })
	if rising.err == nil && !w.isStaggered() {
		return rising.work, nil
	}
	if rising.err != nil { // a table that holds whatever delay each firing has
		any := w.settled(func(d *delayed) (*work, error) { return w.fresh(d.late) })
		return any.work, any.err
	}
	shifted := w.settled(func(d *delayed) (*work, error) { return w.shifted(d) })
	if shifted.err != nil || shifted.delayed.terms.CycleUs >= rising.delayed.terms.CycleUs {
		return rising.work, nil
	}
	shifted.slots.us, shifted.slots.proven = rising.slots.us, false
	return shifted.work, nil
}

// settlement is a timetable with alternating delays that fit each other, or why there is none.
type settlement struct {
	*work
	err error
}

// settled finds delays that fit the timetable which make gives for them, and puts the two to the scheduler's checker as the controller
// runs them.
func (w *work) settled(make func(d *delayed) (*work, error)) (s settlement) {
	d := *w.delayed
	var got int64
	s.err = settle(d.without, func(us int64) (_ int64, err error) {
		d.terms.CycleUs = us
		if d.choice, err = delays.Choose(d.terms, d.classes.Count); err != nil {
			return 0, err
		}
		d.setLate()
		if s.work, err = make(&d); err != nil {
			return 0, err
		}
		got = int64(math.Ceil(s.ticks().realisedUs()))
		if us := termsOf(w.sc, s.p, d.closing).LateUs; us > d.terms.LateUs { // chains, with longer delays than these were made for
			d.terms.LateUs, got = us, max(got, d.terms.CycleUs+1)
		}
		return got, nil
	})
	if s.err != nil {
		return s
	}
	d.terms.CycleUs, d.threshold = got, d.choice.ThresholdUs
	for _, us := range d.late {
		d.tables = append(d.tables, []int64{0, us})
	}
	d.rows = d.choice.Inequalities(d.terms, d.classes, w.living())
	s.delayed = &d
	if s.err = s.holds(w.p); s.err != nil && !errors.As(s.err, new(*delays.Cannot)) {
		s.err = &scheduler.InternalError{Refusal: s.err}
	}
	return s
}

func (d *delayed) setLate() {
	d.late = nil
	for _, k := range d.classes.Of {
		d.late = append(d.late, d.choice.DelaysUs[k])
	}
}

// draw fills the tables of dithered delays.
func (d *delayed) draw(spanUs int64, seed uint64) (err error) {
	of, sets := d.hearing.Sets()
	if d.drawn, err = delays.Dither(d.terms, sets, tableCycles, spanUs, seed); err != nil {
		return err
	}
	d.threshold = d.drawn.ThresholdUs
	for _, s := range of {
		d.tables = append(d.tables, d.drawn.TablesUs[s])
	}
	d.rows = []delays.Inequality{{Name: delays.TrueEcho, LeftUs: d.terms.ChangeUs(d.drawn.MostUs), RightUs: d.threshold, Jobs: [2]int{-1, -1}}}
	return nil
}

// fresh is the work begun anew with firings that may come so much later.
func (w *work) fresh(late []int64) (*work, error) {
	again := &work{ctx: w.ctx, sc: w.sc, arcs: w.arcs, o: w.o, rails: w.rails, clocks: append([]Clock(nil), w.clocks...)}
	for j, i := range w.sensors {
		again.clocks[i].DelayUs = late[j]
	}
	again.p, again.sensors = Problem(w.sc, again.clocks, w.arcs)
	if err := again.find(); err != nil {
		return nil, err
	}
	switch {
	case again.cannot != nil:
		return nil, again.cannot
	case again.often != nil:
		return nil, &delays.Cannot{Why: noDelays}
	}
	return again, nil
}

func filled(n int, us int64) []int64 {
	list := make([]int64, n)
	for i := range list {
		list[i] = us
	}
	return list
}

// living is how long windows and own sounds of a work without delays last.
func (w *work) living() delays.Living {
	l := delays.Living{AudibleUs: make([]int64, len(w.p.Jobs))}
	for _, j := range w.p.Jobs {
		l.ListensUs = append(l.ListensUs, j.CloseUs)
	}
	for _, a := range w.p.Arcs {
		if a.From == a.To {
			l.AudibleUs[a.From] = max(l.AudibleUs[a.From], a.UntilUs)
		}
	}
	return l
}

// play puts the delays to a checker that shares no code with what chose them: every true echo must count, and with alternating
// delays no ghost but a sensor's own two cycles old, and those of sets that are alike.
func (d *delayed) play() error {
	rule := ghosts.Rule{
		CycleUs: d.terms.CycleUs + d.terms.LateUs, FiringUs: d.terms.FiringUs, ReadingUs: d.terms.ReadingUs,
		ThresholdUs: d.threshold, Drift: d.terms.Drift, DelaysUs: d.tables,
	}
	if lost := rule.Lost(); len(lost) > 0 {
		return &scheduler.InternalError{Refusal: fmt.Errorf("delays drop a true echo of job %d", lost[0])}
	}
	if d.classes.Count == 0 {
		return nil
	}
	var pairs [][2]int
	for j := range d.tables {
		pairs = append(pairs, [2]int{j, j})
	}
	for _, p := range d.classes.Pairs {
		pairs = append(pairs, p, [2]int{p[1], p[0]})
	}
	for _, g := range rule.Accepted(pairs, oldest) {
		if g.From != g.To || g.Back%2 != 0 {
			return &scheduler.InternalError{Refusal: fmt.Errorf("delays let a ghost pass: sound of job %d, %d cycles old, read by job %d", g.From, g.Back, g.To)}
		}
	}
	return nil
}

// can is false where delays are wished and there are none.
func (d *delayed) can() bool { return d == nil || d.cannot == "" }

// latest is the longest delay of a job, us.
func (d *delayed) latest(job int) int64 {
	if d == nil || d.cannot != "" || len(d.tables) == 0 {
		return 0
	}
	return slices.Max(d.tables[job])
}

// table is how much later a job fires, cycle by cycle.
func (d *delayed) table(job int) []int64 {
	if d == nil || d.cannot != "" {
		return nil
	}
	return d.tables[job]
}
