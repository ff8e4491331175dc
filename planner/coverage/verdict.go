package coverage

import (
	"math"

	"echowright/geometry/region"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// verdict is what became of one zone in one state.
type verdict struct {
	zone     scene.Zone
	target   int // index into Scene.Targets
	state    string
	hearings []*hearing // of each sensor
	region   region.Set // the machine itself taken out
	figures  survey
	blind    blindness
	// sure is the verdict without the directions in which a beam is doubtful; nil when that makes no difference.
	sure *verdict
	turn *turn // that was tried and helps; nil if none
	// errM bounds how far a lobe's edge may lie from the true one, m.
	errM                 float64
	shareMet, gapMet     bool
	shareTight, gapTight bool // decided by less than the drawing's own error
}

// areaError bounds, to first order in the lobes' error, the area that may belong to the other side:
// a strip as wide as that error along the border between covered and blind, where alone the number
// of sensors that see a place is the one asked for or one less.
func (v verdict) areaError() float64 { return v.errM * v.figures.edge }

// gapError bounds how much the widest gap may differ: each edge that a disc touches may lie off by
// the lobes' error, so its radius may too.
func (v verdict) gapError() float64 { return 2 * v.errM }

// met reports whether the zone has all it asks. Where the machine leaves nothing of a zone, nothing was checked, and that is
// not the same as fulfilled.
func (v verdict) met() bool { return v.shareMet && v.gapMet && v.figures.area > 0 }

// widest is the diameter of the largest disc in the blind region, m.
func (v verdict) widest() float64 { return 2 * v.blind.widest.radius }

// missing is the area not covered, m².
func (v verdict) missing() float64 { return v.figures.area - v.figures.covered }

// judgeSure is judge without the directions in which a beam is doubtful.
func (st *study) judgeSure(v *verdict) {
	if v.sure == nil {
		return
	}
	if !math.IsNaN(v.zone.GapM) {
		v.sure.blind.widest = st.memory.widestOf(v.sure.figures.blind)
	}
	v.sure.judge()
}

// judge holds the figures against what the zone asks.
func (v *verdict) judge() {
	v.shareMet, v.gapMet = true, true
	if v.figures.area == 0 {
		v.shareMet, v.gapMet = math.IsNaN(v.zone.Share), math.IsNaN(v.zone.GapM)
		return
	}
	if ask := v.zone.Share; !math.IsNaN(ask) {
		margin := v.figures.covered - float64(ask*v.figures.area)
		v.shareMet = margin >= -rounding*v.figures.area
		v.shareTight = math.Abs(margin) < v.areaError()
	}
	if ask := v.zone.GapM; !math.IsNaN(ask) {
		margin := ask - v.widest()
		v.gapMet = margin >= -rounding
		v.gapTight = math.Abs(margin) < v.gapError() && v.missing() > 0
	}
}

// required is what a zone asks, as the Plan says it.
func required(z scene.Zone) plan.Required {
	r := plan.Required{SeenBy: z.SeenBy}
	if !math.IsNaN(z.Share) {
		r.Share = &z.Share
	}
	if !math.IsNaN(z.GapM) {
		r.LargestGap = &z.GapM
	}
	return r
}

// coverage is the verdict as the Plan says it.
func (v verdict) coverage(target string) plan.Coverage {
	c := plan.Coverage{
		Zone: v.zone.Name, Target: target, State: v.state,
		AreaM2: v.figures.area, CoveredM2: v.figures.covered, FoldM2: v.figures.fold,
		WidestGapM: v.widest(), GapHeld: v.blind.limited, Required: required(v.zone),
		ShareMet: v.shareMet, GapMet: v.gapMet, Met: v.met(), AreaErrorM2: v.areaError(),
	}
	if v.blind.widest.radius > 0 {
		c.WidestGapAt = &[2]float64{v.blind.widest.centre.X, v.blind.widest.centre.Y}
	}
	return c
}
