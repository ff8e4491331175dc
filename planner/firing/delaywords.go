package firing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/scheduler/delays"
)

// plan puts the delays into the Plan's form.
func (d *delayed) plan(w *work) *plan.Delays {
	if d == nil {
		return nil
	}
	p := &plan.Delays{
		Way: w.sc.Wishes.Delays.Way, Cannot: d.cannot, ClosingMS: d.closing.ms, WithoutUs: d.without,
		Inequalities: []plan.Inequality{}, NotRejected: []string{},
	}
	if d.cannot != "" {
		return p
	}
	_, fastest := acoustics.SpeedSpan(w.sc.Air)
	p.ThresholdUs, p.ThresholdM = d.threshold, fastest.Value*float64(d.threshold)/2e6
	p.ThresholdTicks = int64(math.Round(float64(d.threshold) / w.tickUs()))
	p.MostUs, p.ConfirmUs, p.TableCycles = d.most(), d.confirmUs(), len(d.tables[0])
	if d.classes.Count > 0 {
		p.ShiftUs = d.threshold + d.terms.ChangeUs(d.most())
		p.Classes, p.LeastClasses, p.ClassesProven = d.classes.Count, d.classes.Least, d.classes.Proven
	} else {
		p.Seed = w.sc.Wishes.Delays.Seed
		c := delays.ChancesOf(float64(d.threshold) / float64(d.drawn.MostUs))
		p.AgreeTwice, p.AgreeThrice = [2]float64{c.Steady, c.Both}, [2]float64{c.SteadyThree, c.BothThree}
	}
	for _, r := range d.rows {
		relation := "<="
		if r.More {
			relation = ">"
		}
		p.Inequalities = append(p.Inequalities, plan.Inequality{
			Name: r.Name, LeftUs: r.LeftUs, Relation: relation, RightUs: r.RightUs, Met: r.Met(), Text: d.says(w, r),
		})
	}
	p.NotRejected = d.notRejected(w)
	return p
}

func (d *delayed) most() (us int64) {
	for _, t := range d.tables {
		us = max(us, slices.Max(t))
	}
	return us
}

// confirmUs is the longest time from just after a firing until the second of two readings in a row is fired.
func (d *delayed) confirmUs() int64 {
	later := int64(0)
	for _, t := range d.tables {
		for n, us := range t {
			later = max(later, t[(n+2)%len(t)]-us)
		}
	}
	return 2*d.terms.CycleUs + later + 2*d.terms.FiringUs + d.terms.LateUs
}

// says puts an inequality into words.
func (d *delayed) says(w *work, r delays.Inequality) string {
	name := func(k int) string { return w.name(r.Jobs[k]) }
	switch r.Name {
	case delays.TrueEcho:
		return fmt.Sprintf("from one reading to the next an echo changes by at most %s, of what draws near or away at up to %.3g m/s, with jitter and the timer's step: no more than the threshold", exact(r.LeftUs), d.closing.ms)
	case delays.SameCycle:
		return fmt.Sprintf("delays of %s and %s, who hear each other, differ by %s: a ghost of the one in the other shifts by more than a threshold and a true change", name(0), name(1), exact(r.LeftUs))
	case delays.LastCycle:
		return fmt.Sprintf("delays of %s and %s add up to %s: so does a ghost shift that was fired a cycle before", name(0), name(1), exact(r.LeftUs))
	case delays.OwnLastCycle:
		return fmt.Sprintf("twice the delay of %s is %s: so does its own sound shift that was fired a cycle before", name(0), exact(r.LeftUs))
	case delays.TwoCyclesOld:
		return fmt.Sprintf("own sound two cycles old does not shift: that of %s has died after %s, %s", name(0), exact(r.RightUs), wallsText(w.sc))
	}
	return fmt.Sprintf("the window of %s ends %s after its firing in the table, delay and all: within the cycle", name(0), exact(r.LeftUs))
}

// notRejected lists what passes for a true echo all the same.
func (d *delayed) notRejected(w *work) (list []string) {
	say := func(format string, a ...any) { list = append(list, fmt.Sprintf(format, a...)) }
	near := plan.Millimetres(d.threshold2M(w))
	alternating := d.classes.Count > 0
	if alternating {
		say("a sensor's own sound two cycles old, which does not shift: it comes %s and more after its firing, by a way of some %.0f m%s", exact(2*d.terms.CycleUs), w.way(2*d.terms.CycleUs), d.dies())
		for k, us := range d.choice.DelaysUs {
			var same []int
			for j, of := range d.classes.Of {
				if of == k {
					same = append(same, j)
				}
			}
			if len(same) > 1 {
				say("%s have one delay (%s): sound from one to another of them does not shift, should it find a way that the layout does not tell of", join(w.names(same)), exact(us))
			}
		}
	} else {
		c := delays.ChancesOf(float64(d.threshold) / float64(d.drawn.MostUs))
		say("by chance, of two readings in a row of a ghost on a fixed way: 1 pair in %.0f where sender and listener are dithered, 1 in %.0f of another machine that fires steadily; of three in a row 1 in %.0f and 1 in %.0f", 1/c.Both, 1/c.Steady, 1/c.BothThree, 1/c.SteadyThree)
		if a, b, n := d.worst(); n > 0 {
			say("in the table itself the worst are sound of %s in %s: %d of %d pairs of readings agree", w.name(a), w.name(b), n, tableCycles)
		}
	}
	for _, p := range d.inside(w) {
		say("%s and %s hear each other and fire as one, by one trigger or as links of a chain: their delays are the same", w.name(p[0]), w.name(p[1]))
	}
	if links := d.links(w); links != "" {
		say("%s fire when the one before them is done: by how much their ghosts shift depends on what that one read", links)
	}
	var alone []string
	for _, i := range w.foreign() {
		alone = append(alone, w.sc.Sensors[i].Name)
	}
	if len(alone) > 0 {
		say("%s: by themselves, with no delay to be given", join(alone))
	}
	if alternating {
		say("another machine whose firings move against a sensor's by no more than %s from cycle to cycle: one with this very plan in step with it does so, in sensors of the same delay", exact(d.threshold+d.terms.ChangeUs(d.most())))
		var first []int
		for j, of := range d.classes.Of {
			if of == 0 {
				first = append(first, j)
			}
		}
		say("another machine that fires steadily, with a cycle as long as this one or a whole part of it: in %s its sound shifts by a delay of %s alone, which is enough while nothing moves and not for certain at %.3g m/s", join(w.names(first)), exact(d.choice.DelaysUs[0]), d.closing.ms)
	}
	for _, p := range w.let {
		say("sound of %s and %s in each other, which the table lets in, while it hides the echo: what is dropped is not seen", w.name(p[0]), w.name(p[1]))
	}
	say("two ghosts, or a ghost and an echo, that come in turn within %s of each other", near)
	say("and the other way about: echoes of what draws near or away faster than %.3g m/s are dropped, and behind a ghost that comes first in every cycle nothing is seen. Count what is dropped, and take a sensor that drops several in a row for blind", d.closing.ms)
	return list
}

func (d *delayed) threshold2M(w *work) float64 { return w.way(d.threshold) / 2 }

// way is how far sound travels in a time, m, at its fastest.
func (w *work) way(us int64) float64 {
	_, fastest := acoustics.SpeedSpan(w.sc.Air)
	return fastest.Value * float64(us) / 1e6
}

// dies says by when own sound has died, where it is known to live.
func (d *delayed) dies() string {
	for _, r := range d.rows {
		if r.Name == delays.TwoCyclesOld && r.Met() {
			return fmt.Sprintf("; all that the layout tells of has died after %s", exact(r.RightUs))
		} else if r.Name == delays.TwoCyclesOld {
			return fmt.Sprintf("; the layout's own lives for %s, so this happens", exact(r.RightUs))
		}
	}
	return "; the layout tells of none"
}

// inside are the pairs that hear each other and have one delay.
func (d *delayed) inside(w *work) (list [][2]int) {
	of, _ := d.hearing.Sets()
	for _, p := range d.hearing.Pairs {
		if p = [2]int{min(p[0], p[1]), max(p[0], p[1])}; of[p[0]] == of[p[1]] && !slices.Contains(list, p) {
			list = append(list, p)
		}
	}
	return list
}

// links names the sensors that others start.
func (d *delayed) links(w *work) string {
	var names []string
	for _, chain := range w.p.Order {
		names = append(names, w.names(chain[1:])...)
	}
	return join(names)
}

// worst is the pair of sender and listener of whose readings the most agree in the tables, and how many do.
func (d *delayed) worst() (from, to, most int) {
	of, _ := d.hearing.Sets()
	seen := map[[2]int]bool{}
	for _, p := range d.hearing.Pairs {
		for _, p := range [][2]int{p, {p[1], p[0]}} {
			if of[p[0]] == of[p[1]] || seen[p] {
				continue
			}
			seen[p] = true
			for back := range 2 {
				if n := delays.Agreeing(d.tables[p[0]], d.tables[p[1]], back, d.threshold); n > most {
					from, to, most = p[0], p[1], n
				}
			}
		}
	}
	return from, to, most
}

// cost says in a line what the delays do to the cycle.
func (d *delayed) cost(w *work) string {
	if d == nil || d.cannot != "" {
		return ""
	}
	if d.rises {
		return fmt.Sprintf("So far without delays: %s. With them, up to %s and rising from one to the next, the cycle is %s; bound and proof are for these delays.", exact(d.without), exact(d.most()), exact(int64(math.Ceil(w.ticks().realisedUs()))))
	}
	return fmt.Sprintf("Every firing may come up to %s later by its delay; without delays the cycle is %s. Bound and proof are for these delays.", exact(d.most()), exact(d.without))
}

// findings tell what the delays cost, or why there are none.
func (d *delayed) findings(w *work) []plan.Finding {
	if d == nil {
		return nil
	}
	if d.cannot != "" {
		return []plan.Finding{{
			Severity: plan.NotMet, Code: CodeNoDelays, Where: "cycle",
			Text: fmt.Sprintf("no %s delays keep what they must: %s; the table is without", w.sc.Wishes.Delays.Way, d.cannot),
			Mend: "a shorter cycle, slower movers if that is true of the place, fewer sensors that hear each other, or no delays",
		}}
	}
	now := int64(w.ticks().realisedUs())
	what := fmt.Sprintf("%d different delays of up to %s", d.classes.Count, plan.Milliseconds(d.most()))
	if d.classes.Count == 0 {
		what = fmt.Sprintf("delays drawn anew for every firing, up to %s", plan.Milliseconds(d.most()))
	} else if !d.classes.Proven {
		what += fmt.Sprintf(" (at least %d are needed)", d.classes.Least)
	}
	return []plan.Finding{{
		Severity: plan.Note, Code: CodeDelays, Where: "cycle",
		Text: strings.Join([]string{
			fmt.Sprintf("%s against ghosts that keep coming: cycle %s, %s without", what, plan.Milliseconds(now), plan.Milliseconds(d.without)),
			fmt.Sprintf("a reading counts when it agrees with the one before within %s, so the first is known to be true after two firings, up to %s", plan.Millimetres(d.threshold2M(w)), plan.Milliseconds(d.confirmUs())),
		}, "; "),
	}}
}
