package firing

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler"
	"echowright/scheduler/instance"
)

// tryShare is the part of the search allowed for the cycle itself that each way out may take.
const tryShare = 8

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
	t, err := scheduler.Solve(w.ctx, p, scheduler.Options{Nodes: w.o.Nodes / tryShare})
	if err != nil {
		return 0, false
	}
	again := *w
	again.p, again.t = p, t
	return int64(again.ticks().realisedUs()), true
}

// swapped puts modules in place of jobs that listen no longer than is wanted and then are free.
func (w *work) swapped(jobs []int) change {
	return func(p *instance.Problem) {
		for _, j := range jobs {
			c, was := w.clocks[w.sensors[j]], p.Jobs[j].BusyUs
			p.Jobs[j].CloseUs = max(c.NeedsUs, c.OpenUs, c.DeafUs)
			p.Jobs[j].BusyUs = c.NeedsUs + c.TransferUs
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
	least := turn{us: c.NeedsUs, cause: window, to: -1}
	if l := w.late[job]; l.us > least.us+w.p.GuardUs {
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

// gives says what a way out makes of the cycle.
func (w *work) gives(changes ...change) string {
	us, ok := w.try(changes...)
	if !ok {
		return ""
	}
	return w.says(us)
}

// says words the cycle a way out gives.
func (w *work) says(us int64) string {
	now := int64(w.ticks().realisedUs())
	switch {
	case us >= now:
		return ": the cycle stays " + plan.Milliseconds(now)
	case w.within():
		return fmt.Sprintf(": cycle %s instead of %s", plan.Milliseconds(us), plan.Milliseconds(now))
	case us <= w.p.BudgetUs:
		return fmt.Sprintf(": cycle %s, within the %s asked", plan.Milliseconds(us), plan.Milliseconds(w.p.BudgetUs))
	}
	return fmt.Sprintf(": cycle %s, not enough by itself", plan.Milliseconds(us))
}

// waysOut lists what would shorten a cycle that is too long, each reckoned by solving again.
func (w *work) waysOut() string {
	var ways []string
	best := int64(w.ticks().realisedUs())
	// A way out is told if it wins anything; one made of several, if more than each of them.
	add := func(what string, made bool, changes ...change) {
		us, ok := w.try(changes...)
		switch {
		case !ok:
			ways = append(ways, what)
		case made && us < best || us < int64(w.ticks().realisedUs()) && !made:
			ways = append(ways, what+w.says(us))
			best = min(best, us)
		}
	}
	job, t := w.longest(w.jobs())
	ofKind, all := w.slow(w.sc.Sensors[w.sensors[job]].Kind), w.slow(-1)
	if len(ofKind) > 0 {
		add(w.mend(job, t), false, w.swapped(ofKind))
	}
	if len(all) > len(ofKind) {
		add("such modules in place of all of "+join(w.names(all)), true, w.swapped(all))
	}
	if w.readingsBind() {
		add("a controller that takes all readings at once that sound allows", false, w.several)
		if len(all) > 0 {
			add("such a controller and all such modules", true, w.several, w.swapped(all))
		}
	}
	if len(ways) == 0 {
		return w.mend(job, t)
	}
	return strings.Join(ways, "; ")
}

// mend says what would shorten the turn of a job, and of all of its kind, that holds up the next group longest.
func (w *work) mend(job int, t turn) string {
	c, least := w.clocks[w.sensors[job]], w.sooner(job)
	names := join(w.names(w.slow(w.sc.Sensors[w.sensors[job]].Kind)))
	switch {
	case t.cause == late:
		return fmt.Sprintf("a narrower beam or a module that hears less far in place of %s, or walls no farther off than the layout must allow for", w.name(job))
	case least.us < t.us && least.cause == late:
		return fmt.Sprintf("modules in place of %s whose window can be set and whose line is free sooner (%s instead of %s, when the sound of %s has died)", names, plan.Milliseconds(least.us), plan.Milliseconds(t.us), w.name(job))
	case least.us < t.us:
		return fmt.Sprintf("modules in place of %s whose window can be set and whose line is free sooner (%s instead of %s)", names, plan.Milliseconds(least.us), plan.Milliseconds(t.us))
	}
	return fmt.Sprintf("a shorter listening distance for %s than %s", w.name(job), plan.Metres(c.ListenM))
}
