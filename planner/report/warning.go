package report

import (
	"fmt"

	"echowright/planner/plan"
)

// confirmed is the readings it takes to warn.
func confirmed(m, n int) string {
	if n == 1 {
		return "1 reading"
	}
	return fmt.Sprintf("%d of %d readings", m, n)
}

// speed prints a speed that is asked or given as it is, to the mm/s.
func speed(ms float64) string { return fmt.Sprintf("%.4g m/s", ms) }

// warningDemands are the distances to stop of the way asked for, a row a target.
func warningDemands(p *plan.Plan, state string) (ds []demand) {
	for _, w := range p.Warnings {
		if w.State != state || !w.Asked {
			continue
		}
		d := demand{
			label: "warning", what: w.Target + ", " + plan.Toward(w.Way), is: plan.Metres(w.FirstM) + " seen", asked: plan.Metres(w.NeededM) + " needed", met: w.Met,
			why: fmt.Sprintf("at %s, %s; safe %s", speed(w.SpeedMS), confirmed(w.Confirm, w.Of), plan.UpTo(w.SafeSpeedMS)),
		}
		if len(ds) > 0 {
			d.label = ""
		}
		if w.FirstM <= 0 {
			d.is = "not certain"
		}
		d.why += limitText(w)
		ds = append(ds, d)
	}
	return ds
}

// limitText says what limits the safe speed.
func limitText(w plan.Warning) string {
	if w.LimitSensor == "" {
		return ": not seen long enough everywhere"
	}
	return ", limited by " + w.LimitSensor
}

// readyDemand is the time from power-up, where that is asked for.
func readyDemand(p *plan.Plan) []demand {
	r := p.Ready
	if r.AskedUs == 0 {
		return nil
	}
	d := demand{label: "ready", what: "first warning", is: plan.Duration(r.FirstWarningUs), asked: "asked " + plan.Duration(r.AskedUs), met: r.Met, why: readyText(r)}
	if r.Sensor == "" {
		d.is = "never"
	}
	return []demand{d}
}

// readyText says what makes the time from power-up.
func readyText(r plan.Ready) string {
	if r.Sensor == "" {
		return "no sensor warns of what comes that way in every state, or none is ever fired; the findings say where"
	}
	begins := fmt.Sprintf("module %s (controller boots in %s)", plan.Milliseconds(r.PowerUpUs), plan.Milliseconds(r.BootUs))
	if r.BootUs > r.PowerUpUs {
		begins = fmt.Sprintf("controller boot %s (module up in %s)", plan.Milliseconds(r.BootUs), plan.Milliseconds(r.PowerUpUs))
	}
	return fmt.Sprintf("after power-up: %s, %s of %s %s, echo and answer %s", begins, confirmed(r.Confirm, r.Of), r.Sensor, plan.Milliseconds(r.ReadingsUs), plan.Milliseconds(r.EchoUs))
}
