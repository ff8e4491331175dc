package planner

import (
	"context"
	"fmt"
	"math"
	"testing"

	"echowright/assets"
	"echowright/planner/plan"
)

// planTurned plans a square machine turned as a whole by quarters of a turn, or that machine's mirror image: two sensors on
// one side and two of a beam taller than wide on the next, a bar flush with the first side, and a zone before each side.
func planTurned(t *testing.T, quarters int, mirror bool) *plan.Plan {
	t.Helper()
	corner := func(x, y float64) string {
		if mirror {
			y = -y
		}
		for range quarters {
			x, y = -y, x
		}
		return fmt.Sprintf("[%g m, %g m]", x, y)
	}
	side := func(i int) string {
		if mirror {
			i = 4 - i
		}
		return []string{"front", "left", "rear", "right"}[(i+quarters)%4]
	}
	bar := []string{corner(0.88, -0.5), corner(0.9, -0.5), corner(0.9, 0.5), corner(0.88, 0.5)}
	p := func(x, y float64) string { return "{place: " + corner(x, y) + "}" }
	text := fmt.Sprintf(`echowright: 1
body:
  outline: {rectangle: [1.8 m, 1.8 m], height: 400..900 mm}
  parts: [{name: bar, polygon: [%s, %s, %s, %s], height: 420..480 mm}]
kinds: {tall: {like: sealed-pulse-width, beam: {horizontal: 50 deg, vertical: 110 deg, meaning: -6 dB two way, never-below: -60 dB, source: estimate}}}
sensors:
- {name: a, kind: sealed-pulse-width, at: %s, height: 550 mm}
- {name: b, kind: sealed-pulse-width, at: %s, height: 550 mm}
- {name: c, kind: tall, at: %s, height: 550 mm}
- {name: d, kind: tall, at: %s, height: 550 mm}
zones:
- {name: ahead, band: {along: %s, depth: 0.25..1.5 m}, target: post-75}
- {name: beside, band: {along: %s, depth: 0.25..1.5 m}, target: post-75}
`, bar[0], bar[1], bar[2], bar[3], p(0.9, 0.2), p(0.9, -0.3), p(0.1, 0.9), p(-0.3, 0.9), side(0), side(1))
	sc, list := Load("turned", []byte(text), assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	made, err := Analyse(context.Background(), sc, Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// TestTurningTheMachineChangesNoPlan: no reading, no area and no cycle depends on which way a machine points.
func TestTurningTheMachineChangesNoPlan(t *testing.T) {
	want := planTurned(t, 0, false)
	if len(want.Masks) == 0 || want.Schedule.CycleUs == 0 {
		t.Fatalf("too little to tell: %d readings, cycle %d us", len(want.Masks), want.Schedule.CycleUs)
	}
	for quarters := range 4 {
		for _, mirror := range []bool{false, true} {
			what := fmt.Sprintf("%d quarters, mirrored %v", quarters, mirror)
			got := planTurned(t, quarters, mirror)
			if got.Schedule.CycleUs != want.Schedule.CycleUs || len(got.Crosstalk) != len(want.Crosstalk) {
				t.Errorf("%s: cycle %d us of %d arcs, want %d of %d", what, got.Schedule.CycleUs, len(got.Crosstalk), want.Schedule.CycleUs, len(want.Crosstalk))
				continue
			}
			for i, a := range got.Crosstalk {
				if w := want.Crosstalk[i]; a.Path == "direct" && math.Abs(a.LevelDB-w.LevelDB) > 1e-6 {
					t.Errorf("%s: %s hears %s directly at %g dB, want %g", what, a.To, a.From, a.LevelDB, w.LevelDB)
				}
			}
			if len(got.Masks) != len(want.Masks) {
				t.Errorf("%s: readings %+v, want %+v", what, got.Masks, want.Masks)
				continue
			}
			for i, m := range want.Masks {
				g := got.Masks[i]
				if g.Sensor != m.Sensor || g.What != m.What || g.Always != m.Always || math.Abs(g.ReadsM-m.ReadsM) > 1e-9 || math.Abs(g.LevelDB-m.LevelDB) > 1e-6 {
					t.Errorf("%s: reads %+v, want %+v", what, g, m)
				}
			}
			for i, c := range want.Coverage {
				if g := got.Coverage[i]; math.Abs(g.CoveredM2-c.CoveredM2) > 1e-9 || math.Abs(g.AreaM2-c.AreaM2) > 1e-9 {
					t.Errorf("%s: %s covers %g of %g m2, want %g of %g", what, c.Zone, g.CoveredM2, g.AreaM2, c.CoveredM2, c.AreaM2)
				}
			}
		}
	}
}

// TestOneRingOneAnswer: on a round machine with evenly spaced sensors, who hears whom depends on how far apart they stand and on
// nothing else, whatever the zone's outline does to the halving of its places. Levels may be bounded half a decibel too high
// (levelWithinDB of package crosstalk), and by 20 lg(100/92) + 10 lg(50/45) dB, as places 50 mm away are not halved below 4 mm.
func TestOneRingOneAnswer(t *testing.T) {
	const n = 8
	for _, depth := range []int{200, 300, 400, 500, 600, 800} {
		text := "echowright: 1\nbody: {outline: {path: \"M 170 0 A 170 170 0 0 1 -170 0 A 170 170 0 0 1 170 0 Z\", height: 20..150 mm}}\n" +
			"around: {walls: 0.3..4 m, bounces: 1}\ntargets: {chair-leg: {shape: post, diameter: 30 mm, height: 0..0.4 m, surface: hard}}\n" +
			fmt.Sprintf("zones: [{name: ring, band: {along: all, depth: 50..%d mm}, target: chair-leg}]\nsensors:\n", depth)
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
			text += fmt.Sprintf("- {name: eye%d, kind: near-wide, at: {place: [%.4f mm, %.4f mm]}, height: 90 mm, pair-axis: upright}\n", i, 170*cos, 170*sin)
		}
		sc, list := Load("ring", []byte(text), assets.Kinds())
		if list.HasErrors() {
			t.Fatal(list)
		}
		p, err := Analyse(context.Background(), sc, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		level, pairs := map[int][2]float64{}, map[int]int{}
		for _, a := range p.Crosstalk {
			if a.Path != "target: chair-leg" {
				continue
			}
			var i, j int
			fmt.Sscanf(a.From+" "+a.To, "eye%d eye%d", &i, &j)
			apart := min((i-j+n)%n, (j-i+n)%n)
			if pairs[apart]++; pairs[apart] == 1 {
				level[apart] = [2]float64{a.LevelDB, a.LevelDB}
			}
			level[apart] = [2]float64{math.Min(level[apart][0], a.LevelDB), math.Max(level[apart][1], a.LevelDB)}
		}
		for apart, ordered := range pairs {
			all := 2 * n
			if apart == 0 || apart == n/2 {
				all = n
			}
			if ordered != all || level[apart][1]-level[apart][0] > 1.7 {
				t.Errorf("zone to %d mm, %d steps apart: %d of %d pairs hear it, %.2f to %.2f dB", depth, apart, ordered, all, level[apart][0], level[apart][1])
			}
		}
	}
}
