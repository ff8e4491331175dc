package firing

import (
	"context"
	"fmt"
	"slices"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/delays"
)

// WalkMS is how fast things around move where the layout wishes for no delays and so does not say: the default of wishes.delays.movers.
const WalkMS = 1.6

// tolerating is the plan of a scene in which sound of some pairs of sensors may fall into their windows, as alternating delays have it dropped:
// the arcs between them are left out of what the timetable keeps apart. It is solved, played and checked as any plan with delays.
// The error is a *delays.Cannot where delays do not drop the sound of a pair for certain, or there are none, and an *instance.Cannot where
// no timetable keeps the rest.
//
// For certain means sound on one way, however that changes, up to the closing speed. Two ghosts that take turns in the place of one
// stay among NotRejected.
func tolerating(ctx context.Context, sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc, o Options) (*work, error) {
	pairs := sc.Wishes.Delays.Let
	in := func(a crosstalk.Arc) bool {
		return a.From != a.To && (slices.Contains(pairs, [2]int{a.From, a.To}) || slices.Contains(pairs, [2]int{a.To, a.From}))
	}
	w := begin(ctx, sc, clocks, slices.DeleteFunc(slices.Clone(arcs), in), o)
	for _, p := range pairs {
		i, j := slices.Index(w.sensors, p[0]), slices.Index(w.sensors, p[1])
		switch {
		case p[0] < 0 || p[1] < 0 || p[0] >= len(sc.Sensors) || p[1] >= len(sc.Sensors):
			return nil, &delays.Cannot{Why: fmt.Sprintf("there are no two sensors %d and %d", p[0], p[1])}
		case sc.Wishes.Delays.Way != plan.Alternating:
			return nil, &delays.Cannot{Why: "only alternating delays drop the sound of a pair for certain"}
		case p[0] == p[1]:
			return nil, &delays.Cannot{Why: "a sensor's own sound two cycles old does not shift"}
		case i < 0 || j < 0:
			return nil, &delays.Cannot{Why: fmt.Sprintf("of %s and %s one fires by itself, whatever its delay", sc.Sensors[p[0]].Name, sc.Sensors[p[1]].Name)}
		}
		w.let = append(w.let, [2]int{i, j})
	}
	set, _ := w.hearing().Sets()
	for _, p := range w.let {
		if set[p[0]] == set[p[1]] {
			return nil, &delays.Cannot{Why: fmt.Sprintf("%s and %s fire as one and have one delay", w.name(p[0]), w.name(p[1]))}
		}
	}
	w, err := w.planned()
	switch {
	case err != nil:
		return nil, err
	case w.cannot != nil:
		return nil, w.cannot
	case w.read != nil || w.delayed == nil:
		return nil, &delays.Cannot{Why: "there is no table"}
	case w.delayed.cannot != "":
		return nil, &delays.Cannot{Why: w.delayed.cannot}
	}
	return w, nil
}
