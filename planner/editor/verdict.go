package editor

import (
	"fmt"

	"echowright/planner/plan"
)

// State is how a verdict stands.
type State int

// The states. NotAsked is no failure: the layout does not ask it yet.
const (
	NotAsked State = iota
	Working        // being reckoned
	Met
	Look // met, with something to look at
	NotMet
)

// Verdict is one of the plates over the drawing: what is asked, what is, and how it stands.
type Verdict struct {
	ID, Title string
	Shorter   []string // titles that need less room
	Is, Asked string
	Brief     string // of what is, where there is less room; empty: there is nothing shorter
	State     State
	Stale     bool   // reckoned for the layout before the last change
	Where     string // the finding or place a click goes to
	At        [2]float64
	AtKnown   bool
	Target    string // it tells of; empty where it tells of no one target
	InState   string // and the state of the machine
}

// named gives a verdict its title and those that need less room.
func (v *Verdict) named(titles []string) { v.Title, v.Shorter = titles[0], titles[1:] }

// worth is what a verdict says: its figure, or how it stands where there is none.
func (v Verdict) worth() string {
	if v.Is == "" {
		return words.state(v.State)
	}
	return v.Is
}

// disturbances are the pairs of a plan with a firing plan that disturb, counted beside the frame loop.
type disturbances struct {
	of         *plan.Plan // nil: there is no firing plan yet
	pairs, own int
}

// verdicts reads the plates off a plan; d are the disturbances of its firing plan.
func verdicts(p *plan.Plan, d disturbances) []Verdict {
	scheduled := d.of != nil
	return []Verdict{seenVerdict(p), blindVerdict(p), warningVerdict(p, scheduled), disturbedVerdict(p, d), cycleVerdict(p, scheduled)}
}

// seenVerdict is the share of the zone that misses its demand by most, or has the least to spare.
func seenVerdict(p *plan.Plan) Verdict {
	v := Verdict{ID: "seen", Title: words.seen}
	margin := 0.0
	for _, c := range p.Coverage {
		if c.AreaM2 == 0 {
			continue
		}
		if c.Required.Share == nil {
			if v.State == NotAsked && v.Is == "" { // told, though not asked
				v.named(words.seenIn(c.Zone, c.State))
				v.Is, v.Where, v.Target, v.InState = plan.Percent(c.CoveredM2, c.AreaM2, c.AreaErrorM2), c.Zone, c.Target, c.State
			}
			continue
		}
		if m := c.CoveredM2/c.AreaM2 - *c.Required.Share; v.State == NotAsked || m < margin {
			margin = m
			v.named(words.seenIn(c.Zone, c.State))
			v.Is = plan.Percent(c.CoveredM2, c.AreaM2, c.AreaErrorM2)
			v.Asked = words.asked(fmt.Sprintf("%g %%", 100**c.Required.Share))
			v.State, v.Where, v.Target, v.InState = met(c.ShareMet), c.Zone, c.Target, c.State
		}
	}
	return v
}

// blindVerdict is the widest thing that can hide, against what may.
func blindVerdict(p *plan.Plan) Verdict {
	v := Verdict{ID: "blind", Title: words.blindSpots, Shorter: []string{words.blindShort}}
	margin := 0.0
	for _, c := range p.Coverage {
		if c.Required.LargestGap == nil {
			continue
		}
		if m := *c.Required.LargestGap - c.WidestGapM; v.State == NotAsked || m < margin {
			margin = m
			v.Is, v.Brief = words.hides(c.WidestGapM, c.GapHeld)
			v.Asked = words.asked(plan.Millimetres(*c.Required.LargestGap))
			v.State, v.Where, v.Target, v.InState = met(c.GapMet), c.Zone, c.Target, c.State
			v.At, v.AtKnown = [2]float64{}, false
			if c.WidestGapAt != nil {
				v.At, v.AtKnown = *c.WidestGapAt, true
			}
		}
	}
	return v
}

// warningVerdict is the way of travel asked for with the least room to stop in.
func warningVerdict(p *plan.Plan, scheduled bool) Verdict {
	v := Verdict{ID: "warning", Title: words.warning}
	margin := 0.0
	for _, w := range p.Warnings {
		if m := w.FirstM - w.NeededM; w.Asked && (v.State == NotAsked || m < margin || v.State == Met && !w.Met) {
			margin = m
			v.named(words.warningOf(w.Target, w.State))
			v.Is, v.Asked = plan.Metres(w.FirstM), words.needed(plan.Metres(w.NeededM))
			v.Target, v.InState = w.Target, w.State
			v.State, v.Where, v.At, v.AtKnown = met(w.Met), w.Zone, w.At, true
		}
	}
	if v.State == NotAsked && !scheduled && len(p.Sensors) > 0 && len(p.Zones) > 0 {
		v.State = Working
	}
	return v
}

func disturbedVerdict(p *plan.Plan, d disturbances) Verdict {
	v := Verdict{ID: "disturbance", Title: words.disturbance, Shorter: []string{words.disturbanceShort}}
	switch {
	case len(p.Sensors) == 0:
	case d.of == nil:
		v.State = Working
	default:
		n := len(p.Sensors)
		v.Is = words.ofPairs(d.pairs+d.own, n*n)
		v.Asked = words.wallsFrom(p.Around.WallsM, p.Around.Bounces)
		v.State = met(d.pairs+d.own == 0)
	}
	return v
}

func cycleVerdict(p *plan.Plan, scheduled bool) Verdict {
	v := Verdict{ID: "cycle", Title: words.firingCycle, Shorter: []string{words.cycleShort}}
	s := p.Schedule
	switch {
	case len(p.Sensors) == 0:
	case !scheduled:
		v.State = Working
	default:
		v.Is = plan.Milliseconds(s.RunsUs())
		if s.Proven {
			v.Title, v.Shorter = words.shortestCycle, []string{words.firingCycle, words.cycleShort}
		}
		v.State = met(s.Met)
		switch {
		case s.BudgetUs > 0:
			v.Asked = words.within(plan.Milliseconds(s.BudgetUs))
		case len(s.Refresh) > 0:
		case s.Met: // the plate's word says that it is not asked
			v.State = NotAsked
		default:
			v.Asked = words.notAsked
		}
		if kept := s.RefreshKept(); len(s.Refresh) > 0 && (s.BudgetUs == 0 || kept < len(s.Refresh)) {
			v.Asked = words.asOften(kept, len(s.Refresh))
		}
		if s.NotKept != "" {
			v.Asked = words.notKept
		}
	}
	return v
}

func met(ok bool) State {
	if ok {
		return Met
	}
	return NotMet
}
