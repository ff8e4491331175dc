package latency

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/planner/plan"
)

// holds tries what must hold in any world.
func holds(t *testing.T, r *rand.Rand) {
	w := randomWorld(r)
	slices.SortStableFunc(w.p.Schedule.Firings, func(a, b plan.Firing) int { return cmp.Compare(a.AtUs, b.AtUs) })
	base := w.asked()
	if base.Zone == "" {
		return
	}
	figures := []float64{base.FirstM, base.NeededM, base.SafeSpeedMS, base.At[0], base.At[1], base.SeenFromM, base.SeenToM}
	if slices.ContainsFunc(figures, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }) {
		t.Fatalf("not finite: %+v", base)
	}
	if base.SeenToM > base.FirstM || base.FirstM > base.SeenFromM || base.Met != (base.FirstM > 0 && base.FirstM >= base.NeededM) {
		t.Errorf("at odds with itself: %+v", base)
	}
	speed := w.sc.Motion.SpeedMS
	at := func(v float64) plan.Warning {
		w.sc.Motion.SpeedMS = v
		defer func() { w.sc.Motion.SpeedMS = speed }()
		return w.asked()
	}
	if s := base.SafeSpeedMS; s > 0 && !at(s*(1-1e-9)).Met || at(s*(1+1e-6)+1e-6).Met {
		t.Errorf("the greatest safe speed, %g m/s, is not where the verdict turns", s)
	}
	cycle := w.p.Schedule.CycleUs
	w.p.Schedule.CycleUs = cycle * 2
	if slow := w.asked(); slow.SafeSpeedMS > base.SafeSpeedMS+1e-9 || slow.FirstM-slow.NeededM > base.FirstM-base.NeededM+1e-9 {
		t.Errorf("a longer cycle made it better: %+v, %+v", base, slow)
	}
	w.p.Schedule.CycleUs = cycle
	w.p.Lobes = slices.DeleteFunc(w.p.Lobes, func(l plan.Lobe) bool { return l.Sensor == w.sc.Sensors[0].Name })
	if fewer := w.asked(); fewer.SafeSpeedMS > base.SafeSpeedMS+1e-9 {
		t.Errorf("a blind sensor made it better: %+v, %+v", base, fewer)
	}
}

func FuzzHolds(f *testing.F) {
	for seed := range uint64(150) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { holds(t, rand.New(rand.NewPCG(seed, 7))) })
}
