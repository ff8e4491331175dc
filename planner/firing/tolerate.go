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

// walkMS is how fast things around move where the layout wishes for no delays and so does not say: the default of wishes.delays.movers.
const walkMS = 1.6

// Tolerated is a firing plan in which sound of some pairs may fall into their windows, as alternating delays have it dropped.
type Tolerated struct {
	Schedule  plan.Schedule // with its Delays; its findings are for the plan that is made of it
	CycleUs   int64         // as the controller runs it
	ConfirmUs int64         // until a reading counts: two that agree
	Pairs     [][2]string   // whose sound may come, by name
	Price     string        // what it costs besides, in words
}

// Tolerate plans a scene with the arcs between some pairs of sensors left out of what the timetable keeps apart, and alternating
// delays that drop what then comes: solved, played and checked as any plan with delays. Pairs are indices of sensors, either way round.
// The error is a *delays.Cannot where delays do not drop the sound of a pair for certain, or there are none, and an *instance.Cannot where
// no timetable keeps the rest.
//
// For certain means sound on one way, however that changes, up to the closing speed. Two ghosts that take turns in the place of one
// stay among NotRejected.
func Tolerate(ctx context.Context, sc *scene.Scene, clocks []Clock, arcs []crosstalk.Arc, pairs [][2]int, o Options) (t Tolerated, err error) {
	with := *sc
	if with.Wishes.Delays.Way == "" {
		with.Wishes.Delays.MoversMS = walkMS
	}
	with.Wishes.Delays.Way = plan.Alternating
	in := func(a crosstalk.Arc) bool {
		return a.From != a.To && (slices.Contains(pairs, [2]int{a.From, a.To}) || slices.Contains(pairs, [2]int{a.To, a.From}))
	}
	w := begin(ctx, &with, clocks, slices.DeleteFunc(slices.Clone(arcs), in), o)
	for _, p := range pairs {
		i, j := slices.Index(w.sensors, p[0]), slices.Index(w.sensors, p[1])
		switch {
		case p[0] < 0 || p[1] < 0 || p[0] >= len(sc.Sensors) || p[1] >= len(sc.Sensors):
			return t, &delays.Cannot{Why: fmt.Sprintf("there are no two sensors %d and %d", p[0], p[1])}
		case p[0] == p[1]:
			return t, &delays.Cannot{Why: "a sensor's own sound two cycles old does not shift"}
		case i < 0 || j < 0:
			return t, &delays.Cannot{Why: fmt.Sprintf("of %s and %s one fires by itself, whatever its delay", sc.Sensors[p[0]].Name, sc.Sensors[p[1]].Name)}
		}
		w.let = append(w.let, [2]int{i, j})
		t.Pairs = append(t.Pairs, [2]string{w.name(i), w.name(j)})
	}
	set, _ := w.hearing().Sets()
	for k, p := range w.let {
		if set[p[0]] == set[p[1]] {
			return t, &delays.Cannot{Why: fmt.Sprintf("%s and %s fire as one and have one delay", t.Pairs[k][0], t.Pairs[k][1])}
		}
	}
	if w, err = w.planned(); err != nil {
		return t, err
	}
	switch {
	case w.cannot != nil:
		return t, w.cannot
	case w.read != nil || w.delayed == nil:
		return t, &delays.Cannot{Why: "there is no table"}
	case w.delayed.cannot != "":
		return t, &delays.Cannot{Why: w.delayed.cannot}
	}
	t.Schedule = w.schedule()
	t.CycleUs, t.ConfirmUs = t.Schedule.RunsUs(), t.Schedule.Delays.ConfirmUs
	t.Price = fmt.Sprintf("a reading counts when it agrees with the one before, up to %s after the thing has come; where sound of the pair comes before the echo cycle after cycle, all readings are dropped and nothing is seen", plan.Milliseconds(t.ConfirmUs))
	return t, nil
}
