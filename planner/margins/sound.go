package margins

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/s1"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// heard is the problem of a scene that sounds otherwise, with the firmware's windows as they are.
func (r *run) heard(sc *scene.Scene) (instance.Problem, error) {
	_, arcs, err := r.tools.Listen(r.ctx, sc)
	if err != nil {
		return instance.Problem{}, err
	}
	p, _ := r.asked(sc, r.clocks, arcs)
	return p, nil
}

// sounding fills in kept by what a change does to sound alone.
func (w *row) sounding(r *run) {
	w.slow = true
	w.kept = func(i int, x float64) (instance.Problem, error) {
		if x == 0 {
			return r.problem, nil
		}
		return r.heard(w.anew(i, x))
	}
}

func (r *run) temperature(warmer bool) row {
	w := row{step: 1, coarse: 1}
	t := r.sc.Air.TemperatureC
	w.Quantity, w.Unit, w.Stated, w.Change = plan.MarginTemperature, "degC", stated(t.Lo), "the cold end colder"
	room := t.Lo - coldestC
	if warmer {
		w.Stated, w.Change, room = stated(t.Hi), "the warm end warmer", warmestC-t.Hi
	}
	w.allow(0, usualTemperature, farWeather)
	w.upTo(math.Max(0, math.Min(w.UpTo, room)))
	w.anew = func(_ int, x float64) *scene.Scene {
		c := *r.sc
		if warmer {
			c.Air.TemperatureC.Hi += x
		} else {
			c.Air.TemperatureC.Lo -= x
		}
		return &c
	}
	w.sounding(r)
	return w
}

func (r *run) threshold(sign float64) row {
	w := row{step: 1, coarse: 1}
	tol := r.sc.Tolerance.ThresholdDB
	w.Quantity, w.Unit, w.Change = plan.MarginThreshold, "dB", "all modules more sensitive"
	if sign < 0 {
		w.Change = "all modules less sensitive"
	}
	if tol > 0 {
		w.Stated = stated(tol)
	}
	w.allow(tol, usualThresholdDB, farLevels)
	w.anew = func(_ int, x float64) *scene.Scene { return sensitive(r.sc, sign*x) }
	w.sounding(r)
	if sign < 0 {
		w.kept = nil // what hears less is disturbed no more
	}
	return w
}

// sensitive is a scene in which every module hears what is weaker by so many dB: each range it states was found on something that
// answers so much weaker.
func sensitive(sc *scene.Scene, db float64) *scene.Scene {
	c := *sc
	c.Kinds = slices.Clone(c.Kinds)
	for i := range c.Kinds {
		k := &c.Kinds[i]
		k.Ranges = slices.Clone(k.Ranges)
		for n := range k.Ranges {
			k.Ranges[n].Against.LossDB.X += db
		}
		k.Beam.TableAgainst.LossDB.X += db
	}
	return &c
}

// turnedBy is a scene with some sensors turned to the left by so many degrees each.
func turnedBy(sc *scene.Scene, deg func(i int) float64) *scene.Scene {
	c := *sc
	c.Sensors = slices.Clone(c.Sensors)
	for i := range c.Sensors {
		c.Sensors[i].Heading += s1.Angle(deg(i)) * s1.Degree
	}
	return &c
}

func (r *run) heading() row {
	tol := r.sc.Tolerance.Heading.Degrees()
	w := row{step: 0.1, coarse: 0.1, n: 2 * len(r.sc.Sensors)}
	w.Quantity, w.Unit, w.Change = plan.MarginHeading, "deg", "one sensor turned, either way"
	if tol > 0 {
		w.Stated = stated(tol)
	}
	w.allow(tol, usualHeadingDeg, farAngles)
	w.Tried = []float64{math.Round(w.Allowed/w.coarse) * w.coarse, w.UpTo}
	way := []string{"left", "right"}
	w.alone = func(i int) string { return fmt.Sprintf("%s turned to the %s", r.sc.Sensors[i/2].Name, way[i%2]) }
	w.anew = func(i int, x float64) *scene.Scene {
		return turnedBy(r.sc, func(k int) float64 {
			if k != i/2 {
				return 0
			}
			return x * float64(1-2*(i%2))
		})
	}
	w.sounding(r)
	return w
}

// allHeadings is all sensors off by the tolerance at once: to one side, or away from the machine's middle line or towards it.
func (r *run) allHeadings() row {
	tol := r.sc.Tolerance.Heading.Degrees()
	w := row{step: 0.1, coarse: 0.1, n: 4}
	w.Quantity, w.Unit, w.Stated, w.Change = plan.MarginHeading, "deg", stated(tol), "all sensors turned at once, up to the tolerance"
	w.allow(tol, usualHeadingDeg, 1)
	w.alone = func(i int) string {
		return []string{"all turned to the left", "all turned to the right", "all turned outward", "all turned inward"}[i]
	}
	w.anew = func(i int, x float64) *scene.Scene {
		return turnedBy(r.sc, func(k int) float64 {
			y := x * float64(1-2*(i%2))
			if i >= 2 && r.sc.Sensors[k].At.Y < 0 {
				y = -y
			}
			return y
		})
	}
	w.sounding(r)
	return w
}
