package firing

import (
	"cmp"
	"fmt"
	"slices"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// impossible says which demands no timetable keeps together.
func (w *work) impossible() []plan.Finding {
	if w.cannot == nil {
		return nil
	}
	return []plan.Finding{{
		Severity: plan.NotMet, Code: CodeCannot, Where: "cycle", Text: "no cycle keeps all that is asked: " + w.cannotText(),
		Mend: "part the wires so that those sensors need not fire together, or let the controller take more readings at once",
	}}
}

// lines reports what is taken for granted of how the modules are read.
func (w *work) lines() (fs []plan.Finding) {
	c := w.sc.Controller
	if c.Reading == scene.Blocking && c.AtOnce > 1 {
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodeOneReader, Where: "controller",
			Text: fmt.Sprintf("a reader that waits for each echo takes one reading at a time, not the %d asked", c.AtOnce),
			Mend: "reading: capture or polled, if the firmware can do it",
		})
	}
	var own []string
	for i, s := range w.sc.Sensors {
		k := w.sc.Kinds[s.Kind]
		wired := slices.ContainsFunc(w.sc.Wires, func(l scene.Wire) bool { return l.Bus != "" && slices.Contains(l.Sensors, i) })
		if (k.Interface == scene.Serial || k.Interface == scene.TwoWire) && !wired {
			own = append(own, s.Name)
		}
	}
	if len(own) > 1 {
		fs = append(fs, plan.Finding{
			Severity: plan.Note, Code: CodeOwnLine, Where: join(own),
			Text: "no wire says which bus " + join(own) + " answer on: each is taken to have a line of its own",
			Mend: "name the bus under wires, if they share one",
		})
	}
	return fs
}

// peakCurrent reports what the rail forced, and the modules that draw more than it gives by themselves.
func (w *work) peakCurrent() (fs []plan.Finding) {
	limit := w.sc.Controller.RailLimitA
	if limit <= 0 {
		return nil
	}
	worst, most := -1, limit
	var draws []float64
	for j := range w.p.Jobs {
		a := w.kind(j).Supply.PeakA.X
		draws = append(draws, a)
		if a > most {
			worst, most = j, a
		}
	}
	if worst >= 0 {
		fs = append(fs, plan.Finding{
			Severity: plan.Look, Code: CodePeakCurrent, Where: w.name(worst),
			Text: fmt.Sprintf("%s draws %.0f mA as it fires, the rail allows %.0f mA", w.name(worst), most*1e3, limit*1e3),
			Mend: "a capacitor beside each module that carries its burst",
		})
	}
	if !w.rails || w.cannot != nil {
		return fs
	}
	slices.SortFunc(draws, func(a, b float64) int { return cmp.Compare(b, a) })
	n, sum := 0, 0.0
	for n < len(draws) && (n == 0 || sum <= limit) {
		sum += draws[n]
		n++
	}
	if n < 2 {
		return fs
	}
	f := plan.Finding{
		Severity: plan.Note, Code: CodeRail, Where: "controller",
		Text: fmt.Sprintf("the rail gives %.0f mA and %d bursts at once may draw %.0f mA: they never fire together", limit*1e3, n, sum*1e3),
	}
	us, ok := w.try(func(p *instance.Problem) { *p = w.unrailed() })
	if now := int64(w.ticks().realisedUs()); ok && us < now {
		f.Mend = fmt.Sprintf("a rail that gives more, or a capacitor beside each module that carries its burst: cycle %s instead of %s", plan.Milliseconds(us), plan.Milliseconds(now))
	} else if ok {
		f.Text += "; the cycle is no longer for it"
	}
	return append(fs, f)
}
