package firing

import (
	"context"
	"errors"
	"testing"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/delays"
	"echowright/scheduler/ghosts"
)

// Four sensors that all hear each other take turns of 10 ms. With the sound of two pairs left to alternating delays two groups are
// enough, and the cycle is no longer than those and the greatest delay.
func TestToleratedPairsShareAGroup(t *testing.T) {
	sc, c := bench(4, 4), clocks(4, 10*ms, 0)
	airy(sc, scene.Delays{Way: plan.Alternating, MoversMS: 1})
	sc.Wishes.Jitter, sc.Wishes.Cycle, sc.Controller.Tick = 50*us, 30*ms, us
	var arcs []crosstalk.Arc
	for i := range 4 {
		for j := range 4 {
			if i != j {
				arcs = append(arcs, arc(i, j, 2*ms, 9*ms))
			}
		}
	}
	if s := solve(t, sc, c, arcs).Schedule; s.Delays.WithoutUs != 40400 || s.Met {
		t.Fatalf("%d us without", s.Delays.WithoutUs)
	}
	pairs := [][2]int{{0, 2}, {3, 1}}
	sc.Wishes.Delays.Let = pairs
	s := solve(t, sc, c, arcs).Schedule
	d, cycle := s.Delays, s.RunsUs()
	if len(s.Groups) != 2 || d.WithoutUs != 20200 || cycle > 30000 || !s.Met || d.Classes != 4 || d.ConfirmUs < 2*cycle {
		t.Errorf("%d us in %v, %+v", cycle, s.Groups, d)
	}
	// Played by hand of the table alone: sound of each pair, both ways and of any age, is dropped.
	r := ghosts.Rule{CycleUs: cycle, FiringUs: 50, ReadingUs: 1, ThresholdUs: d.ThresholdUs, Drift: 2. / 343, DelaysUs: make([][]int64, 4)}
	for _, f := range s.Firings {
		r.DelaysUs[f.Sensor[1]-'1'] = f.DelaysUs
	}
	for _, p := range pairs {
		if g := r.Accepted([][2]int{p, {p[1], p[0]}}, 5); len(g) > 0 {
			t.Errorf("%v: %v", p, g)
		}
	}
}

func TestNotToBeTolerated(t *testing.T) {
	sc, c := bench(4, 4), clocks(4, 10*ms, 0)
	airy(sc, scene.Delays{Way: plan.Alternating, MoversMS: WalkMS})
	sc.Kinds = append(sc.Kinds, scene.Kind{Name: "wild", Timing: scene.Timing{By: scene.ByItself}})
	sc.Sensors[3].Kind = 1
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
	for _, pair := range [][2]int{{0, 0}, {0, 1}, {2, 3}, {2, 9}, {-1, 0}} {
		var no *delays.Cannot
		sc.Wishes.Delays.Let = [][2]int{pair}
		if _, err := Plan(context.Background(), sc, c, nil, Options{}); !errors.As(err, &no) {
			t.Errorf("%v: %v", pair, err)
		}
	}
	sc.Wishes.Delays.Let = [][2]int{{0, 2}}
	if s := solve(t, sc, c, []crosstalk.Arc{arc(0, 2, 2*ms, 9*ms)}).Schedule; s.Delays == nil || s.Delays.Cannot != "" {
		t.Errorf("%+v", s)
	}
	sc.Wishes.Delays.Way = plan.Dithered
	var no *delays.Cannot
	if _, err := Plan(context.Background(), sc, c, nil, Options{}); !errors.As(err, &no) {
		t.Errorf("dithered: %v", err)
	}
}
