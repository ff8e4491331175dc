package firing

import (
	"fmt"
	"strconv"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// why says in a first line what makes the cycle as long as it is, and in the lines after it the scheduler's own proof.
func (w *work) why() string {
	if w.t.Why == "" {
		return w.inShort()
	}
	return w.inShort() + "\n" + w.t.Why
}

func (w *work) inShort() string {
	if len(w.p.Jobs) == 0 {
		return "nothing can be told when to fire"
	}
	sum := w.sum()
	switch reason := w.reason(); {
	case !w.t.Proven:
		return fmt.Sprintf("not proven shortest, at least %s: %s", plan.Milliseconds(w.t.LowerBoundUs), sum)
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
	case w.resting() > 0:
		return w.name(w.slowest()) + " must rest"
	case w.p.AtOnce == 1 && len(w.p.Jobs) > 1:
		return "one reading at a time"
	case n > 1:
		return join(w.names(w.t.Clique)) + " disturb one another and must take turns"
	case w.p.AtOnce > 1 && w.full():
		return fmt.Sprintf("at most %d readings at a time", w.p.AtOnce)
	}
	return ""
}

// full reports whether the number of groups is what the number of readings at a time alone asks for.
func (w *work) full() bool {
	n := (len(w.p.Jobs) + w.p.AtOnce - 1) / w.p.AtOnce
	return n > 1 && len(w.t.Groups) == n
}

// sum adds up the groups in the order in which they fire, to the microsecond so that it is a sum: "4 x 60 ms + 4
// guards of 1 ms".
func (w *work) sum() string {
	var terms []string
	lengths := w.lengths()
	for a := 0; a < len(lengths); {
		b := a
		for b < len(lengths) && lengths[b] == lengths[a] {
			b++
		}
		terms = append(terms, fmt.Sprintf("%d x %s", b-a, exact(lengths[a])))
		a = b
	}
	switch n := len(lengths); {
	case w.p.GuardUs > 0 && n == 1:
		terms = append(terms, "1 guard of "+exact(w.p.GuardUs))
	case w.p.GuardUs > 0:
		terms = append(terms, fmt.Sprintf("%d guards of %s", n, exact(w.p.GuardUs)))
	}
	if rest := w.resting(); rest > 0 {
		terms = append(terms, exact(rest)+" of rest")
	}
	sum := strings.Join(terms, " + ")
	if len(terms) > 1 || len(lengths) > 1 {
		sum += " = " + exact(w.t.CycleUs)
	}
	return sum
}

// exact prints microseconds as milliseconds, all of them.
func exact(us int64) string { return strconv.FormatFloat(float64(us)/1e3, 'f', -1, 64) + " ms" }

// starts are the instants the groups fire at.
func (w *work) starts() []int64 {
	at := map[int]int64{}
	for _, f := range w.t.Firings {
		at[f.Job] = f.AtUs
	}
	out := make([]int64, len(w.t.Groups))
	for g, jobs := range w.t.Groups {
		out[g] = at[jobs[0]]
	}
	return out
}

// lengths are the groups' shares of the cycle without guard, and the last without what it waits for a rest.
func (w *work) lengths() []int64 {
	starts := w.starts()
	out := make([]int64, len(starts))
	for g := range starts {
		next := w.t.CycleUs - w.resting()
		if g+1 < len(starts) {
			next = starts[g+1]
		}
		out[g] = next - starts[g] - w.p.GuardUs
	}
	return out
}

// resting is how much of the cycle is only waited for a job's rest.
func (w *work) resting() int64 {
	if len(w.t.Groups) == 0 {
		return 0
	}
	starts := w.starts()
	last := w.t.Groups[len(starts)-1]
	end := int64(0)
	for _, j := range last {
		end = max(end, w.turn(j).us)
	}
	return max(0, w.t.CycleUs-starts[len(starts)-1]-end-w.p.GuardUs)
}

// slowest is the job with the longest time from firing to the end of its rest.
func (w *work) slowest() int {
	best := 0
	for j, job := range w.p.Jobs {
		if job.BusyUs+job.RestUs > w.p.Jobs[best].BusyUs+w.p.Jobs[best].RestUs {
			best = j
		}
	}
	return best
}

// cause is what makes a job hold up the next group as long as it does.
type cause int

const (
	window cause = iota
	held         // its line or transfer is occupied
	late         // its sound can still be taken by a listener to come
)

type turn struct {
	us    int64
	cause cause
	to    int // listener that could still take its sound
}

// turn is how long a job holds up the next group, guard not counted.
func (w *work) turn(job int) turn {
	j := w.p.Jobs[job]
	t := turn{us: j.CloseUs, cause: window, to: -1}
	if j.BusyUs > t.us {
		t = turn{us: j.BusyUs, cause: held, to: -1}
	}
	if l := w.lateTurn(job); l.us > t.us {
		t = l
	}
	return t
}

// lateTurn is how long after a job fires another may that could still take its sound when it opens.
func (w *work) lateTurn(job int) turn {
	t := turn{cause: late, to: -1}
	for _, a := range w.p.Arcs {
		if us := a.UntilUs - w.p.Jobs[a.To].OpenUs; a.From == job && us > t.us {
			t.us, t.to = us, a.To
		}
	}
	return t
}

// longest is the job that makes a group as long as it is.
func (w *work) longest(jobs []int) (job int, t turn) {
	job = -1
	for _, j := range jobs {
		if u := w.turn(j); job < 0 || u.us > t.us {
			job, t = j, u
		}
	}
	return job, t
}

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
