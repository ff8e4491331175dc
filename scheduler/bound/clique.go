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
}

// find extends the current set, of weight sum, from the candidates.
func (h *heaviest) find(cand Set, sum int64) {
	if sum > h.best {
		h.best, h.set = sum, append(h.set[:0], h.now...)
	}
	order, reach := h.classes(cand)
	next := NewSet(len(h.adj))
	left := cand.Clone()
	for k := len(order) - 1; k >= 0; k-- {
		if sum+reach[k] <= h.best || !h.part.Tick() {
			return
		}
		v := order[k]
		left.Drop(v)
		next.And(left, h.adj[v])
		h.now = append(h.now, v)
		h.find(next, sum+h.weight[v])
		h.now = h.now[:len(h.now)-1]
	}
}

// classes orders the candidates so that reach[k] bounds the weight of any set from order[:k+1].
func (h *heaviest) classes(cand Set) (order []int, reach []int64) {
	left, free := cand.Clone(), NewSet(len(h.adj))
	var sum int64
	for !left.Empty() {
		var top int64
		copy(free, left)
		for v := free.First(); v >= 0; v = free.Next(v + 1) {
			top = max(top, h.weight[v])
			left.Drop(v)
			free.Less(free, h.adj[v])
			order = append(order, v)
			reach = append(reach, sum+top)
		}
		sum += top
	}
	return order, reach
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

// reaches tells whether cand holds size pairwise joined vertices, and which; done is false when
// the part ended before that was certain.
func reaches(adj []Set, ones []int64, cand Set, size int, part *Part) (set []int, done bool) {
	if cand.Len() < size {
		return nil, true
	}
	if size <= 0 {
		return []int{}, true
	}
	if part.Ended() {
		return nil, false
	}
	h := heaviest{adj: adj, weight: ones, part: part, best: int64(size) - 1}
	h.find(cand, 0)
	if h.set != nil {
		return h.set, true
	}
	return nil, !part.Ended()
}
