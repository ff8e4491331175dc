package report

import (
	"fmt"
	"io"
	"strings"

	"echowright/planner/plan"
)

// Ways prints what can be done about a plan's cycle, for a terminal.
func Ways(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	all := p.Ways
	t.line("%s: %s", p.Layout, cycleNow(all))
	t.line("%s", firstLine(p.Schedule.Why))
	if len(all.Out) == 0 {
		t.line("\nno way out found: nothing tried on %s shortens the cycle", listed(all.From))
	} else {
		t.line("\nways out, the least to be done first; each was made and the whole plan reckoned again")
	}
	for _, o := range all.Out {
		t.line("%3d  %s", o.Rank, o.What)
		t.line("     %s", wayBrings(o, all.BudgetUs, t.mark))
		for _, line := range o.Costs() {
			t.line("     %s", line)
		}
	}
	t.choice(all.Choice)
	t.front(all)
	t.line("\n%s", plan.Cautions[0])
	_, err := io.WriteString(w, t.b.String())
	return err
}

// WayLine is one way out as it is found, in one line.
func WayLine(o plan.Way, budgetUs int64) string {
	return o.What + ": " + wayBrings(o, budgetUs, (&text{}).mark)
}

func cycleNow(all *plan.Ways) string {
	switch {
	case all.CycleUs == 0:
		return "no table to fire by"
	case all.BudgetUs == 0:
		return "cycle " + plan.Milliseconds(all.CycleUs)
	}
	return fmt.Sprintf("cycle %s of %s", plan.Milliseconds(all.CycleUs), plan.Milliseconds(all.BudgetUs))
}

// listed joins names as in a sentence, the many of a large array cut short.
func listed(names []string) string {
	const most = 8
	switch n := len(names); {
	case n > most:
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), n-most)
	case n > 1:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// wayBrings is what a way makes of the cycle and of the verdict.
func wayBrings(o plan.Way, budgetUs int64, mark func(met bool) string) string {
	s := "cycle " + plan.Milliseconds(o.CycleUs[1])
	if o.CycleUs[0] > 0 {
		s += " instead of " + plan.Milliseconds(o.CycleUs[0])
	}
	if !o.Proven {
		s += ", not proven shortest"
	}
	switch {
	case budgetUs == 0:
	case o.Fits && o.Met:
		s += ", within the " + plan.Milliseconds(budgetUs) + " asked: all " + mark(true)
	case o.CycleUs[1] <= budgetUs:
		s += ", within the " + plan.Milliseconds(budgetUs) + " asked"
	default:
		s += ", not enough by itself"
	}
	return s
}

func (t *text) choice(c *plan.Choice) {
	if c == nil {
		return
	}
	t.line("\nwindows chosen together: cycle %s instead of %s; %s (%d choices)", plan.Milliseconds(c.CycleUs[1]), plan.Milliseconds(c.CycleUs[0]), c.Says, c.Tried)
	width := 0
	for _, w := range c.Windows {
		width = max(width, len([]rune(w.Sensor)))
	}
	for _, w := range c.Windows {
		t.line("  %-*s  %7s, now %s", width, w.Sensor, plan.Metres(w.ListenM[1]), plan.Metres(w.ListenM[0]))
	}
}

// front prints range against cycle as a table.
func (t *text) front(all *plan.Ways) {
	if all.NoFront != "" || len(all.Front) == 0 {
		t.line("\nrange against cycle: %s", all.NoFront)
		return
	}
	t.line("\nrange against cycle, if no window is longer than")
	for _, l := range all.Front {
		t.line("  %7s  %9s%s  %s", plan.Metres(l.ListenM), plan.Milliseconds(l.CycleUs), unprovenMark(l.Proven), l.Says())
	}
}

func unprovenMark(proven bool) string {
	if proven {
		return ""
	}
	return " (not proven shortest)"
}
