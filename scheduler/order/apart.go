package order

import (
	"cmp"
	"slices"

	"echowright/scheduler/bound"
)

const never = int64(1) << 60

// apart says how far apart blocks of different groups may fire when the period lies between lo and hi. It
// is exact when they are equal, else it allows all that any such period allows.
type apart struct {
	n      int
	lo, hi int64
	least  []int64 // [a·n+b]: least distance from a to b in the cycle, a in the earlier group
	most   []int64
	holes  map[[2]int][]bound.Span // distances between that do not do either
	split  []bound.Set             // blocks that may never share a group
	dead   bool                    // no such period is possible at all
}

func newApart(l *bound.Laid, lo, hi int64) *apart {
	n := len(l.Blocks)
	p := &apart{n: n, lo: lo, hi: hi, least: make([]int64, n*n), most: make([]int64, n*n), holes: map[[2]int][]bound.Span{}}
	for a := range n {
		for b := range n {
			p.least[a*n+b] = l.Base[a]
			p.most[b*n+a] = hi - l.Base[a]
		}
		p.split = append(p.split, l.Low.Adj[a].Clone())
	}
	for a, late := range l.Heard {
		for _, h := range late {
			for _, s := range h.Spans {
				p.bar(a, h.To, s, l.Base[a])
			}
		}
	}
	keys := make([][2]int, 0, len(p.holes))
	for k := range p.holes {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for _, k := range keys {
		p.trim(k)
	}
	return p
}

// bar takes out the distances at which sound of a, k cycles old, meets a window of b.
func (p *apart) bar(a, b int, s bound.Span, base int64) {
	for k := max(0, (s.After-p.hi)/p.lo); k*p.hi < s.Before; k++ {
		from, until := s.After-k*p.lo, s.Before-k*p.hi
		if from >= until-1 {
			continue
		}
		if k > 0 && s.After < k*p.lo && k*p.hi < s.Before {
			if a == b {
				p.dead = true
				return
			}
			p.split[a].Add(b)
			p.split[b].Add(a)
		}
		if a == b {
			continue
		}
		p.hole(a, b, from, until)
		// Seen from b, fired first, a's sound of a cycle ago.
		upper := p.lo - from
		if from < base {
			upper = never
		}
		p.hole(b, a, p.hi-until, upper)
	}
}

func (p *apart) hole(a, b int, after, before int64) {
	k := [2]int{a, b}
	p.holes[k] = append(p.holes[k], bound.Span{After: after, Before: before})
}

// trim moves the ends of what is allowed past holes, and keeps the holes between them.
func (p *apart) trim(k [2]int) {
	hs := p.holes[k]
	slices.SortFunc(hs, func(a, b bound.Span) int {
		return cmp.Or(cmp.Compare(a.After, b.After), cmp.Compare(a.Before, b.Before))
	})
	merged := hs[:1]
	for _, h := range hs[1:] {
		if m := &merged[len(merged)-1]; h.After < m.Before {
			m.Before = max(m.Before, h.Before)
		} else {
			merged = append(merged, h)
		}
	}
	i := k[0]*p.n + k[1]
	for _, h := range merged {
		if h.After < p.least[i] && p.least[i] < h.Before {
			p.least[i] = h.Before
		}
	}
	for j := len(merged) - 1; j >= 0; j-- {
		if h := merged[j]; h.After < p.most[i] && p.most[i] < h.Before {
			p.most[i] = h.After
		}
	}
	var rest []bound.Span
	for _, h := range merged {
		if h.After >= p.least[i] && h.Before <= p.most[i] {
			rest = append(rest, h)
		}
	}
	if rest == nil {
		delete(p.holes, k)
	} else {
		p.holes[k] = rest
	}
}
