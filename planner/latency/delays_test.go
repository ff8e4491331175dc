package latency

import (
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
)

// Cycle 100 ms, every second firing 30 ms late; one reading must agree with the one before. From just after a firing two take
// 200 ms; three, where two are to be confirmed, 330. By brute force over when the target appears, on a grid of 1 ms, the longest until
// the second, the third firing after it.
func TestDelaysAreWaitedFor(t *testing.T) {
	for _, c := range []struct {
		delays  []int64
		confirm int
	}{{[]int64{0, 30_000}, 1}, {[]int64{0, 30_000}, 2}, {[]int64{5000, 40_000, 0, 12_000, 33_000}, 1}, {[]int64{5000, 40_000, 0, 12_000, 33_000}, 3}} {
		w := newWorld([][]r2.Point{rect(0.5, 3, -0.5, 0.5)})
		w.sc.Motion.Confirm, w.sc.Motion.Of = c.confirm, c.confirm
		s := &w.p.Schedule
		s.RealisedCycleUs = 100_000
		s.Firings[0].DelaysUs = c.delays
		s.Delays = &plan.Delays{TableCycles: len(c.delays)}
		var fires []int64
		for n := range 40 {
			fires = append(fires, int64(n)*100_000+c.delays[n%len(c.delays)])
		}
		most := int64(0)
		for at := int64(200_001); at < 2_000_000; at += 1000 {
			for k, f := range fires {
				if f >= at {
					most = max(most, fires[k+c.confirm]-at)
					break
				}
			}
		}
		got := w.asked()
		if got.DetectUs < most || got.DetectUs > most+1000 || got.Confirm != c.confirm+1 || got.Of != c.confirm+1 {
			t.Errorf("%v, %d to confirm: %d us, %d of %d; by search %d", c.delays, c.confirm, got.DetectUs, got.Confirm, got.Of, most)
		}
	}
}
