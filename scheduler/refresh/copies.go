package refresh

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
	"echowright/scheduler/stagger"
)

// counts is how often each block fires: at least so often, and at most.
type counts struct{ least, most []int64 }

// counts bounds how often blocks fire in cycles from lo to hi, among which the least is the same. A firing without which
// its limit is kept still can be left out, which does no harm to any other. Then every two gaps in a row are longer
// than the limit, so n firings take more than n/2 limits.
func (l *laid) counts(sets []set, lo, hi int64) counts {
	var c counts
	for b, limit := range l.limit {
		least := l.fires(b, lo)
		most := max(least, (2*hi+limit-1)/limit-1)
		if l.once[b] {
			most = 1
		}
		c.least, c.most = append(c.least, least), append(c.most, most)
	}
	for _, s := range sets {
		spare := s.most * hi
		for k, b := range s.blocks {
			spare -= c.least[b] * s.turn[k]
		}
		if s.most == 1 {
			continue // firings in a row take no turn each
		}
		for k, b := range s.blocks {
			if s.turn[k] > 0 {
				c.most[b] = max(c.least[b], min(c.most[b], c.least[b]+max(0, spare)/s.turn[k]))
			}
		}
	}
	return c
}

// fixed is the same with no more firings than must be.
func (c counts) fixed() counts { return counts{c.least, c.least} }

func (c counts) sum() (n int64) {
	for _, k := range c.most {
		n += k
	}
	return n
}

// written is a problem written out: a job for each firing.
type written struct {
	p     instance.Problem
	x     stagger.Extra
	first []int // by job: its first firing; the others follow
}

// write writes out all firings. Those beyond the least number may fall together with the one before: then there are
// fewer.
func (l *laid) write(c counts) written {
	w := written{first: make([]int, len(l.p.Jobs))}
	p := l.p
	w.p = instance.Problem{Style: instance.Staggered, GuardUs: p.GuardUs, JitterUs: p.JitterUs, AtOnce: p.AtOnce}
	for j, job := range p.Jobs {
		w.first[j] = len(w.p.Jobs)
		for range c.most[l.of[j]] {
			job.EveryUs = 0
			w.p.Jobs = append(w.p.Jobs, job)
			w.x.Owner = append(w.x.Owner, j)
		}
	}
	w.jobs(l, c)
	w.gaps(l, c)
	if p.Style == instance.Slots {
		w.slots(l, c)
	}
	return w
}

// jobs writes out what the problem demands of every two firings.
func (w *written) jobs(l *laid, c counts) {
	p := l.p
	each := func(i, j int, do func(x, y int, same bool)) {
		for a := range int(c.most[l.of[i]]) {
			for b := range int(c.most[l.of[j]]) {
				do(w.first[i]+a, w.first[j]+b, l.of[i] == l.of[j] && a == b)
			}
		}
	}
	two := 2 * p.JitterUs
	for _, a := range p.Arcs {
		after, before := a.FromUs-two-p.Jobs[a.To].CloseUs, a.UntilUs+two-p.Jobs[a.To].OpenUs
		each(a.From, a.To, func(x, y int, same bool) {
			switch {
			case l.of[a.From] != l.of[a.To] || same:
				w.p.Arcs = append(w.p.Arcs, instance.Arc{From: x, To: y, FromUs: a.FromUs, UntilUs: a.UntilUs})
			default: // firings of one block that may fall together and then are one
				w.apart(x, y, after, min(before, 0))
				w.apart(x, y, max(after, 0), before)
			}
		})
	}
	foes := p.Conflicts
	if p.AtOnce == 1 {
		w.p.AtOnce, foes = 0, nil
		for i := range p.Jobs {
			for j := range i {
				foes = append(foes, [2]int{j, i})
			}
		}
	}
	for _, f := range foes {
		each(f[0], f[1], func(x, y int, _ bool) { w.p.Conflicts = append(w.p.Conflicts, [2]int{x, y}) })
	}
	for _, s := range l.blocks {
		for k := 0; k < int(c.most[l.of[s[0]]]) && len(s) > 1; k++ {
			var set []int
			for _, j := range s {
				set = append(set, w.first[j]+k)
			}
			w.p.Together = append(w.p.Together, set)
		}
	}
	for _, chain := range p.Order {
		var once []int
		for _, j := range chain {
			once = append(once, w.first[j])
		}
		w.p.Order = append(w.p.Order, once)
	}
	for _, r := range p.Resources {
		var uses []instance.Use
		for _, u := range r.Uses {
			for k := range int(c.most[l.of[u.Job]]) {
				use := u
				use.Job = w.first[u.Job] + k
				uses = append(uses, use)
			}
		}
		r.Uses = uses
		w.p.Resources = append(w.p.Resources, r)
	}
}

func (w *written) apart(x, y int, after, before int64) {
	if before-after > 1 {
		w.x.Apart = append(w.x.Apart, stagger.Apart{From: x, To: y, AfterUs: after, BeforeUs: before})
	}
}

// gaps keeps firings of one block in their order, far enough apart and no farther than its limit.
func (w *written) gaps(l *laid, c counts) {
	least := func(x, y int, us, cycles int64) {
		w.x.Least = append(w.x.Least, stagger.Least{From: x, To: y, Us: us, Cycles: cycles})
	}
	best := -1
	for b, jobs := range l.blocks {
		// The one that fires least often begins the cycle: then no turn of it looks the same.
		if best < 0 || cmp.Or(cmp.Compare(c.most[b], c.most[best]), cmp.Compare(l.holds[best], l.holds[b])) < 0 {
			best = b
		}
		first, n := w.first[jobs[0]], int(c.most[b])
		if n == 1 {
			continue
		}
		for k := 1; k < n; k++ {
			x, y := first+k-1, first+k
			if l.limit[b] < never {
				least(y, x, -l.limit[b], 0)
			}
			if k < int(c.least[b]) {
				least(x, y, l.alone[b], 0)
				for o := first; o < y; o++ { // they take turns with others as any two do that may not meet
					w.apart(o, y, -l.alone[b], l.alone[b])
				}
				continue
			}
			least(x, y, 0, 0)
			w.apart(x, y, 0, l.alone[b])
			w.apart(x, y, -l.alone[b], 0)
		}
		if l.limit[b] < never {
			least(first, first+n-1, -l.limit[b], 1)
		}
		least(first+n-1, first, l.alone[b], -1)
	}
	w.x.First = w.first[l.blocks[best][0]]
}

// slots lets any two firings fall together or be one wholly after the other.
func (w *written) slots(l *laid, c counts) {
	for b, jobs := range l.blocks {
		for a, others := range l.blocks[:b] {
			for x := range int(c.most[b]) {
				for y := range int(c.most[a]) {
					w.apart(w.first[jobs[0]]+x, w.first[others[0]]+y, 0, l.holds[b])
					w.apart(w.first[jobs[0]]+x, w.first[others[0]]+y, -l.holds[a], 0)
				}
			}
		}
	}
}

// laidANode is how many pairs and spans are laid out in the time of a node.
const laidANode = 6

// span is a range of cycles to be searched.
type span struct {
	lo, hi int64
	counts counts
	w      written
	r      *stagger.Range
	fewest bool // with no more firings than must be: that there is none proves nothing
	dead   bool // nothing was found that way, or it is too large
}

func (s *solver) search(lo, hi int64, c counts) *span {
	sp := &span{lo: lo, hi: hi, counts: c, w: s.l.write(c)}
	s.meter.Spend(int64(len(sp.w.p.Jobs)*len(sp.w.p.Jobs)+len(sp.w.p.Arcs)+len(sp.w.x.Apart))/laidANode + 1)
	if sp.r = stagger.NewRange(sp.w.p, sp.w.x, lo, hi, s.meter); sp.r != nil {
		if at := sp.w.spread(s.wish.Once, c, s.l, hi); at != nil {
			sp.r.Follow(hi, at)
		}
	}
	return sp
}

// spread is where a search begins: the order of the timetable in which each fires once, the firings of each spread evenly.
func (w written) spread(once instance.Timetable, c counts, l *laid, us int64) []int64 {
	if once.CycleUs == 0 {
		return nil
	}
	at := make([]int64, len(w.p.Jobs))
	for _, f := range once.Firings {
		n := c.most[l.of[f.Job]]
		part := float64(us) / float64(n)
		first := float64(f.AtUs) / float64(once.CycleUs) * float64(us)
		for first >= part {
			first -= part
		}
		for k := range n {
			at[w.first[f.Job]+int(k)] = int64(first + float64(float64(k)*part))
		}
	}
	return at
}

// firings reads the timetable that a search has found.
func (w written) firings(atUs []int64) (fs []instance.Firing) {
	for x, us := range atUs {
		fs = append(fs, instance.Firing{Job: w.x.Owner[x], AtUs: us})
	}
	slices.SortFunc(fs, func(a, b instance.Firing) int { return cmp.Or(cmp.Compare(a.AtUs, b.AtUs), cmp.Compare(a.Job, b.Job)) })
	return slices.Compact(fs)
}
