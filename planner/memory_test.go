package planner

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// edit changes a copy of a scene in one way a hand would; what it shares with the scene before stays untouched.
type edit struct {
	name string
	do   func(r *rand.Rand, sc *scene.Scene)
}

var edits = []edit{
	{"move", func(r *rand.Rand, sc *scene.Scene) {
		s := anySensor(r, sc)
		s.At = s.At.Add(r2.Point{X: (r.Float64() - 0.5) * 0.02, Y: (r.Float64() - 0.5) * 0.1})
	}},
	{"turn", func(r *rand.Rand, sc *scene.Scene) {
		anySensor(r, sc).Heading += s1.Angle(r.IntN(21)-10) * s1.Degree
	}},
	{"tilt", func(r *rand.Rand, sc *scene.Scene) {
		anySensor(r, sc).Tilt += s1.Angle(r.IntN(11)-5) * s1.Degree
	}},
	{"lift", func(r *rand.Rand, sc *scene.Scene) { anySensor(r, sc).HeightM += r.Float64() * 0.05 }},
	{"kind", func(r *rand.Rand, sc *scene.Scene) { anySensor(r, sc).Kind = r.IntN(len(sc.Kinds)) }},
	{"card", func(r *rand.Rand, sc *scene.Scene) {
		sc.Kinds = slices.Clone(sc.Kinds)
		sc.Kinds[r.IntN(len(sc.Kinds))].Beam.Across *= s1.Angle(0.9 + 0.2*r.Float64())
	}},
	{"window", func(r *rand.Rand, sc *scene.Scene) { anySensor(r, sc).ListenM = 0.3 + r.Float64() }},
	{"zone", func(r *rand.Rand, sc *scene.Scene) {
		sc.Zones = slices.Clone(sc.Zones)
		z := &sc.Zones[r.IntN(len(sc.Zones))]
		shift := r2.Point{X: (r.Float64() - 0.5) * 0.1, Y: (r.Float64() - 0.5) * 0.1}
		z.Rings = slices.Clone(z.Rings)
		for i, ring := range z.Rings {
			z.Rings[i] = slices.Clone(ring)
			for k := range ring {
				z.Rings[i][k] = ring[k].Add(shift)
			}
		}
	}},
	{"demand", func(r *rand.Rand, sc *scene.Scene) {
		sc.Zones = slices.Clone(sc.Zones)
		z := &sc.Zones[r.IntN(len(sc.Zones))]
		z.SeenBy, z.Share = 1+r.IntN(2), r.Float64()
	}},
	{"weather", func(r *rand.Rand, sc *scene.Scene) { sc.Air.TemperatureC.Hi += r.Float64() }},
	{"walls", func(r *rand.Rand, sc *scene.Scene) { sc.Around.WallsM.Lo += 0.1 }},
	{"guard", func(r *rand.Rand, sc *scene.Scene) { sc.Wishes.Guard += 1000 }},
	{"delays", func(r *rand.Rand, sc *scene.Scene) {
		sc.Wishes.Delays = scene.Delays{Way: []string{"alternating", "dithered", ""}[r.IntN(3)], MoversMS: r.Float64(), Span: 20_000_000, Seed: r.Uint64N(9)}
	}},
	{"add", func(r *rand.Rand, sc *scene.Scene) {
		s := *anySensor(r, sc)
		s.Name, s.Group = s.Name+"b", s.Group+"b"
		s.At = s.At.Add(r2.Point{Y: 0.03})
		sc.Sensors = append(sc.Sensors, s)
	}},
	{"remove", func(r *rand.Rand, sc *scene.Scene) {
		if len(sc.Sensors) > 2 {
			removeSensor(sc, r.IntN(len(sc.Sensors)))
		}
	}},
	{"order", func(r *rand.Rand, sc *scene.Scene) {
		if len(sc.Wires) == 0 {
			i := r.IntN(len(sc.Sensors) - 1)
			sc.Sensors[i], sc.Sensors[i+1] = sc.Sensors[i+1], sc.Sensors[i]
		}
	}},
}

func anySensor(r *rand.Rand, sc *scene.Scene) *scene.Sensor {
	return &sc.Sensors[r.IntN(len(sc.Sensors))]
}

// removeSensor takes a sensor out, out of the wires too.
func removeSensor(sc *scene.Scene, gone int) {
	sc.Sensors = slices.Delete(sc.Sensors, gone, gone+1)
	var wires []scene.Wire
	for _, w := range sc.Wires {
		var left []int
		for _, i := range w.Sensors {
			switch {
			case i < gone:
				left = append(left, i)
			case i > gone:
				left = append(left, i-1)
			}
		}
		if w.Sensors = left; len(left) > 1 {
			wires = append(wires, w)
		}
	}
	sc.Wires = wires
}

// edited is a changed copy of a scene.
func (e edit) edited(r *rand.Rand, sc *scene.Scene) *scene.Scene {
	c := *sc
	c.Sensors = slices.Clone(sc.Sensors)
	e.do(r, &c)
	return &c
}

func jsonOf(t *testing.T, p *plan.Plan, err error) string {
	t.Helper()
	if err != nil {
		return "error: " + err.Error()
	}
	b, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// seenShare is what See is to tell of a whole Plan.
func seenShare(p *plan.Plan) *plan.Plan {
	return &plan.Plan{
		Sensors: p.Sensors, Targets: p.Targets, Zones: p.Zones, Lobes: p.Lobes, SideViews: p.SideViews, Curves: p.Curves,
		Coverage: p.Coverage, BlindSpots: p.BlindSpots, Overlaps: p.Overlaps, Masks: p.Masks, Body: p.Body, Air: p.Air,
		Deciding: p.Deciding, Estimates: p.Estimates, Assumed: p.Assumed,
	}
}

// firstDifference shows two texts from where they part.
func firstDifference(a, b string) string {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	from := max(0, n-200)
	return fmt.Sprintf("…%s\ninstead of\n…%s", a[from:min(len(a), n+200)], b[from:min(len(b), n+200)])
}

// What a Memory says after any walk of edits is what a fresh analysis says, byte for byte, seen and whole.
func TestMemoryChangesNothing(t *testing.T) {
	files, err := filepath.Glob("../layouts/*.yaml")
	if err != nil || len(files) < 4 {
		t.Fatal(files, err)
	}
	for k, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			walk(t, sceneOf(t, file, data), k)
		})
	}
	t.Run("ring", func(t *testing.T) { walk(t, sceneOf(t, "ring", ringLayout(8)), len(files)) })
}

// walkSteps is how many of the edits one walk makes; walks one after the other begin where the last ended.
const walkSteps = 9

// walk makes some edits in a random order, takes one back now and then, and compares after each.
func walk(t *testing.T, sc *scene.Scene, number int) {
	r := rand.New(rand.NewPCG(7, uint64(number)))
	var m Memory
	ctx := context.Background()
	var steps []edit
	for i := range walkSteps {
		steps = append(steps, edits[(number*walkSteps+i)%len(edits)])
	}
	r.Shuffle(len(steps), func(i, j int) { steps[i], steps[j] = steps[j], steps[i] })
	before := sc
	for n, e := range steps {
		now := e.edited(r, sc)
		if n == 4 {
			now, e.name = before, "undo"
		}
		before, sc = sc, now
		o := Options{Quick: n != 3}
		want, wantErr := Analyse(ctx, sc, o)
		if n%2 == 0 { // as the editor goes: seen first
			seen, err := m.See(ctx, sc)
			if wantErr == nil {
				if got, want := jsonOf(t, seenShare(seen), err), jsonOf(t, seenShare(want), nil); got != want {
					t.Fatalf("step %d, %s, seen: %s", n, e.name, firstDifference(got, want))
				}
			}
		}
		p, err := m.Analyse(ctx, sc, o)
		if got, want := jsonOf(t, p, err), jsonOf(t, want, wantErr); got != want {
			t.Fatalf("step %d, %s: %s", n, e.name, firstDifference(got, want))
		}
	}
}

// A machine half built has a Plan of what there is.
func TestMemoryOfHalfBuilt(t *testing.T) {
	whole := sceneOf(t, "ring", ringLayout(8))
	without := map[string]func(sc *scene.Scene){
		"sensors": func(sc *scene.Scene) { sc.Sensors, sc.Kinds = nil, nil },
		"zones":   func(sc *scene.Scene) { sc.Zones, sc.Targets = nil, nil },
		"either":  func(sc *scene.Scene) { sc.Sensors, sc.Kinds, sc.Zones, sc.Targets = nil, nil, nil, nil },
		"outline": func(sc *scene.Scene) { sc.Body.Outline = nil },
		"all":     func(sc *scene.Scene) { *sc = scene.Scene{} },
	}
	for name, take := range without {
		sc := *whole
		take(&sc)
		var m Memory
		for range 2 {
			if p, err := m.See(context.Background(), &sc); err != nil || p == nil {
				t.Errorf("without %s, seen: %v", name, err)
			}
			if p, err := m.Analyse(context.Background(), &sc, Options{}); err != nil || p == nil {
				t.Errorf("without %s, whole: %v", name, err)
			}
		}
	}
}
