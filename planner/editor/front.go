package editor

import (
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// frontDialog shows range against cycle as a picture.
type frontDialog struct{ of *plan.Ways }

func (d *frontDialog) dialogItem(e *Editor) widget.Item {
	return widget.Item{ID: "front", Kind: widget.Dialog, At: e.dialogBox(780, 520), Label: words.frontTitle, Text: words.frontText, Choices: []widget.Choice{{Label: words.close, Value: "close"}}}
}

func (d *frontDialog) items(e *Editor) []widget.Item { return []widget.Item{d.dialogItem(e)} }

func (d *frontDialog) act(e *Editor, a widget.Act) { e.back() }

// picture is what lies on the dialog.
func (d *frontDialog) picture(e *Editor) canvas.Layer {
	in := e.board.Inside(d.dialogItem(e))
	l := canvas.Layer{Name: "front", Clip: in}
	if in.W < leastRoom || in.H < leastRoom {
		return l
	}
	pic := draw.RangeAgainstCycle(d.of, in.W, in.H)
	at := func(q draw.Point) draw.Point {
		x, y := pic.Px(q)
		return draw.Point{in.X + x, in.Y + y}
	}
	for _, from := range pic.Layers {
		for _, s := range from.Shapes {
			rings := make([][]draw.Point, len(s.Rings))
			for i, r := range s.Rings {
				for _, q := range r {
					rings[i] = append(rings[i], at(q))
				}
			}
			q := at(s.At)
			s.Rings, s.At, s.Shift = rings, draw.Point{q[0] + s.Shift[0], q[1] - s.Shift[1]}, draw.Point{}
			l.Shapes = append(l.Shapes, s)
		}
	}
	return l
}
