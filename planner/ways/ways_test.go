package ways

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"testing"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/plan"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// load is a layout with another budget; 0 leaves it.
func load(t testing.TB, file, cycle string) *scene.Scene {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if cycle != "" {
		was := data
		if data = regexp.MustCompile(`cycle: [0-9]+ ms`).ReplaceAll(data, []byte("cycle: "+cycle)); string(was) == string(data) {
			t.Fatalf("%s asks for no cycle", file)
		}
	}
	sc, list := planner.Load(file, data, assets.Kinds())
	if sc == nil {
		t.Fatal(list)
	}
	return sc
}

// whole is a plan with its remedies, as Find wants it.
func whole(t testing.TB, sc *scene.Scene) *plan.Plan {
	t.Helper()
	p, err := planner.Analyse(context.Background(), sc, planner.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// afresh is a plan that remembers nothing.
func afresh(t testing.TB, sc *scene.Scene) *plan.Plan {
	t.Helper()
	p, err := planner.Analyse(context.Background(), sc, planner.Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func find(t testing.TB, sc *scene.Scene, p *plan.Plan) *plan.Ways {
	t.Helper()
	all, err := Find(context.Background(), sc, p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// with is a scene with changes made.
func with(t testing.TB, sc *scene.Scene, cs ...plan.Change) *scene.Scene {
	t.Helper()
	out, err := With(sc, cs...)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// cases are the demos, demos with a budget they cannot keep, and layouts with one way out of each sort.
var cases = []struct{ name, file, cycle string }{
	{"rover, 100 ms", "../../layouts/first-rover.yaml", "100 ms"},
	{"sweeper", "../../layouts/hall-sweeper.yaml", ""},
	{"trailer, 220 ms", "../../layouts/plank-trailer.yaml", "220 ms"},
	{"cart, 120 ms", "../../layouts/shelf-cart.yaml", "120 ms"},
	{"two beams", "testdata/two-beams.yaml", ""},
	{"long windows", "testdata/long-windows.yaml", ""},
	{"waiting driver", "testdata/waiting-driver.yaml", ""},
	{"both at once", "testdata/both-at-once.yaml", ""},
}

// Every way out, advice too, is what a fresh analysis of the changed scene says: cycle, verdict, coverage, safe speeds; and is shorter than
// the plan as it is, with nobody disturbed that was not before.
func TestEveryWayOutHoldsAfresh(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sc := load(t, c.file, c.cycle)
			p := whole(t, sc)
			w, err := begin(context.Background(), sc, p, Options{})
			if err != nil {
				t.Fatal(err)
			}
			all, err := w.all()
			if err != nil {
				t.Fatal(err)
			}
			if len(all.Out) == 0 {
				t.Error("no way out at all")
			}
			for i, o := range all.Out {
				k := slices.IndexFunc(w.steps, func(s step) bool { return s.What == o.What })
				changed, err := w.steps[k].apply(sc)
				if err != nil {
					t.Fatal(err)
				}
				after := afresh(t, changed)
				if o.Rank != i+1 || o.CycleUs != [2]int64{p.Schedule.RunsUs(), after.Schedule.RunsUs()} || o.CycleUs[1] >= o.CycleUs[0] {
					t.Errorf("%s: rank %d, cycle %d, afresh %d", o.What, o.Rank, o.CycleUs, after.Schedule.RunsUs())
				}
				if o.Met != after.Met || o.Fits != after.Schedule.Met || after.Disturbed() > p.Disturbed() {
					t.Errorf("%s: met %v %v, afresh %v %v, %d disturbed", o.What, o.Met, o.Fits, after.Met, after.Schedule.Met, after.Disturbed())
				}
				for z, v := range after.Coverage {
					was := p.Coverage[z]
					k := slices.IndexFunc(o.Coverage, func(c plan.CoverageChange) bool { return c.Zone == v.Zone && c.State == v.State })
					if same := math.Abs(v.CoveredM2-was.CoveredM2) < 1e-7 && math.Abs(v.WidestGapM-was.WidestGapM) < 1e-6; same != (k < 0) {
						t.Errorf("%s: %s told %v", o.What, v.Zone, k >= 0)
					} else if k >= 0 && o.Coverage[k].CoveredM2 != [2]float64{was.CoveredM2, v.CoveredM2} {
						t.Errorf("%s: %s %v, afresh %v", o.What, v.Zone, o.Coverage[k].CoveredM2, v.CoveredM2)
					}
				}
				if len(o.Lost) > 0 && o.Met {
					t.Errorf("%s: met and lost %v", o.What, o.Lost)
				}
			}
		})
	}
}

// The same on one processor and on several, and again.
func TestTheSameOnAnyMachine(t *testing.T) {
	for _, c := range cases[4:6] {
		sc := load(t, c.file, c.cycle)
		p := whole(t, sc)
		var first []byte
		for _, n := range []int{1, 4, 4} {
			was := runtime.GOMAXPROCS(n)
			data, err := json.Marshal(find(t, sc, p))
			runtime.GOMAXPROCS(was)
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = data
			}
			if string(data) != string(first) {
				t.Errorf("%s: on %d processors\n%s\nfirst\n%s", c.name, n, data, first)
			}
		}
	}
}

// BenchmarkWays is the search after the Plan is made; its time is that of two processors.
func BenchmarkWays(b *testing.B) {
	for _, c := range []struct{ name, file, cycle string }{
		{"rover", "../../layouts/first-rover.yaml", "100 ms"}, {"sweeper", "../../layouts/hall-sweeper.yaml", ""},
		{"trailer", "../../layouts/plank-trailer.yaml", "220 ms"}, {"cart", "../../layouts/shelf-cart.yaml", ""}, {"cart 120", "../../layouts/shelf-cart.yaml", "120 ms"},
	} {
		b.Run(c.name, func(b *testing.B) {
			sc := load(b, c.file, c.cycle)
			p := whole(b, sc)
			for b.Loop() {
				find(b, sc, p)
			}
		})
	}
}

// An interrupt ends the search with its error; what is found is told at once.
func TestStopsWhenAsked(t *testing.T) {
	sc := load(t, "testdata/two-beams.yaml", "")
	p := whole(t, sc)
	ctx, stop := context.WithCancel(context.Background())
	told := 0
	_, err := Find(ctx, sc, p, Options{Found: func(plan.Way) { told++; stop() }})
	if err != context.Canceled || told == 0 {
		t.Errorf("%v after %d", err, told)
	}
}

// The least turn and the least move are the least: half a degree, a tenth, a centimetre less does not do it, of either sensor either
// way.
func TestLeastIsLeast(t *testing.T) {
	sc := load(t, "testdata/two-beams.yaml", "")
	p := whole(t, sc)
	seen := 0
	for _, o := range find(t, sc, p).Out {
		var less []plan.Change
		for _, s := range []string{"left", "right"} {
			for _, sign := range []float64{1, -1} {
				switch o.Kind {
				case plan.WayTurn:
					for _, by := range []float64{0.1, 0.5} {
						less = append(less, plan.Change{Sensor: s, LeftDeg: sign * (math.Abs(o.Changes[0].LeftDeg) - by)})
					}
				case plan.WayMove:
					less = append(less, plan.Change{Sensor: s, MoveM: sign * (math.Abs(o.Changes[0].MoveM) - 0.01)})
				}
			}
		}
		if len(less) == 0 {
			continue
		}
		seen++
		if us := afresh(t, with(t, sc, o.Changes...)).Schedule.RunsUs(); us >= p.Schedule.RunsUs() {
			t.Errorf("%s: %d us", o.What, us)
		}
		for _, c := range less {
			if us := afresh(t, with(t, sc, c)).Schedule.RunsUs(); float64(us) < (1-worthShare)*float64(p.Schedule.RunsUs()) {
				t.Errorf("%s: %+v does it, too: %d us", o.What, c, us)
			}
		}
	}
	if seen != 2 {
		t.Errorf("%d turns and moves", seen)
	}
}

// A move keeps a sensor's turn against the side, all round the machine, and goes the whole way round.
func TestMovedAlongTheOutline(t *testing.T) {
	sc := load(t, "testdata/two-beams.yaml", "")
	round := 0.0
	for i, a := range sc.Body.Outline {
		round += sc.Body.Outline[(i+1)%len(sc.Body.Outline)].Sub(a).Norm()
	}
	back := with(t, sc, plan.Change{Sensor: "left", MoveM: round})
	if d := back.Sensors[0].At.Sub(sc.Sensors[0].At).Norm(); d > 1e-9 {
		t.Errorf("once round: %g m off", d)
	}
	side := with(t, sc, plan.Change{Sensor: "left", MoveM: 0.3}).Sensors[0]
	if math.Abs(side.At.Y-0.45) > 1e-9 || math.Abs(side.Heading.Degrees()-90) > 1e-9 {
		t.Errorf("round the corner it stands at %v and looks to %v", side.At, side.Heading.Degrees())
	}
	if reflect.DeepEqual(side, sc.Sensors[0]) {
		t.Error("not moved")
	}
	sc.Body.Parts = append(sc.Body.Parts, scene.Part{Name: "jaw", Outline: []r2.Point{{X: 0.2, Y: 0.1}, {X: 0.4, Y: 0.1}, {X: 0.4, Y: 0.2}, {X: 0.2, Y: 0.2}}, HeightM: scene.Span{Lo: 0, Hi: 1}})
	for what, c := range map[string]plan.Change{
		"no such sensor": {Sensor: "none", MoveM: 1}, "into a part": {Sensor: "left", MoveM: -0.2}, "onto another": {Sensor: "left", MoveM: -0.69},
	} {
		if _, err := With(sc, c); err == nil {
			t.Errorf("%s, and no error", what)
		}
	}
}
