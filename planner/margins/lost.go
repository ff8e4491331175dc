package margins

import (
	"math"
	"slices"

	"echowright/planner/firing"
	"echowright/planner/latency"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// without is a scene without some sensors, wires and all.
func without(sc *scene.Scene, gone []int) *scene.Scene {
	c := *sc
	c.Sensors, c.Wires, c.Wishes.Refresh = nil, nil, nil
	at := make([]int, len(sc.Sensors))
	for i, s := range sc.Sensors {
		at[i] = -1
		if !slices.Contains(gone, i) {
			at[i] = len(c.Sensors)
			c.Sensors = append(c.Sensors, s)
			if len(sc.Wishes.Refresh) > 0 {
				c.Wishes.Refresh = append(c.Wishes.Refresh, sc.Wishes.Refresh[i])
			}
		}
	}
	for _, w := range sc.Wires {
		var left []int
		for _, i := range w.Sensors {
			if at[i] >= 0 {
				left = append(left, at[i])
			}
		}
		if w.Sensors = left; len(left) > 0 {
			c.Wires = append(c.Wires, w)
		}
	}
	return &c
}

// silent lists the sensors that no longer fire when one is dead: those its chains start after it.
func silent(sc *scene.Scene, dead int) (out []int) {
	out = []int{dead}
	for k := 0; k < len(out); k++ {
		for _, w := range sc.Wires {
			if at := slices.Index(w.Sensors, out[k]); w.Chained && at >= 0 {
				for _, i := range w.Sensors[at+1:] {
					if !slices.Contains(out, i) {
						out = append(out, i)
					}
				}
			}
		}
	}
	return out
}

// lose reckons what is lost with one sensor.
func (r *run) lose(dead int) (plan.Lost, error) {
	gone := silent(r.sc, dead)
	l := plan.Lost{Sensor: r.sc.Sensors[dead].Name, Demands: []plan.LostDemand{}, Findings: []plan.LostFinding{}}
	for _, i := range gone[1:] {
		l.Silent = append(l.Silent, r.sc.Sensors[i].Name)
	}
	left := without(r.sc, gone)
	p, err := r.tools.Plan(r.ctx, left)
	if err != nil {
		return l, err
	}
	kept := r.keeping(p, left)
	if r.hasTable {
		l.Safe, l.Refused = r.stillSafe(gone)
	}
	after := demandsOf(kept)
	for _, b := range r.demands {
		if b.ofFiring() || b.kind == "disturbed" { // the checker and the timetable solved anew tell of those
			continue
		}
		for _, a := range after {
			if a.same(b) && (a.met != b.met || differ(a, b)) {
				l.Demands = append(l.Demands, plan.LostDemand{Kind: a.kind, What: a.what, Is: [2]float64{b.is, a.is}, Met: [2]bool{b.met, a.met}, Asked: a.asked, Sensor: a.sensor})
			}
		}
	}
	l.Findings = append(l.Findings, r.newFindings(kept)...)
	if len(gone) > 1 {
		if p, err = r.tools.Plan(r.ctx, without(r.sc, gone[:1])); err != nil {
			return l, err
		}
	}
	if s := p.Schedule; s.Style != plan.AsRead && len(s.Firings) > 0 {
		was := r.base.Schedule.RunsUs()
		l.Anew = &plan.LostCycle{CycleUs: [2]int64{was, s.RunsUs()}, Proven: s.Proven, Met: s.Met, Missed: []string{}}
		gone := flipped(r.demands, demandsOf(p))
		if r.hasTable && l.Safe && (s.RunsUs() > was || slices.ContainsFunc(gone, demand.ofFiring)) { // a search cut short found nothing better than the timetable there is
			l.Anew.CycleUs[1], l.Anew.Proven = was, false
			gone = slices.DeleteFunc(gone, demand.ofFiring)
		}
		for _, d := range gone {
			l.Anew.Missed = append(l.Anew.Missed, d.said())
		}
	}
	return l, nil
}

// keeping is the Plan of what is left with the timetable as it was, warnings reckoned with it.
func (r *run) keeping(p *plan.Plan, left *scene.Scene) *plan.Plan {
	if !r.hasTable {
		return p
	}
	q := *p
	s := r.base.Schedule
	there := func(name string) bool {
		return slices.ContainsFunc(left.Sensors, func(x scene.Sensor) bool { return x.Name == name })
	}
	s.Firings = slices.DeleteFunc(slices.Clone(s.Firings), func(f plan.Firing) bool { return !there(f.Sensor) })
	s.Groups = nil
	for _, g := range r.base.Schedule.Groups {
		if g = slices.DeleteFunc(slices.Clone(g), func(name string) bool { return !there(name) }); len(g) > 0 {
			s.Groups = append(s.Groups, g)
		}
	}
	q.Schedule = s
	late := latency.Asked(left, &q)
	q.Warnings, q.Ready = late.Warnings, late.Ready
	// Findings of firing are those of a timetable solved anew: nobody solves one here.
	q.Findings = slices.DeleteFunc(slices.Clone(p.Findings), func(f plan.Finding) bool {
		return slices.Contains([]string{latency.CodeTooFast, latency.CodeLate, firing.CodeOverBudget, firing.CodeCannot, firing.CodeSeldom}, f.Code)
	})
	q.Findings = append(q.Findings, late.Findings...)
	return &q
}

// stillSafe asks the checker about the timetable without some sensors.
func (r *run) stillSafe(gone []int) (safe bool, why string) {
	var left []int
	for j, i := range r.sensors {
		if !slices.Contains(gone, i) {
			left = append(left, j)
		}
	}
	if b := refuse(r.problem.Only(left), of(r.table, left, r.problem.Style)); b != nil {
		return false, b.text
	}
	return true, ""
}

// differ reports whether two figures of a demand print differently: a twentieth of a percent, half a millimetre, half a cm/s, 10 us.
func differ(a, b demand) bool {
	most := map[string]float64{"share": 0.0005, "gap": 0.0005, "warning": 0.0005, "safe speed": 0.005, "ready": 10}[a.kind]
	return math.Abs(a.is-b.is) >= most
}

// newFindings are those of severity "not met" that the Plan as it stands does not have.
func (r *run) newFindings(p *plan.Plan) (out []plan.LostFinding) {
	for _, f := range p.Findings {
		was := func(g plan.Finding) bool { return g.Code == f.Code && g.Where == f.Where && g.Severity == f.Severity }
		if f.Severity == plan.NotMet && !slices.ContainsFunc(r.base.Findings, was) {
			out = append(out, plan.LostFinding{Code: f.Code, Where: f.Where, Text: f.Text})
		}
	}
	return out
}
