package plan

import (
	"math"
	"testing"
)

// A cart 0.8 by 0.5 m with corners rounded by 0.1 m, and the same with a notch in its left side.
func cart(notch bool) Body {
	var r Ring
	corner := func(cx, cy, from float64) {
		for k := range 9 {
			sin, cos := math.Sincos(from + float64(k)*math.Pi/16)
			r = append(r, [2]float64{cx + 0.1*cos, cy + 0.1*sin})
		}
	}
	corner(0.3, 0.15, 0)
	if notch {
		r = append(r, [2]float64{0.1, 0.25}, [2]float64{0.1, 0.1}, [2]float64{-0.1, 0.1}, [2]float64{-0.1, 0.25})
	}
	corner(-0.3, 0.15, math.Pi/2)
	corner(-0.3, -0.15, math.Pi)
	corner(0.3, -0.15, 3*math.Pi/2)
	return Body{Outline: r}
}

// Expected distances by hand from the cart's sides and from the middles of its corners' arcs.
func TestPlace(t *testing.T) {
	for _, c := range []struct {
		at    [2]float64
		notch bool
		want  string
	}{
		{[2]float64{0.55, 0.1}, false, "150 mm ahead of the front, 100 mm left of the middle"},
		{[2]float64{-1.4, 0.001}, false, "1.00 m behind the rear, on the middle line"},
		{[2]float64{0.1, -0.55}, false, "0.30 m right of the body, 0.30 m back from the front, 0.55 m right of the middle"},
		{[2]float64{-0.2, 0.35}, false, "100 mm left of the body, 0.20 m forward of the rear, 0.35 m left of the middle"},
		// The corner's middle is at 0.3, 0.15: a place 0.09 m from it both ways is 127 mm away, less its radius of 100 mm.
		{[2]float64{0.39, 0.24}, false, "27 mm off the front left corner, 10 mm back from the front, 0.24 m left of the middle"},
		{[2]float64{-0.39, -0.24}, false, "27 mm off the rear right corner, 10 mm forward of the rear, 0.24 m right of the middle"},
		{[2]float64{0, 0}, false, "within the body's outline, 0.40 m back from the front, on the middle line"},
		{[2]float64{0, 0.12}, true, "20 mm from its edge, 0.40 m back from the front, 120 mm left of the middle"},
		{[2]float64{0.1, 0.25}, false, "0 mm left of the body, 0.30 m back from the front, 0.25 m left of the middle"},
	} {
		if got := cart(c.notch).Place(c.at); got != c.want {
			t.Errorf("%v: %q, want %q", c.at, got, c.want)
		}
	}
}

func TestSquareMetres(t *testing.T) {
	for _, c := range []struct {
		a    float64
		want string
	}{
		{123.4, "123 m2"}, {12.34, "12.3 m2"}, {1.234, "1.23 m2"}, {0.0771, "0.077 m2"}, {0.0049, "49 cm2"},
		{0.00996, "100 cm2"}, {0.00037, "3.7 cm2"}, {1.2e-5, "12 mm2"}, {2e-7, "under 1 mm2"}, {0, "0 m2"},
	} {
		if got := SquareMetres(c.a); got != c.want {
			t.Errorf("%g m2: %q, want %q", c.a, got, c.want)
		}
	}
}

func TestHides(t *testing.T) {
	for _, c := range []struct {
		b    BlindSpot
		want string
	}{
		{BlindSpot{HidesM: 0.11, OwnM: 0.11}, "110 mm"},
		{BlindSpot{HidesM: 0.0102, OwnM: 0.0098}, "10 mm"},
		{BlindSpot{HidesM: 0.9, OwnM: 0.173, Held: true}, "173 mm of a gap of at least 900 mm"},
		{BlindSpot{HidesM: 0.9, OwnM: 0.9, Held: true}, "at least 900 mm"},
	} {
		if got := c.b.Hides(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestLengthSpan(t *testing.T) {
	for _, c := range []struct {
		m    [2]float64
		want string
	}{{[2]float64{0, 0}, "nothing"}, {[2]float64{0, 1.2}, "up to 1.20 m"}, {[2]float64{1.2, 1.2001}, "1.20 m"}, {[2]float64{0.15, 2}, "150 mm to 2.00 m"}} {
		if got := LengthSpan(c.m); got != c.want {
			t.Errorf("%v: %s, want %s", c.m, got, c.want)
		}
	}
}
