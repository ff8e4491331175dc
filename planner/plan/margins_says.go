package plan

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// MarginRow is one quantity of what breaks first, as printed.
type MarginRow struct {
	Quantity, Change, Stated string
	Refused                  string // with the timetable kept and the guard as asked
	Unsafe, UnsafeWhy        string // with the timetable kept and the guard used up
	UnsafeBad                bool
	Anew, AnewWhy            string // solved anew
	AnewBad                  bool
}

// MarginRows are the quantities of p.Margins, which must be set, as printed.
func (p *Plan) MarginRows() (rows []MarginRow) {
	for _, m := range p.Margins.Rows {
		w := MarginRow{Quantity: m.Quantity, Change: m.Change, Stated: "-"}
		if m.Stated != nil {
			w.Stated = m.Says(*m.Stated)
		}
		missing := "-"
		if left(p, m) {
			missing = "not reckoned"
		}
		say := func(b *Break) (at, why string, bad bool) {
			if b == nil {
				return missing, "", false
			}
			return m.From(b), b.Text, !b.None
		}
		w.Refused, _, _ = say(m.Kept)
		w.Unsafe, w.UnsafeWhy, w.UnsafeBad = say(m.Spent)
		if p.Schedule.Delays != nil {
			w.Refused, w.Unsafe = "not looked at", "not looked at"
		}
		w.Anew, w.AnewWhy, w.AnewBad = say(m.Anew)
		rows = append(rows, w)
	}
	return rows
}

// left reports whether a row was left out, in part at least, because the time was up.
func left(p *Plan, m Margin) bool {
	for _, what := range p.Margins.NotReckoned {
		if what == m.Quantity+", "+m.Change {
			return true
		}
	}
	return false
}

// FirstBreak says what breaks first, with the timetable kept or solved anew.
func (p *Plan) FirstBreak(anew bool) string {
	m := p.Margins
	at, of := m.FirstKept, func(w Margin) *Break { return w.Spent }
	if anew {
		at, of = m.FirstAnew, func(w Margin) *Break { return w.Anew }
	}
	switch {
	case !anew && !p.HasTable():
		return "there is no timetable to keep"
	case !anew && p.Schedule.Delays != nil:
		return "not looked at, as its firings come later by turns"
	case at < 0:
		return "nothing within what was looked at"
	}
	w := m.Rows[at]
	b := of(w)
	return fmt.Sprintf("%s, %s: from %s on (%s): %s", w.Quantity, w.Change, w.From(b), w.Measured(b), b.Text)
}

// LostRow is what one sensor's failure takes away, as printed.
type LostRow struct {
	Sensor string
	Of     []string // the sensors of which each, failing alone, takes this away
	Flips  []string // demands no longer met
	Worse  []string // others that change
	Table  string
	Bad    bool // something flips
	Unsafe bool
	Anew   string
}

// LostRows are what each sensor's failure takes away, by p.Margins, which must be set; of several that take the same, one row.
func (p *Plan) LostRows() (rows []LostRow) {
	for _, l := range p.Margins.Lost {
		w := LostRow{Sensor: l.Sensor, Of: []string{l.Sensor}, Table: "still safe"}
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
		case p.Schedule.Delays != nil:
			w.Table = "with its delays not looked at"
		case !l.Safe:
			w.Table, w.Unsafe = "refused: "+l.Refused, true
		}
		if a := l.Anew; a != nil {
			w.Anew = Milliseconds(a.CycleUs[1]) + ", now " + Milliseconds(a.CycleUs[0])
			if !a.Proven {
				w.Anew += ", not proven shortest"
			}
		}
		at := slices.IndexFunc(rows, func(v LostRow) bool {
			v.Sensor, v.Of = w.Sensor, w.Of
			return reflect.DeepEqual(v, w)
		})
		if at >= 0 { // of several that take the same away, one row
			rows[at].Sensor += "; " + w.Sensor
			rows[at].Of = append(rows[at].Of, l.Sensor)
			continue
		}
		rows = append(rows, w)
	}
	return rows
}

// kindWord is what a kind of demand is called in a list.
var kindWord = map[string]string{"share": "seen", "gap": "widest gap", "warning": "warned of at", "safe speed": "safe up to", "ready": "first warning after"}
