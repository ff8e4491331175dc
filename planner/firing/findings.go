package firing

import (
	"fmt"

	"echowright/planner/crosstalk"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Codes of the findings of this package.
const (
	CodeOverBudget  = "cycle-over-budget"
	CodeGroupLasts  = "group-lasts"
	CodeTakeTurns   = "must-take-turns"
	CodeByItself    = "fires-by-itself"
	CodePeakCurrent = "peak-current"
	CodeNotProven   = "not-proven"
)

func (w *work) findings() []plan.Finding {
	var fs []plan.Finding
	fs = append(fs, w.overBudget()...)
	fs = append(fs, w.byThemselves()...)
	fs = append(fs, w.groupsLast()...)
	fs = append(fs, w.takeTurns()...)
	fs = append(fs, w.peakCurrent()...)
	return append(fs, w.notProven()...)
}

// overBudget names what makes the cycle longer than asked, and where the most time could be won.
func (w *work) overBudget() []plan.Finding {
	if w.within() {
		return nil
	}
	f := plan.Finding{Severity: plan.NotMet, Code: CodeOverBudget, Where: "cycle"}
	f.Text = fmt.Sprintf("one cycle takes %s, asked %s: %s", plan.Milliseconds(w.t.CycleUs), plan.Milliseconds(w.p.BudgetUs), w.inShort())
	job, t := w.longest(w.jobs())
	f.Mend = w.mend(job, t)
	return []plan.Finding{f}
}

func (w *work) jobs() []int {
	all := make([]int, len(w.p.Jobs))
	for j := range all {
		all[j] = j
	}
	return all
}

// mend says what would shorten the turn of a job that lasts longest, and by how much at the most.
func (w *work) mend(job int, t turn) string {
	c := w.clocks[w.sensors[job]]
	least := turn{us: c.NeedsUs, cause: window, to: -1}
	if l := w.lateTurn(job); l.us > least.us {
		least = l
	}
	switch {
	case t.cause == late:
		return fmt.Sprintf("a narrower beam or a module that hears less far in place of %s, or walls no farther off than the layout must allow for", w.name(job))
	case least.us < t.us && least.cause == late:
		return fmt.Sprintf("a module in place of %s whose window can be set and whose line is free sooner: %s instead of %s, when its sound has died", w.name(job), plan.Milliseconds(least.us), plan.Milliseconds(t.us))
	case least.us < t.us:
		return fmt.Sprintf("a module in place of %s whose window can be set and whose line is free sooner: %s instead of %s", w.name(job), plan.Milliseconds(least.us), plan.Milliseconds(t.us))
	case w.p.AtOnce == 1 && len(w.p.Jobs) > 1:
		return "a controller that takes several readings at once, or a shorter listening distance"
	}
	return fmt.Sprintf("a shorter listening distance for %s than %s", w.name(job), plan.Metres(c.ListenM))
}

// byThemselves reports modules that no schedule can tell when to fire.
func (w *work) byThemselves() []plan.Finding {
	var fs []plan.Finding
	for _, i := range w.foreign() {
		s := w.sc.Sensors[i]
		period := w.sc.Kinds[s.Kind].Timing.OwnPeriod
		met := map[string]bool{}
		var names []string
		for _, a := range w.arcs {
			if to := w.sc.Sensors[a.To].Name; a.From == i && a.To != i && !met[to] {
				met[to] = true
				names = append(names, to)
			}
		}
		text := fmt.Sprintf("%s fires by itself every %s to %s and cannot be told when", s.Name, plan.Milliseconds(period.Lo.Microseconds()), plan.Milliseconds(period.Hi.Microseconds()))
		if len(names) > 0 {
			text += "; sooner or later its sound falls into the window of " + join(names)
		}
		fs = append(fs, plan.Finding{Severity: plan.NotMet, Code: CodeByItself, Text: text, Where: s.Name, Mend: "a module that fires when it is asked, or one on a carrier the others do not hear"})
	}
	return fs
}

// groupsLast reports groups that last longer than the windows wanted need, those of one reason and length together.
func (w *work) groupsLast() []plan.Finding {
	severity := plan.Note
	if !w.within() {
		severity = plan.Look
	}
	type reason struct {
		kind  int
		cause cause
		time  string
	}
	at := map[reason]int{}
	var fs []plan.Finding
	var groups [][]string
	for g, jobs := range w.t.Groups {
		job, t := w.longest(jobs)
		if t.us <= w.clocks[w.sensors[job]].NeedsUs {
			continue
		}
		r := reason{w.sc.Sensors[w.sensors[job]].Kind, t.cause, plan.Milliseconds(t.us)}
		k, known := at[r]
		if !known {
			k = len(fs)
			at[r] = k
			fs = append(fs, plan.Finding{
				Severity: severity, Code: CodeGroupLasts, Where: w.name(job),
				Text: r.time + " because " + w.explain(job, t), Mend: w.mend(job, t),
			})
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], fmt.Sprint(g+1))
	}
	for k := range fs {
		verb := "group " + groups[k][0] + " lasts "
		if len(groups[k]) > 1 {
			verb = "groups " + join(groups[k]) + " last "
		}
		fs[k].Text = verb + fs[k].Text
	}
	return fs
}

// takeTurns names the sensors that must all take turns, and the loudest of the sounds that force it.
func (w *work) takeTurns() []plan.Finding {
	if len(w.t.Clique) < 2 || w.p.AtOnce == 1 {
		return nil
	}
	in := map[int]bool{}
	for _, j := range w.t.Clique {
		in[w.sensors[j]] = true
	}
	var worst *crosstalk.Arc
	for k, a := range w.arcs {
		if in[a.From] && in[a.To] && harms(w.sc, w.clocks, a) && (worst == nil || a.LevelDB > worst.LevelDB) {
			worst = &w.arcs[k]
		}
	}
	if worst == nil {
		return nil
	}
	reads := worst.Reads(0)
	return []plan.Finding{{
		Severity: plan.Note, Code: CodeTakeTurns, Where: w.sc.Sensors[worst.To].Name,
		Text: fmt.Sprintf("%s can disturb one another (%s) and take turns; the loudest: %s would show %s to %s if fired with %s (%s, %.0f dB over its threshold)",
			join(w.names(w.t.Clique)), wallsText(w.sc), w.sc.Sensors[worst.To].Name, plan.Metres(max(0, reads.Lo)), plan.Metres(reads.Hi),
			w.sc.Sensors[worst.From].Name, pathText(worst.Path), worst.LevelDB),
	}}
}

func pathText(p crosstalk.Path) string {
	if p == crosstalk.Direct {
		return "along the body"
	}
	return "by a wall"
}

// peakCurrent reports the first of the groups that draw most, if that is more than the rail allows.
func (w *work) peakCurrent() []plan.Finding {
	limit := w.sc.Controller.RailLimitA
	worst, most := -1, limit
	for g, jobs := range w.t.Groups {
		sum := 0.0
		for _, j := range jobs {
			sum += w.kind(j).Supply.PeakA.X
		}
		if sum > most {
			worst, most = g, sum
		}
	}
	if limit <= 0 || worst < 0 {
		return nil
	}
	jobs := w.t.Groups[worst]
	return []plan.Finding{{
		Severity: plan.Look, Code: CodePeakCurrent, Where: fmt.Sprintf("group %d", worst+1),
		Text: fmt.Sprintf("group %d draws %.0f mA as its %d sensors fire (%s), the rail allows %.0f mA",
			worst+1, most*1e3, len(jobs), join(w.names(jobs)), limit*1e3),
		Mend: "a capacitor beside each module that carries its burst, or fewer readings at once",
	}}
}

func (w *work) kind(job int) scene.Kind { return w.sc.Kinds[w.sc.Sensors[w.sensors[job]].Kind] }

func (w *work) notProven() []plan.Finding {
	if w.t.Proven || len(w.p.Jobs) == 0 {
		return nil
	}
	return []plan.Finding{{
		Severity: plan.Look, Code: CodeNotProven, Where: "cycle",
		Text: fmt.Sprintf("the search was ended before its proof: a cycle between %s and %s may exist", plan.Milliseconds(w.t.LowerBoundUs), plan.Milliseconds(w.t.CycleUs)),
		Mend: "let it search longer",
	}}
}
