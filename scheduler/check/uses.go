package check

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// change is a moment at which a firing may begin or cease to use an amount of a resource, at the
// earliest and at the latest.
type change struct {
	at     int64
	starts bool
	job    int
	fired  int64 // when the firing was due
	amount int64
}

// playUses plays what is in use of each resource in some cycles. A firing may be off by the jitter, so
// at a moment it may use the most of what it uses within the jitter of it; all firings may be off to their
// worst at the same time.
func playUses(p instance.Problem, t instance.Timetable, first, last int64) error {
	for r, res := range p.Resources {
		var used int64
		now := map[[2]int64][]int64{} // by job and firing: amounts it may be using
		for _, c := range changes(p, t, res, first, last) {
			k := [2]int64{int64(c.job), c.fired}
			before := most(now[k])
			if c.starts {
				now[k] = append(now[k], c.amount)
			} else {
				i := slices.Index(now[k], c.amount)
				now[k] = slices.Delete(now[k], i, i+1)
			}
			used += most(now[k]) - before
			if c.starts && used > res.Capacity {
				return broken(Resource, c.at, "%s may use %d of %s at %d us, with the others that is %d of %d",
					p.JobName(c.job), c.amount, p.ResourceName(r), c.at, used, res.Capacity)
			}
		}
	}
	return nil
}

func most(amounts []int64) int64 {
	var m int64
	for _, a := range amounts {
		m = max(m, a)
	}
	return m
}

func changes(p instance.Problem, t instance.Timetable, res instance.Resource, first, last int64) []change {
	uses := map[int][]instance.Use{}
	for _, u := range res.Uses {
		uses[u.Job] = append(uses[u.Job], u)
	}
	var cs []change
	for _, f := range t.Firings {
		for _, u := range flat(uses[f.Job]) {
			for c := first; c <= last; c++ {
				at := f.AtUs + c*t.CycleUs
				cs = append(cs, change{at + u.FromUs - p.JitterUs, true, f.Job, at, u.Amount},
					change{at + u.UntilUs + p.JitterUs, false, f.Job, at, u.Amount})
			}
		}
	}
	slices.SortFunc(cs, func(a, b change) int {
		ends := func(c change) int {
			if c.starts {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(a.at, b.at), ends(a)-ends(b), cmp.Compare(a.job, b.job), cmp.Compare(a.fired, b.fired), cmp.Compare(a.amount, b.amount))
	})
	return cs
}

// flat cuts one job's uses into pieces that do not overlap, amounts added up.
func flat(uses []instance.Use) []instance.Use {
	if len(uses) < 2 {
		return uses
	}
	var edges []int64
	for _, u := range uses {
		edges = append(edges, u.FromUs, u.UntilUs)
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	var out []instance.Use
	for k := 1; k < len(edges); k++ {
		piece := instance.Use{Job: uses[0].Job, FromUs: edges[k-1], UntilUs: edges[k]}
		for _, u := range uses {
			if u.FromUs <= piece.FromUs && piece.UntilUs <= u.UntilUs {
				piece.Amount += u.Amount
			}
		}
		if piece.Amount > 0 {
			out = append(out, piece)
		}
	}
	return out
}
