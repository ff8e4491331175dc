package margins

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/golang/geo/s1"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// row is one quantity changed one way, with how to reckon a change of it. Functions of (i, x) change the i-th of n things by x units, the others
// not at all.
type row struct {
	plan.Margin
	n     int                // things changed each alone; 0: all at once
	alone func(i int) string // what the i-th is and how it is changed
	// step is the resolution with the timetable kept, coarse with one solved anew, in units.
	step, coarse float64
	slow         bool // asks for new acoustics at every step
	// kept is the problem, its guard as asked, with the firmware's windows as they are, and anew the scene that is planned again; nil: not looked
	// at. only: not with the guard used up.
	kept func(i int, x float64) (instance.Problem, error)
	anew func(i int, x float64) *scene.Scene
	only bool
}

// What is usual where a layout allows for nothing. Common practice, no source.
const (
	usualGuardUs     = 1000.0
	usualJitterUs    = 100.0
	usualClockError  = 0.01
	usualHeadingDeg  = 2.0
	usualTemperature = 5.0 // degC beyond the weather stated
	usualThresholdDB = 3.0
)

// How far changes are looked at, in parts of what is allowed for, and farther than any layout needs.
const (
	farTimes   = 10 // of times and the clock
	farAngles  = 5
	farWeather = 4
	farLevels  = 4
	mostError  = 0.5 // of a clock
	coldestC   = -50 // the layout's own limits of weather
	warmestC   = 60
)

// allow sets what a row is measured by and how far it is looked at.
func (w *row) allow(stated, usual, far float64) {
	w.Allowed, w.AllowedBy = stated, "the layout"
	if !(stated > 0) {
		w.Allowed, w.AllowedBy = usual, "common practice"
	}
	w.upTo(w.Allowed * far)
}

// upTo sets how far a row is looked at, in whole steps of both kinds.
func (w *row) upTo(most float64) {
	w.UpTo = math.Floor(most/w.coarse+1e-9) * w.coarse
	w.Tried = []float64{w.UpTo}
}

func stated(x float64) *float64 { return &x }

// rows are all quantities, those that ask for no new acoustics first.
func (r *run) rows() (rows []row) {
	rows = append(rows, r.guard(), r.overruns(), r.jitter(), r.clockError(), r.window(+1), r.window(-1))
	rows = append(rows, r.temperature(false), r.temperature(true), r.threshold(+1), r.threshold(-1))
	if len(r.sc.Sensors) > 0 {
		rows = append(rows, r.heading())
		if r.sc.Tolerance.Heading > 0 {
			rows = append(rows, r.allHeadings())
		}
	}
	return rows
}

// us is whole microseconds as a time.
func us(x float64) time.Duration { return time.Duration(math.Round(x)) * time.Microsecond }

// coarseOf is a whole number of microseconds, about a hundredth of what is looked at.
func coarseOf(allowed, far float64) float64 { return math.Max(1, math.Round(allowed*far/100)) }

func (r *run) guard() row {
	w := r.timed(plan.MarginGuard, "a longer guard asked")
	w.Stated, w.only = stated(float64(r.problem.GuardUs)), true
	w.kept = func(_ int, x float64) (instance.Problem, error) {
		p := r.problem
		p.GuardUs += int64(math.Round(x))
		return p, nil
	}
	w.anew = func(_ int, x float64) *scene.Scene {
		c := *r.sc
		c.Wishes.Guard += us(x)
		return &c
	}
	return w
}

// overruns is each reading, alone, that keeps its line for longer than its module's figures say.
func (r *run) overruns() row {
	w := r.timed(plan.MarginGuard, "one reading overruns")
	w.n, w.alone = len(r.problem.Jobs), func(i int) string { return r.problem.JobName(i) + " overruns" }
	w.kept = func(i int, x float64) (instance.Problem, error) {
		return overrun(r.problem, i, int64(math.Round(x))), nil
	}
	return w
}

// timed is a row of a time that the guard is there to take up.
func (r *run) timed(quantity, change string) row {
	g := float64(r.problem.GuardUs)
	w := row{step: 1, coarse: coarseOf(math.Max(g, usualGuardUs), farTimes)}
	w.Quantity, w.Unit, w.Change = quantity, "us", change
	w.allow(g, usualGuardUs, farTimes)
	return w
}

// overrun is a problem in which one job's line, and what it uses to its end, is free by so much later; its window is as it was.
func overrun(p instance.Problem, job int, byUs int64) instance.Problem {
	if byUs == 0 || job >= len(p.Jobs) {
		return p
	}
	p.Jobs, p.Resources = slices.Clone(p.Jobs), slices.Clone(p.Resources)
	j := &p.Jobs[job]
	was := max(j.CloseUs, j.BusyUs)
	j.BusyUs = was + byUs
	for k, res := range p.Resources {
		p.Resources[k].Uses = slices.Clone(res.Uses)
		for m, u := range res.Uses {
			if u.Job == job && u.UntilUs >= was {
				p.Resources[k].Uses[m].UntilUs += byUs
			}
		}
	}
	return p
}

func (r *run) jitter() row {
	j := float64(r.problem.JitterUs)
	w := row{step: 1, coarse: coarseOf(math.Max(j, usualJitterUs), farTimes)}
	w.Quantity, w.Unit, w.Stated = plan.MarginJitter, "us", stated(j)
	w.Change = "every firing off by more, either way"
	w.allow(j, usualJitterUs, farTimes)
	w.anew = func(_ int, x float64) *scene.Scene {
		c := *r.sc
		c.Wishes.Jitter += us(x)
		return &c
	}
	w.kept = func(i int, x float64) (instance.Problem, error) {
		p, _ := r.asked(w.anew(i, x), r.clocks, r.arcs)
		return p, nil
	}
	return w
}

func (r *run) clockError() row {
	e := r.sc.Controller.ClockError
	w := row{step: 1e-5, coarse: 1e-4}
	w.Quantity, w.Unit, w.Stated = plan.MarginClock, "share", stated(e)
	w.Change = "the controller's clock off by more"
	w.allow(e, usualClockError, farTimes)
	w.upTo(math.Max(w.coarse, math.Min(w.UpTo, mostError-e)))
	w.anew = func(_ int, x float64) *scene.Scene {
		c := *r.sc
		c.Controller.ClockError += x
		return &c
	}
	w.kept = func(i int, x float64) (instance.Problem, error) {
		if x == 0 {
			return r.problem, nil
		}
		sc := w.anew(i, x)
		clocks, arcs, err := r.tools.Listen(r.ctx, sc)
		p, _ := r.asked(sc, clocks, arcs)
		return p, err
	}
	return w
}

// window is each sensor listening longer, or shorter, alone.
func (r *run) window(sign float64) row {
	w := r.timed(plan.MarginWindow, "one sensor listens longer")
	if sign < 0 {
		w.Change = "one sensor listens shorter"
	}
	var who []int
	for i := range r.sc.Sensors {
		if sign > 0 || r.settable(i) {
			who = append(who, i)
		}
	}
	w.n = len(who)
	_, how, _ := strings.Cut(w.Change, "sensor ")
	w.alone = func(i int) string { return r.sc.Sensors[who[i]].Name + " " + how }
	if len(who) == 0 {
		w.Change += ": none can be set"
		return w
	}
	w.anew = func(i int, x float64) *scene.Scene { return r.listening(who[i], sign*x) }
	if sign < 0 {
		return w // what listens for less time hears no more
	}
	w.kept = func(i int, x float64) (instance.Problem, error) {
		clocks := slices.Clone(r.clocks)
		c := &clocks[who[i]]
		k := r.sc.Kinds[r.sc.Sensors[who[i]].Kind]
		c.CloseUs += int64(math.Round(x))
		if k.Timing.AnswerAfter == 0 {
			c.BusyUs = max(c.BusyUs, c.CloseUs+c.TransferUs)
		}
		if x == 0 {
			return r.problem, nil
		}
		p, _ := r.asked(r.sc, clocks, r.arcs)
		return p, nil
	}
	return w
}

// settable reports whether the builder can choose a sensor's window.
func (r *run) settable(i int) bool {
	t := r.sc.Kinds[r.sc.Sensors[i].Kind].Timing
	return t.By == scene.ByController || t.WindowSettable
}

// listening is the scene with one sensor's window changed by so many microseconds: what it is told, where it can be told, else its module's own
// time-out.
func (r *run) listening(i int, x float64) *scene.Scene {
	c := *r.sc
	c.Sensors = slices.Clone(c.Sensors)
	s := &c.Sensors[i]
	k := c.Kinds[s.Kind]
	if r.settable(i) || k.Timing.BusyWithoutEcho == 0 {
		// A window is sized for the slowest sound there and back.
		s.ListenM = math.Max(0.001, r.clocks[i].ListenM+x*1e-6*r.base.Air.Slowest/2)
		return &c
	}
	k.Timing.BusyWithoutEcho += us(x)
	s.Kind = len(c.Kinds)
	c.Kinds = append(slices.Clone(c.Kinds), k)
	return &c
}

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
	w.Tried = []float64{math.Round(w.UpTo) / farAngles, w.UpTo}
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
