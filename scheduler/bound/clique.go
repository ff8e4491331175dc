package bound

// heaviest is a branch and bound for a set of vertices that are pairwise joined in adj, of the
// greatest total weight. Candidates are split into classes of pairwise unjoined vertices; a set
// takes at most one of each, so the classes' greatest weights bound what can still be added.
type heaviest struct {
	adj    []Set
	weight []int64
	part   *Part
	best   int64 // only sets above this are of interest
	set    []int
	now    []int
	layers []*layer
}

// layer is the scratch space of one depth.
type layer struct {
	next, left, free Set
	order            []int
	reach            []int64
}

// find extends the current set, of weight sum, from the candidates.
func (h *heaviest) find(cand Set, sum int64) {
	if sum > h.best {
		h.best, h.set = sum, append(h.set[:0], h.now...)
	}
	if cand.Empty() {
		return
	}
	depth := len(h.now)
	if depth == len(h.layers) {
		sets := NewSets(3, len(h.adj))
		h.layers = append(h.layers, &layer{next: sets[0], left: sets[1], free: sets[2]})
	}
	l := h.layers[depth]
	h.classes(cand, l)
	copy(l.left, cand)
	for k := len(l.order) - 1; k >= 0; k-- {
		if sum+l.reach[k] <= h.best || !h.part.Tick() {
			return
		}
		v := l.order[k]
		l.left.Drop(v)
		l.next.And(l.left, h.adj[v])
		h.now = append(h.now, v)
		h.find(l.next, sum+h.weight[v])
		h.now = h.now[:len(h.now)-1]
	}
}

// classes orders the candidates so that reach[k] bounds the weight of any set from order[:k+1].
func (h *heaviest) classes(cand Set, l *layer) {
	copy(l.left, cand)
	l.order, l.reach = l.order[:0], l.reach[:0]
	var sum int64
	for !l.left.Empty() {
		var top int64
		copy(l.free, l.left)
		for v := l.free.First(); v >= 0; v = l.free.Next(v + 1) {
			top = max(top, h.weight[v])
			l.left.Drop(v)
			l.free.Less(l.free, h.adj[v])
			l.order = append(l.order, v)
			l.reach = append(l.reach, sum+top)
		}
		sum += top
	}
}

// HeaviestClique returns the jobs, pairwise in conflict, whose turns add up to most, and the sum.
// When the part ends first the clique is a valid one, perhaps not the heaviest.
func (g *Graph) HeaviestClique(part *Part) ([]int, int64) {
	h := heaviest{adj: g.Adj, weight: g.Us, part: part}
	h.seed(g)
	h.find(Full(g.N()), 0)
	return sorted(h.set), h.best
}

// seed grows a first clique from the vertices in order, so that a search cut short has one.
func (h *heaviest) seed(g *Graph) {
	for v := range g.N() {
		cand := g.Adj[v].Clone()
		set, sum := []int{v}, g.Us[v]
		for u := cand.First(); u >= 0; u = cand.First() {
			set, sum = append(set, u), sum+g.Us[u]
			cand.And(cand, g.Adj[u])
		}
		if sum > h.best {
			h.best, h.set = sum, append(h.set[:0], set...)
		}
	}
}

// reaches tells whether cand holds size pairwise joined vertices, and which, until it looks again; done is
// false when the part ended before that was certain. All weights must be 1.
func (h *heaviest) reaches(cand Set, size int) (set []int, done bool) {
	if cand.Len() < size {
		return nil, true
	}
	if size <= 0 {
		return []int{}, true
	}
	if h.part.Ended() {
		return nil, false
	}
	h.best, h.set = int64(size)-1, h.set[:0]
	h.find(cand, 0)
	if len(h.set) > 0 {
		return h.set, true
	}
	return nil, !h.part.Ended()
}
