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

// The span heard is what of the arrival lies in the listener's window, after its own trigger; a sensor that is not in the
// table is kept out by nothing.
func TestLetsInSaysWhen(t *testing.T) {
	for _, c := range []struct {
		name string
		arc  Arc
		us   [2]int64
		in   bool
		kept bool
	}{
		{"the end of the sound, from b's opening", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 620}, [2]int64{100, 120}, true, false},
		{"all of it", Arc{From: "a", To: "b", FromUs: 650, UntilUs: 700}, [2]int64{150, 200}, true, false},
		{"its own, one cycle late", Arc{From: "a", To: "a", FromUs: 1150, UntilUs: 1500}, [2]int64{150, 300}, true, false},
		{"two cycles late, over two openings", Arc{From: "a", To: "b", FromUs: 1780, UntilUs: 2640}, [2]int64{100, 300}, true, false},
		{"between windows", Arc{From: "a", To: "b", FromUs: 850, UntilUs: 900}, [2]int64{}, false, true},
		{"from one that fires by itself", Arc{From: "c", To: "b", FromUs: 850, UntilUs: 900}, [2]int64{}, false, false},
	} {
		p := table()
		if us, in := p.LetsIn(c.arc); us != c.us || in != c.in {
			t.Errorf("%s: %v %v, want %v %v", c.name, us, in, c.us, c.in)
		}
		if kept := p.KeepsOut(c.arc); kept != c.kept {
			t.Errorf("%s: kept out %v", c.name, kept)
		}
	}
}

// No table keeps a sensor that fires by itself apart from the others.
func TestSelfFiringIsForeignAtEveryPhase(t *testing.T) {
	p := table(Arc{From: "a", To: "wild", FromUs: 0, UntilUs: 50}, Arc{From: "wild", To: "a", FromUs: 0, UntilUs: 50})
	if got := p.Disturbed(); got != 2 {
		t.Errorf("%d pairs, want 2", got)
	}
}

// Delays that alternate are replayed as they come: b fires 40 µs later in every second cycle, a 10. By hand: b hears a from 600 on in
// even cycles and 630 after a in odd ones, a hears b of the cycle before 600 and 560 + 10 after b. Of a long table any delay may come.
func TestDelaysAreReplayed(t *testing.T) {
	for _, c := range []struct {
		name string
		arc  Arc
		late [2][]int64
		in   bool
	}{
		{"dies before b opens in either cycle", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 600}, [2][]int64{{0, 10}, {0, 40}}, false},
		{"dies as b opens in even cycles", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 601}, [2][]int64{{0, 10}, {0, 40}}, true},
		{"a later than b", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 600}, [2][]int64{{0, 40}, {0, 10}}, true},
		{"begins after b's window in odd cycles", Arc{From: "a", To: "b", FromUs: 830, UntilUs: 900}, [2][]int64{{0, 10}, {0, 40}}, false},
		{"begins within it in odd cycles", Arc{From: "a", To: "b", FromUs: 829, UntilUs: 900}, [2][]int64{{0, 10}, {0, 40}}, true},
		{"b late, a of the next cycle early", Arc{From: "b", To: "a", FromUs: 0, UntilUs: 560}, [2][]int64{{0, 10}, {0, 40}}, false},
		{"a microsecond more", Arc{From: "b", To: "a", FromUs: 0, UntilUs: 561}, [2][]int64{{0, 10}, {0, 40}}, true},
		{"its own of the cycle before", Arc{From: "b", To: "b", FromUs: 0, UntilUs: 1060}, [2][]int64{{0, 10}, {0, 40}}, false},
		{"its own, a microsecond more", Arc{From: "b", To: "b", FromUs: 0, UntilUs: 1061}, [2][]int64{{0, 10}, {0, 40}}, true},
		{"any delay of a long table", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 591}, [2][]int64{{0, 10, 3}, {0, 40, 0}}, true},
		{"none of a long table", Arc{From: "a", To: "b", FromUs: 0, UntilUs: 590}, [2][]int64{{0, 10, 3}, {0, 40, 0}}, false},
	} {
		p := table(c.arc)
		for i := range p.Schedule.Firings {
			p.Schedule.Firings[i].DelaysUs = c.late[i]
		}
		if _, in := p.LetsIn(c.arc); in != c.in {
			t.Errorf("%s: let in %v", c.name, in)
		}
	}
}
