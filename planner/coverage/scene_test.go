package coverage

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// busyCart is the cart with everything a scene may have: a mast that shades and answers, a bracket in one
// state, a second zone with a turned wall, a demand of two.
func busyCart(n int) *scene.Scene {
	sc := cart(n)
	sc.States = []string{"empty", "loaded"}
	sc.Body.Parts = []scene.Part{
		{Name: "hook", HeightM: scene.Span{Lo: 0.1, Hi: 0.3}, Outline: []r2.Point{{X: -0.35, Y: 0.03}, {X: -0.45, Y: 0.02}, {X: -0.45, Y: -0.025}, {X: -0.35, Y: -0.03}}},
		{Name: "crate", HeightM: scene.Span{Lo: 0.15, Hi: 0.6}, OnlyIn: []string{"loaded"}, Outline: []r2.Point{
			{X: 0.52, Y: 0.22}, {X: 0.58, Y: 0.22}, {X: 0.58, Y: 0.3}, {X: 0.52, Y: 0.3}}},
	}
	sc.Zones = append(sc.Zones, scene.Zone{
		Name: "lane", Rings: [][]r2.Point{{{X: 1.4, Y: -0.4}, {X: 1.4, Y: 0.4}, {X: 0.3, Y: 0.4}, {X: 0.3, Y: -0.4}}},
		Target: 1, SeenBy: 2, Share: 0.5, GapM: math.NaN(), OnlyIn: []string{"empty"},
	})
	return sc
}

// moved applies a map of the plane that keeps lengths to a whole scene; turn is what it adds to a heading
// after flip turned it over.
func moved(sc *scene.Scene, flip bool, turn s1.Angle, by r2.Point) *scene.Scene {
	sin, cos := math.Sincos(turn.Radians())
	at := func(p r2.Point) r2.Point {
		if flip {
			p.Y = -p.Y
		}
		return r2.Point{X: cos*p.X - sin*p.Y + by.X, Y: sin*p.X + cos*p.Y + by.Y}
	}
	ring := func(r []r2.Point) []r2.Point {
		out := make([]r2.Point, len(r))
		for i, p := range r {
			out[i] = at(p)
		}
		if flip {
			out = geometry.Reverse(out)
		}
		return out
	}
	m := *sc
	m.Body.Outline = ring(sc.Body.Outline)
	m.Body.Parts = nil
	for _, p := range sc.Body.Parts {
		p.Outline, p.Centre = ring(p.Outline), at(p.Centre)
		m.Body.Parts = append(m.Body.Parts, p)
	}
	m.Sensors = nil
	for _, s := range sc.Sensors {
		s.At = at(s.At)
		if flip {
			s.Heading = -s.Heading
		}
		s.Heading += turn
		m.Sensors = append(m.Sensors, s)
	}
	m.Zones = nil
	for _, z := range sc.Zones {
		rings := z.Rings
		z.Rings = nil
		for _, r := range rings {
			z.Rings = append(z.Rings, ring(r))
		}
		m.Zones = append(m.Zones, z)
	}
	return &m
}

// same holds two results against each other: every figure that does not name a place.
func same(t *testing.T, a, b Result) {
	t.Helper()
	// The task asks for 1e-9 (m, m²); the grid of the arrangement is 6e-11 m.
	const tolerance = 1e-9
	if len(a.Coverage) != len(b.Coverage) || len(a.BlindSpots) != len(b.BlindSpots) || len(a.Overlaps) != len(b.Overlaps) || len(a.Masks) != len(b.Masks) {
		t.Fatalf("%d/%d verdicts, %d/%d spots, %d/%d overlaps, %d/%d readings", len(a.Coverage), len(b.Coverage), len(a.BlindSpots), len(b.BlindSpots),
			len(a.Overlaps), len(b.Overlaps), len(a.Masks), len(b.Masks))
	}
	for i, c := range a.Coverage {
		d := b.Coverage[i]
		if c.Met != d.Met {
			t.Errorf("%s: met %v and %v", c.Zone, c.Met, d.Met)
		}
		near(t, c.Zone+" area", d.AreaM2, c.AreaM2, tolerance)
		near(t, c.Zone+" covered", d.CoveredM2, c.CoveredM2, tolerance)
		near(t, c.Zone+" gap", d.WidestGapM, c.WidestGapM, 2*tolerance)
		for k := range c.FoldM2 {
			near(t, c.Zone+" fold", d.FoldM2[k], c.FoldM2[k], tolerance)
		}
	}
	for i, o := range a.Overlaps {
		near(t, o.A+" and "+o.B, b.Overlaps[i].AreaM2, o.AreaM2, tolerance)
	}
	for i, m := range a.Masks {
		if m.Sensor != b.Masks[i].Sensor || m.What != b.Masks[i].What {
			t.Errorf("reading %d: %+v and %+v", i, m, b.Masks[i])
		}
		near(t, m.Sensor+" reads", b.Masks[i].ReadsM, m.ReadsM, tolerance)
		near(t, m.Sensor+" hears", b.Masks[i].LevelDB, m.LevelDB, 1e-6) // dB: it goes with 1/distance, 100 dB to the metre at the nearest
	}
	var sumA, sumB = map[string]float64{}, map[string]float64{}
	for i, s := range a.BlindSpots {
		sumA[s.Zone+s.State+s.Cause+s.Part] += s.AreaM2
		sumB[b.BlindSpots[i].Zone+b.BlindSpots[i].State+b.BlindSpots[i].Cause+b.BlindSpots[i].Part] += b.BlindSpots[i].AreaM2
	}
	for k, area := range sumA {
		near(t, k, sumB[k], area, 10*tolerance)
	}
}

func TestMovedTurnedAndMirroredScenesAgree(t *testing.T) {
	sc := busyCart(7)
	want := analyse(sc, listenAll(t, sc, 1.2))
	if len(want.BlindSpots) == 0 || len(want.Masks) == 0 {
		t.Fatalf("the scene should have blind spots and readings of its own: %d, %d", len(want.BlindSpots), len(want.Masks))
	}
	for _, m := range []*scene.Scene{
		moved(sc, false, 0, r2.Point{X: 3.217, Y: -1.703}),
		moved(sc, false, 37*s1.Degree, r2.Point{X: -0.4, Y: 2}),
		moved(sc, true, 0, r2.Point{}),
		moved(sc, true, 101*s1.Degree, r2.Point{X: 1}),
	} {
		same(t, want, analyse(m, listenAll(t, m, 1.2)))
	}
}

func TestSameBytesOnAnyNumberOfWorkers(t *testing.T) {
	sc := busyCart(6)
	var want []byte
	for _, workers := range []int{1, 2, 5} {
		in := listenAll(t, sc, 1.2)
		in.Workers = workers
		got, err := json.Marshal(analyse(sc, in))
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = got
		} else if string(got) != string(want) {
			t.Errorf("%d workers give other bytes", workers)
		}
	}
}

func TestOneMoreSensorNeverShrinksCoverage(t *testing.T) {
	sc := busyCart(10)
	before := -1.0
	for n := 0; n <= len(sc.Sensors); n += 2 {
		part := *sc
		part.Sensors = sc.Sensors[:n]
		c := analyse(&part, listenAll(t, &part, 1.2)).Coverage[0]
		if c.CoveredM2 < before-1e-9 {
			t.Errorf("%d sensors cover %g m2, fewer covered %g", n, c.CoveredM2, before)
		}
		before = c.CoveredM2
	}
}

// TestPlanOverlaysToItsOwnFigures does what another program would: overlay the printed polygons.
func TestPlanOverlaysToItsOwnFigures(t *testing.T) {
	sc := busyCart(8)
	r := analyse(sc, listenAll(t, sc, 1.2))
	for _, c := range r.Coverage {
		var zone region.Set
		for _, z := range r.Zones {
			if z.Name == c.Zone && z.State == c.State {
				zone = region.Union(zone, setOf(z.Polygon))
			}
		}
		layers, of := []region.Set{zone}, []int{}
		for _, s := range sc.Sensors {
			var lobe region.Set
			for _, l := range r.Lobes {
				if l.Sensor == s.Name && l.Target == c.Target && l.State == c.State {
					piece := setOf(l.Polygon)
					near(t, "pieces of "+s.Name+" in common", region.Intersect(lobe, piece).Area(), 0, 1e-12)
					lobe = region.Union(lobe, piece)
				}
			}
			of = append(of, len(layers))
			layers = append(layers, lobe)
		}
		fold := region.NewOverlay(layers...).FoldAreas(0, of)
		for k, want := range c.FoldM2 {
			near(t, c.Zone+" fold", fold[k], want, 1e-9)
		}
	}
	for _, b := range r.BlindSpots {
		near(t, "area of a spot", setOf(b.Polygon).Area(), b.AreaM2, 1e-9)
		if b.HidesM > r.Coverage[0].WidestGapM+1e-9 && b.Zone == r.Coverage[0].Zone && b.State == r.Coverage[0].State {
			t.Errorf("a spot hides %g, the widest gap is %g", b.HidesM, r.Coverage[0].WidestGapM)
		}
	}
}

func setOf(p plan.Polygon) region.Set {
	var rings [][]r2.Point
	for _, r := range p {
		var ring []r2.Point
		for _, q := range r {
			ring = append(ring, r2.Point{X: q[0], Y: q[1]})
		}
		rings = append(rings, ring)
	}
	return region.FromRings(rings...)
}

func TestStrongerDrierAndLargerNeverSeeLess(t *testing.T) {
	covered := func(change func(sc *scene.Scene)) float64 {
		sc := cart(5)
		change(sc)
		return analyse(sc, listenAll(t, sc, 1.5)).Coverage[0].CoveredM2
	}
	plain := covered(func(*scene.Scene) {})
	for name, change := range map[string]func(sc *scene.Scene){
		"stronger": func(sc *scene.Scene) { sc.Kinds[0].Ranges[0].M.X = 2.5 },
		"larger":   func(sc *scene.Scene) { sc.Targets[0].RadiusM = 0.05 },
		"softer":   func(sc *scene.Scene) { sc.Targets[0].LossDB.X = -3 },
	} {
		if got := covered(change); got < plain {
			t.Errorf("%s: %g m2 covered, plain %g", name, got, plain)
		}
	}
}

func TestVerdictWithinTheDrawingsErrorIsSaid(t *testing.T) {
	sc := cart(12)
	c := analyse(sc, listenAll(t, sc, 1.2)).Coverage[0]
	if c.AreaErrorM2 <= 0 || c.WidestGapM <= 0 {
		t.Fatalf("the scene should have a gap: %+v", c)
	}
	sc.Zones[0].Share = (c.CoveredM2 + c.AreaErrorM2/2) / c.AreaM2
	sc.Zones[0].GapM = c.WidestGapM + 1e-4
	r := analyse(sc, listenAll(t, sc, 1.2))
	tight := 0
	for _, f := range r.Findings {
		if f.Code == CodeTight {
			tight++
		}
	}
	if tight != 2 || r.Coverage[0].Met {
		t.Errorf("share missed and gap met, both by less than the error: %d findings say so, met %v", tight, r.Coverage[0].Met)
	}
}

func TestReachErrorBoundHolds(t *testing.T) {
	// Lobes ten times finer move the covered area by no more than the coarser bound says.
	sc := cart(6)
	coarse, fine := listenAll(t, sc, 1.2), listenAll(t, sc, 1.2)
	coarse.ErrorM, fine.ErrorM = 5e-3, 1e-4
	a, b := analyse(sc, coarse).Coverage[0], analyse(sc, fine).Coverage[0]
	if d := math.Abs(a.CoveredM2 - b.CoveredM2); d > a.AreaErrorM2+b.AreaErrorM2 {
		t.Errorf("covered moved by %g m2, the bound says %g", d, a.AreaErrorM2+b.AreaErrorM2)
	}
	if d := math.Abs(a.WidestGapM - b.WidestGapM); d > 2*(5e-3+1e-4) {
		t.Errorf("widest gap moved by %g m", d)
	}
}

var _ ear = (*acoustics.Ear)(nil)

func BenchmarkAnalyse(b *testing.B) {
	for _, n := range []int{12, 64} {
		b.Run(map[int]string{12: "12 sensors", 64: "64 sensors"}[n], func(b *testing.B) {
			sc := cart(n)
			sc.Zones = append(sc.Zones, scene.Zone{Name: "far", Rings: band(sc.Body.Outline, 0.2, 1.4), Target: 1, SeenBy: 1, Share: 0.9, GapM: 0.1})
			in := listenAll(b, sc, 1.5)
			for b.Loop() {
				if r := analyse(sc, in); len(r.Coverage) != 2 || r.Coverage[0].CoveredM2 <= 0 {
					b.Fatal("no coverage")
				}
			}
		})
	}
}
