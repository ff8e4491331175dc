package geometry

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// areaOf adds signed areas: outers counter-clockwise, holes clockwise.
func areaOf(rings []Ring) float64 {
	sum := 0.0
	for _, r := range rings {
		sum += Area(r)
	}
	return sum
}

var letterL = Ring{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 3}, {X: 0, Y: 3}}

// Closed forms and check values: outward offset A + P d + π d² of a convex shape, and
// A + P d + (convex π/4 − reflex) d² of a right-angled one (Steiner's formula; values computed for
// the project's reference on coverage, section 3.3).
func TestOffsetAreaHasClosedForm(t *testing.T) {
	square := Ring{{X: -0.3, Y: -0.2}, {X: 0.3, Y: -0.2}, {X: 0.3, Y: 0.2}, {X: -0.3, Y: 0.2}}
	for _, c := range []struct {
		name string
		ring Ring
		d    float64
		want float64
	}{
		{"0.6 x 0.4 rectangle by 1", square, 1, 5.381593},
		{"the L by 0.25", letterL, 0.25, 9.682937},
		{"the L, clockwise, by 0.25", Reverse(letterL), 0.25, 9.682937},
		{"the L by nothing", letterL, 0, 6},
		// Inside offset of a right-angled shape: A − P d + (convex − reflex π/4) d² = 6 − 14·0.25 + (5 − π/4)/16.
		{"the L by -0.25", letterL, -0.25, 6 - 3.5 + (5-math.Pi/4)/16},
		{"rectangle by more than it holds", square, -0.2, 0},
	} {
		got := areaOf(Offset(c.ring, c.d, 1e-8))
		// Printed to six places; the arcs lie inside by less than 1e-8 of a few metres.
		if math.Abs(got-c.want) > 6e-7 {
			t.Errorf("%s: area %.7f, want %.7f", c.name, got, c.want)
		}
	}
}

// A C whose mouth closes when it grows: the hole stays, and a place belongs to the sum exactly where it is
// within d of the ring, judged point by point.
func TestOffsetAgreesWithDistancePointByPoint(t *testing.T) {
	mouth := Ring{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 1.4}, {X: 2, Y: 1.4}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 2},
		{X: 2, Y: 2}, {X: 2, Y: 1.6}, {X: 3, Y: 1.6}, {X: 3, Y: 3}, {X: 0, Y: 3}}
	rng := newRand(7)
	rings := []Ring{mouth, letterL}
	for range 20 {
		rings = append(rings, randomStar(rng, 3+rng.IntN(30), 0.2))
	}
	holes := 0
	for k, r := range rings {
		for _, d := range []float64{0.05, 0.15, 0.6} {
			const err = 1e-6
			sum := Offset(r, d, err)
			holes += len(sum) - 1
			for range 400 {
				p := r2.Point{X: rng.Float64()*6 - 2, Y: rng.Float64()*6 - 2}
				away := Distance(r, p)
				if math.Abs(away-d) < 2*err {
					continue // either answer is within the stated error
				}
				want := Contains(r, p) || away < d
				if got := inRings(sum, p); got != want {
					t.Fatalf("ring %d by %g at %v: in sum %v, %.9f from the ring", k, d, p, got, away)
				}
			}
		}
	}
	if holes == 0 {
		t.Error("no offset kept a hole: the closing mouth was not tried")
	}
}

func inRings(rings []Ring, p r2.Point) bool {
	in := false
	for _, r := range rings {
		if Contains(r, p) {
			in = !in
		}
	}
	return in
}

func BenchmarkOffset(b *testing.B) {
	star := randomStar(newRand(1), 1000, 0.5)
	for name, d := range map[string]float64{"outward": 0.1, "inward": -0.01} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if a := areaOf(Offset(star, d, 1e-3)); (a > Area(star)) != (d > 0) {
					b.Fatal(a)
				}
			}
		})
	}
}
