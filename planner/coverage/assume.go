package coverage

import (
	"fmt"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// slackDB is the tolerance of a threshold where a layout states none. Common practice, no source.
const slackDB = 3

// Assumptions names the estimates of this package that can decide something in a scene.
func Assumptions(sc *scene.Scene) (all []scene.Assumption) {
	if len(sc.Zones) > 0 && !(sc.Tolerance.ThresholdDB > 0) {
		all = append(all, scene.Assumption{
			Key: "tolerance.threshold", Deciding: true,
			Text: fmt.Sprintf("an echo short of its threshold by up to %d dB is called only just too weak", slackDB),
		})
	}
	for _, s := range sc.Sensors {
		for _, o := range obstaclesOf(sc.Body) {
			if eye, ok := o.eye(s); ok && eye.Sub(s.At).Norm() > deepM {
				return append(all, scene.Assumption{
					Key: "sensors." + s.Group + ".recessed", Deciding: true,
					Text: fmt.Sprintf("a hole deeper than %s is taken not to narrow the beam that comes out of it", plan.Metres(deepM)),
				})
			}
		}
	}
	return all
}
