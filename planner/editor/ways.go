package editor

import (
	"slices"
	"strings"

	"echowright/planner/layout"
	"echowright/planner/plan"
)

// way is a way out of a finding that can be taken: what it is called, and the changes of sensors.
type way struct {
	label   string
	changes []plan.Change
}

// wayOut is what can be tried against a finding. What it brings stands in the finding's own words: it was reckoned.
func (e *Editor) wayOut(f plan.Finding) (way, bool) {
	if len(f.Try) == 0 || !e.editable() {
		return way{}, false
	}
	return way{e.wayLabel(f.Try), f.Try}, true
}

// takeWay makes the changes of a finding's way out.
func (e *Editor) takeWay(f plan.Finding) {
	if w, ok := e.wayOut(f); ok {
		e.makeChanges(w.changes)
	}
}

// try makes the changes of a way out, for which some rows or pairs became single sensors, and shows what they bring when that
// is known.
func (e *Editor) try(label string, doc *layout.Document, single []string, edits ...layout.Edit) {
	before := slices.Clone(e.plates)
	if e.change(label, atOnce, doc, edits...) {
		e.tried = &trial{label, before, single, e.number}
		e.say(words.taken(label))
	}
}

// trial is a way out that was taken, to show what it brought.
type trial struct {
	label  string
	before []Verdict
	single []string // rows and pairs that became single sensors for it
	number int      // the question whose answer tells
}

// brought is what a trial did to the verdicts, a line each, of those that it changed.
func (t *trial) brought(after []Verdict) string {
	var lines []string
	same := false
	for _, is := range after {
		i := slices.IndexFunc(t.before, func(was Verdict) bool { return was.ID == is.ID })
		if i < 0 {
			continue
		}
		if was := t.before[i]; was.Title != is.Title || was.Is != is.Is || was.State != is.State {
			lines = append(lines, words.brought(was, is))
		} else {
			same = true
		}
	}
	switch {
	case len(lines) == 0:
		lines = append(lines, words.allAsBefore)
	case same:
		lines = append(lines, words.elseAsBefore)
	}
	return strings.Join(lines, "\n")
}
