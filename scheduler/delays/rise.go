package delays

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// mostTried is how many orders are put to the checker.
const mostTried = 4

// Rise makes a timetable with alternating delays out of one in slots without any, where that can be: groups keep their cyclic
// order, and classes get their delays in the order in which they come in the cycle, the least first. Then in a cycle with delays each
// group comes later than the one before it does, and only the last needs room for its delay: the cycle is longer by the greatest
// delay and not by all of them, as it would be if each firing could have any delay. of are the classes so numbered. ok is false where
// no such table stands up to Hold.
func Rise(p instance.Problem, t instance.Timetable, c Classes, delaysUs []int64) (table instance.Timetable, of []int, ok bool) {
	if len(t.Groups) == 0 || len(p.Order) > 0 {
		return table, nil, false
	}
	r := riser{p: p, t: t, delays: delaysUs, group: make([]int, len(p.Jobs)), occupied: p.OccupiedUs()}
	for _, f := range t.Firings {
		for g, jobs := range t.Groups {
			if jobs[0] == f.Job {
				r.starts = append(r.starts, f.AtUs)
				for _, j := range jobs {
					r.group[j] = g
				}
			}
		}
	}
	r.readArcs()
	var all []risen
	for first := range t.Groups {
		order := make([]int, len(t.Groups))
		for k := range order {
			order[k] = (first + k) % len(order)
		}
		if !t.Ordered { // any order will do: bring together those of one class
			slices.SortStableFunc(order, func(g, h int) int { return cmp.Compare(c.Of[t.Groups[g][0]], c.Of[t.Groups[h][0]]) })
		}
		all = append(all, r.lay(order, c))
	}
	slices.SortStableFunc(all, func(a, b risen) int { return cmp.Compare(a.CycleUs, b.CycleUs) })
	for _, one := range all[:min(mostTried, len(all))] {
		var tables [][]int64
		for _, k := range one.of {
			tables = append(tables, []int64{0, delaysUs[k]})
		}
		if Hold(p, one.Timetable, tables) == nil {
			return one.Timetable, one.of, true
		}
	}
	return table, nil, false
}

type risen struct {
	instance.Timetable
	of []int
}

type riser struct {
	p        instance.Problem
	t        instance.Timetable
	delays   []int64 // of classes
	group    []int   // of each job
	starts   []int64 // of each group
	occupied []int64
	arcs     [][]instance.Arc // by groups of sender and listener: those whose sound dies before the listener's group first fires after the sender's
}

func (r *riser) readArcs() {
	m := len(r.t.Groups)
	r.arcs = make([][]instance.Arc, m*m)
	for _, a := range r.p.Arcs {
		g, h := r.group[a.From], r.group[a.To]
		lag := r.starts[h] - r.starts[g]
		if lag < 0 || g == h {
			lag += r.t.CycleUs
		}
		if lag >= r.dies(a) {
			r.arcs[g*m+h] = append(r.arcs[g*m+h], a)
		}
	}
}

// dies is how long after the sender's firing the listener may fire and hear nothing of it.
func (r *riser) dies(a instance.Arc) int64 {
	return a.UntilUs + 2*r.p.JitterUs - r.p.Jobs[a.To].OpenUs
}

// apart is how long after group g group h must fire at the least; extra is what the delays of two jobs of theirs add.
func (r *riser) apart(g, h int, extra func(i, j int) int64) (us int64) {
	pause := r.p.GuardUs + 2*r.p.JitterUs
	for _, i := range r.t.Groups[g] {
		for _, j := range r.t.Groups[h] {
			us = max(us, r.occupied[i]+pause+extra(i, j))
			if i == j {
				us = max(us, r.p.Jobs[i].BusyUs+r.p.Jobs[i].RestUs+2*r.p.JitterUs+extra(i, j))
			}
		}
	}
	for _, a := range r.arcs[g*len(r.t.Groups)+h] {
		us = max(us, r.dies(a)+extra(a.From, a.To))
	}
	return us
}

// lay puts the groups one after the other in an order, each as soon as may be, and numbers the classes as they come.
func (r *riser) lay(order []int, c Classes) risen {
	number := make([]int, c.Count)
	for k := range number {
		number[k] = -1
	}
	next := 0
	out := risen{of: make([]int, len(c.Of))}
	for _, g := range order {
		for _, j := range r.t.Groups[g] {
			if k := c.Of[j]; number[k] < 0 {
				number[k] = next
				next++
			}
			out.of[j] = number[c.Of[j]]
		}
	}
	late := func(j int) int64 { return r.delays[out.of[j]] }
	at := make([]int64, len(order))
	for b, h := range order {
		for _, g := range order[:b] {
			at[h] = max(at[h], at[g]+r.apart(g, h, func(i, j int) int64 { return max(0, late(i)-late(j)) }))
		}
	}
	for b, g := range order {
		for _, h := range order[:b+1] {
			out.CycleUs = max(out.CycleUs, at[g]-at[h]+r.apart(g, h, func(i, _ int) int64 { return late(i) }))
		}
		out.Groups = append(out.Groups, r.t.Groups[g])
		for _, j := range r.t.Groups[g] {
			out.Firings = append(out.Firings, instance.Firing{Job: j, AtUs: at[g]})
		}
	}
	out.Ordered = r.t.Ordered
	return out
}
