package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"echowright/planner/plan"
)

// weigh fills in what a way brings and costs, from the plan made with it.
func (w *work) weigh(way *plan.Way, after *plan.Plan) {
	before := w.p
	way.CycleUs = [2]int64{w.usUs, 0}
	if len(after.Schedule.Firings) > 0 {
		way.CycleUs[1] = after.Schedule.RunsUs()
	}
	// The worst cycle of as-read is a sum, with nothing to prove.
	way.Proven = after.Schedule.Proven || after.Schedule.Style == plan.AsRead
	way.Fits, way.Met = after.Schedule.Met, after.Met
	way.Coverage, way.Speeds = coverageChanges(before, after), speedChanges(before, after)
	way.Gained, way.Lost = nil, nil
	met := map[string]bool{}
	for _, is := range demandsOf(after) {
		met[is.name] = is.met
	}
	for _, was := range demandsOf(before) {
		switch is := met[was.name]; {
		case is && !was.met:
			way.Gained = append(way.Gained, was.name)
		case was.met && !is:
			way.Lost = append(way.Lost, was.name)
		}
	}
}

// What changes by less is rounding, m2 and m.
const (
	roundingM2 = 1e-7
	roundingM  = 1e-6
)

// coverageChanges are the zones of which another share is seen, or another gap is left.
func coverageChanges(before, after *plan.Plan) (out []plan.CoverageChange) {
	for i, b := range before.Coverage {
		a := after.Coverage[i]
		if math.Abs(a.CoveredM2-b.CoveredM2) > roundingM2 || math.Abs(a.WidestGapM-b.WidestGapM) > roundingM {
			out = append(out, plan.CoverageChange{
				Zone: b.Zone, State: b.State, AreaM2: [2]float64{b.AreaM2, a.AreaM2}, CoveredM2: [2]float64{b.CoveredM2, a.CoveredM2},
				WidestGapM: [2]float64{b.WidestGapM, a.WidestGapM}, ErrorM2: max(a.AreaErrorM2, b.AreaErrorM2),
			})
		}
	}
	return out
}

func speedChanges(before, after *plan.Plan) (out []plan.SpeedChange) {
	for i, b := range before.Warnings {
		if a := after.Warnings[i]; math.Abs(a.SafeSpeedMS-b.SafeSpeedMS) > roundingM {
			out = append(out, plan.SpeedChange{Way: b.Way, Target: b.Target, State: b.State, Asked: b.Asked, SpeedMS: [2]float64{b.SafeSpeedMS, a.SafeSpeedMS}})
		}
	}
	return out
}

// demand is one thing asked, by a name that says which, and whether it is met.
type demand struct {
	name string
	met  bool
}

// demandsOf lists what is asked of a plan but the cycle, in one order for all plans of one layout.
func demandsOf(p *plan.Plan) (ds []demand) {
	for _, c := range p.Coverage {
		if c.Required.Share != nil {
			ds = append(ds, demand{in(c.Zone+" seen", c.State), c.ShareMet})
		}
		if c.Required.LargestGap != nil {
			ds = append(ds, demand{in("widest gap of "+c.Zone, c.State), c.GapMet})
		}
	}
	for _, v := range p.Warnings {
		if v.Asked {
			ds = append(ds, demand{in(fmt.Sprintf("warning of %s, %s", v.Target, v.Way), v.State), v.Met})
		}
	}
	if p.Ready.AskedUs > 0 {
		ds = append(ds, demand{"first warning after power-up", p.Ready.Met})
	}
	for _, r := range p.Schedule.Refresh {
		ds = append(ds, demand{"refresh of " + r.Sensor, r.Met})
	}
	return append(ds, demand{"nobody disturbed", p.Disturbed() == 0}, demand{"table kept by all", p.Schedule.NotKept == ""})
}

func in(what, state string) string {
	if state == "" {
		return what
	}
	return what + ", " + state
}

// effort is how much work a way is, from a word in the firmware to other modules.
var effort = map[string]int{plan.WayStyle: 0, plan.WayWindows: 0, plan.WayTurn: 1, plan.WayMove: 1, plan.WayReading: 2, plan.WayRefresh: 2, plan.WayDelays: 2, plan.WayLine: 3, plan.WayCarrier: 3}

// efforts is the most of the parts of a way, and how many they are.
func (s step) efforts() (most, parts int) {
	for _, k := range s.parts() {
		most, parts = max(most, effort[k]), parts+1
	}
	return most, parts
}

// ranked puts ways in order of what they cost: first those that lose no demand, of them those that keep the budget; then what is
// least work, then what sees least less, then the shorter cycle.
func (w *work) ranked() (out []plan.Way) {
	out = []plan.Way{}
	for i, s := range w.ordered() {
		s.Rank = i + 1
		out = append(out, s.Way)
	}
	return out
}

// ordered is what was offered in that order.
func (w *work) ordered() []step {
	steps := slices.Clone(w.steps)
	no := func(b bool) int {
		if b {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(steps, func(a, b step) int {
		ea, na := a.efforts()
		eb, nb := b.efforts()
		return cmp.Or(
			cmp.Compare(no(a.Met), no(b.Met)),
			cmp.Compare(no(len(a.Lost) == 0), no(len(b.Lost) == 0)),
			cmp.Compare(no(a.Fits), no(b.Fits)),
			cmp.Compare(ea, eb), cmp.Compare(na, nb),
			cmp.Compare(roundM2(a.LostM2()), roundM2(b.LostM2())),
			cmp.Compare(a.CycleUs[1], b.CycleUs[1]),
		)
	})
	return steps
}

// roundM2 rounds an area lost to what is worth telling, in units of 10 cm2.
func roundM2(a float64) int { return int(a*1000 + 0.5) }
