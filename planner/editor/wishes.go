package editor

import (
	"slices"
	"strings"

	"echowright/planner/layout"
)

// Where a layout says how often sensors fire, and by which delays.
const (
	refreshOf = "wishes.refresh."
	delaysOf  = "wishes.delays."
)

// mostAsked is for how many entries of sensors the sheet of the machine asks how often they fire; of more, only those are listed that say it.
const mostAsked = 12

// refreshRows are how often sensors fire: a line of text where none says it, else a row for each that does, and for the entries that do not.
func (e *Editor) refreshRows(wishes layout.Entry) (rows []row) {
	all, _ := wishes.Get("refresh")
	names := all.Keys()
	if len(names) == 0 {
		return []row{{label: words.refreshHow}}
	}
	if groups := entries(e.doc, "sensors"); len(groups) <= mostAsked {
		for _, g := range groups {
			said := func(name string) bool { return name == g.Key() || strings.HasPrefix(name, g.Key()+".") }
			if !slices.ContainsFunc(names, said) {
				names = append(names, g.Key())
			}
		}
	}
	for _, name := range names {
		rows = append(rows, row{path: refreshOf + name, label: join2(", ", words.key("refresh"), name)})
	}
	return rows
}

// delaysEdits choose a way of delays, or none; what only the other way has goes along.
func (e *Editor) delaysEdits(way string) (edits []layout.Edit) {
	if way == "" || way == words.no {
		return []layout.Edit{{Do: layout.Remove, Path: strings.TrimSuffix(delaysOf, ".")}}
	}
	if all, ok := e.doc.Root().Get(strings.TrimSuffix(delaysOf, ".")); ok {
		for _, r := range below(strings.TrimSuffix(delaysOf, ".")) {
			if _, values, only := strings.Cut(r.When, ": "); only && all.Has(r.Key()) && !slices.Contains(strings.Split(values, ", "), way) {
				edits = append(edits, layout.Edit{Do: layout.Remove, Path: delaysOf + r.Key()})
			}
		}
	}
	return append(edits, layout.Edit{Do: layout.Set, Path: delaysOf + "way", Text: way})
}
