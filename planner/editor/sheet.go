package editor

import (
	"slices"
	"strings"

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
	labelW = 100
	noteW  = 84
)

// row is one value of the chosen thing.
type row struct {
	path  string // in the document; empty for a heading
	label string
	note  string
}

// sheetItems are the values of the chosen thing, and under them what could be better.
func (e *Editor) sheetItems(at places) (items []widget.Item) {
	items = append(items, widget.Item{ID: "sheet", Kind: widget.Sheet, At: at.sheet})
	title, note, rows := e.sheetRows()
	items = append(items, widget.Item{
		ID: "sheet-title", Kind: widget.Title, At: canvas.Rect{X: at.rows.X + 12, Y: at.rows.Y + 6, W: at.rows.W - 24, H: 28}, Label: title, Note: note,
	})
	room := canvas.Rect{X: at.rows.X + 8, Y: at.rows.Y + 38, W: at.rows.W - 16, H: max(0, at.rows.H-42)}
	scroll := "rows:" + title
	y := room.Y
	var inner []widget.Item
	for _, r := range rows {
		it := e.rowItem(r)
		h := max(rowH, e.board.Height(it, room.W-16))
		it.In, it.At = scroll, canvas.Rect{X: room.X + 4, Y: y, W: room.W - 20, H: h}
		y += h
		inner = append(inner, it)
	}
	if e.tool == Mounting && e.doc != nil {
		mount := e.mountItems(room.X+4, y, room.W-20, scroll)
		inner = append(inner, mount...)
		for _, it := range mount {
			y = max(y, it.At.Y+it.At.H)
		}
	}
	for _, it := range e.listItems() {
		it.In, it.At = scroll, canvas.Rect{X: room.X + 4, Y: y, W: room.W - 20, H: 28}
		y += 28
		inner = append(inner, it)
	}
	items = append(items, widget.Item{ID: scroll, Kind: widget.Scroll, At: room, Tall: y - room.Y})
	items = append(items, inner...)
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
		return title, note, e.keyRows(entryPath(s), sensorKeys)
	case e.thing.Kind == view.Zone:
		return e.thing.Name, words.zone, e.keyRows("zones."+e.thing.Name, zoneKeys)
	case e.thing.Kind == view.Part:
		return e.thing.Name, words.part, e.keyRows("body.parts."+e.thing.Name, partKeys)
	case e.thing.Kind == targetThing:
		return e.thing.Name, words.target, e.keyRows("targets."+e.thing.Name, targetKeys)
	case e.thing.Kind == kindThing:
		return e.thing.Name, words.kindOfModule, e.keyRows("kinds."+e.thing.Name, kindKeys)
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
	sensorKeys  = []string{"name", "kind", "at", "heading", "tilt", "height", "listen-to", "pair", "count", "pair-axis", "recessed"}
	zoneKeys    = []string{"name", "target", "band", "swept", "sector", "polygon", "seen-by", "share", "largest-gap", "only-in"}
	partKeys    = []string{"name", "circle", "centre", "polygon", "height", "only-in"}
	targetKeys  = []string{"shape", "diameter", "height", "surface", "turned"}
	kindKeys    = []string{"like", "title", "range", "blind", "beam", "carrier", "timing", "supply", "pin-level", "interface", "cans", "spacing", "water"}
	machineKeys = []struct{ heading, path string }{
		{"", "name"}, {words.bodyHeading, "body.outline"}, {words.motionHeading, "motion"}, {words.wishesHeading, "wishes"},
		{words.controllerHeading, "controller"}, {words.airHeading, "air"}, {words.aroundHeading, "around"}, {words.toleranceHeading, "tolerance"},
	}
)

// machineRows are the values of the machine as a whole, by heading.
func (e *Editor) machineRows() (rows []row) {
	for _, k := range machineKeys {
		if k.heading != "" {
			rows = append(rows, row{label: k.heading})
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
		case r.Form == layout.Map && slices.Contains([]string{"beam", "timing", "supply"}, k): // figures of a card that are left open can be typed
			var inner []string
			for _, b := range below(r.Path) {
				inner = append(inner, b.Key())
			}
			rows = append(rows, e.keyRows(path+"."+k, inner)...)
		case r.Form == layout.Map, r.Form == layout.Named, r.Form == layout.List && !written:
		case !written && isAlternative(path, k):
		default:
			rows = append(rows, row{path: path + "." + k, label: words.key(k)})
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
	case len(steps) > 2 && steps[0] == "body" && steps[1] == "parts":
		steps = append([]string{"body", "parts[]"}, steps[3:]...)
	}
	return strings.Join(steps, ".")
}

var table = layout.Table()

func ruleOf(path string) (layout.Rule, bool) {
	want := pattern(path)
	for _, r := range table {
		if r.Path == want {
			return r, true
		}
	}
	return layout.Rule{}, false
}

// below are the rules of the keys of a map.
func below(path string) (out []layout.Rule) {
	for _, r := range table {
		rest, ok := strings.CutPrefix(r.Path, path+".")
		if ok && !strings.ContainsAny(rest, ".[*") {
			out = append(out, r)
		}
	}
	return out
}

// rowItem shows one value.
func (e *Editor) rowItem(r row) widget.Item {
	if r.path == "" {
		return widget.Item{ID: "heading:" + r.label, Kind: widget.Label, Label: r.label, Bold: true, Size: 12}
	}
	rule, _ := ruleOf(r.path)
	entry, there := e.doc.Root().Get(r.path)
	value, note := "", r.note
	if there {
		value = written(e.doc, r.path)
		if src := entry.Source(); src != "" {
			note = src
		}
	} else if rule.Default != "" {
		value, note = rule.Default, words.assumed
	}
	it := widget.Item{ID: "set:" + r.path, Kind: widget.Field, Label: r.label, Value: value, Note: note, Hint: rule.Doc, LabelW: labelW, NoteW: noteW, Index: -1}
	if m, ok := e.wrong[r.path]; ok {
		it.Value, it.Wrong = m.text, m.why
	}
	if choices := e.choicesFor(r.path, rule); choices != nil {
		it.Kind = widget.Pick
		for i, c := range choices {
			it.Choices = append(it.Choices, widget.Choice{Label: c, Value: c, Note: e.choiceNote(rule, c)})
			if c == value {
				it.Index = i
			}
		}
	}
	if rule.Form == layout.Flag {
		it = widget.Item{ID: "flag:" + r.path, Kind: widget.Toggle, Label: r.label, Chosen: value == "true", Hint: rule.Doc}
	}
	return it
}

// choicesFor are the words a value may be, nil when it is typed.
func (e *Editor) choicesFor(path string, rule layout.Rule) []string {
	switch {
	case rule.Path == "sensors[].kind":
		return e.kindNames()
	case rule.Path == "zones[].target":
		return e.targetNames()
	case rule.Path == "sensors[].pair":
		return []string{words.no, "mirror"}
	case rule.Form == layout.Choice:
		return rule.Words
	}
	return nil
}

func (e *Editor) choiceNote(rule layout.Rule, c string) string {
	if rule.Path == "sensors[].kind" {
		return e.kindTitle(c)
	}
	return ""
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
	if there && written(e.doc, path) == text || !there && (text == rule.Default || text == "" || text == words.no) {
		return
	}
	var edits []layout.Edit
	for _, p := range e.alike(path) {
		switch {
		case rule.Path == "sensors[].name" || rule.Path == "zones[].name" || rule.Path == "body.parts[].name":
			edits = append(edits, layout.Edit{Do: layout.Rename, Path: strings.TrimSuffix(p, ".name"), Text: text})
		case text == "" || text == words.no:
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: p})
		default:
			edits = append(edits, layout.Edit{Do: layout.Set, Path: p, Text: text})
		}
	}
	doc, faults, err := e.doc.Change(edits...)
	switch {
	case err != nil:
		e.wrong[path] = mistake{text, err.Error()}
	case len(newFaults(e.drafted, faults)) > 0:
		f := newFaults(e.drafted, faults)[0]
		e.wrong[path] = mistake{text, join2("; ", f.Wrong, f.Right)}
	default:
		e.log.Do(words.setTo(words.key(rule.Key()), text), string(doc.Bytes()))
		e.adopt(atOnce)
	}
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
	heading := func(id, text string, add string) {
		items = append(items, widget.Item{ID: "heading:" + id, Kind: widget.Label, Label: text, Bold: true, Size: 12})
		if add != "" {
			items = append(items, widget.Item{ID: "do:" + add, Kind: widget.Button, Label: nameOf(add), Mark: widget.Plus})
		}
	}
	heading("sensors", words.sensorsHeading, "tool-mount")
	for _, s := range e.sensors() {
		items = append(items, widget.Item{ID: "pick:sensor:" + s.Name, Kind: widget.Row, Label: s.Name, Note: e.kindOf(s), Mark: widget.Sensor})
	}
	heading("zones", words.zonesHeading, "tool-zone")
	for _, z := range entries(e.doc, "zones") {
		t, _ := z.Get("target")
		items = append(items, widget.Item{ID: "pick:zone:" + z.Key(), Kind: widget.Row, Label: z.Key(), Note: t.Text(), Mark: widget.Zone})
	}
	heading("targets", words.targetsHeading, "add-target")
	for _, t := range entries(e.doc, "targets") {
		s, _ := t.Get("shape")
		items = append(items, widget.Item{ID: "pick:target:" + t.Key(), Kind: widget.Row, Label: t.Key(), Note: s.Text(), Mark: widget.Target})
	}
	heading("kinds", words.kindsHeading, "add-kind")
	for _, k := range entries(e.doc, "kinds") {
		items = append(items, widget.Item{ID: "pick:kind:" + k.Key(), Kind: widget.Row, Label: k.Key(), Mark: widget.Sensor})
	}
	heading("parts", words.partsHeading, "add-part")
	for _, p := range entries(e.doc, "body.parts") {
		items = append(items, widget.Item{ID: "pick:part:" + p.Key(), Kind: widget.Row, Label: p.Key(), Mark: widget.Part})
	}
	return items
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
