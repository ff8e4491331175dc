package editor

import (
	"echowright/planner"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
	"echowright/planner/quantity"
)

// lookAtBeams draws other beams than those that decide.
func (e *Editor) lookAtBeams(b planner.Beams) {
	e.beams, e.looks.Lobes = b, true
	if e.doc != nil {
		e.ask([]byte(e.log.Now()), e.dragging())
	}
}

// heightDialog asks at which height beams are looked at.
type heightDialog struct{ value, wrong string }

func newHeight(e *Editor) *heightDialog {
	d := &heightDialog{}
	if e.beams.AtHeight {
		d.value = lengthText(e.beams.HeightM)
	}
	return d
}

func (d *heightDialog) items(e *Editor) []widget.Item {
	dlg := widget.Item{ID: "height", Kind: widget.Dialog, At: e.dialogBox(440, 206), Label: words.actBeamsHeight, Text: words.beamsHeightText, Choices: []widget.Choice{{Label: words.beamsHeightDo, Value: "do"}, {Label: words.cancel, Value: "cancel"}}}
	in := e.board.Inside(dlg)
	return []widget.Item{dlg, {ID: "height:at", In: "height", Kind: widget.Field, At: canvas.Rect{X: in.X, Y: in.Y, W: in.W, H: 52}, Label: words.key("height"), Value: d.value, Wrong: d.wrong, LabelW: labelW}}
}

func (d *heightDialog) act(e *Editor, a widget.Act) {
	switch {
	case a.ID == "height:at":
		d.value = a.Value
		if a.Do != widget.Committed {
			return
		}
	case a.Value != "do":
		e.back()
		return
	}
	b := e.beams
	b.AtHeight, b.HeightM = false, 0
	if d.value != "" {
		m, err := quantity.Parse(quantity.Length, d.value)
		switch {
		case err != nil:
			d.wrong = err.Error()
			return
		case m < 0:
			d.wrong = words.notBelowGround
			return
		}
		b.AtHeight, b.HeightM = true, m
	}
	e.back()
	e.lookAtBeams(b)
}
