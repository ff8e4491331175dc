package firing

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/scene"
)

// What wires, the reader and the rail make of four sensors that hear nothing of each other, listen for 10 ms and whose answer
// takes 1 ms more. Without any they all fire together: 11 ms. The groups and sums are by hand.
func TestWires(t *testing.T) {
	for name, c := range map[string]struct {
		cycle  int64
		groups int
		change func(sc *scene.Scene)
	}{
		"nothing": {11000, 1, func(*scene.Scene) {}},
		"shared trigger, else two at a time": {22000, 2, func(sc *scene.Scene) {
			sc.Controller.AtOnce = 2
			sc.Wires = []scene.Wire{{Sensors: []int{3, 0}, TriggerShared: true}}
		}},
		"joined echoes of three": {33000, 3, func(sc *scene.Scene) {
			sc.Wires = []scene.Wire{{Sensors: []int{0, 2, 3}, EchoJoined: true}}
		}},
		"a chain of three": {33000, 3, func(sc *scene.Scene) {
			sc.Wires = []scene.Wire{{Sensors: []int{2, 0, 3}, Chained: true}}
		}},
		// Fired together, the answer of one is fetched while the other's is: they take turns.
		"a two-wire bus of two": {22000, 2, func(sc *scene.Scene) {
			sc.Kinds[0].Interface = scene.TwoWire
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, Bus: "b"}}
		}},
		// Started by one call, their answers are fetched one after the other: 10 + 4 x 1 ms.
		"a two-wire bus of four, started together": {14000, 1, func(sc *scene.Scene) {
			sc.Kinds[0].Interface = scene.TwoWire
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1, 2, 3}, Bus: "b", TriggerShared: true}}
		}},
		"one receiver for all": {44000, 4, func(sc *scene.Scene) {
			sc.Kinds[0].Interface = scene.Serial
			sc.Wires = []scene.Wire{{Sensors: []int{0, 1, 2, 3}, Bus: "b"}}
		}},
		"a blocking reader": {44000, 4, func(sc *scene.Scene) { sc.Controller.Reading = scene.Blocking }},
		"a rail for two":    {22000, 2, func(sc *scene.Scene) { sc.Controller.RailLimitA = 0.1 }},
		"a rail for one":    {44000, 4, func(sc *scene.Scene) { sc.Controller.RailLimitA = 0.08 }},
		"a rail for none":   {44000, 4, func(sc *scene.Scene) { sc.Controller.RailLimitA = 0.04 }},
	} {
		sc, cl := bench(4, 4), clocks(4, 10*ms, 11*ms)
		sc.Kinds[0].Supply.PeakA.X = 0.05
		for i := range cl {
			cl[i].TransferUs = 1000
		}
		c.change(sc)
		s := solve(t, sc, cl, nil).Schedule
		if s.CycleUs != c.cycle || len(s.Groups) != c.groups || !s.Proven || s.Met != (name != "a rail for none") {
			t.Errorf("%s: cycle %d us, groups %v, proven %v, want %d us in %d", name, s.CycleUs, s.Groups, s.Proven, c.cycle, c.groups)
		}
		if !addsUp(firstLine(s.Why), s.CycleUs) || strings.Contains(firstLine(s.Why), "disturb") {
			t.Errorf("%s: why: %s", name, s.Why)
		}
		at := map[string]int{}
		for g, names := range s.Groups {
			for _, n := range names {
				at[n] = g
			}
		}
		for _, w := range sc.Wires {
			for k := 1; k < len(w.Sensors); k++ {
				a, b := at[sc.Sensors[w.Sensors[k-1]].Name], at[sc.Sensors[w.Sensors[k]].Name]
				if w.TriggerShared && a != b || w.EchoJoined && a == b || w.Chained && a >= b {
					t.Errorf("%s: groups %v", name, s.Groups)
				}
			}
		}
	}
}

// Jitter of 0.2 ms: the answers of two modules started together wait for the later of them, 0.4 ms, each for what goes before it,
// and so does a rest.
func TestSharedAllowsForJitter(t *testing.T) {
	sc, cl := bench(2, 2), clocks(2, 10*ms, 11*ms)
	sc.Wishes.Jitter = 200 * time.Microsecond
	sc.Kinds[0].Interface = scene.TwoWire
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, Bus: "b", TriggerShared: true}}
	for i := range cl {
		cl[i].TransferUs = 1000
	}
	if s := solve(t, sc, cl, nil).Schedule; s.CycleUs != 10000+2*(400+1000)+400 {
		t.Errorf("cycle %d us", s.CycleUs)
	}
	sc.Wires = nil
	cl[0].RestUs = 50000
	if s := solve(t, sc, cl, nil).Schedule; s.CycleUs != 11000+50000+400 || !addsUp(firstLine(s.Why), s.CycleUs) {
		t.Errorf("cycle %d us: %s", s.CycleUs, s.Why)
	}
}

// What cannot be is a finding and an empty table, never an error.
func TestCannotLeavesNoTable(t *testing.T) {
	sc, cl := bench(3, 3), clocks(3, 10*ms, 0)
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, Chained: true}, {Sensors: []int{1, 2}, Chained: true}, {Sensors: []int{2, 0}, Chained: true}}
	r := solve(t, sc, cl, nil)
	s := r.Schedule
	if s.Met || s.Proven || s.CycleUs != 0 || len(s.Firings) != 0 || !reflect.DeepEqual(s.Groups, [][]string{}) {
		t.Errorf("%+v", s)
	}
	if _, ok := finding(r, CodeCannot); !ok || !strings.HasPrefix(s.Why, "there is no such cycle: ") {
		t.Errorf("%q %+v", s.Why, r.Findings)
	}
}

// Sensors of one trigger stand as one in what must take turns: s1 and s2 fire together, and s3 and s4 hear them and each other.
func TestSetWithOneTriggerTakesOneTurn(t *testing.T) {
	sc := bench(4, 4)
	sc.Wires = []scene.Wire{{Sensors: []int{0, 1}, TriggerShared: true}}
	arcs := []crosstalk.Arc{arc(0, 2, 2*ms, 3*ms), arc(1, 3, 2*ms, 3*ms), arc(2, 3, 2*ms, 3*ms)}
	want := "cannot be shorter: the set s1 + s2, s3 and s4 disturb one another and must take turns, 3 x 10 ms = 30 ms"
	if s := solve(t, sc, clocks(4, 10*ms, 0), arcs).Schedule; firstLine(s.Why) != want {
		t.Errorf("%q, want %q", firstLine(s.Why), want)
	}
}

// A bus makes its sensors take turns though the controller takes all at once, and is named for it.
func TestBusThatForcesTurnsIsNamed(t *testing.T) {
	for kind, want := range map[scene.Interface]string{
		scene.TwoWire: "s1, s2 and s3 share bus b, which is silent while one ranges, ",
		scene.Serial:  "s1, s2 and s3 share serial line b, on which one may talk at a time, ",
	} {
		sc, cl := bench(3, 3), clocks(3, 10*ms, 11*ms)
		sc.Kinds[0].Interface = kind
		sc.Wires = []scene.Wire{{Sensors: []int{0, 1, 2}, Bus: "b"}}
		for i := range cl {
			cl[i].TransferUs = 1000
		}
		if s := solve(t, sc, cl, nil).Schedule; !strings.Contains(firstLine(s.Why), want) || strings.Contains(s.Why, "One at a time") {
			t.Errorf("%s, want %q", s.Why, want)
		}
	}
}
