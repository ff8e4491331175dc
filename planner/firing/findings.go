package firing

import (
	"fmt"
	"slices"

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
	CodeWindowFixed = "window-not-settable"
	CodeCannot      = "cannot"
	CodeOneReader   = "one-reader"
	CodeOwnLine     = "own-line"
	CodeRail        = "rail-forces-turns"
	CodeAsRead      = "as-read"
	CodeChainParted = "chain-parted"
	CodeChainEarly  = "chain-early"
	CodeSeldom      = "fires-too-seldom"
	CodeDelays      = "delays-cost"
	CodeNoDelays    = "delays-cannot"
)

func (w *work) findings() []plan.Finding {
	var fs []plan.Finding
	fs = append(fs, w.impossible()...)
	fs = append(fs, w.overBudget()...)
	fs = append(fs, w.seldom()...)
	fs = append(fs, w.lines()...)
	fs = append(fs, w.byThemselves()...)
	fs = append(fs, w.windowsFixed()...)
	fs = append(fs, w.peakCurrent()...)
	fs = append(fs, w.chained...)
	fs = append(fs, w.delayed.findings(w)...)
	if w.sc.Wishes.Style == plan.AsRead {
		return append(fs, w.goesWrong()...)
	}
	if !w.ownTimes() {
		fs = append(fs, w.groupsLast()...)
	}
	fs = append(fs, w.takeTurns()...)
	fs = append(fs, w.railTurns()...)
	return append(fs, w.notProven()...)
}

// overBudget names what makes the cycle longer than asked, and where the most time could be won.
func (w *work) overBudget() []plan.Finding {
	if w.within() {
		return nil
	}
	f := plan.Finding{Severity: plan.NotMet, Code: CodeOverBudget, Where: "cycle", Reason: w.clash.Text}
	f.Text = fmt.Sprintf("one cycle takes %s, asked %s: %s", plan.Milliseconds(int64(w.ticks().realisedUs())), plan.Milliseconds(w.p.BudgetUs), w.inShort())
	if f.Mend = "modules whose line is free sooner when nothing answers"; w.read == nil {
		f.Mend, f.Try = w.waysOut()
	} else if us, ok := w.try(); ok && us <= w.p.BudgetUs {
		f.Mend = "style: slots" + w.says(us) + "; " + f.Mend
	}
	return []plan.Finding{f}
}

func (w *work) jobs() []int {
	all := make([]int, len(w.p.Jobs))
	for j := range all {
		all[j] = j
	}
	return all
}

// windowsFixed reports listening distances asked of modules that cannot be told how long to listen.
func (w *work) windowsFixed() []plan.Finding {
	at := map[string]int{}
	var fs []plan.Finding
	for i, s := range w.sc.Sensors {
		k := w.sc.Kinds[s.Kind]
		if s.ListenM == 0 || settable(k) {
			continue
		}
		text := fmt.Sprintf("asked to listen to %s, but the window of %s cannot be set", plan.Metres(s.ListenM), k.Name)
		if k.Timing.BusyWithoutEcho > 0 {
			text += ": it listens to " + plan.Metres(w.clocks[i].ListenM)
		} else {
			text += " and its card does not say when it stops listening: what was asked is taken"
		}
		if n, known := at[text]; known {
			fs[n].Where += ", " + s.Name
			continue
		}
		at[text] = len(fs)
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodeWindowFixed, Where: s.Name, Text: text,
			Mend: "leave listen-to out, or take a kind whose window can be set or whose echo line the controller times",
		})
	}
	return fs
}

// byThemselves reports modules that no schedule can tell when to fire.
func (w *work) byThemselves() []plan.Finding {
	var fs []plan.Finding
	for _, i := range w.foreign() {
		s := w.sc.Sensors[i]
		period := w.sc.Kinds[s.Kind].Timing.OwnPeriod
		met := map[string]bool{}
		var names []string
		var others []int
		for _, a := range w.arcs {
			if other := a.From + a.To - i; (a.From == i) != (a.To == i) && byItself(w.sc, other) && !slices.Contains(others, other) {
				others = append(others, other)
			}
			if to := w.sc.Sensors[a.To].Name; a.From == i && a.To != i && !met[to] {
				met[to] = true
				names = append(names, to)
			}
		}
		text := fmt.Sprintf("%s fires by itself every %s to %s and cannot be told when", s.Name, plan.Milliseconds(period.Lo.Microseconds()), plan.Milliseconds(period.Hi.Microseconds()))
		if len(names) > 0 {
			text += "; sooner or later its sound falls into the window of " + join(names)
		}
		text += w.beat(period)
		slices.Sort(others)
		text += w.beatsWith(i, others)
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
	var order []reason
	groups, jobs := map[reason][]string{}, map[reason][]int{}
	for g, all := range w.t.Groups {
		job, t := w.longest(all)
		if c := w.clocks[w.sensors[job]]; t.us <= c.NeedsUs+c.DelayUs {
			continue
		}
		r := reason{w.sc.Sensors[w.sensors[job]].Kind, t.cause, plan.Milliseconds(t.us)}
		if groups[r] == nil {
			order = append(order, r)
		}
		groups[r], jobs[r] = append(groups[r], fmt.Sprint(g+1)), append(jobs[r], job)
	}
	var fs []plan.Finding
	for _, r := range order {
		verb := "group " + groups[r][0] + " lasts "
		if len(groups[r]) > 1 {
			verb = "groups " + join(groups[r]) + " last "
		}
		first := jobs[r][0]
		t := w.turn(first)
		f := plan.Finding{
			Severity: severity, Code: CodeGroupLasts, Where: join(w.names(jobs[r])),
			Text: verb + r.time + " because " + w.explain(jobs[r], t), Mend: w.mend(first, t),
		}
		if t.cause != late {
			f.Mend += w.gives(w.swapped(w.slow(r.kind)))
		}
		fs = append(fs, f)
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
	what := "can disturb one another (%s) and take turns"
	if !w.disturbOneAnother(w.t.Clique) {
		what = "take turns, some of them by their wires or the rail, others as they can disturb one another (%s)"
	}
	return []plan.Finding{{
		Severity: plan.Note, Code: CodeTakeTurns, Where: w.sc.Sensors[worst.To].Name,
		Text: fmt.Sprintf("%s "+what+"; the loudest: %s would show %s to %s if fired with %s (%s, %.0f dB over its threshold)",
			join(w.turns(w.t.Clique)), wallsText(w.sc), w.sc.Sensors[worst.To].Name, plan.Metres(max(0, reads.Lo)), plan.Metres(reads.Hi),
			w.sc.Sensors[worst.From].Name, pathText(*worst), worst.LevelDB),
	}}
}

func pathText(a crosstalk.Arc) string {
	switch a.Path {
	case crosstalk.Direct:
		return "along the body"
	case crosstalk.Wall:
		return "by a wall"
	case crosstalk.TwoWalls:
		return "by two walls"
	case crosstalk.WallBodyWall:
		return "by a wall, the body and the wall again"
	}
	return "by " + a.Object
}

func (w *work) kind(job int) scene.Kind { return w.sc.Kinds[w.sc.Sensors[w.sensors[job]].Kind] }

func (w *work) notProven() []plan.Finding {
	if w.t.Proven || len(w.p.Jobs) == 0 || w.cannot != nil || w.often != nil && w.often.refused != "" {
		return nil
	}
	if w.remade && w.delayed != nil && w.delayed.rises {
		return []plan.Finding{{
			Severity: plan.Note, Code: CodeNotProven, Where: "cycle",
			Text: fmt.Sprintf("without delays no cycle is shorter than %s, proven; with them a cycle between %s and %s may exist", plan.Milliseconds(w.delayed.base.t.CycleUs), plan.Milliseconds(w.t.LowerBoundUs), plan.Milliseconds(w.t.CycleUs)),
		}}
	}
	if w.remade {
		return []plan.Finding{{
			Severity: plan.Note, Code: CodeNotProven, Where: "cycle",
			Text: fmt.Sprintf("the groups were put into this order for their chains or for whole ticks: a cycle between %s and %s that serves them too may exist", plan.Milliseconds(w.t.LowerBoundUs), plan.Milliseconds(w.t.CycleUs)),
		}}
	}
	return []plan.Finding{{
		Severity: plan.Look, Code: CodeNotProven, Where: "cycle",
		Text: fmt.Sprintf("the search was ended before its proof: a cycle between %s and %s may exist", plan.Milliseconds(w.t.LowerBoundUs), plan.Milliseconds(w.t.CycleUs)),
	}}
}
