package stagger

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"echowright/scheduler/bound"
)

// share is the bound that only so many hold at once. Each block holds for as long as it keeps off every block it
// is matched against, so no two of those hold at a moment. With a weight for each block, and no set that may hold
// at once heavier than most, hold times weight summed up and divided by most is no longer than the cycle: what a
// fractional colouring takes at the least.
type share struct {
	us     int64
	hold   []int64
	weight []int64
	most   int64
}

const (
	shareMost  = 64 // blocks
	shareFine  = 1_000
	shareTries = 120
	shareWork  = 4_000 // nodes of a search for the heaviest set
)

// shares looks for weights by raising those of blocks that have been in the heaviest set least for what they hold
// (multiplicative weights: Plotkin, Shmoys, Tardos 1995).
func (m *model) shares(far []int64, meter *bound.Meter) (best share) {
	n := len(m.blocks)
	if n > shareMost || n < 2 {
		return best
	}
	for _, part := range []int64{0, 2} { // foes that keep off for less than half as long as others do may be left out
		foes, hold := m.foes(far, part)
		weight := make([]float64, n)
		for u, us := range hold {
			if us > 0 {
				weight[u] = 1 / float64(us)
			}
		}
		for range shareTries {
			if !meter.Look() {
				return best
			}
			heaviest := slices.Max(weight)
			if heaviest == 0 {
				break
			}
			whole := make([]int64, n)
			for u, w := range weight {
				whole[u] = int64(float64(w/heaviest) * shareFine)
			}
			s := &independent{foes: foes, weight: whole}
			all := ^uint64(0) >> (64 - n)
			s.grow(all, 0, 0)
			if s.work > shareWork || s.most == 0 {
				break
			}
			var sum int64
			for u, w := range whole {
				sum += hold[u] * w
			}
			if us := (sum + s.most - 1) / s.most; us > best.us {
				best = share{us, hold, whole, s.most}
			}
			least := int64(1) << 62
			for set := s.best; set != 0; set &= set - 1 {
				least = min(least, hold[bits.TrailingZeros64(set)])
			}
			for set := s.best; set != 0; set &= set - 1 {
				u := bits.TrailingZeros64(set)
				weight[u] *= 1 - float64(0.1*float64(least)/float64(hold[u]))
			}
		}
	}
	return best
}

// foes matches blocks that keep each other off, and says how long each keeps off all it is matched against. Those it
// keeps off for less than a part of the longest are left out.
func (m *model) foes(far []int64, part int64) (foes []uint64, hold []int64) {
	n := len(m.blocks)
	foes, hold = make([]uint64, n), make([]int64, n)
	long := make([]int64, n)
	for u := range n {
		long[u] = slices.Max(far[u*n : u*n+n])
	}
	counts := func(u, v int) bool { return far[u*n+v] > 0 && part*far[u*n+v] >= long[u] }
	for u := range n {
		for v := range n {
			if us := far[u*n+v]; u != v && counts(u, v) && counts(v, u) {
				foes[u] |= 1 << v
				if hold[u] == 0 || us < hold[u] {
					hold[u] = us
				}
			}
		}
	}
	return foes, hold
}

// independent looks for the heaviest set without foes in it.
type independent struct {
	foes   []uint64
	weight []int64
	most   int64
	best   uint64
	work   int
}

func (s *independent) grow(left, set uint64, weight int64) {
	if weight > s.most {
		s.most, s.best = weight, set
	}
	if s.work++; s.work > shareWork {
		return
	}
	// Of blocks that are all foes of one another, only one may be in the set.
	type family struct {
		of    uint64
		heavy int64
	}
	var families []family
	pick, limit := 0, weight
	for rest := left; rest != 0; rest &= rest - 1 {
		u := bits.TrailingZeros64(rest)
		k := slices.IndexFunc(families, func(f family) bool { return f.of&^s.foes[u] == 0 })
		if k < 0 {
			families = append(families, family{})
			k = len(families) - 1
		}
		families[k].of |= 1 << u
		families[k].heavy = max(families[k].heavy, s.weight[u])
	}
	for k, f := range families {
		limit += f.heavy
		if f.heavy > families[pick].heavy {
			pick = k
		}
	}
	if limit <= s.most || len(families) == 0 {
		return
	}
	for f := families[pick].of; f != 0; f &= f - 1 {
		u := bits.TrailingZeros64(f)
		s.grow(left&^s.foes[u]&^(1<<u), set|1<<u, weight+s.weight[u])
	}
	s.grow(left&^families[pick].of, set, weight)
}

// words says so; weights that are all alike are counted.
func (s share) words(m *model) []string {
	var names []string
	one, same := int64(0), true
	for _, w := range s.weight {
		if w > 0 {
			same = same && (one == 0 || w == one)
			one = w
		}
	}
	order := make([]int, len(s.weight))
	for u := range order {
		order[u] = u
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.hold[b]*s.weight[b], s.hold[a]*s.weight[a]) })
	const most = 16
	for k, u := range order {
		if s.weight[u] == 0 {
			continue
		}
		if k == most && len(order) > most+1 {
			names = append(names, "…")
			break
		}
		word := fmt.Sprintf("%s, %s", m.name(u), bound.Time(s.hold[u]))
		if !same {
			word += fmt.Sprintf(" x %d", s.weight[u])
		}
		names = append(names, word)
	}
	hold := "each with how long it keeps off all that may not fire meanwhile"
	if same {
		return []string{fmt.Sprintf("No more than %d of these hold at once (%s): %s. Sum, divided by %d: %s.",
			s.most/one, hold, strings.Join(names, "; "), s.most/one, bound.Time(s.us))}
	}
	return []string{fmt.Sprintf("No set of these that may hold at once weighs more than %d (%s, times its weight): %s. Sum, divided by %d: %s.",
		s.most, hold, strings.Join(names, "; "), s.most, bound.Time(s.us))}
}
