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

// jawed is a machine that is its own mirror image: two pairs of sensors over a jaw on the middle line, a post on
// either side, rough ground, a band before it.
func jawed() *scene.Scene {
	rect := func(x0, y0, x1, y1 float64) []r2.Point {
		return []r2.Point{{X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}, {X: x0, Y: y0}}
	}
	sc := &scene.Scene{
		Name: "jawed", Air: mildAir, Around: scene.Around{Ground: scene.GroundGravel},
		Body: scene.Body{Outline: rect(-1.2, -1, 0, 1), HeightM: scene.Span{Lo: 0.35, Hi: 2}, Parts: []scene.Part{
			{Name: "jaw", Outline: rect(0, -0.06, 0.25, 0.06), HeightM: scene.Span{Lo: 0.35, Hi: 0.48}},
			{Name: "stake", Outline: rect(0.35, 0.41, 0.39, 0.45), HeightM: scene.Span{Lo: 0.2, Hi: 0.6}},
			{Name: "stake", Outline: rect(0.35, -0.45, 0.39, -0.41), HeightM: scene.Span{Lo: 0.2, Hi: 0.6}},
		}},
		Kinds:   []scene.Kind{pairKind()},
		Targets: []scene.Target{post(0.05), wall(10 * s1.Degree)},
		Zones: []scene.Zone{
			{Name: "back", Rings: [][]r2.Point{rect(0, -0.9, 1.5, 0.9)}, Target: 0, SeenBy: 1, Share: 0.98, GapM: 0.1},
			{Name: "gate", Rings: [][]r2.Point{rect(0.3, -0.8, 1.2, 0.8)}, Target: 1, SeenBy: 2, Share: 0.9, GapM: math.NaN()},
		},
	}
	for _, s := range []struct {
		name string
		y    float64
		out  s1.Angle
	}{{"in", 0.23, 0}, {"out", 0.7, 10 * s1.Degree}} {
		for _, side := range []float64{1, -1} {
			sc.Sensors = append(sc.Sensors, scene.Sensor{
				Name: s.name + map[float64]string{1: ".left", -1: ".right"}[side], Group: s.name,
				At: r2.Point{Y: side * s.y}, HeightM: 0.5, Heading: s1.Angle(side) * s.out, Tilt: -2 * s1.Degree,
			})
		}
	}
	return sc
}

var otherSide = strings.NewReplacer("left", "right", "right", "left")

// TestSymmetricMachineHasSymmetricAnswers: what is told of the left is told of the right.
func TestSymmetricMachineHasSymmetricAnswers(t *testing.T) {
	sc := jawed()
	r := analyse(sc, listenAll(t, sc, 1.6))
	if len(r.Masks) < 4 || len(r.BlindSpots) < 4 {
		t.Fatalf("too little to tell: %d readings, %d spots", len(r.Masks), len(r.BlindSpots))
	}
	for _, m := range r.Masks {
		if !anyOf(r.Masks, func(o plan.Mask) bool {
			return o.Sensor == otherSide.Replace(m.Sensor) && o.What == otherSide.Replace(m.What) && o.Always == m.Always &&
				math.Abs(o.ReadsM-m.ReadsM) < 1e-9 && math.Abs(o.LevelDB-m.LevelDB) < 1e-6
		}) {
			t.Errorf("no image of %+v", m)
		}
	}
	for _, b := range r.BlindSpots {
		if !anyOf(r.BlindSpots, func(o plan.BlindSpot) bool {
			same := o.Zone == b.Zone && o.Cause == b.Cause && o.Part == otherSide.Replace(b.Part) && o.Held == b.Held
			for _, d := range []float64{o.AreaM2 - b.AreaM2, o.OwnM - b.OwnM, o.HidesM - b.HidesM, o.NearestM - b.NearestM,
				o.Centroid[0] - b.Centroid[0], o.Centroid[1] + b.Centroid[1]} {
				same = same && math.Abs(d) < 1e-7 // centroid and disc of a region whose corners lie on a grid of 6e-11 m
			}
			return same
		}) {
			t.Errorf("no image of a spot: %s %s %s %g m2 at %v, hides %g, own %g", b.Zone, b.Cause, b.Part, b.AreaM2, b.Centroid, b.HidesM, b.OwnM)
		}
	}
	for _, f := range r.Findings {
		if !strings.Contains(f.Where, ".") {
			continue // of a zone: it names one of two equal sensors
		}
		if !anyOf(r.Findings, func(o plan.Finding) bool {
			return o.Code == f.Code && o.Where == otherSide.Replace(f.Where) && o.Text == otherSide.Replace(f.Text) && o.Mend == otherSide.Replace(f.Mend)
		}) {
			t.Errorf("no image of %+v", f)
		}
	}
	same(t, r, analyse(moved(sc, true, 0, r2.Point{}), listenAll(t, moved(sc, true, 0, r2.Point{}), 1.6)))
}

func anyOf[T any](all []T, is func(T) bool) bool {
	for _, x := range all {
		if is(x) {
			return true
		}
	}
	return false
}

// Figures of weak echoes are those of the cause: only just is at most the tolerance, too weak is more.
func TestShortfallsFitTheirCause(t *testing.T) {
	sc := jawed()
	sc.Tolerance.ThresholdDB = 2
	sc.Kinds[0].Ranges[0].M.X = 1
	in := listenAll(t, sc, 1.6)
	st := newStudy(t.Context(), sc, listenersOf(sc, in), in)
	if err := st.run(); err != nil {
		t.Fatal(err)
	}
	weak := 0
	for _, v := range st.verdicts {
		for _, s := range v.blind.spots {
			if !s.region.Contains(s.own.centre) {
				t.Errorf("%s: the middle of its own disc is outside the spot", s.cause)
			}
			if s.own.radius > s.hides.radius+1e-9 {
				t.Errorf("%s: %g fits the piece, %g the gap", s.cause, s.own.radius, s.hides.radius)
			}
			switch s.cause {
			case JustTooWeak:
				weak++
				// The level may pass the tolerance by what it changes over the lobe's error, 1 mm at 0.3 m or more: 0.1 dB.
				if s.shortDB < -0.1 || s.shortDB > 2.1 {
					t.Errorf("only just too weak, %g dB short", s.shortDB)
				}
			case TooWeak:
				weak++
				if s.shortDB < 1.9 {
					t.Errorf("too weak, %g dB short", s.shortDB)
				}
			}
		}
	}
	if weak < 3 {
		t.Errorf("%d weak spots", weak)
	}
}

// Remedies of a constant reading are the least, name all that need one, and tell what becomes of the zones.
func TestCuresAreLeastAndTried(t *testing.T) {
	sc := jawed()
	in := listenAll(t, sc, 1.6)
	st := newStudy(t.Context(), sc, listenersOf(sc, in), in)
	if err := st.run(); err != nil {
		t.Fatal(err)
	}
	if len(st.cures) == 0 {
		t.Fatal("nothing to cure")
	}
	for _, c := range st.cures {
		for _, one := range c.changes {
			if st.reads(one, c.obstacle) {
				t.Errorf("%+v does not help", one)
			}
			if n := one.size(); n > 1 && !st.reads(change{one.sensor, one.tilt * (n - 1) / n, one.left * (n - 1) / n}, c.obstacle) {
				t.Errorf("a degree less than %+v helps too", one)
			}
		}
		if len(c.changes) == 0 {
			continue
		}
		// The same mounts given from the start have the same verdicts.
		again := *sc
		again.Sensors = append([]scene.Sensor(nil), sc.Sensors...)
		for _, one := range c.changes {
			again.Sensors[one.sensor] = one.mount(again.Sensors[one.sensor])
		}
		for i, want := range analyse(&again, listenAll(t, &again, 1.6)).Coverage {
			near(t, "covered", c.after[i].figures.covered, want.CoveredM2, 1e-9)
			near(t, "gap", c.after[i].widest(), want.WidestGapM, 1e-9)
		}
	}
}
