package coverage

import (
	"math"
	"slices"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// fourSided is a square machine that looks the same from all four sides and in a mirror: on each side a
// sensor left and right of the middle, a zone of its own for each, and bars flush with it, 70 mm lower, from and to so far from
// the middle, m: all of their edges answer from the sensors' mounting plane. Headings are those of the sides, turned
// by whole turns.
func fourSided(turns float64, bars ...[2]float64) *scene.Scene {
	rect := func(x0, y0, x1, y1 float64) []r2.Point {
		return []r2.Point{{X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}, {X: x0, Y: y0}}
	}
	k := pairKind()
	k.Beam.Across, k.Beam.Upright = 120*s1.Degree, 120*s1.Degree
	k.Beam.NeverBelowDB = val(-90) // so that nothing behind a mounting plane is heard, and much in it is
	sc := &scene.Scene{
		Name: "four sides", Air: mildAir, Around: scene.Around{Ground: scene.GroundSmooth},
		Body:    scene.Body{Outline: rect(-0.9, -0.9, 0.9, 0.9), HeightM: scene.Span{Lo: 0.4, Hi: 0.9}},
		Kinds:   []scene.Kind{k},
		Targets: []scene.Target{post(0.0375)},
	}
	for i, name := range []string{"front", "left", "rear", "right"} {
		out := []r2.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}[i]
		at := func(p r2.Point) r2.Point { return r2.Point{X: out.X*p.X - out.Y*p.Y, Y: out.Y*p.X + out.X*p.Y} }
		ring := func(r []r2.Point) (moved []r2.Point) {
			for _, p := range r {
				moved = append(moved, at(p))
			}
			return moved
		}
		for _, b := range bars {
			sc.Body.Parts = append(sc.Body.Parts, scene.Part{Name: name + " bar", Outline: ring(rect(0.88, b[0], 0.9, b[1])), HeightM: scene.Span{Lo: 0.42, Hi: 0.48}})
		}
		for _, y := range []float64{0.2, -0.2} {
			eye := map[float64]string{0.2: name + ".left", -0.2: name + ".right"}[y]
			sc.Sensors = append(sc.Sensors, scene.Sensor{
				Name: eye, Group: name, At: at(r2.Point{X: 0.9, Y: y}), HeightM: 0.55,
				Heading: []s1.Angle{0, 90, 180, -90}[i]*s1.Degree + s1.Angle(2*math.Pi*turns),
			})
			near, far := math.Min(0, 2*y), math.Max(0, 2*y)
			sc.Zones = append(sc.Zones, scene.Zone{
				Name: eye, Rings: [][]r2.Point{ring(rect(1, near, 2, far))}, Target: 0, SeenBy: 1, Share: 0.9, GapM: math.NaN(),
			})
		}
	}
	return sc
}

// TestAllSidesAndHandsAgree: whatever way a side faces, and written as whichever turn, its sensors read, see and cover the same.
func TestAllSidesAndHandsAgree(t *testing.T) {
	for _, c := range []struct {
		name  string
		bars  [][2]float64
		reads float64
	}{
		{"right below", [][2]float64{{-0.5, 0.5}}, 0.07},
		{"beside", [][2]float64{{-0.6, -0.5}, {0.5, 0.6}}, math.Hypot(0.3, 0.07)},
	} {
		t.Run(c.name, func(t *testing.T) { allSidesAgree(t, c.bars, c.reads) })
	}
}

func allSidesAgree(t *testing.T, bars [][2]float64, reads float64) {
	straight := fourSided(0, bars...)
	want := analyse(straight, listenAll(t, straight, 1.6))
	isNear := func(m plan.Mask) bool { return m.ReadsM < reads+1e-9 } // the others are of the bar on the other hand
	one := want.Masks[max(0, slices.IndexFunc(want.Masks, isNear))]
	for _, turns := range []float64{0, -1, 1} { // the rear's heading is 180, -180 and 540 degrees
		sc := fourSided(turns, bars...)
		in := listenAll(t, sc, 1.6)
		got := analyse(sc, in)
		same(t, want, got)
		byHand := map[string]int{}
		for _, m := range got.Masks {
			if !isNear(m) {
				continue
			}
			byHand[m.Sensor]++
			near(t, m.Sensor+" reads", m.ReadsM, reads, 1e-9)
			near(t, m.Sensor+" hears", m.LevelDB, one.LevelDB, 1e-6)
			if m.Always != one.Always {
				t.Errorf("%+v", m)
			}
		}
		first := lobeArea(in.Ears[0].Lobe(sc.Targets[0], acoustics.LobeOptions{NearM: 0.03, FarM: 1.6}))
		for i, s := range sc.Sensors {
			if byHand[s.Name] != 1 {
				t.Errorf("%s: %d nearest readings among %+v", s.Name, byHand[s.Name], got.Masks)
			}
			near(t, s.Name+" lobe", lobeArea(in.Ears[i].Lobe(sc.Targets[0], acoustics.LobeOptions{NearM: 0.03, FarM: 1.6})), first, 1e-9)
			near(t, s.Name+" covers", got.Coverage[i].CoveredM2, want.Coverage[0].CoveredM2, 1e-9)
		}
		if turns != 0 {
			continue
		}
		for _, quarter := range []s1.Angle{90, 180, -90, -180} {
			for _, flip := range []bool{false, true} {
				m := moved(sc, flip, quarter*s1.Degree, r2.Point{})
				same(t, want, analyse(m, listenAll(t, m, 1.6)))
			}
		}
	}
}

func lobeArea(l acoustics.Lobe) (area float64) {
	for _, ring := range l.Rings {
		for k, p := range ring {
			area += p.Cross(ring[(k+1)%len(ring)]) / 2
		}
	}
	return area
}
