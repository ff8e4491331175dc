package firing_test

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner"
	"echowright/planner/acoustics"
	"echowright/planner/crosstalk"
	"echowright/planner/firing"
	"echowright/planner/scene"
	"echowright/scheduler"
	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// sample is a sample layout with change made to it, and what goes into its firing plan.
func sample(t *testing.T, name string, change func(*scene.Scene)) (*scene.Scene, []firing.Clock, []crosstalk.Arc) {
	t.Helper()
	data, err := layouts.FS.ReadFile(name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	sc, list := planner.Load(name, data, assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	change(sc)
	var ears []*acoustics.Ear
	for _, s := range sc.Sensors {
		m, err := acoustics.NewModel(sc.Kinds[s.Kind], sc.Air)
		if err != nil {
			t.Fatal(err)
		}
		ears = append(ears, m.Mount(s, sc.Around.Ground))
	}
	slow, fast := acoustics.SpeedSpan(sc.Air)
	arcs, err := crosstalk.Arcs(t.Context(), sc, ears, slow.Value, fast.Value)
	if err != nil {
		t.Fatal(err)
	}
	return sc, firing.Clocks(sc, ears), arcs
}

func table(t *testing.T, p instance.Problem) instance.Timetable {
	t.Helper()
	tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return tt
}

// shorter puts the groups from g on sooner by us and claims nothing of the cycle.
func shorter(t instance.Timetable, g int, us int64) instance.Timetable {
	at := int64(0)
	for _, f := range t.Firings {
		if f.Job == t.Groups[g][0] {
			at = f.AtUs
		}
	}
	t.Firings = slices.Clone(t.Firings)
	for k, f := range t.Firings {
		if f.AtUs >= at {
			t.Firings[k].AtUs -= us
		}
	}
	t.LowerBoundUs, t.Proven, t.Clique = 0, false, nil
	return t
}

// The problem of a real layout carries the jitter, and the checker plays it at its worst: a group put sooner by any part of twice
// the jitter (either firing may be off) is refused, and the same table without jitter is right. With windows of the layout
// the guard is hurt; with short windows before far walls, sound.
func TestCheckerPlaysJitterOfRealLayouts(t *testing.T) {
	far := func(sc *scene.Scene) {
		for i := range sc.Sensors {
			sc.Sensors[i].ListenM = 0.3
		}
		sc.Around.WallsM.Hi, sc.Wishes.Guard = 8, 0
	}
	for _, c := range []struct {
		name   string
		change func(*scene.Scene)
		rule   check.Rule
	}{
		{"first-rover", func(*scene.Scene) {}, check.Guard},
		{"plank-trailer", func(*scene.Scene) {}, check.Guard},
		{"hall-sweeper", func(*scene.Scene) {}, check.Guard},
		{"shelf-cart", func(*scene.Scene) {}, check.Guard},
		{"shelf-cart", far, check.Sound},
	} {
		sc, clocks, arcs := sample(t, c.name, c.change)
		p, _ := firing.Problem(sc, clocks, arcs)
		j := sc.Wishes.Jitter.Microseconds()
		if j < 50 || p.JitterUs != j {
			t.Fatalf("%s: jitter %d us, the layout says %v", c.name, p.JitterUs, sc.Wishes.Jitter)
		}
		tt := table(t, p)
		calm := p
		calm.JitterUs = 0
		met := map[check.Rule]bool{}
		for g := 1; g < len(tt.Groups); g++ {
			for _, us := range []int64{1, j / 2, j - 1, 2*j - 1} {
				sooner := shorter(tt, g, us)
				var v *check.Violation
				if err := check.Check(p, sooner); !errors.As(err, &v) {
					t.Errorf("%s: group %d %d us sooner: %v", c.name, g+1, us, err)
				} else {
					met[v.Rule] = true
				}
				if err := check.Check(calm, sooner); err != nil {
					t.Errorf("%s: without jitter, group %d %d us sooner: %v", c.name, g+1, us, err)
				}
			}
		}
		if !met[c.rule] {
			t.Errorf("%s: refused by %v, none by %s", c.name, met, c.rule)
		}
	}
}

// Jitter counts once: each more microsecond of it makes every group wait for the one before by 2 more, and the cycle, where
// windows decide, by 2 for each group. The Plan's arcs grow by 2 at either end, and no other time of it.
func TestJitterCountsOnceInRealLayouts(t *testing.T) {
	const more = 137 * time.Microsecond
	for _, name := range []string{"first-rover", "plank-trailer", "hall-sweeper", "shelf-cart"} {
		var cycles, groups [2]int64
		var made [2]firing.Result
		for k := range 2 {
			sc, clocks, arcs := sample(t, name, func(sc *scene.Scene) { sc.Wishes.Jitter += time.Duration(k) * more })
			r, err := firing.Plan(t.Context(), sc, clocks, arcs, firing.Options{})
			if err != nil {
				t.Fatal(err)
			}
			made[k], cycles[k], groups[k] = r, r.Schedule.CycleUs, int64(len(r.Schedule.Groups))
		}
		d := more.Microseconds()
		if groups[0] < 2 || groups[0] != groups[1] || cycles[1]-cycles[0] != 2*d*groups[0] || made[1].Schedule.GuardUs-made[0].Schedule.GuardUs != 2*d {
			t.Errorf("%s: cycles %v us of %v groups, guards %d and %d us", name, cycles, groups, made[0].Schedule.GuardUs, made[1].Schedule.GuardUs)
		}
		for k, a := range made[0].Arcs {
			if b := made[1].Arcs[k]; b.UntilUs-a.UntilUs != 2*d || a.FromUs-b.FromUs != min(2*d, a.FromUs) {
				t.Errorf("%s: arc %d from %d to %d us, then from %d to %d", name, k, a.FromUs, a.UntilUs, b.FromUs, b.UntilUs)
			}
		}
		for k, a := range made[0].Schedule.Firings {
			b := made[1].Schedule.Firings[k]
			if a.ListenUntilUs-a.AtUs != b.ListenUntilUs-b.AtUs || a.BusyUntilUs-a.AtUs != b.BusyUntilUs-b.AtUs || a.MayHearFromUs-a.AtUs != b.MayHearFromUs-b.AtUs {
				t.Errorf("%s: firing %d: %+v, then %+v", name, k, a, b)
			}
		}
	}
}
