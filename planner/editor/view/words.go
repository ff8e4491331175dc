package view

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// small is the size of quiet text, plain that of values, in points.
const (
	small = 11
	plain = 12
)

// words is all the text the pictures hold.
var words = wordList{
	forward: "forward", twin: "mirror twin", ghost: "to be mounted", listens: "listens",
	cycle: "One cycle", noSchedule: "no firing plan yet", stale: "being made anew", coming: "the firing plan is being reckoned",
	side: "Side view", noSide: "not reckoned yet",
	aTarget: "a target", inside: "within the machine",
	tooFar: "too far", tooClose: "too close", offBeam: "outside every beam", outOfSight: "out of sight or too weak here",
}

type wordList struct {
	forward, twin, ghost, listens, cycle, noSchedule, stale, coming, side, noSide string
	aTarget, inside, tooFar, tooClose, offBeam, outOfSight                        string
}

func (wordList) degrees(rad float64) string {
	return fmt.Sprintf("%.1f°", math.Round(rad*1800/math.Pi)/10+0) // + 0: no "-0.0"
}

func (wordList) both(o plan.Overlap) string { return "both see " + squareMetres(o.AreaM2) }

// squareMetres writes an area with its sign for square.
func squareMetres(a float64) string { return strings.Replace(plan.SquareMetres(a), "m2", "m²", 1) }

func (wordList) hides(b plan.BlindSpot) string {
	cause := b.Cause
	if b.Part != "" {
		cause += " (" + b.Part + ")"
	}
	return cause + " · hides " + draw.Brief(b)
}

// disturbance is what a listener would take a sound for.
func (wordList) disturbance(p *plan.Plan, a plan.Arc) []string {
	return []string{a.To + " hears " + a.From + " · " + a.Path, "if fired together reads " + plan.LengthSpan(p.Reads(a))}
}

func (wordList) onItsWay(a plan.Arc) string { return "sound of " + a.From + " on its way to " + a.To }

func (wordList) needs(w plan.Warning) string { return "needs " + plan.Metres(w.NeededM) }

func (wordList) warned(w plan.Warning) string {
	if w.FirstM <= 0 {
		return "no warning of " + w.Target + " is certain here"
	}
	return "first warning of " + w.Target + " " + plan.Metres(w.FirstM)
}

func (wordList) along(m float64) string { return plan.Metres(m) + " along the edge" }

func (wordList) cycleEnd(s plan.Schedule) string {
	if s.Style == plan.AsRead && s.BestCycleUs > 0 && s.BestCycleUs < s.CycleUs {
		return plan.Milliseconds(s.CycleUs) + " at worst, " + plan.Milliseconds(s.BestCycleUs) + " at best"
	}
	return plan.Milliseconds(s.CycleUs) + ", " + s.Arranged()
}

// why is why the cycle is no shorter, in the first line of what the plan says.
func (wordList) why(s plan.Schedule) string {
	line, _, _ := strings.Cut(s.Why, "\n")
	return line
}

func (wordList) group(n int, names []string) string {
	return fmt.Sprintf("%d: %s", n, strings.Join(names, ", "))
}

func (wordList) budget(s plan.Schedule) string { return "budget " + plan.Milliseconds(s.BudgetUs) }

// seen says who sees the target that was put down.
func (wordList) seen(target string, names []string) []string {
	return []string{target + " seen by " + fmt.Sprint(len(names)), strings.Join(names, ", ")}
}

func (wordList) unseen(target, why string) []string {
	return []string{target + ": no sensor sees it for certain", why}
}

func (wordList) cause(b plan.BlindSpot) string {
	s := b.Cause
	if b.Part != "" {
		s += " (" + b.Part + ")"
	}
	if b.Sensor != "" {
		s += " · nearest to seeing it: " + b.Sensor
	}
	return s
}

// offBody says that a sensor is above or below the body's height span.
func (wordList) offBody(z float64, body [2]float64) string {
	const fine = 1e-9
	switch {
	case z > body[1]+fine:
		return "above the body, which ends at " + plan.Metres(body[1])
	case z < body[0]-fine:
		return "below the body, which begins at " + plan.Metres(body[0])
	}
	return ""
}

func (wordList) height(s plan.Sensor) string {
	return "height " + plan.Metres(s.Z) + " · tilt " + words.degrees(s.Tilt)
}
