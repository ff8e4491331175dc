package region

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/golang/geo/r2"
	"github.com/peterstace/simplefeatures/geom"
)

// body is a rounded rectangle of 0.8 m by 0.6 m; at returns its point and outward normal at a share
// of its length.
const (
	bodyLength, bodyWidth, bodyCorner = 0.8, 0.6, 0.15
)

func bodyAt(share, outward float64) (p r2.Point, normal float64) {
	a, b := bodyLength-2*bodyCorner, bodyWidth-2*bodyCorner
	quarter := bodyCorner * math.Pi / 2
	s := share * (2*(a+b) + 4*quarter)
	d := outward + bodyCorner
	// From the middle of the front side, counter-clockwise: half a side, corner, side, …
	sides := []float64{b / 2, a, b, a, b / 2}
	corners := []r2.Point{{X: a / 2, Y: b / 2}, {X: -a / 2, Y: b / 2}, {X: -a / 2, Y: -b / 2}, {X: a / 2, Y: -b / 2}, {X: a / 2, Y: b / 2}}
	for i, side := range sides {
		facing := float64(i) * math.Pi / 2
		if s <= side || i == 4 {
			sin, cos := math.Sincos(facing)
			back := side - s // still to go to the corner ahead
			if i == 4 {
				back = b - s
			}
			c := corners[i]
			return r2.Point{X: c.X + d*cos + back*sin, Y: c.Y + d*sin - back*cos}, facing
		}
		s -= side
		if s <= quarter {
			normal = facing + s/bodyCorner
			sin, cos := math.Sincos(normal)
			return r2.Point{X: corners[i].X + d*cos, Y: corners[i].Y + d*sin}, normal
		}
		s -= quarter
	}
	panic("unreachable")
}

// instance makes n lobes of the given number of vertices around the body, with ranges of 1 to 4 m,
// and the band zone of 2.5 m around it. Lobes are the two-way pattern of a piston with its nulls
// rounded off, so that places near the body are seen by a dozen. A ripple (a share of the range)
// makes their boundaries cross far more often.
func instance(n, vertices int, ripple float64) (lobes [][]r2.Point, zone [][]r2.Point) {
	for i := range n {
		apex, normal := bodyAt(float64(i)/float64(n), 0)
		reach := 2.5 + 1.5*math.Sin(2.399963*float64(i)) // the golden angle: no two alike
		width := 0.7 + 0.3*math.Cos(1.7*float64(i))
		lobe := make([]r2.Point, 0, vertices)
		for k := range vertices {
			t := 2*float64(k)/float64(vertices-1) - 1
			bearing := t * 1.4
			x := bearing / width
			r := 0.02 + reach*(math.Exp(-x*x)+0.12*math.Exp(-(math.Abs(x)-2)*(math.Abs(x)-2)*6))
			r *= 1 + ripple*math.Sin(40*bearing+float64(i))
			sin, cos := math.Sincos(normal + bearing)
			lobe = append(lobe, r2.Point{X: apex.X + r*cos, Y: apex.Y + r*sin})
		}
		lobes = append(lobes, lobe)
	}
	var outer, inner []r2.Point
	const zonePoints = 240
	for i := range zonePoints {
		p, _ := bodyAt(float64(i)/zonePoints, 2.5)
		q, _ := bodyAt(1-float64(i)/zonePoints, 0)
		outer, inner = append(outer, p), append(inner, q)
	}
	return lobes, [][]r2.Point{outer, inner}
}

// answer is everything a coverage report needs of one zone and target.
type answer struct {
	folds []float64
	blind Set
	pairs [][]float64
}

func solve(lobes, zone [][]r2.Point) answer {
	layers := make([]Set, 0, len(lobes)+1)
	of := make([]int, 0, len(lobes))
	layers = append(layers, FromRings(zone...))
	for i, l := range lobes {
		layers = append(layers, FromRings(l))
		of = append(of, i+1)
	}
	mask := MaskOf(of...)
	o := NewOverlay(layers...)
	return answer{
		folds: o.FoldAreas(0, of),
		blind: o.Extract(func(l Label) bool { return l.Has(0) && !l.Any(mask) }),
		pairs: o.PairAreas(of),
	}
}

func libraryPolygon(tb testing.TB, rings ...[]r2.Point) geom.Geometry {
	tb.Helper()
	var lines []geom.LineString
	for _, r := range rings {
		var c []float64
		for i := 0; i <= len(r); i++ {
			c = append(c, r[i%len(r)].X, r[i%len(r)].Y)
		}
		lines = append(lines, geom.NewLineString(geom.NewSequence(c, geom.DimXY)))
	}
	p := geom.NewPolygon(lines)
	if err := p.Validate(); err != nil {
		tb.Fatal(err)
	}
	return p.AsGeometry()
}

// librarySuccessive computes the k-fold areas within the zone by overlays one lobe after another:
// at[k] is the part of the zone seen by exactly k so far.
func librarySuccessive(tb testing.TB, lobes [][]r2.Point, zone [][]r2.Point) ([]float64, error) {
	tb.Helper()
	at := []geom.Geometry{libraryPolygon(tb, zone...)}
	for _, l := range lobes {
		lobe := libraryPolygon(tb, l)
		next := make([]geom.Geometry, len(at)+1)
		for k, g := range at {
			in, err := geom.Intersection(g, lobe)
			if err != nil {
				return nil, err
			}
			out, err := geom.Difference(g, lobe)
			if err != nil {
				return nil, err
			}
			if next[k], err = geom.Union(next[k], out); err != nil {
				return nil, err
			}
			next[k+1] = in
		}
		if next[len(at)].IsEmpty() {
			next = next[:len(at)]
		}
		at = next
	}
	areas := make([]float64, len(lobes)+1)
	for k, g := range at {
		areas[k] = g.Area()
	}
	return areas, nil
}

// libraryUnion is the time of the library's plain union of the lobes, all at once and the best of
// twenty. Only its time: the answer has false holes (see TestOracleUnionOfMany).
func libraryUnion(tb testing.TB, lobes [][]r2.Point) time.Duration {
	tb.Helper()
	var polygons []geom.Geometry
	for _, l := range lobes {
		polygons = append(polygons, libraryPolygon(tb, l))
	}
	best := time.Duration(math.MaxInt64)
	for range 20 {
		begin := time.Now()
		g, err := geom.UnionMany(polygons)
		best = min(best, time.Since(begin))
		if err != nil || g.IsEmpty() {
			tb.Fatal("no union", err)
		}
	}
	return best
}

// BenchmarkKFold64 measures all k-fold areas, blind spots and overlaps of 64 lobes of 180 vertices
// in a band zone, rings in, numbers out, against what the library needs for the union of the lobes
// and for the k-fold areas alone, in one run.
func BenchmarkKFold64(b *testing.B) {
	b.Run("smooth", func(b *testing.B) {
		lobes, zone := instance(64, 180, 0)
		union := libraryUnion(b, lobes)
		begin := time.Now()
		folds, err := librarySuccessive(b, lobes, zone)
		successive := time.Since(begin)
		if err != nil {
			b.Fatal(err)
		}
		each := timeSolve(b, lobes, zone, folds)
		b.ReportMetric(float64(union)/float64(each), "×union")
		b.ReportMetric(float64(successive)/float64(each), "×folds")
	})
	b.Run("rippled", func(b *testing.B) {
		lobes, zone := instance(64, 180, 0.1)
		union := libraryUnion(b, lobes)
		each := timeSolve(b, lobes, zone, nil)
		b.ReportMetric(float64(union)/float64(each), "×union")
	})
}

// timeSolve gives the best time, as libraryUnion does, and checks every answer: against the
// library's where given, and that the k-fold areas add up to the zone.
func timeSolve(b *testing.B, lobes, zone [][]r2.Point, library []float64) (each time.Duration) {
	b.Helper()
	area := FromRings(zone...).Area()
	b.ReportAllocs()
	each = math.MaxInt64
	for b.Loop() {
		begin := time.Now()
		a := solve(lobes, zone)
		each = min(each, time.Since(begin))
		sum := 0.0
		for k, f := range a.folds {
			sum += f
			if library != nil && math.Abs(f-library[k]) > 1e-6*area {
				b.Fatalf("%d-fold area %g, library %g", k, f, library[k])
			}
		}
		if math.Abs(sum-area) > 1e-9*area {
			b.Fatalf("k-fold areas add up to %g, zone has %g", sum, area)
		}
	}
	return each
}

func BenchmarkGrowth(b *testing.B) {
	for n := 8; n <= 128; n *= 2 {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			lobes, zone := instance(n, 180, 0)
			timeSolve(b, lobes, zone, nil)
		})
	}
}
