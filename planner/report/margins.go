package report

import (
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"echowright/planner/plan"
)

// marginRow is one quantity of what breaks first, as printed.
type marginRow struct {
	Quantity, Change, Stated string
	Refused                  string // with the timetable kept and the guard as asked
	Unsafe, UnsafeWhy        string // with the timetable kept and the guard used up
	UnsafeBad                bool
	Anew, AnewWhy            string // solved anew
	AnewBad                  bool
}

func marginRows(p *plan.Plan) (rows []marginRow) {
	for _, m := range p.Margins.Rows {
		w := marginRow{Quantity: m.Quantity, Change: m.Change, Stated: "-"}
		if m.Stated != nil {
			w.Stated = m.Says(*m.Stated)
		}
		missing := "-"
		if left(p, m) {
			missing = "not reckoned"
		}
		say := func(b *plan.Break) (at, why string, bad bool) {
			if b == nil {
				return missing, "", false
			}
			return m.From(b), b.Text, !b.None
		}
		w.Refused, _, _ = say(m.Kept)
		w.Unsafe, w.UnsafeWhy, w.UnsafeBad = say(m.Spent)
		w.Anew, w.AnewWhy, w.AnewBad = say(m.Anew)
		rows = append(rows, w)
	}
	return rows
}

// left reports whether a row was left out, in part at least, because the time was up.
func left(p *plan.Plan, m plan.Margin) bool {
	for _, what := range p.Margins.NotReckoned {
		if what == m.Quantity+", "+m.Change {
			return true
		}
	}
	return false
}

// firstBreak says what breaks first, with the timetable kept or solved anew.
func firstBreak(p *plan.Plan, anew bool) string {
	m := p.Margins
	at, of := m.FirstKept, func(w plan.Margin) *plan.Break { return w.Spent }
	if anew {
		at, of = m.FirstAnew, func(w plan.Margin) *plan.Break { return w.Anew }
	}
	switch {
	case !anew && !p.HasTable():
		return "there is no timetable to keep"
	case at < 0:
		return "nothing within what was looked at"
	}
	w := m.Rows[at]
	b := of(w)
	return fmt.Sprintf("%s, %s: from %s on (%s): %s", w.Quantity, w.Change, w.From(b), w.Measured(b), b.Text)
}

// lostRow is what one sensor's failure takes away, as printed.
type lostRow struct {
	Sensor string
	Flips  []string // demands no longer met
	Worse  []string // others that change
	Table  string
	Bad    bool // something flips
	Unsafe bool
	Anew   string
}

func lostRows(p *plan.Plan) (rows []lostRow) {
	for _, l := range p.Margins.Lost {
		w := lostRow{Sensor: l.Sensor, Table: "still safe"}
		if len(l.Silent) > 0 {
			w.Sensor += " (and by its chain " + strings.Join(l.Silent, ", ") + ")"
		}
		for _, d := range l.Demands {
			text := fmt.Sprintf("%s, %s: %s, now %s", d.What, kindWord[d.Kind], d.Says(d.Is[1]), d.Says(d.Is[0]))
			if d.Flips() {
				w.Flips = append(w.Flips, text)
			} else {
				w.Worse = append(w.Worse, text)
			}
		}
		w.Bad = len(w.Flips) > 0
		switch {
		case !p.HasTable():
			w.Table = "no table"
		case !l.Safe:
			w.Table, w.Unsafe = "refused: "+l.Refused, true
		}
		if a := l.Anew; a != nil {
			w.Anew = plan.Milliseconds(a.CycleUs[1]) + ", now " + plan.Milliseconds(a.CycleUs[0])
			if !a.Proven {
				w.Anew += ", not proven shortest"
			}
		}
		at := slices.IndexFunc(rows, func(v lostRow) bool {
			v.Sensor = w.Sensor
			return reflect.DeepEqual(v, w)
		})
		if at >= 0 { // of several that take the same away, one row
			rows[at].Sensor += "; " + w.Sensor
			continue
		}
		rows = append(rows, w)
	}
	return rows
}

// kindWord is what a kind of demand is called in a list.
var kindWord = map[string]string{"share": "seen", "gap": "widest gap", "warning": "warned of at", "safe speed": "safe up to", "ready": "first warning after"}

// Margins prints what breaks first and what is lost when one sensor fails. p.Margins must be set.
func Margins(w io.Writer, p *plan.Plan, colour bool) error {
	t := &text{p: p, colour: colour}
	t.verdict()
	t.line("\nwhat breaks first")
	t.line("  this timetable  %s", firstBreak(p, false))
	t.line("  solved anew     %s", firstBreak(p, true))
	if n := len(p.Margins.Missed); n > 0 {
		t.line("  not met as it stands, and so not asked about: %s", strings.Join(p.Margins.Missed, "; "))
	}
	rows := marginRows(p)
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
	for _, r := range lostRows(p) {
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
