package editor

import (
	"math"
	"slices"
	"strings"

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
	if style := w.changes[0].Style; style != "" {
		e.try(w.label, e.doc, nil, layout.Edit{Do: layout.Set, Path: "wishes.style", Text: style})
		return
	}
	doc, sc, names, single := e.apart(f.Try)
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
	e.try(w.label, doc, single, edits...)
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

// apart makes single sensors of those entries of which a change touches one sensor and not the others alike; it returns the
// sensors of the changes under their names of then, and those entries.
func (e *Editor) apart(cs []plan.Change) (doc *layout.Document, sc *scene.Scene, names, groups []string) {
	sc = e.sceneNow()
	for _, c := range cs {
		names = append(names, c.Sensor)
		s := sensorNamed(sc, c.Sensor)
		for _, o := range sc.Sensors {
			if o.Group == s.Group && o.Name != s.Name && !slices.ContainsFunc(cs, func(d plan.Change) bool { return d.Sensor == o.Name && alike(c, d, o.Image != s.Image) }) {
				groups = addName(groups, s.Group)
			}
		}
	}
	var renamed map[string]string
	doc, sc, renamed = e.split(e.doc, sc, groups)
	e.chosen = newNames(e.chosen, renamed)
	return doc, sc, newNames(names, renamed), groups
}

// alike reports whether two changes are one change of the entry both sensors come from.
func alike(a, b plan.Change, mirrored bool) bool {
	if mirrored {
		b.LeftDeg = -b.LeftDeg
	}
	return a.LeftDeg == b.LeftDeg && a.UpDeg == b.UpDeg && a.ListenM == b.ListenM
}
