package editor

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
	"echowright/planner/quantity"
)

// cardDialog describes a kind of module by what is printed on its card. What is not known is left open: it is then that of
// the kind it is most like, and counts as an estimate.
type cardDialog struct {
	values, wrong map[string]string
	whole         string
}

// cardFields are the figures asked for, and where they go in a kind; $ stands for what is typed.
var cardFields = []struct {
	key  string
	kind quantity.Kind
	path string // within the kind
}{
	{"range", quantity.Length, "range: {value: $, against: @, ended-by: unknown, source: datasheet}"},
	{"blind", quantity.Length, "blind: {value: $, source: datasheet}"},
	{"beam", quantity.Angle, "beam: {horizontal: {value: $, source: datasheet}}"},
	{"carrier", quantity.Frequency, "carrier: {value: $, source: datasheet}"},
	{"busy", quantity.Time, "timing: {busy-without-echo: {value: $, source: datasheet}}"},
	{"peak", quantity.Current, "supply: {peak: {value: $, source: datasheet}}"},
}

func newCard(e *Editor) *cardDialog {
	return &cardDialog{values: map[string]string{"name": e.freeName("my-module"), "like": e.usualKind(), "against": "wall"}, wrong: map[string]string{}}
}

func (d *cardDialog) items(e *Editor) (items []widget.Item) {
	dlg := widget.Item{ID: "card", Kind: widget.Dialog, At: e.dialogBox(480, 470), Label: words.cardTitle, Text: words.cardText, Choices: []widget.Choice{{Label: words.cardDo, Value: "do"}, {Label: words.cancel, Value: "cancel"}}}
	in := e.board.Inside(dlg)
	items, y := append(items, dlg), in.Y
	add := func(it widget.Item) {
		it.In, it.LabelW, it.NoteW = "card", 130, 96
		h := max(rowH, e.board.Height(it, in.W))
		it.At = canvas.Rect{X: in.X, Y: y, W: in.W, H: h}
		y += h
		items = append(items, it)
	}
	pick := func(key string, names []string) {
		it := widget.Item{ID: "card:" + key, Kind: widget.Pick, Label: words.card(key), Value: d.values[key], Index: slices.Index(names, d.values[key]), Hint: words.cardHint(key)}
		if key == "like" {
			it.Choices, names = e.kindChoices(names), nil
		}
		for _, n := range names {
			it.Choices = append(it.Choices, widget.Choice{Label: n, Value: n})
		}
		add(it)
	}
	field := func(key, note string) {
		add(widget.Item{ID: "card:" + key, Kind: widget.Field, Label: words.card(key), Value: d.values[key], Wrong: d.wrong[key], Note: note, Hint: words.cardHint(key)})
	}
	field("name", "")
	pick("like", e.kindNames())
	for _, f := range cardFields {
		note := ""
		if d.values[f.key] == "" {
			note = words.leftOpen
		}
		field(f.key, note)
		if f.key == "range" {
			pick("against", e.targetNames())
		}
	}
	if d.whole != "" {
		add(widget.Item{ID: "card-whole", Kind: widget.Label, Label: d.whole, Ink: "blind"})
	}
	return e.withRoom(items, y)
}

func (d *cardDialog) act(e *Editor, a widget.Act) {
	if key, ok := strings.CutPrefix(a.ID, "card:"); ok {
		d.values[key] = strings.TrimSpace(a.Value)
		d.whole = ""
		if delete(d.wrong, key); a.Do == widget.Committed || a.Do == widget.Chosen {
			d.check(e, key)
		}
		return
	}
	if a.Value != "do" || e.doc == nil {
		e.back()
		return
	}
	clear(d.wrong)
	d.check(e, "name")
	for _, f := range cardFields {
		d.check(e, f.key)
	}
	if len(d.wrong) > 0 {
		return
	}
	text := d.text(func(string) bool { return true })
	doc, faults, err := e.doc.Change(layout.Edit{Do: layout.Add, Path: "kinds", Text: text})
	switch {
	case err != nil:
		d.whole = err.Error()
	case len(newFaults(e.drafted, faults)) > 0:
		f := newFaults(e.drafted, faults)[0]
		d.whole = join2("; ", f.Wrong, f.Right)
	default:
		name := d.values["name"]
		e.back()
		e.log.Do(words.add(name), string(doc.Bytes()))
		e.mountWith.kind = name
		e.adopt(atOnce)
		e.chosen, e.thing = nil, view.Thing{Kind: kindThing, Name: name}
	}
}

// check marks a field that the format does not take, and ranges of which the nearest does not lie below the farthest.
func (d *cardDialog) check(e *Editor, key string) {
	value := d.values[key]
	if e.doc == nil { // the file went bad meanwhile
		return
	}
	switch {
	case key == "name" && value == "":
		d.wrong[key] = words.pathEmpty
		return
	case key == "name" && e.doc.Root().Has("kinds."+value):
		d.wrong[key] = words.pathTaken
		return
	case key == "name" || key == "against" || key == "like":
	case value == "":
	default:
		for _, f := range cardFields {
			if f.key != key {
				continue
			}
			if _, err := quantity.Parse(f.kind, value); err != nil {
				d.wrong[key] = err.Error()
				return
			}
		}
	}
	text := d.text(func(k string) bool { return k == key })
	_, faults, err := e.doc.Change(layout.Edit{Do: layout.Add, Path: "kinds", Text: text})
	if fs := newFaults(e.drafted, faults); err == nil && len(fs) > 0 {
		d.wrong[key] = join2("; ", fs[0].Wrong, fs[0].Right)
		return
	} else if err != nil {
		d.wrong[key] = err.Error()
		return
	}
	if key != "range" && key != "blind" && key != "like" {
		return
	}
	far, near := d.metres(e, "range"), d.metres(e, "blind")
	for key, why := range map[string]string{"range": words.cardFar, "blind": words.cardNear} {
		if d.wrong[key] == why {
			delete(d.wrong, key)
		}
	}
	switch bad := far > 0 && near >= far; {
	case bad && (key == "range" || d.values["blind"] == ""):
		d.wrong["range"] = words.cardFar
	case bad:
		d.wrong["blind"] = words.cardNear
	}
}

// metres is a range as typed, else as the kind it is like has it; 0 when neither tells.
func (d *cardDialog) metres(e *Editor, key string) float64 {
	if d.values[key] != "" {
		m, err := quantity.Parse(quantity.Length, d.values[key])
		if err != nil {
			return 0
		}
		return m
	}
	v, _ := figure(e.kindChain(d.values["like"]), key)
	if !v.Exists() {
		return 0
	}
	return v.Num()
}

// text is the kind as a layout says it, with those of its figures that are asked for.
func (d *cardDialog) text(with func(key string) bool) string {
	parts := []string{"like: " + d.values["like"]}
	for _, f := range cardFields {
		if v := d.values[f.key]; v != "" && with(f.key) {
			parts = append(parts, strings.NewReplacer("$", v, "@", d.values["against"]).Replace(f.path))
		}
	}
	name := d.values["name"]
	if !with("name") {
		name = "a-kind-to-try"
	}
	return fmt.Sprintf("%s: {%s}", name, strings.Join(parts, ", "))
}
