package geometry

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
)

func mustParse(t *testing.T, d string, err float64) []Ring {
	t.Helper()
	rings, e := ParseSVGPath(d, 1, err)
	if e != nil {
		t.Fatalf("%q: %v", d, e)
	}
	return rings
}

// Each command, absolute and relative, and the number grammar of SVG 2 section 9.3.9 at its tightest.
func TestPathCommandsSayTheSame(t *testing.T) {
	square := Ring{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 4}, {X: 1, Y: 4}}
	for _, d := range []string{
		"M1 1 L3 1 L3 4 L1 4 Z", "M1 1 3 1 3 4 1 4", "m1,1 2,0 0,3 -2,0z", "M 1 1 H 3 V 4 H 1 V 1", "m1 1h2v3h-2z",
		"M1 1H1 2 3V4H1z", "\n\tM 1,1\r\nL3,1,3,4 1e0,4.0E0 Z ", "M1.0.1e1L+3+1 3.e0 4 1 4z", "M1 1l2 0 0 3-2 0z",
		"M1 1C1.5 1 2 1 3 1Q3 2 3 4L1 4Z", "M1 1S3 1 3 1T3 1L3 4 1 4z", "M1 1A0 5 0 0 1 3 1A2 0 30 1 0 3 4L1 4Z",
	} {
		rings := mustParse(t, d, 1e-6)
		if len(rings) != 1 || math.Abs(Area(rings[0])-6) > 1e-12 || math.Abs(Perimeter(rings[0])-10) > 1e-12 {
			t.Errorf("%q: %v", d, rings)
		}
		for _, p := range square {
			if Distance(rings[0], p) > 1e-12 {
				t.Errorf("%q: corner %v is missing", d, p)
			}
		}
	}
}

func TestPathSubpaths(t *testing.T) {
	rings := mustParse(t, "M0 0h4v4h-4z m1 1h1v1h-1z L-2 0 -2 -2 M9 9z M10 10 11 10 11 11", 1e-6)
	// z returns to its subpath's start: the second begins at (1,1), the third runs from there to (-2,0), (-2,-2).
	want := []Ring{
		{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}, {{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}, {X: 1, Y: 2}},
		{{X: 1, Y: 1}, {X: -2, Y: 0}, {X: -2, Y: -2}}, {{X: 10, Y: 10}, {X: 11, Y: 10}, {X: 11, Y: 11}},
	}
	if len(rings) != len(want) {
		t.Fatalf("%d rings: %v", len(rings), rings)
	}
	for k := range want {
		if len(rings[k]) != len(want[k]) || apart(rings[k], want[k]) > 1e-15 {
			t.Errorf("ring %d: %v, want %v", k, rings[k], want[k])
		}
	}
}

// apart is the largest distance of a corner of one ring from the other curve.
func apart(a, b Ring) float64 {
	d := 0.0
	for _, p := range a {
		d = max(d, Distance(b, p))
	}
	for _, p := range b {
		d = max(d, Distance(a, p))
	}
	return d
}

// Arcs against circles and ellipses known beforehand: all four pairs of flags between (3,0) and (0,3) about (0,0) or
// (3,3), and a turned ellipse. Each point lies on the curve; the chords' error shows in the area and stays within bound.
func TestPathArcsLieOnTheirEllipse(t *testing.T) {
	const err = 1e-4
	for _, c := range []struct {
		name, d string
		centre  r2.Point
		a, b    float64
		phi     float64
		area    float64 // of the ring closed by its chord, signed
	}{
		{"small, counter-clockwise", "M3 0A3 3 0 0 1 0 3Z", r2.Point{}, 3, 3, 0, 9 * (math.Pi/4 - 0.5)},
		{"large, clockwise", "M3 0A3 3 0 1 0 0 3Z", r2.Point{}, 3, 3, 0, -9 * (3*math.Pi/4 + 0.5)},
		{"large, counter-clockwise", "M3 0A3 3 0 1 1 0 3Z", r2.Point{X: 3, Y: 3}, 3, 3, 0, 9 * (3*math.Pi/4 + 0.5)},
		{"small, clockwise", "M3 0a3 3 0 00-3 3Z", r2.Point{X: 3, Y: 3}, 3, 3, 0, -9 * (math.Pi/4 - 0.5)},
		{"whole ellipse by two halves, turned 30 degrees", "M1.7320508075688772 1 A2 1 30 0 1-1.7320508075688772-1A2 1 30 0 1 1.7320508075688772 1",
			r2.Point{}, 2, 1, math.Pi / 6, 2 * math.Pi},
		{"radii too small: scaled up evenly to reach (B.2.5)", "M2 0A1 0.5 0 0 1-2 0Z", r2.Point{}, 2, 1, 0, math.Pi},
		{"negative radii", "M2 0A-2-1 0 0 1-2 0Z", r2.Point{}, 2, 1, 0, math.Pi},
	} {
		ring := mustParse(t, c.d, err)[0]
		sin, cos := math.Sincos(-c.phi)
		for _, p := range ring {
			u := p.Sub(c.centre)
			x, y := cos*u.X-sin*u.Y, sin*u.X+cos*u.Y
			if off := math.Hypot(x/c.a, y/c.b) - 1; math.Abs(off) > 1e-12 {
				t.Errorf("%s: %v is %g off the ellipse", c.name, p, off)
			}
		}
		// Chords within err of the curve lose at most err times its length.
		if lost := math.Abs(c.area - Area(ring)); lost > err*Perimeter(ring) {
			t.Errorf("%s: area %.6f, want %.6f", c.name, Area(ring), c.area)
		}
	}
}

// Flattened curves against their own polynomials at many parameters.
func TestPathCurvesStayWithinTheStatedError(t *testing.T) {
	cubic := func(a, b, c, d r2.Point, u float64) r2.Point {
		v := 1 - u
		return a.Mul(v * v * v).Add(b.Mul(3 * v * v * u)).Add(c.Mul(3 * v * u * u)).Add(d.Mul(u * u * u))
	}
	type point = r2.Point
	for _, err := range []float64{0.1, 1e-3, 1e-6} {
		for _, c := range []struct {
			d  string
			at func(u float64) point
		}{
			{"M0 0C1 3 4 3 5 0Z", func(u float64) point { return cubic(point{}, point{X: 1, Y: 3}, point{X: 4, Y: 3}, point{X: 5}, u) }},
			{"M0 0C6 3 -1 3 5 0Z", func(u float64) point { return cubic(point{}, point{X: 6, Y: 3}, point{X: -1, Y: 3}, point{X: 5}, u) }},
			{"M0 0c1 3 4 3 5 0s4 -3 5 0z", func(u float64) point {
				return cubic(point{X: 5}, point{X: 6, Y: -3}, point{X: 9, Y: -3}, point{X: 10}, u)
			}},
			{"M0 0Q2 4 4 0Z", func(u float64) point { return point{X: 4 * u, Y: 8 * u * (1 - u)} }},
			{"M0 0q2 4 4 0t4 0z", func(u float64) point { return point{X: 4 + 4*u, Y: -8 * u * (1 - u)} }},
		} {
			ring := mustParse(t, c.d, err)[0]
			open := ring[:len(ring):len(ring)]
			for k := range 1001 {
				p := c.at(float64(k) / 1000)
				off := math.Inf(1)
				for i := 0; i+1 < len(open); i++ {
					off = min(off, p.Sub(nearestOnSegment(open[i], open[i+1], p)).Norm())
				}
				if off > err+1e-15 {
					t.Fatalf("%q within %g: %v is %g away", c.d, err, p, off)
				}
			}
			// Even steps need √(6 M / 8 err) chords with second differences M near 3; halving at most doubles that, and there are two curves.
			if err == 1e-6 && len(ring) > 6000 {
				t.Errorf("%q: %d points for %g", c.d, len(ring), err)
			}
		}
	}
}

func TestPathFaultsCarryTheirByte(t *testing.T) {
	for _, c := range []struct {
		d      string
		offset int
		says   string
	}{
		{"", 0, "no subpath"},
		{"M1 1z", 5, "no subpath"},
		{"L1 1", 0, "must begin with M"},
		{"M1 1 X", 5, "no path command"},
		{"M1 1 ж", 5, "'ж' is no path command"},
		{"M1 1 L2", 7, "number is missing"},
		{"M1 1 L2,", 8, "number is missing"},
		{"M1 1 2 2, Z", 10, "number is missing"},
		{"M1 1,,2 2", 5, "number is missing"},
		{"M1 1L2 2 e5 3", 9, "no path command"},
		{"M1 1A1 1 0 2 0 3 3", 11, "flag"},
		{"M1 1L1e999 1", 5, "out of range"},
		{"M1 1L2 2Z", 0, "only two points"},
		{"M0 0 1 0 1 1z M5 5 6 6", 14, "only two points"},
		{"M0 0A9e8 9e8 0 0 1 1e8 1e8 L5 5", 4, "too large"},
	} {
		_, err := ParseSVGPath(c.d, 1, 1e-6)
		var fault *PathError
		if !errors.As(err, &fault) || fault.Offset != c.offset || !strings.Contains(fault.Reason, c.says) {
			t.Errorf("%q: %v, want byte %d: …%s…", c.d, err, c.offset, c.says)
		}
	}
	for _, scale := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := ParseSVGPath("M0 0h1v1z", scale, 1e-3); err == nil {
			t.Errorf("scale %g accepted", scale)
		}
	}
}

func FuzzParseSVGPath(f *testing.F) {
	for _, d := range []string{"M0 0h4v4h-4z", "m1,1 2,0 0,3-2,0z", "M3 0A3 3 0 1 0 0 3Z", "M0 0C1 3 4 3 5 0s4-3 5 0z", "M0 0q2 4 4 0t4 0z",
		"M1.0.1e1L+3+1", "M1 1L1e999 1", "M0 0A1e9 1e-9 1e9 11 1e8 1e8", "M0 0 1 0 0 1M", "zzz", "M0,0,1,0,1,1,"} {
		f.Add(d)
	}
	f.Fuzz(func(t *testing.T, d string) {
		const scale = 0.5
		rings, err := ParseSVGPath(d, scale, 1e-3)
		var fault *PathError
		if err != nil {
			if !errors.As(err, &fault) || fault.Offset < 0 || fault.Offset > len(d) {
				t.Fatalf("%q: fault %v has no place in it", d, err)
			}
			return
		}
		points := 0
		for _, r := range rings {
			points += len(r)
			if len(r) < 3 {
				t.Fatalf("%q: ring of %d points", d, len(r))
			}
			for _, p := range r {
				if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
					t.Fatalf("%q: %v", d, p)
				}
			}
		}
		if points > maxPathPoints {
			t.Fatalf("%q: %d points", d, points)
		}
	})
}
