package clash

import (
	"fmt"
	"slices"
	"strings"

	"echowright/scheduler/bound"
	"echowright/scheduler/instance"
)

// teller puts a clash into words.
type teller struct {
	p    instance.Problem   // the whole
	q    instance.Problem   // what the clash asks alone
	jobs []int              // of q in p
	t    instance.Timetable // of q; none where nothing keeps it
	c    Clash
}

// text is the clash in a line.
func (w teller) text() string {
	clauses := strings.Join(w.clauses(), "; ")
	end := "; without any one of them the others fit"
	switch {
	case !w.c.Smallest:
		end = "; fewer of them may clash already"
	case w.c.BoundUs == 0:
		end = "; without any one of them the others can be kept"
	}
	if w.c.BoundUs == 0 {
		return "these clash, however long the cycle: " + clauses + end
	}
	if len(w.c.Demands) == 1 {
		return fmt.Sprintf("%s alone does not fit: %s > %s", clauses, w.sum(), bound.Time(w.c.BudgetUs))
	}
	return fmt.Sprintf("these clash: %s: %s > %s%s", clauses, w.sum(), bound.Time(w.c.BudgetUs), end)
}

// clauses say the demands, those that are alike together.
func (w teller) clauses() (list []string) {
	told := map[int]bool{}
	tell := func(jobs []int, format string, a ...any) {
		list = append(list, fmt.Sprintf(format, a...))
		for _, j := range jobs {
			told[j] = true
		}
	}
	w.pairs(tell)
	for _, d := range w.c.Demands {
		switch names := w.names(d.Jobs); d.Kind {
		case Own:
			tell(d.Jobs, "%s may not take its own late sound", names)
		case Rest:
			tell(d.Jobs, "%s must rest for %s", names, bound.Time(d.Us))
		case Refresh:
			tell(d.Jobs, "%s every %s", names, bound.Time(d.Us))
		case Order:
			tell(d.Jobs, "%s in this order", names)
		case Together:
			tell(d.Jobs, "%s together", names)
		case Resource:
			verb := "share"
			if len(d.Jobs) == 1 {
				verb = "needs"
			}
			tell(d.Jobs, "%s %s %s", names, verb, w.p.ResourceName(d.Index))
		}
	}
	var alone []int
	for _, j := range w.jobs {
		if !told[j] {
			alone = append(alone, j)
		}
	}
	for _, d := range w.c.Demands {
		switch {
		case d.Kind == AtOnce && d.Most == 1:
			tell(nil, "one at a time")
		case d.Kind == AtOnce:
			tell(nil, "at most %d at once", d.Most)
		case d.Kind == Guard:
			tell(nil, "the guard of %s", bound.Time(d.Us))
		case d.Kind == Jitter:
			tell(nil, "the jitter of %s either way", bound.Time(d.Us))
		}
	}
	if len(alone) > 0 {
		list = slices.Insert(list, 0, w.names(alone))
	}
	return list
}

// pairs say who keeps off whom: all of them all others, or pair by pair.
func (w teller) pairs(tell func(jobs []int, format string, a ...any)) {
	var pairs [][]int
	sound := false
	for _, d := range w.c.Demands {
		if d.Kind == Pair {
			pairs, sound = append(pairs, d.Jobs), sound || !d.Never
		}
	}
	in := slices.Concat(pairs...)
	slices.Sort(in)
	in = slices.Compact(in)
	n := len(in)
	switch {
	case n == 0:
	case n == 2 && sound:
		tell(in, "%s disturb one another", w.names(in))
	case n == 2:
		tell(in, "%s never together", w.names(in))
	case len(pairs) == n*(n-1)/2 && sound:
		tell(in, "%s must take turns (each disturbs the others)", w.names(in))
	case len(pairs) == n*(n-1)/2:
		tell(in, "%s must take turns (no two together)", w.names(in))
	default:
		what := "disturb one another"
		if !sound {
			what = "never together"
		}
		if len(pairs) > mostListed {
			tell(in, "of %s %d pairs %s", w.names(in), len(pairs), what)
			return
		}
		var list []string
		for _, p := range pairs {
			list = append(list, w.p.JobName(p[0])+" and "+w.p.JobName(p[1]))
		}
		tell(in, "%s %s", strings.Join(list, ", "), what)
	}
}

func (w teller) names(jobs []int) string {
	var s []string
	for _, j := range jobs {
		s = append(s, w.p.JobName(j))
	}
	return cut(s, " and ")
}

// mostListed is how many are named.
const mostListed = 10

// cut joins a list, the last by a word; long lists are cut.
func cut(s []string, last string) string {
	if len(s) > mostListed+1 {
		return fmt.Sprintf("%s and %d more", strings.Join(s[:mostListed], ", "), len(s)-mostListed)
	}
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + last + s[len(s)-1]
}

// sum spells the bound as what a pencil adds up, where the shortest timetable of the clash is one after the other; or the bound.
func (w teller) sum() string {
	least := "no cycle is shorter than " + bound.Time(w.c.BoundUs)
	if !w.t.Proven || w.t.CycleUs != w.c.BoundUs || w.q.Refreshes() {
		return least
	}
	steps := w.steps()
	switch {
	case len(w.q.Jobs) == 1:
		return w.alone()
	case w.q.Style == instance.Staggered && !w.takeTurns():
		// Where all fire at other times but overlap, no row of them makes the cycle.
		return least
	case len(steps) == 1:
		return "all at once take " + bound.Time(w.c.BoundUs)
	case len(steps) > mostListed:
		return fmt.Sprintf("%s %d, at least %s in all", w.row(), len(steps), bound.Time(w.c.BoundUs))
	}
	var ends, whole []int64
	for _, s := range steps {
		whole = append(whole, s.us)
		if s.us == s.heldUs+w.pauseUs() {
			ends = append(ends, s.heldUs)
		}
	}
	if len(ends) < len(steps) {
		return fmt.Sprintf("from each to the next, until its sound is out of the way, %s = %s", runs(whole), bound.Time(w.c.BoundUs))
	}
	text := runs(ends)
	if w.pauseUs() > 0 {
		text += fmt.Sprintf(" + %d %s", len(steps), w.pause())
	}
	if !w.takeTurns() {
		text = fmt.Sprintf("at best in %d groups, %s", len(steps), text)
	}
	return text + " = " + bound.Time(w.c.BoundUs)
}

func (w teller) row() string {
	if w.takeTurns() {
		return "turns:"
	}
	return "groups:"
}

// alone says why one job takes so long.
func (w teller) alone() string {
	j, us := w.q.Jobs[0], w.q.OccupiedUs()[0]
	switch {
	case us+w.pauseUs() == w.c.BoundUs && w.pauseUs() == 0:
		return "it is held " + bound.Time(us)
	case us+w.pauseUs() == w.c.BoundUs:
		return fmt.Sprintf("it is held %s + 1 %s = %s", bound.Time(us), strings.Replace(w.pause(), "s of", " of", 1), bound.Time(w.c.BoundUs))
	case j.RestUs > 0 && j.BusyUs+j.RestUs == w.c.BoundUs:
		return fmt.Sprintf("busy for %s + %s of rest = %s", bound.Time(j.BusyUs), bound.Time(j.RestUs), bound.Time(w.c.BoundUs))
	}
	return "no cycle is shorter than " + bound.Time(w.c.BoundUs)
}

// step is from one instant at which jobs fire to the next, and how long the longest of them is occupied.
type step struct{ us, heldUs int64 }

func (w teller) steps() (list []step) {
	occupied := w.q.OccupiedUs()
	var at []int64
	for _, f := range w.t.Firings {
		if k := len(at) - 1; k < 0 || at[k] != f.AtUs {
			at, list = append(at, f.AtUs), append(list, step{})
		}
		s := &list[len(list)-1]
		s.heldUs = max(s.heldUs, occupied[f.Job])
	}
	for k := range list {
		if k+1 < len(at) {
			list[k].us = at[k+1] - at[k]
		} else {
			list[k].us = at[0] + w.t.CycleUs - at[k]
		}
	}
	return list
}

// takeTurns tells whether the bound is that of jobs, or sets, that all take turns.
func (w teller) takeTurns() bool {
	blocks := w.q.Blocks()
	if len(w.t.Clique) == 0 || len(w.steps()) != len(blocks) {
		return false
	}
	for _, b := range blocks {
		if !slices.ContainsFunc(b, func(j int) bool { return slices.Contains(w.t.Clique, j) }) {
			return false
		}
	}
	return true
}

func (w teller) pauseUs() int64 { return w.q.GuardUs + 2*w.q.JitterUs }

// pause names several of what is left between one and the next.
func (w teller) pause() string {
	guard, jitter := w.q.GuardUs, w.q.JitterUs
	switch {
	case jitter == 0:
		return "guards of " + bound.Time(guard)
	case guard == 0:
		return fmt.Sprintf("pauses of %s (twice the jitter)", bound.Time(2*jitter))
	}
	return fmt.Sprintf("pauses of %s (guard and twice the jitter)", bound.Time(guard+2*jitter))
}

// runs adds up times, longest first, equal ones counted.
func runs(us []int64) string {
	us = slices.Clone(us)
	slices.SortFunc(us, func(a, b int64) int { return int(min(max(b-a, -1), 1)) })
	var s []string
	for i := 0; i < len(us); {
		n := i
		for n < len(us) && us[n] == us[i] {
			n++
		}
		if n-i > 1 {
			s = append(s, fmt.Sprintf("%d x %s", n-i, bound.Time(us[i])))
		} else {
			s = append(s, bound.Time(us[i]))
		}
		i = n
	}
	return strings.Join(s, " + ")
}
