package compare

import (
	"fmt"
	"math"
	"time"

	"github.com/golang/geo/r2"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// MountM is the height over smooth ground at which a module is taken to stand where a target answers
// from its foot, so that there is one figure to compare (common practice, no source).
const MountM = 0.25

// reached is how far a target is seen on axis at one end of the weather, and what ends it.
type reached struct {
	m     float64 // m
	echo  float64 // how far the echo alone would be strong enough
	alpha float64 // absorption there, dB/m
	speed float64 // speed of sound there, m/s
	start time.Duration
}

// reach is the farthest distance on axis at both ends of the weather, no farther than the module can time.
func reach(k scene.Kind, m *acoustics.Model, t scene.Target) (Cell, error) {
	ends, err := reaches(k, m, t)
	if err != nil {
		return Cell{}, err
	}
	worst, best := ends[0], ends[1]
	if worst.m <= m.BlindM() {
		return Cell{Is: "not for certain", From: fmt.Sprintf("%.1f dB do not reach it beyond the blind distance", m.Gain().Lo)}, nil
	}
	from := worst.sum(k, m, t, "most absorption")
	if worst.m != best.m {
		from += "; " + best.sum(k, m, t, "least")
	}
	if t.Shape == scene.Kerb {
		from += fmt.Sprintf("; seen from %s over smooth ground, down to its foot", plan.Metres(MountM))
	}
	return Cell{Is: twoFigures(worst.m) + ".." + twoFigures(best.m), From: from}, nil
}

func reaches(k scene.Kind, m *acoustics.Model, t scene.Target) (ends [2]reached, err error) {
	slow, fast := m.Speed()
	span, trigger := m.Absorption(), k.Timing.TriggerToBurst
	ends[0] = reached{alpha: span.Hi, speed: slow.Value, start: trigger.Hi}
	ends[1] = reached{alpha: span.Lo, speed: fast.Value, start: trigger.Lo}
	ends[0].echo, ends[1].echo = m.ReachM(t)
	if t.Shape == scene.Kerb {
		if ends[0].echo, ends[1].echo, err = footReach(k, m, t); err != nil {
			return ends, err
		}
	}
	for i := range ends {
		ends[i].m = ends[i].echo
		if limit, _, ok := longest(k); ok {
			ends[i].m = math.Min(ends[i].m, (limit-ends[i].start-k.Timing.Burst).Seconds()*ends[i].speed/2)
		}
	}
	return ends, nil
}

// longest is how long after its trigger a module can time an echo at all.
func longest(k scene.Kind) (limit time.Duration, why string, ok bool) {
	limit, why = k.Timing.BusyWithoutEcho, "its line gives up"
	if a := k.Timing.AnswerAfter; a > 0 && (limit == 0 || a < limit) {
		limit, why = a, "its answer is ready"
	}
	return limit, why, limit > 0
}

// sum is the one line of arithmetic of a reach.
func (r reached) sum(k scene.Kind, m *acoustics.Model, t scene.Target, end string) string {
	if r.m < r.echo {
		limit, why, _ := longest(k)
		ms := func(d time.Duration) float64 { return d.Seconds() * 1000 }
		return fmt.Sprintf("%s after %.4g ms: (%.4g - %.2g - %.2g) ms x %.0f m/s / 2 = %.2f m, the echo would do to %.2f m",
			why, ms(limit), ms(limit), ms(r.start), ms(k.Timing.Burst), r.speed, r.m, r.echo)
	}
	from := fmt.Sprintf("%.1f - 20 lg(2 x %.2f)%s - %.2f x %.2f", m.Gain().Lo, r.m, curved(" - ", t, r.m), r.alpha, 2*r.m)
	if t.LossDB.X > 0 {
		from += fmt.Sprintf(" - %.0f", t.LossDB.X)
	}
	if t.Shape == scene.Kerb {
		return from + " less what the beam loses downwards = 0 dB (" + end + ")"
	}
	return from + " = 0 dB (" + end + ")"
}

// footReach is how far a thing that answers from its foot is seen straight ahead of a level module at
// MountM, at the most and the least absorption.
func footReach(k scene.Kind, m *acoustics.Model, t scene.Target) (most, least float64, err error) {
	lo, hi := m.AbsorptionExtremes()
	for _, end := range []struct {
		at  acoustics.Weather
		far *float64
	}{{hi.At, &most}, {lo.At, &least}} {
		air := scene.Air{TemperatureC: scene.Span{Lo: end.at.TemperatureC, Hi: end.at.TemperatureC},
			HumidityPct: scene.Span{Lo: end.at.HumidityPct, Hi: end.at.HumidityPct}, PressurePa: scene.Span{Lo: end.at.PressurePa, Hi: end.at.PressurePa}}
		here, err := acoustics.NewModel(k, air)
		if err != nil {
			return 0, 0, err
		}
		ear := here.Mount(scene.Sensor{HeightM: MountM}, scene.GroundSmooth)
		*end.far = farthest(ear, t, 30)
	}
	return most, least, nil
}

// farthest is the farthest distance below a limit, m, at which a target straight ahead is seen, to the
// millimetre.
func farthest(ear *acoustics.Ear, t scene.Target, limit float64) float64 {
	seen := func(d float64) bool { return ear.Level(t, r2.Point{X: d}, acoustics.Certain) >= 0 }
	const step = 0.02
	for d := limit; d > 0; d -= step {
		if !seen(d) {
			continue
		}
		lo, hi := d, d+step
		for hi-lo > 1e-3 {
			if mid := (lo + hi) / 2; seen(mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	return 0
}

// twoFigures prints a length to the two figures that an estimate deserves.
func twoFigures(m float64) string {
	switch {
	case m >= 9.95:
		return fmt.Sprintf("%.0f m", m)
	case m >= 0.995:
		return fmt.Sprintf("%.1f m", m)
	}
	return fmt.Sprintf("%.2f m", m)
}
