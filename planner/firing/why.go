package firing

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// why says in a first line what makes the cycle as long as it is, and in the lines after it the scheduler's own proof.
func (w *work) why() string {
	text := w.inShort()
	if w.t.Why != "" {
		text += "\n" + w.t.Why
	}
	if cost := w.delayed.cost(w); cost != "" {
		text += "\n" + cost
	}
	return text
}

func (w *work) inShort() string {
	if len(w.p.Jobs) == 0 {
		return "nothing can be told when to fire"
	}
	if w.cannot != nil {
		return "there is no such cycle: " + w.cannotText()
	}
	if w.read != nil {
		return w.asReadText()
	}
	if w.often != nil {
		return w.oftenText()
	}
	if w.isStaggered() {
		return w.staggeredText()
	}
	sum := w.sum()
	switch reason := w.reason(); {
	case !w.t.Proven:
		return "the best found: " + sum // whoever shows it says what is proven
	case len(w.t.Groups) == 1 && reason == "":
		return "cannot be shorter: all fire together, " + sum
	case reason == "":
		return "cannot be shorter: " + sum
	default:
		return "cannot be shorter: " + reason + ", " + sum
	}
}

// reason is what forces the groups, where few words can say it.
func (w *work) reason() string {
	switch n := len(w.t.Clique); {
	case w.rests() >= 0:
		return w.name(w.rests()) + " must rest"
	case w.rails && w.p.AtOnce > 0 && w.full() && w.p.AtOnce < w.unrailed().AtOnce:
		return fmt.Sprintf("the rail carries %d at a time", w.p.AtOnce)
	case w.p.AtOnce == 1 && len(w.p.Jobs) > 1:
		return "one reading at a time"
	case n > 1 && w.disturbOneAnother(w.t.Clique):
		return join(w.turns(w.t.Clique)) + " disturb one another and must take turns"
	case n > 1 && w.sharedBus(w.t.Clique) != "":
		return join(w.turns(w.t.Clique)) + " share " + w.sharedBus(w.t.Clique)
	case n > len(w.turns(w.t.Clique)):
		return join(w.turns(w.t.Clique)) + " must take turns"
	case n > 1:
		return "no two of " + join(w.names(w.t.Clique)) + " may fire together"
	case w.p.AtOnce > 1 && w.full():
		return fmt.Sprintf("at most %d readings at a time", w.p.AtOnce)
	}
	return ""
}

// turns names the jobs, those that must fire together as one.
func (w *work) turns(jobs []int) (names []string) {
	for _, b := range w.p.Blocks() {
		b = slices.DeleteFunc(b, func(j int) bool { return !slices.Contains(jobs, j) })
		switch {
		case len(b) == 1:
			names = append(names, w.name(b[0]))
		case len(b) > 1:
			names = append(names, "the set "+strings.Join(w.names(b), " + "))
		}
	}
	return names
}

// sharedBus names the bus that lets no two of the jobs, or of their sets with one trigger, fire together, and says why; "" if none does.
func (w *work) sharedBus(jobs []int) string {
	usage := w.p.Usage()
	set := w.setOf()
	for r, of := range w.p.Resources {
		one := true
		for k, i := range jobs {
			for _, j := range jobs[:k] {
				one = one && (set[i] == set[j] || usage.Peak(r, []int{i, j}) > of.Capacity)
			}
		}
		switch {
		case !one:
		case strings.HasPrefix(of.Name, twoWire):
			return of.Name + ", which is silent while one ranges"
		case strings.HasPrefix(of.Name, serialLine):
			return of.Name + ", on which one may talk at a time"
		}
	}
	return ""
}

// setOf gives of each job the first of those that must fire together with it.
func (w *work) setOf() []int {
	of := make([]int, len(w.p.Jobs))
	for _, b := range w.p.Blocks() {
		for _, j := range b {
			of[j] = b[0]
		}
	}
	return of
}

// disturbOneAnother reports whether of any two of the jobs, fired together, one could take the other's sound, or of two sets that
// must fire together some of the one that of some of the other.
func (w *work) disturbOneAnother(jobs []int) bool {
	harm, set := map[[2]int]bool{}, w.setOf()
	for _, a := range w.p.Arcs {
		if w.p.Meets(a) {
			harm[[2]int{set[a.From], set[a.To]}], harm[[2]int{set[a.To], set[a.From]}] = true, true
		}
	}
	for k, i := range jobs {
		for _, j := range jobs[:k] {
			if set[i] != set[j] && !harm[[2]int{set[i], set[j]}] {
				return false
			}
		}
	}
	return true
}

// full reports whether the number of groups is what the number of readings at a time alone asks for.
func (w *work) full() bool {
	n := (len(w.p.Jobs) + w.p.AtOnce - 1) / w.p.AtOnce
	return n > 1 && len(w.t.Groups) == n
}

// mostTerms is how many different lengths a sum in words may have.
const mostTerms = 5

// sum adds up what the groups take of the cycle, to the microsecond so that it is a sum: "4 x 60 ms + 4 guards of 1 ms".
// The lengths stand in the order in which they first come; a group that waits for late sound keeps no guard beside.
func (w *work) sum() string {
	var lengths []int64
	count, dying, guards := map[int64]int{}, map[int64]int{}, 0
	var late int64
	for _, p := range w.paces {
		if p.lateUs > 0 {
			late += p.lateUs
			dying[p.lateUs]++
			continue
		}
		guards++
		if count[p.doneUs]++; count[p.doneUs] == 1 {
			lengths = append(lengths, p.doneUs)
		}
	}
	if len(lengths) > mostTerms {
		return w.apart()
	}
	var terms []string
	for _, us := range lengths {
		terms = append(terms, fmt.Sprintf("%d x %s", count[us], exact(us)))
	}
	switch n := len(w.paces) - guards; {
	case len(dying) == 1:
		terms = append(terms, fmt.Sprintf("%d x %s for sound to die", n, exact(late/int64(n))))
	case n > 0:
		terms = append(terms, fmt.Sprintf("%s for sound of %d groups to die", exact(late), n))
	}
	if us := pauseUs(w.p); us > 0 && guards == 1 {
		terms = append(terms, "1 "+w.pause("pause"))
	} else if us > 0 && guards > 1 {
		terms = append(terms, fmt.Sprintf("%d %s", guards, w.pause("pauses")))
	}
	if us := w.waiting(); us > 0 {
		terms = append(terms, exact(us)+w.waitedFor())
	}
	sum := strings.Join(terms, " + ")
	if len(terms) > 1 || len(w.paces) > 1 {
		sum += " = " + exact(w.t.CycleUs)
	}
	return sum
}

// pause words what one group leaves the next after its end, named as is given where it is more than the guard.
func (w *work) pause(named string) string {
	guard, jitter := w.p.GuardUs, w.p.JitterUs
	switch {
	case jitter == 0:
		return strings.Replace(named, "pause", "guard", 1) + " of " + exact(guard)
	case guard == 0:
		return fmt.Sprintf("%s of %s (twice %s of jitter)", named, exact(2*jitter), exact(jitter))
	}
	return fmt.Sprintf("%s of %s (guard %s and twice %s of jitter)", named, exact(guard+2*jitter), exact(guard), exact(jitter))
}

// waitedFor says what the groups wait for beyond their own.
func (w *work) waitedFor() string {
	switch {
	case w.rests() >= 0:
		return " of rest"
	case w.delayed != nil && w.delayed.rises && w.t.Ordered:
		return " of waiting for sound of earlier groups and for delays"
	case w.delayed != nil && w.delayed.rises:
		return " for delays"
	}
	return " of waiting for sound of earlier groups"
}

// apart says how far apart the groups are where they differ too much to be added up in a line.
func (w *work) apart() string {
	lo, hi := w.paces[0].us, int64(0)
	for _, p := range w.paces {
		lo, hi = min(lo, p.us), max(hi, p.us)
	}
	return fmt.Sprintf("%d groups, %s to %s from each to the next, %s in all", len(w.paces), exact(lo), exact(hi), exact(w.t.CycleUs))
}

// exact prints microseconds as milliseconds, all of them.
func exact(us int64) string { return strconv.FormatFloat(float64(us)/1e3, 'f', -1, 64) + " ms" }

// explain says why jobs of one kind hold up the next group for so long; t is the turn of the first.
func (w *work) explain(jobs []int, t turn) string {
	job := jobs[0]
	k := w.kind(job)
	c := w.clocks[w.sensors[job]]
	names, one := join(w.names(jobs)), len(jobs) == 1
	say := func(single, plural string) string {
		if one {
			return names + " " + single
		}
		return names + " " + plural
	}
	needs := "; " + w.needs(jobs)
	switch {
	case t.cause == late:
		to := "others or themselves"
		if one {
			to = w.name(t.to)
		}
		if one && t.to == job {
			to += " itself"
		}
		return fmt.Sprintf("what %s can still be taken by %s until then%s", say("sends", "send"), to, needs)
	case t.cause == window && c.CloseUs > c.NeedsUs:
		return say("listens until its own time-out", "listen until their own time-out") + needs
	case t.cause == window:
		return say("listens", "listen") + " so long for things at " + plan.Metres(c.ListenM)
	case c.BusyUs == newLateness(w.sc).most(k.Timing.BusyWithoutEcho):
		return say("holds its line when nothing answers", "hold their line when nothing answers") + needs
	}
	return "the answer of " + names + " is fetched only then" + needs
}

// needs says how long the windows of jobs need be for what is wanted of them.
func (w *work) needs(jobs []int) string {
	lo, hi := w.clocks[w.sensors[jobs[0]]].NeedsUs, int64(0)
	for _, j := range jobs {
		us := w.clocks[w.sensors[j]].NeedsUs
		lo, hi = min(lo, us), max(hi, us)
	}
	switch {
	case len(jobs) == 1:
		return "its window needs " + plan.Milliseconds(hi)
	case lo == hi:
		return "their windows need " + plan.Milliseconds(hi)
	}
	return "their windows need " + plan.Milliseconds(lo) + " to " + plan.Milliseconds(hi)
}

// join puts names into a list; long ones are cut.
func join(names []string) string {
	const most = 8
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// wallsText names the walls for which an answer about disturbance holds.
func wallsText(sc *scene.Scene) string {
	a := sc.Around
	if a.Bounces < 1 || a.WallsM.Lo > a.WallsM.Hi {
		return "for no walls around"
	}
	return fmt.Sprintf("for walls from %g to %g m", a.WallsM.Lo, a.WallsM.Hi)
}
