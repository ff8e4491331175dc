package geometry

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/geometry/region"

	"github.com/golang/geo/r2"
)

// diskTolerance is what LargestDisk promises.
const diskTolerance = 1e-9

// The V-gap between two beams: a disc in a triangle. Radius (b/2) tan((90° − α)/2) (derived; value computed for the
// project's reference on coverage, section 3.3: b 0.5, α 30° gives 0.144338).
func TestLargestDiskInVGap(t *testing.T) {
	const b, half = 0.5, math.Pi / 6
	gap := Ring{{X: 0, Y: 0}, {X: b, Y: 0}, {X: b / 2, Y: b / 2 / math.Tan(half)}}
	c, r := LargestDisk([][]r2.Point{gap}, nil)
	want := b / 2 * math.Tan((math.Pi/2-half)/2)
	if math.Abs(want-0.144338) > 5e-7 || math.Abs(r-want) > diskTolerance {
		t.Errorf("radius %.12f at %v, want %.12f", r, c, want)
	}
}

// The gap between two beams that stand dl apart on a round body of radius ρ, half-angle α: it closes at
// ρ sin α / sin(α − dl/2) from the centre, area 0.011513 m² for ρ 0.3, dl = α = 15 degrees (reference, section 3.3). The widest
// disc touches the body and both beams: t − ρ = (apex − t) sin(α − dl/2).
func TestLargestDiskInRingGap(t *testing.T) {
	const rho, dl, half = 0.3, math.Pi / 12, math.Pi / 12
	apex := rho * math.Sin(half) / math.Sin(half-dl/2)
	gap := Ring{{X: apex}}
	const chords = 2000
	for k := chords; k >= 0; k-- {
		sin, cos := math.Sincos(-dl * (float64(k)/chords - 0.5))
		gap = append(gap, r2.Point{X: rho * cos, Y: -rho * sin})
	}
	// The chords take rho (dl/chords)² / 8 off the body, far less than the printed digits.
	if a := Area(gap); math.Abs(apex-0.594867) > 5e-7 || math.Abs(a-0.011513) > 5e-7 {
		t.Errorf("apex %.7f, area %.7f", apex, a)
	}
	_, r := LargestDisk([][]r2.Point{gap}, nil)
	s := math.Sin(half - dl/2)
	if want := (rho+apex*s)/(1+s) - rho; math.Abs(r-want) > diskTolerance {
		t.Errorf("radius %.12f, want %.12f", r, want)
	}
}

// Moving, turning and enlarging the region moves, turns and enlarges the disc.
func TestLargestDiskFollowsMotion(t *testing.T) {
	rng := newRand(12)
	worst := 0.0
	for range 40 {
		clear, centre := randomRegion(rng, 30), randomRegion(rng, 15)
		_, r := LargestDisk(clear, centre)
		sin, cos := math.Sincos(rng.Float64() * 7)
		size, shift := 0.1+rng.Float64()*10, r2.Point{X: rng.Float64() * 50, Y: rng.Float64() * -50}
		move := func(rings [][]r2.Point) (out [][]r2.Point) {
			for _, ring := range rings {
				m := make(Ring, len(ring))
				for i, p := range ring {
					m[len(m)-1-(i+5)%len(m)] = r2.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}.Mul(size).Add(shift)
				}
				out = append([][]r2.Point{Reverse(m)}, out...) // other order of rings and points, same direction
			}
			return out
		}
		_, moved := LargestDisk(move(clear), move(centre))
		worst = max(worst, math.Abs(moved-size*r))
		if math.Abs(moved-size*r) > diskTolerance*(1+size) {
			t.Errorf("radius %.12f became %.12f, want %.12f", r, moved, size*r)
		}
	}
	t.Logf("worst deviation %.3g m", worst)
}

func TestLargestDiskHasClosedForm(t *testing.T) {
	box := func(x0, y0, x1, y1 float64) Ring {
		return Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	}
	hole := func(r Ring) Ring { return Reverse(r) }
	many := Circle(r2.Point{X: 1, Y: 2}, 3, 1e-7)
	apothem := 3 * math.Cos(math.Pi/float64(len(many)))
	for _, c := range []struct {
		name          string
		clear, centre [][]r2.Point
		want          float64
	}{
		{"nothing", nil, nil, 0},
		{"two points", [][]r2.Point{{{X: 0, Y: 0}, {X: 1, Y: 0}}}, nil, 0},
		{"corridor, a whole line of best centres", [][]r2.Point{box(0, 0, 10, 0.3)}, nil, 0.15},
		{"sliver a micrometre wide", [][]r2.Point{box(0, 0, 1, 1e-6)}, nil, 5e-7},
		{"wedge sliver: incircle 2A/P", [][]r2.Point{{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1e-5}}}, nil,
			1e-5 / (1 + 1e-5 + math.Hypot(1, 1e-5))},
		{"3-4-5 triangle", [][]r2.Point{{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 0, Y: 3}}}, nil, 1},
		{"the L: two walls and the inner corner, (1−r)√2 = r", [][]r2.Point{letterL}, nil, 2 - math.Sqrt2},
		{"polygon with all edges touching", [][]r2.Point{many}, nil, apothem},
		{"square with a square hole: corner of hole and two walls, (2−r)√2 − √2/2 = r",
			[][]r2.Point{box(-2, -2, 2, 2), hole(box(-0.5, -0.5, 0.5, 0.5))}, nil, 1.5 * math.Sqrt2 / (1 + math.Sqrt2)},
		{"rings the wrong way round", [][]r2.Point{hole(box(-2, -2, 2, 2)), box(-0.5, -0.5, 0.5, 0.5)}, nil, 1.5 * math.Sqrt2 / (1 + math.Sqrt2)},
		{"an island in a hole", [][]r2.Point{box(-2, -2, 2, 2), box(-1.9, -1.9, 1.9, 1.9), box(-0.5, -0.5, 0.5, 0.5)}, nil, 0.5},
		{"two outer rings touching at a point", [][]r2.Point{box(0, 0, 1, 1), box(1, 1, 3, 3)}, nil, 1},
		{"centre held in a far corner", [][]r2.Point{box(0, 0, 10, 10)}, [][]r2.Point{box(0, 0, 2, 1)}, 1},
		{"centre on the border of its region, two touched", [][]r2.Point{box(0, 0, 10, 3)},
			[][]r2.Point{{{X: 0, Y: 0}, {X: 2, Y: 2}, {X: 0, Y: 2}}}, 1.5},
		{"centre outside clear", [][]r2.Point{box(0, 0, 1, 1)}, [][]r2.Point{box(5, 5, 6, 6)}, 0},
		{"centre a ring round the best place", [][]r2.Point{box(-3, -3, 3, 3)},
			[][]r2.Point{box(-2, -2, 2, 2), hole(box(-1, -1, 1, 1))}, 2},
		{"much larger discs outside the centre's region", [][]r2.Point{box(-50, -50, 50, 50), hole(box(-1, -2, 1, 2)),
			hole(box(1.5, -2, 1.6, 2))}, [][]r2.Point{box(1, -0.05, 1.5, 0.05)}, 0.25},
	} {
		at, r := LargestDisk(c.clear, c.centre)
		if math.Abs(r-c.want) > diskTolerance {
			t.Errorf("%s: radius %.12f at %v, want %.12f", c.name, r, at, c.want)
		}
	}
}

// border is the distance from p to the border of rings, negative outside: slow and plain.
func border(rings [][]r2.Point, p r2.Point) float64 {
	d := math.Inf(1)
	for _, r := range rings {
		d = min(d, Distance(r, p))
	}
	if !inRings(rings, p) {
		return -d
	}
	return d
}

// searched looks for a larger disc by sampling and by random steps that shrink, from the best samples.
func searched(rng *rand.Rand, clear, centre [][]r2.Point, samples int) (r2.Point, float64) {
	b := r2.RectFromPoints(centre[0]...)
	for _, r := range centre {
		b = b.Union(r2.RectFromPoints(r...))
	}
	best, found := -1.0, r2.Point{}
	try := func(p r2.Point) bool {
		if !inRings(centre, p) {
			return false
		}
		d := border(clear, p)
		if d > best {
			best, found = d, p
			return true
		}
		return false
	}
	for range samples {
		try(r2.Point{X: b.X.Lo + rng.Float64()*b.X.Length(), Y: b.Y.Lo + rng.Float64()*b.Y.Length()})
	}
	for step := b.Size().Norm() / 10; step > 1e-13; step *= 0.8 {
		for range 12 {
			a := rng.Float64() * 2 * math.Pi
			try(found.Add(r2.Point{X: step * math.Cos(a), Y: step * math.Sin(a)}))
		}
	}
	return found, best
}

// randomRegion is a star with star-shaped bites and holes, as overlaying lobes leaves them: several pieces, holes,
// touching places and slivers.
func randomRegion(rng *rand.Rand, edges int) [][]r2.Point {
	shape := region.FromRings(randomStar(rng, 3+rng.IntN(edges), 0.3))
	for range rng.IntN(6) {
		at := r2.Point{X: rng.Float64()*2 - 1, Y: rng.Float64()*2 - 1}
		bite := randomStar(rng, 3+rng.IntN(edges), 0.5)
		for i := range bite {
			bite[i] = bite[i].Mul(0.05 + 0.4*rng.Float64()).Add(at)
		}
		if area := Area(bite); area < 0 {
			bite = Reverse(bite)
		}
		shape = region.Difference(shape, region.FromRings(bite))
	}
	return shape.Rings()
}

func TestLargestDiskIsNeverBeatenBySearch(t *testing.T) {
	rng := newRand(11)
	worstGap, worstOver, close, rounds := 0.0, 0.0, 0, 0
	for round := range 250 {
		clear := randomRegion(rng, 40)
		if len(clear) == 0 {
			continue
		}
		centre := clear
		var given [][]r2.Point
		if round%2 == 1 {
			centre = randomRegion(rng, 20)
			given = centre
			if len(centre) == 0 {
				continue
			}
		}
		c, r := LargestDisk(clear, given)
		if r > 0 {
			inside := border(clear, c)
			worstOver = max(worstOver, r-inside)
			if r-inside > 1e-12 { // rounding of coordinates near 1
				t.Errorf("round %d: disc of %.15f at %v stands out: the border is %.15f away", round, r, c, inside)
			}
			if away := border(centre, c); away < -1e-12 {
				t.Errorf("round %d: centre %v outside its region by %g", round, c, -away)
			}
		}
		p, best := searched(rng, clear, centre, 600)
		worstGap = max(worstGap, best-r)
		rounds++
		if best > r-1e-6 {
			close++
		}
		if best-r > diskTolerance {
			t.Errorf("round %d: radius %.12f at %v, but %.12f fits at %v", round, r, c, best, p)
		}
	}
	if close < rounds/2 {
		t.Errorf("the search came within a micrometre in %d of %d rounds only: too weak a judge", close, rounds)
	}
	t.Logf("search within 1e-6 in %d of %d rounds; largest excess of search over answer %.3g, of answer over the border's distance %.3g", close, rounds, worstGap, worstOver)
}

// lobedRegion has about n edges: a round zone less lobe-like bites all round, smooth on both sides.
func lobedRegion(n int) [][]r2.Point {
	const lobes = 12
	shape := region.FromRings(Circle(r2.Point{}, 3, 1e-3))
	shape = region.Difference(shape, region.FromRings(Circle(r2.Point{}, 0.5, 1e-4)))
	for k := range lobes {
		lobe := make(Ring, n/lobes)
		for i := range lobe {
			a := 2 * math.Pi * float64(i) / float64(len(lobe))
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.05*math.Sin(float64(3*k))) / lobes)
			x, y := 1.7+1.1*math.Cos(a), (0.35+0.1*math.Cos(3*a))*math.Sin(a)
			lobe[i] = r2.Point{X: cos*x - sin*y, Y: sin*x + cos*y}
		}
		shape = region.Difference(shape, region.FromRings(lobe))
	}
	return shape.Rings()
}

func BenchmarkLargestDisk(b *testing.B) {
	for _, n := range []int{500, 5000, 50000} {
		clear := lobedRegion(n)
		zone := [][]r2.Point{RoundedRectangle(3, 3, 0.5, r2.Point{X: 1}, 1e-3)}
		edges := 0
		for _, r := range clear {
			edges += len(r)
		}
		for name, centre := range map[string][][]r2.Point{"anywhere": nil, "in a zone": zone} {
			b.Run(fmt.Sprintf("%d edges %s", n, name), func(b *testing.B) {
				for b.Loop() {
					c, r := LargestDisk(clear, centre)
					if d := border(clear, c); !(r > 0.05) || math.Abs(d-r) > 1e-12 {
						b.Fatalf("radius %g, border %g away", r, d)
					}
				}
				b.ReportMetric(float64(edges), "edges")
			})
		}
	}
}

// Rings crossing themselves on a lattice as fine as the search's own slack, where distances tie with its level, and
// sizes far beyond any machine: the search must end.
func TestLargestDiskEndsOnLatticeRings(t *testing.T) {
	rng := newRand(1)
	lattice := func(size float64) [][]r2.Point {
		r := make(Ring, rng.IntN(60))
		for i := range r {
			r[i] = r2.Point{X: float64(rng.IntN(40)) * size, Y: float64(rng.IntN(40)) * size}
		}
		return [][]r2.Point{r}
	}
	for round := range 1200 {
		size := [4]float64{diskSlack / 10, diskSlack / 4, 1, 1e25}[round%4]
		clear := lattice(size)
		c, r := LargestDisk(clear, lattice(size))
		if away := border(clear, c); r > 0 && math.Abs(r-away) > 1e-12*40*size {
			t.Errorf("round %d: radius %g, border %g away", round, r, away)
		}
	}
}

// Whatever the rings, the search ends and the disc it gives lies inside.
func FuzzLargestDisk(f *testing.F) {
	f.Add([]byte{0, 0, 9, 0, 9, 9, 0, 9}, []byte{1, 1, 2, 1, 2, 2}, 1.0)
	f.Add([]byte{0, 0, 9, 9, 9, 0, 0, 9, 0, 0, 0, 0}, []byte{}, 1e-9)
	f.Add([]byte{5, 5, 5, 5, 1, 1, 9, 9, 1, 1, 3, 3}, []byte{0, 0, 9, 0, 9, 9, 0, 9}, 1e7)
	f.Add([]byte{0, 0, 9, 0, 9, 9}, []byte{0, 0, 1, 1}, math.Inf(1))
	f.Fuzz(func(t *testing.T, clear, centre []byte, size float64) {
		if len(clear) > 200 || len(centre) > 200 {
			return
		}
		rings := func(b []byte) [][]r2.Point {
			out := [][]r2.Point{nil}
			for i := 0; i+1 < len(b); i += 2 {
				if b[i] == 255 {
					out = append(out, nil)
				}
				k := len(out) - 1
				out[k] = append(out[k], r2.Point{X: float64(b[i]) * size, Y: float64(b[i+1]) * size})
			}
			return slices.DeleteFunc(out, func(r Ring) bool { return len(withoutRepeats(r)) < 2 }) // a lone point bounds nothing
		}
		region := rings(clear)
		c, r := LargestDisk(region, rings(centre))
		if !(r > 0) || !(math.Abs(size) < 1e100) {
			return
		}
		if d := border(region, c); math.Abs(d-r) > 1e-12*(1+256*math.Abs(size)) {
			t.Fatalf("disc of %g at %v, but the border is %g away", r, c, d)
		}
	})
}
