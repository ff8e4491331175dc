package planner

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// moving is a sample layout that moves.
func moving(t testing.TB, name, motion, wish string) *scene.Scene {
	t.Helper()
	data, err := os.ReadFile("../layouts/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.Lines(string(data)) {
		if strings.HasPrefix(line, "motion:") {
			continue
		}
		line = strings.Replace(line, ", first-warning: 1.5 s", "", 1) // the demo's own
		if strings.HasPrefix(line, "wishes: {") && wish != "" {
			line = strings.Replace(line, "{", "{"+wish+", ", 1)
		}
		lines = append(lines, line)
	}
	sc, list := Load(name, []byte(strings.Join(lines, "")+motion), assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	return sc
}

func analysed(t testing.TB, sc *scene.Scene) *plan.Plan {
	t.Helper()
	p, err := Analyse(context.Background(), sc, Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Every row must follow from the Plan's own figures: detection from the firing table, the distance needed from
// v t + v²/(2a) + g, and the verdict of the plan from the rows.
func TestRoomToStopFollowsFromThePlan(t *testing.T) {
	for _, speed := range []float64{0.3, 0.9, 1.5} {
		sc := moving(t, "shelf-cart", fmt.Sprintf("motion: {way: forward, speed: %g m/s, reaction: 60 ms, deceleration: 1.5 m/s2, margin: 100 mm, confirm: 2 of 3}\n", speed), "")
		p := analysed(t, sc)
		missed, asked := false, 0
		for _, w := range p.Warnings {
			if !w.Asked {
				continue
			}
			asked++
			missed = missed || !w.Met
			// Once a cycle: three readings are three cycles, by a clock 1 % slow at the most and twice the jitter.
			cycles := 3 * p.Schedule.RealisedCycleUs
			late := 3*p.Schedule.RealisedCycleUs*sc.Controller.ClockError + 2*float64(sc.Wishes.Jitter.Microseconds())
			if d := float64(w.ReadingsUs) - cycles; d < 0 || d > late+1 {
				t.Errorf("%g m/s: three readings take %d us, three cycles %.0f", speed, w.ReadingsUs, cycles)
			}
			latency := float64(w.DetectUs+w.ReactionUs) / 1e6
			if need := speed*latency + speed*speed/3 + 0.1; math.Abs(need-w.NeededM) > 2e-6*speed+1e-9 { // whole microseconds
				t.Errorf("%g m/s: %.6f m needed, worked out %.6f", speed, w.NeededM, need)
			}
			if w.Met != (w.FirstM >= w.NeededM) || w.Met != (speed <= w.SafeSpeedMS) {
				t.Errorf("%g m/s: %+v", speed, w)
			}
		}
		_, said := found(p, "too-fast-to-stop")
		if asked != 2 || said != missed || missed != (speed > 0.5) || missed && p.Met {
			t.Errorf("%g m/s: %d rows, missed %v, said %v, met %v", speed, asked, missed, said, p.Met)
		}
	}
}

// A sensor must see, along the line that is worst and to both sides of it, what the row says it sees: the place
// of the warning is on the border of the sensor's own lobe.
func TestWarningLiesOnALobesEdge(t *testing.T) {
	p := analysed(t, moving(t, "plank-trailer", "motion: {way: backward, speed: 0.5 m/s, reaction: 0.5 s, deceleration: 2 m/s2, confirm: 2 of 3}\n", "first-warning: 1 s"))
	checked := 0
	for _, w := range p.Warnings {
		if w.FirstM == 0 {
			continue
		}
		nearest := math.Inf(1)
		for _, l := range p.Lobes {
			if l.Sensor != w.Sensor || l.Target != w.Target || l.State != w.State {
				continue
			}
			for _, r := range l.Polygon {
				for i, a := range r {
					nearest = min(nearest, fromEdge(a, r[(i+1)%len(r)], w.At))
				}
			}
		}
		checked++
		if nearest > 0.002 { // the bound on the lobe's own error, twice: a slit as wide is forgiven
			t.Errorf("%s in %q: the warning's place is %.4f m off the lobe of %s", w.Target, w.State, nearest, w.Sensor)
		}
	}
	if checked != 2 {
		t.Errorf("%d rows checked", checked)
	}
	// While the ramp is down it hides all that is behind it.
	if i := slices.IndexFunc(p.Warnings, func(w plan.Warning) bool { return w.State == "ramp down" && !w.Met }); i < 0 {
		t.Error("the ramp hides nothing")
	}
	if _, said := found(p, "warning-late"); said == p.Ready.Met {
		t.Errorf("%+v", p.Ready)
	}
}

func fromEdge(a, b, p [2]float64) float64 {
	ex, ey, dx, dy := b[0]-a[0], b[1]-a[1], p[0]-a[0], p[1]-a[1]
	u := 0.0
	if n := ex*ex + ey*ey; n > 0 {
		u = max(0, min(1, (dx*ex+dy*ey)/n))
	}
	return math.Hypot(dx-u*ex, dy-u*ey)
}

// A machine that says nothing of its motion is not judged by it.
func TestNoMotionNoWarnings(t *testing.T) {
	p := analysed(t, moving(t, "first-rover", "", ""))
	if len(p.Warnings) != 0 || !p.Ready.Met || p.Ready.FirstWarningUs == 0 {
		t.Errorf("%+v %+v", p.Warnings, p.Ready)
	}
}
