package planner

import (
	"context"

	"echowright/planner/crosstalk"
	"echowright/planner/firing"
	"echowright/planner/margins"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Margins tells what of a scene's Plan breaks first and what is lost when one sensor fails. It reckons the scene anew for many small changes,
// with a Memory that keeps what they do not touch. When ctx ends first it says what is missing, without an error.
func Margins(ctx context.Context, sc *scene.Scene, p *plan.Plan) (*plan.Margins, error) {
	m := &Memory{hold: true}
	if len(sc.Sensors) > 0 {
		m.arcs.Zero = &sc.Sensors[0].Heading
	}
	return margins.Reckon(ctx, sc, p, margins.Tools{
		Listen: func(ctx context.Context, sc *scene.Scene) ([]firing.Clock, []crosstalk.Arc, error) {
			h, err := m.listen(sc)
			if err != nil {
				return nil, nil, err
			}
			arcs, err := m.arcs.Arcs(ctx, sc, h.ears, h.slowest.Value, h.fastest.Value)
			return h.clocks, arcs, err
		},
		Plan: func(ctx context.Context, sc *scene.Scene) (*plan.Plan, error) {
			return m.Analyse(ctx, sc, Options{Quick: true})
		},
	})
}
