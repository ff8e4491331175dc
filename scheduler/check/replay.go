package check

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// mostCycles bounds the replay. What outlives so many cycles is refused unplayed.
const mostCycles = 64

// event is a moment of the replay.
type event struct {
	at   int64
	kind kind
	job  int // the one that fires, ends, listens or hears
	from int // the one whose sound it is
	// fired is when the firing took place that this event follows from.
	fired int64
	until int64 // end of the span that starts here
}

type kind int

// The kinds, in the order in which they are played when they fall on the same moment: ends before
// starts, so that spans that only touch do not overlap; what has no length, between the two.
const (
	soundFades kind = iota // the guard after a sound is over
	soundEnds
	windowCloses
	jobEnds
	windowBlinks
	soundClicks
	fires
	windowOpens
	soundArrives
)

// player holds the state of the replay at the present moment.
type player struct {
	p         instance.Problem
	foes      pairs
	occupied  []int
	firedAt   []int64   // last firing of each job, -1 before the first
	listening []event   // the open window of each job; until 0: shut
	sounds    [][]event // at each job, arriving now
	fading    [][]event // at each job, ended less than the guard ago
	group     int64     // time of the latest group
	quiet     int64     // when all jobs of the groups before it are over
	busy      int64     // when all jobs fired so far are over
}

// replay plays as many cycles as the longest sound or work lasts, and two more, so that the last
// ones meet all that earlier ones left behind.
func replay(p instance.Problem, t instance.Timetable) error {
	var longest int64
	for _, a := range p.Arcs {
		longest = max(longest, a.UntilUs)
	}
	for _, j := range p.Jobs {
		longest = max(longest, j.LastsUs(), j.BusyUs+j.RestUs)
	}
	cycles := longest/t.CycleUs + 3
	if cycles > mostCycles {
		return broken(Rest, 0, "a cycle of %d us is far too short for %d us of sound, work and rest", t.CycleUs, longest)
	}
	pl := newPlayer(p)
	for _, e := range events(p, t, cycles) {
		if err := pl.play(e); err != nil {
			return err
		}
	}
	return nil
}

func newPlayer(p instance.Problem) *player {
	n := len(p.Jobs)
	pl := &player{p: p, foes: newPairs(n), firedAt: make([]int64, n), listening: make([]event, n),
		sounds: make([][]event, n), fading: make([][]event, n), group: -1, quiet: -p.GuardUs}
	for i := range n {
		pl.firedAt[i] = -1
	}
	for _, c := range p.Conflicts {
		pl.foes.add(c[0], c[1])
	}
	return pl
}

func events(p instance.Problem, t instance.Timetable, cycles int64) []event {
	at := make([]int64, len(p.Jobs))
	for _, f := range t.Firings {
		at[f.Job] = f.AtUs
	}
	var es []event
	for c := range cycles {
		for i, j := range p.Jobs {
			f := c*t.CycleUs + at[i]
			es = append(es, event{f, fires, i, i, f, f + j.LastsUs()}, event{f + j.LastsUs(), jobEnds, i, i, f, 0})
			es = span(es, event{f + j.OpenUs, windowOpens, i, i, f, f + j.CloseUs}, windowBlinks, windowCloses)
		}
		for _, a := range p.Arcs {
			f := c*t.CycleUs + at[a.From]
			es = span(es, event{f + a.FromUs, soundArrives, a.To, a.From, f, f + a.UntilUs}, soundClicks, soundEnds)
			if p.GuardUs > 0 {
				es = append(es, event{f + a.UntilUs + p.GuardUs, soundFades, a.To, a.From, f, f + a.UntilUs})
			}
		}
	}
	slices.SortFunc(es, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.kind, b.kind), cmp.Compare(a.job, b.job),
			cmp.Compare(a.from, b.from), cmp.Compare(a.fired, b.fired), cmp.Compare(a.until, b.until))
	})
	return es
}

// span adds the start and the end of a span, or the one event of a span without length.
func span(es []event, start event, instant, end kind) []event {
	if start.at == start.until {
		start.kind = instant
		return append(es, start)
	}
	stop := start
	stop.at, stop.kind = start.until, end
	return append(es, start, stop)
}

func (pl *player) play(e event) error {
	switch e.kind {
	case fires:
		return pl.fire(e)
	case jobEnds:
		pl.occupied = slices.DeleteFunc(pl.occupied, func(j int) bool { return j == e.job })
	case windowBlinks:
		return pl.open(e)
	case windowOpens:
		pl.listening[e.job] = e
		return pl.open(e)
	case windowCloses:
		pl.listening[e.job] = event{}
	case soundClicks:
		defer pl.fade(e)
		return pl.arrive(e)
	case soundArrives:
		pl.sounds[e.job] = append(pl.sounds[e.job], e)
		return pl.arrive(e)
	case soundEnds:
		pl.sounds[e.job] = without(pl.sounds[e.job], e)
		pl.fade(e)
	case soundFades:
		pl.fading[e.job] = without(pl.fading[e.job], e)
	}
	return nil
}

// without drops one sound of the same firing that ends at the same moment.
func without(es []event, e event) []event {
	k := slices.IndexFunc(es, func(s event) bool {
		return s.from == e.from && s.fired == e.fired && s.until == e.until
	})
	if k < 0 {
		return es
	}
	return slices.Delete(es, k, k+1)
}

func (pl *player) fade(e event) {
	if pl.p.GuardUs > 0 {
		pl.fading[e.job] = append(pl.fading[e.job], e)
	}
}

func (pl *player) fire(e event) error {
	name, job := pl.p.JobName(e.job), pl.p.Jobs[e.job]
	if last := pl.firedAt[e.job]; last >= 0 {
		if free := last + max(job.LastsUs(), job.BusyUs+job.RestUs); e.at < free {
			return broken(Rest, e.at, "%s fires again at %d us, it is free and rested at %d us", name, e.at, free)
		}
	}
	for _, o := range pl.occupied {
		if pl.foes.has(e.job, o) {
			return broken(Conflict, e.at, "%s fires at %d us while %s, with which it conflicts, is occupied", name, e.at, pl.p.JobName(o))
		}
	}
	if pl.p.AtOnce > 0 && len(pl.occupied) >= pl.p.AtOnce {
		return broken(Capacity, e.at, "%s fires at %d us as number %d at once, at most %d may", name, e.at, len(pl.occupied)+1, pl.p.AtOnce)
	}
	if e.at != pl.group {
		if pl.group >= 0 {
			pl.quiet = pl.busy
		}
		pl.group = e.at
	}
	if e.at < pl.quiet+pl.p.GuardUs {
		return broken(Guard, e.at, "%s fires at %d us, the group before is over at %d us and %d us of guard are due",
			name, e.at, pl.quiet, pl.p.GuardUs)
	}
	pl.busy = max(pl.busy, e.until)
	pl.firedAt[e.job] = e.at
	pl.occupied = append(pl.occupied, e.job)
	return nil
}

// open looks for foreign sound as a window opens, and for sound of earlier groups that ended less
// than the guard before.
func (pl *player) open(w event) error {
	for _, s := range pl.sounds[w.job] {
		if !own(s, w) {
			return pl.clash(w.at, s, w)
		}
	}
	for _, s := range pl.fading[w.job] {
		if s.fired != w.fired {
			return broken(Guard, w.at, "sound of %s, fired at %d us, reaches %s until %d us; its window opens at %d us and %d us of guard are due",
				pl.p.JobName(s.from), s.fired, pl.p.JobName(w.job), s.until, w.at, pl.p.GuardUs)
		}
	}
	return nil
}

func (pl *player) arrive(s event) error {
	if w := pl.listening[s.job]; w.until > 0 && !own(s, w) {
		return pl.clash(s.at, s, w)
	}
	return nil
}

// own tells a job's own echo: its own sound, in the window of the same firing.
func own(s, w event) bool { return s.from == w.job && s.fired == w.fired }

func (pl *player) clash(at int64, s, w event) error {
	return broken(Sound, at, "sound of %s, fired at %d us, arrives until %d us; it meets the window of %s, fired at %d us and open until %d us, at %d us",
		pl.p.JobName(s.from), s.fired, s.until, pl.p.JobName(w.job), w.fired, w.until, at)
}
