package firing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// mostBranches is how many timetables are tried for the chains' sake. Where the nodes of a search are bounded, all of them together
// take about as many as one may.
const mostBranches = 200

// intoChains returns the shortest timetable found of p that keeps its chains, from one that p was solved by. The scheduler knows of a chain only that each link comes later than the one before; but a chain fires on by itself,
// and no group may come between. Where one does, each of its jobs must fire with or before the earlier link, or with or after the
// later: four problems, each solved again, the one of the least bound first (branch and bound, as in package crosstalk). Where
// none keeps the chains, all is left as it was, which chainFindings then tells.
func (w *work) intoChains(p instance.Problem, t instance.Timetable, o scheduler.Options) instance.Timetable {
	type branch struct {
		p instance.Problem
		t instance.Timetable
	}
	if len(parted(p.Order, t.Groups)) == 0 {
		return t
	}
	best, found := w.inChainOrder(p, t, o)
	closed := int64(math.MaxInt64) // the least bound of the branches given up
	open := []branch{{p, t}}
	tried, nodes := 0, int64(0)
	for len(open) > 0 && tried < mostBranches && (o.Nodes == 0 || nodes < o.Nodes) && w.ctx.Err() == nil {
		k := len(open) - 1
		for i, b := range open {
			if b.t.LowerBoundUs < open[k].t.LowerBoundUs {
				k = i
			}
		}
		b := open[k]
		if found && b.t.LowerBoundUs >= best.CycleUs {
			break
		}
		open = slices.Delete(open, k, k+1)
		gaps := parted(p.Order, b.t.Groups)
		if len(gaps) == 0 {
			if !found || b.t.CycleUs < best.CycleUs {
				best, found = b.t, true
			}
			closed = min(closed, b.t.LowerBoundUs)
			continue
		}
		for _, q := range aside(b.p, gaps[0].link, gaps[0].then, b.t.Groups[gaps[0].groups[0]][0]) {
			tried++
			again, err := scheduler.Solve(w.ctx, q, o)
			var cannot *instance.Cannot
			switch {
			case err == nil:
				nodes += again.Nodes
				again.LowerBoundUs = max(again.LowerBoundUs, b.t.LowerBoundUs)
				open = append(open, branch{q, again})
			case !errors.As(err, &cannot): // nothing is known of it
				closed = min(closed, b.t.LowerBoundUs)
			}
		}
	}
	if !found {
		return t
	}
	least := min(closed, best.CycleUs)
	for _, b := range open {
		least = min(least, b.t.LowerBoundUs)
	}
	why := "In that table other groups come between the links of a chain; in the one given none does."
	if least > t.LowerBoundUs {
		why = fmt.Sprintf("In that table other groups come between the links of a chain. Where none may, by search, no cycle is shorter than %s.", exact(least))
	}
	best = asBoundOf(best, t, why)
	if least > t.LowerBoundUs {
		best.LowerBoundUs, best.Proven, best.Clique = least, best.CycleUs == least, nil
	}
	return best
}

// aside lists the problems that are left of p if job x does not fire between two links.
func aside(p instance.Problem, link, then, x int) (out []instance.Problem) {
	for _, pair := range [][]int{{x, link}, {then, x}} {
		with, beyond := p, p
		with.Together = append(slices.Clone(p.Together), pair)
		beyond.Order = append(slices.Clone(p.Order), pair)
		out = append(out, with, beyond)
	}
	return out
}

// inChainOrder solves p again with its groups, each as it is, in an order without others between links; and where links share groups
// so that there is none, or it makes the cycle longer, with links of different chains never in one group.
func (w *work) inChainOrder(p instance.Problem, t instance.Timetable, o scheduler.Options) (best instance.Timetable, found bool) {
	for _, q := range []instance.Problem{p, chainsApart(p)} {
		grouped := t
		if len(q.Conflicts) > len(p.Conflicts) {
			var err error
			if grouped, err = scheduler.Solve(w.ctx, q, o); err != nil {
				continue
			}
		}
		groups, ok := inChains(p.Order, grouped.Groups)
		if !ok || found && best.CycleUs == t.LowerBoundUs {
			continue
		}
		// The order is of this program's choosing, and that any timetable keeps it is not promised.
		q = inOrder(p, groups)
		if again, err := scheduler.Solve(w.ctx, q, o); err == nil && (!found || again.CycleUs < best.CycleUs) {
			best, found = again, true
		}
	}
	return best, found
}

// asBoundOf is a timetable made in place of another, of which it keeps the proof.
func asBoundOf(t, of instance.Timetable, why string) instance.Timetable {
	t.LowerBoundUs, t.Proven, t.Clique = of.LowerBoundUs, t.CycleUs == of.LowerBoundUs, of.Clique
	t.Why = of.Why + "\n" + why
	return t
}

// chainsApart is p with no two links of different chains in one group.
func chainsApart(p instance.Problem) instance.Problem {
	of := make([]int, len(p.Jobs))
	for b, jobs := range p.Blocks() {
		for _, j := range jobs {
			of[j] = b
		}
	}
	p.Conflicts = slices.Clone(p.Conflicts)
	for k, c := range p.Order {
		for _, d := range p.Order[:k] {
			for _, i := range c {
				for _, j := range d {
					if of[i] != of[j] {
						p.Conflicts = append(p.Conflicts, [2]int{j, i})
					}
				}
			}
		}
	}
	return p
}

// inOrder is p with its jobs in these groups, in this order.
func inOrder(p instance.Problem, groups [][]int) instance.Problem {
	p.Together, p.Order = slices.Clone(p.Together), slices.Clone(p.Order)
	var firsts []int
	for _, jobs := range groups {
		if len(jobs) > 1 {
			p.Together = append(p.Together, jobs)
		}
		firsts = append(firsts, jobs[0])
	}
	p.Order = append(p.Order, firsts)
	return p
}

// groupOf gives the group of each job of the chains.
func groupOf(groups [][]int) map[int]int {
	of := map[int]int{}
	for g, jobs := range groups {
		for _, j := range jobs {
			of[j] = g
		}
	}
	return of
}

// inChains puts the groups into an order in which each link comes right after the one before, as near to the given one as that
// allows; ok is false where there is none, as when a group holds links that are followed by different ones.
func inChains(chains [][]int, groups [][]int) (out [][]int, ok bool) {
	of := groupOf(groups)
	next, before := map[int]int{}, map[int]int{}
	for _, c := range chains {
		for k := 1; k < len(c); k++ {
			a, b := of[c[k-1]], of[c[k]]
			if n, known := next[a]; known && n != b {
				return nil, false
			}
			if n, known := before[b]; known && n != a {
				return nil, false
			}
			next[a], before[b] = b, a
		}
	}
	for g := range groups {
		if _, later := before[g]; later {
			continue
		}
		for more := true; more; g, more = next[g], hasNext(next, g) {
			out = append(out, groups[g])
		}
	}
	return out, len(out) == len(groups)
}

func hasNext(next map[int]int, g int) bool { _, ok := next[g]; return ok }

// gap is two links of a chain, one after the other, and the groups that come between them.
type gap struct {
	link, then int
	groups     []int
}

// parted lists the links that other groups come between.
func parted(chains [][]int, groups [][]int) (gaps []gap) {
	of := groupOf(groups)
	for _, c := range chains {
		for k := 1; k < len(c); k++ {
			g := gap{link: c[k-1], then: c[k]}
			for between := of[c[k-1]] + 1; between < of[c[k]]; between++ {
				g.groups = append(g.groups, between)
			}
			if len(g.groups) > 0 {
				gaps = append(gaps, g)
			}
		}
	}
	return gaps
}
