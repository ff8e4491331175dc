package planner

import (
	"context"
	"fmt"
	"slices"

	"echowright/planner/acoustics"
	"echowright/planner/coverage"
	"echowright/planner/crosstalk"
	"echowright/planner/firing"
	"echowright/planner/latency"
	"echowright/planner/plan"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// Memory plans scenes one after the other, each much like the one before, and reckons again only what a change touches.
// It changes no byte of any Plan. What is remembered is found by the value of all that went into it, never by
// identity, and what the last two scenes did not use is forgotten. The zero value remembers nothing yet. It serves one
// goroutine at a time. Plans of one Memory share what did not change, so nothing in a Plan may be changed.
type Memory struct {
	// Workers is on how many goroutines coverage may be reckoned; 0 means one a processor.
	Workers int

	// hold is for many scenes that each differ from one and the same, of which verdicts alone are wanted: nothing is forgotten,
	// ways of travel that nobody asks for are left out, the search is as short as that of ways out, and it serves several goroutines at once.
	hold bool

	models   recall.Book[model]
	speeds   recall.Book[[2]acoustics.Extreme]
	clocks   recall.Book[firing.Clock]
	reaches  recall.Book[float64]
	drawn    recall.Book[[]plan.Curve]
	disagree recall.Book[[]plan.Finding]
	coverage coverage.Memory
	arcs     crosstalk.Memory
	sawLast  recall.Key // the last scene of which coverage was done
	hadArcs  recall.Key // the last of which arcs were
}

// model is what became of one kind in one span of weather.
type model struct {
	*acoustics.Model
	err error
}

// heard is a scene with what follows from each of its sensors alone.
type heard struct {
	sc               *scene.Scene
	key              recall.Key // stands for all of it
	slowest, fastest acoustics.Extreme
	ears             []*acoustics.Ear
	clocks           []firing.Clock
	kinds            []recall.Key // stand for the kinds in the scene's weather
}

// See is the share of a Plan that tells what is seen: zones, lobes, side views, coverage, blind spots, overlaps, constant
// readings and findings on them, with the machine and its sensors. No remedies are tried. Who disturbs whom, the firing
// plan and the warnings are left out, and Met speaks of coverage alone.
func (m *Memory) See(ctx context.Context, sc *scene.Scene) (*plan.Plan, error) {
	h, err := m.listen(sc)
	if err != nil {
		return nil, err
	}
	seen, err := m.look(ctx, h, false)
	if err != nil {
		return nil, err
	}
	p := m.describe(h, seen)
	p.Findings = bySeverity(slices.Concat(seen.Findings, m.cardFindings(h), recordedOnly(sc)))
	return p, nil
}

// Analyse is the function of that name, quicker where the last two scenes had the same.
func (m *Memory) Analyse(ctx context.Context, sc *scene.Scene, o Options) (*plan.Plan, error) {
	h, err := m.listen(sc)
	if err != nil {
		return nil, err
	}
	arcs, err := m.arcs.Arcs(ctx, sc, h.ears, h.slowest.Value, h.fastest.Value)
	if err != nil {
		return nil, err
	}
	if h.key != m.hadArcs && !m.hold {
		m.hadArcs = h.key
		m.arcs.Turn()
	}
	nodes := nodesFor(len(sc.Sensors))
	if m.hold {
		nodes /= firing.TryShare
	}
	fire, err := firing.Plan(ctx, sc, h.clocks, arcs, firing.Options{
		Nodes: nodes, Try: !o.Quick,
		Clock: func(sc *scene.Scene, i int) firing.Clock { return firing.ClockOf(sc, i, h.ears[i].Model()) },
	})
	if err != nil {
		return nil, err
	}
	seen, err := m.look(ctx, h, !o.Quick)
	if err != nil {
		return nil, err
	}
	p := m.describe(h, seen)
	p.Crosstalk, p.Schedule = fire.Arcs, fire.Schedule
	p.Findings = bySeverity(slices.Concat(seen.Findings, fire.Findings, m.cardFindings(h), recordedOnly(sc)))
	warn := latency.Analyse
	if m.hold {
		warn = latency.Asked
	}
	late := warn(sc, p)
	p.Warnings, p.Ready = late.Warnings, late.Ready
	if sc.Motion != nil {
		p.Sources = append(p.Sources, latency.Sources()...)
	}
	p.Findings = bySeverity(slices.Concat(p.Findings, late.Findings))
	p.Met = p.Met && fire.Schedule.Met && p.Disturbed() == 0 && late.Met()
	return p, nil
}

// listen makes the ear of every sensor and its clockwork; sensors of one kind share its model.
func (m *Memory) listen(sc *scene.Scene) (*heard, error) {
	h := &heard{sc: sc, key: recall.Of(sc), ears: make([]*acoustics.Ear, len(sc.Sensors)), clocks: make([]firing.Clock, len(sc.Sensors))}
	ends := m.speeds.Of(recall.Of(sc.Air), func() (ends [2]acoustics.Extreme) {
		ends[0], ends[1] = acoustics.SpeedSpan(sc.Air)
		return ends
	})
	h.slowest, h.fastest = ends[0], ends[1]
	h.kinds = make([]recall.Key, len(sc.Kinds))
	models := make([]*acoustics.Model, len(sc.Kinds))
	for i, k := range sc.Kinds {
		h.kinds[i] = recall.Of(k, sc.Air)
		found := m.models.Of(h.kinds[i], func() model {
			made, err := acoustics.NewModel(k, sc.Air)
			return model{made, err}
		})
		if found.err != nil {
			return nil, fmt.Errorf("kind %s: %w", k.Name, found.err)
		}
		models[i] = found.Model
	}
	asked := recall.Of(sc.Zones, sc.Targets, sc.Controller, sc.Wishes, sc.Wires, sc.Tolerance)
	for i, s := range sc.Sensors {
		h.ears[i] = models[s.Kind].Mount(s, sc.Around.Ground)
		h.clocks[i] = m.clocks.Of(recall.Of(h.kinds[s.Kind], s, asked), func() firing.Clock { return firing.ClockOf(sc, i, models[s.Kind]) })
	}
	return h, nil
}

// look reckons what is seen.
func (m *Memory) look(ctx context.Context, h *heard, advise bool) (coverage.Result, error) {
	reach := make([]float64, len(h.clocks))
	for i, c := range h.clocks {
		reach[i] = c.ListenM
	}
	seen, err := coverage.Analyse(ctx, h.sc, coverage.Inputs{Ears: h.ears, ListenM: reach, Advise: advise, Workers: m.Workers, Memory: &m.coverage})
	if err == nil {
		m.turn(h.key)
	}
	return seen, err
}

// describe is the Plan without firing and findings.
func (m *Memory) describe(h *heard, seen coverage.Result) *plan.Plan {
	sc := h.sc
	p := &plan.Plan{
		Format: plan.Format, Layout: sc.Name, Met: seen.Met(),
		Sources: acoustics.Sources(), States: sc.States,
		Air:    plan.Air{Slowest: h.slowest.Value, Fastest: h.fastest.Value, SlowestAt: weather(h.slowest.At), FastestAt: weather(h.fastest.At)},
		Around: around(sc.Around), Body: body(sc.Body), Sensors: m.sensors(h), Targets: targets(sc.Targets),
		Zones: seen.Zones, Lobes: seen.Lobes, SideViews: seen.SideViews, Curves: m.curves(h),
		Coverage: seen.Coverage, BlindSpots: seen.BlindSpots, Overlaps: seen.Overlaps, Masks: seen.Masks,
	}
	p.Deciding, p.EstimateList = deciding(sc)
	for _, a := range sc.Assumed {
		p.Assumed = append(p.Assumed, a.Text)
	}
	for _, a := range ourEstimates(sc) {
		p.Assumed = append(p.Assumed, a.Text)
		p.Deciding, p.EstimateList = p.Deciding+1, append(p.EstimateList, a.Text)
	}
	p.Estimates = len(p.EstimateList)
	return p
}

// turn says that what is seen of a scene is done.
func (m *Memory) turn(sc recall.Key) {
	if sc == m.sawLast || m.hold {
		return
	}
	m.sawLast = sc
	m.models.Turn()
	m.speeds.Turn()
	m.clocks.Turn()
	m.reaches.Turn()
	m.drawn.Turn()
	m.disagree.Turn()
	m.coverage.Turn()
}
