// Package check replays a timetable against its problem and says what is wrong with it. It shares
// no code with any solver and believes nothing the solver says.
//
//	scheduler ─► check ─► instance and nothing else
//
// In: an instance.Problem and an instance.Timetable of the slots style. Out: nil, or the first
// *Violation in words. What a sound timetable must keep:
//
//   - every job fires exactly once a cycle, and the groups are the firings;
//   - several cycles played event by event: no sound reaches a listening window of another job,
//     of a later firing of the same job, or of another cycle; jobs in conflict are never occupied
//     at once; never more jobs are occupied than may be; a job rests before it fires again;
//   - after every group, the last of the cycle too, there is the guard: between the end of every
//     job and the next firing, and between the last of a sound and the window that opens next;
//   - the lower bound is not above the cycle, equals it when proven, and a set of jobs said to
//     take turns does conflict pairwise and adds up to it.
//
// Spans are open: sound that ends as a window opens, or a job that ends as another fires, is right.
package check

import (
	"fmt"
	"slices"

	"echowright/scheduler/instance"
)

// Violation is the first rule a timetable breaks.
type Violation struct {
	Rule Rule
	AtUs int64 // time from the start of the cycle played, where there is one
	Text string
}

// Rule names what was broken.
type Rule string

// The rules, in the order in which they are looked at.
const (
	Shape    Rule = "shape"    // firings and groups do not fit the jobs or one another
	Conflict Rule = "conflict" // jobs in conflict occupied at once
	Capacity Rule = "capacity" // more jobs at once than may be
	Rest     Rule = "rest"     // fired again too early
	Guard    Rule = "guard"    // no silence after a group
	Sound    Rule = "sound"    // a sound meets a foreign window
	Bound    Rule = "bound"    // the claim of how short a cycle can be
)

func (v *Violation) Error() string { return string(v.Rule) + ": " + v.Text }

func broken(r Rule, at int64, format string, a ...any) error {
	return &Violation{r, at, fmt.Sprintf(format, a...)}
}

// Check returns nil for a sound timetable, an *instance.Fault for a faulty problem, otherwise the
// first *Violation.
func Check(p instance.Problem, t instance.Timetable) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if err := shape(p, t); err != nil {
		return err
	}
	if err := groups(t); err != nil {
		return err
	}
	if len(p.Jobs) > 0 {
		if err := replay(p, t); err != nil {
			return err
		}
	}
	return claim(p, t)
}

func shape(p instance.Problem, t instance.Timetable) error {
	n := len(p.Jobs)
	if n > 0 && t.CycleUs <= 0 || t.CycleUs < 0 || t.CycleUs > instance.MaxUs*int64(2*n+1) {
		return broken(Shape, 0, "a cycle of %d us", t.CycleUs)
	}
	fires := make([]int, n)
	for k, f := range t.Firings {
		if f.Job < 0 || f.Job >= n {
			return broken(Shape, f.AtUs, "job %d fires, there are %d", f.Job, n)
		}
		if f.AtUs < 0 || f.AtUs >= t.CycleUs {
			return broken(Shape, f.AtUs, "%s fires at %d us, outside the cycle of %d us", p.JobName(f.Job), f.AtUs, t.CycleUs)
		}
		if k > 0 {
			before := t.Firings[k-1]
			if f.AtUs < before.AtUs || f.AtUs == before.AtUs && f.Job <= before.Job {
				return broken(Shape, f.AtUs, "firing %d is out of order", k)
			}
		}
		fires[f.Job]++
	}
	for i, c := range fires {
		if c != 1 {
			return broken(Shape, 0, "%s fires %d times in a cycle", p.JobName(i), c)
		}
	}
	return nil
}

// groups compares the groups with the jobs that fire at each instant.
func groups(t instance.Timetable) error {
	k := 0
	for g, members := range t.Groups {
		if len(members) == 0 {
			return broken(Shape, 0, "group %d is empty", g)
		}
		for m, job := range members {
			if k == len(t.Firings) || t.Firings[k].Job != job {
				return broken(Shape, 0, "group %d holds job %d, the firings do not", g, job)
			}
			if m > 0 && t.Firings[k].AtUs != t.Firings[k-1].AtUs {
				return broken(Shape, t.Firings[k].AtUs, "jobs %d and %d of group %d fire at different times", members[m-1], job, g)
			}
			k++
		}
		if k < len(t.Firings) && t.Firings[k].AtUs == t.Firings[k-1].AtUs {
			return broken(Shape, t.Firings[k].AtUs, "job %d fires with group %d but is not in it", t.Firings[k].Job, g)
		}
	}
	if k != len(t.Firings) {
		return broken(Shape, 0, "%d firings, %d of them in groups", len(t.Firings), k)
	}
	return nil
}

// claim checks what the timetable says about the least cycle, as far as it can be checked without
// searching.
func claim(p instance.Problem, t instance.Timetable) error {
	if t.LowerBoundUs < 0 || t.LowerBoundUs > t.CycleUs {
		return broken(Bound, 0, "a lower bound of %d us on a cycle of %d us", t.LowerBoundUs, t.CycleUs)
	}
	if t.Proven && t.LowerBoundUs != t.CycleUs {
		return broken(Bound, 0, "called proven with a lower bound of %d us below the cycle of %d us", t.LowerBoundUs, t.CycleUs)
	}
	if len(t.Clique) == 0 {
		return nil
	}
	var sum int64
	apart := neverTogether(p)
	for k, i := range t.Clique {
		if i < 0 || i >= len(p.Jobs) || slices.Contains(t.Clique[:k], i) {
			return broken(Bound, 0, "job %d among those that take turns", i)
		}
		for _, j := range t.Clique[:k] {
			if p.AtOnce != 1 && !apart.has(i, j) {
				return broken(Bound, 0, "%s and %s could share a group", p.JobName(j), p.JobName(i))
			}
		}
		sum += alone(p, i)
	}
	if sum != t.LowerBoundUs {
		return broken(Bound, 0, "the jobs that take turns need %d us, the lower bound is %d us", sum, t.LowerBoundUs)
	}
	return nil
}

// neverTogether holds the pairs that can never fire at the same instant.
func neverTogether(p instance.Problem) pairs {
	ps := newPairs(len(p.Jobs))
	for _, c := range p.Conflicts {
		ps.add(c[0], c[1])
	}
	for _, a := range p.Arcs {
		if to := p.Jobs[a.To]; a.FromUs < to.CloseUs && to.OpenUs < a.UntilUs {
			ps.add(a.From, a.To)
		}
	}
	return ps
}

// pairs is a set of unordered pairs of jobs, one bit for each order.
type pairs struct {
	n    int
	bits []uint64
}

func newPairs(n int) pairs { return pairs{n, make([]uint64, n*n/64+1)} }

func (ps pairs) add(i, j int) {
	for _, k := range [2]int{i*ps.n + j, j*ps.n + i} {
		ps.bits[k/64] |= 1 << (k % 64)
	}
}

func (ps pairs) has(i, j int) bool {
	k := i*ps.n + j
	return ps.bits[k/64]>>(k%64)&1 != 0
}

// alone is how long job i keeps everybody waiting, guard included.
func alone(p instance.Problem, i int) int64 {
	us := p.Jobs[i].LastsUs()
	for _, a := range p.Arcs {
		if a.From == i {
			us = max(us, a.UntilUs-p.Jobs[a.To].OpenUs)
		}
	}
	return us + p.GuardUs
}
