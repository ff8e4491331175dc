package editor

import (
	"math"
	"slices"

	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/scene"

	"github.com/golang/geo/s1"
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

// wayLabel says what would be changed: in full for one sensor or for several alike, else in short.
func (e *Editor) wayLabel(cs []plan.Change) string {
	c, name := cs[0], cs[0].Sensor
	if c.Style != "" {
		return words.tryStyle(c.Style)
	}
	if len(cs) > 1 {
		name = words.sensors(len(cs))
	}
	same := !slices.ContainsFunc(cs, func(d plan.Change) bool {
		return d.UpDeg != c.UpDeg || d.LeftDeg != c.LeftDeg || d.ListenM != c.ListenM
	})
	switch {
	case !same:
		return words.tryAll(name)
	case c.ListenM > 0:
		return words.tryListen(name, lengthText(c.ListenM))
	case c.UpDeg != 0:
		return words.tryTilt(name, angleText(s1.Angle(c.UpDeg)*s1.Degree))
	}
	return words.tryTurn(name, angleText(s1.Angle(math.Abs(c.LeftDeg))*s1.Degree), c.LeftDeg > 0)
}

// takeWay makes the changes of a finding's way out: one entry in the log, to be undone as one. A sensor of a row or a pair is
// changed alone only where its others are not changed alike.
func (e *Editor) takeWay(f plan.Finding) {
	w, ok := e.wayOut(f)
	if !ok {
		return
	}
	before := e.verdictLine()
	if style := w.changes[0].Style; style != "" {
		e.try(w.label, before, e.doc, layout.Edit{Do: layout.Set, Path: "wishes.style", Text: style})
		return
	}
	doc, sc, names := e.apart(f.Try)
	var edits []layout.Edit
	turned := map[string]pose{}
	var done []string
	for i, c := range w.changes {
		s := sensorNamed(sc, names[i])
		if c.LeftDeg != 0 {
			p := poseOf(s)
			p.heading = (p.heading + s1.Angle(c.LeftDeg)*s1.Degree).Normalized()
			turned[s.Name] = p
		}
		if slices.Contains(done, s.Group) {
			continue
		}
		done = append(done, s.Group)
		if c.UpDeg != 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".tilt", Text: angleText(s.Tilt + s1.Angle(c.UpDeg)*s1.Degree)})
		}
		if c.ListenM > 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".listen-to", Text: lengthText(math.Ceil(c.ListenM*100) / 100)})
		}
	}
	edits = append(edits, headingEdits(doc, sc, e.outline, turned)...)
	e.try(w.label, before, doc, edits...)
}

// try makes the changes of a way out, and shows what they bring when that is known.
func (e *Editor) try(label, before string, doc *layout.Document, edits ...layout.Edit) {
	if e.change(label, atOnce, doc, edits...) {
		e.tried = &trial{label, before, e.number}
		e.say(words.taken(label))
	}
}

// trial is a way out that was taken, to show what it brought.
type trial struct {
	label, before string
	number        int // the question whose answer tells
}

// verdictLine is the four verdicts in a line.
func (e *Editor) verdictLine() string {
	if e.shown == nil {
		return ""
	}
	var parts []string
	for _, v := range e.plates {
		parts = append(parts, v.Is)
	}
	return join2(" · ", parts...)
}

// apart makes single sensors of those entries of which a change touches one sensor and not the others alike.
func (e *Editor) apart(cs []plan.Change) (*layout.Document, *scene.Scene, []string) {
	sc := e.sceneNow()
	var groups, names []string
	for _, c := range cs {
		names = append(names, c.Sensor)
		s := sensorNamed(sc, c.Sensor)
		for _, o := range sc.Sensors {
			if o.Group == s.Group && o.Name != s.Name && !slices.ContainsFunc(cs, func(d plan.Change) bool { return d.Sensor == o.Name && alike(c, d, o.Image != s.Image) }) {
				groups = addName(groups, s.Group)
			}
		}
	}
	doc, sc, renamed := e.split(e.doc, sc, groups)
	e.chosen = newNames(e.chosen, renamed)
	return doc, sc, newNames(names, renamed)
}

// alike reports whether two changes are one change of the entry both sensors come from.
func alike(a, b plan.Change, mirrored bool) bool {
	if mirrored {
		b.LeftDeg = -b.LeftDeg
	}
	return a.LeftDeg == b.LeftDeg && a.UpDeg == b.UpDeg && a.ListenM == b.ListenM
}
