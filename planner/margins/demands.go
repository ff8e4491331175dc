package margins

import (
	"fmt"

	"echowright/planner/plan"
)

// demand is one thing a layout asks for, and what a Plan makes of it.
type demand struct {
	kind, what string // what with kind names it among the demands of one layout
	is         float64
	asked      *float64
	met        bool
	sensor     string
	text       string // what is against what is asked
}

// demandsOf lists the demands of a Plan that are met or not. A safe speed is told with each warning and always met.
func demandsOf(p *plan.Plan) (ds []demand) {
	for _, c := range p.Coverage {
		what := placed(c.Zone+", "+c.Target, c.State)
		share := 0.0
		if c.AreaM2 > 0 {
			share = c.CoveredM2 / c.AreaM2
		}
		d := demand{kind: "share", what: what, is: share, asked: c.Required.Share, met: c.ShareMet, text: plan.Percent(c.CoveredM2, c.AreaM2, c.AreaErrorM2) + " seen"}
		if d.asked != nil {
			d.text += fmt.Sprintf(", %.4g %% asked", 100**d.asked)
		}
		gap := demand{kind: "gap", what: what, is: c.WidestGapM, asked: c.Required.LargestGap, met: c.GapMet, text: "a gap of " + plan.Millimetres(c.WidestGapM)}
		if gap.asked != nil {
			gap.text += ", " + plan.Millimetres(*gap.asked) + " asked"
		}
		ds = append(ds, d, gap)
	}
	for _, w := range p.Warnings {
		if !w.Asked {
			continue
		}
		needed := w.NeededM
		what := placed(w.Target+", "+w.Way, w.State)
		text := fmt.Sprintf("warned of at %s, %s needed", plan.Metres(w.FirstM), plan.Metres(w.NeededM))
		if w.FirstM <= 0 {
			text = "no warning certain"
		}
		ds = append(ds, demand{kind: "warning", what: what, is: w.FirstM, asked: &needed, met: w.Met, sensor: w.Sensor, text: text},
			demand{kind: "safe speed", what: what, is: w.SafeSpeedMS, met: true, sensor: w.LimitSensor})
	}
	if r := p.Ready; r.AskedUs > 0 {
		asked, is, text := float64(r.AskedUs), float64(r.FirstWarningUs), "first warning after "+plan.Duration(r.FirstWarningUs)+", "+plan.Duration(r.AskedUs)+" asked"
		if r.Sensor == "" {
			is, text = -1, "first warning never"
		}
		ds = append(ds, demand{kind: "ready", what: "from power-up", is: is, asked: &asked, met: r.Met, sensor: r.Sensor, text: text})
	}
	s := p.Schedule
	seldom := s.RefreshKept() < len(s.Refresh) && s.NotKept == "" && (s.BudgetUs == 0 || s.RunsUs() <= s.BudgetUs) // and no more
	d := demand{kind: "cycle", what: "firing", is: float64(s.RunsUs()), met: s.Met || seldom, text: "cycle " + plan.Milliseconds(s.RunsUs())}
	if s.BudgetUs > 0 {
		d.text += ", " + plan.Milliseconds(s.BudgetUs) + " asked"
	}
	if s.NotKept != "" {
		d.text += ": " + s.NotKept
	}
	for _, r := range s.Refresh {
		asked := float64(r.AskedUs)
		ds = append(ds, demand{kind: "refresh", what: r.Sensor, is: float64(r.KeptUs), asked: &asked, met: r.Met,
			text: "refresh " + plan.Milliseconds(r.KeptUs) + ", " + plan.Milliseconds(r.AskedUs) + " asked"})
	}
	n := p.Disturbed()
	return append(ds, d, demand{kind: "disturbed", what: "pairs", is: float64(n), met: n == 0, text: fmt.Sprintf("%d pairs disturbed", n)})
}

func placed(what, state string) string {
	if state == "" {
		return what
	}
	return what + ", " + state
}

func (d demand) same(e demand) bool { return d.kind == e.kind && d.what == e.what }

// said is a demand with its figure, for a list.
func (d demand) said() string {
	if d.kind == "cycle" || d.kind == "disturbed" {
		return d.text
	}
	return d.what + ": " + d.text
}

// ofFiring reports whether the timetable alone decides a demand.
func (d demand) ofFiring() bool { return d.kind == "cycle" || d.kind == "refresh" }

// flipped lists the demands met before and not after.
func flipped(before, after []demand) (out []demand) {
	for _, b := range before {
		for _, a := range after {
			if b.met && !a.met && a.same(b) {
				out = append(out, a)
			}
		}
	}
	return out
}
