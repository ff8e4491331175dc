package editor

import (
	"slices"
	"strings"

	"echowright/planner"
	"echowright/planner/diag"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/layout"
	"echowright/planner/scene"
)

// Sizes in the sheet.
const (
	rowH   = 30
	labelW = 104
	noteW  = 72 // of a value that has one; the others have all the width
)

// row is one value of the chosen thing.
type row struct {
	path    string // in the document; empty for a heading and for a line of text
	label   string
	section string // of a heading: what it folds away
}

// sheetItems are the values of the chosen thing, and under them what could be better.
func (e *Editor) sheetItems(at places) (items []widget.Item) {
	p := &e.panel
	items = append(items, widget.Item{ID: "sheet", Kind: widget.Sheet, At: at.sheet})
	items = append(items, widget.Item{
		ID: "sheet-title", Kind: widget.Title, At: canvas.Rect{X: at.rows.X + 12, Y: at.rows.Y + 6, W: at.rows.W - 24, H: 28}, Label: p.title, Note: p.note,
	})
	room := canvas.Rect{X: at.rows.X + 8, Y: at.rows.Y + 38, W: at.rows.W - 16, H: max(0, at.rows.H-42)}
	scroll := "rows:" + p.title
	items = append(items, widget.Item{ID: scroll, Kind: widget.Scroll, At: room, Tall: p.rowsTall - 42})
	items = append(items, placed(p.rows, room.X+4, room.Y, scroll)...)
	return append(items, e.cardItems(at)...)
}

// sheetRows are the title of the sheet and its values.
func (e *Editor) sheetRows() (title, note string, rows []row) {
	switch {
	case e.doc == nil:
		return words.nothingOpen, "", nil
	case e.tool == Mounting:
		return words.mounting, "", nil
	case len(e.chosen) > 0:
		s := sensorNamed(e.sceneNow(), e.chosen[0])
		title, note = s.Name, words.sensorOf(slices.IndexFunc(e.sensors(), func(o scene.Sensor) bool { return o.Name == s.Name })+1, len(e.sensors()))
		if len(e.chosen) > 1 {
			title, note = words.sensors(len(e.chosen)), strings.Join(e.chosen, ", ")
		}
		return title, note, e.sensorRows(s)
	case e.thing.Kind == view.Zone:
		return e.thing.Name, words.zone, e.keyRows("zones."+e.thing.Name, zoneKeys)
	case e.thing.Kind == view.Part:
		return e.thing.Name, words.part, e.keyRows("body.parts."+e.thing.Name, partKeys)
	case e.thing.Kind == targetThing:
		return e.thing.Name, words.target, e.keyRows("targets."+e.thing.Name, targetKeys)
	case e.thing.Kind == kindThing:
		return e.thing.Name, words.kindOfModule, e.kindRows("kinds." + e.thing.Name)
	}
	return words.machine, "", e.machineRows()
}

// Things chosen in the sheet that have no place in the drawing.
const (
	targetThing = view.Machine + 1 + iota
	kindThing
)

// The keys of each thing in the order they are shown; a key that is a map brings those below it.
var (
	sensorKeys = []string{"name", "kind", "at", "heading", "tilt", "height", "listen-to", "pair", "count", "pair-axis", "recessed"}
	zoneKeys   = []string{"name", "target", "band", "swept", "sector", "polygon", "seen-by", "share", "largest-gap", "only-in"}
	partKeys   = []string{"name", "circle", "centre", "polygon", "height", "only-in"}
	targetKeys = []string{"shape", "diameter", "height", "surface", "turned"}
	kindKeys   = []struct {
		section, heading string
		keys             []string
	}{
		{"", "", []string{"like", "title", "range", "blind", "beam", "carrier"}},
		{"timing", words.timingHeading, []string{"timing"}}, {"supply", words.supplyHeading, []string{"supply", "pin-level"}},
		{"else", words.elseHeading, []string{"interface", "cans", "spacing", "water"}},
	}
	machineKeys = []struct{ heading, path string }{
		{"", "name"}, {words.bodyHeading, "body.outline"}, {words.motionHeading, "motion"}, {words.wishesHeading, "wishes"},
		{words.controllerHeading, "controller"}, {words.airHeading, "air"}, {words.aroundHeading, "around"}, {words.toleranceHeading, "tolerance"},
	}
)

// machineRows are the values of the machine as a whole, by heading.
func (e *Editor) machineRows() (rows []row) {
	for _, k := range machineKeys {
		if k.heading != "" {
			rows = append(rows, row{label: k.heading, section: strings.TrimSuffix(k.path, ".outline")})
		}
		r, ok := ruleOf(k.path)
		if ok && r.Form != layout.Map {
			rows = append(rows, row{path: k.path, label: words.key(r.Key())})
			continue
		}
		var keys []string
		for _, r := range below(pattern(k.path)) {
			keys = append(keys, r.Key())
		}
		rows = append(rows, e.keyRows(k.path, keys)...)
	}
	return rows
}

// sensorRows are the values of the chosen sensors, and under their kind what it can do. Of several, what can be
// said of all: no name, and of their places what all are placed by.
func (e *Editor) sensorRows(s scene.Sensor) (rows []row) {
	for _, r := range e.keyRows(entryPath(s), sensorKeys) {
		if several := len(e.chosen) > 1; several && (strings.HasSuffix(r.path, ".name") || strings.Contains(r.path, ".at.") && !e.allHave(r.path)) {
			continue
		}
		rows = append(rows, r)
		if strings.HasSuffix(r.path, ".kind") && !e.differs(r.path) {
			rows = append(rows, row{label: e.kindFigures(e.kindOf(s))})
		}
		if strings.HasSuffix(r.path, ".listen-to") && len(e.chosen) == 1 {
			rows = append(rows, row{path: e.refreshPath(s), label: words.key("refresh")})
		}
	}
	return rows
}

// refreshPath is where it is said how often a sensor fires: for it alone where that is so, else for all of its entry.
func (e *Editor) refreshPath(s scene.Sensor) string { return refreshPathIn(e.doc, s) }

func refreshPathIn(doc *layout.Document, s scene.Sensor) string {
	if own := refreshOf + s.Name; doc.Root().Has(own) {
		return own
	}
	return refreshOf + s.Group
}

// kindRows are the values of a kind of module, those off its card first.
func (e *Editor) kindRows(path string) (rows []row) {
	for _, k := range kindKeys {
		if k.section != "" {
			rows = append(rows, row{label: k.heading, section: k.section})
		}
		rows = append(rows, e.keyRows(path, k.keys)...)
	}
	return rows
}

// keyRows are the rows of some keys of an entry: those written, and those that can be typed as they are.
func (e *Editor) keyRows(path string, keys []string) (rows []row) {
	entry, _ := e.doc.Root().Get(path)
	for _, k := range keys {
		r, ok := ruleOf(path + "." + k)
		if !ok || r.Later != "" && len(r.LaterWords) == 0 && r.LaterWithin == "" {
			continue
		}
		_, written := entry.Get(k)
		if !written && !allowed(r, entry) {
			continue
		}
		switch {
		case r.Form == layout.Map && written:
			var inner []string
			for _, b := range below(r.Path) {
				inner = append(inner, b.Key())
			}
			rows = append(rows, e.keyRows(path+"."+k, inner)...)
		case r.Form == layout.Map && slices.Contains([]string{"beam", "timing", "supply", "delays"}, k): // figures of a card that are left open can be typed, and a wish
			var inner []string
			for _, b := range below(r.Path) {
				inner = append(inner, b.Key())
			}
			if path+"."+k+"." == delaysOf {
				inner = inner[:1] // the way comes first: the others say more of it
			}
			rows = append(rows, e.keyRows(path+"."+k, inner)...)
		case r.Form == layout.BySensor:
			rows = append(rows, e.refreshRows(entry)...)
		case r.Form == layout.Map, r.Form == layout.Named, r.Form == layout.List && !written:
		case !written && isAlternative(path, k):
		case r.Many && r.Form == layout.Quantity && written:
			list, _ := entry.Get(k)
			for _, it := range list.List() {
				on, _ := it.Get("against")
				rows = append(rows, row{path: it.Path(), label: join2(", ", words.key(k), on.Text())})
			}
		default:
			rows = append(rows, row{path: path + "." + k, label: words.keyAt(path+".", k)})
		}
	}
	return rows
}

// isAlternative reports whether a key is one of several of which one must be chosen, so that an unwritten one is not shown.
func isAlternative(path, key string) bool {
	r, ok := ruleOf(path)
	if !ok {
		return false
	}
	return slices.ContainsFunc(r.OneOf, func(a layout.Alternatives) bool {
		return slices.Contains(a.Keys, key) && key != "pair" && key != "count"
	})
}

// allowed reports whether the key of a rule may stand in the entry as it is.
func allowed(r layout.Rule, entry layout.Entry) bool {
	if r.When == "" {
		return true
	}
	key, values, list := strings.Cut(r.When, ": ")
	v, ok := entry.Get(key)
	if !ok {
		return false
	}
	return !list || slices.Contains(strings.Split(values, ", "), v.Text())
}

// pattern is the path of the rule for a path in a document.
func pattern(path string) string {
	steps := strings.Split(path, ".")
	switch {
	case len(steps) > 1 && (steps[0] == "sensors" || steps[0] == "zones" || steps[0] == "wires"):
		steps = append([]string{steps[0] + "[]"}, steps[2:]...)
	case len(steps) > 1 && (steps[0] == "targets" || steps[0] == "kinds"):
		steps[1] = "*"
		steps = slices.DeleteFunc(steps, func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }) // one of a list
	case strings.HasPrefix(path, refreshOf):
		steps = []string{"wishes", "refresh", "*"}
	case len(steps) > 2 && steps[0] == "body" && steps[1] == "parts":
		steps = append([]string{"body", "parts[]"}, steps[3:]...)
	}
	return strings.Join(steps, ".")
}

// rules is the table of the format by path, and by the path of the map a key stands in.
var rules, rulesBelow = func() (at map[string]layout.Rule, in map[string][]layout.Rule) {
	at, in = map[string]layout.Rule{}, map[string][]layout.Rule{}
	for _, r := range layout.Table() {
		at[r.Path] = r
		if i := strings.LastIndexByte(r.Path, '.'); i > 0 && !strings.ContainsAny(r.Path[i+1:], "[*") {
			in[r.Path[:i]] = append(in[r.Path[:i]], r)
		}
	}
	return at, in
}()

func ruleOf(path string) (layout.Rule, bool) {
	r, ok := rules[pattern(path)]
	return r, ok
}

// keyOf is the key that a rule's value is known by: of a value by names that which holds them.
func keyOf(r layout.Rule) string {
	if key := r.Key(); key != "" {
		return key
	}
	return layout.Rule{Path: strings.TrimSuffix(r.Path, ".*")}.Key()
}

// below are the rules of the keys of a map.
func below(path string) []layout.Rule { return rulesBelow[path] }

// rowItem shows one value.
func (e *Editor) rowItem(r row) widget.Item {
	if r.path == "" {
		it := quietNote("figures", r.label)
		it.Hint = words.estimateHint
		return it
	}
	rule, _ := ruleOf(r.path)
	entry, there := e.doc.Root().Get(r.path)
	value, note, like, ink := "", "", "", draw.Ink("")
	if there {
		value = written(e.doc, r.path)
		if src := entry.Source(); src != "" {
			note = src
		}
	} else {
		value, note, like = e.assumed(r.path, rule)
	}
	if !there && rule.Path == delaysOf+"way" {
		value = words.no
	}
	if note == string(scene.Estimate) {
		ink = draw.Attention
	}
	it := widget.Item{ID: "set:" + r.path, Kind: widget.Field, Label: r.label, Value: value, Note: note, Ink: ink, Hint: rule.Doc, LabelW: labelW, Index: -1}
	if like != "" {
		it.Hint = join2(" ", it.Hint, words.takenFrom(like))
	}
	differ := e.differs(r.path)
	if differ {
		it.Value, it.Text, it.Note = "", words.differ, ""
	}
	if it.Note != "" {
		it.NoteW = noteW
	}
	if m, ok := e.wrong[r.path]; ok {
		it.Value, it.Wrong = m.text, m.why
	}
	if choices := e.choicesFor(r.path, rule); choices != nil {
		it.Kind = widget.Pick
		for i, c := range choices {
			it.Choices = append(it.Choices, widget.Choice{Label: c, Value: c})
			if c == value && !differ {
				it.Index = i
			}
		}
		if rule.Path == "sensors[].kind" || rule.Path == "kinds.*.like" {
			it.Choices, it.Hint = e.kindChoices(choices), join2(" ", rule.Doc, words.estimateHint)
		}
	}
	if rule.Form == layout.Flag {
		it = widget.Item{ID: "flag:" + r.path, Kind: widget.Toggle, Label: r.label, Note: it.Text, Chosen: value == "true" && !differ, Hint: rule.Doc}
	}
	return it
}

// choicesFor are the words a value may be, nil when it is typed.
func (e *Editor) choicesFor(path string, rule layout.Rule) []string {
	switch {
	case rule.Path == "sensors[].kind":
		return e.kindNames()
	case rule.Path == "kinds.*.like":
		own := strings.Split(path, ".")[1]
		return slices.DeleteFunc(e.kindNames(), func(n string) bool { return n == own })
	case rule.Path == "zones[].target":
		return e.targetNames()
	case rule.Path == "sensors[].pair":
		return []string{words.no, "mirror"}
	case rule.Path == delaysOf+"way":
		return append([]string{words.no}, rule.Words...)
	case rule.Form == layout.Choice:
		return rule.Words
	}
	return nil
}

// written is the value at a path as the file says it; of one with a source, the value alone.
func written(doc *layout.Document, path string) string {
	if text, ok := doc.Text(path + ".value"); ok {
		return text
	}
	text, _ := doc.Text(path)
	return strings.Trim(text, `"'`)
}

// set types a value: of all chosen sensors alike. What is refused stays in its field with the reason.
func (e *Editor) set(path, text string) {
	delete(e.wrong, path)
	e.stale = true
	rule, _ := ruleOf(path)
	if e.doc == nil {
		return
	}
	text = strings.TrimSpace(text)
	_, there := e.doc.Root().Get(path)
	assumed, _, _ := e.assumed(path, rule)
	if !e.differs(path) && (there && written(e.doc, path) == text || !there && (text == assumed || text == "" || text == words.no)) {
		return
	}
	var edits []layout.Edit
	for _, p := range e.alike(path) {
		switch {
		case rule.Path == "sensors[].name" || rule.Path == "zones[].name" || rule.Path == "body.parts[].name":
			edits = append(edits, layout.Edit{Do: layout.Rename, Path: strings.TrimSuffix(p, ".name"), Text: text})
		case p == delaysOf+"way":
			edits = append(edits, e.delaysEdits(text)...)
		case text == "" || text == words.no:
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: p})
		default:
			edits = append(edits, layout.Edit{Do: layout.Set, Path: p, Text: text})
		}
	}
	doc, faults, err := e.doc.Change(edits...)
	if err == nil {
		faults = newFaults(e.drafted, faults)
		if len(faults) == 0 { // read alone it is right; the machine may still not take it
			faults = newFaults(e.refusals(e.doc), e.refusals(doc))
		}
	}
	switch {
	case err != nil:
		e.wrong[path] = mistake{text, err.Error()}
	case len(faults) > 0:
		e.wrong[path] = mistake{text, join2("; ", faults[0].Wrong, faults[0].Right)}
	default:
		e.log.Do(words.setTo(words.key(keyOf(rule)), text), string(doc.Bytes()))
		e.adopt(atOnce)
	}
}

// refusals are what the machine that a document describes cannot be.
func (e *Editor) refusals(doc *layout.Document) diag.List {
	_, _, list := planner.BeginDocument(doc, e.kindsDoc)
	return list
}

// alike are the paths of one key in the entries of all chosen sensors.
func (e *Editor) alike(path string) (paths []string) {
	if !strings.HasPrefix(path, "sensors.") || len(e.chosen) < 2 || strings.HasSuffix(path, ".name") {
		return []string{path}
	}
	steps := strings.SplitN(path, ".", 3)
	for _, name := range e.chosen {
		paths = addName(paths, entryPath(sensorNamed(e.sceneNow(), name))+"."+steps[2])
	}
	return paths
}

// newFaults are what is wrong now and was not before, by what they say.
func newFaults(before, after diag.List) (out diag.List) {
	count := map[string]int{}
	for _, d := range before {
		count[d.Wrong]++
	}
	for _, d := range after {
		if count[d.Wrong]--; count[d.Wrong] < 0 {
			out = append(out, d)
		}
	}
	return out
}

func join2(by string, words ...string) string {
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), by)
}

// listItems lists what else there is to choose: sensors, zones, parts, targets.
func (e *Editor) listItems() (items []widget.Item) {
	if e.doc == nil || len(e.chosen) > 0 || e.thing.Kind != view.Nothing || e.tool == Mounting {
		return nil
	}
	for _, l := range things {
		var names, notes []string
		for _, x := range entries(e.doc, l.path) {
			v, _ := x.Get(l.note)
			names, notes = append(names, x.Key()), append(notes, v.Text())
		}
		if l.kind == "sensor" { // a row or a pair is several
			names, notes = nil, nil
			for _, s := range e.sensors() {
				names, notes = append(names, s.Name), append(notes, e.kindOf(s))
			}
		}
		open := e.unfolded(l.section)
		items = append(items, e.foldItem(l.section, l.heading, words.count(len(names)), open))
		if !open {
			continue
		}
		for i, name := range names {
			items = append(items, widget.Item{ID: "pick:" + l.kind + ":" + name, Kind: widget.Row, Label: name, Note: notes[i], Mark: l.mark})
		}
		if l.add != "" {
			items = append(items, widget.Item{ID: "add:" + l.add, Kind: widget.Button, Label: nameOf(l.add), Mark: widget.Plus})
		}
	}
	return items
}

// things are the lists of what can be chosen: by whom they are called, where they stand in the layout, and what is told of each.
var things = []struct {
	kind, section, heading, path, note, add string
	mark                                    widget.Mark
}{
	{"sensor", "sensors", words.sensorsHeading, "sensors", "kind", "tool-mount", widget.Sensor},
	{"zone", "zones", words.zonesHeading, "zones", "target", "tool-zone", widget.Zone},
	{"target", "targets", words.targetsHeading, "targets", "shape", "add-target", widget.Target},
	{"kind", "kinds", words.kindsHeading, "kinds", "like", "add-kind", widget.Sensor},
	{"part", "parts", words.partsHeading, "body.parts", "height", "add-part", widget.Part},
}

func entries(doc *layout.Document, path string) []layout.Entry {
	e, ok := doc.Root().Get(path)
	if !ok {
		return nil
	}
	return e.List()
}

// quietNote is a line of quiet text.
func quietNote(id, text string) widget.Item {
	return widget.Item{ID: id, Kind: widget.Label, Label: text, Ink: draw.Quiet, Size: 11}
}
