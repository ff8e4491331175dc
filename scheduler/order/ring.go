package order

import "echowright/scheduler/bound"

// ring bounds the period by blocks of which no two may share a group: round the cycle, each is followed by
// another, no sooner than its gap to that one. In a row, a block placed is followed by the next one
// placed or by one not placed yet.
type ring struct {
	blocks []int
	gap    []int64 // [i·k+j]: from blocks[i] to blocks[j]
	of     []int   // place of a block in blocks, -1: none
	next   []int   // scratch: the next one placed, -1 for those not placed
	order  []int
}

// newRing collects blocks, by weight, that must all take turns.
func newRing(l *bound.Laid, byWeight []int) *ring {
	r := &ring{of: make([]int, len(l.Blocks))}
	cand := bound.Full(len(l.Blocks))
	for _, v := range byWeight {
		r.of[v] = -1
		if cand.Has(v) {
			r.of[v] = len(r.blocks)
			r.blocks = append(r.blocks, v)
			cand.And(cand, l.Low.Adj[v])
		}
	}
	k := len(r.blocks)
	r.gap, r.next = make([]int64, k*k), make([]int, k)
	for i, a := range r.blocks {
		for j, b := range r.blocks {
			r.gap[i*k+j] = l.Gap(a, b)
		}
	}
	return r
}

// least is what the period is at least, with the groups of the line as they stand; 0 when all are placed.
func (r *ring) least(ln *line) int64 {
	k := len(r.blocks)
	for i := range r.next {
		r.next[i] = -1
	}
	r.order = r.order[:0]
	for _, g := range ln.rows {
		for _, v := range ln.in[g] {
			if i := r.of[v]; i >= 0 {
				r.order = append(r.order, i)
			}
		}
	}
	if len(r.order) == k || k < 2 {
		return 0
	}
	for p, i := range r.order {
		r.next[i] = r.order[(p+1)%len(r.order)]
	}
	var after, before int64
	for i := range k {
		out, in := never, never
		for j := range k {
			if i == j {
				continue
			}
			if r.follows(i, j) {
				out = min(out, r.gap[i*k+j])
			}
			if r.follows(j, i) {
				in = min(in, r.gap[j*k+i])
			}
		}
		after, before = after+out, before+in
	}
	return max(after, before)
}

// follows tells whether j may be the next of the ring after i.
func (r *ring) follows(i, j int) bool { return r.next[i] < 0 || r.next[j] < 0 || r.next[i] == j }
