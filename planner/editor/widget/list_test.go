package widget

import (
	"fmt"
	"testing"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

func menus() []Item {
	return []Item{
		{ID: "file", Kind: Menu, At: at(10, 0, 60, 28), Label: "File", Choices: []Choice{{Label: "Open", Keys: "Ctrl+O", Value: "open"}, {Label: "Save", Disabled: true}, {Label: "Quit", Rule: true}}},
		{ID: "edit", Kind: Menu, At: at(70, 0, 60, 28), Label: "Edit", Choices: []Choice{{Label: "Undo"}, {Label: "Redo"}}},
		field("a", "1", 300),
	}
}

func TestMenuByMouse(t *testing.T) {
	s := newStage(t, menus()...)
	s.do(click(30, 10)...).want("file opened 0")
	if !s.shows("list", "Open") || !s.shows("list", "Ctrl+O") {
		t.Error("the list is not shown")
	}
	s.do(move(100, 10)).want("file closed 0", "edit opened 0") // another one opens by going there
	s.do(move(30, 10)).want("edit closed 0", "file opened 0")
	y := 28.0 + 2 + 4
	s.do(click(40, y+entryHigh*1.5)...).want() // off
	s.do(click(40, y+entryHigh*0.5)...).want("file closed 0", "file chosen 0 open").focus("")
	// Pressed, drawn down and let go.
	s.do(down(30, 10), move(40, y+entryHigh*2.5), up(40, y+entryHigh*2.5)).want("file opened 0", "file closed 0", "file chosen 2 Quit")
	// A press elsewhere only closes.
	s.do(down(30, 10), up(30, 10), down(150, 310), up(150, 310)).want("file opened 0", "file closed 0").focus("file")
	if !s.taken {
		t.Error("the closing press was let through")
	}
}

func TestMenuByKeys(t *testing.T) {
	s := newStage(t, menus()...)
	s.do(keys("F10", "Down", "Down", "Enter")...).want("file opened 0", "file closed 0", "file chosen 2 Quit")
	s.do(keys("F10", "Right", "Enter", "Enter")...).want("edit opened 0", "edit closed 0", "edit chosen 0 Undo")
	s.do(keys("F10", "Enter", "Right", "Left", "Escape")...).focus("file")
	s.want("file opened 0", "file closed 0", "edit opened 0", "edit closed 0", "file opened 0", "file closed 0")
	s.do(keys("Up", "Tab")...).focus("a")
	s.acts = nil
	// An open list keeps every key; a closed one does not.
	s.do(keys("F10", "Down", "Ctrl+S")...)
	if !s.taken {
		t.Error("a key went past the open list")
	}
}

func pick() Item {
	it := Item{ID: "k", Kind: Pick, At: at(100, 100, 200, 26), Index: 1}
	for _, l := range []string{"open pair", "sealed, serial", "sealed, bus", "Überkopf", "other"} {
		it.Choices = append(it.Choices, Choice{Label: l})
	}
	return it
}

func TestPick(t *testing.T) {
	s := newStage(t, pick())
	s.do(keys("Tab", "Space")...).do(typing(" ")...).do(keys("Down", "Enter")...).want("k opened 0", "k closed 0", "k chosen 2 sealed, bus").focus("k")
	s.do(keys("Down")...).do(typing("o")...).do(keys("Enter")...).want("k opened 0", "k closed 0", "k chosen 4 other")
	s.do(keys("Down")...).do(typing("o")...).do(typing("o")...).do(keys("Enter")...).want("k opened 0", "k closed 0", "k chosen 0 open pair")
	s.do(keys("Down")...).do(typing("sealed, b")...).do(keys("Enter")...).want("k opened 0", "k closed 0", "k chosen 2 sealed, bus")
	s.do(keys("Down")...).do(typing("ü")...).do(keys("Enter")...).want("k opened 0", "k closed 0", "k chosen 3 Überkopf")
	s.do(keys("Down", "Home", "Up", "Enter")...).want("k opened 0", "k closed 0", "k chosen 0 open pair")
	s.do(click(200, 110)...).want("k opened 0")
	s.do(click(200, 126+2+4+entryHigh*3.5)...).want("k closed 0", "k chosen 3 Überkopf")
	if len(s.acts) > 0 {
		t.Error(s.acts)
	}
}

// A list at the foot of the window opens upwards, and one longer than the window scrolls.
func TestListStaysInside(t *testing.T) {
	for _, y := range []float64{0, 300, 670} {
		it := pick()
		it.At.Y = y
		for i := range 100 {
			it.Choices = append(it.Choices, Choice{Label: fmt.Sprint("kind ", i)})
		}
		s := newStage(t, it)
		s.do(keys("Tab", "Down", "End")...)
		l := s.b.rows(s.b.see(s.items))
		if l.at.Y < 0 || l.at.Y+l.at.H > 700 || l.at.X < 0 || l.at.X+l.at.W > 1000 || l.at.Meets(it.At) {
			t.Errorf("field at %v, list %v", y, l.at)
		}
		if !s.shows("list", "kind 99") || s.shows("list", "open pair") {
			t.Errorf("field at %v: the last one is not in sight", y)
		}
		s.do(wheel(l.at.X+10, l.at.Y+10, -1e6))
		if !s.shows("list", "open pair") {
			t.Error("the wheel does not scroll the list")
		}
	}
}

func TestResizeCloses(t *testing.T) {
	s := newStage(t, menus()...)
	s.do(click(30, 10)...).do(input.Event{Kind: input.Resize, Size: canvas.Point{640, 400}})
	if s.b.Open() != "" || s.b.Size != (canvas.Point{640, 400}) || !s.b.Changed() {
		t.Error("the list stays open, or the size is not taken")
	}
}
