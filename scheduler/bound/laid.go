package bound

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// Span is an open span of distances from one firing to another.
type Span struct{ After, Before int64 }

// Laid is a problem laid bare. Its vertices are blocks: jobs that must fire together.
type Laid struct {
	P      instance.Problem
	Blocks [][]int
	Of     []int   // block of each job
	Base   []int64 // what a block keeps the next group waiting by itself: occupied, guard and jitter
	Usage  *instance.Usage
	// Heard lists, for each block, whom its sound may harm.
	Heard [][]Late
	// Before holds, for each block, those that order puts into earlier groups.
	Before []Set
	// Strict resources do not boil down to pairs or to a number at once.
	Strict []int
	// Low and High have the same edges: blocks that may never share a group. A turn of Low is what
	// every timetable gives the block before the next group, whichever that is; a turn of High is enough
	// for all its sound to harm nobody, whoever comes next. The least cycle lies between theirs.
	Low, High *Graph
	Turns     []Turn // of High
	LowTurns  []Turn
}

// Late lists the distances at which To may not fire after the block: disjoint, in ascending order.
type Late struct {
	To    int
	Spans []Span
}

// Turn is how long a block keeps other groups waiting, and why.
type Turn struct {
	Us    int64
	Cause Cause
	To    int // the listener, when the cause is LateSound: a block
}

// Cause is what makes a turn as long as it is.
type Cause int

// The causes, in the order in which equal ones are preferred. The guard and the jitter come on top of
// all but LateSound, which is silence enough by itself.
const (
	Window    Cause = iota // it listens so long
	Busy                   // its line, its transfer or something it uses is occupied so long
	LateSound              // what it sent could be taken by a later listener until then
)

// Lay lays a problem bare; p must be valid and possible.
func Lay(p instance.Problem) *Laid {
	l := &Laid{P: p, Blocks: p.Blocks(), Of: make([]int, len(p.Jobs)), Usage: p.Usage()}
	occupied := p.OccupiedUs()
	n := len(l.Blocks)
	l.Base, l.Turns = make([]int64, n), make([]Turn, n)
	for b, jobs := range l.Blocks {
		for _, j := range jobs {
			l.Of[j] = b
			t := Turn{Us: occupied[j] + p.GuardUs + 2*p.JitterUs}
			if occupied[j] > p.Jobs[j].CloseUs {
				t.Cause = Busy
			}
			if t.Us > l.Turns[b].Us {
				l.Turns[b] = t
			}
		}
		l.Base[b] = l.Turns[b].Us
	}
	l.hear()
	l.chain()
	l.LowTurns = l.lowest()
	for b, late := range l.Heard {
		for _, h := range late {
			if us := h.Spans[len(h.Spans)-1].Before; us > l.Turns[b].Us {
				l.Turns[b] = Turn{Us: us, Cause: LateSound, To: h.To}
			}
		}
	}
	l.join()
	return l
}

// hear collects what every block may do to every other and to itself.
func (l *Laid) hear() {
	type heard struct {
		from, to int
		Span
	}
	var all []heard
	for _, a := range l.P.Arcs {
		to := l.P.Jobs[a.To]
		s := Span{a.FromUs - 2*l.P.JitterUs - to.CloseUs, a.UntilUs + 2*l.P.JitterUs - to.OpenUs}
		if s.Before > max(0, s.After+1) {
			all = append(all, heard{l.Of[a.From], l.Of[a.To], s})
		}
	}
	slices.SortFunc(all, func(a, b heard) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), cmp.Compare(a.After, b.After), cmp.Compare(a.Before, b.Before))
	})
	l.Heard = make([][]Late, len(l.Blocks))
	for _, h := range all {
		late := l.Heard[h.from]
		k := len(late) - 1
		if k < 0 || late[k].To != h.to {
			l.Heard[h.from] = append(late, Late{h.to, []Span{h.Span}})
			continue
		}
		// Spans that only touch leave the moment between them.
		if s := &late[k].Spans[len(late[k].Spans)-1]; h.After < s.Before {
			s.Before = max(s.Before, h.Before)
		} else {
			late[k].Spans = append(late[k].Spans, h.Span)
		}
	}
}

// chain closes the order over all chains.
func (l *Laid) chain() {
	n := len(l.Blocks)
	l.Before = make([]Set, n)
	next := map[int][]int{}
	open := make([]int, n)
	for _, c := range l.P.Order {
		for k := 1; k < len(c); k++ {
			a, b := l.Of[c[k-1]], l.Of[c[k]]
			next[a] = append(next[a], b)
			open[b]++
			for _, v := range []int{a, b} {
				if l.Before[v] == nil {
					l.Before[v] = NewSet(n)
				}
			}
		}
	}
	var free []int
	for b := range n {
		if l.Before[b] != nil && open[b] == 0 {
			free = append(free, b)
		}
	}
	for k := 0; k < len(free); k++ {
		a := free[k]
		for _, b := range next[a] {
			l.Before[b].Add(a)
			for w := range l.Before[b] {
				l.Before[b][w] |= l.Before[a][w]
			}
			if open[b]--; open[b] == 0 {
				free = append(free, b)
			}
		}
	}
}

// Gap is the least distance from block a to another group that block b may fire in.
func (l *Laid) Gap(a, b int) int64 {
	k, ok := slices.BinarySearchFunc(l.Heard[a], b, func(h Late, b int) int { return cmp.Compare(h.To, b) })
	if !ok {
		return l.Base[a]
	}
	return l.Heard[a][k].after(l.Base[a])
}

// after is the first distance from us on at which no sound does harm.
func (h Late) after(us int64) int64 {
	for _, s := range h.Spans {
		if s.After < us && us < s.Before {
			us = s.Before
		}
	}
	return us
}

// lowest gives the turns that whoever comes next leaves: the least gap to any block.
func (l *Laid) lowest() []Turn {
	ts := slices.Clone(l.Turns)
	for a, late := range l.Heard {
		if len(late) < len(l.Blocks) {
			continue // some block, or a itself a cycle later, hears nothing of it
		}
		least := Turn{Us: 1 << 62, Cause: LateSound}
		for _, h := range late {
			if us := h.after(l.Base[a]); us < least.Us {
				least.Us, least.To = us, h.To
			}
		}
		if least.Us > ts[a].Us {
			ts[a] = least
		}
	}
	return ts
}

// join finds which blocks may never share a group.
func (l *Laid) join() {
	n := len(l.Blocks)
	low, high := make([]int64, n), make([]int64, n)
	for b := range n {
		low[b], high[b] = l.LowTurns[b].Us, l.Turns[b].Us
	}
	g := NewGraph(low, l.atOnce())
	for _, c := range l.P.Conflicts {
		g.Join(l.Of[c[0]], l.Of[c[1]])
	}
	for _, a := range l.P.Arcs {
		if l.P.Meets(a) {
			g.Join(l.Of[a.From], l.Of[a.To])
		}
	}
	for b, before := range l.Before {
		if before != nil {
			for a := before.First(); a >= 0; a = before.Next(a + 1) {
				g.Join(a, b)
			}
		}
	}
	for a := range n {
		for b := range a {
			if k := len(l.Blocks[a]) + len(l.Blocks[b]); g.AtOnce == 1 || l.P.AtOnce > 0 && k > l.P.AtOnce {
				g.Join(a, b)
			}
		}
	}
	for _, r := range l.Strict {
		l.joinUsers(g, r)
	}
	h := *g
	h.Us = high
	l.Low, l.High = g, &h
}

func (l *Laid) users(r int) (bs []int) {
	for b, jobs := range l.Blocks {
		if slices.ContainsFunc(jobs, func(j int) bool { return l.Usage.Uses(r, j) }) {
			bs = append(bs, b)
		}
	}
	return bs
}

func (l *Laid) joinUsers(g *Graph, r int) {
	bs := l.users(r)
	for k, a := range bs {
		for _, b := range bs[:k] {
			if l.Usage.Peak(r, slices.Concat(l.Blocks[a], l.Blocks[b])) > l.P.Resources[r].Capacity {
				g.Join(a, b)
			}
		}
	}
}

// atOnce is the number of blocks a group may hold. A resource that every block uses by the same amount, all
// at the same moment, is only such a number; one that holds all its users at once is nothing. The
// others are strict.
func (l *Laid) atOnce() int {
	most := l.P.AtOnce
	for r := range l.P.Resources {
		bs := l.users(r)
		var jobs []int
		for _, b := range bs {
			jobs = append(jobs, l.Blocks[b]...)
		}
		all := l.Usage.Peak(r, jobs)
		limit := l.P.Resources[r].Capacity
		if all <= limit {
			continue
		}
		each := int64(-1)
		for _, b := range bs {
			if peak := l.Usage.Peak(r, l.Blocks[b]); each < 0 || peak == each {
				each = peak
			} else {
				each = 0
				break
			}
		}
		if len(bs) < len(l.Blocks) || each <= 0 || all != each*int64(len(bs)) {
			l.Strict = append(l.Strict, r)
			continue
		}
		if k := int(limit / each); most == 0 || k < most {
			most = k
		}
	}
	return most
}

// Plain tells whether pairs and a number at once say which groups may be.
func (l *Laid) Plain() bool {
	single := len(l.Blocks) == len(l.P.Jobs) || l.P.AtOnce == 0
	return single && len(l.Strict) == 0 && len(l.P.Order) == 0
}

// Fits tells whether blocks that pairwise may share a group may all do.
func (l *Laid) Fits(blocks []int) bool {
	jobs := 0
	for _, b := range blocks {
		jobs += len(l.Blocks[b])
	}
	if l.P.AtOnce > 0 && jobs > l.P.AtOnce || len(blocks) > l.Low.AtOnce {
		return false
	}
	for _, r := range l.Strict {
		var js []int
		for _, b := range blocks {
			js = append(js, l.Blocks[b]...)
		}
		if l.Usage.Peak(r, js) > l.P.Resources[r].Capacity {
			return false
		}
	}
	return true
}

// Jobs lists the jobs of blocks, sorted.
func (l *Laid) Jobs(blocks []int) (jobs []int) {
	for _, b := range blocks {
		jobs = append(jobs, l.Blocks[b]...)
	}
	slices.Sort(jobs)
	return jobs
}

// Alone is the least cycle that each block by itself and each span of sound by itself allow, and the
// block that asks for it (-1: none).
func (l *Laid) Alone() (us int64, block int) {
	block = -1
	for b, jobs := range l.Blocks {
		t := l.Base[b]
		for _, j := range jobs {
			if job := l.P.Jobs[j]; job.RestUs > 0 {
				t = max(t, job.BusyUs+job.RestUs+2*l.P.JitterUs)
			}
		}
		for _, h := range l.Heard[b] {
			// Firings of the listener are a cycle apart: the span must fit between two of them.
			for _, s := range h.Spans {
				t = max(t, s.Before-max(0, s.After))
			}
		}
		for _, h := range l.Heard[b] {
			if h.To == b {
				t = h.period(t)
			}
		}
		if t > us {
			us, block = t, b
		}
	}
	return us, block
}

// period is the first cycle from us on of which no multiple does harm.
func (h Late) period(us int64) int64 {
	for k := 0; k < len(h.Spans); k++ {
		s := h.Spans[k]
		n := max(0, s.After)/us + 1 // the first multiple past After
		if n*us < s.Before {
			// Every cycle up to there has its n-th multiple in this span.
			us = (s.Before + n - 1) / n
			k = -1
		}
	}
	return us
}
