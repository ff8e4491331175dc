package coverage

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

// A sensor set back inside the body sees out of its hole and nowhere else; one that stands on the outline but
// faces inward sees nothing through the body.
func TestBodyShadesASensorInsideIt(t *testing.T) {
	covered := func(x float64, heading s1.Angle) (Result, float64) {
		s := bench(0)
		s.blind = 0
		s.ears[0].half = 1.2
		s.ears[0].mount.At.X, s.ears[0].mount.Heading = x, heading
		r := s.analyse(1)
		return r, r.Coverage[0].CoveredM2
	}
	// Half a millimetre inside is on the outline: as much is seen, but for the place itself.
	_, on := covered(0, 0)
	_, just := covered(-0.0005, 0)
	near(t, "just inside", just, on, 2*0.0005)
	// 30 mm inside, the half plane before the hole is open, as far as the beam is wide at the sensor's own place.
	r, back := covered(-0.03, 0)
	half := 1.2
	base := 0.03 * math.Tan(half) // half width of the beam where it leaves the front
	want := 1 - (0.5-base)*(0.5-base)/math.Tan(half)
	near(t, "set back", back, want, 3*arcError)
	if !raised(r, CodeHousing) {
		t.Errorf("not told: %+v", r.Findings)
	}
	// Facing back through a metre of body, from its front, nothing of the zone at the front is seen.
	for _, x := range []float64{0, -0.0005} {
		r, through := covered(x, 180*s1.Degree)
		if through > 0 || !raised(r, CodeStares) {
			t.Errorf("at %g facing inward: %g m2 seen, %+v", x, through, r.Findings)
		}
	}
	// A metre in front of the rear, facing the front from deep inside, it is told to be doubtful.
	deep, _ := covered(-0.5, 0)
	told := false
	for _, f := range deep.Findings {
		told = told || f.Code == CodeHousing && f.Severity == "look"
	}
	if !told {
		t.Errorf("half a metre deep and no word: %+v", deep.Findings)
	}
}

// The place of a round target stays its radius off what it would stand in.
func TestTargetKeepsOffTheMachine(t *testing.T) {
	o := obstacle{height: scene.Span{Lo: 0.1, Hi: 0.5}}
	for _, c := range []struct {
		name string
		t    scene.Target
		want float64
		ok   bool
	}{
		{"post", scene.Target{Shape: scene.Post, RadiusM: 0.055, HeightM: scene.Span{Lo: 0, Hi: 0.8}}, 0.055, true},
		{"low post", scene.Target{Shape: scene.Post, RadiusM: 0.055, HeightM: scene.Span{Lo: 0, Hi: 0.1}}, 0.055, false},
		{"wall", scene.Target{Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 2}}, 0, true},
		{"ball beside", scene.Target{Shape: scene.Sphere, RadiusM: 0.11, HeightM: scene.Span{Lo: 0, Hi: 0.22}}, 0.11, true},
		// Its middle 30 mm below the machine: 3-4-5.
		{"ball under the edge", scene.Target{Shape: scene.Sphere, RadiusM: 0.05, HeightM: scene.Span{Lo: 0.02, Hi: 0.12}}, 0.04, true},
		{"bar over it", scene.Target{Shape: scene.Bar, RadiusM: 0.05, HeightM: scene.Span{Lo: 0.55, Hi: 0.65}}, 0, false},
	} {
		off, ok := o.keepsOff(c.t)
		if ok != c.ok {
			t.Errorf("%s: fills %v", c.name, ok)
		}
		if ok {
			near(t, c.name, off, c.want, 1e-12)
		}
	}
	// A zone of 1 m by 1 m along the front, 2 m wide, loses a strip as wide as the post's radius.
	s := bench(0)
	s.scene.Targets[0] = scene.Target{Name: "leg", Shape: scene.Post, RadiusM: 0.055, HeightM: scene.Span{Lo: 0, Hi: 1}}
	near(t, "zone", s.analyse(1).Coverage[0].AreaM2, 1-0.055, 1e-9)
}

func TestGapHeldByTheZone(t *testing.T) {
	// Nothing is seen of a strip 0.4 m deep: the disc between its long sides says only how deep the strip is.
	strip := [][]r2.Point{{{X: 1, Y: -2}, {X: 1, Y: 2}, {X: 0.6, Y: 2}, {X: 0.6, Y: -2}}}
	if !heldByZone(strip, strip, disc{r2.Point{X: 0.8}, 0.2}) {
		t.Error("the strip holds it")
	}
	// One long side the machine's, the other the zone's; and neither the zone's.
	asked := [][]r2.Point{{{X: 1, Y: -2}, {X: 1, Y: 2}, {X: -1, Y: 2}, {X: -1, Y: -2}}}
	if !heldByZone(asked, strip, disc{r2.Point{X: 0.8}, 0.2}) {
		t.Error("machine and zone hold it")
	}
	if heldByZone([][]r2.Point{{{X: 3, Y: -3}, {X: 3, Y: 3}, {X: -3, Y: 3}, {X: -3, Y: -3}}}, strip, disc{r2.Point{X: 0.8}, 0.2}) {
		t.Error("the zone's border is far away")
	}
	if heldByZone(strip, strip, disc{r2.Point{X: 0.85}, 0.15}) {
		t.Error("it touches one side only")
	}
}
