package report

import (
	"fmt"

	"echowright/planner/plan"
)

// order is one way to fire, for comparison.
type order struct {
	Name       string
	CycleUs    int64
	Pairs, Own int
	Note       string
}

// orders compares this plan with all at once and one after another; none where there is but one firing.
func orders(p *plan.Plan) []order {
	if len(p.Schedule.Firings) < 2 {
		return nil
	}
	all := order{Name: "all at once", Note: "again and again, as soon as the slowest is done"}
	all.CycleUs, all.Pairs, all.Own = p.AllAtOnce()
	turns := order{Name: "one after another", Note: "each waits until its line is free and its sound gone for every listener"}
	turns.CycleUs, turns.Pairs, turns.Own = p.OneByOne()
	ours := order{Name: "this plan", CycleUs: p.Schedule.RunsUs(), Note: p.Schedule.Arranged()}
	if p.Schedule.Style == plan.AsRead {
		ours.Note = fmt.Sprintf("as-read: at the worst; at the best %s", plan.Milliseconds(p.Schedule.BestCycleUs))
	} else if p.Schedule.Proven {
		ours.Note += ", no order is quicker"
	}
	ours.Pairs, ours.Own = p.DisturbedPairs()
	if s := p.Schedule; s.SlotsCycleUs > 0 {
		slots := order{Name: "in slots", CycleUs: s.SlotsCycleUs, Note: "groups that fire together, one after the other"}
		if s.SlotsProven {
			slots.Note += ", no grouping is quicker"
		}
		return []order{all, turns, slots, ours}
	}
	return []order{all, turns, ours}
}

// around says for what surroundings the disturbances are found.
func around(p *plan.Plan) string {
	walls := "no walls"
	if p.Around.WallsM[0] <= p.Around.WallsM[1] && p.Around.Bounces > 0 {
		walls = fmt.Sprintf("walls from %g to %g m", p.Around.WallsM[0], p.Around.WallsM[1])
	}
	switch n := p.Around.Bounces; n {
	case 0:
		return walls + ", along the body alone"
	case 1:
		return walls + ", 1 bounce"
	default:
		return fmt.Sprintf("%s, %d bounces", walls, n)
	}
}
