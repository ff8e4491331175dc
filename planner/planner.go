// Package planner is the one entry: a layout in, a Plan out.
//
//	layout bytes ─► Load ─► scene.Scene ─► Analyse ─► plan.Plan
//	                                        │ acoustics: what each sensor hears, one Ear each
//	                                        │ crosstalk, firing: who disturbs whom, when to fire
//	                                        │ coverage: what is seen, what is missed and why
//	                                        └ latency: whether a warning comes in time to stop
//
// Load and Analyse are functions of plain values: no files, no clock, no display. The same input gives
// the same Plan on any number of processors.
package planner

import (
	"context"
	"fmt"
	"slices"

	"echowright/planner/acoustics"
	"echowright/planner/coverage"
	"echowright/planner/crosstalk"
	"echowright/planner/diag"
	"echowright/planner/firing"
	"echowright/planner/latency"
	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// Load parses a layout and resolves it against the built-in kinds of module. file is the name that
// messages show. The scene is nil when the list holds an error, and the list then holds all that is wrong,
// with the text and with what it says.
func Load(file string, data, kinds []byte) (*scene.Scene, diag.List) {
	builtIn, list := layout.ParseKinds("built-in kinds", kinds)
	if list.HasErrors() {
		return nil, list
	}
	doc, list := layout.Draft(file, data)
	if doc == nil {
		return nil, list
	}
	sc, more := resolve.Scene(doc, builtIn)
	if sc != nil {
		sc.References = references(builtIn)
	}
	return sc, append(list, more...).Sort()
}

// references are the built-in targets by which any two kinds can be compared.
func references(builtIn *layout.Document) (out []scene.Target) {
	_, targets, _ := resolve.Kinds(builtIn)
	for _, t := range targets {
		if slices.Contains([]string{"wall", "post-75", "cloth"}, t.Name) {
			out = append(out, t)
		}
	}
	return out
}

// searchNodes bounds the search for the shortest cycle by work and not by time, so that the answer does
// not depend on the machine. It is half a second for 64 sensors; arrays of today are proven long before.
const searchNodes = 50_000

// Options of Analyse; the zero value does the whole job.
type Options struct {
	// Quick leaves out the remedies that are tried by reckoning again.
	Quick bool
}

// Analyse plans a scene. When ctx ends before all is reckoned there is no Plan and the error is that of ctx; any other error
// is a fault of this program or a module whose figures contradict each other.
func Analyse(ctx context.Context, sc *scene.Scene, o Options) (*plan.Plan, error) {
	ears, err := listen(sc)
	if err != nil {
		return nil, err
	}
	slowest, fastest := acoustics.SpeedSpan(sc.Air)
	arcs, err := crosstalk.Arcs(ctx, sc, ears, slowest.Value, fastest.Value)
	if err != nil {
		return nil, err
	}
	clocks := firing.Clocks(sc, ears)
	fire, err := firing.Plan(ctx, sc, clocks, arcs, firing.Options{Nodes: searchNodes, Try: !o.Quick})
	if err != nil {
		return nil, err
	}
	reach := make([]float64, len(clocks))
	for i, c := range clocks {
		reach[i] = c.ListenM
	}
	seen, err := coverage.Analyse(ctx, sc, coverage.Inputs{Ears: ears, ListenM: reach, Advise: !o.Quick})
	if err != nil {
		return nil, err
	}

	p := &plan.Plan{
		Format: plan.Format, Layout: sc.Name, Met: seen.Met() && fire.Schedule.Met,
		Sources: acoustics.Sources(), States: sc.States,
		Air:    plan.Air{Slowest: slowest.Value, Fastest: fastest.Value, SlowestAt: weather(slowest.At), FastestAt: weather(fastest.At)},
		Around: around(sc.Around), Body: body(sc.Body), Sensors: sensors(sc, ears, clocks), Targets: targets(sc.Targets),
		Zones: seen.Zones, Lobes: seen.Lobes, SideViews: seen.SideViews, Curves: curves(sc, ears),
		Coverage: seen.Coverage, BlindSpots: seen.BlindSpots, Overlaps: seen.Overlaps, Masks: seen.Masks,
		Crosstalk: fire.Arcs, Schedule: fire.Schedule, Findings: bySeverity(slices.Concat(seen.Findings, fire.Findings, cardFindings(sc), recordedOnly(sc))),
	}
	late := latency.Analyse(sc, p)
	p.Warnings, p.Ready = late.Warnings, late.Ready
	if sc.Motion != nil {
		p.Sources = append(p.Sources, latency.Sources()...)
	}
	p.Findings = bySeverity(slices.Concat(p.Findings, late.Findings))
	p.Met = p.Met && p.Disturbed() == 0 && late.Met()
	p.Deciding, p.EstimateList = deciding(sc)
	for _, a := range sc.Assumed {
		p.Assumed = append(p.Assumed, a.Text)
	}
	for _, a := range ourEstimates(sc) {
		p.Assumed = append(p.Assumed, a.Text)
		p.Deciding, p.EstimateList = p.Deciding+1, append(p.EstimateList, a.Text)
	}
	p.Estimates = len(p.EstimateList)
	return p, nil
}

// CodeRecordedOnly marks what the layout says and the plan does not reckon with yet.
const CodeRecordedOnly = "recorded-only"

func recordedOnly(sc *scene.Scene) (fs []plan.Finding) {
	for _, text := range sc.Recorded {
		fs = append(fs, plan.Finding{Severity: plan.Note, Code: CodeRecordedOnly, Text: text, Where: "layout"})
	}
	return fs
}

// listen makes the ear of every sensor; sensors of one kind share its model.
func listen(sc *scene.Scene) ([]*acoustics.Ear, error) {
	models := make([]*acoustics.Model, len(sc.Kinds))
	for i, k := range sc.Kinds {
		m, err := acoustics.NewModel(k, sc.Air)
		if err != nil {
			return nil, fmt.Errorf("kind %s: %w", k.Name, err)
		}
		models[i] = m
	}
	ears := make([]*acoustics.Ear, len(sc.Sensors))
	for i, s := range sc.Sensors {
		ears[i] = models[s.Kind].Mount(s, sc.Around.Ground)
	}
	return ears, nil
}

// bySeverity puts what is not met first and keeps the order within a severity.
func bySeverity(fs []plan.Finding) []plan.Finding {
	rank := []string{plan.NotMet, plan.Look, plan.Note}
	slices.SortStableFunc(fs, func(a, b plan.Finding) int {
		return slices.Index(rank, a.Severity) - slices.Index(rank, b.Severity)
	})
	return fs
}
