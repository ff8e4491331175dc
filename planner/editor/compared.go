package editor

import (
	"slices"

	"echowright/planner"
	"echowright/planner/compare"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// compareDialog sets two kinds of module side by side, in the machine's weather and against its targets.
type compareDialog struct {
	all   []scene.Kind // to choose from
	kinds [2]string
	table compare.Table
	of    [2]string // that the table is made of
	wrong string
}

// mostCompared is against how many targets two kinds are compared, so that the table stays in sight.
const mostCompared = 4

func newCompare(e *Editor) *compareDialog {
	d := &compareDialog{all: e.comparable()}
	d.kinds[0] = e.usualKind()
	if e.thing.Kind == kindThing {
		d.kinds[0] = e.thing.Name
	}
	if len(e.chosen) > 0 {
		d.kinds[0] = e.kindOf(sensorNamed(e.sceneNow(), e.chosen[0]))
	}
	for _, k := range d.all {
		if d.kinds[1] == "" && k.Name != d.kinds[0] {
			d.kinds[1] = k.Name
		}
	}
	return d
}

// comparable are the kinds that the machine uses, its other own ones and those built in.
func (e *Editor) comparable() []scene.Kind {
	all := slices.Clone(e.sceneNow().Kinds)
	add := func(ks []scene.Kind) {
		for _, k := range ks {
			if !slices.ContainsFunc(all, func(o scene.Kind) bool { return o.Name == k.Name }) {
				all = append(all, k)
			}
		}
	}
	for _, own := range entries(e.doc, "kinds") { // one that no sensor has is told of by the scene of one that has it
		name := e.freeName("to-compare")
		text := "{name: " + name + ", kind: " + own.Key() + ", at: {from: front}, height: 200 mm}"
		if doc, _, err := e.doc.Change(layout.Edit{Do: layout.Add, Path: "sensors", Text: text}); err == nil {
			if sc, _, _ := planner.Begin(e.name(), doc.Bytes(), e.cfg.Kinds); sc != nil {
				add(sc.Kinds)
			}
		}
	}
	if e.kindsDoc != nil {
		kinds, _, _ := resolve.Kinds(e.kindsDoc)
		add(kinds)
	}
	return all
}

// make makes the table of the two kinds.
func (d *compareDialog) make(e *Editor) {
	if d.of == d.kinds {
		return
	}
	d.of, d.wrong, d.table = d.kinds, "", compare.Table{}
	var two []scene.Kind
	for _, name := range d.kinds {
		if i := slices.IndexFunc(d.all, func(k scene.Kind) bool { return k.Name == name }); i >= 0 {
			two = append(two, d.all[i])
		}
	}
	sc := e.sceneNow()
	t, err := compare.Side(two, sc.Targets[:min(len(sc.Targets), mostCompared)], sc.Air)
	if err != nil {
		d.wrong = err.Error()
		return
	}
	d.table = t
}

func (d *compareDialog) items(e *Editor) []widget.Item {
	d.make(e)
	dlg := widget.Item{ID: "compare", Kind: widget.Dialog, At: e.dialogBox(700, 520), Label: words.compareTitle, Text: words.compareText, Choices: []widget.Choice{{Label: words.close, Value: "close"}}}
	in := e.board.Inside(dlg)
	const what, between = 150.0, 12.0
	wide := (in.W - what - 2*between - 14) / 2
	column := func(i int) float64 { return in.X + what + between + float64(i)*(wide+between) }
	items := []widget.Item{dlg}
	for i, name := range d.kinds {
		it := widget.Item{ID: compareIDs[i], In: "compare", Kind: widget.Pick, At: canvas.Rect{X: column(i), Y: in.Y, W: wide, H: rowH}, Label: words.compareThis[i], Value: name, Index: -1, LabelW: 30}
		for n, k := range d.all {
			if it.Choices = append(it.Choices, widget.Choice{Label: k.Name, Value: k.Name, Note: e.kindTitle(k.Name)}); k.Name == name {
				it.Index = n
			}
		}
		items = append(items, it)
	}
	y := in.Y + rowH + 6
	if d.wrong != "" {
		return append(items, widget.Item{ID: "compare:wrong", In: "compare", Kind: widget.Label, At: canvas.Rect{X: in.X, Y: y, W: in.W, H: 40}, Label: d.wrong, Ink: draw.Blind})
	}
	scroll := widget.Item{ID: "compare:rows", In: "compare", Kind: widget.Scroll, At: canvas.Rect{X: in.X, Y: y, W: in.W, H: max(0, in.Y+in.H-y)}}
	at := len(items)
	items = append(items, scroll)
	for _, r := range d.table.Rows {
		high, from := 0.0, len(items)
		add := func(it widget.Item, x, w float64) {
			it.In, it.Kind = "compare:rows", widget.Label
			it.At = canvas.Rect{X: x, Y: y, W: w, H: e.board.Height(it, w)}
			high = max(high, it.At.H)
			items = append(items, it)
		}
		add(widget.Item{ID: "compare:" + r.What, Label: r.What, Ink: draw.Quiet}, in.X, what)
		for i, c := range r.Cells {
			add(widget.Item{ID: "compare:" + r.What + ":" + compareIDs[i], Label: c.Is, Hint: c.From, Ink: draw.Text}, column(i), wide)
		}
		for i := from; i < len(items); i++ {
			items[i].At.H = high
		}
		y += high + 6
	}
	items[at].Tall = y - scroll.At.Y
	return items
}

// compareIDs are the fields of the two kinds.
var compareIDs = [2]string{"compare:one", "compare:two"}

func (d *compareDialog) act(e *Editor, a widget.Act) {
	for i, id := range compareIDs {
		if a.ID == id {
			if a.Do == widget.Chosen {
				d.kinds[i] = a.Value
			}
			return
		}
	}
	if a.ID == "compare" {
		e.back()
	}
}
