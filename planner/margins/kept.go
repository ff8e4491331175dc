package margins

import (
	"errors"
	"fmt"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// timetable is the firing table of a Plan as the checker takes it, without any claim of how short it could be: that is not what is asked of
// a changed problem. False where there is none that is kept, or jobs are not those of the table.
func timetable(s plan.Schedule, p instance.Problem) (instance.Timetable, bool) {
	if s.Style == plan.AsRead || len(s.Firings) == 0 {
		return instance.Timetable{}, false
	}
	job := map[string]int{}
	for k, j := range p.Jobs {
		job[j.Name] = k
	}
	t := instance.Timetable{CycleUs: s.CycleUs}
	for _, f := range s.Firings {
		k, ok := job[f.Sensor]
		if !ok {
			return t, false
		}
		t.Firings = append(t.Firings, instance.Firing{Job: k, AtUs: f.AtUs})
	}
	return ordered(t, p.Style), true
}

// ordered puts the firings of a timetable in their order and, for slots, into their groups.
func ordered(t instance.Timetable, style instance.Style) instance.Timetable {
	slices.SortFunc(t.Firings, func(a, b instance.Firing) int {
		if a.AtUs != b.AtUs {
			return int(min(1, max(-1, a.AtUs-b.AtUs)))
		}
		return a.Job - b.Job
	})
	t.Groups = nil
	if style == instance.Staggered {
		return t
	}
	for k, f := range t.Firings {
		if k == 0 || f.AtUs != t.Firings[k-1].AtUs {
			t.Groups = append(t.Groups, nil)
		}
		g := &t.Groups[len(t.Groups)-1]
		*g = append(*g, f.Job)
	}
	return t
}

// of is the timetable of some jobs alone, numbered as in that list.
func of(t instance.Timetable, jobs []int, style instance.Style) instance.Timetable {
	out := instance.Timetable{CycleUs: t.CycleUs}
	for _, f := range t.Firings {
		if k := slices.Index(jobs, f.Job); k >= 0 {
			out.Firings = append(out.Firings, instance.Firing{Job: k, AtUs: f.AtUs})
		}
	}
	return ordered(out, style)
}

// refuse is what the checker has against a timetable, with who it concerns; nil when it accepts it.
func refuse(p instance.Problem, t instance.Timetable) *broken {
	err := check.Check(p, t)
	if err == nil {
		return nil
	}
	var v *check.Violation
	if !errors.As(err, &v) {
		return &broken{rule: string(check.Shape), text: err.Error()}
	}
	b := &broken{rule: string(v.Rule), text: v.Text}
	who := culprits(p, t, v.Rule)
	for _, j := range who {
		b.sensors = append(b.sensors, p.JobName(j))
	}
	if len(who) > 0 {
		b.text = say(v.Rule, b.sensors, p.GuardUs)
	}
	return b
}

// culprits finds whom a broken rule concerns, by the checker alone: the first job, else the first two, of which it refuses the timetable
// for the same rule. None where it takes more. Of sound the sender comes first.
func culprits(p instance.Problem, t instance.Timetable, rule check.Rule) []int {
	n := len(p.Jobs)
	sounds := map[[2]int][]instance.Arc{}
	for _, a := range p.Arcs {
		sounds[[2]int{a.From, a.To}] = append(sounds[[2]int{a.From, a.To}], a)
	}
	breaks := func(jobs []int, arcs ...instance.Arc) bool {
		q := p
		q.Arcs = arcs
		q = q.Only(jobs)
		var v *check.Violation
		return errors.As(check.Check(q, of(t, jobs, p.Style)), &v) && v.Rule == rule
	}
	for i := range n {
		if breaks([]int{i}, sounds[[2]int{i, i}]...) {
			return []int{i}
		}
	}
	for i := range n {
		for j := range n {
			if i == j || rule != check.Sound && j < i {
				continue
			}
			if breaks([]int{i, j}, sounds[[2]int{i, j}]...) {
				return []int{i, j}
			}
		}
	}
	return nil
}

// say puts a broken rule into words.
func say(rule check.Rule, names []string, guardUs int64) string {
	a, b := names[0], names[len(names)-1]
	one := len(names) == 1
	switch {
	case rule == check.Sound && one:
		return fmt.Sprintf("late sound of %s reaches its own next window", a)
	case rule == check.Sound:
		return fmt.Sprintf("sound of %s reaches the window of %s", a, b)
	case rule == check.Rest:
		return fmt.Sprintf("%s would fire again before it is done and rested", a)
	case rule == check.Guard && one:
		return fmt.Sprintf("%s is not over, with the guard, before it fires again", a)
	case rule == check.Guard && guardUs > 0:
		return fmt.Sprintf("less than the guard is left between %s and %s", a, b)
	case rule == check.Guard || rule == check.Conflict || rule == check.Capacity:
		return fmt.Sprintf("%s and %s overlap: one fires before the other is over", a, b)
	case rule == check.Resource:
		return fmt.Sprintf("%s take more of what they share than there is", both(a, b, one))
	case rule == check.Order:
		return fmt.Sprintf("%s and %s may come in the wrong order", a, b)
	}
	return fmt.Sprintf("%s: %s", both(a, b, one), rule)
}

func both(a, b string, one bool) string {
	if one {
		return "several uses of " + a
	}
	return a + " and " + b
}
