package region

// Union is the set of points in any of the sets.
func Union(sets ...Set) Set { return AtLeast(1, sets...) }

// Intersect is the set of points in both sets.
func Intersect(a, b Set) Set { return AtLeast(2, a, b) }

// Difference is the set of points in a but not in b.
func Difference(a, b Set) Set {
	segs := a.segments(nil, 0, 1)
	segs = b.segments(segs, 0, -1)
	return byWinding(node(segs), func(w int32) bool { return w == 1 })
}

// AtLeast is the set of points in at least k of the sets, k >= 1: their union for k = 1, their
// intersection for k = len(sets).
func AtLeast(k int, sets ...Set) Set {
	var segs []segment
	for _, s := range sets {
		segs = s.segments(segs, 0, 1)
	}
	return byWinding(node(segs), func(w int32) bool { return w >= int32(max(k, 1)) })
}

func (s Set) segments(segs []segment, layer, turns int32) []segment {
	for _, p := range s.pieces {
		for _, r := range p {
			segs = appendRing(segs, r, layer, turns)
		}
	}
	return segs
}

// byWinding is the set of the faces, in an arrangement of one layer, whose winding is wanted. That
// of the unbounded face is 0 and must not be.
func byWinding(n noded, want func(w int32) bool) Set {
	g := newGraph(n, false)
	winding := make([]int32, len(g.entry))
	parents := make([]int32, len(g.entry))
	chosen := make([]bool, len(g.entry))
	g.spread(func(c, parent int32) {
		parents[c] = parent
		if parent >= 0 {
			winding[c] = winding[parent]
		}
		chosen[c] = want(winding[c])
	}, func(c, h int32) {
		parents[c] = -1
		turns := g.changes[g.first[h>>1]].turns
		if h&1 != 0 {
			turns = -turns
		}
		winding[c] = winding[g.cycle[h^1]] + turns
		chosen[c] = want(winding[c])
	})
	return g.trace(chosen, parents)
}
