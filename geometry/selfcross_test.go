package geometry

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// crossesSomewhere looks at every pair of edges: the slow judge.
func crossesSomewhere(r Ring) bool {
	r = withoutRepeats(r)
	for i, a := range r {
		b := r[next(r, i)]
		c := r[next(r, next(r, i))]
		if len(r) >= 3 && predicate.Orient(a, b, c) == 0 && predicate.Dot(b.Sub(a), c.Sub(b)) < 0 {
			return true
		}
		for j := i + 2; j < len(r); j++ {
			if next(r, j) != i && predicate.Meets(a, b, r[j], r[next(r, j)]) {
				return true
			}
		}
	}
	return false
}

func TestSelfCrossingNamesThePlace(t *testing.T) {
	for _, c := range []struct {
		name string
		ring Ring
		bad  bool
		at   r2.Point
	}{
		{"empty", nil, false, r2.Point{}},
		{"square", Ring{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}, false, r2.Point{}},
		{"bow tie", Ring{{X: 0, Y: 0}, {X: 2, Y: 2}, {X: 2, Y: 0}, {X: 0, Y: 2}}, true, r2.Point{X: 1, Y: 1}},
		{"corner on an edge", Ring{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 2}, {X: 2, Y: 0}, {X: 0, Y: 2}}, true, r2.Point{X: 2, Y: 0}},
		{"corner on a corner", Ring{{X: 0, Y: 0}, {X: 2, Y: 1}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 2, Y: 1}, {X: 0, Y: 4}}, true, r2.Point{X: 2, Y: 1}},
		{"a spike run out and back", Ring{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 3, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}}, true, r2.Point{X: 1, Y: 0}},
		{"a spike that falls short", Ring{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 1.5, Y: 0}, {X: 1.5, Y: 1}}, true, r2.Point{X: 1.5, Y: 0}},
		{"points repeated and in line", Ring{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 2}, {X: 0, Y: 2}, {X: 0, Y: 0}}, false, r2.Point{}},
		{"all in one upright line", Ring{{X: 0, Y: 0}, {X: 0, Y: 2}, {X: 0, Y: 1}}, true, r2.Point{X: 0, Y: 0}},
	} {
		at, bad := SelfCrossing(c.ring)
		if bad != c.bad || bad && at.Sub(c.at).Norm() > 1e-15 {
			t.Errorf("%s: bad %v at %v, want %v at %v", c.name, bad, at, c.bad, c.at)
		}
	}
}

// Small whole coordinates make every degenerate case common.
func TestSelfCrossingAgreesWithAllPairs(t *testing.T) {
	rng := newRand(3)
	good := 0
	for range 60000 {
		r := make(Ring, 3+rng.IntN(8))
		side := 3 + rng.IntN(12)
		for i := range r {
			r[i] = r2.Point{X: float64(rng.IntN(side)), Y: float64(rng.IntN(side))}
		}
		at, bad := SelfCrossing(r)
		if bad != crossesSomewhere(r) {
			t.Fatalf("%v: bad %v", r, bad)
		}
		if !bad {
			good++
		} else if Distance(r, at) > 1e-12 {
			t.Fatalf("%v: the place %v is not on the ring", r, at)
		}
	}
	if good < 1000 {
		t.Errorf("only %d simple rings tried", good)
	}
}

func TestSelfCrossingOnLargeSimpleAndDamagedRings(t *testing.T) {
	rng := newRand(5)
	for range 60 {
		r := randomStar(rng, 200+rng.IntN(400), 0.1)
		if at, bad := SelfCrossing(r); bad {
			t.Fatalf("star called bad at %v", at)
		}
		i, j := rng.IntN(len(r)), rng.IntN(len(r))
		r[i], r[j] = r[j], r[i]
		if _, bad := SelfCrossing(r); bad != crossesSomewhere(r) {
			t.Fatalf("star with two corners exchanged: bad %v", bad)
		}
	}
}

// zigzag has n long strokes side by side, whose boxes all overlap: the hard case for box trees.
func zigzag(n int) Ring {
	r := Ring{{X: -10, Y: -10}}
	for i := range n / 2 * 2 {
		p := r2.Point{X: float64(i)}
		if i%2 == 1 {
			p = r2.Point{X: float64(i + n), Y: 1000}
		}
		r = append(r, p)
	}
	return append(r, r2.Point{X: float64(3 * n), Y: -10})
}

// The depth of the order's tree is all that could make the sweep slower than n log n: edges put in one above the
// other, the worst order for a plain tree, must not pile up. A random treap of m nodes is seldom deeper than
// 4.32 ln m (Devroye, "A note on the height of binary search trees", 1986).
func TestStatusStaysShallow(t *testing.T) {
	for _, n := range []int{1000, 50000} {
		s := newStatus(make(Ring, n))
		for e := range n {
			s.insertAfter(e-1, e)
		}
		deepest := 0
		for e := range n {
			depth := 0
			for k := e; k != none; k = s.parent[k] {
				depth++
			}
			deepest = max(deepest, depth)
		}
		if limit := 4.32 * math.Log(float64(n)); float64(deepest) > limit {
			t.Errorf("order of %d edges is %d deep, more than %.0f", n, deepest, limit)
		}
	}
	if at, bad := SelfCrossing(zigzag(50000)); bad {
		t.Errorf("zigzag called bad at %v", at)
	}
}

func BenchmarkSelfCrossing(b *testing.B) {
	for _, n := range []int{3125, 12500, 50000, 200000} {
		for name, r := range map[string]Ring{"star": randomStar(rand.New(rand.NewPCG(1, 1)), n, 0.2), "zigzag": zigzag(n)} {
			b.Run(fmt.Sprintf("%s %d", name, n), func(b *testing.B) {
				for b.Loop() {
					if at, bad := SelfCrossing(r); bad {
						b.Fatal("called bad at", at)
					}
				}
				perCorner := float64(b.Elapsed().Nanoseconds()) / float64(b.N) / float64(n)
				b.ReportMetric(perCorner/math.Log2(float64(n)), "ns/(n·log2n)")
			})
		}
	}
}
