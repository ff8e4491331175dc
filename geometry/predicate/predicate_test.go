package predicate

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
)

// rational is the sign of the determinant in exact fractions: slow and obvious.
func rational(a, b, c r2.Point) int {
	sub := func(x, y float64) *big.Rat {
		return new(big.Rat).Sub(new(big.Rat).SetFloat64(x), new(big.Rat).SetFloat64(y))
	}
	left := new(big.Rat).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	right := new(big.Rat).Mul(sub(a.Y, c.Y), sub(b.X, c.X))
	return left.Cmp(right)
}

func point(rng *rand.Rand) r2.Point {
	return r2.Point{X: rng.Float64()*20 - 10, Y: rng.Float64()*20 - 10}
}

// nearLine returns three points in line but for rounding.
func nearLine(rng *rand.Rand) (a, b, c r2.Point) {
	a, b = point(rng), point(rng)
	return a, b, a.Add(b.Sub(a).Mul(rng.Float64()*3 - 1))
}

func TestOrientIsExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 20000 {
		a, b, c := nearLine(rng)
		if got, want := Orient(a, b, c), rational(a, b, c); got != want {
			t.Fatalf("Orient(%v, %v, %v) = %d, want %d", a, b, c, got, want)
		}
	}
}

// One unit in the last place about (0.5, 0.5) against the line through (12, 12) and (24, 24): the example of Kettner,
// Mehlhorn, Pion, Schirra and Yap, "Classroom examples of robustness problems in geometric computations", ESA 2004,
// where plain arithmetic gives wrong signs.
func TestOrientOnTheClassroomExample(t *testing.T) {
	const ulp = 1.0 / (1 << 53)
	wrong := 0
	b, c := r2.Point{X: 12, Y: 12}, r2.Point{X: 24, Y: 24}
	for i := range 64 {
		for j := range 64 {
			a := r2.Point{X: 0.5 + float64(i)*ulp, Y: 0.5 + float64(j)*ulp}
			want := 0
			if a.Y > a.X {
				want = 1
			} else if a.Y < a.X {
				want = -1
			}
			if got := Orient(a, b, c); got != want {
				t.Fatalf("(%d, %d): %d, want %d", i, j, got, want)
			}
			plain := float64((a.X-c.X)*(b.Y-c.Y)) - float64((a.Y-c.Y)*(b.X-c.X))
			if (plain > 0) != (want > 0) || (plain < 0) != (want < 0) {
				wrong++
			}
		}
	}
	if wrong == 0 {
		t.Error("plain arithmetic made no mistake: the example is not the hard one")
	}
}

func TestOrientAtExtremeSizes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	for range 3000 {
		var p [3]r2.Point
		for k := range p {
			p[k] = r2.Point{X: extreme(rng), Y: extreme(rng)}
		}
		if got, want := Orient(p[0], p[1], p[2]), rational(p[0], p[1], p[2]); got != want {
			t.Fatalf("Orient(%v) = %d, want %d", p, got, want)
		}
	}
}

// extreme draws zero, the least and the largest floats and all sizes between.
func extreme(rng *rand.Rand) float64 {
	switch rng.IntN(8) {
	case 0:
		return 0
	case 1:
		return math.SmallestNonzeroFloat64
	case 2:
		return -math.MaxFloat64
	}
	return math.Ldexp(rng.Float64()-0.5, rng.IntN(2000)-1000)
}

// Turning the three points round keeps the sign, exchanging two turns it over.
func TestOrientUnderExchange(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 5000 {
		a, b, c := nearLine(rng)
		s := Orient(a, b, c)
		if Orient(b, c, a) != s || Orient(c, a, b) != s || Orient(b, a, c) != -s || Orient(a, c, b) != -s || Orient(c, b, a) != -s {
			t.Fatalf("signs of %v %v %v disagree", a, b, c)
		}
	}
}

// How often the cheap rung gives up: never on points at random, often on points in line.
func TestFilterSeldomFallsBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	const n = 100000
	random, inLine := 0, 0
	for range n {
		if _, sure := orientFiltered(point(rng), point(rng), point(rng)); !sure {
			random++
		}
		if _, sure := orientFiltered(nearLine(rng)); !sure {
			inLine++
		}
	}
	if random > 0 {
		t.Errorf("%d of %d random triples needed exact arithmetic", random, n)
	}
	if inLine < n/2 {
		t.Errorf("only %d of %d triples in line needed exact arithmetic: they test nothing", inLine, n)
	}
	t.Logf("exact arithmetic for %d of %d random and %d of %d nearly straight triples", random, n, inLine, n)
}

func TestSegments(t *testing.T) {
	p := func(x, y float64) r2.Point { return r2.Point{X: x, Y: y} }
	for _, c := range []struct {
		name       string
		a, b, c, d r2.Point
		meet       bool
	}{
		{"proper crossing", p(0, 0), p(2, 2), p(0, 2), p(2, 0), true},
		{"apart", p(0, 0), p(1, 0), p(0, 1), p(1, 1), false},
		{"lines cross, segments do not", p(0, 0), p(1, 1), p(3, 0), p(2, 1.5), false},
		{"end on inside", p(0, 0), p(2, 0), p(1, 0), p(1, 1), true},
		{"common end", p(0, 0), p(1, 0), p(1, 0), p(2, 5), true},
		{"overlap in line", p(0, 0), p(2, 0), p(1, 0), p(3, 0), true},
		{"in line, apart", p(0, 0), p(1, 0), p(2, 0), p(3, 0), false},
		{"one a point on the other", p(0, 0), p(2, 2), p(1, 1), p(1, 1), true},
		{"one a point beside the other", p(0, 0), p(2, 2), p(1, 0.5), p(1, 0.5), false},
	} {
		for _, s := range [][4]r2.Point{{c.a, c.b, c.c, c.d}, {c.b, c.a, c.c, c.d}, {c.c, c.d, c.a, c.b}, {c.d, c.c, c.b, c.a}} {
			if got := Meets(s[0], s[1], s[2], s[3]); got != c.meet {
				t.Errorf("%s: Meets %v", c.name, got)
			}
		}
	}
	if !OnSegment(p(0, 0), p(3, 1), p(1.5, 0.5)) || OnSegment(p(0, 0), p(3, 1), p(6, 2)) || OnSegment(p(0, 0), p(3, 1), p(1, 1)) {
		t.Error("OnSegment is wrong")
	}
}

func TestCrossOfParallelVectorsIsZero(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 1000 {
		u := point(rng)
		if Cross(u, u) != 0 || Cross(u, u.Mul(2)) != 0 || Cross(u, u.Mul(-4)) != 0 {
			t.Fatalf("%v is not parallel to itself", u)
		}
	}
}

func BenchmarkOrient(b *testing.B) {
	rng := rand.New(rand.NewPCG(6, 1))
	var easy, hard [1024][3]r2.Point
	for i := range easy {
		easy[i] = [3]r2.Point{point(rng), point(rng), point(rng)}
		hard[i][0], hard[i][1], hard[i][2] = nearLine(rng)
	}
	for name, set := range map[string]*[1024][3]r2.Point{"random": &easy, "nearly straight": &hard} {
		b.Run(name, func(b *testing.B) {
			i := 0
			for b.Loop() {
				p := &set[i%1024]
				if s := Orient(p[0], p[1], p[2]); s < -1 || s > 1 {
					b.Fatal(s)
				}
				i++
			}
		})
	}
}
