package margins

import (
	"math"
	"slices"
	"strings"
	"time"

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
