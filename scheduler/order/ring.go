package order

import (
	"slices"

	"echowright/scheduler/bound"
)

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

// takers collects blocks, by weight, that must all take turns.
func takers(l *bound.Laid, byWeight []int) (blocks []int) {
	cand := bound.Full(len(l.Blocks))
	for _, v := range byWeight {
		if cand.Has(v) {
			blocks = append(blocks, v)
			cand.And(cand, l.Low.Adj[v])
		}
	}
	return blocks
}

func newRing(l *bound.Laid, blocks []int) *ring {
	k := len(blocks)
	r := &ring{blocks: blocks, of: make([]int, len(l.Blocks)), gap: make([]int64, k*k), next: make([]int, k)}
	for v := range r.of {
		r.of[v] = -1
	}
	for i, a := range blocks {
		r.of[a] = i
		for j, b := range blocks {
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

// tourMost is how many blocks tour takes on: its work and memory double with each.
const tourMost = 16

// setsNode is how many subsets are worth a node of the search.
const setsNode = 32

// tour is the shortest way round all blocks of the ring by their gaps, which no period undercuts, and their order:
// dynamic programming over subsets (M. Held, R. M. Karp, "A dynamic programming approach to sequencing problems",
// J. SIAM 10, 1962). It is 0 for fewer than three blocks, for more than tourMost and when
// the part ends first.
func (r *ring) tour(part *bound.Part) (us int64, order []int) {
	k := len(r.blocks)
	if k < 3 || k > tourMost {
		return 0, nil
	}
	n := k - 1 // the last block is where it starts and ends
	from := make([]int64, n<<n)
	for set := 1; set < 1<<n; set++ {
		if set%setsNode == 0 && !part.Tick() {
			return 0, nil
		}
		for j := range n {
			best := never
			switch rest := set &^ (1 << j); {
			case set>>j&1 == 0:
			case rest == 0:
				best = r.gap[n*k+j]
			default:
				for i := range n {
					if rest>>i&1 != 0 {
						best = min(best, from[rest*n+i]+r.gap[i*k+j])
					}
				}
			}
			from[set*n+j] = best
		}
	}
	us, last := never, 0
	for j, set := 0, 1<<n-1; j < n; j++ {
		if total := from[set*n+j] + r.gap[j*k+n]; total < us {
			us, last = total, j
		}
	}
	order = make([]int, 1, k)
	order[0] = r.blocks[n]
	for set := 1<<n - 1; ; {
		order = append(order, r.blocks[last])
		rest, want := set&^(1<<last), from[set*n+last]
		if rest == 0 {
			break
		}
		for i := range n {
			if rest>>i&1 != 0 && from[rest*n+i]+r.gap[i*k+last] == want {
				set, last = rest, i
				break
			}
		}
	}
	slices.Reverse(order[1:])
	return us, order
}
