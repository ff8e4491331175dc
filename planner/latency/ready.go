package latency

import (
	"math"
	"slices"

	"echowright/planner/plan"
)

// askedLane is a lane of the motion's way in a state, with the sensors that watch its zones.
type askedLane struct {
	state    string
	watching []string
	never    bool // on some line of it no warning is certain
}

// laneUnwarned is why a state has no first warning although zones lie on the way.
const laneUnwarned = "on some line of the lane no warning is certain"

// readiness is the time to the first warning, the state it is the worst of, and why it never comes if so.
type readiness struct {
	plan.Ready
	state, never string
}

// ready reckons the time from power-up to the first warning of a target that stands there already: in each state by
// the last of the sensors that watch a zone on the way, or by the last of all where no motion is given. The worst
// state counts, and one whose lane is never warned of for certain has no first warning.
//
// Controller and modules get their power together, so the longer of boot and power-up counts. The first cycle
// begins then, and its firings come in their order.
func (t *travel) ready() (worst readiness) {
	if t.sc.Motion == nil {
		return t.readyBy("", func(string) bool { return true })
	}
	for i, l := range t.asked {
		r := t.readyBy(l.state, func(name string) bool { return slices.Contains(l.watching, name) })
		if l.never || r.Sensor == "" {
			return t.neverReady(l.state, laneUnwarned)
		}
		if i == 0 || r.FirstWarningUs > worst.FirstWarningUs {
			worst = r
		}
	}
	if len(t.asked) == 0 {
		return t.neverReady("", "no zone lies across the way that the machine moves")
	}
	return worst
}

func (t *travel) neverReady(state, why string) readiness {
	asked := t.sc.Wishes.FirstWarning.Microseconds()
	return readiness{plan.Ready{
		BootUs: us(t.sc.Controller.Boot.Seconds()), Confirm: t.confirm, Of: t.readings, AskedUs: asked, Met: asked == 0,
	}, state, why}
}

// readyBy is the readiness of the last of some sensors.
func (t *travel) readyBy(state string, counts func(name string) bool) readiness {
	r := t.neverReady(state, "no sensor is ever fired")
	latest := -1.0
	for i := range t.watches {
		w := &t.watches[i]
		if !w.fires() || !counts(w.name) {
			continue
		}
		begins := math.Max(t.sc.Controller.Boot.Seconds(), w.powerUp)
		echo := w.echo(w.seesM, t.p.Air.Slowest)
		if all := begins + w.until(t.readings) + echo; all > latest {
			latest, r.never = all, ""
			r.Sensor, r.PowerUpUs, r.ReadingsUs, r.EchoUs = w.name, us(w.powerUp), us(w.until(t.readings)), us(echo)
			r.FirstWarningUs = us(all)
			r.Met = r.AskedUs == 0 || r.FirstWarningUs <= r.AskedUs
		}
	}
	return r
}
