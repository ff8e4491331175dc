package firing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler"
	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
)

// TryShare is the part of the search allowed for the cycle itself that each way out, or other change on trial, may take.
const TryShare = 8

// change is something a builder may do about the cycle, done to a copy of the problem.
type change func(p *instance.Problem)

// try solves the problem again with changes made; the cycle is in whole ticks. ok is false when nothing is to be tried.
func (w *work) try(changes ...change) (us int64, ok bool) {
	if !w.o.Try {
		return 0, false
	}
	p := w.p
	p.Jobs = slices.Clone(p.Jobs)
	for _, c := range changes {
		c(&p)
	}
	o := scheduler.Options{Nodes: w.o.Nodes / TryShare}
	again := *w
	again.o.Nodes = o.Nodes
	var t instance.Timetable
	var err error
	if w.delayed != nil && w.delayed.rises {
		if us, ok := again.tryRising(p); ok {
			return us, true
		}
		p = delays.Widen(p, w.delayed.late) // else a table that holds at any of the delays
	}
	if w.often == nil {
		p.Jobs = onceACycle(p.Jobs) // it is kept to as it is, and a shorter cycle keeps to it too
	}
	if w.read != nil || !w.isStaggered() && w.often == nil {
		if t, err = scheduler.Solve(w.ctx, p, o); err == nil {
			t = w.intoChains(p, t, o)
		}
	} else {
		if w.isStaggered() { // a way out that makes the problem anew has it in slots
			p.Style = instance.Staggered
		}
		t, err = again.inTicks(p)
	}
	if err != nil {
		return 0, false
	}
	again.p, again.t, again.read = p, t, nil
	if w.read != nil {
		again.slots = nil
	}
	return int64(again.ticks().realisedUs()), true
}

// tryRising is the cycle of a problem with the delays of w, rising. Where that is shorter, they are longer than
// need be.
func (w *work) tryRising(p instance.Problem) (us int64, ok bool) {
	d, err := *w.delayed, error(nil)
	if w.p = p; w.isStaggered() {
		w.p.Style = instance.Staggered
		if w.t, err = w.inTicks(w.p); err == nil {
			w, err = w.shifted(&d)
		}
	} else if w.t, err = scheduler.Solve(w.ctx, p, scheduler.Options{Nodes: w.o.Nodes}); err == nil {
		w, err = w.rising(&d)
	}
	if err != nil {
		return 0, false
	}
	return int64(w.ticks().realisedUs()), true
}

// tryStaggered is the cycle if every sensor had a time of its own; ok is false where it has, or nothing is to be tried.
func (w *work) tryStaggered() (us int64, ok bool) {
	if w.isStaggered() || w.read != nil {
		return 0, false
	}
	again := *w
	again.slots = &slotsAnswer{}
	again.o.Nodes *= TryShare // as many as when it is taken
	return again.try()
}

// swapped puts modules in place of jobs that listen no longer than is wanted and then are free.
func (w *work) swapped(jobs []int) change {
	return func(p *instance.Problem) {
		for _, j := range jobs {
			c, was := w.clocks[w.sensors[j]], p.Jobs[j].BusyUs
			p.Jobs[j].CloseUs = max(c.NeedsUs, c.OpenUs, c.DeafUs) + c.DelayUs
			p.Jobs[j].BusyUs = c.NeedsUs + c.TransferUs + c.DelayUs
			p.Resources = sooner(p.Resources, j, was-p.Jobs[j].BusyUs, p.Jobs[j].BusyUs)
		}
	}
}

// sooner moves what job uses after its line is free, at busyUs, to an earlier time; earlier uses stay.
func sooner(resources []instance.Resource, job int, byUs, busyUs int64) []instance.Resource {
	out := slices.Clone(resources)
	for i, r := range out {
		out[i].Uses = slices.Clone(r.Uses)
		for k, u := range r.Uses {
			if byUs > 0 && u.Job == job && u.UntilUs > busyUs {
				u.UntilUs = max(1, u.UntilUs-byUs)
				u.FromUs = min(max(0, u.FromUs-byUs), u.UntilUs-1)
				out[i].Uses[k] = u
			}
		}
	}
	return out
}

// readingsBind reports whether the controller, not the rail, limits the readings at a time.
func (w *work) readingsBind() bool {
	return w.p.AtOnce > 0 && w.p.AtOnce < len(w.p.Jobs) && w.p.AtOnce == w.unrailed().AtOnce
}

// several takes away the controller's limit on readings at a time; what the rail asks stays. It undoes changes made before it.
func (w *work) several(p *instance.Problem) {
	sc := *w.sc
	sc.Controller.Reading, sc.Controller.AtOnce = scene.Capture, 0
	*p, _ = Problem(&sc, w.clocks, w.arcs)
}

// sooner is the least turn of a job whose module would do what is wanted and no more.
func (w *work) sooner(job int) turn {
	c := w.clocks[w.sensors[job]]
	least := turn{us: c.NeedsUs + c.DelayUs, cause: window, to: -1}
	if l := w.late[job]; l.us > least.us+pauseUs(w.p) {
		least = l
	}
	return least
}

// slow lists the jobs that hold up the next group for longer than what is wanted of them needs; of one kind, or of any
// when kind is below zero.
func (w *work) slow(kind int) (jobs []int) {
	for j, i := range w.sensors {
		if (kind < 0 || w.sc.Sensors[i].Kind == kind) && w.sooner(j).us < w.turn(j).us {
			jobs = append(jobs, j)
		}
	}
	return jobs
}

// ofKind lists the jobs of one kind.
func (w *work) ofKind(kind int) (jobs []int) {
	for j, i := range w.sensors {
		if w.sc.Sensors[i].Kind == kind {
			jobs = append(jobs, j)
		}
	}
	return jobs
}

// fewest leaves out of jobs those that need no other module for what swapping them all wins.
func (w *work) fewest(jobs []int) []int {
	want, ok := w.try(w.swapped(jobs))
	if !ok {
		return jobs
	}
	for k := len(jobs) - 1; k >= 0 && len(jobs) > 1; k-- {
		fewer := slices.Delete(slices.Clone(jobs), k, k+1)
		if us, _ := w.try(w.swapped(fewer)); us <= want {
			jobs = fewer
		}
	}
	return jobs
}

// gives says what a way out makes of a cycle that need not be shorter; nothing where it wins nothing. Of one that must be, waysOut
// alone tells.
func (w *work) gives(changes ...change) string {
	if !w.within() {
		return ""
	}
	us, ok := w.try(changes...)
	if !ok || us >= int64(w.ticks().realisedUs()) {
		return ""
	}
	return w.says(us)
}

// says words the cycle a way out gives.
func (w *work) says(us int64) string {
	now := int64(w.ticks().realisedUs())
	switch {
	case w.within():
		return fmt.Sprintf(": cycle %s instead of %s", plan.Milliseconds(us), plan.Milliseconds(now))
	case us <= w.p.BudgetUs:
		return fmt.Sprintf(": cycle %s, within the %s asked", plan.Milliseconds(us), plan.Milliseconds(w.p.BudgetUs))
	}
	return fmt.Sprintf(": cycle %s, not enough by itself", plan.Milliseconds(us))
}

// waysOut lists what would shorten a cycle that is too long, each reckoned by solving again, and which of it is a change of sensors
// that can be made as it is. It is the one home of such advice, and none of it takes range from a sensor that its zones or the way to
// stop may need: other findings may ask for more.
func (w *work) waysOut() (text string, try []plan.Change) {
	var ways []string
	best := int64(w.ticks().realisedUs())
	// A way out is told if it wins anything; one made of several, if more than each of them.
	add := func(what string, made bool, changes ...change) (told bool) {
		us, ok := w.try(changes...)
		switch {
		case !ok:
			ways = append(ways, what)
		case made && us < best || us < int64(w.ticks().realisedUs()) && !made:
			ways = append(ways, what+w.says(us))
			best = min(best, us)
		default:
			return false
		}
		return true
	}
	if us, ok := w.tryStaggered(); ok && us < best {
		ways = append(ways, "style: staggered"+w.says(us))
		best = us
		try = []plan.Change{{Style: plan.Staggered}}
	}
	if w.delayed.can() && w.delayed != nil && w.delayed.without < best {
		ways = append(ways, "no delays"+w.says(w.delayed.without))
	}
	job, t := w.longest(w.jobs())
	ofKind, all := w.slow(w.sc.Sensors[w.sensors[job]].Kind), w.slow(-1)
	if few := w.fewest(ofKind); len(few) > 0 {
		told := add(w.swap(few), false, w.swapped(few))
		if whole := w.ofKind(w.sc.Sensors[w.sensors[job]].Kind); told && len(whole) > len(few) {
			add("such modules in place of all of "+join(w.names(whole)), true, w.swapped(whole))
		}
	}
	if len(all) > len(ofKind) && len(ways) == 0 {
		add(w.swap(all), true, w.swapped(all))
	} else if len(all) > len(ofKind) {
		add("such modules in place of all of "+join(w.names(all)), true, w.swapped(all))
	}
	if w.readingsBind() {
		add("a controller that takes all readings at once that sound allows", false, w.several)
		if len(all) > 0 && len(ways) > 0 {
			add("such a controller and all such modules", true, w.several, w.swapped(all))
		}
	}
	if what, all := w.spare(); len(all) > 0 && add(what, false, w.shortened(all)) && try == nil {
		try = all
	}
	if what := w.quieter(job, t); what != "" {
		ways = append(ways, what)
	}
	if len(ways) == 0 {
		return "fewer sensors, or a longer cycle where the way to stop allows it: nothing tried on these wins any time", nil
	}
	return strings.Join(ways, "; "), try
}

// atBudget is what findings say that would shorten a cycle over its budget, where they give the reason and no way out.
const atBudget = "what shortens the cycle is told at " + CodeOverBudget

// mend says what would shorten the turn of a job, and of all of its kind, that holds up the next group longest.
func (w *work) mend(job int, t turn) string {
	if !w.within() {
		return atBudget
	}
	if t.cause == late {
		return w.quieter(job, t)
	}
	if slow := w.slow(w.sc.Sensors[w.sensors[job]].Kind); len(slow) > 0 {
		if us, ok := w.try(w.swapped(slow)); !ok || us < int64(w.ticks().realisedUs()) {
			return w.swap(slow)
		}
	}
	return w.quieter(job, w.sooner(job))
}

// swap asks for other modules in place of jobs, whose lines are free when their windows end, as swapped takes them to be.
func (w *work) swap(jobs []int) string {
	var was int64
	lo, hi, fetched := int64(math.MaxInt64), int64(0), ""
	for _, j := range jobs {
		was = max(was, w.turn(j).us-w.clocks[w.sensors[j]].DelayUs)
		free := w.onCard(w.clocks[w.sensors[j]].NeedsUs)
		lo, hi = min(lo, free), max(hi, free)
		if w.clocks[w.sensors[j]].TransferUs > 0 {
			fetched = ", but for fetching the answer,"
		}
	}
	free := plan.Milliseconds(lo)
	if hi > lo {
		free += " to " + plan.Milliseconds(hi) + ", each when its window ends,"
	}
	return fmt.Sprintf("modules in place of %s whose window can be set and whose line is free sooner (%s%s instead of %s)",
		join(w.names(jobs)), free, fetched, plan.Milliseconds(was))
}

// onCard is the longest time on a module's card that the controller's clock makes no longer than us, to a digit that is printed.
func (w *work) onCard(us int64) int64 {
	l := newLateness(w.sc)
	step := int64(10)
	if us >= 10000 {
		step = 100
	}
	at := int64(math.Floor((float64(us)-float64(l.tick)/1e3)/(1+l.share)+slack)) / step * step
	return max(step, at)
}

// quieter says what would let a job's late sound die sooner, if that is what holds up the next group. A weaker or narrower module
// would too, but what it sees may be needed.
func (w *work) quieter(job int, t turn) string {
	if t.cause != late || t.to < 0 {
		return ""
	}
	var ways []string
	if t.to != job {
		ways = append(ways, fmt.Sprintf("a carrier for %s that %s does not hear", w.name(job), w.name(t.to)))
	}
	if a := w.sc.Around; a.Bounces > 0 && a.WallsM.Lo <= a.WallsM.Hi {
		ways = append(ways, fmt.Sprintf("walls no farther off than %g m, if that is true of the place", a.WallsM.Hi))
	}
	return strings.Join(ways, ", or ")
}

// spare lists the sensors whose layout asks for a longer window than their zones and the way to stop can need, with what is enough,
// and says so.
func (w *work) spare() (text string, all []plan.Change) {
	type ask struct{ need, now string }
	var order []ask
	names := map[ask][]string{}
	for _, i := range w.sensors {
		s := w.sc.Sensors[i]
		need := math.Ceil(100*math.Max(ListenRange(w.sc, i, math.Inf(1)), w.stops(i))) / 100
		if !settable(w.sc.Kinds[s.Kind]) || s.ListenM <= need {
			continue
		}
		all = append(all, plan.Change{Sensor: s.Name, ListenM: need})
		a := ask{plan.Metres(need), plan.Metres(s.ListenM)}
		if names[a] == nil {
			order = append(order, a)
		}
		names[a] = append(names[a], s.Name)
	}
	var texts []string
	for _, a := range order {
		texts = append(texts, fmt.Sprintf("listen-to: %s for %s (now %s)", a.need, join(names[a]), a.now))
	}
	return strings.Join(texts, ", ") + ", as nothing farther is asked of them", all
}

// shortened tells sensors to listen no farther than changes say. It undoes changes made before it.
func (w *work) shortened(all []plan.Change) change {
	return func(p *instance.Problem) {
		sc := *w.sc
		sc.Sensors = slices.Clone(sc.Sensors)
		clocks := slices.Clone(w.clocks)
		for _, c := range all {
			i := slices.IndexFunc(sc.Sensors, func(s scene.Sensor) bool { return s.Name == c.Sensor })
			sc.Sensors[i].ListenM = c.ListenM
			clocks[i] = w.o.Clock(&sc, i)
			clocks[i].DelayUs = w.clocks[i].DelayUs
		}
		*p, _ = Problem(&sc, clocks, w.arcs)
	}
}

// stops bounds from above how far a sensor may have to see for a warning in time to stop, m; 0 where nothing moves.
func (w *work) stops(i int) float64 {
	m := w.sc.Motion
	if m == nil {
		return 0
	}
	readings := max(1, m.Of, m.Confirm)
	if w.delayed != nil {
		readings++ // the first needs one before it to agree with
	}
	wait := float64(readings)*(w.ticks().realisedUs()*(1+w.sc.Controller.ClockError)+2*float64(up(w.sc.Wishes.Jitter)))/1e6 + 2*float64(w.clocks[i].BusyUs+w.clocks[i].DelayUs)/1e6
	far := 0.0
	for _, p := range w.sc.Body.Outline {
		far = math.Max(far, p.Sub(w.sc.Sensors[i].At).Norm())
	}
	return far + m.SpeedMS*(wait+m.Reaction.Seconds()) + m.SpeedMS*m.SpeedMS/(2*m.DecelMS2) + m.MarginM
}
