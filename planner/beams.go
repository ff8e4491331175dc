package planner

import (
	"math"

	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

// Beams is a choice of beams to look at. The zero value is those that decide: of each target itself, at the weak end of supply
// and weather.
type Beams struct {
	Strong   bool // at the highest supply, in the weather that swallows least
	AtHeight bool
	HeightM  float64 // of the middle of a ball as wide as the target, put in its place
}

// ballM is the radius of the ball in place of a target that has no width of its own, m.
const ballM = 0.05

// Of returns a scene in which the beams chosen are the certain ones, so that See draws them.
func (b Beams) Of(sc *scene.Scene) *scene.Scene {
	out := *sc
	if b.Strong && len(sc.Sensors) > 0 {
		least, _ := acoustics.AbsorptionSpan(sc.Air, sc.Kinds[sc.Sensors[0].Kind].CarrierHz.X)
		only := func(x float64) scene.Span { return scene.Span{Lo: x, Hi: x} }
		out.Air = scene.Air{TemperatureC: only(least.At.TemperatureC), HumidityPct: only(least.At.HumidityPct), PressurePa: only(least.At.PressurePa)}
		out.Kinds = append([]scene.Kind(nil), sc.Kinds...)
		for i := range out.Kinds {
			out.Kinds[i].Supply.VoltsV.Lo = out.Kinds[i].Supply.VoltsV.Hi
		}
	}
	if b.AtHeight {
		out.Targets = append([]scene.Target(nil), sc.Targets...)
		for i, t := range out.Targets {
			r := t.RadiusM
			if r <= 0 || math.IsNaN(r) {
				r = ballM
			}
			out.Targets[i].Shape, out.Targets[i].RadiusM, out.Targets[i].Turned = scene.Sphere, r, scene.Span{}
			out.Targets[i].HeightM = scene.Span{Lo: b.HeightM - r, Hi: b.HeightM + r}
		}
	}
	return &out
}
