package editor

import (
	"strconv"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/resolve"
)

// dialog is a question that must be answered before anything else.
type dialog interface {
	items(e *Editor) []widget.Item
	act(e *Editor, a widget.Act)
}

// dialogBox is the dialog's rectangle, in the middle of the window.
func (e *Editor) dialogBox(w, h float64) canvas.Rect {
	w, h = min(w, e.size[0]-16), min(h, e.size[1]-16)
	return canvas.Rect{X: (e.size[0] - w) / 2, Y: (e.size[1] - h) / 2, W: w, H: h}
}

// startDialog asks what moves, and makes body, zones and targets from that.
type startDialog struct {
	values map[string]string
	back   bool // it is watched going backward
	wrong  map[string]string
	whole  string // why nothing can be made of it
}

var startFields = []struct {
	key  string
	kind quantity.Kind
}{{"length", quantity.Length}, {"width", quantity.Length}, {"corner", quantity.Length}, {"speed", quantity.Speed}}

func newStart() *startDialog {
	return &startDialog{values: map[string]string{"length": "0.6 m", "width": "0.4 m", "corner": "50 mm", "speed": "0.5 m/s"}, wrong: map[string]string{}}
}

func (d *startDialog) items(e *Editor) (items []widget.Item) {
	box := e.dialogBox(500, 404)
	dlg := widget.Item{ID: "start", Kind: widget.Dialog, At: box, Label: words.startTitle, Text: words.startText, Choices: []widget.Choice{
		{Label: words.startMake, Value: "make"}, {Label: words.startSample, Value: "sample"}, {Label: words.startOpen, Value: "open"},
	}}
	if hasRecents(e) {
		dlg.Choices = append(dlg.Choices, widget.Choice{Label: words.startRecent, Value: "recent"})
	}
	items = append(items, dlg)
	in := e.board.Inside(dlg)
	y := in.Y
	for _, f := range startFields {
		it := widget.Item{ID: "start:" + f.key, In: "start", Kind: widget.Field, Label: words.key(f.key), Value: d.values[f.key], Wrong: d.wrong[f.key], Hint: words.startHint(f.key, d.back), LabelW: labelW, Note: words.startNote(f.key, d.back), NoteW: 150}
		h := max(rowH+2, e.board.Height(it, in.W))
		it.At = canvas.Rect{X: in.X, Y: y, W: in.W, H: h}
		y += h
		items = append(items, it)
	}
	way := widget.Item{ID: "start:way", In: "start", Kind: widget.Pick, At: canvas.Rect{X: in.X, Y: y, W: in.W, H: rowH + 2}, Label: words.startWay, Hint: words.startWayHint, LabelW: labelW, NoteW: 150}
	for _, w := range []string{words.forward, words.backward} {
		way.Choices = append(way.Choices, widget.Choice{Label: w, Value: w})
	}
	if d.back {
		way.Index = 1
	}
	items = append(items, way)
	y += rowH + 2
	if d.whole != "" {
		items = append(items, widget.Item{ID: "start-whole", In: "start", Kind: widget.Label, At: canvas.Rect{X: in.X, Y: y + 4, W: in.W, H: 34}, Label: d.whole, Ink: "blind"})
		y += 38
	}
	return e.withRoom(items, y)
}

// withRoom makes a dialog, the first of the items, so tall that what stands in it down to a bottom has room.
func (e *Editor) withRoom(items []widget.Item, bottom float64) []widget.Item {
	dlg := &items[0]
	was := e.board.Inside(*dlg)
	more := bottom - was.Y - was.H
	if more <= 0 {
		return items
	}
	dlg.At = e.dialogBox(dlg.At.W, dlg.At.H+more)
	by := e.board.Inside(*dlg).Y - was.Y
	for i := range items[1:] {
		items[1+i].At.Y += by
	}
	return items
}

func (d *startDialog) act(e *Editor, a widget.Act) {
	switch {
	case a.ID == "start:way":
		if a.Do == widget.Chosen {
			d.back = a.Index == 1
		}
	case strings.HasPrefix(a.ID, "start:") && (a.Do == widget.Committed || a.Do == widget.Edited || a.Do == widget.Cancelled):
		for _, f := range startFields {
			if a.ID == "start:"+f.key {
				d.values[f.key] = a.Value
				delete(d.wrong, f.key)
				if a.Do == widget.Committed {
					d.read(f.key, f.kind)
				}
			}
		}
	case a.Value == "make":
		d.make(e)
	case a.Value == "sample":
		e.dialog = &sampleDialog{}
	case a.Value == "open":
		e.wish(Wish{Kind: Open})
	case a.Value == "recent":
		e.dialog = recentDialog{}
	case a.ID == "start" && a.Do == widget.Cancelled && e.log.Now() != "":
		e.dialog = nil
	}
}

// read is the value of a field; one that cannot be is marked.
func (d *startDialog) read(key string, kind quantity.Kind) float64 {
	delete(d.wrong, key)
	v, err := quantity.Parse(kind, d.values[key])
	switch {
	case err != nil:
		d.wrong[key] = err.Error()
	case key == "corner" && v < 0:
		d.wrong[key] = words.notBelowNothing
	case key != "corner" && v <= 0:
		d.wrong[key] = words.moreThanNothing
	}
	return v
}

func (d *startDialog) make(e *Editor) {
	var o resolve.NewOptions
	d.whole = ""
	for i, into := range []*float64{&o.LengthM, &o.WidthM, &o.CornerM, &o.SpeedMS} {
		*into = d.read(startFields[i].key, startFields[i].kind)
	}
	if len(d.wrong) > 0 {
		return
	}
	data, err := resolve.NewLayout(o)
	if err == nil {
		data, err = begun(data, d.back)
	}
	if err != nil {
		d.whole = err.Error()
		return
	}
	e.start("", data)
	e.dialog = nil
	e.adopt(atOnce)
}

// begun takes the sensors out of a new layout, since where they stand is for the builder to say, and turns its way round
// for a machine that is watched going backward.
func begun(data []byte, back bool) ([]byte, error) {
	doc, faults := layout.Draft("", data)
	if doc == nil {
		return nil, faults
	}
	var edits []layout.Edit
	for _, s := range entries(doc, "sensors") {
		edits = append(edits, layout.Edit{Do: layout.Remove, Path: s.Path()})
	}
	if back {
		edits = append(edits, layout.Edit{Do: layout.Set, Path: "motion.way", Text: words.backward})
		for _, z := range entries(doc, "zones") {
			if z.Has("swept") {
				edits = append(edits, layout.Edit{Do: layout.Set, Path: z.Path() + ".swept.way", Text: words.backward},
					layout.Edit{Do: layout.Rename, Path: z.Path(), Text: words.wayBehind})
			}
		}
	}
	doc, _, err := doc.Change(edits...)
	if err != nil {
		return nil, err
	}
	return doc.Bytes(), nil
}

// sampleDialog lets one of the samples be chosen.
type sampleDialog struct{}

func (sampleDialog) items(e *Editor) (items []widget.Item) {
	box := e.dialogBox(420, 120+32*float64(len(e.cfg.Samples)))
	dlg := widget.Item{ID: "samples", Kind: widget.Dialog, At: box, Label: words.samplesTitle, Text: words.samplesText, Choices: []widget.Choice{{Label: words.cancel, Value: "cancel"}}}
	items = append(items, dlg)
	in := e.board.Inside(dlg)
	for i, s := range e.cfg.Samples {
		items = append(items, widget.Item{ID: "sample:" + s.Name, In: "samples", Kind: widget.Button, Label: s.Name, At: canvas.Rect{X: in.X, Y: in.Y + 32*float64(i), W: in.W, H: 28}})
	}
	return items
}

func (sampleDialog) act(e *Editor, a widget.Act) {
	for _, s := range e.cfg.Samples {
		if a.ID == "sample:"+s.Name && a.Do == widget.Pressed {
			e.leave(func() { e.start("", s.Data); e.dialog = nil; e.adopt(atOnce); e.fitted = false })
			return
		}
	}
	e.back()
}

// askDialog asks a question with some answers.
type askDialog struct {
	title, text string
	answers     []answer
	under       dialog // to go back to
	unasked     bool   // it opened by itself: an answer must be chosen, and Escape is the one at safe
	safe        int
}

type answer struct {
	label string
	do    func()
}

func (d *askDialog) items(e *Editor) []widget.Item {
	it := widget.Item{ID: "ask", Kind: widget.Dialog, Label: d.title, Text: d.text, Waits: d.unasked}
	for i, a := range d.answers {
		it.Choices = append(it.Choices, widget.Choice{Label: a.label, Value: strconv.Itoa(i)})
	}
	it.At = e.dialogBox(440, 0)
	it.At = e.dialogBox(440, max(130, e.board.Height(it, it.At.W)))
	return []widget.Item{it}
}

func (d *askDialog) act(e *Editor, a widget.Act) {
	if a.Do != widget.Chosen && a.Do != widget.Cancelled {
		return
	}
	if e.back(); d.under != nil {
		e.dialog = d.under
	}
	if a.Do == widget.Cancelled && d.unasked {
		a.Do, a.Value = widget.Chosen, strconv.Itoa(d.safe)
	}
	if i, err := strconv.Atoi(a.Value); err == nil && a.Do == widget.Chosen && i < len(d.answers) {
		e.dialog = d.under
		d.answers[i].do()
	}
}

// findDialog finds actions by typing: the help page.
type findDialog struct{}

func (findDialog) items(e *Editor) []widget.Item {
	return []widget.Item{{ID: "find", Kind: widget.Search, At: e.dialogBox(620, 460), Label: words.findTitle, Text: words.findText, Choices: e.searchItems(), Wrong: words.findNone, Index: -1}}
}

func (findDialog) act(e *Editor, a widget.Act) {
	if a.Do == widget.Edited {
		return
	}
	e.back()
	if a.Do == widget.Chosen {
		e.run(a.Value)
	}
}

// back leaves a dialog; without a document the editor asks again what moves.
func (e *Editor) back() {
	e.dialog = nil
	if e.log.Now() == "" {
		e.dialog = newStart()
	}
}

// leave does something that puts another document in the place of this one, asking first when work would be lost.
func (e *Editor) leave(do func()) {
	if !e.log.Dirty() {
		do()
		return
	}
	e.dialog = &askDialog{title: words.leaveTitle, text: words.leaveText(shownName(e.name())), answers: []answer{
		{words.leaveSave, func() { e.afterSave = do; e.save() }}, {words.leaveKeep, func() {}}, {words.leaveLose, do},
	}}
}
