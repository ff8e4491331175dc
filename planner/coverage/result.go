package coverage

import (
	"github.com/golang/geo/r2"

	"echowright/geometry/region"
	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

// result puts the study into the Plan's terms.
func (st *study) result() Result {
	var r Result
	for g := range st.groups {
		if len(st.groups[g].verdicts) > 0 {
			st.addLobes(&r, &st.groups[g])
			st.addOverlaps(&r, &st.groups[g])
		}
	}
	for _, v := range st.verdicts {
		target := st.sc.Targets[v.target].Name
		for _, p := range v.region.Pieces() {
			r.Zones = append(r.Zones, plan.Zone{Name: v.zone.Name, Target: target, State: v.state, Polygon: polygon(p)})
		}
		r.Coverage = append(r.Coverage, v.coverage(target))
		st.addSpots(&r, v)
	}
	st.addMasks(&r)
	st.addSideViews(&r)
	r.Findings = st.findings()
	return r
}

// polygon is one connected piece of a region, outer ring first.
func polygon(piece region.Set) plan.Polygon {
	var p plan.Polygon
	for _, r := range piece.Rings() {
		p = append(p, plan.RingOf(r))
	}
	return p
}

func pair(p r2.Point) [2]float64 { return [2]float64{p.X, p.Y} }

func (st *study) addLobes(r *Result, g *group) {
	for i, h := range st.ears(g) {
		for _, p := range h.final.Pieces() {
			r.Lobes = append(r.Lobes, plan.Lobe{
				Sensor: st.listeners[i].mount.Name, Target: h.target.Name, State: st.states[g.state], Polygon: polygon(p), ErrorM: h.errM,
			})
		}
	}
}

func (st *study) addOverlaps(r *Result, g *group) {
	for a := range st.listeners {
		for b := a + 1; b < len(st.listeners); b++ {
			if area := g.overlap[a][b]; area > 0 {
				r.Overlaps = append(r.Overlaps, plan.Overlap{
					A: st.listeners[a].mount.Name, B: st.listeners[b].mount.Name,
					Target: st.sc.Targets[st.targets[g.target]].Name, State: st.states[g.state], AreaM2: area,
				})
			}
		}
	}
}

func (st *study) addSpots(r *Result, v *verdict) {
	for _, s := range v.blind.spots {
		r.BlindSpots = append(r.BlindSpots, plan.BlindSpot{
			Zone: v.zone.Name, Target: st.sc.Targets[v.target].Name, State: v.state,
			Cause: s.cause, Sensor: st.nameOf(s.sensor), Part: s.part,
			AreaM2: s.area, Centroid: pair(s.region.Centroid()), NearestM: s.nearestM,
			HidesM: 2 * s.hides.radius, HidesAt: pair(s.hides.centre), Held: s.limited,
			OwnM: 2 * s.own.radius, OwnAt: pair(s.own.centre), Polygon: polygon(s.region),
		})
	}
}

func (st *study) nameOf(sensor int) string {
	if sensor < 0 {
		return ""
	}
	return st.listeners[sensor].mount.Name
}

// addMasks lists every constant reading in every state, not only the first of each sensor, which
// alone ends what the sensor sees: take its cause away and the next one is there.
func (st *study) addMasks(r *Result) {
	for _, state := range st.states {
		for i, readings := range st.readings {
			for _, m := range readings {
				if m.in(st.obstacles, state) {
					r.Masks = append(r.Masks, plan.Mask{Sensor: st.nameOf(i), State: state, What: m.what, ReadsM: m.ReadsM, LevelDB: m.LevelDB, Always: m.Always()})
				}
			}
		}
	}
}

// addSideViews draws each sensor's beam over the ground for each target asked for, shadows left aside.
func (st *study) addSideViews(r *Result) {
	for i := range st.listeners {
		l := &st.listeners[i]
		for _, t := range st.targets {
			target := st.sc.Targets[t]
			p := st.sideView(l, target)
			if len(p) > 0 {
				r.SideViews = append(r.SideViews, plan.SideView{Sensor: l.mount.Name, Target: target.Name, Polygon: plan.Polygon{plan.RingOf(p)}})
			}
		}
	}
}

func (st *study) sideView(l *listener, t scene.Target) []r2.Point {
	key := l.key
	if key != (recall.Key{}) {
		key = recall.Of(key, t, st.errorM)
	}
	return st.memory.views.Of(key, func() []r2.Point {
		return l.SideView(t, acoustics.LobeOptions{NearM: l.blind, FarM: l.listen, ErrorM: st.errorM})
	})
}
