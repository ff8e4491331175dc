package delays

import (
	"fmt"
	"slices"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// Hold puts a timetable with the delays of a table to the scheduler's checker, exactly as it will be fired: as many cycles of it as it
// takes for delays to repeat are one cycle of a problem in which each firing is a job. It is nil where all that p asks is kept, chains
// left out, whose links have no times of their own, and the guard as a staggered problem has it.
func Hold(p instance.Problem, t instance.Timetable, tables [][]int64) error {
	cycles := 1
	for _, table := range tables {
		cycles = max(cycles, len(table))
	}
	n := len(p.Jobs)
	q := instance.Problem{Name: p.Name, Style: instance.Staggered, AtOnce: p.AtOnce, GuardUs: p.GuardUs, JitterUs: p.JitterUs}
	copies := func(do func(shift int)) {
		for k := range cycles {
			do(k * n)
		}
	}
	copies(func(at int) {
		q.Jobs = append(q.Jobs, p.Jobs...)
		for _, set := range p.Together {
			var jobs []int
			for _, j := range set {
				jobs = append(jobs, j+at)
			}
			q.Together = append(q.Together, jobs)
		}
		copies(func(other int) {
			for _, a := range p.Arcs {
				a.From, a.To = a.From+at, a.To+other
				q.Arcs = append(q.Arcs, a)
			}
			for _, c := range p.Conflicts {
				q.Conflicts = append(q.Conflicts, [2]int{c[0] + at, c[1] + other})
			}
			for j := 0; j < n && at < other; j++ { // the same line
				q.Conflicts = append(q.Conflicts, [2]int{j + at, j + other})
			}
		})
	})
	for _, r := range p.Resources {
		uses := r.Uses
		r.Uses = nil
		copies(func(at int) {
			for _, u := range uses {
				u.Job += at
				r.Uses = append(r.Uses, u)
			}
		})
		q.Resources = append(q.Resources, r)
	}
	table := instance.Timetable{CycleUs: t.CycleUs * int64(cycles)}
	for _, f := range t.Firings {
		delay := func(k int) int64 { return tables[f.Job][k%len(tables[f.Job])] }
		job := p.Jobs[f.Job]
		for k := range cycles {
			if gap := t.CycleUs + delay(k+1) - delay(k); gap < job.BusyUs+job.RestUs+2*p.JitterUs {
				return fmt.Errorf("%s fires again after %d, too early to have rested", p.JobName(f.Job), gap)
			}
			us := f.AtUs + int64(k)*t.CycleUs + delay(k)
			table.Firings = append(table.Firings, instance.Firing{Job: f.Job + k*n, AtUs: us % table.CycleUs})
		}
	}
	slices.SortFunc(table.Firings, func(a, b instance.Firing) int {
		return slices.Compare([]int64{a.AtUs, int64(a.Job)}, []int64{b.AtUs, int64(b.Job)})
	})
	return check.Check(q, table)
}
