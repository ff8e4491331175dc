// Package check replays a timetable against its problem and says what is wrong with it. It shares
// no code with any solver and believes nothing the solver says.
//
//	scheduler ─► check ─► instance and nothing else
//
// In: an instance.Problem and an instance.Timetable of its style. Out: nil, or the first
// *Violation in words. What a sound timetable must keep:
//
//   - every job fires exactly once a cycle, where jobs ask to fire every so often at least once, those of chains
//     once; the groups are the firings (staggered: there are none); jobs that must fire together do every time, and
//     chains come in their order (staggered: with the jitter at its worst);
//   - several cycles in the midst of for ever, played event by event, every firing early and late by
//     the jitter: no sound, however many cycles old, reaches a listening window of another job, of
//     another firing of the same job, or of another cycle; jobs in conflict are never occupied at
//     once; never more jobs are occupied than may be, and never more of a resource is in use than
//     there is; a job rests before it fires again, and fires again within what it asks for;
//   - slots: between the end of every job of a group and the next firing, that of the next cycle too, there
//     is the guard. Staggered: a job is occupied for the guard longer;
//   - the lower bound is not above the cycle, equals it when proven, and a set of jobs said to
//     take turns does conflict pairwise (slots) and needs as much, in whatever cyclic order (staggered).
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
	Together Rule = "together" // jobs that must fire together do not
	Order    Rule = "order"    // a chain out of its order
	Conflict Rule = "conflict" // jobs in conflict occupied at once
	Capacity Rule = "capacity" // more jobs at once than may be
	Resource Rule = "resource" // more of something in use than there is
	Rest     Rule = "rest"     // fired again too early
	Refresh  Rule = "refresh"  // fired again too late
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
	if p.Style == instance.Staggered {
		if len(t.Groups) > 0 {
			return broken(Shape, 0, "%d groups in a staggered timetable", len(t.Groups))
		}
	} else if err := groups(t); err != nil {
		return err
	}
	if err := places(p, t); err != nil {
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
	if n > 0 && t.CycleUs <= 0 || t.CycleUs < 0 || t.CycleUs > instance.MaxUs*int64(8*n+8) {
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
	often := p.Refreshes()
	for i, c := range fires {
		if c == 0 || c > 1 && (!often || chained(p, i)) {
			return broken(Shape, 0, "%s fires %d times in a cycle", p.JobName(i), c)
		}
	}
	return nil
}

func chained(p instance.Problem, job int) bool {
	return slices.ContainsFunc(p.Order, func(chain []int) bool { return slices.Contains(chain, job) })
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

// places looks at who must fire together and in which order.
func places(p instance.Problem, t instance.Timetable) error {
	all := make([][]int64, len(p.Jobs))
	at := make([]int64, len(p.Jobs)) // of those that fire once
	for _, f := range t.Firings {
		all[f.Job] = append(all[f.Job], f.AtUs)
		at[f.Job] = f.AtUs
	}
	for k, set := range p.Together {
		for _, j := range set {
			if !slices.Equal(all[j], all[set[0]]) {
				return broken(Together, at[j], "%s fires at %d us and %s at %d us, by together %d they must fire at once",
					p.JobName(set[0]), all[set[0]], p.JobName(j), all[j], k)
			}
		}
	}
	for k, chain := range p.Order {
		for m := 1; m < len(chain); m++ {
			apart := int64(0) // groups are farther apart than the jitter
			if p.Style == instance.Staggered {
				apart = 2 * p.JitterUs
			}
			if i, j := chain[m-1], chain[m]; at[i]+apart >= at[j] {
				return broken(Order, at[j], "%s fires at %d us and %s at %d us, by order %d the first must come before",
					p.JobName(i), at[i], p.JobName(j), at[j], k)
			}
		}
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
	if p.Refreshes() && often(p, t) {
		return nil
	}
	if p.Style == instance.Staggered {
		return roundClaim(p, t)
	}
	var sum int64
	apart := neverTogether(p)
	for k, i := range t.Clique {
		if i < 0 || i >= len(p.Jobs) || slices.Contains(t.Clique[:k], i) {
			return broken(Bound, 0, "job %d among those that take turns", i)
		}
	}
	together := sets(p)
	mates := map[int][]int{}
	for j, set := range together {
		mates[set] = append(mates[set], j)
	}
	sounds := map[[2]int][]instance.Arc{} // by the sets of sender and listener
	for _, a := range p.Arcs {
		k := [2]int{together[a.From], together[a.To]}
		sounds[k] = append(sounds[k], a)
	}
	for k, i := range t.Clique {
		first := true
		for _, j := range t.Clique[:k] {
			if together[i] == together[j] {
				first = false
			} else if p.AtOnce != 1 && !apart.has(i, j) && !exceed(p, mates[together[i]], mates[together[j]]) {
				return broken(Bound, 0, "%s and %s could share a group", p.JobName(j), p.JobName(i))
			}
		}
		if first {
			sum += turn(p, t.Clique, together, mates[together[i]], sounds, i)
		}
	}
	if sum < t.LowerBoundUs {
		return broken(Bound, 0, "the jobs that take turns need %d us, the lower bound is %d us", sum, t.LowerBoundUs)
	}
	return nil
}

// sets gives each job the least number of those it must fire together with.
func sets(p instance.Problem) []int {
	of := make([]int, len(p.Jobs))
	for i := range of {
		of[i] = i
	}
	for again := true; again; {
		again = false
		for _, set := range p.Together {
			for _, j := range set {
				for _, i := range set {
					if of[i] < of[j] {
						of[j], again = of[i], true
					}
				}
			}
		}
	}
	return of
}

// neverTogether holds the pairs that can never fire at the same instant, themselves or because of others
// that must fire with them.
func neverTogether(p instance.Problem) pairs {
	ps, all := newPairs(len(p.Jobs)), newPairs(len(p.Jobs))
	for _, c := range p.Conflicts {
		ps.add(c[0], c[1])
	}
	for _, a := range p.Arcs {
		if to := p.Jobs[a.To]; a.FromUs-2*p.JitterUs < to.CloseUs && to.OpenUs < a.UntilUs+2*p.JitterUs {
			ps.add(a.From, a.To)
		}
	}
	of := sets(p)
	next := map[int][]int{}
	for _, chain := range p.Order {
		for k := 1; k < len(chain); k++ {
			next[of[chain[k-1]]] = append(next[of[chain[k-1]]], of[chain[k]])
		}
	}
	for i := range next {
		seen := map[int]bool{i: true}
		for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
			for _, j := range next[queue[0]] {
				if !seen[j] {
					seen[j] = true
					queue = append(queue, j)
					ps.add(i, j)
				}
			}
		}
	}
	for i := range p.Jobs {
		for j := range p.Jobs {
			if ps.has(i, j) {
				all.add(of[i], of[j])
			}
		}
	}
	for i := range p.Jobs {
		for j := range p.Jobs {
			if all.has(of[i], of[j]) {
				ps.add(i, j)
			}
		}
	}
	return ps
}

// exceed tells whether those that fire together and these are more than may be at once or
// use more of a resource than there is.
func exceed(p instance.Problem, those, these []int) bool {
	both := slices.Concat(those, these)
	if p.AtOnce > 0 && len(both) > p.AtOnce {
		return true
	}
	t := instance.Timetable{CycleUs: instance.MaxUs}
	slices.Sort(both)
	for _, k := range both {
		t.Firings = append(t.Firings, instance.Firing{Job: k})
	}
	return playUses(p, t, 0, 0) != nil
}

// turn is the least time from job i to the next of those that take turns with it: until it and those
// that fire together with it are over, and until no sound of theirs meets a window of that next one.
func turn(p instance.Problem, clique, together, mine []int, sounds map[[2]int][]instance.Arc, i int) int64 {
	var over int64
	for _, k := range mine {
		over = max(over, occupied(p, k)+p.GuardUs+2*p.JitterUs)
	}
	// A set that must fire together is one turn: alone, it waits for its own sound.
	others := slices.ContainsFunc(clique, func(j int) bool { return together[j] != together[i] })
	least := int64(1) << 62
	for _, j := range clique {
		if others && together[j] == together[i] {
			continue
		}
		least = min(least, quiet(p, sounds[[2]int{together[i], together[j]}], over))
	}
	return least
}

// quiet is the first moment from us on at which those who hear the sounds may fire.
func quiet(p instance.Problem, sounds []instance.Arc, us int64) int64 {
	for again := true; again; {
		again = false
		for _, a := range sounds {
			to := p.Jobs[a.To]
			if a.FromUs-2*p.JitterUs < us+to.CloseUs && us+to.OpenUs < a.UntilUs+2*p.JitterUs {
				us, again = a.UntilUs+2*p.JitterUs-to.OpenUs, true
			}
		}
	}
	return us
}

// occupied is how long job i occupies its slot.
func occupied(p instance.Problem, i int) int64 {
	us := max(p.Jobs[i].CloseUs, p.Jobs[i].BusyUs) + p.Jobs[i].TransferUs
	for _, r := range p.Resources {
		for _, u := range r.Uses {
			if u.Job == i {
				us = max(us, u.UntilUs)
			}
		}
	}
	return us
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
