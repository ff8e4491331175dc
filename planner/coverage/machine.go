package coverage

import (
	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/geometry/sight"
	"echowright/planner/scene"
)

// bodyName is what the machine's own outline is called among its parts.
const bodyName = "body"

// obstacle is something of the machine that fills space, shades and answers.
type obstacle struct {
	name    string
	outline []r2.Point
	height  scene.Span
	round   bool
	centre  r2.Point
	radius  float64
	onlyIn  []string
}

func (o obstacle) in(state string) bool { return scene.Part{OnlyIn: o.onlyIn}.In(state) }

// obstaclesOf lists the body and then its parts in the order of the layout, over all states.
func obstaclesOf(b scene.Body) []obstacle {
	all := []obstacle{{name: bodyName, outline: b.Outline, height: b.HeightM}}
	for _, p := range b.Parts {
		all = append(all, obstacle{
			name: p.Name, outline: p.Outline, height: p.HeightM,
			round: p.RadiusM > 0, centre: p.Centre, radius: p.RadiusM, onlyIn: p.OnlyIn,
		})
	}
	return all
}

// fills reports whether an obstacle takes room from a target: their heights share more than a level.
func (o obstacle) fills(t scene.Target) bool {
	return min(o.height.Hi, t.HeightM.Hi) > max(o.height.Lo, t.HeightM.Lo)
}

// footprint is what the machine fills at the heights of a target in a state.
func footprint(all []obstacle, t scene.Target, state string) region.Set {
	var parts []region.Set
	for _, o := range all {
		if o.in(state) && o.fills(t) {
			parts = append(parts, region.FromRings(o.outline))
		}
	}
	return region.Union(parts...)
}

// holds reports whether an obstacle encloses a sensor seen from above: then it is the housing the
// sensor looks out of, or a roof over it, and neither shades nor answers it.
func (o obstacle) holds(s scene.Sensor) bool {
	return geometry.Contains(o.outline, s.At) && geometry.Distance(o.outline, s.At) > sight.OnOutline
}
