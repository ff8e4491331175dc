package plantest

import "echowright/planner/plan"

// Delayed is Small with alternating delays, its texts hostile, too.
func Delayed() *plan.Plan {
	p := Small()
	s := &p.Schedule
	s.Firings[0].DelaysUs, s.Firings[1].DelaysUs = []int64{0, 400}, []int64{0, 1200}
	s.Delays = &plan.Delays{
		Way: plan.Alternating, ClosingMS: 2.4, ThresholdUs: 396, ThresholdM: 0.0693, ThresholdTicks: 99, ShiftUs: 790, MostUs: 1200, Classes: 2, LeastClasses: 2, ClassesProven: true,
		TableCycles: 2, ConfirmUs: 62200, WithoutUs: 29800,
		Inequalities: []plan.Inequality{{Name: "true echo passes", LeftUs: 394, Relation: "<=", RightUs: 396, Met: true, Text: Hostile}, {Name: "sound of this cycle shifts", LeftUs: 800, Relation: ">", RightUs: 790, Met: true, Text: Hostile}},
		NotRejected:  []string{Hostile},
	}
	return p
}
