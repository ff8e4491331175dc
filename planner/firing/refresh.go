package firing

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// often is a timetable in which sensors fire as often as is asked of each.
type often struct {
	onceUs int64 // the cycle if each fired once
	// refused is why no timetable keeps what is asked, or that none was found; empty where it is kept. The table is then the one
	// whose gaps are the fewest times longer than asked.
	refused string
}

// arrange finds the timetable in the style asked, and, where a cycle in which each sensor fires once is too long for how often some
// shall, one in which those fire several times.
func (w *work) arrange() error {
	asked := w.p.Jobs
	w.p.Jobs = onceACycle(asked)
	once := w.solve
	if w.sc.Wishes.Style == plan.Staggered {
		once = w.staggered
	}
	if err := once(); err != nil || w.cannot != nil {
		return err
	}
	if !slices.ContainsFunc(w.refresh(), func(r plan.Refresh) bool { return !r.Met }) {
		return nil
	}
	w.p.Jobs = asked
	w.often = &often{onceUs: int64(math.Ceil(w.ticks().realisedUs()))}
	w.remade = false
	if w.isStaggered() {
		w.slots = w.oftenInSlots()
	}
	t, err := w.inTicks(w.p)
	if err != nil {
		t, err = w.widest(err)
	}
	w.t = t
	return err
}

// oftenInSlots is what groups would take; nothing where they cannot keep what is asked.
func (w *work) oftenInSlots() *slotsAnswer {
	p := w.p
	p.Style = instance.Slots
	again := *w
	again.slots = nil
	t, err := again.inTicks(p)
	if err != nil {
		return &slotsAnswer{}
	}
	return &slotsAnswer{us: t.CycleUs, proven: t.Proven}
}

func onceACycle(jobs []instance.Job) []instance.Job {
	jobs = slices.Clone(jobs)
	for i := range jobs {
		jobs[i].EveryUs = 0
	}
	return jobs
}

// ownTimes reports whether every firing has a time of its own in whole ticks, and not only the groups one after the other.
func (w *work) ownTimes() bool {
	return w.often != nil || w.isStaggered() && w.p.Style == instance.Staggered
}

// refresh says of every sensor of which it is asked how often it fires.
func (w *work) refresh() (all []plan.Refresh) {
	if w.cannot != nil || w.read != nil || len(w.sc.Wishes.Refresh) == 0 {
		return nil
	}
	t := w.ticks()
	at := make([][]int64, len(w.p.Jobs)) // ticks
	for g, jobs := range w.t.Groups {
		for _, j := range jobs {
			at[j] = append(at[j], t.at[g])
		}
	}
	for j, i := range w.sensors {
		asked := refreshUs(w.sc, i)
		if asked == 0 {
			continue
		}
		longest := at[j][0] + t.cycle - at[j][len(at[j])-1]
		for k := 1; k < len(at[j]); k++ {
			longest = max(longest, at[j][k]-at[j][k-1])
		}
		kept := int64(math.Ceil(float64(longest)*t.tick*(1+w.sc.Controller.ClockError)-slack)) + 2*w.p.JitterUs + max(w.clocks[i].DelayUs, w.delayed.latest(j))
		all = append(all, plan.Refresh{Sensor: w.name(j), Times: len(at[j]), AskedUs: asked, KeptUs: kept, Met: kept <= asked})
	}
	return all
}

// oftenText says how many times sensors fire, and what makes the cycle as long as it is.
func (w *work) oftenText() string {
	most := 0
	var names []string
	for _, r := range w.refresh() {
		if r.Times > most {
			most, names = r.Times, nil
		}
		if r.Times == most {
			names = append(names, r.Sensor)
		}
	}
	says := fmt.Sprintf("; fired once each, a cycle would take %s", plan.Milliseconds(w.often.onceUs))
	if most > 1 {
		says = fmt.Sprintf("; in it %s %s %d times, and %s if each fired once", join(names), fires(len(names)), most, plan.Milliseconds(w.often.onceUs))
	}
	if w.slots != nil && w.slots.us > w.t.CycleUs {
		says += ", " + plan.Milliseconds(w.slots.us) + " in slots"
	}
	switch {
	case w.often.refused != "":
		return "as close to what is asked as was found" + says
	case !w.t.Proven:
		return "the shortest found that keeps to how often they shall fire" + says
	}
	return "cannot be shorter and keep to how often they shall fire" + says
}

func fires(n int) string {
	if n == 1 {
		return "fires"
	}
	return "fire"
}

// seldom reports the sensors that do not fire as often as asked, those alike together.
func (w *work) seldom() (fs []plan.Finding) {
	type alike struct{ asked, kept int64 }
	var order []alike
	names := map[alike][]string{}
	for _, r := range w.refresh() {
		a := alike{r.AskedUs, r.KeptUs}
		if r.Met {
			continue
		}
		if names[a] == nil {
			order = append(order, a)
		}
		names[a] = append(names[a], r.Sensor)
	}
	for k, a := range order {
		f := plan.Finding{
			Severity: plan.NotMet, Code: CodeSeldom, Where: join(names[a]),
			Text: fmt.Sprintf("%s %s only every %s at the worst, asked every %s", join(names[a]), fires(len(names[a])), plan.Milliseconds(a.kept), plan.Milliseconds(a.asked)),
			Mend: fmt.Sprintf("a refresh of %s for %s", plan.Milliseconds(upTo(a.kept)), join(names[a])),
		}
		if k == 0 {
			f.Mend += w.keepsWith()
			if w.often.refused != "" {
				f.Text += "; " + w.often.refused
			}
		}
		fs = append(fs, f)
	}
	return fs
}

// upTo rounds to as many milliseconds as are printed, upward.
func upTo(us int64) int64 {
	if us >= 100_000 {
		return (us + 999) / 1000 * 1000
	}
	return (us + 99) / 100 * 100
}

// keepsWith lists what would let all be kept, each tried by solving again.
func (w *work) keepsWith() (text string) {
	say := func(what string, us int64, ok bool) {
		if ok {
			text += "; " + what + ": all is kept then, cycle " + plan.Milliseconds(us)
		}
	}
	us, ok := w.tryStaggered()
	say("style: staggered", us, ok)
	if slow := w.slow(-1); len(slow) > 0 {
		us, ok = w.try(w.swapped(slow))
		say(w.swap(slow), us, ok)
	}
	if w.readingsBind() {
		us, ok = w.try(w.several)
		say("a controller that takes all readings at once that sound allows", us, ok)
	}
	return text
}

// widest is the timetable that comes closest to what is asked, which the scheduler found impossible or did not find.
func (w *work) widest(why error) (instance.Timetable, error) {
	var cannot *instance.Cannot
	var notFound *scheduler.NotFound
	switch {
	case errors.As(why, &cannot):
		again := *w
		again.cannot = cannot
		w.often.refused = again.cannotText()
	case errors.As(why, &notFound):
		w.often.refused = "no table that keeps all of it was found, nor proven not to be"
	default:
		return instance.Timetable{}, why
	}
	return w.solvedInTicks(w.p, func(p instance.Problem) (instance.Timetable, error) {
		s, err := scheduler.Widest(w.ctx, p, scheduler.Options{Nodes: w.o.Nodes})
		return s.Timetable, err
	})
}
