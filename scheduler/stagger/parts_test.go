package stagger

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler/bound"
)

// orders calls visit with every order of 0 … n−1 that begins with 0.
func orders(n int, visit func([]int)) {
	s := make([]int, n)
	for i := range s {
		s[i] = i
	}
	var place func(k int)
	place = func(k int) {
		if k >= n {
			visit(s)
			return
		}
		for i := k; i < n; i++ {
			s[k], s[i] = s[i], s[k]
			place(k + 1)
			s[k], s[i] = s[i], s[k]
		}
	}
	place(1)
}

// Going round takes what the shortest of all orders takes, and no cover takes more.
func TestShortestRound(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	meter := bound.NewMeter(context.Background(), 0)
	for range 300 {
		n := 3 + r.IntN(5)
		far := make([]int64, n*n)
		blocks := make([]int, n)
		for i := range far {
			far[i] = r.Int64N([]int64{3, 40}[n%2])
			blocks[i/n] = i / n
		}
		length := func(order []int) (sum int64) {
			for k, u := range order {
				sum += far[u*n+order[(k+1)%n]]
			}
			return sum
		}
		want := int64(1) << 62
		orders(n, func(order []int) { want = min(want, length(order)) })
		got := shortestRound(blocks, far, n, meter)
		if !got.whole || got.us != want || length(got.blocks) != want || newCover(blocks, far, n).us > want {
			t.Fatalf("%v: %+v, want %d", far, got, want)
		}
	}
}

// The heaviest set without foes is that of all sets.
func TestIndependent(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		n := 2 + r.IntN(10)
		foes, weight := make([]uint64, n), make([]int64, n)
		for u := range n {
			weight[u] = r.Int64N(10)
			for v := range u {
				if r.IntN(2) == 0 {
					foes[u] |= 1 << v
					foes[v] |= 1 << u
				}
			}
		}
		var want int64
		for set := range uint64(1) << n {
			var sum int64
			for u := range n {
				if set>>u&1 == 1 {
					sum += weight[u]
					if foes[u]&set != 0 {
						sum -= 1 << 40
					}
				}
			}
			want = max(want, sum)
		}
		s := &independent{foes: foes, weight: weight}
		if s.grow(1<<n-1, 0, 0); s.most != want {
			t.Fatalf("%b %v: %d, want %d", foes, weight, s.most, want)
		}
	}
}

// The net holds the longest paths of what is in it, refuses rings that are too long, names paths that add up to what
// it says, and goes back to where it was.
func TestNet(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		n := 2 + r.IntN(6)
		nt := newNet(n)
		type in struct {
			u, v int32
			us   int64
		}
		var edges []in
		type state struct {
			far         []int64
			back, added int
			edges       int
		}
		var states []state
		for range 30 {
			if len(states) > 0 && r.IntN(4) == 0 {
				s := states[len(states)-1]
				states = states[:len(states)-1]
				nt.undo(s.back, s.added)
				edges = edges[:s.edges]
				if !slices.Equal(nt.far, s.far) {
					t.Fatal("does not go back to where it was")
				}
			}
			states = append(states, state{slices.Clone(nt.far), len(nt.back), len(nt.added), len(edges)})
			e := in{int32(r.IntN(n)), int32(r.IntN(n)), r.Int64N(20) - 12}
			if e.u == e.v {
				continue
			}
			edges = append(edges, e)
			far := make([]int64, n*n)
			for i := range far {
				far[i] = none
			}
			for x := range n {
				far[x*n+x] = 0
			}
			for _, e := range edges {
				far[int(e.u)*n+int(e.v)] = max(far[int(e.u)*n+int(e.v)], e.us)
			}
			ring := false
			for k := range n {
				for x := range n {
					for y := range n {
						if a, b := far[x*n+k], far[k*n+y]; a > none && b > none {
							far[x*n+y] = max(far[x*n+y], a+b)
						}
					}
				}
			}
			for x := range n {
				ring = ring || far[x*n+x] > 0
			}
			if ok := nt.add(e.u, e.v, e.us, int32(len(edges)-1)); ok == ring {
				t.Fatalf("taken %v, a ring %v", ok, ring)
			}
			if ring {
				edges = edges[:len(edges)-1]
				continue
			}
			if !slices.Equal(nt.far, far) {
				t.Fatalf("%v, want %v", nt.far, far)
			}
			x, y := int32(r.IntN(n)), int32(r.IntN(n))
			if far[int(x)*n+int(y)] > none {
				var sum int64
				at := x
				for _, l := range nt.path(x, y, nil) {
					if edges[l].u != at {
						t.Fatal("the path is broken")
					}
					sum, at = sum+edges[l].us, edges[l].v
				}
				if at != y || sum != far[int(x)*n+int(y)] {
					t.Fatalf("a path of %d, want %d", sum, far[int(x)*n+int(y)])
				}
			}
		}
	}
}

// next and previous skip the cycles of which a multiple falls into a span.
func TestNextPrevious(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 500 {
		m := &model{}
		for range 1 + r.IntN(3) {
			after := r.Int64N(60) - 5
			m.own = append(m.own, []span{{after, after + 2 + r.Int64N(20)}})
		}
		right := func(us int64) bool {
			for _, spans := range m.own {
				for d := us; d < 100; d += us {
					if spans[0].after < d && d < spans[0].before {
						return false
					}
				}
			}
			return true
		}
		us := 1 + r.Int64N(70)
		next, previous := us, us
		for !right(next) {
			next++
		}
		for previous > 0 && !right(previous) {
			previous--
		}
		if got := m.next(us); got != next {
			t.Fatalf("%v from %d: %d, want %d", m.own, us, got, next)
		}
		if got := m.previous(us); got != previous {
			t.Fatalf("%v up to %d: %d, want %d", m.own, us, got, previous)
		}
	}
}

// The least cycle of a few differences is the first that brute force over times finds, where rings count either way.
func TestShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	meter := bound.NewMeter(context.Background(), 0)
	never := 0
	for range 400 {
		m := &model{n: 3}
		var edges []edge
		for v := range int32(3) {
			if v > 0 {
				edges = append(edges, edge{0, v, 0, 0}, edge{v, 0, 1, -1})
			}
		}
		for range 2 + r.IntN(3) {
			u := r.Int32N(3)
			edges = append(edges, edge{u, (u + 1 + r.Int32N(2)) % 3, r.Int64N(30) - 10, r.Int64N(4) - 2})
		}
		keeps := func(at [3]int64, cycle int64) bool {
			return !slices.ContainsFunc(edges, func(e edge) bool { return at[e.v]-at[e.u] < e.us+e.k*cycle })
		}
		want := int64(-1)
		for cycle := int64(1); want < 0 && cycle <= 25; cycle++ {
			for x := range cycle {
				for y := range cycle {
					if keeps([3]int64{0, x, y}, cycle) {
						want = cycle
					}
				}
			}
		}
		got := m.shortest(edges, 1, 25, meter)
		switch {
		case want < 0 && got.at == nil:
			never++
			// What is named must be enough to rule all cycles out.
			var some []edge
			for _, i := range got.why {
				some = append(some, edges[i])
			}
			if m.shortest(some, 1, 25, meter).at != nil {
				t.Fatalf("%v: %v are no reason", edges, some)
			}
		case got.period != want || got.at == nil || !keeps([3]int64(got.at), want):
			t.Fatalf("%v: %+v, want %d", edges, got, want)
		}
	}
	if never < 20 {
		t.Errorf("only %d with no cycle", never)
	}
}
