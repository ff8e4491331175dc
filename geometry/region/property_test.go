package region

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/golang/geo/r2"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 3)) }

// star is a random star-shaped lobe around a centre: n bearings, radii within a factor of five.
func star(r *rand.Rand, c r2.Point, n int, radius float64) []r2.Point {
	var ring []r2.Point
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.8*r.Float64()) / float64(n))
		d := radius * (0.2 + 0.8*r.Float64())
		ring = append(ring, r2.Point{X: c.X + d*cos, Y: c.Y + d*sin})
	}
	return ring
}

func moved(rings [][]r2.Point, turn, dx, dy float64) [][]r2.Point {
	sin, cos := math.Sincos(turn)
	out := make([][]r2.Point, len(rings))
	for i, r := range rings {
		for _, p := range r {
			out[i] = append(out[i], r2.Point{X: cos*p.X - sin*p.Y + dx, Y: sin*p.X + cos*p.Y + dy})
		}
	}
	return out
}

func TestFoldsAddUpToZone(t *testing.T) {
	lobes, zone := instance(24, 90, 0.05)
	a := solve(lobes, zone)
	sum := 0.0
	for _, f := range a.folds {
		sum += f
	}
	area := FromRings(zone...).Area()
	// The zone's edges bend by up to half a grid step where lobes cross them.
	if math.Abs(sum-area) > 1e-10*area {
		t.Errorf("folds add up to %.15g, zone has %.15g", sum, area)
	}
	if a.folds[0] != a.blind.Area() {
		t.Errorf("0-fold area %v, blind spots %v", a.folds[0], a.blind.Area())
	}
}

func TestMovingAndTurningChangesNothing(t *testing.T) {
	lobes, zone := instance(24, 90, 0.05)
	a := solve(lobes, zone)
	for _, m := range [][3]float64{{0, 1.234567, -2.345678}, {0.7, 0, 0}, {2.5, 11.1, 3.3}, {-1.1, -40, 70}} {
		b := solve(moved(lobes, m[0], m[1], m[2]), moved(zone, m[0], m[1], m[2]))
		zoneArea := FromRings(zone...).Area()
		for k := range a.folds {
			if d := math.Abs(a.folds[k] - b.folds[k]); d > 1e-9*max(a.folds[k], zoneArea/100) {
				t.Errorf("moved by %v: %d-fold area %g became %g", m, k, a.folds[k], b.folds[k])
			}
		}
		for i := range a.pairs {
			for k := range a.pairs {
				if d := math.Abs(a.pairs[i][k] - b.pairs[i][k]); d > 1e-9*max(a.pairs[i][k], 0.1) {
					t.Errorf("moved by %v: overlap %d %d %g became %g", m, i, k, a.pairs[i][k], b.pairs[i][k])
				}
			}
		}
		if len(a.blind.pieces) != len(b.blind.pieces) {
			t.Errorf("moved by %v: %d blind spots became %d", m, len(a.blind.pieces), len(b.blind.pieces))
		}
	}
}

func TestOrderOfLayersChangesNothing(t *testing.T) {
	lobes, zone := instance(70, 60, 0.05) // more than one word of a label
	a, again := solve(lobes, zone), solve(lobes, zone)
	mixed := slices.Clone(lobes)
	order := newRand(1).Perm(len(lobes))
	for i, k := range order {
		r := lobes[k]
		mixed[i] = slices.Concat(r[i%len(r):], r[:i%len(r)]) // start elsewhere, too
	}
	b := solve(mixed, zone)
	if !slices.Equal(a.folds, b.folds) || !slices.Equal(a.folds, again.folds) {
		t.Error("folds differ")
	}
	if !sameSet(a.blind, b.blind) || !sameSet(a.blind, again.blind) {
		t.Error("blind spots differ")
	}
	for i, k := range order {
		for j, l := range order {
			if a.pairs[k][l] != b.pairs[i][j] {
				t.Fatal("overlaps differ")
			}
		}
	}
}

// Every face must carry the label that its points have by themselves.
func TestLabelsAgainstPoints(t *testing.T) {
	r := newRand(7)
	for range 20 {
		var rings [][][]r2.Point
		var sets []Set
		for range 7 {
			layer := [][]r2.Point{star(r, r2.Point{X: 2 * r.Float64(), Y: r.Float64()}, 5+r.IntN(30), 1.5)}
			rings = append(rings, layer)
			sets = append(sets, FromRings(layer...))
		}
		o := NewOverlay(sets...)
		areas := map[int]Set{}
		number := func(has func(int) bool) int {
			n := 0
			for i := range sets {
				if has(i) {
					n |= 1 << i
				}
			}
			return n
		}
		for range 300 {
			p := r2.Point{X: -1.5 + 5*r.Float64(), Y: -1.5 + 4*r.Float64()}
			nearest := math.Inf(1)
			want := number(func(i int) bool {
				w, near := windingNumber(rings[i], p)
				nearest = min(nearest, near)
				return w != 0
			})
			if want == 0 || nearest < 1e-9 {
				continue
			}
			if _, known := areas[want]; !known {
				areas[want] = o.Extract(func(l Label) bool { return number(l.Has) == want })
			}
			if !areas[want].Contains(p) {
				t.Fatalf("%v is not in the faces labelled %07b", p, want)
			}
		}
	}
}

func TestPairAreasAreIntersections(t *testing.T) {
	r := newRand(11)
	var sets []Set
	var of []int
	for i := range 70 {
		sets = append(sets, FromRings(star(r, r2.Point{X: 3 * r.Float64(), Y: 3 * r.Float64()}, 12, 1)))
		of = append(of, i)
	}
	pairs := NewOverlay(sets...).PairAreas(of)
	for i := range of {
		for j := range i {
			want := Intersect(sets[i], sets[j]).Area()
			if math.Abs(pairs[i][j]-want) > 1e-9 || pairs[i][j] != pairs[j][i] {
				t.Errorf("%d %d: %g, intersection %g", i, j, pairs[i][j], want)
			}
		}
		if math.Abs(pairs[i][i]-sets[i].Area()) > 1e-9 {
			t.Errorf("%d: own area %g, want %g", i, pairs[i][i], sets[i].Area())
		}
	}
}

func TestAlgebraOfSets(t *testing.T) {
	r := newRand(13)
	for range 200 {
		a := FromRings(star(r, r2.Point{}, 3+r.IntN(30), 1))
		b := FromRings(star(r, r2.Point{X: r.Float64()}, 3+r.IntN(30), 1))
		c := FromRings(star(r, r2.Point{Y: r.Float64()}, 3+r.IntN(30), 1))
		same := func(what string, x, y Set) {
			t.Helper()
			if d := Union(Difference(x, y), Difference(y, x)).Area(); d > 1e-8 {
				t.Errorf("%s: off by %g m²", what, d)
			}
		}
		same("a∪b = b∪a", Union(a, b), Union(b, a))
		same("(a∪b)∪c = a∪(b∪c)", Union(Union(a, b), c), Union(a, Union(b, c)))
		same("a∩(b∪c)", Intersect(a, Union(b, c)), Union(Intersect(a, b), Intersect(a, c)))
		same("a−(b∪c)", Difference(a, Union(b, c)), Intersect(Difference(a, b), Difference(a, c)))
		same("a−(a−b) = a∩b", Difference(a, Difference(a, b)), Intersect(a, b))
		same("all three", AtLeast(3, a, b, c), Intersect(a, Intersect(b, c)))
		if !sameSet(Union(a, b), Union(b, a)) || !sameSet(Intersect(a, b), Intersect(b, a)) {
			t.Error("order of operands shows")
		}
		if !sameSet(Union(a), a) || !sameSet(Union(a, a), a) || !sameSet(Intersect(a, a), a) || !Difference(a, a).IsEmpty() {
			t.Error("a with itself")
		}
	}
}

func TestMirrorImage(t *testing.T) {
	flip := func(rings [][]r2.Point) [][]r2.Point {
		var out [][]r2.Point
		for _, r := range rings {
			var f []r2.Point
			for _, p := range r {
				f = append(f, r2.Point{X: p.X, Y: -p.Y})
			}
			out = append(out, f)
		}
		return out
	}
	lobes, zone := instance(16, 60, 0.05)
	a, b := solve(lobes, zone), solve(flip(lobes), flip(zone))
	for k := range a.folds {
		if math.Abs(a.folds[k]-b.folds[k]) > 1e-9 {
			t.Errorf("%d-fold area %g became %g", k, a.folds[k], b.folds[k])
		}
	}
}

func TestPiecesAreTheSet(t *testing.T) {
	lobes, zone := instance(9, 60, 0)
	blind := solve(lobes, zone).blind
	area, rings := 0.0, 0
	for _, p := range blind.Pieces() {
		if len(p.Pieces()) != 1 || p.IsEmpty() || !blind.Contains(p.Rings()[0][0]) {
			t.Error("not a piece of it", p)
		}
		if !blind.Bounds().Contains(p.Bounds()) || !p.Bounds().ContainsPoint(p.Centroid()) {
			t.Error("bounds")
		}
		area += p.Area()
		rings += len(p.Rings())
	}
	if math.Abs(area-blind.Area()) > 1e-12 || rings != len(blind.Rings()) || len(blind.Pieces()) < 5 {
		t.Error(area, blind.Area(), rings, len(blind.Pieces()))
	}
}

// The lattice that finds crossings is laid by where the segments are; it must not show.
func TestFarLayersChangeNothing(t *testing.T) {
	lobes, zone := instance(16, 60, 0.05)
	a := solve(lobes, zone)
	far := slices.Concat(lobes, [][]r2.Point{square(-Limit, 100, 1), square(5000, -7000, 900), square(-3, 8000, 0.1)})
	b := solve(far, zone)
	if !slices.Equal(a.folds, b.folds[:len(a.folds)]) || !sameSet(a.blind, b.blind) {
		t.Error("differs")
	}
	for i := range a.pairs {
		if !slices.Equal(a.pairs[i], b.pairs[i][:len(a.pairs)]) {
			t.Error("overlaps differ")
		}
	}
}
