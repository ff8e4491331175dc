package view

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner"
	"echowright/planner/editor/canvas"
	"echowright/planner/plan"
)

// A cut ring holds the places of the ring that lie in the rectangle, and no others; a cut line those of the line.
func TestCut(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	frame := canvas.Rect{X: 10, Y: 20, W: 100, H: 60}
	for range 300 {
		ring := make([]canvas.Point, 3+rnd.IntN(6))
		for i := range ring {
			ring[i] = canvas.Point{rnd.NormFloat64()*80 + 60, rnd.NormFloat64()*60 + 50}
		}
		cut := cutRing(ring, frame)
		for _, q := range cut {
			if q[0] < 10 || q[0] > 110 || q[1] < 20 || q[1] > 80 {
				t.Fatalf("%v leaves the frame", q)
			}
		}
		for range 50 {
			q := canvas.Point{10 + 100*rnd.Float64(), 20 + 60*rnd.Float64()}
			if holds(polygon(ring), q) != holds(polygon(cut), q) {
				t.Fatalf("%v is in the ring %v, in what was cut %v", q, ring, cut)
			}
		}
		whole := 0.0
		for i := 1; i < 3; i++ {
			const steps = 20000
			a, b := ring[i-1], ring[i]
			for k := range steps {
				u := (float64(k) + 0.5) / steps
				if frame.Holds(canvas.Point{a[0] + u*(b[0]-a[0]), a[1] + u*(b[1]-a[1])}) {
					whole += math.Hypot(b[0]-a[0], b[1]-a[1]) / steps
				}
			}
		}
		got := 0.0
		for _, piece := range cutLine(ring[:3], frame) {
			for i := 1; i < len(piece); i++ {
				got += math.Hypot(piece[i][0]-piece[i-1][0], piece[i][1]-piece[i-1][1])
			}
		}
		if math.Abs(got-whole) > 0.1 {
			t.Fatalf("%g points of the line are in the frame, cut %g", whole, got)
		}
	}
}

func polygon(pts []canvas.Point) plan.Polygon {
	var r plan.Ring
	for _, q := range pts {
		r = append(r, q)
	}
	return plan.Polygon{r}
}

// sample is the plan of a sample layout.
func sample(t testing.TB, name string) *plan.Plan {
	data, err := layouts.FS.ReadFile(name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	sc, list := planner.Load(name, data, assets.Kinds())
	if sc == nil {
		t.Fatal(list)
	}
	p, err := planner.Analyse(context.Background(), sc, planner.Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What two chosen sensors both see has the area the plan tells.
func TestOverlapArea(t *testing.T) {
	p := sample(t, "first-rover")
	if len(p.Overlaps) == 0 {
		t.Fatal("no overlaps")
	}
	var c Cache
	c.begin(p)
	for _, o := range p.Overlaps {
		area := 0.0
		for _, r := range c.overlap(p, o) {
			for i, b := range r {
				a := r[(i+len(r)-1)%len(r)]
				area += (a[0]*b[1] - a[1]*b[0]) / 2
			}
		}
		if math.Abs(area-o.AreaM2) > 1e-4*o.AreaM2+1e-6 {
			t.Errorf("%s and %s: %g m², the plan has %g", o.A, o.B, area, o.AreaM2)
		}
	}
}

// The sensors that see a place are those whose sight the plan's own areas count: over a sample's zone, the share of places
// seen by none is that of the plan.
func TestSeersAgreeWithTheCoverage(t *testing.T) {
	p := sample(t, "shelf-cart")
	for _, want := range p.Coverage {
		var zone plan.Polygon
		for _, z := range p.Zones {
			if z.Name == want.Zone && z.Target == want.Target && z.State == want.State {
				zone = z.Polygon
			}
		}
		if zone == nil {
			continue
		}
		s := &sheet{p: p, target: want.Target, state: want.State}
		b := emptyBox()
		for _, q := range zone[0] {
			b.add(q)
		}
		rnd := rand.New(rand.NewPCG(1, 9))
		in, seen := 0, 0
		for range 4000 {
			q := [2]float64{b.lo[0] + rnd.Float64()*(b.hi[0]-b.lo[0]), b.lo[1] + rnd.Float64()*(b.hi[1]-b.lo[1])}
			if !holds(zone, q) {
				continue
			}
			in++
			if n := len(s.seersAt(q)); n >= max(want.Required.SeenBy, 1) {
				seen++
			}
		}
		share := want.CoveredM2 / want.AreaM2
		if got := float64(seen) / float64(in); math.Abs(got-share) > 4*math.Sqrt(share*(1-share)/float64(in))+0.005 {
			t.Errorf("%s: %g of %d places are seen, the plan says %g", want.Zone, got, in, share)
		}
	}
}
