package stagger

// turns bounds the cycle from below while a search has decided some of who comes first: in a set of blocks with
// ref among them, every block is followed by another, at a distance of no less than what the two demand and
// what is decided; blocks of which the one comes later do not follow one another the other way. The cheapest such
// covering (assignment problem) is no longer than the cycle. Its prices say which decisions made it so long.
type turns struct {
	*assignment
	at   []int32 // vertices; the first is ref
	base []int64 // k by k: soonest
	// asked and told count how often clash was called and found one, rest the decisions until the next call.
	asked, told, rest int
}

const (
	turnsLeast = 4
	turnsMost  = 48
)

// newTurns returns nil for sets too small to be worth it, or too large.
func newTurns(m *model, blocks []int, far []int64) *turns {
	if len(blocks) < turnsLeast || len(blocks) > turnsMost {
		return nil
	}
	t := &turns{at: []int32{int32(m.ref)}}
	for _, b := range blocks {
		if b != m.ref {
			t.at = append(t.at, int32(b))
		}
	}
	k, n := len(t.at), len(m.blocks)
	t.base, t.assignment = make([]int64, k*k), newAssignment(k)
	for a, x := range t.at {
		for b, y := range t.at {
			switch {
			case a == b:
				t.base[a*k+b] = banned
			case int(x) < n && int(y) < n: // the origin demands nothing
				t.base[a*k+b] = far[int(x)*n+int(y)]
			}
		}
	}
	return t
}

// due tells whether to look for a clash now: at every decision while that pays, else now and then.
func (t *turns) due() bool {
	if t.rest--; t.rest > 0 {
		return false
	}
	if t.asked > 200 && 10*t.told < t.asked {
		t.rest = 16
	}
	return true
}

// clash returns literals that are all false and of which one must be true, or nil.
func (t *turns) clash(e *engine) []int32 {
	t.asked++
	k, n := t.k, e.m.n
	for a, x := range t.at {
		for b, y := range t.at {
			c := t.base[a*k+b]
			if a != b {
				far := e.net.far[int(x)*n+int(y)]
				if b == 0 && far > none {
					far += e.most
				}
				c = max(c, far)
				if a != 0 && b != 0 && e.net.far[int(y)*n+int(x)] > 0 {
					c = banned
				}
			}
			t.cost[a*k+b] = c
		}
	}
	sum := t.solve()
	if sum <= e.most {
		return nil
	}
	t.told++
	spare := sum - e.most - 1
	clash := []int32{}
	for a := range k {
		var worst int64
		for b := range k {
			worst = max(worst, t.u[a+1]+t.v[b+1]-t.base[a*k+b])
		}
		if worst <= 0 {
			continue
		}
		if worst <= spare {
			spare -= worst
			continue
		}
		x := t.at[a]
		for b, y := range t.at {
			need := t.u[a+1] + t.v[b+1]
			if need <= t.base[a*k+b] {
				continue
			}
			far := e.net.far[int(x)*n+int(y)]
			if b == 0 && far > none {
				far += e.most
			}
			if far >= need {
				clash = e.net.path(x, y, clash)
			} else {
				clash = e.net.path(y, x, clash)
			}
		}
	}
	for i := range clash {
		clash[i] ^= 1
	}
	return clash
}
