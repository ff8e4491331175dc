// Package latency says whether a machine that moves gets its warning in time to stop, and how long after
// power-up the first warning can come.
//
// In: a scene with its motion, and the plan made of it so far: zones, lobes, firing table. Out: for each state,
// way of travel and target a plan.Warning, the plan.Ready of the controller, and findings in words.
//
//	plan.Lobe ─► ahead of the machine ─► stretches of each path ─┐
//	                                                             ├─► least slack, greatest safe speed
//	plan.Firing ─► worst wait, readings, echo ───────────────────┘
//
// What a first-warning distance is. The machine travels straight; seen from it, the place of a target comes
// towards it on a line along the way, at some distance across. The lane is all those lines on which the target
// would touch the machine, and on each of them distance counts from where it would. A sensor sees stretches of
// such a line. It has warned for certain when the target has stayed in one stretch for as long as detection
// takes at the worst: the wait for its firings, all the readings of the confirmation, echo and answer. A target
// lost sooner, in a blind spot, must be confirmed afresh, so a stretch shorter than that is worth nothing.
// The first-warning distance of the line is the far end of the farthest stretch that is long enough; where a zone
// asks for several sensors, each must have confirmed by itself, and the last of them decides. What is lost after
// its warning, as anything is within the blind distance, no longer matters. The verdict is of the worst line of the lane.
//
// Nothing is sampled: across the lane the ends of the stretches are straight lines between the corners of the
// polygons, and on each piece the conditions are solved for. A failing piece of the lane narrower than the bound
// on the lobes' own error is not held against the machine.
//
// Turning is not followed: see CodeTurning.
package latency

import (
	"math"
	"slices"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Result is the share of a Plan that this package makes.
type Result struct {
	Warnings []plan.Warning
	Ready    plan.Ready
	Findings []plan.Finding
}

// Met reports whether every warning and readiness asked for come in time.
func (r Result) Met() bool {
	return r.Ready.Met && !slices.ContainsFunc(r.Warnings, func(w plan.Warning) bool { return w.Asked && !w.Met })
}

// Ways are the ways of travel in the order they are reported.
var Ways = []scene.Way{scene.Forward, scene.Backward, scene.Leftward, scene.Rightward}

// Analyse reckons the warnings of every way in which some zone lies; that of the scene's motion is asked
// for, the others are told at the same speed and with the same brakes. p must hold the zones, lobes, sensors,
// air and schedule of sc. The deceleration of a motion must be above zero.
func Analyse(sc *scene.Scene, p *plan.Plan) Result { return analyse(sc, p, Ways) }

// Asked is the same of the way asked for alone: all that decides a verdict.
func Asked(sc *scene.Scene, p *plan.Plan) Result {
	if sc.Motion == nil {
		return analyse(sc, p, nil)
	}
	return analyse(sc, p, []scene.Way{sc.Motion.Way})
}

func analyse(sc *scene.Scene, p *plan.Plan, ways []scene.Way) Result {
	t := &travel{sc: sc, p: p, confirm: 1, readings: 1}
	if m := sc.Motion; m != nil {
		t.confirm, t.readings = max(1, m.Confirm), max(1, m.Of, m.Confirm)
	}
	if d := p.Schedule.Delays; d != nil && d.TableCycles > 0 { // the first that counts must agree with one before it
		t.confirm, t.readings = t.confirm+1, t.readings+1
	}
	t.watches = watchesOf(sc, p)
	r := Result{Warnings: []plan.Warning{}}
	if sc.Motion != nil {
		for _, state := range statesOf(sc) {
			for _, way := range ways {
				r.Warnings = append(r.Warnings, t.warnings(state, way, &r.Findings)...)
			}
		}
		r.Findings = append(r.Findings, t.motionFindings(r.Warnings)...)
	}
	ready := t.ready()
	r.Ready = ready.Ready
	r.Findings = append(r.Findings, ready.findings()...)
	return r
}

// travel is one analysis on its way.
type travel struct {
	sc                *scene.Scene
	p                 *plan.Plan
	confirm, readings int // so many of so many in a row
	watches           []watch
	asked             []askedLane // the lanes of the motion's way
}

func statesOf(sc *scene.Scene) []string {
	if len(sc.States) == 0 {
		return []string{""}
	}
	return sc.States
}

// warnings reckons one way in one state, a row a target that some zone asks for there.
func (t *travel) warnings(state string, way scene.Way, fs *[]plan.Finding) (out []plan.Warning) {
	for i, target := range t.sc.Targets {
		l, ok := t.lane(state, i, frame(way))
		if !ok {
			continue
		}
		w := plan.Warning{
			Zone: l.zone.Name, Target: target.Name, State: state, Way: string(way), Asked: way == t.sc.Motion.Way,
			SeenBy: l.seenBy, LaneM: l.width(), SpeedMS: t.sc.Motion.SpeedMS, Confirm: t.confirm, Of: t.readings,
			ReactionUs: t.sc.Motion.Reaction.Microseconds(),
		}
		r := t.reckon(l)
		r.fill(&w)
		if w.Asked {
			t.asked = append(t.asked, askedLane{state, l.watching(), w.FirstM == 0})
			*fs = append(*fs, r.findings(w)...)
		}
		out = append(out, w)
	}
	return out
}

// us rounds seconds up to whole microseconds, past the rounding of the sum itself.
func us(seconds float64) int64 { return int64(math.Ceil(seconds*1e6 - 1e-6)) }
