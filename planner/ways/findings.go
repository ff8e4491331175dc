package ways

import (
	"fmt"
	"slices"

	"echowright/planner/plan"
)

// CodeWayOut marks a way out of a cycle too long.
const CodeWayOut = "way-out"

// mostTold is how many ways out are told as findings; the others cost more.
const mostTold = 6

// Told is a plan with its ways out, as data and as findings that can be taken. The plan itself stays as it is.
func Told(p *plan.Plan, all *plan.Ways) *plan.Plan {
	out := *p
	out.Ways = all
	var fs []plan.Finding
	for _, o := range all.Out[:min(len(all.Out), mostTold)] {
		fs = append(fs, plan.Finding{Severity: plan.Note, Code: CodeWayOut, Where: "cycle", Text: o.What, Mend: brings(o, all.BudgetUs), Try: o.Changes})
	}
	at := 1 + slices.IndexFunc(p.Findings, func(f plan.Finding) bool { return f.Severity != plan.Note })
	for at < len(p.Findings) && p.Findings[at].Severity != plan.Note { // before the first note
		at++
	}
	out.Findings = slices.Insert(slices.Clone(p.Findings), at, fs...)
	return &out
}

// brings is what a way out gives and what it costs, in one line.
func brings(o plan.Way, budgetUs int64) string {
	s := "then the cycle is " + plan.Milliseconds(o.CycleUs[1])
	switch {
	case o.Met:
		s += ", and everything asked is met"
	case o.CycleUs[1] <= budgetUs:
		s += ", within the " + plan.Milliseconds(budgetUs) + " asked"
	default:
		s += ", not enough by itself"
	}
	if less := o.LostM2(); less > roundingM2 {
		s += fmt.Sprintf("; %s less is seen", plan.SquareMetres(less))
	}
	for _, l := range o.Lost {
		s += "; missed then: " + l
	}
	return s
}
