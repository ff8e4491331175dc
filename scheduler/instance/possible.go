package instance

import (
	"cmp"
	"fmt"
	"slices"
)

// Cannot is a contradiction between demands, each of which makes sense alone: no timetable keeps
// them all, however long.
type Cannot struct {
	Where string // the demand at which it shows, as in Fault
	Wrong string
}

func (c *Cannot) Error() string { return "cannot be done: " + c.Where + ": " + c.Wrong }

func cannotf(kind string, i int, format string, a ...any) *Cannot {
	return &Cannot{Where: fmt.Sprintf("%s %d", kind, i), Wrong: fmt.Sprintf(format, a...)}
}

// Possible reports the first contradiction in a valid problem as a *Cannot, or nil: then firing one
// block after the other, far enough apart, keeps every demand.
func (p Problem) Possible() error {
	blocks := p.Blocks()
	of := make([]int, len(p.Jobs))
	for b, jobs := range blocks {
		for _, j := range jobs {
			of[j] = b
		}
	}
	if c := p.togetherClash(blocks, of); c != nil {
		return c
	}
	if c := p.orderClash(len(blocks), of); c != nil {
		return c
	}
	usage := p.Usage()
	for _, jobs := range blocks {
		if r := usage.Exceeds(jobs); r >= 0 {
			need := "need"
			if len(jobs) == 1 {
				need = "needs"
			}
			return cannotf("resource", r, "%s gives out %d, %s %s more", p.ResourceName(r), p.Resources[r].Capacity, p.list(jobs), need)
		}
	}
	return nil
}

// setOf is the first together set that holds a job.
func (p Problem) setOf(job int) int {
	return max(0, slices.IndexFunc(p.Together, func(s []int) bool { return slices.Contains(s, job) }))
}

func (p Problem) togetherClash(blocks [][]int, of []int) error {
	for b := range blocks {
		if p.AtOnce > 0 && len(blocks[b]) > p.AtOnce {
			return cannotf("together", p.setOf(blocks[b][0]), "%s must fire together, at most %d may be occupied at once", p.list(blocks[b]), p.AtOnce)
		}
	}
	for k, c := range p.Conflicts {
		if of[c[0]] == of[c[1]] {
			return cannotf("together", p.setOf(c[0]), "%s and %s must fire together, by conflict %d they never may", p.JobName(c[0]), p.JobName(c[1]), k)
		}
	}
	for k, a := range p.Arcs {
		if a.From != a.To && of[a.From] == of[a.To] && p.Meets(a) {
			return cannotf("together", p.setOf(a.From), "%s and %s must fire together, but then sound of arc %d meets the window", p.JobName(a.From), p.JobName(a.To), k)
		}
	}
	return nil
}

// Meets tells whether the arc's sound meets its listener's window when both fire together, jitter
// at its worst.
func (p Problem) Meets(a Arc) bool {
	to := p.Jobs[a.To]
	return a.FromUs-2*p.JitterUs < to.CloseUs && to.OpenUs < a.UntilUs+2*p.JitterUs
}

// orderClash looks for blocks that would have to come before themselves.
func (p Problem) orderClash(n int, of []int) error {
	next := make([][]int, n)
	before := make([]int, n)
	for i, chain := range p.Order {
		for k := 1; k < len(chain); k++ {
			a, b := of[chain[k-1]], of[chain[k]]
			if a == b {
				return cannotf("order", i, "%s must come before %s and fire together with it", p.JobName(chain[k-1]), p.JobName(chain[k]))
			}
			next[a] = append(next[a], b)
			before[b]++
		}
	}
	var free []int
	for b := range n {
		if before[b] == 0 {
			free = append(free, b)
		}
	}
	for k := 0; k < len(free); k++ {
		for _, b := range next[free[k]] {
			if before[b]--; before[b] == 0 {
				free = append(free, b)
			}
		}
	}
	for i, chain := range p.Order {
		for k := 1; k < len(chain); k++ {
			if b := of[chain[k]]; before[b] > 0 && before[of[chain[k-1]]] > 0 {
				return cannotf("order", i, "%s must come before %s, and by other chains after it", p.JobName(chain[k-1]), p.JobName(chain[k]))
			}
		}
	}
	return nil
}

// Usage is what every job may use of every resource at every moment after its firing. Every job may
// be off by the jitter, by itself: what it may use at a moment is the most it uses within the jitter
// of it.
type Usage struct {
	capacity []int64
	steps    [][][]step // by resource and job
}

// Usage lays the uses bare.
func (p Problem) Usage() *Usage {
	u := &Usage{}
	for _, r := range p.Resources {
		byJob := make([][]Use, len(p.Jobs))
		for _, use := range r.Uses {
			byJob[use.Job] = append(byJob[use.Job], use)
		}
		steps := make([][]step, len(p.Jobs))
		for j, uses := range byJob {
			if len(uses) > 0 {
				steps[j] = p.widest(uses)
			}
		}
		u.capacity = append(u.capacity, r.Capacity)
		u.steps = append(u.steps, steps)
	}
	return u
}

// Exceeds gives the first resource of which the jobs, fired together, may use more than there is,
// or -1.
func (u *Usage) Exceeds(jobs []int) int {
	for r := range u.steps {
		if u.Peak(r, jobs) > u.capacity[r] {
			return r
		}
	}
	return -1
}

// Peak is the most that the jobs, fired together, may use of resource r at one moment.
func (u *Usage) Peak(r int, jobs []int) int64 {
	var all []step
	for _, j := range jobs {
		all = append(all, u.steps[r][j]...)
	}
	slices.SortFunc(all, func(a, b step) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.by, b.by)) })
	var now, most int64
	for _, s := range all {
		now += s.by
		most = max(most, now)
	}
	return most
}

// Uses tells whether job j uses resource r.
func (u *Usage) Uses(r, j int) bool { return len(u.steps[r][j]) > 0 }

// step changes what is used at a moment; at one moment falls come before rises.
type step struct{ at, by int64 }

// widest gives the steps of the most one job may use at every moment, its uses shifted by up to
// the jitter, all alike.
func (p Problem) widest(us []Use) []step {
	wide := func(from, until, amount int64) []step {
		return []step{{from - p.JitterUs, amount}, {until + p.JitterUs, -amount}}
	}
	if len(us) == 1 || p.JitterUs == 0 {
		var out []step
		for _, u := range us {
			out = append(out, wide(u.FromUs, u.UntilUs, u.Amount)...)
		}
		return out
	}
	var edges []int64
	for _, u := range us {
		edges = append(edges, u.FromUs, u.UntilUs)
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	type piece struct{ from, until, amount int64 }
	var pieces []piece
	var cuts []int64
	for k := 1; k < len(edges); k++ {
		pc := piece{edges[k-1], edges[k], 0}
		for _, u := range us {
			if u.FromUs <= pc.from && pc.until <= u.UntilUs {
				pc.amount += u.Amount
			}
		}
		pieces = append(pieces, pc)
		cuts = append(cuts, pc.from-p.JitterUs, pc.until+p.JitterUs)
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var out []step
	for k := 1; k < len(cuts); k++ {
		var most int64
		for _, pc := range pieces {
			if pc.from-p.JitterUs <= cuts[k-1] && cuts[k] <= pc.until+p.JitterUs {
				most = max(most, pc.amount)
			}
		}
		out = append(out, step{cuts[k-1], most}, step{cuts[k], -most})
	}
	return out
}

// list names jobs; long lists are cut.
func (p Problem) list(jobs []int) string {
	const most = 6
	s := ""
	for k, j := range jobs {
		switch {
		case k == most && len(jobs) > most+1:
			return s + fmt.Sprintf(" and %d more", len(jobs)-k)
		case k > 0 && k == len(jobs)-1:
			s += " and "
		case k > 0:
			s += ", "
		}
		s += p.JobName(j)
	}
	return s
}
