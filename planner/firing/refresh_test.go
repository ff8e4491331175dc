package firing

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// asks has every sensor of a bench fire again within a number of windows of 10 ms; 0: not asked.
func asks(windows ...int) (*scene.Scene, []Clock) {
	sc := bench(len(windows), 1)
	for _, w := range windows {
		sc.Wishes.Refresh = append(sc.Wishes.Refresh, time.Duration(w)*10*ms)
	}
	return sc, clocks(len(windows), 10*ms, 0)
}

// Pinwheel schedules (Holte and others 1989; Gasieniec, Smith and Wild 2022): one window at a time, sensor i again within a_i of
// them. Those known to exist are found, those known not to are not.
func TestPinwheels(t *testing.T) {
	for _, c := range []struct {
		windows []int
		kept    bool
	}{
		{[]int{2, 4, 4}, true}, {[]int{3, 4, 6, 6}, true}, {[]int{3, 4, 5, 8}, true}, {[]int{2, 4, 8, 8}, true}, {[]int{2, 6, 6, 6}, true},
		{[]int{2, 0, 0}, true}, {[]int{4, 4, 4, 4}, true},
		{[]int{2, 3, 6}, false}, {[]int{2, 3, 12}, false}, {[]int{3, 4, 5, 6}, false}, {[]int{1, 0}, false},
	} {
		for _, style := range []string{plan.Slots, plan.Staggered} {
			sc, cl := asks(c.windows...)
			sc.Wishes.Style = style
			r := solve(t, sc, cl, nil)
			s := r.Schedule
			f, missed := finding(r, CodeSeldom)
			if s.Met != c.kept || missed == c.kept {
				t.Errorf("%v %s: met %v, %+v", c.windows, style, s.Met, s.Refresh)
			}
			if missed && (!strings.Contains(f.Text, "asked every ") || !strings.Contains(f.Mend, "a refresh of ") || s.Clash != nil) {
				t.Errorf("%v: %+v", c.windows, f)
			}
			holdRefresh(t, sc, s)
		}
	}
}

// holdRefresh reckons how often each sensor fires from the ticks of the table alone.
func holdRefresh(t *testing.T, sc *scene.Scene, s plan.Schedule) {
	t.Helper()
	at := map[string][]float64{}
	for _, f := range s.Firings {
		at[f.Sensor] = append(at[f.Sensor], float64(f.AtTicks)*s.TickUs)
	}
	shown := map[string]plan.Refresh{}
	for _, r := range s.Refresh {
		shown[r.Sensor] = r
	}
	for i, sensor := range sc.Sensors {
		asked := float64(sc.Wishes.Refresh[i].Microseconds())
		fires := at[sensor.Name]
		if len(fires) == 0 {
			t.Fatalf("%s never fires", sensor.Name)
		}
		r, ok := shown[sensor.Name]
		if ok != (asked > 0) {
			t.Errorf("%s: asked %g, shown %+v", sensor.Name, asked, r)
		}
		if !ok {
			continue
		}
		gap := fires[0] + float64(s.CycleTicks)*s.TickUs - fires[len(fires)-1]
		for k := 1; k < len(fires); k++ {
			gap = math.Max(gap, fires[k]-fires[k-1])
		}
		gap += 2 * float64(sc.Wishes.Jitter.Nanoseconds()) / 1e3
		if math.Abs(gap-float64(r.KeptUs)) > 1.001 || r.Met != (float64(r.KeptUs) <= asked) || r.Times != len(fires) {
			t.Errorf("%s: %g us from one to the next, %d times; shown %+v", sensor.Name, gap, len(fires), r)
		}
	}
}

// A cycle that is short enough is left as it is, and a sensor that fires alone needs no more than its own time.
func TestRefreshThatAsksNothing(t *testing.T) {
	sc, cl := asks(4, 9, 4)
	once := *sc
	once.Wishes.Refresh = nil
	a, b := solve(t, sc, cl, nil).Schedule, solve(t, &once, cl, nil).Schedule
	if a.CycleUs != b.CycleUs || a.Why != b.Why || !a.Met || len(a.Firings) != 3 || len(a.Refresh) != 3 || b.Refresh != nil {
		t.Errorf("%+v\n%+v", a, b)
	}
}

// Random arrays with guards, jitter, disturbances and ticks of every sort: what is called kept is kept, and no sound comes in, as the
// plan itself replays it.
func TestRefreshPlayed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(6, 6))
	often, missed := 0, 0
	for trial := range 40 {
		n := 2 + rnd.IntN(4)
		sc, cl := bench(n, 1+rnd.IntN(n)), clocks(n, 0, 0)
		sc.Wishes = scene.Wishes{Guard: time.Duration(rnd.IntN(2)) * ms, Jitter: time.Duration(rnd.IntN(3)) * 100 * time.Microsecond, Style: []string{plan.Slots, plan.Staggered}[rnd.IntN(2)]}
		sc.Controller.Tick = []time.Duration{time.Microsecond, 64 * time.Microsecond, 333 * time.Nanosecond}[rnd.IntN(3)]
		var arcs []crosstalk.Arc
		for i := range cl {
			cl[i].CloseUs = 3000 + rnd.Int64N(9)*1000
			sc.Wishes.Refresh = append(sc.Wishes.Refresh, []time.Duration{0, 20 * ms, 35 * ms, 50 * ms}[rnd.IntN(4)])
			for j := range cl {
				if rnd.IntN(2) == 0 && i != j {
					arcs = append(arcs, arc(i, j, ms, time.Duration(2+rnd.IntN(20))*ms))
				}
			}
		}
		r, err := Plan(context.Background(), sc, cl, arcs, Options{Nodes: 4_000})
		if err != nil {
			t.Fatal(err)
		}
		s := r.Schedule
		if len(s.Firings) > n {
			often++
		}
		if !s.Met {
			missed++
		}
		holdRefresh(t, sc, s)
		p := &plan.Plan{Schedule: s.Ticked(), Crosstalk: r.Arcs}
		if got := p.Disturbed(); got != 0 {
			t.Fatalf("trial %d: %d pairs disturbed: %+v", trial, got, s)
		}
	}
	if often < 5 || missed < 3 {
		t.Errorf("%d fire several times, %d cannot: the draw tests too little", often, missed)
	}
}
