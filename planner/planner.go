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
	"slices"

	"echowright/planner/diag"
	"echowright/planner/firing"
	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/resolve"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
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
	for _, t := range resolve.Targets(builtIn) {
		if slices.Contains([]string{"wall", "post-75", "cloth"}, t.Name) {
			out = append(out, t)
		}
	}
	return out
}

// The search for the shortest cycle is bounded by work and not by time, so that the answer does not depend on the
// machine: half a second for so many sensors, and no more nodes than that time holds where there are more.
const (
	searchNodes   = 50_000
	searchSensors = 64
)

// nodesFor is how many nodes the search of n sensors may take: one takes every block to every place and asks all groups
// about it, so its work grows with the cube of n.
func nodesFor(n int) int64 {
	if n <= searchSensors {
		return searchNodes
	}
	share := float64(searchSensors) / float64(n)
	return int64(searchNodes * float64(share*share) * share)
}

// Options of Analyse; the zero value does the whole job.
type Options struct {
	// Quick leaves out the remedies that are tried by reckoning again.
	Quick bool
}

// Analyse plans a scene. When ctx ends before all is reckoned there is no Plan and the error is that of ctx; any other error
// is a fault of this program or a module whose figures contradict each other.
func Analyse(ctx context.Context, sc *scene.Scene, o Options) (*plan.Plan, error) {
	return new(Memory).Analyse(ctx, sc, o)
}

// Problem is what Analyse asks the scheduler for a scene.
func Problem(ctx context.Context, sc *scene.Scene) (instance.Problem, error) {
	return new(Memory).Problem(ctx, sc)
}

// Problem is the function of that name, quicker where scenes before had the same.
func (m *Memory) Problem(ctx context.Context, sc *scene.Scene) (instance.Problem, error) {
	h, err := m.listen(sc)
	if err != nil {
		return instance.Problem{}, err
	}
	arcs, err := m.arcs.Arcs(ctx, sc, h.ears, h.slowest.Value, h.fastest.Value)
	if err != nil {
		return instance.Problem{}, err
	}
	p, _ := firing.Problem(sc, h.clocks, arcs)
	if sc.Wishes.Style == plan.Staggered {
		p.Style = instance.Staggered
	}
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

// bySeverity puts what is not met first and keeps the order within a severity.
func bySeverity(fs []plan.Finding) []plan.Finding {
	rank := []string{plan.NotMet, plan.Look, plan.Note}
	slices.SortStableFunc(fs, func(a, b plan.Finding) int {
		return slices.Index(rank, a.Severity) - slices.Index(rank, b.Severity)
	})
	return fs
}
