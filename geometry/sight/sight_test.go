package sight

import (
	"math"
	"math/rand/v2"
	"testing"

	"echowright/geometry/region"

	"github.com/golang/geo/r2"
)

func randomStar(rng *rand.Rand, n int, at r2.Point, dent float64) []r2.Point {
	r := make([]r2.Point, n)
	for i := range r {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.9*rng.Float64()) / float64(n))
		d := dent + (1-dent)*rng.Float64()
		r[i] = at.Add(r2.Point{X: d * cos, Y: d * sin})
	}
	return r
}

// agrees compares a shadow with the plain rule place by place.
func agrees(t *testing.T, rng *rand.Rand, name string, eye r2.Point, obstacle []r2.Point) {
	t.Helper()
	const reach = 4.0
	hidden := region.FromRings(Shadow(eye, obstacle, reach)...)
	for range 150 {
		a, d := rng.Float64()*2*math.Pi, reach*math.Sqrt(rng.Float64())
		p := eye.Add(r2.Point{X: d * math.Cos(a), Y: d * math.Sin(a)})
		want := !Visible(eye, [][]r2.Point{obstacle}, p)
		if nearBorder(hidden, p) {
			continue // within rounding of a line of sight both answers are right
		}
		if got := hidden.Contains(p); got != want {
			t.Fatalf("%s: eye %v, place %v: hidden %v, want %v, behind %v", name, eye, p, got, want, obstacle)
		}
	}
}

func nearBorder(s region.Set, p r2.Point) bool {
	for _, r := range s.Rings() {
		for i, a := range r {
			if distanceToSegment(a, r[(i+1)%len(r)], p) < 1e-7 {
				return true
			}
		}
	}
	return false
}

func TestShadowAgreesWithVisible(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for range 60 {
		star := randomStar(rng, 3+rng.IntN(20), r2.Point{}, 0.15)
		a := rng.Float64() * 2 * math.Pi
		agrees(t, rng, "clear of it", r2.Point{X: 1.5 * math.Cos(a), Y: 1.5 * math.Sin(a)}, star)
		i := rng.IntN(len(star))
		p, q := star[i], star[(i+1)%len(star)]
		agrees(t, rng, "on an edge", p.Add(q.Sub(p).Mul(rng.Float64())), star)
		agrees(t, rng, "on a corner", p, star)
		out := p.Add(q).Mul(0.5)
		n := r2.Point{X: q.Y - p.Y, Y: p.X - q.X}.Normalize()
		agrees(t, rng, "just before an edge, in a notch perhaps", out.Add(n.Mul(1e-3)), star)
		reversed := make([]r2.Point, len(star))
		for k := range star {
			reversed[len(star)-1-k] = star[k]
		}
		agrees(t, rng, "clockwise ring", r2.Point{X: 1.2 * math.Sin(a), Y: 1.2 * math.Cos(a)}, reversed)
	}
}

// A sensor placed by arc length misses its edge by rounding to either side; the shadow must not depend on which.
func TestShadowOfTheBodyTheEyeStandsOn(t *testing.T) {
	body := []r2.Point{{X: -0.35, Y: -0.25}, {X: 0.35, Y: -0.25}, {X: 0.35, Y: 0.25}, {X: -0.35, Y: 0.25}}
	for _, off := range []float64{0, 1e-16, -1e-16, 9e-10, -9e-10} {
		eye := r2.Point{X: 0.35 + off, Y: 0.1}
		hidden := region.FromRings(Shadow(eye, body, 3)...)
		half := math.Pi * 9 / 2 // half a disc; the far border stands out by less than 2 %
		if a := hidden.Area(); a < half || a > half*1.04 {
			t.Errorf("off by %g: hidden area %g, half a disc is %g", off, a, half)
		}
		for _, p := range []r2.Point{{X: 0.36, Y: -2}, {X: 0.36, Y: 2}, {X: 2, Y: 0}} {
			if hidden.Contains(p) {
				t.Errorf("off by %g: %v lies before the front and is hidden", off, p)
			}
		}
		for _, p := range []r2.Point{{X: 0.34, Y: -2}, {X: 0.34, Y: 2}, {X: -2, Y: 0}} {
			if !hidden.Contains(p) {
				t.Errorf("off by %g: %v lies behind the front and is seen", off, p)
			}
		}
		corner := region.FromRings(Shadow(r2.Point{X: 0.35 + off/2, Y: 0.25 - off/2}, body, 3)...)
		if a := corner.Area(); a < half/2 || a > half/2*1.04 {
			t.Errorf("corner, off by %g: hidden area %g, a quarter of a disc is %g", off, a, half/2)
		}
	}
}

// Behind a plate from (1, −½) to (1, ½) of no depth to speak of, seen from the origin: the part of the cone tan = ½ beyond x = 1.
func TestShadowOfPlateHasClosedForm(t *testing.T) {
	const thin = 1e-6
	plate := []r2.Point{{X: 1, Y: -0.5}, {X: 1 + thin, Y: -0.5}, {X: 1 + thin, Y: 0.5}, {X: 1, Y: 0.5}}
	hidden := region.FromRings(Shadow(r2.Point{}, plate, 10)...)
	near := region.Intersect(hidden, region.FromRings([]r2.Point{{X: 0, Y: -9}, {X: 3, Y: -9}, {X: 3, Y: 9}, {X: 0, Y: 9}}))
	// Trapezium from x = 1 to 3: (1 + 3)/2 · 2 = 4 m².
	if a := near.Area(); math.Abs(a-4) > 1e-5 {
		t.Errorf("area %.8f, want 4", a)
	}
}

func TestShadowOfNothing(t *testing.T) {
	square := []r2.Point{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}, {X: 1, Y: 2}}
	for name, got := range map[string][][]r2.Point{
		"no obstacle": Shadow(r2.Point{}, nil, 3), "two points": Shadow(r2.Point{}, square[:2], 3), "no reach": Shadow(r2.Point{}, square, 0),
		"no area": Shadow(r2.Point{}, []r2.Point{{X: 1}, {X: 2}, {X: 3}}, 3),
	} {
		if got != nil {
			t.Errorf("%s: %v", name, got)
		}
	}
	inside := region.FromRings(Shadow(r2.Point{X: 1.5, Y: 1.5}, square, 3)...)
	for _, p := range []r2.Point{{X: 1.4, Y: 1.4}, {X: -1, Y: 0}, {X: 4.4, Y: 1.5}} {
		if !inside.Contains(p) {
			t.Errorf("from inside, %v is seen", p)
		}
	}
}

func BenchmarkShadow(b *testing.B) {
	star := randomStar(rand.New(rand.NewPCG(1, 1)), 200, r2.Point{}, 0.5)
	for b.Loop() {
		if s := Shadow(r2.Point{X: 1.5}, star, 4); len(s) != 1 {
			b.Fatal(s)
		}
	}
}
