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
