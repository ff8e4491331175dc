package instance

// Only returns the problem of some of its jobs, in the order given, with what concerns them: chains skip
// those left out.
func (p Problem) Only(jobs []int) Problem {
	at := make(map[int]int, len(jobs))
	q := p
	q.Jobs, q.Arcs, q.Conflicts, q.Together, q.Order, q.Resources = nil, nil, nil, nil, nil, nil
	for k, j := range jobs {
		at[j] = k
		q.Jobs = append(q.Jobs, p.Jobs[j])
	}
	for _, a := range p.Arcs {
		from, ok := at[a.From]
		if to, too := at[a.To]; ok && too {
			a.From, a.To = from, to
			q.Arcs = append(q.Arcs, a)
		}
	}
	for _, c := range p.Conflicts {
		i, ok := at[c[0]]
		if j, too := at[c[1]]; ok && too {
			q.Conflicts = append(q.Conflicts, [2]int{i, j})
		}
	}
	q.Together, q.Order = only(p.Together, at), only(p.Order, at)
	for _, r := range p.Resources {
		var uses []Use
		for _, u := range r.Uses {
			if j, ok := at[u.Job]; ok {
				u.Job = j
				uses = append(uses, u)
			}
		}
		if r.Uses = uses; uses != nil {
			q.Resources = append(q.Resources, r)
		}
	}
	return q
}

func only(lists [][]int, at map[int]int) (out [][]int) {
	for _, l := range lists {
		var some []int
		for _, j := range l {
			if k, ok := at[j]; ok {
				some = append(some, k)
			}
		}
		if len(some) > 1 {
			out = append(out, some)
		}
	}
	return out
}
