package delays

import (
	"context"
	"slices"

	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// Hearing is who can hear whom among n jobs, whether a timetable keeps them apart or not.
type Hearing struct {
	Jobs  int
	Pairs [][2]int // each way is the same; a job with itself is left out
	Alike [][]int  // jobs that have the same delays whatever happens, as one fires another or they hang on one trigger
}

// Sets numbers the sets of jobs that have the same delays, and gives each job's.
func (h Hearing) Sets() (of []int, sets int) {
	first := make([]int, h.Jobs) // of each job's set, some job
	for i := range first {
		first[i] = i
	}
	for _, set := range h.Alike {
		for _, j := range set {
			from, to := first[j], first[set[0]]
			for i, s := range first {
				if s == from {
					first[i] = to
				}
			}
		}
	}
	of = make([]int, h.Jobs)
	for i, s := range first {
		if s == i {
			of[i] = sets
			sets++
		}
	}
	for i, s := range first {
		of[i] = of[s]
	}
	return of, sets
}

// Classes are jobs with the same delay.
type Classes struct {
	Of     []int // class of each job, from 0
	Count  int
	Least  int      // no fewer are possible
	Proven bool     // Count is Least
	Pairs  [][2]int // pairs that hear each other, the lesser first, sorted; but not those alike, whose sound does not shift
}

// Classify finds the fewest classes such that jobs which hear each other have different ones: the chromatic number of the graph,
// found as the shortest cycle of jobs that each last one unit of time. If groups, a partition of the jobs, do as well, they are the
// classes: jobs of a group that share a delay hold the next group up by no more than that.
func Classify(ctx context.Context, h Hearing, groups [][]int, o scheduler.Options) (Classes, error) {
	index, sets := h.Sets()
	var c Classes
	p := instance.Problem{Name: "classes", Jobs: make([]instance.Job, sets)}
	for i := range p.Jobs {
		p.Jobs[i] = instance.Job{CloseUs: 1, BusyUs: 1}
	}
	for _, pair := range h.Pairs {
		a, b := min(pair[0], pair[1]), max(pair[0], pair[1])
		if index[a] != index[b] {
			c.Pairs = append(c.Pairs, [2]int{a, b})
			p.Conflicts = append(p.Conflicts, [2]int{min(index[a], index[b]), max(index[a], index[b])})
		}
	}
	c.Pairs, p.Conflicts = sorted(c.Pairs), sorted(p.Conflicts)
	t, err := scheduler.Solve(ctx, p, o)
	if err != nil {
		return Classes{}, err
	}
	c.Of, c.Count, c.Least, c.Proven = make([]int, h.Jobs), len(t.Groups), int(t.LowerBoundUs), t.Proven
	for g, members := range t.Groups {
		for i := range c.Of {
			if slices.Contains(members, index[i]) {
				c.Of[i] = g
			}
		}
	}
	if as, ok := c.keeps(groups, index); ok && len(groups) <= c.Count {
		c.Of, c.Count, c.Proven = as, len(groups), len(groups) == c.Least
	}
	return c, nil
}

// keeps reads classes off groups; ok is false if they are no partition, part those alike or join those who hear each other.
func (c Classes) keeps(groups [][]int, alike []int) (of []int, ok bool) {
	of = make([]int, len(alike))
	for i := range of {
		of[i] = -1
	}
	for g, members := range groups {
		for _, j := range members {
			of[j] = g
		}
	}
	first := map[int]int{}
	for i, g := range of {
		if f, seen := first[alike[i]]; g < 0 || seen && f != g {
			return nil, false
		}
		first[alike[i]] = g
	}
	for _, p := range c.Pairs {
		if of[p[0]] == of[p[1]] {
			return nil, false
		}
	}
	return of, true
}

// sorted is the pairs in order, each once.
func sorted(pairs [][2]int) [][2]int {
	slices.SortFunc(pairs, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	return slices.Compact(pairs)
}
