package editor

import (
	"math"
	"slices"

	"echowright/geometry"
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// editsOf writes poses into a document.
type editsOf func(doc *layout.Document, sc *scene.Scene, o *geometry.Outline, to map[string]pose) []layout.Edit

// split makes single sensors of entries, their places written by place: the document and scene with them, and the new names by the old.
func (e *Editor) split(doc *layout.Document, sc *scene.Scene, groups []string, place func(*geometry.Outline, float64) string) (*layout.Document, *scene.Scene, map[string]string) {
	renamed := map[string]string{}
	all := *sc
	all.Sensors = slices.Clone(sc.Sensors)
	for _, g := range groups {
		edits, names, err := resolve.Split(doc, e.kindsDoc, "sensors."+g)
		if err != nil || len(edits) == 0 {
			continue
		}
		next, _, err := doc.Change(edits...)
		if err != nil {
			continue
		}
		doc = next
		var tidy []layout.Edit
		for i := range all.Sensors {
			if s := &all.Sensors[i]; s.Group == g && len(names) > 0 {
				renamed[s.Name] = names[0]
				s.Name, s.Group, s.Entry, s.Image = names[0], names[0], "sensors."+names[0], false
				names = names[1:]
				if !math.IsNaN(s.ArcM) {
					tidy = append(tidy, layout.Edit{Do: layout.Set, Path: entryPath(*s) + ".at", Text: place(e.outline, s.ArcM)})
				}
			}
		}
		if next, _, err := doc.Change(tidy...); err == nil {
			doc = next
		}
		e.say(words.madeSingle(g))
	}
	return doc, &all, renamed
}

// rowsOf are the entries that stand for a row, of some sensors.
func rowsOf(doc *layout.Document, sc *scene.Scene, names []string) (groups []string) {
	for _, name := range names {
		if s := sensorNamed(sc, name); entryOf(doc, s).Has("count") {
			groups = addName(groups, s.Group)
		}
	}
	return groups
}

// newNames puts the new name in the place of each old one that has one.
func newNames(names []string, renamed map[string]string) []string {
	out := slices.Clone(names)
	for i, n := range out {
		if now, ok := renamed[n]; ok {
			out[i] = now
		}
	}
	return out
}

// single makes single sensors of the rows that a gesture's sensors belong to.
func (e *Editor) single(doc *layout.Document, sc *scene.Scene, names []string) (*layout.Document, *scene.Scene, []string) {
	doc, sc, renamed := e.split(doc, sc, rowsOf(doc, sc, names), placeTenths)
	e.chosen = newNames(e.chosen, renamed)
	return doc, sc, newNames(names, renamed)
}

// singles makes single sensors of the rows that some of the posed sensors belong to, so that each can be moved alone.
func (e *Editor) singles(doc *layout.Document, sc *scene.Scene, to map[string]pose) (*layout.Document, *scene.Scene, map[string]pose) {
	var names []string
	for _, s := range sc.Sensors {
		if _, ok := to[s.Name]; ok {
			names = append(names, s.Name)
		}
	}
	doc, sc, renamed := e.split(doc, sc, rowsOf(doc, sc, names), placeTenths)
	if len(renamed) == 0 {
		return doc, sc, to
	}
	e.chosen = newNames(e.chosen, renamed)
	moved := map[string]pose{}
	for _, n := range names {
		moved[newNames([]string{n}, renamed)[0]] = to[n]
	}
	return doc, sc, moved
}

// splitChosen makes single sensors of the chosen pairs and rows.
func (e *Editor) splitChosen() {
	doc, _, renamed := e.split(e.doc, e.sceneNow(), e.groups(), placeTenths)
	if len(renamed) == 0 {
		return
	}
	name := words.single(e.groups())
	e.chosen = newNames(e.chosen, renamed)
	e.log.Do(name, string(doc.Bytes()))
	e.adopt(atOnce)
}
