package planner

import (
	"slices"

	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// Begin is Load for a layout that is half built or partly wrong: it gives a scene to draw as soon as the body is sound.
// Entries with faults are left out of the scene and their faults listed as Load would; missing says apart from them what is not there
// yet, such as "no sensor yet" and "no zone yet". A layout that Load takes gives the same scene, nothing missing and an empty list.
func Begin(file string, data, kinds []byte) (sc *scene.Scene, missing []string, list diag.List) {
	builtIn, list := layout.ParseKinds("built-in kinds", kinds)
	if list.HasErrors() {
		return nil, nil, list
	}
	return BeginWith(file, data, builtIn)
}

// BeginWith is Begin with the built-in kinds read already.
func BeginWith(file string, data []byte, builtIn *layout.Document) (sc *scene.Scene, missing []string, list diag.List) {
	doc, list := layout.Draft(file, data)
	if doc == nil {
		return nil, nil, list
	}
	sc, missing, more := BeginDocument(doc, builtIn)
	return sc, missing, append(withoutGaps(list, doc), more...).Sort()
}

// BeginDocument is Begin for a document that was read already; the list has no more than what the layout says wrongly, which
// comes beside what [layout.Draft] or [layout.Document.Change] said of its text.
func BeginDocument(doc, builtIn *layout.Document) (sc *scene.Scene, missing []string, list diag.List) {
	sc, missing, list = resolve.Begin(doc, builtIn)
	if sc != nil {
		sc.References = references(builtIn)
	}
	return sc, missing, list
}

// withoutGaps takes out of a list what it says of parts that are not there yet.
func withoutGaps(list diag.List, doc *layout.Document) diag.List {
	return slices.DeleteFunc(slices.Clone(list), func(m diag.Diag) bool {
		return slices.ContainsFunc(doc.Gaps(), func(g layout.Gap) bool { return g.Said == m })
	})
}
