package bound

// Rank bounds what groups in the making come to: longest first, each group lasts at least as long as
// now and as its level.
type Rank struct {
	floor []int64 // floor[j]: the j-th longest group of any grouping lasts at least this
	us    []int64 // scratch: the groups' times, longest first
}

// NewRank returns a rank with the times of levels.
func NewRank(levels []Level) *Rank {
	r := &Rank{}
	for _, l := range levels {
		r.floor = append(r.floor, l.Us)
	}
	return r
}

// Cost bounds every grouping that grows out of groups with these times once group c (-1: a new one)
// lasts at least us.
func (r *Rank) Cost(times []int64, c int, us int64) int64 {
	r.us = r.us[:0]
	for k, t := range times {
		if k == c {
			t = max(t, us)
		}
		r.insert(t)
	}
	if c < 0 {
		r.insert(us)
	}
	var sum int64
	for j := range max(len(r.us), len(r.floor)) {
		sum += max(at(r.us, j), at(r.floor, j))
	}
	return sum
}

func at(us []int64, j int) int64 {
	if j < len(us) {
		return us[j]
	}
	return 0
}

func (r *Rank) insert(t int64) {
	k := len(r.us)
	r.us = append(r.us, t)
	for ; k > 0 && r.us[k-1] < t; k-- {
		r.us[k] = r.us[k-1]
	}
	r.us[k] = t
}

// Limits says how long each group, and a new one (the last entry), may come to last so that Cost stays at most
// most; -1: not even as long as now. It is written into out.
func (r *Rank) Limits(times []int64, most int64, out []int64) []int64 {
	r.us = r.us[:0]
	for _, t := range times {
		r.insert(t)
	}
	var total int64
	for j := range max(len(r.us), len(r.floor)) {
		total += max(at(r.us, j), at(r.floor, j))
	}
	out = out[:0]
	for _, t := range times {
		i := 0
		for r.us[i] > t {
			i++
		}
		out = append(out, r.limit(i, most-total))
	}
	return append(out, r.limit(len(r.us), most-total))
}

// limit is that of the group in place i, with so much to spare. As it grows past others they move down one by
// one; while it stands in place j, only what that place comes to changes.
func (r *Rank) limit(i int, spare int64) int64 {
	for j := i; ; j-- {
		spare += max(at(r.us, j), at(r.floor, j))
		switch {
		case spare < max(at(r.us, j), at(r.floor, j)):
			return -1
		case j == 0 || spare < r.us[j-1]:
			return spare
		}
		spare -= max(r.us[j-1], at(r.floor, j))
	}
}
