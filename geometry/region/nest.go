package region

import "slices"

// rim is the outer boundary, seen from outside, of a connected part of the graph.
type rim struct {
	cycle int32
	left  int32 // its first vertex by x, then y
	below int32 // the half-edge, pointing right, just below that vertex; −1 if none
}

// rims lists them from left to right.
func (g *graph) rims() []rim {
	var rims []rim
	for c, a := range g.area {
		if a.sign() < 0 {
			rims = append(rims, rim{int32(c), g.leftmost(int32(c)), -1})
		}
	}
	slices.SortFunc(rims, func(a, b rim) int { return compare(g.vertices[a.left], g.vertices[b.left]) })
	if len(rims) > 1 {
		g.lookDown(rims)
	}
	return rims
}

func (g *graph) leftmost(c int32) int32 {
	first := g.entry[c]
	best := g.origin[first]
	for h := g.next[first]; h != first; h = g.next[h] {
		if v := g.origin[h]; g.vertices[v].less(g.vertices[best]) {
			best = v
		}
	}
	return best
}

// lookDown finds for each rim the edge just below its leftmost vertex. Edges of the rim's own part
// are never strictly below that vertex.
func (g *graph) lookDown(rims []rim) {
	for h := int32(0); h < int32(len(g.origin)); h += 2 {
		a, b := g.vertices[g.origin[h]], g.vertices[g.origin[h+1]]
		// An edge spans x from its left end up to, but without, its right end.
		i, _ := slices.BinarySearchFunc(rims, a.x, func(r rim, x int64) int {
			if g.vertices[r.left].x < x {
				return -1
			}
			return 1
		})
		for ; i < len(rims); i++ {
			v := g.vertices[rims[i].left]
			if v.x >= b.x {
				break
			}
			if orient(a, b, v) > 0 && (rims[i].below < 0 || g.higher(h, rims[i].below)) {
				rims[i].below = h
			}
		}
	}
}

// higher tells whether edge h runs above edge k where both span the same x.
func (g *graph) higher(h, k int32) bool {
	ha, hb := g.vertices[g.origin[h]], g.vertices[g.origin[h+1]]
	ka, kb := g.vertices[g.origin[k]], g.vertices[g.origin[k+1]]
	if ka.less(ha) {
		return orient(ka, kb, ha) > 0
	}
	if side := orient(ha, hb, ka); side != 0 {
		return side < 0
	}
	return orient(ha, hb, kb) < 0
}

// spread visits every cycle once, after one that bounds the same face from another side or lies
// across an edge: inside(cycle, parent) for a rim that lies in the parent's face (−1: the unbounded
// one), across(cycle, half-edge) for the cycle of a half-edge whose other half is known.
func (g *graph) spread(inside func(c, parent int32), across func(c, h int32)) {
	seen := make([]bool, len(g.entry))
	var todo []int32
	for _, r := range g.rims() {
		parent := int32(-1)
		if r.below >= 0 {
			parent = g.cycle[r.below]
		}
		inside(r.cycle, parent)
		seen[r.cycle] = true
		todo = append(todo[:0], r.cycle)
		for len(todo) > 0 {
			c := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			h := g.entry[c]
			for {
				if other := g.cycle[h^1]; !seen[other] {
					seen[other] = true
					across(other, h^1)
					todo = append(todo, other)
				}
				if h = g.next[h]; h == g.entry[c] {
					break
				}
			}
		}
	}
}
