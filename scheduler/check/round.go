package check

import (
	"slices"

	"echowright/scheduler/instance"
)

// roundMost bounds the jobs whose every cyclic order is looked at.
const roundMost = 16

// roundClaim checks a staggered bound that rests on jobs taking turns: in whatever order they fire round the
// cycle, the distances from each to the next add up to the cycle, and each is at least what the two demand of it.
func roundClaim(p instance.Problem, t instance.Timetable) error {
	for k, i := range t.Clique {
		if i < 0 || i >= len(p.Jobs) || slices.Contains(t.Clique[:k], i) {
			return broken(Bound, 0, "job %d among those that take turns", i)
		}
	}
	set := sets(p)
	for k, i := range t.Clique {
		for _, j := range t.Clique[:k] {
			if set[i] == set[j] {
				return broken(Bound, 0, "%s and %s fire together and take no turns", p.JobName(j), p.JobName(i))
			}
		}
	}
	var jobs, takers []int // those of the sets that take turns, and which of them the takers are
	for _, i := range t.Clique {
		takers = append(takers, len(jobs))
		for x := range p.Jobs {
			if set[x] == set[i] {
				jobs = append(jobs, x)
			}
		}
	}
	d := demandsOf(p.Only(jobs))
	dist := make([][]int64, len(takers))
	for a, i := range takers {
		for _, j := range takers {
			dist[a] = append(dist[a], d.soonest(i, j))
		}
	}
	if sum := shortestRound(dist); sum < t.LowerBoundUs {
		return broken(Bound, 0, "the jobs that take turns need %d us in their shortest order, the lower bound is %d us", sum, t.LowerBoundUs)
	}
	return nil
}

// demands are the distances from a set of jobs that fire together to another that must not be, each between two.
type demands struct {
	set []int // of each job: the least that fires with it
	not map[[2]int][][2]int64
	own []int64 // by job: until it may fire again, for its occupation and its rest
}

func demandsOf(p instance.Problem) demands {
	d := demands{set: sets(p), not: map[[2]int][][2]int64{}}
	two, guard := 2*p.JitterUs, p.GuardUs
	no := func(i, j int, after, before int64) {
		i, j = d.set[i], d.set[j]
		d.not[[2]int{i, j}] = append(d.not[[2]int{i, j}], [2]int64{after, before})
		if i != j {
			d.not[[2]int{j, i}] = append(d.not[[2]int{j, i}], [2]int64{-before, -after})
		}
	}
	apart := func(x, y int) { no(x, y, -occupied(p, y)-guard-two, occupied(p, x)+guard+two) }
	for x, j := range p.Jobs {
		d.own = append(d.own, max(occupied(p, x)+guard, j.BusyUs+j.RestUs)+two)
		for y := range x {
			if p.AtOnce == 1 {
				apart(x, y)
			}
		}
	}
	for _, c := range p.Conflicts {
		apart(c[0], c[1])
	}
	for _, a := range p.Arcs {
		no(a.From, a.To, a.FromUs-two-p.Jobs[a.To].CloseUs, a.UntilUs+two-p.Jobs[a.To].OpenUs)
	}
	for _, r := range p.Resources {
		uses := byJob(r)
		for k, u := range uses {
			for _, v := range uses[:k] {
				if d.set[u.Job] != d.set[v.Job] && u.Amount+v.Amount > r.Capacity {
					no(u.Job, v.Job, u.FromUs-v.UntilUs-two, u.UntilUs-v.FromUs+two)
				}
			}
		}
	}
	return d
}

// soonest is the least time after a firing of i at which j may fire, for all that the two, and those that must
// fire together with them, demand of each other; for i itself, that of its next firing.
func (d demands) soonest(i, j int) int64 {
	var us int64
	i, j = d.set[i], d.set[j]
	if i == j {
		for x, own := range d.own {
			if d.set[x] == i {
				us = max(us, own)
			}
		}
	}
	for again := true; again; {
		again = false
		for _, s := range d.not[[2]int{i, j}] {
			if s[0] < us && us < s[1] {
				us, again = s[1], true
			}
		}
	}
	return us
}

// byJob lists what is used of a resource in pieces that do not overlap for the same job.
func byJob(r instance.Resource) (out []instance.Use) {
	uses := map[int][]instance.Use{}
	var jobs []int
	for _, u := range r.Uses {
		if uses[u.Job] == nil {
			jobs = append(jobs, u.Job)
		}
		uses[u.Job] = append(uses[u.Job], u)
	}
	for _, j := range jobs {
		out = append(out, flat(uses[j])...)
	}
	return out
}

// shortestRound is the shortest closed way round all, by the subsets passed so far; where there are too many
// for that, the sum of the shortest ways out.
func shortestRound(dist [][]int64) int64 {
	n := len(dist)
	if n == 1 {
		return dist[0][0]
	}
	if n > roundMost {
		var sum int64
		for a := range dist {
			least := int64(1) << 62
			for b, us := range dist[a] {
				if b != a {
					least = min(least, us)
				}
			}
			sum += least
		}
		return sum
	}
	best := make([]int64, n<<(n-1)) // by those passed (0 left out) and the last of them, begun at 0
	last := n - 1
	for passed := 1; passed < 1<<last; passed++ {
		for b := range last {
			if passed>>b&1 == 0 {
				continue
			}
			rest := passed &^ (1 << b)
			least := int64(1) << 62
			if rest == 0 {
				least = dist[0][b+1]
			}
			for a := range last {
				if rest>>a&1 != 0 {
					least = min(least, best[rest*n+a]+dist[a+1][b+1])
				}
			}
			best[passed*n+b] = least
		}
	}
	sum := int64(1) << 62
	for b := range last {
		sum = min(sum, best[(1<<last-1)*n+b]+dist[b+1][0])
	}
	return sum
}
