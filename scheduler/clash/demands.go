package clash

import (
	"slices"

	"echowright/scheduler/instance"
)

// demandsOf lists all demands of a problem; the first are its jobs, in order.
func demandsOf(p instance.Problem) (all []Demand) {
	for j, us := range p.OccupiedUs() {
		all = append(all, Demand{Kind: Job, Jobs: []int{j}, Us: us})
	}
	for j, job := range p.Jobs {
		if job.RestUs > 0 {
			all = append(all, Demand{Kind: Rest, Jobs: []int{j}, Us: job.RestUs})
		}
	}
	for j, job := range p.Jobs {
		if job.EveryUs > 0 {
			all = append(all, Demand{Kind: Refresh, Jobs: []int{j}, Us: job.EveryUs})
		}
	}
	all = append(all, pairsOf(p)...)
	for k, c := range p.Order {
		all = append(all, Demand{Kind: Order, Jobs: slices.Clone(c), Index: k})
	}
	for k, s := range p.Together {
		all = append(all, Demand{Kind: Together, Jobs: slices.Clone(s), Index: k})
	}
	for k, r := range p.Resources {
		d := Demand{Kind: Resource, Index: k, Most: r.Capacity}
		for _, u := range r.Uses {
			if !slices.Contains(d.Jobs, u.Job) {
				d.Jobs = append(d.Jobs, u.Job)
			}
		}
		slices.Sort(d.Jobs)
		all = append(all, d)
	}
	if p.AtOnce > 0 {
		all = append(all, Demand{Kind: AtOnce, Most: int64(p.AtOnce)})
	}
	if p.GuardUs > 0 {
		all = append(all, Demand{Kind: Guard, Us: p.GuardUs})
	}
	if p.JitterUs > 0 {
		all = append(all, Demand{Kind: Jitter, Us: p.JitterUs})
	}
	return all
}

// pairsOf lists who keeps off whom, each two once, by their numbers.
func pairsOf(p instance.Problem) (all []Demand) {
	heard := map[[2]int]bool{} // whether there is sound in it
	for _, c := range p.Conflicts {
		heard[[2]int{min(c[0], c[1]), max(c[0], c[1])}] = false
	}
	for _, a := range p.Arcs {
		heard[[2]int{min(a.From, a.To), max(a.From, a.To)}] = true
	}
	var keys [][2]int
	for k := range heard {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	for _, k := range keys {
		if k[0] == k[1] {
			all = append(all, Demand{Kind: Own, Jobs: []int{k[0]}})
		} else {
			all = append(all, Demand{Kind: Pair, Jobs: []int{k[0], k[1]}, Never: !heard[k]})
		}
	}
	return all
}

// problem is what the demands kept ask and nothing else, and the jobs of it in the whole.
func (f *filter) problem() (instance.Problem, []int) { return only(f.p, f.all, f.kept) }

// only is the problem with those demands of all that are kept, and the jobs of it in the whole.
func only(p instance.Problem, all []Demand, kept []bool) (instance.Problem, []int) {
	var jobs []int
	joined := map[[2]int]bool{}
	rests, often := map[int]bool{}, map[int]bool{}
	index := map[Kind]map[int]bool{Together: {}, Order: {}, Resource: {}}
	holds := map[Kind]bool{}
	for k, d := range all {
		if !kept[k] {
			continue
		}
		switch d.Kind {
		case Job:
			jobs = append(jobs, d.Jobs[0])
		case Rest:
			rests[d.Jobs[0]] = true
		case Refresh:
			often[d.Jobs[0]] = true
		case Pair, Own:
			joined[[2]int{d.Jobs[0], d.Jobs[len(d.Jobs)-1]}] = true
		case Together, Order, Resource:
			index[d.Kind][d.Index] = true
		default:
			holds[d.Kind] = true
		}
	}
	q := p
	q.Jobs = slices.Clone(p.Jobs)
	for j := range q.Jobs {
		if !rests[j] {
			q.Jobs[j].RestUs = 0
		}
		if !often[j] {
			q.Jobs[j].EveryUs = 0
		}
	}
	q.Arcs = some(p.Arcs, func(_ int, a instance.Arc) bool { return joined[[2]int{min(a.From, a.To), max(a.From, a.To)}] })
	q.Conflicts = some(p.Conflicts, func(_ int, c [2]int) bool { return joined[[2]int{min(c[0], c[1]), max(c[0], c[1])}] })
	q.Together = some(p.Together, func(k int, _ []int) bool { return index[Together][k] })
	q.Order = some(p.Order, func(k int, _ []int) bool { return index[Order][k] })
	q.Resources = some(p.Resources, func(k int, _ instance.Resource) bool { return index[Resource][k] })
	if !holds[AtOnce] {
		q.AtOnce = 0
	}
	if !holds[Guard] {
		q.GuardUs = 0
	}
	if !holds[Jitter] {
		q.JitterUs = 0
	}
	return q.Only(jobs), jobs
}

// some are the elements that a test keeps.
func some[T any](list []T, keep func(k int, v T) bool) (out []T) {
	for k, v := range list {
		if keep(k, v) {
			out = append(out, v)
		}
	}
	return out
}
