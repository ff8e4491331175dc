package geometry

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// Published to all digits in the project's reference on coverage, section 3.3: the L has area 6 and perimeter 14.
func TestMeasuresOfTheL(t *testing.T) {
	for name, r := range map[string]Ring{"counter-clockwise": letterL, "clockwise": Reverse(letterL)} {
		sign := 1.0
		if name == "clockwise" {
			sign = -1
		}
		if a := Area(r); a != 6*sign {
			t.Errorf("%s: area %g", name, a)
		}
		if p := Perimeter(r); p != 14 {
			t.Errorf("%s: perimeter %g", name, p)
		}
	}
}

// A ring a kilometre off keeps its area: sums run relative to its first point.
func TestAreaFarFromTheOrigin(t *testing.T) {
	far := make(Ring, len(letterL))
	for i, p := range letterL {
		far[i] = p.Mul(1.0 / 1024).Add(r2.Point{X: 1024, Y: -4096})
	}
	if a := Area(far); a != 6.0/1024/1024 {
		t.Errorf("area %.17g", a)
	}
}

// A sector of full angle θ: area R² θ/2 and centroid (2R/3) sin(θ/2)/(θ/2); reference values 3.272492 m² and
// 1.591549 m for R 2.5 m, 60 degrees (section 3.3). Chords lie inside the arc by at most the sagitta.
func TestSectorArea(t *testing.T) {
	const radius, err = 2.5, 1e-8
	ring := Ring{{}}
	for _, p := range Circle(r2.Point{}, radius, err) {
		if angle := math.Atan2(p.Y, p.X); math.Abs(angle) < math.Pi/6 {
			ring = append(ring, p)
		}
	}
	edge := r2.Point{X: radius * math.Sqrt(3) / 2, Y: radius / 2}
	sortByAngle(ring[1:])
	ring = append(Ring{{}, {X: edge.X, Y: -edge.Y}}, append(ring[1:], edge)...)
	if a := Area(ring); math.Abs(a-3.272492) > 6e-7 {
		t.Errorf("area %.7f", a)
	}
}

func sortByAngle(points []r2.Point) {
	for i := range points {
		for j := i; j > 0 && math.Atan2(points[j].Y, points[j].X) < math.Atan2(points[j-1].Y, points[j-1].X); j-- {
			points[j], points[j-1] = points[j-1], points[j]
		}
	}
}

func TestNothingIsDefined(t *testing.T) {
	for _, r := range []Ring{nil, {}, {{X: 1, Y: 2}}, {{X: 1, Y: 2}, {X: 3, Y: 2}}} {
		if Area(r) != 0 || len(Reverse(r)) != len(r) || Contains(r, r2.Point{X: 9, Y: 9}) {
			t.Errorf("%v encloses something", r)
		}
	}
	if !math.IsInf(Distance(nil, r2.Point{}), 1) {
		t.Error("nothing is near")
	}
	if Circle(r2.Point{}, 0, 1) != nil || RoundedRectangle(0, 1, 0, r2.Point{}, 1) != nil {
		t.Error("a shape of no size has points")
	}
}

func TestContainsCountsTheBorder(t *testing.T) {
	for _, c := range []struct {
		p    r2.Point
		want bool
	}{
		{r2.Point{X: 0.5, Y: 2}, true}, {r2.Point{X: 2, Y: 2}, false}, {r2.Point{X: 1, Y: 1}, true}, {r2.Point{X: 4, Y: 0}, true},
		{r2.Point{X: 2, Y: 1}, true}, {r2.Point{X: 2, Y: math.Nextafter(1, 2)}, false}, {r2.Point{X: -1, Y: 1}, false},
		{r2.Point{X: -1, Y: 0}, false}, {r2.Point{X: 5, Y: 3}, false},
	} {
		for name, r := range map[string]Ring{"L": letterL, "reversed": Reverse(letterL)} {
			if got := Contains(r, c.p); got != c.want {
				t.Errorf("%s: Contains(%v) = %v", name, c.p, got)
			}
		}
	}
}

func TestConvexHull(t *testing.T) {
	hull := ConvexHull(append(letterL, letterL...))
	want := Ring{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 1}, {X: 1, Y: 3}, {X: 0, Y: 3}}
	if len(hull) != len(want) {
		t.Fatalf("hull %v", hull)
	}
	for i := range want {
		if hull[i] != want[i] {
			t.Errorf("hull %v, want %v", hull, want)
		}
	}
	rng := newRand(2)
	for range 200 {
		points := randomStar(rng, 3+rng.IntN(60), 0)
		hull := ConvexHull(points)
		for _, p := range points {
			if !Contains(hull, p) {
				t.Fatalf("%v lies outside the hull", p)
			}
		}
		if again := ConvexHull(hull); len(again) != len(hull) {
			t.Fatal("the hull of a hull is smaller")
		}
	}
	if got := ConvexHull(Ring{{X: 1}, {X: 2}, {X: 3}, {X: 1}}); len(got) != 2 {
		t.Errorf("hull of points in line: %v", got)
	}
}

// Every corner on the circle, every chord within err of it, mirrored to the last bit.
func TestCircleStaysWithinItsError(t *testing.T) {
	for _, radius := range []float64{1e-3, 0.1, 2.5, 40} {
		for _, err := range []float64{1e-2, 1e-4, 1e-6} {
			c := Circle(r2.Point{}, radius, err)
			for i, p := range c {
				if off := math.Abs(p.Norm() - radius); off > 4e-16*radius {
					t.Fatalf("corner %g off a circle of %g", off, radius)
				}
				if sag := radius - p.Add(c[next(c, i)]).Mul(0.5).Norm(); sag > err*(1+1e-9)+1e-15 {
					t.Fatalf("radius %g: sagitta %g, allowed %g", radius, sag, err)
				}
			}
			mirrored(t, c)
		}
	}
	if n := len(Circle(r2.Point{}, 1, 1e-4)); n > 232 { // 2π / (2 acos(1 − 1e-4)) = 222.1, to a multiple of four a little more
		t.Errorf("%d corners where 223 would do", n)
	}
}

// mirrored checks that a ring has each corner's mirror image about both axes.
func mirrored(t *testing.T, r Ring) {
	t.Helper()
	has := map[r2.Point]bool{}
	for _, p := range r {
		has[p.Add(r2.Point{})] = true
	}
	for _, p := range r {
		if !has[r2.Point{X: p.X, Y: 0 - p.Y}] || !has[r2.Point{X: 0 - p.X, Y: p.Y}] {
			t.Fatalf("%v has no exact mirror image", p)
		}
	}
}

// Area l w − (4 − π) r² and perimeter 2 (l + w) − (8 − 2π) r of a rounded rectangle.
func TestRoundedRectangle(t *testing.T) {
	const l, w, r, err = 0.7, 0.5, 0.1, 1e-8
	ring := RoundedRectangle(l, w, r, r2.Point{X: 0.2, Y: -3}, err)
	if a, want := Area(ring), l*w-(4-math.Pi)*r*r; math.Abs(a-want) > err*Perimeter(ring) {
		t.Errorf("area %.9f, want %.9f", a, want)
	}
	if p, want := Perimeter(ring), 2*(l+w)-(8-2*math.Pi)*r; math.Abs(p-want) > 1e-7 {
		t.Errorf("perimeter %.9f, want %.9f", p, want)
	}
	mirrored(t, RoundedRectangle(l, w, r, r2.Point{}, 1e-4))
	if got := RoundedRectangle(2, 1, 0, r2.Point{}, 1e-3); len(got) != 4 || Area(got) != 2 {
		t.Errorf("square corners: %v", got)
	}
	if got := RoundedRectangle(2, 1, 9, r2.Point{}, 1e-6); math.Abs(Area(got)-1-math.Pi/4) > 1e-5 {
		t.Errorf("a corner too large is not cut back to half the width: area %g", Area(got))
	}
	if at, bad := SelfCrossing(ring); bad {
		t.Errorf("crosses itself at %v", at)
	}
}
