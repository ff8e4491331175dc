package instance

import (
	"fmt"
	"slices"
)

// Limits of a problem. They keep every sum of times and amounts far inside an int64.
const (
	MaxJobs = 4096
	MaxUs   = int64(1_000_000_000_000) // 11.5 days
	MaxArcs = 1 << 21                  // as many uses of resources, too
	// MaxAmount is the largest capacity and the most a use may take.
	MaxAmount = int64(1_000_000_000_000)
	// MaxUses is the most uses a job may make of one resource.
	MaxUses = 64
)

// Fault is what makes a problem meaningless, with the place in it.
type Fault struct {
	Where string // "job 3", "arc 2", "conflict 0", "resource 1 use 4"
	Wrong string
}

func (f *Fault) Error() string { return f.Where + ": " + f.Wrong }

func faultf(kind string, i int, format string, a ...any) *Fault {
	return &Fault{Where: fmt.Sprintf("%s %d", kind, i), Wrong: fmt.Sprintf(format, a...)}
}

// Validate reports the first fault of the problem, as a *Fault, or nil. Whether its demands contradict one
// another is asked of Possible.
func (p Problem) Validate() error {
	n := len(p.Jobs)
	if n > MaxJobs {
		return &Fault{"problem", fmt.Sprintf("%d jobs, at most %d", n, MaxJobs)}
	}
	if len(p.Arcs) > MaxArcs {
		return &Fault{"problem", fmt.Sprintf("%d arcs, at most %d", len(p.Arcs), MaxArcs)}
	}
	if p.Style < Slots || p.Style > Staggered {
		return &Fault{"problem", fmt.Sprintf("style %d, there are slots and staggered", p.Style)}
	}
	if p.AtOnce < 0 {
		return &Fault{"problem", fmt.Sprintf("%d at once, less than none", p.AtOnce)}
	}
	for _, us := range []int64{p.GuardUs, p.JitterUs, p.BudgetUs} {
		if us < 0 || us > MaxUs {
			return &Fault{"problem", "guard, jitter or budget outside 0 to 1e12 us"}
		}
	}
	for i, j := range p.Jobs {
		if f := j.fault(i); f != nil {
			return f
		}
	}
	for i, a := range p.Arcs {
		if f := a.fault(i, n); f != nil {
			return f
		}
	}
	for i, c := range p.Conflicts {
		if c[0] == c[1] {
			return faultf("conflict", i, "job %d with itself", c[0])
		}
		if min(c[0], c[1]) < 0 || max(c[0], c[1]) >= n {
			return faultf("conflict", i, "jobs %d and %d, there are %d", c[0], c[1], n)
		}
	}
	if f := p.setFault(); f != nil {
		return f
	}
	return p.resourceFault()
}

func (p Problem) setFault() error {
	for i, s := range p.Together {
		if f := listFault("together", i, s, len(p.Jobs)); f != nil {
			return f
		}
	}
	for i, s := range p.Order {
		if f := listFault("order", i, s, len(p.Jobs)); f != nil {
			return f
		}
	}
	return nil
}

func listFault(kind string, i int, jobs []int, n int) *Fault {
	seen := map[int]bool{}
	for _, j := range jobs {
		if j < 0 || j >= n {
			return faultf(kind, i, "job %d, there are %d", j, n)
		}
		if seen[j] {
			return faultf(kind, i, "job %d twice", j)
		}
		seen[j] = true
	}
	return nil
}

func (p Problem) resourceFault() error {
	uses := 0
	for i, r := range p.Resources {
		if r.Capacity < 1 || r.Capacity > MaxAmount {
			return faultf("resource", i, "a capacity of %d", r.Capacity)
		}
		if uses += len(r.Uses); uses > MaxArcs {
			return faultf("resource", i, "more than %d uses in all", MaxArcs)
		}
		byJob := map[int]int{}
		for k, u := range r.Uses {
			byJob[u.Job]++
			where := fmt.Sprintf("resource %d use %d", i, k)
			switch {
			case u.Job < 0 || u.Job >= len(p.Jobs):
				return &Fault{where, fmt.Sprintf("job %d, there are %d", u.Job, len(p.Jobs))}
			case u.Amount < 1 || u.Amount > MaxAmount:
				return &Fault{where, fmt.Sprintf("an amount of %d", u.Amount)}
			case u.FromUs < 0 || u.UntilUs <= u.FromUs || u.UntilUs > MaxUs:
				return &Fault{where, fmt.Sprintf("in use from %d to %d us", u.FromUs, u.UntilUs)}
			case byJob[u.Job] > MaxUses:
				return &Fault{where, fmt.Sprintf("more than %d uses by job %d", MaxUses, u.Job)}
			}
		}
	}
	return nil
}

func (j Job) fault(i int) *Fault {
	switch {
	case j.OpenUs < 0 || j.CloseUs < j.OpenUs:
		return faultf("job", i, "listens from %d to %d us", j.OpenUs, j.CloseUs)
	case j.BusyUs < 0 || j.RestUs < 0 || j.TransferUs < 0:
		return faultf("job", i, "busy %d us, transfer %d us and rest %d us must not be negative", j.BusyUs, j.TransferUs, j.RestUs)
	case j.EveryUs < 0:
		return faultf("job", i, "to fire every %d us, less than no time", j.EveryUs)
	case max(j.CloseUs, j.BusyUs, j.RestUs, j.TransferUs, j.EveryUs) > MaxUs:
		return faultf("job", i, "a time longer than 1e12 us")
	case j.LastsUs() == 0:
		return faultf("job", i, "takes no time at all")
	}
	return nil
}

func (a Arc) fault(i, jobs int) *Fault {
	switch {
	case min(a.From, a.To) < 0 || max(a.From, a.To) >= jobs:
		return faultf("arc", i, "from job %d to job %d, there are %d", a.From, a.To, jobs)
	case a.FromUs < 0 || a.UntilUs < a.FromUs:
		return faultf("arc", i, "arrives from %d to %d us after firing", a.FromUs, a.UntilUs)
	case a.UntilUs > MaxUs:
		return faultf("arc", i, "a time longer than 1e12 us")
	}
	return nil
}

// JobName is the job's own name, or "job 3" where it has none.
func (p Problem) JobName(i int) string {
	if n := p.Jobs[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("job %d", i)
}

// ResourceName is the resource's own name, or "resource 3" where it has none.
func (p Problem) ResourceName(i int) string {
	if n := p.Resources[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("resource %d", i)
}

// Blocks splits the jobs into sets that fire together: what is left of Together when sets that
// share a job are joined, and every other job alone. Each is sorted, and so are they by first job.
func (p Problem) Blocks() [][]int {
	root := make([]int, len(p.Jobs))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, s := range p.Together {
		for _, j := range s {
			a, b := find(s[0]), find(j)
			root[max(a, b)] = min(a, b)
		}
	}
	var blocks [][]int
	all, at := make([]int, len(p.Jobs)), make([]int, len(p.Jobs))
	for i := range p.Jobs {
		// The root is the least of its block, so it comes first.
		if r := find(i); r == i {
			all[i], at[i] = i, len(blocks)
			blocks = append(blocks, all[i:i+1:i+1])
		} else {
			blocks[at[r]] = append(blocks[at[r]], i)
		}
	}
	return slices.Clip(blocks)
}
