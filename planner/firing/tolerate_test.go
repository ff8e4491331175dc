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
	got, err := Tolerate(context.Background(), sc, c, arcs, pairs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, d := got.Schedule, got.Schedule.Delays
	if len(s.Groups) != 2 || d.WithoutUs != 20200 || got.CycleUs > 30000 || !s.Met || d.Classes != 4 || got.ConfirmUs < 2*got.CycleUs {
		t.Errorf("%d us in %v, %+v", got.CycleUs, s.Groups, d)
	}
	// Played by hand of the table alone: sound of each pair, both ways and of any age, is dropped.
	r := ghosts.Rule{CycleUs: got.CycleUs, FiringUs: 50, ReadingUs: 1, ThresholdUs: d.ThresholdUs, Drift: 2. / 343, DelaysUs: make([][]int64, 4)}
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
	airy(sc, scene.Delays{})
	sc.Kinds = append(sc.Kinds, scene.Kind{Name: "wild", Timing: scene.Timing{By: scene.ByItself}})
	sc.Sensors[3].Kind = 1
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
	for _, pair := range [][2]int{{0, 0}, {0, 1}, {2, 3}, {2, 9}, {-1, 0}} {
		var no *delays.Cannot
		if _, err := Tolerate(context.Background(), sc, c, nil, [][2]int{pair}, Options{}); !errors.As(err, &no) {
			t.Errorf("%v: %v", pair, err)
		}
	}
	if got, err := Tolerate(context.Background(), sc, c, []crosstalk.Arc{arc(0, 2, 2*ms, 9*ms)}, [][2]int{{0, 2}}, Options{}); err != nil || got.Schedule.Delays.ClosingMS != walkMS {
		t.Errorf("%+v, %v", got, err)
	}
}
