package stagger

import "echowright/scheduler/bound"

// edge says that v fires at least us + k cycles after u.
type edge struct {
	u, v  int32
	us, k int64
}

// least is the outcome of shortest.
type least struct {
	at     []int64 // when each vertex fires, ref at 0; nil: no cycle does
	period int64
	// why lists edges that together allow no cycle from the floor to the most given.
	why []int32
}

const lookRounds = 16

// shortest finds the least cycle from lo to most that keeps all edges, with the times: longest paths, and where a
// ring of edges adds up to more than its cycles, a longer cycle for it (Lawler; Karp's and Howard's are faster
// on graphs far larger than these). A ring whose cycles count the other way bounds the cycle from above. Ended by
// the meter, it gives neither times nor reasons.
func (m *model) shortest(edges []edge, lo, most int64, meter *bound.Meter) least {
	at, from := make([]int64, m.n), make([]int32, m.n)
	seen := make([]int, m.n)
	period := lo
	var raised []int32
again:
	for {
		clear(at)
		for v := range from {
			from[v] = -1
		}
		for round := 0; ; round++ {
			moved := false
			for i := range edges {
				e := &edges[i]
				if us := at[e.u] + e.us + e.k*period; us > at[e.v] {
					at[e.v], from[e.v], moved = us, int32(i), true
				}
			}
			if !moved {
				break
			}
			if round < 3 {
				continue
			}
			if round%lookRounds == 0 && !meter.Look() {
				return least{}
			}
			ring := ringOf(edges, from, seen)
			if ring == nil {
				continue
			}
			var us, k int64
			for _, i := range ring {
				us, k = us+edges[i].us, k+edges[i].k
			}
			if k == 0 {
				return least{why: ring}
			}
			if k > 0 {
				return least{why: append(ring, raised...)}
			}
			if period = m.next((us - k - 1) / -k); period > most {
				return least{why: ring}
			}
			raised = ring
			continue again
		}
		break
	}
	ref := at[m.ref]
	for v := range at {
		at[v] -= ref
	}
	return least{at: at, period: period}
}

// ringOf finds a ring among the edges by which vertices were last moved.
func ringOf(edges []edge, from []int32, seen []int) []int32 {
	clear(seen)
	for s := range from {
		v := s
		for seen[v] == 0 && from[v] >= 0 {
			seen[v] = s + 1
			v = int(edges[from[v]].u)
		}
		if from[v] < 0 || seen[v] != s+1 {
			continue
		}
		var ring []int32
		for u := v; ; {
			ring = append(ring, from[u])
			if u = int(edges[from[u]].u); u == v {
				return ring
			}
		}
	}
	return nil
}

// frame lists what always holds: all fire in one cycle from ref on, chains come in their order, and those that
// may swap places have.
func (m *model) frame() (edges []edge) {
	for v := range m.n {
		if v != m.ref {
			edges = append(edges, edge{int32(m.ref), int32(v), 0, 0}, edge{int32(v), int32(m.ref), 1, -1})
		}
	}
	for _, c := range m.chains {
		edges = append(edges, edge{int32(c[0]), int32(c[1]), 2*m.p.JitterUs + 1, 0})
	}
	for _, set := range m.alike {
		for k := 1; k < len(set); k++ {
			edges = append(edges, edge{int32(set[k-1]), int32(set[k]), 0, 0})
		}
	}
	return append(edges, m.edges...)
}
