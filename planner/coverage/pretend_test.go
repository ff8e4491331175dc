package coverage

import (
	"context"
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

// pretendEar sees a sector whose reach and width are simple arithmetic, so that scenes have answers in
// closed form: farther by slope for each dB of loss less, narrower by the target's greatest turn.
type pretendEar struct {
	mount       scene.Sensor
	half        float64 // rad
	reach       float64 // m, on a target without loss
	sight       scene.Span
	ground      float64    // distance at which it reads the ground, 0 never
	reads       []r2.Point // an outline it reads …
	readsAt     float64    // … at this distance
	deaf        bool
	quietTilted bool // reads nothing of its own once tilted
}

const slope = 0.05 // m for each dB

// arcError is the sagitta of the arcs of pretend lobes, m.
const arcError = 1e-5

func (e *pretendEar) Lobe(t scene.Target, o acoustics.LobeOptions) acoustics.Lobe {
	to, half := e.reach-slope*t.LossDB.X, e.half-math.Max(t.Turned.Hi, -t.Turned.Lo)
	if o.FarM > 0 {
		to = math.Min(to, o.FarM)
	}
	if e.deaf || to <= o.NearM || half <= 0 {
		return acoustics.Lobe{ErrorM: arcError}
	}
	return acoustics.Lobe{Rings: [][]r2.Point{wedgeRing(e.mount.At, e.mount.Heading, half, o.NearM, to, arcError)}, ErrorM: arcError}
}

func (e *pretendEar) Level(t scene.Target, place r2.Point, end acoustics.End) float64 {
	return (e.reach - slope*t.LossDB.X - place.Sub(e.mount.At).Norm()) / slope
}

func (e *pretendEar) Sight(scene.Target) (scene.Span, bool) { return e.sight, true }

func (e *pretendEar) SideView(scene.Target, acoustics.LobeOptions) []r2.Point { return nil }

func (e *pretendEar) VanishTurn(scene.Target, r2.Point, float64) (s1.Angle, bool) {
	return s1.Angle(e.half), true
}

func (e *pretendEar) AwayM(_ scene.Target, place r2.Point) (float64, bool) {
	return place.Sub(e.mount.At).Norm(), true
}

func (e *pretendEar) GroundReading(scene.Ground, float64) (acoustics.Own, bool) {
	return acoustics.Own{ReadsM: e.ground, LevelDB: 4, WeakDB: -2}, e.ground > 0 && !(e.quietTilted && e.mount.Tilt > 5*s1.Degree)
}

func (e *pretendEar) OwnReading(outline []r2.Point, _ scene.Span, _ bool, _ r2.Point, _ float64, _ func(r2.Point, float64) bool) (acoustics.Own, bool) {
	same := len(e.reads) > 0 && len(outline) > 0 && outline[0] == e.reads[0]
	return acoustics.Own{ReadsM: e.readsAt, LevelDB: 9, WeakDB: 9}, same && !(e.quietTilted && e.mount.Tilt > 5*s1.Degree)
}

// stage is a scene with pretend ears.
type stage struct {
	scene *scene.Scene
	ears  []*pretendEar
	blind float64
	far   float64
	half  float64 // nominal half width, rad
	sure  float64 // half width that is not doubtful, rad; 0: all
}

// analyse reckons the stage on so many workers.
func (s stage) analyse(workers int) Result {
	var ls []listener
	for _, e := range s.ears {
		ls = append(ls, listener{ear: e, mount: e.mount, blind: s.blind, nearest: s.blind, listen: s.far, half: s.half, sure: s.sure, ends: true,
			remount: func(m scene.Sensor) ear { other := *e; other.mount = m; return &other }})
	}
	st := newStudy(context.Background(), s.scene, ls, Inputs{Workers: workers, Advise: true, ErrorM: arcError})
	if err := st.run(); err != nil {
		panic(err)
	}
	return st.result()
}

// bench is a flat body whose front edge lies on x = 0, with pretend ears on it at the offsets given, facing
// +x, and a zone of 1 m by 1 m before it.
func bench(offsets ...float64) stage {
	rect := func(x0, y0, x1, y1 float64) []r2.Point {
		return []r2.Point{{X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}, {X: x0, Y: y0}}
	}
	s := stage{blind: 0.1, far: 2, half: 0.6, scene: &scene.Scene{
		Name: "bench", Body: scene.Body{Outline: rect(-1, -1, 0, 1), HeightM: scene.Span{Lo: 0.1, Hi: 0.5}},
		Targets:   []scene.Target{{Name: "panel", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 1}}},
		Zones:     []scene.Zone{{Name: "front", Rings: [][]r2.Point{rect(0, -0.5, 1, 0.5)}, SeenBy: 1, Share: math.NaN(), GapM: math.NaN()}},
		Tolerance: scene.Tolerance{ThresholdDB: 4},
	}}
	for i, y := range offsets {
		s.ears = append(s.ears, &pretendEar{
			mount: scene.Sensor{Name: string(rune('a' + i)), At: r2.Point{Y: y}, HeightM: 0.3},
			half:  0.6, reach: 3, sight: scene.Span{Lo: 0.3, Hi: 0.3},
		})
		s.scene.Sensors = append(s.scene.Sensors, s.ears[i].mount)
	}
	return s
}
