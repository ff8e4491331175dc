package firing

import (
	"fmt"
	"math"
	"time"

	"echowright/planner/acoustics"
	"echowright/planner/scene"
	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
)

// closing is how fast paths of sound change.
type closing struct {
	ms    float64 // greatest speed at which anything draws near or away
	drift float64 // how much later or sooner an echo may come for every unit of time
}

// closingOf adds up the machine's speed, its turn at the sensor farthest out, and what moves around. Of what draws away at v sound
// takes (2 v)/(c - v) longer for every unit of time, more than what it takes less of what draws near; c is the slowest. The time
// between firings and that of readings are by a clock that may be off.
func closingOf(sc *scene.Scene) (closing, error) {
	v := sc.Wishes.Delays.MoversMS
	if m := sc.Motion; m != nil {
		out := 0.0
		for _, s := range sc.Sensors {
			out = math.Max(out, s.At.Norm())
		}
		v += m.SpeedMS + float64(out*math.Max(math.Abs(m.TurnRadS.Lo), math.Abs(m.TurnRadS.Hi)))
	}
	slowest, _ := acoustics.SpeedSpan(sc.Air)
	if v >= slowest.Value {
		return closing{ms: v}, &delays.Cannot{Why: fmt.Sprintf("things that draw near or away at %.4g m/s outrun sound", v)}
	}
	by := (1 + sc.Controller.ClockError) * (1 + sc.Controller.ClockError)
	return closing{v, by * 2 * v / (slowest.Value - v)}, nil
}

// stepUs is the least whole number of microseconds that is a whole number of ticks.
func stepUs(tick time.Duration) int64 {
	ns := max(1, tick.Nanoseconds())
	a, b := ns, int64(1000)
	for b > 0 {
		a, b = b, a%b
	}
	return ns / a
}

// termsOf is what readings of a problem are taken under. A link of a chain fires when the one before is done: that may be as soon as
// it may hear, or as late as it can last.
func termsOf(sc *scene.Scene, p instance.Problem, c closing) delays.Terms {
	t := delays.Terms{FiringUs: p.JitterUs, Drift: c.drift, StepUs: stepUs(sc.Controller.Tick), ReadingUs: up(sc.Controller.Tick)}
	occupied := p.OccupiedUs()
	for _, chain := range p.Order {
		us := int64(0)
		for _, j := range chain[:len(chain)-1] {
			us += occupied[j] - p.Jobs[j].OpenUs
		}
		t.LateUs = max(t.LateUs, us)
	}
	return t
}
