package latency

import (
	"fmt"
	"math"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Codes of the findings of this package.
const (
	CodeTooFast  = "too-fast-to-stop"
	CodeTight    = "stop-within-drawing-error"
	CodeLate     = "warning-late"
	CodeNotAhead = "no-zone-on-the-way"
	// CodeTurning tells of a motion that turns: what is reckoned is its straight travel. A turn brings targets in
	// from the side, on arcs that this package does not follow.
	CodeTurning = "turn-taken-as-straight"
)

// heading is what a way is called in a sentence.
var heading = map[string]string{"forward": "straight ahead", "backward": "straight back", "left": "straight to the left", "right": "straight to the right"}

func (r *reckoning) findings(w plan.Warning) (fs []plan.Finding) {
	where := w.Zone
	if w.State != "" {
		where += ", " + w.State
	}
	if spare := w.FirstM - w.NeededM; w.FirstM > 0 && math.Abs(spare) <= r.l.slitM {
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodeTight, Where: where,
			Text: fmt.Sprintf("%s coming %s is warned of at %.4f m and %.4f m are needed: less apart than the %s that the drawing's own error may shift: take the verdict as open",
				w.Target, heading[w.Way], w.FirstM, w.NeededM, plan.Millimetres(r.l.slitM)),
			Mend: "leave more margin, or drive a little slower",
		})
	}
	if !w.Met {
		fs = append(fs, r.tooFast(w, where))
	}
	return fs
}

// tooFast says where a warning comes too late to stop, why, and what would do instead.
func (r *reckoning) tooFast(w plan.Warning, where string) plan.Finding {
	f := plan.Finding{Severity: plan.NotMet, Code: CodeTooFast, Where: where}
	if w.FirstM < worthM {
		f.Text = fmt.Sprintf("%s coming %s is never seen in time on the line %s", w.Target, heading[w.Way], lineWords(w))
		switch {
		case w.SeenFromM >= worthM && r.l.seenBy > 1:
			f.Text += fmt.Sprintf(": seen from %s on, but not by %d sensors that each have time to confirm", plan.Metres(w.SeenFromM), r.l.seenBy)
		case w.SeenFromM >= worthM:
			f.Text += fmt.Sprintf(": seen from %s on, but lost again before %s", plan.Metres(w.SeenFromM), readings(w))
		default:
			f.Text += ": no sensor sees it there before it touches"
		}
		f.Mend = "let a sensor see that line without a break"
	} else {
		f.Text = fmt.Sprintf("%s coming %s is warned of at %s, but %s are needed at %.3g m/s (%s, %s and its echo %s, reaction %s)",
			w.Target, heading[w.Way], plan.Metres(w.FirstM), plan.Metres(w.NeededM), w.SpeedMS, w.Sensor, readings(w), plan.Milliseconds(w.DetectUs), plan.Milliseconds(w.ReactionUs))
		if w.SeenFromM > w.FirstM+worthM {
			f.Text += fmt.Sprintf("; seen from %s on already, but not long enough by one sensor", plan.Metres(w.SeenFromM))
		}
		f.Text += ": " + plan.Body{Outline: plan.RingOf(r.l.outline)}.Place(w.At)
	}
	f.Mend = r.waysOut(f.Mend, w)
	return f
}

// lineWords says where a line of the lane lies across the way, from the origin of the body.
func lineWords(w plan.Warning) string {
	off, sides := w.At[1], [2]string{"left", "right"}
	if w.Way == string(scene.Leftward) || w.Way == string(scene.Rightward) {
		off, sides = w.At[0], [2]string{"ahead", "back"}
	}
	switch {
	case math.Abs(off) < worthM:
		return "through the middle"
	case off > 0:
		return fmt.Sprintf("%s %s of the middle", plan.Metres(off), sides[0])
	}
	return fmt.Sprintf("%s %s of the middle", plan.Metres(-off), sides[1])
}

// worthM is the least distance worth a word, m: what is printed.
const worthM = 0.005

func readings(w plan.Warning) string {
	if w.Of == 1 {
		return "a reading"
	}
	return fmt.Sprintf("%d of %d readings", w.Confirm, w.Of)
}

// waysOut adds what would do instead, each reckoned again: a slower speed, a shorter cycle, a longer window. How the cycle becomes
// shorter is for the firing plan to say, and a window that would make a cycle longer that is too long already is not asked for.
func (r *reckoning) waysOut(mend string, w plan.Warning) string {
	or := func(text string) {
		if mend != "" {
			mend += ", or "
		}
		mend += text
	}
	// Where the margin alone is more than is seen, no speed is slow enough.
	if w.FirstM >= worthM && r.stop.MarginM >= w.FirstM {
		or(fmt.Sprintf("ask for a margin well below %s (now %s), or let a sensor see farther", plan.Metres(w.FirstM), plan.Metres(r.stop.MarginM)))
	}
	// Rounded down, so that what is printed holds.
	if slow := math.Floor(w.SafeSpeedMS*100) / 100; slow > 0 {
		or(fmt.Sprintf("drive at no more than %.2f m/s", slow))
	}
	if us, ok := r.shorterRefresh(w); ok {
		now := plan.Milliseconds(w.WaitUs)
		switch s := r.schedule; {
		case overBudget(s):
			now += "; what shortens the cycle is told at cycle-over-budget"
		case s.Proven && s.Style != plan.AsRead:
			now += ", the quickest these modules can take turns"
		}
		or(fmt.Sprintf("let %s fire every %s (now %s)", w.Sensor, plan.Milliseconds(us), now))
	}
	if watch := r.worst.watch; watch != nil && watch.ends && r.worst.farM > watch.listenM-windowEdgeM && !(overBudget(r.schedule) && watch.frees) {
		or(fmt.Sprintf("let %s listen farther than %s", w.Sensor, plan.Metres(watch.listenM)))
	}
	if mend == "" {
		return "brake harder, or ask for a smaller margin"
	}
	return mend
}

// overBudget reports whether a cycle is longer than asked.
func overBudget(s *plan.Schedule) bool {
	return s.BudgetUs > 0 && s.RealisedCycleUs > float64(s.BudgetUs)
}

// windowEdgeM is how near to the end of its window a lobe's far end is made by the window, m: the bound on a
// lobe's error and the bend of its arc over a corner.
const windowEdgeM = 0.01

// shorterRefresh is the time between firings, whole microseconds, that would just do, tried on the whole lane.
func (r *reckoning) shorterRefresh(w plan.Warning) (int64, bool) {
	watch := r.worst.watch
	if watch == nil || r.speed <= 0 {
		return 0, false
	}
	rest := watch.echo(r.worst.farM, r.sound) + watch.jitter + r.reaction
	every := math.Floor(r.stop.LongestRefresh(w.FirstM, r.speed, rest, r.readings)*1e6) / 1e6
	if every <= 0 {
		return 0, false
	}
	again := *r
	again.l = r.l.refreshed(every)
	_, bad := again.l.worst(again.demand(r.speed, 0))
	return int64(math.Round(every * 1e6)), !bad
}

// refreshed is the lane with sensors that all fire so often, s, those that fire more often left as they are.
func (l *lane) refreshed(every float64) *lane {
	out := *l
	out.paths = nil
	for _, p := range l.paths {
		w := *p.watch
		if w.wait(1) > every {
			w.first, w.gaps = []float64{0}, []float64{every}
		}
		p.watch = &w
		out.paths = append(out.paths, p)
	}
	return &out
}

// motionFindings tells what is left out of the reckoning of a motion.
func (t *travel) motionFindings(ws []plan.Warning) (fs []plan.Finding) {
	m, asked := t.sc.Motion, false
	for _, w := range ws {
		asked = asked || w.Asked
	}
	if !asked {
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodeNotAhead, Where: "motion",
			Text: fmt.Sprintf("no zone lies across the way of a machine that moves %s: whether it can stop was not reckoned", heading[string(m.Way)]),
			Mend: "ask for a zone there, as wide as the machine",
		})
	}
	if most := math.Max(math.Abs(m.TurnRadS.Lo), math.Abs(m.TurnRadS.Hi)); most > 0 && asked {
		longest := 0.0
		for _, w := range ws {
			if w.Asked {
				longest = math.Max(longest, float64(w.DetectUs+w.ReactionUs)/1e6+m.SpeedMS/m.DecelMS2)
			}
		}
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodeTurning, Where: "motion",
			Text: fmt.Sprintf("the distance to stop is reckoned for straight travel; turning at %.0f deg/s the machine may come round by up to %.0f deg from the first sight of a target until it stands, and what comes in from the side is seen later",
				most*180/math.Pi, math.Min(360, most*longest*180/math.Pi)),
			Mend: "turn slowly where something may stand beside the lane, or watch the sides with zones of their own",
		})
	}
	return fs
}

func (r readiness) findings() []plan.Finding {
	if r.Met {
		return nil
	}
	f := plan.Finding{Severity: plan.NotMet, Code: CodeLate, Where: "power-up"}
	if r.state != "" {
		f.Where += ", " + r.state
	}
	if r.Sensor == "" {
		f.Text = fmt.Sprintf("%s: the first warning asked for within %s never comes", r.never, plan.Duration(r.AskedUs))
		if r.never == laneUnwarned {
			f.Mend = "let sensors see all of the lane without a break"
		}
		return []plan.Finding{f}
	}
	begins, what := r.PowerUpUs, "power-up of the module of "+r.Sensor
	if r.BootUs > begins {
		begins, what = r.BootUs, "boot of the controller"
	}
	f.Text = fmt.Sprintf("the first warning may come %s after power-up, asked %s: %s %s, %d readings of %s %s, echo and answer %s",
		plan.Duration(r.FirstWarningUs), plan.Duration(r.AskedUs), what, plan.Milliseconds(begins), r.Of, r.Sensor, plan.Milliseconds(r.ReadingsUs), plan.Milliseconds(r.EchoUs))
	over := r.FirstWarningUs - r.AskedUs
	switch {
	case r.ReadingsUs > over && r.Of > 1:
		f.Mend = fmt.Sprintf("a cycle so much shorter that %d readings of %s come within %s, or fewer readings to confirm", r.Of, r.Sensor, plan.Milliseconds(r.ReadingsUs-over))
	case r.ReadingsUs > over:
		f.Mend = fmt.Sprintf("fire %s within %s of the cycle's start", r.Sensor, plan.Milliseconds(r.ReadingsUs-over))
	default:
		f.Mend = fmt.Sprintf("a module or controller that is ready %s sooner", plan.Milliseconds(over))
	}
	return []plan.Finding{f}
}
