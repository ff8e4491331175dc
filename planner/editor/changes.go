package editor

import (
	"math"
	"slices"
	"strconv"

	"echowright/geometry"
	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/quantity"
	"echowright/planner/scene"

	"github.com/golang/geo/s1"
)

// The changes of a way out are written as exactly as they were reckoned: what was worked out for it holds for just that layout.
const (
	exactM   = 1e-6
	exactDeg = 1e-6
)

// makeChanges makes the changes of a way out: one entry in the log, to be undone as one. A sensor of a row or a pair is changed alone
// only where its others are not changed alike.
func (e *Editor) makeChanges(cs []plan.Change) {
	if len(cs) == 0 || !e.editable() {
		return
	}
	label := e.wayLabel(cs)
	whole, each := bySensor(cs)
	var edits []layout.Edit
	if whole.Style != "" {
		edits = append(edits, layout.Edit{Do: layout.Set, Path: "wishes.style", Text: whole.Style})
	}
	if whole.Reading != "" {
		edits = append(edits, layout.Edit{Do: layout.Set, Path: "controller.reading", Text: whole.Reading})
		if whole.AtOnce > 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: "controller.at-once", Text: strconv.Itoa(whole.AtOnce)})
		}
	}
	doc, sc, names, single := e.apart(each)
	to := map[string]pose{} // of sensors that are turned or moved
	var done []string
	for i, c := range each {
		s := sensorNamed(sc, names[i])
		if p := poseOf(s); c.LeftDeg != 0 || c.MoveM != 0 {
			if c.MoveM != 0 {
				p.arc = wrapArc(e.outline, p.arc+c.MoveM)
				p.heading += normalOf(e.outline, p) - normalAt(e.outline, s)
			}
			p.heading = (p.heading + s1.Angle(c.LeftDeg)*s1.Degree).Normalized()
			to[s.Name] = p
		}
		if slices.Contains(done, s.Group) {
			continue
		}
		done = append(done, s.Group)
		if c.UpDeg != 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".tilt", Text: angleTo(s.Tilt+s1.Angle(c.UpDeg)*s1.Degree, exactDeg)})
		}
		if c.ListenM > 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".listen-to", Text: lengthTo(c.ListenM, exactM)})
		}
		if c.EveryUs > 0 {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: refreshPathIn(doc, s), Text: quantity.Format(quantity.Time, float64(c.EveryUs)/1e6)})
		}
	}
	e.try(label, doc, single, append(edits, exactly(doc, sc, e.outline, to)...)...)
}

// bySensor puts changes of one sensor together, and those that are of none.
func bySensor(cs []plan.Change) (whole plan.Change, each []plan.Change) {
	for _, c := range cs {
		if c.Style != "" {
			whole.Style = c.Style
		}
		if c.Reading != "" {
			whole.Reading, whole.AtOnce = c.Reading, c.AtOnce
		}
		if c.Sensor == "" {
			continue
		}
		i := slices.IndexFunc(each, func(o plan.Change) bool { return o.Sensor == c.Sensor })
		if i < 0 {
			i = len(each)
			each = append(each, plan.Change{Sensor: c.Sensor})
		}
		o := &each[i]
		o.LeftDeg, o.UpDeg, o.MoveM = o.LeftDeg+c.LeftDeg, o.UpDeg+c.UpDeg, o.MoveM+c.MoveM
		if c.ListenM > 0 {
			o.ListenM = c.ListenM
		}
		if c.EveryUs > 0 {
			o.EveryUs = c.EveryUs
		}
	}
	return whole, each
}

// exactly writes poses as exactly as they were reckoned. Of a sensor that goes round a corner the heading is written as a turn from square, as
// other words mean something else on another side.
func exactly(doc *layout.Document, sc *scene.Scene, o *geometry.Outline, to map[string]pose) (edits []layout.Edit) {
	eachEntry(sc, to, func(s scene.Sensor, p pose) {
		entry, was, is := entryOf(doc, s), normalAt(o, s), normalOf(o, p)
		if p.arc != s.ArcM && !math.IsNaN(s.ArcM) {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".at", Text: placeExactly(o, p.arc)})
		}
		if turn := math.Abs(((p.heading - is) - (s.Heading - was)).Normalized().Degrees()); turn < exactDeg && (!entry.Has("heading") || is == was) {
			return
		}
		h := entry.Value("heading")
		num, word := h.Num(), h.Word()
		if is != was && word != fromForward {
			num, word = 0, ""
		}
		edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".heading", Text: headingTo(p.heading, is, num, word, (s.Heading - was).Normalized(), exactDeg)})
	})
	return edits
}

// normalOf is which way the outline looks at a pose; 0 for one that stands freely.
func normalOf(o *geometry.Outline, p pose) s1.Angle { return normalAt(o, scene.Sensor{ArcM: p.arc}) }

// wayLabel says what would be changed: in full for one sensor or for several alike, else in short.
func (e *Editor) wayLabel(cs []plan.Change) string {
	whole, each := bySensor(cs)
	switch n := len(each); {
	case n == 0 && whole.Reading == "":
		return words.tryStyle(whole.Style)
	case n == 0 && whole.Style == "":
		return words.tryReading(whole.AtOnce)
	case n == 0 || whole != (plan.Change{}):
		return words.trySeveral(len(cs))
	}
	c, name := each[0], each[0].Sensor
	if len(each) > 1 {
		name = words.sensors(len(each))
	}
	of := func(windows, turns, moves bool) bool { // nothing else is changed
		return !slices.ContainsFunc(each, func(d plan.Change) bool {
			return d.EveryUs > 0 || d.ListenM > 0 && !windows || (d.LeftDeg != 0 || d.UpDeg != 0) && !turns || d.MoveM != 0 && !moves
		})
	}
	same := !slices.ContainsFunc(each, func(d plan.Change) bool { d.Sensor = c.Sensor; return d != c })
	switch {
	case same && c == plan.Change{Sensor: c.Sensor, EveryUs: c.EveryUs}:
		return words.tryEvery(name, plan.Milliseconds(c.EveryUs))
	case of(true, false, false) && same:
		return words.tryListen(name, lengthText(c.ListenM))
	case of(true, false, false):
		return words.tryWindows(name)
	case of(false, true, false) && same && c.LeftDeg == 0:
		return words.tryTilt(name, angleTo(s1.Angle(c.UpDeg)*s1.Degree, labelDeg))
	case of(false, true, false) && same && c.UpDeg == 0:
		return words.tryTurn(name, angleTo(s1.Angle(math.Abs(c.LeftDeg))*s1.Degree, labelDeg), c.LeftDeg > 0)
	case of(false, true, false):
		return words.tryAll(name)
	case of(false, false, true) && same:
		return words.tryMove(name, lengthText(math.Abs(c.MoveM)), c.MoveM > 0)
	}
	return words.trySeveral(len(cs))
}

// labelDeg is how exactly a button names a turn.
const labelDeg = 0.1

// apart makes single sensors of those entries of which a change touches one sensor and not the others alike; it returns the
// sensors of the changes under their names of then, and those entries.
func (e *Editor) apart(cs []plan.Change) (doc *layout.Document, sc *scene.Scene, names, groups []string) {
	sc = e.sceneNow()
	for _, c := range cs {
		names = append(names, c.Sensor)
		s := sensorNamed(sc, c.Sensor)
		if c.MoveM != 0 && entryOf(e.doc, s).Has("count") { // a row is written as a whole
			groups = addName(groups, s.Group)
		}
		for _, o := range sc.Sensors {
			if o.Group == s.Group && o.Name != s.Name && !slices.ContainsFunc(cs, func(d plan.Change) bool { return d.Sensor == o.Name && alike(c, d, o.Image != s.Image) }) {
				groups = addName(groups, s.Group)
			}
		}
	}
	var renamed map[string]string
	doc, sc, renamed = e.split(e.doc, sc, groups, placeExactly)
	e.chosen = newNames(e.chosen, renamed)
	return doc, sc, newNames(names, renamed), groups
}

// alike reports whether two changes are one change of the entry both sensors come from.
func alike(a, b plan.Change, mirrored bool) bool {
	if mirrored {
		b.LeftDeg, b.MoveM = -b.LeftDeg, -b.MoveM
	}
	a.Sensor, b.Sensor = "", ""
	return a == b
}
