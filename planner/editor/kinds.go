package editor

import (
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// kindCard is a built-in kind of module as a list shows it.
type kindCard struct{ name, title string }

// readKinds reads what kinds of module and targets are built in.
func (e *Editor) readKinds() {
	doc, faults := layout.ParseKinds("built-in kinds", e.cfg.Kinds)
	if faults.HasErrors() {
		return
	}
	e.kindsDoc = doc
	kinds, targets, _ := resolve.Kinds(doc)
	for _, k := range kinds {
		e.kinds = append(e.kinds, kindCard{k.Name, k.Title})
	}
	for _, t := range targets {
		e.builtInTargets = append(e.builtInTargets, t.Name)
	}
}

// kindNames are the layout's own kinds and those built in.
func (e *Editor) kindNames() (names []string) {
	if e.doc != nil {
		for _, k := range entries(e.doc, "kinds") {
			names = addName(names, k.Key())
		}
	}
	for _, k := range e.kinds {
		names = addName(names, k.name)
	}
	return names
}

func (e *Editor) kindTitle(name string) string {
	for _, k := range e.kinds {
		if k.name == name {
			return k.title
		}
	}
	return words.ownKind
}

func (e *Editor) kindOf(s scene.Sensor) string {
	sc := e.sceneNow()
	if s.Kind < 0 || s.Kind >= len(sc.Kinds) {
		return ""
	}
	return sc.Kinds[s.Kind].Name
}

// targetNames are the layout's own targets and those built in.
func (e *Editor) targetNames() (names []string) {
	if e.doc != nil {
		for _, t := range entries(e.doc, "targets") {
			names = addName(names, t.Key())
		}
	}
	for _, t := range e.builtInTargets {
		names = addName(names, t)
	}
	return names
}
