package bound

import "slices"

// Graph is a slots problem without order: each vertex a block with the time its turn takes, an edge
// between two that may not share a group, and how many may. A grouping costs the sum of its
// groups' longest turns.
type Graph struct {
	Us     []int64 // turn of each vertex, guard included
	Adj    []Set   // neighbours
	AtOnce int     // most members of a group, at least 1
}

// N is the number of vertices.
func (g *Graph) N() int { return len(g.Us) }

// NewGraph returns a graph without edges. atOnce 0 means any number.
func NewGraph(us []int64, atOnce int) *Graph {
	n := len(us)
	if atOnce <= 0 || atOnce > n {
		atOnce = max(n, 1)
	}
	return &Graph{Us: us, Adj: NewSets(n, n), AtOnce: atOnce}
}

// Join adds the edge i-j; i = j adds none.
func (g *Graph) Join(i, j int) {
	if i != j {
		g.Adj[i].Add(j)
		g.Adj[j].Add(i)
	}
}

// Sub returns the graph on the given vertices, in that order.
func (g *Graph) Sub(vs []int) *Graph {
	us := make([]int64, len(vs))
	for a, v := range vs {
		us[a] = g.Us[v]
	}
	s := NewGraph(us, min(g.AtOnce, len(vs)))
	for a, v := range vs {
		for b := range a {
			if g.Adj[v].Has(vs[b]) {
				s.Join(a, b)
			}
		}
	}
	return s
}

// Cost is the sum of the groups' longest turns.
func (g *Graph) Cost(groups [][]int) int64 {
	var sum int64
	for _, gr := range groups {
		var longest int64
		for _, v := range gr {
			longest = max(longest, g.Us[v])
		}
		sum += longest
	}
	return sum
}

// Joins splits the graph into the parts of which every vertex conflicts with every vertex of all
// other parts (the components of the complement). No group mixes parts, so their costs add up.
func (g *Graph) Joins() [][]int {
	left := Full(g.N())
	free := NewSet(g.N())
	var parts [][]int
	for v := left.First(); v >= 0; v = left.First() {
		left.Drop(v)
		part := []int{v}
		for k := 0; k < len(part); k++ {
			free.Less(left, g.Adj[part[k]])
			for w := free.First(); w >= 0; w = free.Next(w + 1) {
				part = append(part, w)
				left.Drop(w)
			}
		}
		slices.Sort(part)
		parts = append(parts, part)
	}
	return parts
}
