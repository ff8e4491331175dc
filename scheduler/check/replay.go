package check

import (
	"cmp"
	"slices"

	"echowright/scheduler/instance"
)

// The cycles whose firings are played; sound of every earlier cycle that still arrives then is played too.
const (
	firstCycle = 0
	lastCycle  = 2
)

// event is a moment of the replay.
type event struct {
	at   int64
	kind kind
	job  int // the one that fires, ends, listens or hears
	from int // the one whose sound it is
	// fired is when the firing was due that this event follows from.
	fired int64
	until int64 // end of the span that starts here
}

type kind int

// The kinds, in the order in which they are played when they fall on the same moment: ends before
// starts, so that spans that only touch do not overlap; what has no length, between the two.
const (
	soundEnds kind = iota
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
	lasts     []int64 // how long each job is occupied; staggered: with the guard
	occupied  []int
	firedAt   []int64   // when the last firing of each job was due, -1 before the first
	listening []event   // the open window of each job; none: from -1
	sounds    [][]event // at each job, arriving now
	group     int64     // when the latest group was due
	quiet     int64     // when all jobs of the groups before it are over, at the latest
	busy      int64     // when all jobs fired so far are over, at the latest
}

// replay plays some cycles that have all been before.
func replay(p instance.Problem, t instance.Timetable) error {
	for i, j := range p.Jobs {
		if need := max(j.LastsUs(), j.BusyUs+j.RestUs); need > t.CycleUs {
			return broken(Rest, 0, "%s is occupied or rests for %d us, longer than the cycle of %d us", p.JobName(i), need, t.CycleUs)
		}
	}
	for k, a := range p.Arcs {
		// So long a sound that is not over when its listener fires the next time meets a window for certain.
		if a.UntilUs-a.FromUs > 2*t.CycleUs && a.UntilUs-p.Jobs[a.To].OpenUs > 2*t.CycleUs {
			return broken(Sound, 0, "sound of arc %d lasts from %d to %d us, and %s listens every %d us", k, a.FromUs, a.UntilUs, p.JobName(a.To), t.CycleUs)
		}
	}
	pl := newPlayer(p)
	for _, e := range events(p, t, pl.lasts) {
		if err := pl.play(e); err != nil {
			return err
		}
	}
	return playUses(p, t, firstCycle, lastCycle)
}

func newPlayer(p instance.Problem) *player {
	n := len(p.Jobs)
	pl := &player{p: p, foes: newPairs(n), lasts: make([]int64, n), firedAt: make([]int64, n), listening: make([]event, n),
		sounds: make([][]event, n), group: -1, quiet: -1 << 62, busy: -1 << 62}
	for i := range n {
		pl.firedAt[i], pl.listening[i].from = -1, -1
		pl.lasts[i] = p.Jobs[i].LastsUs()
	}
	for _, r := range p.Resources {
		for _, u := range r.Uses {
			pl.lasts[u.Job] = max(pl.lasts[u.Job], u.UntilUs)
		}
	}
	if p.Style == instance.Staggered {
		for i := range pl.lasts {
			pl.lasts[i] += p.GuardUs
		}
	}
	for _, c := range p.Conflicts {
		pl.foes.add(c[0], c[1])
	}
	return pl
}

// events lists what happens at the worst: every span begins early and ends late by the jitter.
func events(p instance.Problem, t instance.Timetable, lasts []int64) []event {
	at := make([][]int64, len(p.Jobs))
	for _, f := range t.Firings {
		at[f.Job] = append(at[f.Job], f.AtUs)
	}
	es := make([]event, 0, 4*(lastCycle-firstCycle+1)*(len(t.Firings)+len(p.Arcs)))
	for c := int64(firstCycle); c <= lastCycle; c++ {
		for _, due := range t.Firings {
			i, j := due.Job, p.Jobs[due.Job]
			f := c*t.CycleUs + due.AtUs
			es = append(es, event{f - p.JitterUs, fires, i, i, f, f + lasts[i] + p.JitterUs},
				event{f + lasts[i] + p.JitterUs, jobEnds, i, i, f, 0})
			es = span(es, event{f + j.OpenUs - p.JitterUs, windowOpens, i, i, f, f + j.CloseUs + p.JitterUs}, windowBlinks, windowCloses)
		}
	}
	end := (lastCycle + 1) * t.CycleUs
	for _, a := range p.Arcs {
		for _, due := range at[a.From] {
			// Back to the first cycle whose sound is still there when the play begins.
			for c := int64(lastCycle); c*t.CycleUs+due+a.UntilUs+p.JitterUs >= -p.JitterUs; c-- {
				f := c*t.CycleUs + due
				start := f + a.FromUs - p.JitterUs
				if start > 2*end+p.JitterUs {
					// Far ahead still: go back at once to where it arrives in time.
					c -= (start - 2*end - p.JitterUs) / t.CycleUs
					continue
				}
				es = span(es, event{start, soundArrives, a.To, a.From, f, f + a.UntilUs + p.JitterUs}, soundClicks, soundEnds)
			}
		}
	}
	return inOrder(es)
}

// moment is when an event is, and its place among the events.
type moment struct{ at, place int64 }

// inOrder sorts events: by moments first, which decide nearly always, then those of one moment.
func inOrder(es []event) []event {
	ms := make([]moment, len(es))
	for k, e := range es {
		ms[k] = moment{e.at, int64(k)}
	}
	ms = byMoment(ms)
	for from := 0; from < len(ms); {
		until := from + 1
		for until < len(ms) && ms[until].at == ms[from].at {
			until++
		}
		slices.SortFunc(ms[from:until], func(x, y moment) int {
			a, b := &es[x.place], &es[y.place]
			return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.job, b.job),
				cmp.Compare(a.from, b.from), cmp.Compare(a.fired, b.fired), cmp.Compare(a.until, b.until))
		})
		from = until
	}
	out := make([]event, len(es))
	for k, m := range ms {
		out[k] = es[m.place]
	}
	return out
}

// byMoment sorts by time, from the lowest bits on (radix sort): events are millions where sounds are many.
func byMoment(ms []moment) []moment {
	const digit = 11 // bits
	var first, last int64
	for k, m := range ms {
		if k == 0 {
			first, last = m.at, m.at
		}
		first, last = min(first, m.at), max(last, m.at)
	}
	other := make([]moment, len(ms))
	for shift := 0; uint64(last-first)>>shift != 0; shift += digit {
		var starts [1 << digit]int
		for _, m := range ms {
			starts[uint64(m.at-first)>>shift&(1<<digit-1)]++
		}
		next := 0
		for d, count := range starts {
			starts[d] = next
			next += count
		}
		for _, m := range ms {
			d := uint64(m.at-first) >> shift & (1<<digit - 1)
			other[starts[d]] = m
			starts[d]++
		}
		ms, other = other, ms
	}
	return ms
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
		if pl.listening[e.job].fired == e.fired {
			pl.listening[e.job].from = -1
		}
	case soundClicks:
		return pl.arrive(e)
	case soundArrives:
		pl.sounds[e.job] = append(pl.sounds[e.job], e)
		return pl.arrive(e)
	case soundEnds:
		pl.sounds[e.job] = without(pl.sounds[e.job], e)
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

func (pl *player) fire(e event) error {
	job, jitter := pl.p.Jobs[e.job], pl.p.JitterUs
	if last := pl.firedAt[e.job]; last >= 0 {
		if free := last + jitter + max(pl.lasts[e.job], job.BusyUs+job.RestUs); e.at < free {
			return broken(Rest, e.at, "%s fires again at %d us, it is free and rested at %d us", pl.p.JobName(e.job), e.at, free)
		}
		if late := e.fired + jitter - (last - jitter); job.EveryUs > 0 && late > job.EveryUs {
			return broken(Refresh, e.at, "%s, due at %d us, fires again up to %d us after the time before, it asks for at most %d us",
				pl.p.JobName(e.job), e.fired, late, job.EveryUs)
		}
	}
	for _, o := range pl.occupied {
		if pl.foes.has(e.job, o) {
			return broken(Conflict, e.at, "%s fires at %d us while %s, with which it conflicts, is occupied", pl.p.JobName(e.job), e.at, pl.p.JobName(o))
		}
	}
	if pl.p.AtOnce > 0 && len(pl.occupied) >= pl.p.AtOnce {
		return broken(Capacity, e.at, "%s fires at %d us as number %d at once, at most %d may", pl.p.JobName(e.job), e.at, len(pl.occupied)+1, pl.p.AtOnce)
	}
	if pl.p.Style == instance.Slots {
		if err := pl.afterGroup(e); err != nil {
			return err
		}
	}
	pl.firedAt[e.job] = e.fired
	pl.occupied = append(pl.occupied, e.job)
	return nil
}

// afterGroup looks for the silence between the group before and this firing.
func (pl *player) afterGroup(e event) error {
	if e.fired != pl.group {
		if pl.group >= 0 {
			pl.quiet = pl.busy
		}
		pl.group = e.fired
	}
	if e.at < pl.quiet+pl.p.GuardUs {
		return broken(Guard, e.at, "%s fires at %d us, the group before is over at %d us and %d us of guard are due",
			pl.p.JobName(e.job), e.at, pl.quiet, pl.p.GuardUs)
	}
	pl.busy = max(pl.busy, e.until)
	return nil
}

// open looks for foreign sound as a window opens.
func (pl *player) open(w event) error {
	for _, s := range pl.sounds[w.job] {
		if !own(s, w) {
			return pl.clash(w.at, s, w)
		}
	}
	return nil
}

func (pl *player) arrive(s event) error {
	if w := pl.listening[s.job]; w.from >= 0 && !own(s, w) {
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
