package editor_test

import (
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/live"
)

// counted counts questions.
type counted struct {
	atOnce
	asked int
}

func (c *counted) Ask(q live.Question) {
	c.asked++
	c.atOnce.Ask(q)
}

// A hand that trembles about one step asks nothing anew, the drag is one change, and one that is undone while the hand still
// holds is made again by its next move.
func TestStepsOfADrag(t *testing.T) {
	a := &counted{}
	d := deskWith(t, a)
	d.Load("shelf-cart.yaml", sample(t, "shelf-cart"))
	d.Frame()
	before := d.Text()
	at, ok := d.Sensor("side.left")
	if !ok {
		t.Fatal("no such sensor")
	}
	from := d.Where(at)
	to := canvas.Point{from[0] + 30, from[1]}
	d.press(from)
	d.move(to)
	moved, asked := d.Text(), a.asked
	if moved == before {
		t.Fatal("nothing moved")
	}
	for k := range 6 {
		d.move(canvas.Point{to[0] + float64(k%2)/100, to[1]})
	}
	if a.asked != asked || d.Text() != moved {
		t.Errorf("%d questions for a hand that stays", a.asked-asked)
	}
	d.key("Ctrl+Z")
	if d.Text() == moved {
		t.Fatal("no undo while a hand holds")
	}
	d.move(to)
	if d.Text() != moved {
		t.Error("a move after an undo changes nothing")
	}
	d.lift()
	if d.Text() != moved {
		t.Error("letting go changed the text")
	}
	d.key("Ctrl+Z")
	if d.Text() != before {
		t.Error("the drag is not one change")
	}
}
