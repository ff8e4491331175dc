package instance

import "fmt"

// Limits of a problem. They keep every sum of times far inside an int64.
const (
	MaxJobs = 4096
	MaxUs   = int64(1_000_000_000_000) // 11.5 days
)

// Fault is what makes a problem meaningless, with the place in it.
type Fault struct {
	Where string // "job 3", "arc 2", "conflict 0"
	Wrong string
}

func (f *Fault) Error() string { return f.Where + ": " + f.Wrong }

func faultf(kind string, i int, format string, a ...any) *Fault {
	return &Fault{Where: fmt.Sprintf("%s %d", kind, i), Wrong: fmt.Sprintf(format, a...)}
}

// Validate reports the first fault of the problem, as a *Fault, or nil.
func (p Problem) Validate() error {
	if len(p.Jobs) > MaxJobs {
		return &Fault{"problem", fmt.Sprintf("%d jobs, at most %d", len(p.Jobs), MaxJobs)}
	}
	if p.AtOnce < 0 {
		return &Fault{"problem", fmt.Sprintf("%d at once, less than none", p.AtOnce)}
	}
	if p.GuardUs < 0 || p.GuardUs > MaxUs || p.BudgetUs < 0 || p.BudgetUs > MaxUs {
		return &Fault{"problem", "guard or budget outside 0 to 1e12 us"}
	}
	for i, j := range p.Jobs {
		if f := j.fault(i); f != nil {
			return f
		}
	}
	for i, a := range p.Arcs {
		if f := a.fault(i, len(p.Jobs)); f != nil {
			return f
		}
	}
	for i, c := range p.Conflicts {
		if c[0] == c[1] {
			return faultf("conflict", i, "job %d with itself", c[0])
		}
		if min(c[0], c[1]) < 0 || max(c[0], c[1]) >= len(p.Jobs) {
			return faultf("conflict", i, "jobs %d and %d, there are %d", c[0], c[1], len(p.Jobs))
		}
	}
	return nil
}

func (j Job) fault(i int) *Fault {
	switch {
	case j.OpenUs < 0 || j.CloseUs < j.OpenUs:
		return faultf("job", i, "listens from %d to %d us", j.OpenUs, j.CloseUs)
	case j.BusyUs < 0 || j.RestUs < 0:
		return faultf("job", i, "busy %d us and rest %d us must not be negative", j.BusyUs, j.RestUs)
	case j.CloseUs > MaxUs || j.BusyUs > MaxUs || j.RestUs > MaxUs:
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
