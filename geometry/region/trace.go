package region

import "slices"

// trace makes a set of the chosen cycles' faces. Cycles that bound one face must be chosen alike,
// parent[c] being the cycle in whose face rim c lies (−1 for none and for cycles that are no rim).
func (g *graph) trace(chosen []bool, parent []int32) Set {
	t := tracer{graph: g, chosen: chosen, at: make([]int32, len(g.vertices))}
	t.joinFaces(parent)
	done := make([]bool, len(g.next))
	for h := range g.next {
		if done[h] || !t.isBoundary(int32(h)) {
			continue
		}
		t.path = t.path[:0]
		for k := int32(h); !done[k]; k = t.follow(k) {
			done[k] = true
			t.visit(g.origin[k], g.cycle[h])
		}
		t.close(0, g.cycle[h])
	}
	return t.set()
}

type tracer struct {
	*graph
	chosen []bool
	joined []int32 // union-find over cycles: one root for each connected piece
	path   []int32 // vertices since the last return
	at     []int32 // index + 1 in path of each vertex, 0 if not on it
	rings  []tracedRing
}

type tracedRing struct {
	points []point
	piece  int32
	hole   bool
}

func (t *tracer) joinFaces(parent []int32) {
	t.joined = make([]int32, len(t.entry))
	for c := range t.joined {
		t.joined[c] = int32(c)
	}
	for c, p := range parent {
		if p >= 0 && t.chosen[c] {
			t.joined[t.root(int32(c))] = t.root(p)
		}
	}
	for h := 0; h < len(t.cycle); h += 2 {
		if l, r := t.cycle[h], t.cycle[h+1]; t.chosen[l] && t.chosen[r] {
			t.joined[t.root(l)] = t.root(r)
		}
	}
}

func (t *tracer) root(c int32) int32 {
	for t.joined[c] != c {
		t.joined[c] = t.joined[t.joined[c]]
		c = t.joined[c]
	}
	return c
}

func (t *tracer) isBoundary(h int32) bool { return t.chosen[t.cycle[h]] && !t.chosen[t.cycle[h^1]] }

// follow turns clockwise through the inside to the next half-edge of the boundary, so that two
// pieces that touch at a point stay apart.
func (t *tracer) follow(h int32) int32 {
	for h = t.next[h]; !t.isBoundary(h); h = t.next[h^1] {
	}
	return h
}

// visit cuts off a loop as soon as the path comes back to a vertex: a hole that touches its outer
// ring becomes a ring by itself.
func (t *tracer) visit(v, c int32) {
	if k := t.at[v]; k > 0 {
		t.close(int(k)-1, c)
	}
	t.path = append(t.path, v)
	t.at[v] = int32(len(t.path))
}

func (t *tracer) close(from int, c int32) {
	loop := make([]point, 0, len(t.path)-from)
	for _, v := range t.path[from:] {
		loop = append(loop, t.vertices[v])
		t.at[v] = 0
	}
	t.path = t.path[:from]
	loop = startLeftmost(straightened(loop))
	t.rings = append(t.rings, tracedRing{loop, t.root(c), area2(loop).sign() < 0})
}

// straightened leaves out the points exactly between their neighbours.
func straightened(loop []point) []point {
	out := loop[:0:len(loop)]
	prev := loop[len(loop)-1]
	for i, p := range loop {
		q := loop[0]
		if i+1 < len(loop) {
			q = loop[i+1]
		}
		if orient(prev, p, q) != 0 {
			out = append(out, p)
			prev = p
		}
	}
	return out
}

func startLeftmost(loop []point) []point {
	first := 0
	for i, p := range loop {
		if p.less(loop[first]) {
			first = i
		}
	}
	return slices.Concat(loop[first:], loop[:first])
}

// set groups the rings by piece: outer first, all in an order that depends on the points only.
func (t *tracer) set() Set {
	slices.SortFunc(t.rings, func(a, b tracedRing) int {
		if a.hole != b.hole {
			if b.hole {
				return -1
			}
			return 1
		}
		return slices.CompareFunc(a.points, b.points, compare)
	})
	index := make(map[int32]int)
	var s Set
	for _, r := range t.rings {
		k, known := index[r.piece]
		if !known {
			k = len(s.pieces)
			index[r.piece] = k
			s.pieces = append(s.pieces, nil)
		}
		s.pieces[k] = append(s.pieces[k], r.points)
	}
	return s
}
