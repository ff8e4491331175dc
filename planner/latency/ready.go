package latency

import (
	"math"
	"slices"

	"echowright/planner/plan"
)

// ready reckons the time from power-up to the first warning of a target that stands there already, by the last
// of the sensors that may have to give it: those that see the lane asked for, or all where no motion is given.
//
// Controller and modules get their power together, so the longer of boot and power-up counts. The first cycle
// begins then, and its firings come in their order.
func (t *travel) ready() plan.Ready {
	r := plan.Ready{
		BootUs: us(t.sc.Controller.Boot.Seconds()), Confirm: t.confirm, Of: t.readings,
		AskedUs: t.sc.Wishes.FirstWarning.Microseconds(),
	}
	latest := -1.0
	for i := range t.watches {
		w := &t.watches[i]
		if !w.fires() || len(t.watching) > 0 && !slices.Contains(t.watching, w.name) {
			continue
		}
		begins := math.Max(t.sc.Controller.Boot.Seconds(), w.powerUp)
		echo := w.echo(w.seesM, t.p.Air.Slowest)
		if all := begins + w.until(t.readings) + echo; all > latest {
			latest = all
			r.Sensor, r.PowerUpUs, r.ReadingsUs, r.EchoUs = w.name, us(w.powerUp), us(w.until(t.readings)), us(echo)
			r.FirstWarningUs = us(all)
		}
	}
	r.Met = r.AskedUs == 0 || latest >= 0 && r.FirstWarningUs <= r.AskedUs
	return r
}
