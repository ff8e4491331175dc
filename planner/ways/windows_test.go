package ways

import (
	"strings"
	"testing"

	"echowright/planner/plan"
)

// The windows chosen together are those that trying every combination afresh gives: none that keeps the demands has a shorter cycle.
func TestChoiceIsTheLeastOfAll(t *testing.T) {
	sc := load(t, "testdata/long-windows.yaml", "")
	sc.Sensors = sc.Sensors[1:3]
	for _, share := range []float64{0.4, 0.9} {
		sc.Zones[0].Share = share
		p := whole(t, sc)
		all := find(t, sc, p)
		if all.Choice == nil || !all.Choice.Least {
			t.Fatalf("share %g: no choice, or not the least: %+v", share, all.Choice)
		}
		c := all.Choice
		best := p.Schedule.RunsUs()
		for _, a := range c.Windows[0].Tried {
			for _, b := range c.Windows[1].Tried {
				q := afresh(t, with(t, sc, plan.Change{Sensor: c.Windows[0].Sensor, ListenM: a}, plan.Change{Sensor: c.Windows[1].Sensor, ListenM: b}))
				keeps := q.Coverage[0].ShareMet
				if !p.Coverage[0].ShareMet { // what is missed may lose nothing
					keeps = p.Coverage[0].CoveredM2-q.Coverage[0].CoveredM2 <= p.Coverage[0].AreaErrorM2+sliverM2
				}
				if keeps {
					best = min(best, q.Schedule.RunsUs())
				}
			}
		}
		if c.CycleUs[1] != best {
			t.Errorf("share %g: chosen %d us, the least of all is %d us (%+v)", share, c.CycleUs[1], best, c.Windows)
		}
	}
}

// Of the front no point beats another, a longer cycle always gives something for it, and each point is what a fresh plan says.
func TestFrontIsNotBeaten(t *testing.T) {
	for _, c := range []struct{ file, cycle string }{{"testdata/long-windows.yaml", ""}, {"testdata/two-beams.yaml", ""}} {
		sc := load(t, c.file, c.cycle)
		front := find(t, sc, whole(t, sc)).Front
		if len(front) < 2 {
			t.Fatalf("%s: %d points", c.file, len(front))
		}
		for i, a := range front {
			for k, b := range front {
				if i != k && (a.Beats(b) || a.Equals(b)) {
					t.Errorf("%s: %g m beats %g m", c.file, a.ListenM, b.ListenM)
				}
			}
			if i > 0 && (a.CycleUs < front[i-1].CycleUs || a.ListenM <= front[i-1].ListenM || a.Shares[0].Share < front[i-1].Shares[0].Share) {
				t.Errorf("%s: %+v after %+v", c.file, a, front[i-1])
			}
			var cs []plan.Change
			for _, s := range sc.Sensors {
				if s.ListenM == 0 || s.ListenM > a.ListenM {
					cs = append(cs, plan.Change{Sensor: s.Name, ListenM: a.ListenM})
				}
			}
			p := afresh(t, with(t, sc, cs...))
			if p.Schedule.RunsUs() != a.CycleUs || p.Coverage[0].CoveredM2/p.Coverage[0].AreaM2 != a.Shares[0].Share {
				t.Errorf("%s at %g m: cycle %d, afresh %d; share %g, afresh %g", c.file, a.ListenM, a.CycleUs, p.Schedule.RunsUs(),
					a.Shares[0].Share, p.Coverage[0].CoveredM2/p.Coverage[0].AreaM2)
			}
		}
	}
}

// Where no window can be set there is no front, and the reason is told.
func TestNoFrontSaysWhy(t *testing.T) {
	sc := load(t, "../../layouts/first-rover.yaml", "")
	if all := find(t, sc, whole(t, sc)); len(all.Front) > 0 || !strings.Contains(all.NoFront, "can be set") {
		t.Errorf("%d points, %q", len(all.Front), all.NoFront)
	}
}
