package resolve

import (
	"math"
	"testing"

	"echowright/geometry"
	"echowright/planner/scene"
)

func areaOf(z scene.Zone) float64 {
	a := 0.0
	for _, r := range z.Rings {
		a += geometry.Area(r)
	}
	return a
}

// Areas of zones against their closed forms. Body: 1.2 m by 0.8 m, corner 0.1 m.
func TestZoneAreas(t *testing.T) {
	const l, w, c = 1.2, 0.8, 0.1
	round := 2*(l+w) - 8*c + 2*math.Pi*c
	for _, z := range []struct {
		name, text string
		want       float64
	}{
		// Steiner: an offset by d of a convex body adds P d + π d²
		{"band all round", "band: {along: all, depth: 0.1..0.5 m}", round*0.4 + math.Pi*(0.25-0.01)},
		{"band from the outline on", "band: {along: all, depth: 0..0.5 m}", round*0.5 + math.Pi*0.25},
		// the strip |y| ≤ w/2 behind the rear: straight part, and on either side what a ring of c+near to c+far leaves over 0..c
		{"band along the rear", "band: {along: rear, depth: 0.2..0.5 m}", (w-2*c)*0.3 + 2*(underArc(0.6, c)-underArc(0.3, c))},
		{"band along the left", "band: {along: left, depth: 0.2..0.5 m}", (l-2*c)*0.3 + 2*(underArc(0.6, c)-underArc(0.3, c))},
		{"band past corners", "band: {along: front, depth: 0.3..0.5 m, past-corners: 100 mm}", (w-2*c)*0.2 + 2*(underArc(0.6, 0.2)-underArc(0.4, 0.2))},
		{"sector", "sector: {centre: [1 m, 0 m], radius: 0.3..1.2 m, bearing: -40..40 deg}", 80 * math.Pi / 180 / 2 * (1.44 - 0.09)},
		{"sector to its centre", "sector: {from: rear, left: 0.2 m, radius: 0..1.2 m, bearing: 150..200 deg}", 50 * math.Pi / 180 / 2 * 1.44},
		{"ring", "sector: {centre: [0 m, 0 m], radius: 1..2 m, bearing: 0..360 deg}", math.Pi * 3},
		{"lane", "swept: {way: forward, reach: 1.4 m, wider-by: 50 mm}", (w + 0.1) * (1.4 + c)},
		{"lane back", "swept: {way: backward, reach: 1 m}", w * (1 + c)},
		{"lane left", "swept: {way: left, reach: 1 m, wider-by: 10 mm}", (l + 0.02) * (1 + c)},
		{"lane right", "swept: {way: right, reach: 1 m, wider-by: 10 mm}", (l + 0.02) * (1 + c)},
		{"polygon, clockwise", "polygon: [[1 m, 0 m], [1 m, 1 m], [2 m, 1 m], [2 m, 0 m]]", 1},
	} {
		sc := resolved(t, with(t, "swept: {way: forward, reach: 1 m}", z.text))
		got := areaOf(sc.Zones[0])
		// curves are drawn within errM: the area may differ by that along the longest border of curves, 7.6 m
		if math.Abs(got-z.want) > errM*8 {
			t.Errorf("%s: %.6f m2, want %.6f", z.name, got, z.want)
		}
		if a := geometry.Area(sc.Zones[0].Rings[0]); a <= 0 {
			t.Errorf("%s: outer ring has area %g", z.name, a)
		}
	}
}

// underArc is the area between the x axis and a circle of radius r about the origin over 0..x.
func underArc(r, x float64) float64 {
	return (x*math.Sqrt(r*r-x*x) + r*r*math.Asin(x/r)) / 2
}

// A body with a pointed bow: the lane begins where it has its full width.
func TestLaneOfPointedBody(t *testing.T) {
	sc := resolved(t, demos(t)["hall-sweeper.yaml"])
	for _, z := range sc.Zones {
		if z.Name != "sweep lane" {
			continue
		}
		if b := areaOf(z); math.Abs(b-(0.84+0.2)*(0.75-0.55+1.5)) > 1e-9 {
			t.Errorf("lane of %.6f m2", b)
		}
	}
}

func TestDemandDefaults(t *testing.T) {
	sc := resolved(t, with(t, ", share: 90 %", ""))
	if z := sc.Zones[0]; z.Share != 1 || !math.IsNaN(z.GapM) || z.SeenBy != 1 || len(sc.Assumed) != 1 {
		t.Errorf("%+v, assumed %+v", z, sc.Assumed)
	}
	sc = resolved(t, with(t, "share: 90 %", "largest-gap: 40 mm, only-in: flap up"))
	if z := sc.Zones[0]; !math.IsNaN(z.Share) || z.GapM != 0.04 || z.In("flap down") || !z.In("flap up") {
		t.Errorf("%+v", z)
	}
	if p := sc.Body.Parts[1]; p.In("flap up") || !p.In("flap down") || p.RadiusM != 0 {
		t.Errorf("%+v", p)
	}
	if p := sc.Body.Parts[0]; p.RadiusM != 0.02 || p.Centre.X != -0.3 || !p.In("flap up") {
		t.Errorf("%+v", p)
	}
}

// Recessed sensors may sit inside, and walls may be none.
func TestAllowed(t *testing.T) {
	sc := resolved(t, with(t, "at: {from: front, left: 50 mm}", "recessed: true, at: {place: [0.58 m, 0 m]}"))
	if s := sc.Sensors[0]; !s.Recessed || s.At.X != 0.58 || !math.IsNaN(s.ArcM) {
		t.Errorf("%+v", s)
	}
	sc = resolved(t, with(t, "walls: 0.5..8 m", "walls: none"))
	if w := sc.Around.WallsM; w.Lo <= w.Hi {
		t.Errorf("walls %+v", w)
	}
	sc = resolved(t, with(t, "rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "path: M 600 -400 V 400 H -600 V -400 Z, scale: 1 mm"))
	if a := geometry.Area(sc.Body.Outline); math.Abs(a-0.96) > 1e-12 {
		t.Errorf("outline by path encloses %g m2", a)
	}
}
