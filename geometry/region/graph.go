package region

import (
	"cmp"
	"slices"
)

// graph is the noded arrangement. Edge k has the half-edges 2k (from its a to its b, a before b)
// and 2k+1 (back); h^1 is the other half of h. A half-edge belongs to the cycle on its left.
type graph struct {
	vertices []point
	origin   []int32  // of each half-edge, a vertex
	changes  []change // of winding, from right to left of half-edge 2k: changes[first[k]:first[k+1]]
	first    []int32
	next     []int32  // the half-edge that follows along the same cycle
	cycle    []int32  // of each half-edge
	entry    []int32  // of each cycle, one of its half-edges
	area     []int128 // of each cycle, twice and signed
}

type change struct{ layer, turns int32 }

// newGraph joins arcs. With parity, only odd changes count: layers that are clean sets have a
// winding of 0 or 1 everywhere, and rounding that turns a sliver of less than a grid step inside
// out must not make that anything else.
func newGraph(n noded, parity bool) *graph {
	g := &graph{vertices: n.vertices}
	g.join(n.arcs, parity)
	g.link()
	g.walk()
	return g
}

// join makes coincident arcs one edge, and drops edges that change nothing.
func (g *graph) join(arcs []arc, parity bool) {
	start := make([]int32, len(g.vertices)+1)
	for i := range arcs {
		start[arcs[i].from+1]++
	}
	for v := 1; v < len(start); v++ {
		start[v] += start[v-1]
	}
	sorted := make([]arc, len(arcs))
	for i := range arcs {
		sorted[start[arcs[i].from]] = arcs[i]
		start[arcs[i].from]++
	}
	g.origin = make([]int32, 0, 2*len(arcs))
	g.changes = make([]change, 0, len(arcs))
	g.first = make([]int32, 1, len(arcs)+1)
	begin := int32(0)
	for _, end := range start[:len(g.vertices)] { // now where each vertex's arcs end
		g.joinFan(sorted[begin:end], parity)
		begin = end
	}
}

// joinFan takes all arcs from one vertex.
func (g *graph) joinFan(fan []arc, parity bool) {
	if len(fan) > 1 {
		slices.SortFunc(fan, func(a, b arc) int {
			return cmp.Or(cmp.Compare(a.to, b.to), cmp.Compare(a.layer, b.layer))
		})
	}
	for i := 0; i < len(fan); {
		a := fan[i]
		for i < len(fan) && fan[i].to == a.to {
			c := change{layer: fan[i].layer}
			for ; i < len(fan) && fan[i].to == a.to && fan[i].layer == c.layer; i++ {
				c.turns += fan[i].turns
			}
			if c.turns != 0 && (!parity || c.turns&1 != 0) {
				g.changes = append(g.changes, c)
			}
		}
		if len(g.changes) > int(g.first[len(g.first)-1]) {
			g.origin = append(g.origin, a.from, a.to)
			g.first = append(g.first, int32(len(g.changes)))
		}
	}
}

// link orders the half-edges around each vertex counter-clockwise and chains each one that comes
// in to the next clockwise that goes out, which bounds the same face.
func (g *graph) link() {
	start := make([]int32, len(g.vertices)+1)
	for _, v := range g.origin {
		start[v+1]++
	}
	for v := 1; v < len(start); v++ {
		start[v] += start[v-1]
	}
	out := make([]int32, len(g.origin))
	for h, v := range g.origin {
		out[start[v]] = int32(h)
		start[v]++
	}
	g.next = make([]int32, len(g.origin))
	begin := int32(0)
	for _, end := range start[:len(g.vertices)] { // now where each vertex's half-edges end
		if begin == end {
			continue
		}
		around := out[begin:end]
		begin = end
		g.turn(around)
		before := around[len(around)-1]
		for _, h := range around {
			g.next[h^1] = before
			before = h
		}
	}
}

// turn sorts half-edges of one origin by angle from just after straight down. The even ones go
// right or straight up, the odd ones left or straight down; in either half a cross product tells.
func (g *graph) turn(around []int32) {
	for i := 1; i < len(around); i++ {
		for k := i; k > 0 && g.earlier(around[k], around[k-1]); k-- {
			around[k], around[k-1] = around[k-1], around[k]
		}
	}
}

func (g *graph) earlier(h, k int32) bool {
	if (h^k)&1 != 0 {
		return h&1 == 0
	}
	return orient(g.vertices[g.origin[h]], g.vertices[g.origin[h^1]], g.vertices[g.origin[k^1]]) > 0
}

// walk numbers the cycles and measures them.
func (g *graph) walk() {
	g.cycle = make([]int32, len(g.next))
	for h := range g.cycle {
		g.cycle[h] = -1
	}
	for h := range g.next {
		if g.cycle[h] >= 0 {
			continue
		}
		var sum int128
		c := int32(len(g.entry))
		for k := int32(h); g.cycle[k] < 0; k = g.next[k] {
			g.cycle[k] = c
			p, q := g.vertices[g.origin[k]], g.vertices[g.origin[k^1]]
			sum = sum.plus(cross(p.x, p.y, q.x, q.y))
		}
		g.entry = append(g.entry, int32(h))
		g.area = append(g.area, sum)
	}
}
