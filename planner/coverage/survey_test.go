package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
	"github.com/peterstace/simplefeatures/geom"

	"echowright/geometry"
	"echowright/geometry/region"
)

// fine is the sagitta of the arcs of exact lobes, m: an area with arcs of 10 m in all is off by less than 1e-7 m².
const fine = 1e-8

// wedge is a sector of a ring, its arcs within err of the round ones.
func wedge(apex r2.Point, middle s1.Angle, half, from, to, err float64) region.Set {
	return region.FromRings(wedgeRing(apex, middle, half, from, to, err))
}

// wedgeRing is its outline; the points of an arc depend on nothing but the arc, so that wedges may share one.
func wedgeRing(apex r2.Point, middle s1.Angle, half, from, to, err float64) []r2.Point {
	ring := arc(apex, middle, half, to, err)
	if from <= 0 {
		return append(ring, apex)
	}
	inner := arc(apex, middle, half, from, err)
	slices.Reverse(inner)
	return append(ring, inner...)
}

func arc(c r2.Point, middle s1.Angle, half, radius, err float64) (points []r2.Point) {
	n := max(1, int(math.Ceil(half/math.Sqrt(2*err/radius))))
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(middle.Radians() + half*(2*float64(i)/float64(n)-1))
		points = append(points, r2.Point{X: c.X + radius*cos, Y: c.Y + radius*sin})
	}
	return points
}

func box(x0, y0, x1, y1 float64) region.Set {
	return region.FromRings([]r2.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
}

const up = 90 * s1.Degree

// Values of the next five tests: sector and V-gap by elementary geometry, the others reckoned for this project
// by small programs of their own from the formulas in the comments, six digits printed.

func TestSectorSeesASectorZone(t *testing.T) {
	// R²·θ/2 with R = 2.5 m, θ = 60 deg; with 0.3 m blind (R² − r²)·θ/2.
	zone := wedge(r2.Point{}, 0, 30*math.Pi/180, 0, 2.5, fine)
	s := surveyZones([]demand{{zone, 1}}, []region.Set{wedge(r2.Point{}, 0, 30*math.Pi/180, 0.3, 2.5, fine)}).zones
	near(t, "zone", s[0].area, 3.272492, 1e-6)
	near(t, "covered", s[0].covered, 3.225368, 1e-6)
	near(t, "border", s[0].edge, 0.3*math.Pi/3, 1e-6)
	s = surveyZones([]demand{{zone, 1}}, []region.Set{zone}).zones
	if !s[0].blind.IsEmpty() || s[0].covered != s[0].area {
		t.Errorf("a zone that is its own lobe is not all covered: %g of %g", s[0].covered, s[0].area)
	}
}

func TestThreeBeamsFold(t *testing.T) {
	// Three beams at x = 0, 0.5, 1.0 m facing +y, R = 2 m, half angle 30 deg.
	var lobes []region.Set
	for i := range 3 {
		lobes = append(lobes, wedge(r2.Point{X: 0.5 * float64(i)}, up, 30*math.Pi/180, 0, 2, fine))
	}
	found := surveyZones([]demand{{box(-3, -1, 4, 3), 1}}, lobes)
	s, both := found.zones, found.both
	want := []float64{28 - 3.872668, 2.010592, 1.313635, 0.548441}
	for k, w := range want {
		near(t, fmt.Sprintf("seen by %d", k), s[0].fold[k], w, 1e-6)
	}
	near(t, "weighted sum", s[0].fold[1]+2*s[0].fold[2]+3*s[0].fold[3], 2*math.Pi, 1e-6)
	near(t, "pairs", both[0][1]+both[1][2]+both[0][2], s[0].fold[2]+3*s[0].fold[3], 1e-9)
	near(t, "mirror", both[0][1], both[1][2], 1e-9)
}

func TestVGapHides(t *testing.T) {
	// Parallel beams, spacing b = 0.5 m, half angle α = 30 deg: depth b/(2 tan α), area b²/(4 tan α), widest
	// round thing of radius (b/2)·tan((90 deg − α)/2).
	half := 30 * math.Pi / 180
	lobes := []region.Set{wedge(r2.Point{}, up, half, 0, 2, fine), wedge(r2.Point{X: 0.5}, up, half, 0, 2, fine)}
	s := surveyZones([]demand{{box(0, 0, 0.5, 0.8), 1}}, lobes).zones
	near(t, "area", s[0].area-s[0].covered, 0.108253, 1e-6)
	near(t, "depth", s[0].blind.Bounds().Y.Hi, 0.433013, 1e-6)
	b := new(Memory).describe(s[0].blind, []piece{{cause: OutsideBeams, region: s[0].blind}}, 1e-3)
	near(t, "hides", 2*b.widest.radius, 2*0.144338, 1e-6)
	near(t, "at", b.widest.centre.X, 0.25, 1e-6)
	if len(b.spots) != 1 || b.spots[0].hides.radius != b.widest.radius {
		t.Errorf("one spot with the widest gap expected, got %+v", b.spots)
	}
}

func TestRingGapCloses(t *testing.T) {
	// Body radius ρ = 0.3 m, spacing and half angle 15 deg: the gap closes ρ·sin α / sin(α − δ/2) from the
	// centre; the area of a gap is reckoned from the body's arc.
	const n, rho = 24, 0.3
	var lobes []region.Set
	for i := range n {
		a := s1.Angle(2 * math.Pi * float64(i) / n)
		lobes = append(lobes, wedge(r2.Point{X: rho * math.Cos(a.Radians()), Y: rho * math.Sin(a.Radians())}, a, 15*math.Pi/180, 0, 1.5, fine))
	}
	zone := region.Difference(region.FromRings(geometry.Circle(r2.Point{}, 1, fine)), region.FromRings(geometry.Circle(r2.Point{}, rho, fine)))
	s := surveyZones([]demand{{zone, 1}}, lobes).zones
	near(t, "gaps", (s[0].area-s[0].covered)/n, 0.011513, 1e-6)
	far := 0.0
	for _, r := range s[0].blind.Rings() {
		for _, p := range r {
			far = math.Max(far, p.Norm())
		}
	}
	near(t, "closes at", far, 0.594867, 1e-6)
	near(t, "outside the body", far-rho, 0.294867, 1e-6)
	if pieces := s[0].blind.Pieces(); len(pieces) != n {
		t.Errorf("%d gaps, want %d", len(pieces), n)
	}
}

// blob is a star-shaped polygon with random radii.
func blob(rng *rand.Rand, corners int) []r2.Point {
	c := r2.Point{X: rng.Float64() * 2, Y: rng.Float64() * 2}
	ring := make([]r2.Point, corners)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		radius := 0.2 + 0.8*rng.Float64()
		ring[i] = r2.Point{X: c.X + radius*cos, Y: c.Y + radius*sin}
	}
	return ring
}

func TestFoldsAddUpAndAnExtraLobeNeverTakes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 60 {
		zone := demand{region.Difference(region.FromRings(blob(rng, 40)), box(0.8, 0.8, 1.1, 1.2)), 1 + rng.IntN(3)}
		var lobes []region.Set
		for range 2 + rng.IntN(8) {
			lobes = append(lobes, region.FromRings(blob(rng, 5+rng.IntN(60))))
		}
		s := surveyZones([]demand{zone}, lobes).zones
		sum := 0.0
		for _, a := range s[0].fold {
			sum += a
		}
		near(t, "folds", sum, zone.region.Area(), 1e-9)
		near(t, "covered and blind", s[0].covered+s[0].blind.Area(), s[0].area, 1e-9)
		more := surveyZones([]demand{zone}, append(lobes, region.FromRings(blob(rng, 30)))).zones
		if more[0].covered < s[0].covered-1e-9 {
			t.Errorf("one more lobe took %g m2", s[0].covered-more[0].covered)
		}
		if w, was := new(Memory).widestOf(more[0].blind), new(Memory).widestOf(s[0].blind); w.radius > was.radius+1e-9 {
			t.Errorf("one more lobe widened the gap from %g to %g", was.radius, w.radius)
		}
	}
}

// TestFoldsAgainstAnotherLibrary holds k-fold areas, pairs and blind area against successive overlays of simplefeatures.
func TestFoldsAgainstAnotherLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	worst := 0.0
	for range 25 {
		zoneRing := blob(rng, 24)
		rings := make([][]r2.Point, 2+rng.IntN(4))
		lobes := make([]region.Set, len(rings))
		for i := range rings {
			rings[i] = blob(rng, 4+rng.IntN(30))
			lobes[i] = region.FromRings(rings[i])
		}
		found := surveyZones([]demand{{region.FromRings(zoneRing), 1}}, lobes)
		s, both := found.zones, found.both
		for k, want := range foldsElsewhere(t, zoneRing, rings) {
			got := 0.0
			if k < len(s[0].fold) {
				got = s[0].fold[k]
			}
			worst = math.Max(worst, math.Abs(got-want)/s[0].area)
		}
		want := overlayElsewhere(t, geom.Intersection, shape(t, rings[0]), shape(t, rings[1])).Area()
		worst = math.Max(worst, math.Abs(both[0][1]-want)/lobes[0].Area())
	}
	t.Logf("worst relative deviation %.2g", worst)
	// The task asks for 1e-6; the other library snaps nothing, ours to 6e-11 m.
	if worst > 1e-8 {
		t.Errorf("worst relative deviation %g", worst)
	}
}

// foldsElsewhere peels: level[k] is what at least k+1 of the lobes hold.
func foldsElsewhere(t *testing.T, zone []r2.Point, lobes [][]r2.Point) []float64 {
	var level []geom.Geometry
	for _, l := range lobes {
		carry := overlayElsewhere(t, geom.Intersection, shape(t, zone), shape(t, l))
		for k := range level {
			next := overlayElsewhere(t, geom.Intersection, level[k], carry)
			level[k] = overlayElsewhere(t, geom.Union, level[k], carry)
			carry = next
		}
		level = append(level, carry)
	}
	at := []float64{shape(t, zone).Area()}
	for _, g := range level {
		at = append(at, g.Area())
	}
	for k := range len(at) - 1 {
		at[k] -= at[k+1]
	}
	return at
}

func overlayElsewhere(t *testing.T, do func(a, b geom.Geometry) (geom.Geometry, error), a, b geom.Geometry) geom.Geometry {
	t.Helper()
	g, err := do(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func shape(t *testing.T, ring []r2.Point) geom.Geometry {
	t.Helper()
	var w strings.Builder
	for _, p := range append(ring[:len(ring):len(ring)], ring[0]) {
		fmt.Fprintf(&w, ",%.17g %.17g", p.X, p.Y)
	}
	g, err := geom.UnmarshalWKT("POLYGON((" + w.String()[1:] + "))")
	if err != nil {
		t.Fatal(err)
	}
	return g
}
