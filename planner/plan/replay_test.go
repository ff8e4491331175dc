package plan

import "testing"

// Two sensors, cycle 1000 µs, each may take sound from 100 µs after it fires, is sure to from 150, and listens until 300.
func table(arcs ...Arc) *Plan {
	f := func(name string, at int64) Firing {
		return Firing{Sensor: name, AtUs: at, MayHearFromUs: at + 100, ListenFromUs: at + 150, ListenUntilUs: at + 300}
	}
	return &Plan{Crosstalk: arcs, Schedule: Schedule{CycleUs: 1000, Firings: []Firing{f("a", 0), f("b", 500)}}}
}

func TestDisturbed(t *testing.T) {
	for _, c := range []struct {
		name string
		arc  Arc
		want int
	}{
		{"arrives before b listens", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 600}, 0},
		{"one microsecond into b's window", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 601}, 1},
		{"starts as b's window ends", Arc{From: "a", To: "b", FromUs: 800, UntilUs: 900}, 0},
		{"b reaches a round the cycle's end", Arc{From: "b", To: "a", FromUs: 590, UntilUs: 610}, 1},
		{"two cycles late", Arc{From: "a", To: "b", FromUs: 2700, UntilUs: 2710}, 1},
		{"two cycles late, between windows", Arc{From: "a", To: "b", FromUs: 2820, UntilUs: 2900}, 0},
		{"its own echo", Arc{From: "a", To: "a", FromUs: 50, UntilUs: 900}, 0},
		{"its own echo of the cycle before", Arc{From: "a", To: "a", FromUs: 50, UntilUs: 1101}, 1},
	} {
		if got := table(c.arc).Disturbed(); got != c.want {
			t.Errorf("%s: %d pairs, want %d", c.name, got, c.want)
		}
	}
}
