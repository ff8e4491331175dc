package report

import (
	"io"
	"strings"

	"echowright/planner/plan"
)

// Margins prints what breaks first and what is lost when one sensor fails. p.Margins must be set.
func Margins(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	t.verdict()
	t.line("\nwhat breaks first")
	t.line("  this timetable  %s", p.FirstBreak(false))
	t.line("  solved anew     %s", p.FirstBreak(true))
	if n := len(p.Margins.Missed); n > 0 {
		t.line("  not met as it stands, and so not asked about: %s", strings.Join(p.Margins.Missed, "; "))
	}
	rows := p.MarginRows()
	t.line("\n  %-11s  %-47s  %-8s  %-18s  %-18s  %s", "more of", "how", "stated", "refused from", "unsafe from", "solved anew, missed from")
	for _, r := range rows {
		t.line("  %-11s  %-47s  %-8s  %-18s  %-18s  %s", r.Quantity, r.Change, r.Stated, r.Refused, r.Unsafe, r.Anew)
		if r.UnsafeWhy != "" {
			t.line("  %-11s    unsafe: %s", "", r.UnsafeWhy)
		}
		if r.AnewWhy != "" {
			t.line("  %-11s    missed: %s", "", r.AnewWhy)
		}
	}
	t.line("  Changes come on top of what is stated. Refused: the checker no longer accepts this timetable with the guard as asked; unsafe: not even with all of it used up. -: cannot harm, or not asked.")
	t.line("\nif one sensor fails")
	for _, r := range p.LostRows() {
		verdict := "nothing more is missed"
		if r.Bad {
			verdict = strings.Join(r.Flips, "; ") + "  " + t.mark(false)
		}
		t.line("  %s: %s", r.Sensor, verdict)
		if len(r.Worse) > 0 {
			t.line("      changes: %s", strings.Join(r.Worse, "; "))
		}
		if r.Anew != "" {
			t.line("      timetable %s; solved anew without it: cycle %s", r.Table, r.Anew)
		}
	}
	if left := p.Margins.NotReckoned; len(left) > 0 {
		t.line("\nthe time was up; not reckoned: %s", strings.Join(left, "; "))
	}
	t.line("\n%s", plan.Cautions[0])
	_, err := io.WriteString(w, t.b.String())
	return err
}
