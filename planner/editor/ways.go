package editor

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"echowright/geometry"
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

// wayDeg is the step of turns in ways out: a least turn is given to a tenth of a degree, and half of it would not do.
const wayDeg = 0.1

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
	other := func(d plan.Change) bool {
		return d.Style != c.Style || d.Reading != c.Reading || (d.ListenM > 0) != (c.ListenM > 0)
	}
	switch {
	case slices.ContainsFunc(cs, other):
		return words.trySeveral
	case c.Style != "":
		return words.tryStyle(c.Style)
	case c.Reading != "":
		return words.tryReading(c.AtOnce)
	}
	if len(cs) > 1 {
		name = words.sensors(len(cs))
	}
	same := !slices.ContainsFunc(cs, func(d plan.Change) bool {
		return d.UpDeg != c.UpDeg || d.LeftDeg != c.LeftDeg || d.ListenM != c.ListenM || d.MoveM != c.MoveM
	})
	switch {
	case !same && c.ListenM > 0:
		return words.tryWindows(name)
	case !same:
		return words.tryAll(name)
	case c.ListenM > 0:
		return words.tryListen(name, lengthText(c.ListenM))
	case c.MoveM != 0:
		return words.tryMove(name, lengthText(math.Abs(c.MoveM)), c.MoveM > 0)
	case c.UpDeg != 0:
		return words.tryTilt(name, angleText(s1.Angle(c.UpDeg)*s1.Degree))
	}
	return words.tryTurn(name, angleTo(s1.Angle(math.Abs(c.LeftDeg))*s1.Degree, wayDeg), c.LeftDeg > 0)
}

// takeWay makes the changes of a finding's way out.
func (e *Editor) takeWay(f plan.Finding) {
	if w, ok := e.wayOut(f); ok {
		e.makeWay(w)
	}
}

// makeWay makes the changes of a way out: one entry in the log, to be undone as one. A sensor of a row or a pair is changed alone only
// where its others are not changed alike.
func (e *Editor) makeWay(w way) {
	doc, sc, names, single := e.apart(w.changes)
	var edits []layout.Edit
	moved, turned := map[string]pose{}, map[string]pose{}
	var done []string
	for i, c := range w.changes {
		edits = append(edits, firingEdits(c)...)
		if c.Sensor == "" {
			continue
		}
		s := sensorNamed(sc, names[i])
		p := poseOf(s)
		if c.MoveM != 0 && !math.IsNaN(s.ArcM) {
			p = along(e.outline, p, c.MoveM)
			if moved[s.Name] = p; !followsOutline(doc, s) && p.heading != s.Heading {
				turned[s.Name] = p
			}
		}
		if c.LeftDeg != 0 {
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
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".listen-to", Text: lengthText(math.Ceil(c.ListenM*100-1e-6) / 100)})
		}
	}
	edits = append(edits, placeEdits(doc, sc, e.outline, moved)...)
	edits = append(edits, headingEditsTo(doc, sc, e.outline, turned, wayDeg)...)
	e.try(w.label, doc, single, edits...)
}

// firingEdits are what a change says of the firing and of the controller.
func firingEdits(c plan.Change) (edits []layout.Edit) {
	if c.Style != "" {
		edits = append(edits, layout.Edit{Do: layout.Set, Path: "wishes.style", Text: c.Style})
	}
	if c.Reading != "" {
		edits = append(edits, layout.Edit{Do: layout.Set, Path: "controller.reading", Text: c.Reading},
			layout.Edit{Do: layout.Set, Path: "controller.at-once", Text: strconv.Itoa(c.AtOnce)})
	}
	return edits
}

// along is a pose farther along the outline; it keeps its turn against the side.
func along(o *geometry.Outline, p pose, byM float64) pose {
	_, was := o.At(p.arc)
	p.arc = math.Remainder(p.arc+byM, o.Length())
	at, normal := o.At(p.arc)
	p.at, p.heading = at, (p.heading + normal - was).Normalized()
	return p
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
		if c.Sensor == "" {
			continue
		}
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
		b.LeftDeg, b.MoveM = -b.LeftDeg, -b.MoveM
	}
	return a.MoveM == b.MoveM && a.LeftDeg == b.LeftDeg && a.UpDeg == b.UpDeg && a.ListenM == b.ListenM
}
