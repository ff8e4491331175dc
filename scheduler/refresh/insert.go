package refresh

import (
	"slices"

	"echowright/scheduler/instance"
	"echowright/scheduler/stagger"
)

// draft is a timetable without regard to limits.
type draft struct {
	cycleUs int64
	atUs    [][]int64 // by block, ascending
}

// score tells how near a draft comes to the limits; less is better.
type score struct {
	worst float64 // the widest gap of all, by its limit
	over  float64 // what all gaps beyond their limits are too wide, by their limits
	us    int64
}

func (a score) less(b score) bool {
	const same = 1e-9 // ratios of whole numbers below 2^44
	switch {
	case a.worst < b.worst-same:
		return true
	case a.worst > b.worst+same:
		return false
	case a.over < b.over-same:
		return true
	case a.over > b.over+same:
		return false
	}
	return a.us < b.us
}

func (l *laid) score(d draft) score {
	s := score{us: d.cycleUs}
	for b, limit := range l.limit {
		if limit == never {
			continue
		}
		_, gap := d.widest(b)
		ratio := float64(gap) / float64(limit)
		s.worst, s.over = max(s.worst, ratio), s.over+max(0, ratio-1)
	}
	return s
}

// widest is the longest gap of a block, and after which of its firings.
func (d draft) widest(b int) (after int, us int64) {
	at := d.atUs[b]
	for k := range at {
		next := at[0] + d.cycleUs
		if k+1 < len(at) {
			next = at[k+1]
		}
		if next-at[k] > us {
			after, us = k, next-at[k]
		}
	}
	return after, us
}

const (
	insertsMost = 40
	sweepsMost  = 3
	stretched   = 4 // a draft's cycle may be so many times as long as one in which each fires once
)

// inserter betters a draft by putting in firings, and moving them.
type inserter struct {
	s    *solver
	free *laid // without limits
	best draft
	got  score
}

// insert begins with each firing once and puts in firings where limits are missed most, each where it makes all gaps best; then it moves
// firings. It returns the draft that comes nearest to the limits.
func (s *solver) insert() (draft, score) {
	free := *s.l
	free.limit = slices.Repeat([]int64{never}, len(s.l.limit))
	in := &inserter{s: s, free: &free}
	d := draft{cycleUs: s.wish.Once.CycleUs, atUs: make([][]int64, len(s.l.blocks))}
	for _, f := range s.wish.Once.Firings {
		if b := s.l.of[f.Job]; len(d.atUs[b]) == 0 {
			d.atUs[b] = []int64{f.AtUs}
		}
	}
	in.best, in.got = d, s.l.score(d)
	missed := 0
	for range insertsMost {
		b := in.worst(d)
		if b < 0 || !s.meter.Look() {
			break
		}
		next, ok := in.place(d, b)
		if !ok {
			break
		}
		if d = in.sweep(next); !s.l.score(d).less(in.got) {
			if missed++; missed > 5 {
				break
			}
			continue
		}
		missed, in.best, in.got = 0, d, s.l.score(d)
		if in.got.worst <= 1 && s.wish.MostUs == 0 {
			break
		}
	}
	return in.best, in.got
}

// worst is the block whose limit is missed most, of those that may fire more often; -1: none.
func (in *inserter) worst(d draft) int {
	best, most := -1, 0.0
	for b, limit := range in.s.l.limit {
		if limit == never || in.s.l.once[b] {
			continue
		}
		_, us := d.widest(b)
		if r := float64(us) / float64(limit); r > most {
			best, most = b, r
		}
	}
	return best
}

// place puts one more firing of a block where it is best.
func (in *inserter) place(d draft, b int) (draft, bool) {
	c := counts{}
	for _, at := range d.atUs {
		c.most = append(c.most, int64(len(at)))
	}
	c.most[b]++
	c.least = c.most
	if c.sum() > copiesMost/2 {
		return d, false
	}
	w := in.free.write(c)
	in.s.meter.Spend(int64(len(w.p.Jobs)*len(w.p.Jobs)+len(w.p.Arcs)+len(w.x.Apart))/laidANode + 1)
	press := stagger.NewPress(w.p, w.x, in.s.meter)
	if press == nil {
		return d, false
	}
	most := stretched * in.s.wish.Once.CycleUs
	if in.s.wish.MostUs > 0 {
		most = in.s.wish.MostUs
	}
	var best draft
	var got score
	for _, us := range in.moments(d, b) {
		try := draft{d.cycleUs, slices.Clone(d.atUs)}
		k, _ := slices.BinarySearch(try.atUs[b], us)
		try.atUs[b] = slices.Insert(slices.Clone(try.atUs[b]), k, us)
		in.s.meter.Tick()
		cycle, at, ok := press.Time(d.cycleUs, w.starts(in.s.l, try), max(1, in.s.wish.Once.LowerBoundUs), most)
		if !ok {
			continue
		}
		try = w.draft(in.s.l, cycle, at)
		if sc := in.s.l.score(try); best.cycleUs == 0 || sc.less(got) {
			best, got = try, sc
		}
	}
	return best, best.cycleUs > 0
}

// moments are where a firing may be tried: with each that there is, and between two.
func (in *inserter) moments(d draft, b int) (us []int64) {
	for _, at := range d.atUs {
		us = append(us, at...)
	}
	slices.Sort(us)
	us = slices.Compact(us)
	for k := range slices.Clone(us) {
		next := us[0] + d.cycleUs
		if k+1 < len(us) && us[k+1] > us[k] {
			next = us[k+1]
		}
		us = append(us, min((us[k]+next)/2, d.cycleUs-1))
	}
	return slices.DeleteFunc(us, func(at int64) bool { return slices.Contains(d.atUs[b], at) })
}

// sweep takes out each firing in turn and puts it back where it is best, as long as that helps.
func (in *inserter) sweep(d draft) draft {
	for range sweepsMost {
		was := in.s.l.score(d)
		for b := range d.atUs {
			for k := 0; k < len(d.atUs[b]); k++ {
				if !in.s.meter.Look() {
					return d
				}
				less := draft{d.cycleUs, slices.Clone(d.atUs)}
				if less.atUs[b] = slices.Delete(slices.Clone(d.atUs[b]), k, k+1); len(less.atUs[b]) == 0 && in.s.l.once[b] {
					continue
				}
				if moved, ok := in.place(less, b); ok && in.s.l.score(moved).less(in.s.l.score(d)) {
					d = moved
				}
			}
		}
		if !in.s.l.score(d).less(was) {
			break
		}
	}
	return d
}

// starts lists when each firing written out is due in a draft, the one that begins the cycle at 0.
func (w written) starts(l *laid, d draft) []int64 {
	at := make([]int64, len(w.p.Jobs))
	var begin int64
	if len(l.p.Order) == 0 {
		begin = d.atUs[l.of[w.x.Owner[w.x.First]]][0]
	}
	for j, first := range w.first {
		turned := slices.Clone(d.atUs[l.of[j]])
		for k := range turned {
			if turned[k] -= begin; turned[k] < 0 {
				turned[k] += d.cycleUs
			}
		}
		slices.Sort(turned)
		copy(at[first:], turned)
	}
	return at
}

// draft reads what was timed.
func (w written) draft(l *laid, cycleUs int64, at []int64) draft {
	d := draft{cycleUs, make([][]int64, len(l.blocks))}
	for x, us := range at {
		if b := l.of[w.x.Owner[x]]; l.blocks[b][0] == w.x.Owner[x] {
			d.atUs[b] = append(d.atUs[b], us)
		}
	}
	return d
}

// firings are those of a draft.
func (l *laid) firings(d draft) (fs []instance.Firing) {
	w := written{}
	var at []int64
	for b, jobs := range l.blocks {
		for _, j := range jobs {
			for _, us := range d.atUs[b] {
				w.x.Owner, at = append(w.x.Owner, j), append(at, us)
			}
		}
	}
	return w.firings(at)
}
