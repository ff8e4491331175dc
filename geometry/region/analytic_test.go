package region

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

// Check values by closed formulas (sector, annular sector, lens, L, gap between beams, depth areas
// of three beams). Arcs are inscribed polygons of so many points that their area is short by less
// than 1e-7 of itself: 2π²/(3n²) for a whole circle of n points.
const arcPoints = 9000

func arcRing(c r2.Point, radius, from, to float64) []r2.Point {
	n := int(math.Ceil(arcPoints * (to - from) / (2 * math.Pi)))
	var ring []r2.Point
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/float64(n))
		ring = append(ring, r2.Point{X: c.X + radius*cos, Y: c.Y + radius*sin})
	}
	return ring
}

func disc(x, y, radius float64) []r2.Point {
	r := arcRing(r2.Point{X: x, Y: y}, radius, 0, 2*math.Pi)
	return r[1:]
}

// sector is a beam at (x, 0) facing +y.
func sector(x, radius, half float64) []r2.Point {
	return append(arcRing(r2.Point{X: x}, radius, math.Pi/2-half, math.Pi/2+half), r2.Point{X: x})
}

func wantNumber(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g", what, got, want)
	}
}

const degree = math.Pi / 180

func TestSectors(t *testing.T) {
	s := FromRings(sector(0, 2.5, 30*degree))
	// R²θ/2, R 2.5 m, θ 60°.
	wantNumber(t, "sector", s.Area(), 3.272492, 1e-6)
	// (2R/3) sin(θ/2)/(θ/2) from the apex.
	wantNumber(t, "its centroid", s.Centroid().Y, 1.591549, 1e-6)
	wantNumber(t, "its centroid, across", s.Centroid().X, 0, 1e-9)
	// (R² − r²)θ/2, r 0.3 m.
	annular := Difference(s, FromRings(disc(0, 0, 0.3)))
	wantNumber(t, "annular sector", annular.Area(), 3.225368, 1e-6)
}

func TestLens(t *testing.T) {
	for _, c := range [][4]float64{ // r1, r2, distance, area of the lens of two circles
		{1, 1, 1, 1.228370}, {2, 1, 2, 1.403066}, {2.5, 2.5, 0.5, 17.139127}, {1, 0.4, 0.6, 0.502655}, {1, 1, 2, 0}, {1, 1, 2.5, 0},
	} {
		a, b := FromRings(disc(0, 0, c[0])), FromRings(disc(c[2], 0, c[1]))
		wantNumber(t, "lens", Intersect(a, b).Area(), c[3], 2e-6)
		wantNumber(t, "lens of an overlay", NewOverlay(a, b).PairAreas([]int{0, 1})[0][1], c[3], 2e-6)
	}
}

func TestLShape(t *testing.T) {
	l := FromRings(pts(0, 0, 4, 0, 4, 1, 1, 1, 1, 3, 0, 3))
	if l.Area() != 6 || l.Centroid() != (r2.Point{X: 1.5, Y: 1}) {
		t.Error(l.Area(), l.Centroid())
	}
}

// Two parallel beams a spacing b apart leave a gap of depth b/(2 tan α), area b²/(4 tan α):
// b 0.5 m, α 30°: 0.433013 m and 0.108253 m².
func TestGapBetweenBeams(t *testing.T) {
	beams := Union(FromRings(sector(0, 2, 30*degree)), FromRings(sector(0.5, 2, 30*degree)))
	gap := Difference(FromRings(pts(0, 0, 0.5, 0, 0.5, 1, 0, 1)), beams)
	if len(gap.Rings()) != 1 || len(gap.Rings()[0]) != 3 {
		t.Fatal(gap.Rings())
	}
	wantNumber(t, "area", gap.Area(), 0.108253, 5e-7)
	wantNumber(t, "depth", gap.Bounds().Y.Hi, 0.433013, 5e-7)
}

// A ring of sensors on a body of radius ρ, spacing δ = half-angle α = 15°, ρ 0.3 m: each gap closes
// at ρ sin α / sin(α − δ/2) = 0.594867 m from the centre; area 0.011513 m² per gap.
func TestRingOfBeams(t *testing.T) {
	const rho, n = 0.3, 24
	layers := []Set{FromRings(disc(0, 0, 0.8), reversed(disc(0, 0, rho)))}
	var of []int
	for i := range n {
		at := 2 * math.Pi * float64(i) / n
		beam := moved([][]r2.Point{sector(0, 0.7, 15*degree)}, at-math.Pi/2, rho*math.Cos(at), rho*math.Sin(at))
		layers = append(layers, FromRings(beam...))
		of = append(of, i+1)
	}
	mask := MaskOf(of...)
	o := NewOverlay(layers...)
	gaps := 0
	for _, p := range o.Extract(func(l Label) bool { return l.Has(0) && !l.Any(mask) }).Pieces() {
		far := 0.0
		for _, q := range p.Rings()[0] {
			far = max(far, q.Norm())
		}
		if far > 0.75 {
			continue // beyond the range of the beams
		}
		gaps++
		wantNumber(t, "closes at", far, 0.594867, 1e-6)
		wantNumber(t, "area of a gap", p.Area(), 0.011513, 1e-6)
	}
	if gaps != n {
		t.Error(gaps, "gaps")
	}
}

// Three beams at x = 0, 0.5, 1.0 facing +y, R 2 m, half-angle 30°: areas seen by exactly one, two
// and three 2.010592, 1.313635, 0.548441; union 3.872668; weighted sum 2π.
func TestThreeBeams(t *testing.T) {
	layers := []Set{FromRings(square(-4, -4, 9))}
	for i := range 3 {
		layers = append(layers, FromRings(sector(float64(i)/2, 2, 30*degree)))
	}
	folds := NewOverlay(layers...).FoldAreas(0, []int{1, 2, 3})
	wantNumber(t, "1-fold", folds[1], 2.010592, 1e-6)
	wantNumber(t, "2-fold", folds[2], 1.313635, 1e-6)
	wantNumber(t, "3-fold", folds[3], 0.548441, 1e-6)
	wantNumber(t, "union", Union(layers[1:]...).Area(), 3.872668, 1e-6)
	wantNumber(t, "weighted", folds[1]+2*folds[2]+3*folds[3], 2*math.Pi, 1e-6)
}

func TestExactNumbers(t *testing.T) {
	for _, c := range []struct{ a, b, hi, lo int64 }{{3, -5, -1, -15}, {1 << 47, 1 << 48, 1 << 31, 0}, {-(1 << 47), 1 << 48, -(1 << 31), 0}, {0, -7, 0, 0}} {
		if p := product(c.a, c.b); p != (int128{c.hi, uint64(c.lo)}) {
			t.Error(c, p)
		}
	}
	r := newRand(21)
	for range 20000 {
		v := func() int64 { return r.Int64N(1<<(1+r.IntN(47))) - r.Int64N(1<<(1+r.IntN(47))) }
		a, b := point{v(), v()}, point{v(), v()}
		c := point{v(), v()}
		if r.IntN(2) == 0 { // nearly in line
			c = point{a.x + 2*(b.x-a.x)/3 + r.Int64N(2), a.y + 2*(b.y-a.y)/3 + r.Int64N(2)}
		}
		ux, uy, vx, vy := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
		big := product(ux, vy).big()
		if got, want := orient(a, b, c), big.Cmp(product(uy, vx).big()); got != want || orient(b, a, c) != -want || orient(b, c, a) != want {
			t.Fatal(a, b, c, got, want)
		}
		want, _ := cross(ux, uy, vx, vy).big().Float64()
		wantNumber(t, "float", cross(ux, uy, vx, vy).float(), want, math.Abs(want)*0x1p-51)
	}
}
