package region

// The degenerate cases, each with a test below:
//
//	 1  nothing: no rings, empty rings, one point, two points
//	 2  two squares that touch at a corner
//	 3  two squares that touch along a whole edge
//	 4  two squares that touch along a part of an edge (collinear, overlapping)
//	 5  a corner that touches the middle of an edge
//	 6  repeated points, first point repeated at the end
//	 7  the same ring twice, in both senses
//	 8  the same ring as two layers
//	 9  edges nearly equal, 1e-9 m to 1e-15 m apart
//	10  a spike of no width, outward, inward, and a ring that is nothing but a spike
//	11  a sliver
//	12  a ring that crosses itself (bow tie): both halves are in
//	13  a ring that touches itself at a point
//	14  a ring that winds twice (pentagram): its middle is in
//	15  a hole that touches its outer ring at a point, and at two points
//	16  a hole that touches its outer ring along an edge
//	17  islands in holes in islands
//	18  collinear points along an edge
//	19  upright, level and diagonal edges through one point
//	20  many layers with one common apex
//	21  coordinates beyond the limit and not numbers
//	22  a hole with the sense of its outer ring, and an outer ring clockwise

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/golang/geo/r2"
)

func pts(c ...float64) []r2.Point {
	var r []r2.Point
	for i := 0; i < len(c); i += 2 {
		r = append(r, r2.Point{X: c[i], Y: c[i+1]})
	}
	return r
}

func square(x, y, side float64) []r2.Point {
	return pts(x, y, x+side, y, x+side, y+side, x, y+side)
}

func reversed(r []r2.Point) []r2.Point {
	r = slices.Clone(r)
	slices.Reverse(r)
	return r
}

// shape sums a set up: its area, and for each piece the number of points of each ring.
func shape(s Set) string {
	text := fmt.Sprintf("%.6g", s.Area())
	for _, p := range s.Pieces() {
		text += " ["
		for i, r := range p.Rings() {
			if i > 0 {
				text += " "
			}
			text += fmt.Sprint(len(r))
		}
		text += "]"
	}
	return text
}

func wantShape(t *testing.T, what string, s Set, want string) {
	t.Helper()
	if got := shape(s); got != want {
		t.Errorf("%s: got %s, want %s\n%v", what, got, want, s.Rings())
	}
	mustBeClean(t, s)
}

// four checks union, intersection and both differences of two sets.
func four(t *testing.T, a, b Set, union, both, onlyA, onlyB string) {
	t.Helper()
	wantShape(t, "union", Union(a, b), union)
	wantShape(t, "intersection", Intersect(a, b), both)
	wantShape(t, "a less b", Difference(a, b), onlyA)
	wantShape(t, "b less a", Difference(b, a), onlyB)
	o := NewOverlay(a, b)
	ab := func(inA, inB bool) func(Label) bool {
		return func(l Label) bool { return l.Has(0) == inA && l.Has(1) == inB }
	}
	wantShape(t, "overlay union", o.Extract(func(Label) bool { return true }), union)
	wantShape(t, "overlay intersection", o.Extract(ab(true, true)), both)
	wantShape(t, "overlay a less b", o.Extract(ab(true, false)), onlyA)
	wantShape(t, "overlay b less a", o.Extract(ab(false, true)), onlyB)
}

func TestDegenerate01Nothing(t *testing.T) {
	for _, r := range [][]r2.Point{nil, {}, pts(1, 1), pts(1, 1, 2, 2), pts(1, 1, 1, 1, 1, 1), pts(0, 0, 1, 1, 2, 2)} {
		wantShape(t, fmt.Sprint(r), FromRings(r), "0")
	}
	four(t, Set{}, FromRings(), "0", "0", "0", "0")
	four(t, FromRings(square(0, 0, 1)), Set{}, "1 [4]", "0", "1 [4]", "0")
	var zero Set
	if zero.Area() != 0 || !zero.IsEmpty() || zero.Contains(r2.Point{}) || !zero.Bounds().IsEmpty() ||
		zero.Rings() != nil || zero.Pieces() != nil || zero.Centroid() != (r2.Point{}) {
		t.Error("the zero value is not empty")
	}
	o := NewOverlay()
	if o.facesArea(func(Label) bool { return true }) != 0 || !o.Extract(func(Label) bool { return true }).IsEmpty() {
		t.Error("an overlay of nothing holds something")
	}
	if f := o.FoldAreas(0, nil); len(f) != 1 || f[0] != 0 {
		t.Error(f)
	}
	if p := NewOverlay(Set{}, Set{}).PairAreas([]int{0, 1}); p[0][1] != 0 || p[1][1] != 0 {
		t.Error(p)
	}
}

func TestDegenerate02TouchingCorner(t *testing.T) {
	four(t, FromRings(square(0, 0, 1)), FromRings(square(1, 1, 1)), "2 [4] [4]", "0", "1 [4]", "1 [4]")
	four(t, FromRings(square(0, 1, 1)), FromRings(square(1, 0, 1)), "2 [4] [4]", "0", "1 [4]", "1 [4]")
}

func TestDegenerate03TouchingEdge(t *testing.T) {
	four(t, FromRings(square(0, 0, 1)), FromRings(square(1, 0, 1)), "2 [4]", "0", "1 [4]", "1 [4]")
}

func TestDegenerate04CollinearOverlap(t *testing.T) {
	four(t, FromRings(square(0, 0, 1)), FromRings(square(1, 0.5, 1)), "2 [8]", "0", "1 [4]", "1 [4]")
	four(t, FromRings(square(0, 0, 2)), FromRings(square(0.5, 0, 1)), "4 [4]", "1 [4]", "3 [8]", "0")
	four(t, FromRings(square(0, 0, 2)), FromRings(square(1, 0, 2)), "6 [4]", "2 [4]", "2 [4]", "2 [4]")
}

func TestDegenerate05CornerOnEdge(t *testing.T) {
	diamond := FromRings(pts(1, 0.5, 1.5, 0, 2, 0.5, 1.5, 1))
	four(t, FromRings(square(0, 0, 1)), diamond, "1.5 [4] [4]", "0", "1 [4]", "0.5 [4]")
	// Not on any binary grid: the touching is within rounding, and neither lost nor doubled.
	third := FromRings(pts(0, 0, 1, 1.0/3, 0.3, 0.9))
	touch := FromRings(pts(0.1, 0.1/3, 0.2, -0.7, 0.4, -0.6))
	both := Intersect(third, touch).Area()
	if sum := third.Area() + touch.Area(); both > 1e-10 || math.Abs(Union(third, touch).Area()+both-sum) > 1e-10 {
		t.Error(both, sum)
	}
}

func TestDegenerate06RepeatedPoints(t *testing.T) {
	wantShape(t, "repeated", FromRings(pts(0, 0, 0, 0, 1, 0, 1, 0, 1, 0, 1, 1, 0, 1, 0, 0)), "1 [4]")
}

func TestDegenerate07DuplicateRings(t *testing.T) {
	s := square(0, 0, 1)
	wantShape(t, "twice", FromRings(s, s), "1 [4]")
	wantShape(t, "three times", FromRings(s, s, s), "1 [4]")
	wantShape(t, "both senses", FromRings(s, reversed(s)), "0")
	wantShape(t, "two to one", FromRings(s, reversed(s), s), "1 [4]")
}

func TestDegenerate08EqualLayers(t *testing.T) {
	s := FromRings(square(0, 0, 1))
	four(t, s, s, "1 [4]", "1 [4]", "0", "0")
	if f := NewOverlay(s, s, s, s).FoldAreas(0, []int{1, 2, 3}); !slices.Equal(f, []float64{0, 0, 0, 1}) {
		t.Error(f)
	}
}

func TestDegenerate09NearlyEqual(t *testing.T) {
	base := pts(0, 0, 1.1, 0.3, 1.3, 1.7, 0.4, 1.9, -0.2, 0.8)
	a := FromRings(base)
	for e := 1e-9; e > 1e-16; e /= 10 {
		for k := range 16 {
			near := slices.Clone(base)
			for i := range near {
				near[i].X += e * math.Sin(float64(k*7+i*3))
				near[i].Y += e * math.Cos(float64(k*5+i*2))
			}
			b := FromRings(near)
			union, both, only := Union(a, b), Intersect(a, b), Difference(a, b)
			for _, s := range []Set{union, both, only} {
				mustBeClean(t, s)
			}
			// The rings are 6 m long; a boundary may move by e or a grid step.
			bound := 6 * (e + Grid)
			if math.Abs(union.Area()-a.Area()) > bound || math.Abs(both.Area()-a.Area()) > bound || only.Area() > bound {
				t.Errorf("%g: %g %g %g", e, union.Area()-a.Area(), both.Area()-a.Area(), only.Area())
			}
			if d := union.Area() + both.Area() - a.Area() - b.Area(); math.Abs(d) > 6*Grid {
				t.Errorf("%g: union and intersection together are off by %g", e, d)
			}
		}
	}
}

func TestDegenerate10Spikes(t *testing.T) {
	wantShape(t, "outward", FromRings(pts(0, 0, 1, 0, 1, 0.5, 3, 0.5, 1, 0.5, 1, 1, 0, 1)), "1 [4]")
	wantShape(t, "inward", FromRings(pts(0, 0, 1, 0, 1, 0.5, 0.2, 0.5, 1, 0.5, 1, 1, 0, 1)), "1 [4]")
	wantShape(t, "at a corner", FromRings(pts(0, 0, 1, 0, 1, 1, 2, 3, 1, 1, 0, 1)), "1 [4]")
	wantShape(t, "alone", FromRings(pts(0, 0, 3, 1, 5, 5, 3, 1)), "0")
	wantShape(t, "through", FromRings(pts(0, 0, 1, 0, 1, 0.5, -3, 0.5, 1, 0.5, 1, 1, 0, 1)), "1 [4]")
}

func TestDegenerate11Sliver(t *testing.T) {
	a := FromRings(pts(0, 0, 4, 0, 4, 1e-9))
	if got := a.Area(); math.Abs(got-2e-9) > 4*Grid {
		t.Error(got)
	}
	// One grid step high: its edges can only bend by whole steps, so areas are good to its length in steps.
	s, thin := FromRings(square(1, -1, 2)), FromRings(pts(0, 0, 4, 0, 2, Grid))
	both, only, union := Intersect(s, thin), Difference(s, thin), Union(s, thin)
	for _, c := range []Set{thin, both, only, union} {
		mustBeClean(t, c)
	}
	if both.Area() > 4*Grid || math.Abs(only.Area()-4) > 4*Grid || math.Abs(union.Area()-4) > 4*Grid {
		t.Error(both.Area(), only.Area()-4, union.Area()-4)
	}
}

func TestDegenerate12BowTie(t *testing.T) {
	wantShape(t, "bow tie", FromRings(pts(0, 0, 1, 1, 1, 0, 0, 1)), "0.5 [3] [3]")
}

func TestDegenerate13SelfTouching(t *testing.T) {
	wantShape(t, "two triangles", FromRings(pts(0, 0, 1, 0, 0.5, 0.5, 1, 1, 0, 1, 0.5, 0.5)), "0.5 [3] [3]")
	wantShape(t, "a closed C", FromRings(pts(0, 0, 3, 0, 3, 3, 0, 3, 0, 1.5, 1, 2, 2, 2, 2, 1, 1, 1, 0, 1.5)), "7.5 [4 5]")
	wantShape(t, "a corner on its edge", FromRings(pts(0, 0, 2, 0, 2, 2, 1, 0, 0, 2)), "2 [3] [3]")
}

func TestDegenerate14Pentagram(t *testing.T) {
	var r []r2.Point
	for i := range 5 {
		sin, cos := math.Sincos(float64(i) * 4 * math.Pi / 5)
		r = append(r, r2.Point{X: cos, Y: sin})
	}
	// The area of a pentagram with circumradius 1: 5 R² sin 36° · r/R with r/R = 1/φ².
	phi := (1 + math.Sqrt(5)) / 2
	want := 5 * math.Sin(math.Pi/5) / (phi * phi)
	s := FromRings(r)
	if len(s.Rings()) != 1 || len(s.Rings()[0]) != 10 || math.Abs(s.Area()-want) > 1e-9 {
		t.Error(shape(s), want)
	}
}

func TestDegenerate15TouchingHole(t *testing.T) {
	s := square(0, 0, 4)
	wantShape(t, "at one point", FromRings(s, reversed(pts(0, 2, 1, 1, 2, 2, 1, 3))), "14 [4 4]")
	wantShape(t, "at two points", FromRings(s, reversed(pts(0, 2, 2, 1, 4, 2, 2, 3))), "12 [5] [5]")
	wantShape(t, "at a corner", FromRings(s, reversed(pts(0, 0, 2, 1, 1, 2))), "14.5 [4 3]")
	wantShape(t, "two holes", FromRings(s, reversed(square(1, 1, 1)), reversed(square(2, 2, 1))), "14 [4 4 4]")
	ring := FromRings(s, reversed(pts(1, 1, 2, 1, 2, 2, 1, 2)), reversed(square(2, 2, 1)),
		reversed(pts(2, 2, 2, 2)))
	wantShape(t, "two holes and nothing", ring, "14 [4 4 4]")
}

func TestDegenerate16HoleAlongEdge(t *testing.T) {
	wantShape(t, "notch", FromRings(square(0, 0, 4), reversed(square(0, 1, 1))), "15 [8]")
	wantShape(t, "cut", FromRings(square(0, 0, 4), reversed(pts(0, 1, 4, 1, 4, 2, 0, 2))), "12 [4] [4]")
}

func TestDegenerate17Nested(t *testing.T) {
	var rings [][]r2.Point
	for i := range 6 {
		r := square(float64(i), float64(i), 12-2*float64(i))
		if i%2 != 0 {
			r = reversed(r)
		}
		rings = append(rings, r)
	}
	s := FromRings(rings...)
	wantShape(t, "nested", s, "84 [4 4] [4 4] [4 4]")
	wantShape(t, "its holes", Difference(FromRings(rings[0]), s), "60 [4 4] [4 4] [4]")
	apart := FromRings(square(0, 0, 1), square(0, 3, 1), square(0, -3, 1), square(-2, -9, 20))
	wantShape(t, "covered islands", apart, "400 [4]")
}

func TestDegenerate18CollinearPoints(t *testing.T) {
	wantShape(t, "collinear", FromRings(pts(-0.5, 0, 0, 0, 0.25, 0, 1, 0, 1, 0.5, 1, 1, -0.5, 1, -0.5, 0.25)), "1.5 [4]")
}

func TestDegenerate19OnePoint(t *testing.T) {
	a := FromRings(pts(0, 0, 2, -1, 2, 1), pts(0, 0, -2, 1, -2, -1))
	b := FromRings(pts(0, 0, 1, 2, -1, 2), pts(0, 0, -1, -2, 1, -2))
	four(t, a, b, "8 [3] [3] [3] [3]", "0", "4 [3] [3]", "4 [3] [3]")
	cross := FromRings(pts(-1, -0.5, 1, -0.5, 1, 0.5, -1, 0.5))
	upright := FromRings(pts(-0.5, -1, 0.5, -1, 0.5, 1, -0.5, 1))
	four(t, cross, upright, "3 [12]", "1 [4]", "1 [4] [4]", "1 [4] [4]")
}

func TestDegenerate20CommonApex(t *testing.T) {
	var sectors []Set
	const n = 72
	for i := range n {
		s0, c0 := math.Sincos(2 * math.Pi * float64(i) / n)
		s1, c1 := math.Sincos(2 * math.Pi * float64(i+2) / n)
		sectors = append(sectors, FromRings(pts(0, 0, c0, s0, c1, s1)))
	}
	of := make([]int, n)
	for i := range of {
		of[i] = i + 1
	}
	o := NewOverlay(append([]Set{FromRings(square(-2, -2, 4))}, sectors...)...)
	folds := o.FoldAreas(0, of)
	// Each wedge overlaps its two neighbours by half, and no other.
	pairs := o.PairAreas(of)
	sum := 0.0
	for k, f := range folds {
		sum += float64(k) * f
		if k > 2 && f > 1e-9 {
			t.Error(k, f)
		}
	}
	if want := n * 0.5 * math.Sin(4*math.Pi/n); math.Abs(sum-want) > 1e-9 {
		t.Error(sum, want)
	}
	if pairs[0][2] > 1e-9 || pairs[0][1] < 0.01 || math.Abs(pairs[0][1]-pairs[70][71]) > 1e-9 {
		t.Error(pairs[0][:3])
	}
}

func TestDegenerate21BadCoordinates(t *testing.T) {
	bad := square(0, 0, 1)
	bad[2].X = math.NaN()
	wantShape(t, "NaN", FromRings(bad, square(3, 0, 1)), "1 [4]")
	all := FromRings(square(-1e300, -1e300, 2e300))
	wantShape(t, "clipped", all, "2.68435e+08 [4]")
	wantShape(t, "infinite", FromRings(pts(0, 0, math.Inf(1), 0, math.Inf(1), 1, 0, 1)), "8192 [4]")
	// Across the whole field, exactly.
	four(t, all, FromRings(square(0, 0, 1)), "2.68435e+08 [4]", "1 [4]", "2.68435e+08 [4 4]", "0")
	if all.Contains(r2.Point{X: math.NaN()}) || all.Contains(r2.Point{X: 9000}) || !all.Contains(r2.Point{X: Limit}) {
		t.Error("Contains")
	}
}

func TestDegenerate22Senses(t *testing.T) {
	wantShape(t, "same sense", FromRings(square(0, 0, 4), square(1, 1, 1)), "16 [4]")
	wantShape(t, "clockwise", FromRings(reversed(square(0, 0, 4)), square(1, 1, 1)), "15 [4 4]")
	wantShape(t, "clockwise alone", FromRings(reversed(square(0, 0, 4))), "16 [4]")
}
