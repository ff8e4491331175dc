package firing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
	"echowright/scheduler/instance"
)

// impossible says which demands no timetable keeps together.
func (w *work) impossible() []plan.Finding {
	if w.cannot == nil {
		return nil
	}
	f := plan.Finding{
		Severity: plan.NotMet, Code: CodeCannot, Where: "cycle", Text: "no cycle keeps all that is asked: " + w.cannotText(),
		Reason: w.clash.Text,
		Mend:   "part the wires so that those sensors need not fire together",
	}
	if w.readingsBind() && strings.Contains(w.cannot.Wrong, "may be occupied at once") {
		f.Mend += ", or let the controller take more readings at once"
	}
	return []plan.Finding{f}
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

// overdrawn is the sensor that by itself draws the most above what the rail gives, or -1.
func (w *work) overdrawn() int {
	worst, most := -1, w.sc.Controller.RailLimitA
	for i, s := range w.sc.Sensors {
		if a := w.sc.Kinds[s.Kind].Supply.PeakA.X; most > 0 && a > most {
			worst, most = i, a
		}
	}
	return worst
}

// peakCurrent reports a module that draws more than the rail gives, whenever it fires.
func (w *work) peakCurrent() []plan.Finding {
	i := w.overdrawn()
	if i < 0 {
		return nil
	}
	s := w.sc.Sensors[i]
	return []plan.Finding{{
		Severity: plan.NotMet, Code: CodePeakCurrent, Where: s.Name,
		Text: fmt.Sprintf("%s draws %.0f mA as it fires, the rail allows %.0f mA", s.Name, w.sc.Kinds[s.Kind].Supply.PeakA.X*1e3, w.sc.Controller.RailLimitA*1e3),
		Mend: "a capacitor beside each module that carries its burst",
	}}
}

// railTurns reports what the rail forced.
func (w *work) railTurns() (fs []plan.Finding) {
	limit := w.sc.Controller.RailLimitA
	if !w.rails || w.cannot != nil {
		return fs
	}
	var draws []float64
	for j := range w.p.Jobs {
		draws = append(draws, w.kind(j).Supply.PeakA.X)
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
