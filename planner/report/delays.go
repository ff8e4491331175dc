package report

import (
	"fmt"
	"strings"

	"echowright/planner/plan"
)

// delaysDemand is that firings come later from cycle to cycle, where that is wished.
func delaysDemand(p *plan.Plan) []demand {
	d := p.Schedule.Delays
	if d == nil {
		return nil
	}
	row := demand{label: "delays", asked: "asked " + d.Way, met: d.Cannot == ""}
	if d.Cannot != "" {
		row.what, row.is, row.why = "ghosts dropped", "none", d.Cannot
		return []demand{row}
	}
	row.what, row.is = "ghosts dropped", "up to "+plan.Milliseconds(d.MostUs)
	row.why = fmt.Sprintf("confirmed within %s; cycle %s, %s without", plan.Milliseconds(d.ConfirmUs), plan.Milliseconds(p.Schedule.RunsUs()), plan.Milliseconds(d.WithoutUs))
	return []demand{row}
}

// dropping says what a firmware does with readings, and what delays cost.
func dropping(d *plan.Delays) string {
	text := fmt.Sprintf("Drop a reading that differs from the one before by more than %d us", d.ThresholdUs)
	if d.ThresholdTicks != d.ThresholdUs {
		text += fmt.Sprintf(" (%d ticks)", d.ThresholdTicks)
	}
	text += fmt.Sprintf(", which is %s. A reading counts from the second on that agrees: within %s. Without delays the cycle is %s.", plan.Millimetres(d.ThresholdM), plan.Milliseconds(d.ConfirmUs), plan.Milliseconds(d.WithoutUs))
	switch {
	case d.Way == plan.Dithered:
		text += fmt.Sprintf(" Drawn with seed %d, alike again after %d cycles.", d.Seed, d.TableCycles)
	case !d.ClassesProven:
		text += fmt.Sprintf(" %d different delays; at least %d are needed.", d.Classes, d.LeastClasses)
	case d.Classes == 1:
		text += " One delay for all: none hears another."
	default:
		text += fmt.Sprintf(" %d different delays: fewer do not tell apart all that hear one another.", d.Classes)
	}
	return text
}

// delayedRow is a sensor with its delays in words.
type delayedRow struct{ Name, Later string }

// delayed lists the delays, those of a long table by the first of them.
func delayed(p *plan.Plan) (rows []delayedRow) {
	const most = 8
	for _, f := range p.Schedule.Firings {
		var list []string
		for _, us := range f.DelaysUs[:min(most, len(f.DelaysUs))] {
			list = append(list, fmt.Sprint(us))
		}
		later := strings.Join(list, ", ")
		if len(f.DelaysUs) > most {
			later += " …"
		}
		rows = append(rows, delayedRow{f.Sensor, later})
	}
	return rows
}

// delayLines are the delays as the firing table on a terminal tells them.
func delayLines(p *plan.Plan) (lines []string) {
	d := p.Schedule.Delays
	if d == nil {
		return nil
	}
	if d.Cannot != "" {
		return []string{"\nno " + d.Way + " delays: " + d.Cannot}
	}
	lines = append(lines, fmt.Sprintf("\ndelays, %s: in cycle 0, 1 and so on a sensor fires later by so many us, and all its times with it; %d cycles, then again", d.Way, d.TableCycles))
	rows := delayed(p)
	width := 0
	for _, r := range rows {
		width = max(width, len([]rune(r.Name)))
	}
	for _, r := range rows {
		lines = append(lines, fmt.Sprintf("  %-*s  %s", width, r.Name, r.Later))
	}
	lines = append(lines, "  "+dropping(d))
	for _, i := range d.Inequalities {
		word := "met"
		if !i.Met {
			word = "NOT MET"
		}
		lines = append(lines, fmt.Sprintf("  %-34s  %9d %-2s %9d  %s  %s", i.Name, i.LeftUs, i.Relation, i.RightUs, word, i.Text))
	}
	lines = append(lines, "  not rejected")
	for _, text := range d.NotRejected {
		lines = append(lines, "    "+text)
	}
	return lines
}

// delays is the short section of the summary: what is dropped and what is not.
func (t *text) delays() {
	d := t.p.Schedule.Delays
	if d == nil || d.Cannot != "" {
		return
	}
	t.line("\nagainst ghosts that keep coming")
	t.line("  %s", dropping(d))
	t.line("  not rejected")
	for _, text := range d.NotRejected {
		t.line("    %s", text)
	}
}
