package region

import (
	"cmp"
	"math"
	"math/big"
	"slices"
)

// segment runs from a to b, a before b (by x, then y). Crossing it from its right to its left
// changes the winding of its layer by turns.
type segment struct {
	a, b  point
	layer int32
	turns int32
}

func appendRing(segs []segment, ring []point, layer, turns int32) []segment {
	for i, p := range ring {
		q := ring[0]
		if i+1 < len(ring) {
			q = ring[i+1]
		}
		switch compare(p, q) {
		case -1:
			segs = append(segs, segment{p, q, layer, turns})
		case 1:
			segs = append(segs, segment{q, p, layer, -turns})
		}
	}
	return segs
}

// arc is a piece of a segment between two vertices, from before to.
type arc struct {
	from, to     int32
	layer, turns int32
}

// noded are segments cut where they meet and rounded to the grid: arcs meet at ends only, or
// coincide.
type noded struct {
	vertices []point
	arcs     []arc
}

// node rounds an arrangement of segments to the grid. Every end of a segment and every crossing
// makes the square of the grid around it hot (from −½ up to but without +½, so that a place is in
// one square only), and every segment is bent to run through the centres of the hot squares it
// passes, in their order.
//
//	 ·   ·   ·   ·        ·   ·   ·   ·
//	┌─┐     ___/┌─┐      ┌─┐         ┌─┐
//	│·│___/·   ·│·│  ─►  │▪│─── · ───│▪│    no square between is hot
//	└/┘         └─┘      └─┘         └─┘
//
// No vertex can then lie inside an arc: over it, the unrounded segment lies between the offsets of
// the two ends, each within a half, and so would pass its square. Nor can two arcs cross, since
// squares shrinking to their centres never push a segment over another vertex.
func node(segs []segment) noded {
	if len(segs) == 0 {
		return noded{}
	}
	n := noder{segs: segs}
	n.cells.fill(segs)
	n.cross()
	n.number()
	n.bend()
	return n.pieces()
}

type noder struct {
	segs      []segment
	cells     cells
	crossings []point
	vertices  []point
	ends      [][2]int32 // of each segment, as vertices
	cuts      []cut
}

// cut is a vertex that a segment must be bent through.
type cut struct{ seg, vertex int32 }

// cross finds all proper crossings, cell by cell. A segment that only touches another needs no
// more than its end.
func (n *noder) cross() {
	for c := range n.cells.count() {
		list := n.cells.at(c)
		if len(list) > 24 {
			n.crossCrowded(list)
			continue
		}
		for k, i := range list {
			e := &n.segs[i]
			for _, j := range list[:k] {
				n.meet(&n.segs[j], e)
			}
		}
	}
}

// crossCrowded compares only segments abreast of each other.
func (n *noder) crossCrowded(list []int32) {
	slices.SortFunc(list, func(i, j int32) int { return cmp.Compare(n.segs[i].a.x, n.segs[j].a.x) })
	for k, i := range list {
		e := &n.segs[i]
		for _, j := range list[k+1:] {
			f := &n.segs[j]
			if f.a.x > e.b.x {
				break
			}
			n.meet(e, f)
		}
	}
}

func (n *noder) meet(e, f *segment) {
	if e.a.x > f.b.x || f.a.x > e.b.x ||
		min(e.a.y, e.b.y) > max(f.a.y, f.b.y) || min(f.a.y, f.b.y) > max(e.a.y, e.b.y) {
		return
	}
	if orient(e.a, e.b, f.a)*orient(e.a, e.b, f.b) < 0 && orient(f.a, f.b, e.a)*orient(f.a, f.b, e.b) < 0 {
		n.crossings = append(n.crossings, meeting(e, f))
	}
}

// meeting is the crossing of two segments, correctly rounded to the grid (halves up): the centre of
// the square that holds it.
func meeting(e, f *segment) point {
	ex, ey := e.b.x-e.a.x, e.b.y-e.a.y
	fx, fy := f.b.x-f.a.x, f.b.y-f.a.y
	num, den := cross(f.a.x-e.a.x, f.a.y-e.a.y, fx, fy), cross(ex, ey, fx, fy)
	t := num.float() / den.float()
	return point{e.a.x + scaled(ex, t, num, den), e.a.y + scaled(ey, t, num, den)}
}

// scaled is d·num/den rounded, t being nearly num/den.
func scaled(d int64, t float64, num, den int128) int64 {
	v := t * float64(d)
	r := math.Floor(v + 0.5)
	// The two numbers and the quotient, the product and the sum are off by at most 2·2^-52 + 3·2^-53
	// of |d|, since t <= 1.
	if 0.5-math.Abs(v-r) > math.Abs(float64(d))*(1.0/(1<<50)) {
		return int64(r)
	}
	// floor(d·num/den + 1/2) = floor((2·d·num + den) / (2·den)); Div is Euclidean, den made positive.
	p, q := num.big(), den.big()
	if q.Sign() < 0 {
		p.Neg(p)
		q.Neg(q)
	}
	p.Mul(p, big.NewInt(2*d)).Add(p, q)
	return p.Div(p, q.Lsh(q, 1)).Int64()
}

// number makes equal points one vertex, by a hash table with open addressing.
func (n *noder) number() {
	size := 16
	for size < 2*len(n.segs)+3*len(n.crossings) {
		size *= 2
	}
	table := make([]int32, size) // vertex + 1; 0 is free
	mask := uint64(size - 1)
	n.vertices = make([]point, 0, len(n.segs)+len(n.crossings)+1)
	find := func(p point) int32 {
		h := (uint64(p.x)*0x9E3779B97F4A7C15 ^ uint64(p.y)) * 0xC2B2AE3D27D4EB4F
		for h = h >> 20 & mask; table[h] != 0; h = (h + 1) & mask {
			if v := table[h] - 1; n.vertices[v] == p {
				return v
			}
		}
		n.vertices = append(n.vertices, p)
		table[h] = int32(len(n.vertices))
		return int32(len(n.vertices)) - 1
	}
	n.ends = make([][2]int32, len(n.segs))
	for i := range n.segs {
		n.ends[i] = [2]int32{find(n.segs[i].a), find(n.segs[i].b)}
	}
	for _, p := range n.crossings {
		find(p)
	}
}

// bend finds the hot squares that each segment passes.
func (n *noder) bend() {
	n.cuts = make([]cut, 0, 2*len(n.crossings)+8)
	for v, p := range n.vertices {
		for _, i := range n.cells.at(n.cells.of(p)) {
			if s := &n.segs[i]; s.passes(p) {
				n.cuts = append(n.cuts, cut{i, int32(v)})
			}
		}
	}
}

// passes tells whether the segment, its ends apart, has a point in the square around p.
func (s *segment) passes(p point) bool {
	if p.x < s.a.x || p.x > s.b.x || p.y < min(s.a.y, s.b.y) || p.y > max(s.a.y, s.b.y) || p == s.a || p == s.b {
		return false
	}
	// With p in the segment's box it is enough that the line passes. The corners of the square lie
	// on both sides of it if twice the cross product at p is less than the sum of |ux| and |uy|; if
	// it is just as much the line touches one corner, and the square has only its lower left one.
	ux, uy := s.b.x-s.a.x, s.b.y-s.a.y
	vx, vy := p.x-s.a.x, p.y-s.a.y
	l, r := float64(ux)*float64(vy), float64(uy)*float64(vx)
	reach := ux + max(uy, -uy)
	if 2*(math.Abs(l-r)-(math.Abs(l)+math.Abs(r))*(1.0/(1<<51))) > float64(reach) {
		return false
	}
	d := cross(ux, uy, vx, vy)
	d = d.plus(d)
	switch corner := (int128{0, uint64(reach)}); {
	case d == corner:
		return uy < 0
	case d.sign() < 0:
		return d.plus(corner).sign() > 0
	default:
		return d.minus(corner).sign() < 0
	}
}

// pieces cuts the segments. The squares a segment passes follow each other by x, and by y in its
// own direction.
func (n *noder) pieces() noded {
	start := n.sortCuts()
	arcs := make([]arc, 0, len(n.segs)+len(n.cuts))
	for i, s := range n.segs {
		list := n.cuts[start[i]:start[i+1]]
		if len(list) > 1 {
			falling := s.b.y < s.a.y
			slices.SortFunc(list, func(c, d cut) int {
				p, q := n.vertices[c.vertex], n.vertices[d.vertex]
				if p.x == q.x && falling {
					return compare(q, p)
				}
				return compare(p, q)
			})
		}
		from := n.ends[i][0]
		for _, c := range list {
			arcs = n.appendArc(arcs, from, c.vertex, s)
			from = c.vertex
		}
		arcs = n.appendArc(arcs, from, n.ends[i][1], s)
	}
	return noded{n.vertices, arcs}
}

// appendArc turns the piece if rounding made it point straight down.
func (n *noder) appendArc(arcs []arc, from, to int32, s segment) []arc {
	if n.vertices[to].less(n.vertices[from]) {
		return append(arcs, arc{to, from, s.layer, -s.turns})
	}
	return append(arcs, arc{from, to, s.layer, s.turns})
}

// sortCuts orders the cuts by segment and tells where those of each start.
func (n *noder) sortCuts() []int32 {
	start := make([]int32, len(n.segs)+2)
	for _, c := range n.cuts {
		start[c.seg+2]++
	}
	for i := 2; i < len(start); i++ {
		start[i] += start[i-1]
	}
	sorted := make([]cut, len(n.cuts))
	for _, c := range n.cuts {
		sorted[start[c.seg+1]] = c
		start[c.seg+1]++
	}
	n.cuts = sorted
	return start
}
