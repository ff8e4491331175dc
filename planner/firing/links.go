package firing

import (
	"fmt"
	"slices"

	"echowright/planner/plan"
	"echowright/scheduler/instance"
)

// chainFindings says where the chains do not keep to the timetable: another group in between, or a link that fires sooner than
// it has it, as the one before was done sooner, with sound in the way.
func (w *work) chainFindings() (fs []plan.Finding) {
	var apart []gap
	if !w.isStaggered() { // there a link fires while others are at work
		apart = parted(w.p.Order, w.t.Groups)
	}
	for _, g := range apart {
		var names []string
		for _, between := range g.groups {
			names = append(names, w.names(w.t.Groups[between])...)
		}
		link, then := w.name(g.link), w.name(g.then)
		fs = append(fs, plan.Finding{
			Severity: plan.NotMet, Code: CodeChainParted, Where: then,
			Text: fmt.Sprintf("the table has %s fire between %s and %s, which are chained: %s does not wait, it fires as soon as %s is done", join(names), link, then, then, link),
			Mend: fmt.Sprintf("start %s from the controller in place of the chain", then),
		})
	}
	return append(fs, w.chainsEarly()...)
}

// within is the time of a firing, from the cycle's start, at the least and at the most.
type within struct{ lo, hi int64 }

// done is when, after its own firing, a job may start the next of its chain.
func (w *work) done(job int) within {
	least := w.p.Jobs[job].OpenUs
	if after := w.kind(job).Timing.AnswerAfter; after > 0 {
		least = newLateness(w.sc).least(after)
	}
	return within{least, w.occupied[job]}
}

// firesWithin is when each job fires: as the table has it, but a link of a chain any time from the soonest to the latest that those
// before it can be done.
func (w *work) firesWithin() []within {
	at := make([]within, len(w.p.Jobs))
	for _, f := range w.t.Firings {
		at[f.Job] = within{f.AtUs, f.AtUs}
	}
	for _, c := range w.p.Order {
		for k := 1; k < len(c); k++ {
			before := at[c[k-1]]
			done := w.done(c[k-1])
			at[c[k]] = within{before.lo + done.lo, before.hi + done.hi}
		}
	}
	return at
}

// meetsEarly is the earliest and latest time after the listener's trigger at which the arc's sound is in its window, in this cycle or
// a later one, if the two fire at some times within at; ok is false where it never is.
func (w *work) meetsEarly(a instance.Arc, at []within, chain []int) (us [2]int64, ok bool) {
	after, before := lags(w.p, a)
	from, to := at[a.From], at[a.To]
	i, j := slices.Index(chain, a.From), slices.Index(chain, a.To)
	both := i >= 0 && j >= 0
	for cycle := int64(0); ; cycle += w.t.CycleUs {
		lag := within{cycle + to.lo - from.hi, cycle + to.hi - from.lo}
		if cycle == 0 && both && i < j { // whatever came before the one came before the other too
			lag = within{}
			for _, k := range chain[i:j] {
				done := w.done(k)
				lag.lo, lag.hi = lag.lo+done.lo, lag.hi+done.hi
			}
		}
		switch {
		case max(0, lag.lo) >= before:
			return us, ok
		case lag.hi < 0 || cycle == 0 && both && i >= j: // the listener has fired before, or it is the own echo
		case lag.hi > after:
			to := w.p.Jobs[a.To]
			t := [2]int64{max(to.OpenUs, a.FromUs-2*w.p.JitterUs-lag.hi), min(to.CloseUs, a.UntilUs+2*w.p.JitterUs-max(0, lag.lo))}
			if !ok {
				us = t
			}
			us, ok = [2]int64{min(us[0], t[0]), max(us[1], t[1])}, true
		}
	}
}

// early adds the hits of links that fire sooner than the table has them, on others and by others.
func (w *work) early(hits [][2]int64) {
	if w.cannot != nil {
		return
	}
	at := w.firesWithin()
	for _, chain := range w.p.Order {
		for k, a := range w.arcs {
			from, to := slices.Index(w.sensors, a.From), slices.Index(w.sensors, a.To)
			if from < 0 || to < 0 || !slices.Contains(chain, from) && !slices.Contains(chain, to) {
				continue
			}
			starts, ends := a.SpanUs(0)
			us, ok := w.meetsEarly(instance.Arc{From: from, To: to, FromUs: starts, UntilUs: ends + w.clocks[a.From].DelayUs}, at, chain)
			if had := hits[k]; ok && had[1] > had[0] {
				us = [2]int64{min(us[0], had[0]), max(us[1], had[1])}
			}
			if ok {
				hits[k] = us
			}
		}
	}
}

// chainsEarly reports the sound that links which fire sooner than the table has them send, or may take.
func (w *work) chainsEarly() (fs []plan.Finding) {
	if w.cannot != nil || w.read != nil { // as-read reckons with all of it
		return nil
	}
	for _, chain := range w.p.Order {
		pairs, worst := map[[2]int]bool{}, -1
		for k, a := range w.arcs {
			from, to := slices.Index(w.sensors, a.From), slices.Index(w.sensors, a.To)
			if w.hitsUs[k][1] <= w.hitsUs[k][0] || !slices.Contains(chain, from) && !slices.Contains(chain, to) {
				continue
			}
			pairs[[2]int{from, to}] = true
			if worst < 0 || a.LevelDB > w.arcs[worst].LevelDB {
				worst = k
			}
		}
		if worst < 0 {
			continue
		}
		a, done := w.arcs[worst], w.done(chain[0])
		for _, link := range chain[1 : len(chain)-1] {
			d := w.done(link)
			done = within{min(done.lo, d.lo), max(done.hi, d.hi)}
		}
		fires, count := w.name(chain[1])+" fires as soon as "+w.name(chain[0])+" is", "1 pair"
		if len(chain) > 2 {
			fires = join(w.names(chain[1:])) + " fire each as soon as the one before is"
		}
		if len(pairs) > 1 {
			count = fmt.Sprintf("%d pairs", len(pairs))
		}
		fs = append(fs, plan.Finding{
			Severity: plan.NotMet, Code: CodeChainEarly, Where: w.sc.Sensors[a.To].Name,
			Text: fmt.Sprintf("chained, %s done, %s to %s after it, whatever the table says; some such time lets sound through in %s (%s), the loudest of %s into the window of %s (%s, %.0f dB over its threshold)",
				fires, plan.Milliseconds(done.lo), plan.Milliseconds(done.hi), count, wallsText(w.sc), w.sc.Sensors[a.From].Name, w.sc.Sensors[a.To].Name, pathText(a), a.LevelDB),
			Mend: "start them from the controller in place of the chain, or take modules that are done at a set time, whatever the echo",
		})
	}
	return fs
}
