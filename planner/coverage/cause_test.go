package coverage

import (
	"math"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// areas sums the blind area of a result by cause.
func areas(r Result) map[string]float64 {
	sum := map[string]float64{}
	for _, b := range r.BlindSpots {
		sum[b.Cause] += b.AreaM2
	}
	return sum
}

// square is a part of 0.1 m by 0.1 m with its middle at (x, y) at the sensors' height.
func square(name string, x, y float64) scene.Part {
	return scene.Part{Name: name, HeightM: scene.Span{Lo: 0.2, Hi: 0.4}, Outline: []r2.Point{
		{X: x + 0.05, Y: y - 0.05}, {X: x + 0.05, Y: y + 0.05}, {X: x - 0.05, Y: y + 0.05}, {X: x - 0.05, Y: y - 0.05}}}
}

// causeCase is a stage in which exactly that much of the zone has a cause.
type causeCase struct {
	name, cause, part string
	change            func(*stage)
	want              float64 // m² of this cause
}

// causeCases has the smallest stage for each cause.
func causeCases() []causeCase {
	half := 0.6
	// Area of the zone 1 m deep and 1 m wide that a sector from its edge's middle leaves out at its two sides:
	// beyond the lines y = ±x·tan(half) until they leave the zone at y = ±0.5.
	outside := 2 * (0.5 * 0.5 / math.Tan(half) / 2)
	nearArc := half * 0.1 * 0.1 // sector of the blind distance
	return []causeCase{
		{"plain", OutsideBeams, "", func(*stage) {}, outside},
		{"blind distance", TooClose, "", func(*stage) {}, nearArc},
		{"short window", WindowCut, "", func(s *stage) { s.far = 0.5 }, 1 - outside - half*0.5*0.5},
		{"ground", OwnGround, "", func(s *stage) { s.ears[0].ground = 0.5 }, 1 - outside - half*0.5*0.5},
		// Beyond reading and window both: neither alone would do, and the reading comes first.
		{"ground and window", OwnGround, "", func(s *stage) { s.ears[0].ground, s.far = 0.5, 0.6 }, 1 - outside - half*0.5*0.5},
		// The narrower sector leaves the zone through its far side.
		{"turned wall", WallTurned, "", func(s *stage) { s.scene.Targets[0].Turned = scene.Span{Lo: -0.2, Hi: 0.1} },
			1 - math.Tan(half-0.2) - outside - 0.2*0.1*0.1},
		// Wider by half a beam's width on paper than what is heard: both sides are inside the nominal width.
		{"nominal", TooWeak, "", func(s *stage) { s.half = math.Pi / 2 }, outside},
		// Reach 0.5 m, 4 dB of tolerance are 0.2 m more.
		{"just", JustTooWeak, "", func(s *stage) { s.ears[0].reach = 0.5 }, half * (0.7*0.7 - 0.5*0.5)},
		{"far", TooWeak, "", func(s *stage) { s.ears[0].reach = 0.5 }, 1 - outside - half*0.7*0.7},
		// A square 0.1 m wide, its near face 0.35 m away: the wedge behind it to the end of the zone, less the square itself.
		{"shadow", Shadowed, "jaw", func(s *stage) { s.scene.Body.Parts = []scene.Part{square("jaw", 0.4, 0)} },
			0.1/0.35*(1-0.35*0.35)/2 - 0.01},
		{"above", Shadowed, "jaw", func(s *stage) {
			s.scene.Body.Parts = []scene.Part{square("jaw", 0.4, 0)}
			s.scene.Body.Parts[0].HeightM = scene.Span{Lo: 0.31, Hi: 0.4}
		}, 0},
		// It also answers from 0.35 m, which hides all beyond; what lies in its shadow stays shadowed.
		{"own part", OwnPart, "jaw", func(s *stage) {
			s.scene.Body.Parts = []scene.Part{square("jaw", 0.4, 0)}
			s.ears[0].reads, s.ears[0].readsAt = s.scene.Body.Parts[0].Outline, 0.35
		}, 1 - outside - half*0.35*0.35 - 0.1/0.35*(1-0.35*0.35)/2},
	}
}

// TestEveryCause: exactly that much of the zone has the cause, and a finding tells of it.
func TestEveryCause(t *testing.T) {
	for _, c := range causeCases() {
		t.Run(c.name, func(t *testing.T) {
			s := bench(0)
			c.change(&s)
			r := s.analyse(2)
			// Arcs are polygons within arcError; the longest in play is 1 m.
			near(t, c.cause, areas(r)[c.cause], c.want, 2*arcError)
			for _, b := range r.BlindSpots {
				if b.Cause == c.cause && b.Part != c.part {
					t.Errorf("part %q, want %q", b.Part, c.part)
				}
			}
			sum := 0.0
			for _, a := range areas(r) {
				sum += a
			}
			near(t, "all causes", sum, r.Coverage[0].AreaM2-r.Coverage[0].CoveredM2, 1e-8)
			if c.want > 0 && !raised(r, blindCode(c.cause)) {
				t.Errorf("no finding %s in %+v", blindCode(c.cause), r.Findings)
			}
		})
	}
}

func raised(r Result, code string) bool {
	for _, f := range r.Findings {
		if f.Code == code {
			return true
		}
	}
	return false
}

func TestFirstCauseAloneGoesFirst(t *testing.T) {
	// b would see the far half but for its window, a but for a shadow: shadowed goes first.
	s := bench(0, 0.01)
	s.scene.Body.Parts = []scene.Part{square("jaw", 0.4, 0)}
	s.ears[1].reach = 0.2
	for _, b := range s.analyse(1).BlindSpots {
		if b.Centroid[0] > 0.5 && math.Abs(b.Centroid[1]) < 0.1 && (b.Cause != Shadowed || b.Part != "jaw" || b.Sensor != "a") {
			t.Errorf("behind the jaw: %s, part %q, sensor %q", b.Cause, b.Part, b.Sensor)
		}
	}
}

func TestSeenByTwo(t *testing.T) {
	// Two sensors at one place and one demand of two: what is missing is missing to both or to the one that sees less.
	s := bench(0, 0)
	s.scene.Zones[0].SeenBy = 2
	s.ears[1].ground = 0.5
	r := s.analyse(2)
	c := r.Coverage[0]
	if len(c.FoldM2) != 3 {
		t.Fatalf("folds %v", c.FoldM2)
	}
	near(t, "covered", c.CoveredM2, 0.6*(0.5*0.5-0.1*0.1), 2*arcError)
	near(t, "by one", c.FoldM2[1], areas(r)[OwnGround], 1e-8)
	for _, b := range r.BlindSpots {
		if b.Cause == OwnGround && b.Sensor != "b" {
			t.Errorf("%s hides from %s, want b", b.Cause, b.Sensor)
		}
	}
}

func TestPartOnlyInOneState(t *testing.T) {
	s := bench(0)
	s.scene.States = []string{"ramp up", "ramp down"}
	ramp := square("ramp", 0.4, 0)
	ramp.OnlyIn = []string{"ramp down"}
	s.scene.Body.Parts = []scene.Part{ramp}
	s.ears[0].reads, s.ears[0].readsAt = ramp.Outline, 0.35
	r := s.analyse(2)
	if len(r.Coverage) != 2 || r.Coverage[0].State != "ramp up" || r.Coverage[1].State != "ramp down" {
		t.Fatalf("a verdict a state expected: %+v", r.Coverage)
	}
	near(t, "ramp takes room", r.Coverage[0].AreaM2-r.Coverage[1].AreaM2, 0.01, 1e-9)
	if r.Coverage[1].CoveredM2 >= 0.5*r.Coverage[0].CoveredM2 {
		t.Errorf("covered %g with the ramp up, %g down", r.Coverage[0].CoveredM2, r.Coverage[1].CoveredM2)
	}
	if len(r.Masks) != 1 || r.Masks[0] != (plan.Mask{Sensor: "a", State: "ramp down", What: "ramp", ReadsM: 0.35, LevelDB: 9, Always: true}) {
		t.Errorf("masks %+v", r.Masks)
	}
	for _, b := range r.BlindSpots {
		if b.State == "ramp up" && (b.Cause == OwnPart || b.Cause == Shadowed) {
			t.Errorf("ramp up: %s", b.Cause)
		}
	}
}

func TestRemediesAreTried(t *testing.T) {
	s := bench(0)
	s.ears[0].ground, s.ears[0].quietTilted = 0.5, true
	found := false
	for _, f := range s.analyse(1).Findings {
		found = found || f.Code == CodeGround && strings.HasPrefix(f.Mend, "tilt it up by 6 deg: ")
	}
	if !found {
		t.Error("the least tilt that helps is 6 deg and was not found")
	}
	// Two sensors turned apart leave the middle unseen; turned back they see it.
	s = bench(-0.2, 0.2)
	s.ears[0].mount.Heading, s.ears[1].mount.Heading = -40*s1.Degree, 40*s1.Degree
	s.scene.Zones[0].GapM = 0.3
	s.scene.Zones[0].Rings = [][]r2.Point{{{X: 1, Y: -0.2}, {X: 1, Y: 0.2}, {X: 0.3, Y: 0.2}, {X: 0.3, Y: -0.2}}}
	r := s.analyse(2)
	for _, f := range r.Findings {
		if f.Code == CodeGap {
			t.Log(f.Text, "|", f.Mend)
			return
		}
	}
	t.Errorf("no finding %s: %+v", CodeGap, r.Findings)
}

// A place that one of two sensors sees needs another: the one that sees it, and faces it, is not told to turn.
func TestSecondSensorMustSee(t *testing.T) {
	s := bench(0, 0.9)
	quiet(&s)
	s.ears[1].mount.Heading = 90 * s1.Degree
	s.scene.Sensors[1].Heading = 90 * s1.Degree
	s.scene.Zones[0].SeenBy, s.scene.Zones[0].Share = 2, 0.9
	said := false
	for _, f := range s.analyse(1).Findings {
		said = said || strings.HasPrefix(f.Mend, "a second sensor must see it, only a does: turn b (it lies ")
		if strings.Contains(f.Mend, "turn a") {
			t.Errorf("a sees it: %q", f.Mend)
		}
	}
	if !said {
		t.Errorf("%+v", s.analyse(1).Findings)
	}
}
