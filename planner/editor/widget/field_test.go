package widget

import (
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
)

func TestTypeAndCommit(t *testing.T) {
	s := newStage(t, field("a", "412 mm", 0), field("b", "60 ms", 40))
	s.do(keys("Tab")...).focus("a").selected("412 mm")
	s.do(typing("350 µm")...).want("a edited 0 3", "a edited 0 35", "a edited 0 350", "a edited 0 350", "a edited 0 350 µ", "a edited 0 350 µm")
	s.do(keys("Enter")...).want("a committed 0 350 µm").focus("a").selected("350 µm")
	s.do(keys("Enter")...).want()
	s.do(typing("1")...).do(keys("Tab")...).want("a edited 0 1", "a committed 0 1").focus("b")
	// A text typed and taken back is no change.
	s.do(typing("x")...).do(keys("Ctrl+Z", "Shift+Tab")...).want("b edited 0 x", "b edited 0 60 ms").focus("a")
}

// What is being typed goes in before the editor acts on a shortcut or on a press elsewhere.
func TestCommitBefore(t *testing.T) {
	s := newStage(t, field("a", "1 m", 0), Item{ID: "go", Kind: Button, At: at(0, 100, 80, 26), Label: "Go"})
	s.do(click(150, 10)...).do(keys("Ctrl+A")...).do(typing("2")...).want("a edited 0 2")
	s.do(key("Ctrl+S")).want("a committed 0 2")
	if s.taken {
		t.Error("the field kept Ctrl+S to itself")
	}
	s.do(typing("3")...).want("a edited 0 23")
	s.do(click(20, 110)...).want("a committed 0 23", "go pressed 0")
	s.do(click(150, 10)...).do(typing("4")...).do(down(700, 500)).want("a edited 0 234", "a committed 0 234").focus("")
	if s.taken {
		t.Error("a press on nothing was taken")
	}
}

func TestEscapeRestores(t *testing.T) {
	s := newStage(t, field("a", "1 m", 0))
	s.do(keys("Tab")...).do(typing("77")...).do(keys("Escape")...).text("1 m").focus("a").
		want("a edited 0 7", "a edited 0 77", "a cancelled 0 1 m")
	s.do(keys("Escape")...).focus("").want()
	if s.do(keys("Escape")...); s.taken {
		t.Error("Escape with nothing to leave was taken")
	}
}

func TestCaretKeys(t *testing.T) {
	s := newStage(t, field("a", "one two-three 4.5 mm", 0))
	s.do(keys("Tab", "Home", "Shift+Ctrl+Right")...).selected("one")
	s.do(keys("Shift+Ctrl+Right")...).selected("one two")
	s.do(keys("Right")...).selected("")
	s.do(keys("End", "Shift+Ctrl+Left")...).selected("mm")
	s.do(keys("Shift+Ctrl+Left")...).selected("4.5 mm")
	s.do(keys("Left", "Shift+Left")...).selected(" ")
	s.do(keys("Shift+Home")...).selected("one two-three ")
	s.do(keys("Ctrl+A")...).selected("one two-three 4.5 mm")
	s.do(keys("Home", "Delete", "Ctrl+Delete")...).text(" two-three 4.5 mm")
	s.do(keys("End", "Backspace", "Ctrl+Backspace")...).text(" two-three 4.5 ")
	s.do(keys("Ctrl+Z", "Ctrl+Z", "Ctrl+Z", "Ctrl+Z")...).text("one two-three 4.5 mm")
	s.do(keys("Ctrl+Y", "Ctrl+Shift+Z")...).text(" two-three 4.5 mm")
}

// Letters in one go are one step back; what the field cannot take back is left to the editor.
func TestUndo(t *testing.T) {
	s := newStage(t, field("a", "1", 0))
	s.do(keys("Tab", "End")...).do(typing("234")...).do(keys("Left")...).do(typing("x")...).text("123x4")
	s.do(keys("Ctrl+Z")...).text("1234")
	s.do(keys("Ctrl+Z")...).text("1")
	if s.do(keys("Ctrl+Z")...); s.taken {
		t.Error("an empty undo was taken")
	}
	s.do(keys("Ctrl+Y")...).text("1234")
	s.do(keys("Enter")...)
	if s.do(keys("Ctrl+Z")...); s.taken {
		t.Error("undo after the value went in was taken")
	}
}

func TestClipboard(t *testing.T) {
	s := newStage(t, field("a", "54.0 deg", 0), field("b", "", 40))
	s.do(keys("Tab", "Ctrl+C")...).want("a copy 0 54.0 deg")
	s.do(keys("Tab", "Ctrl+V")...).want("b paste 0", "b edited 0 54.0 deg").text("54.0 deg")
	s.do(keys("Ctrl+A", "Ctrl+X")...).text("").want("b copy 0 54.0 deg", "b edited 0")
	s.clip = "two\nlines\tand\x00 more\xff"
	s.do(keys("Ctrl+V")...).text("two lines and more\uFFFD")
	s.acts = nil
	s.do(keys("Right", "Ctrl+C")...).want() // nothing selected, nothing copied
	s.clip = strings.Repeat("ü", mostTyped)
	if s.do(keys("Ctrl+A", "Ctrl+V")...); len(s.b.line.text) > mostTyped {
		t.Errorf("%d bytes in one line", len(s.b.line.text))
	}
}

func TestMouseInText(t *testing.T) {
	s := newStage(t, field("a", "left middle right", 0))
	r := s.b.Ruler
	x := func(head string) float64 { return 100 + gap + r.Width(head, worth, false) }
	s.do(move(x("left mid"), 13), down(x("left mid"), 13))
	if s.b.line.caret != len("left mid") || !s.taken {
		t.Errorf("caret at %d, wanted %d", s.b.line.caret, len("left mid"))
	}
	s.do(move(x("left middle r"), 13)).selected("dle r")
	s.do(move(x("le")+1, 200)).selected("ft mid")
	s.do(up(0, 0), move(0, 0)).selected("ft mid")
	two := down(x("left m"), 13)
	two.Clicks = 2
	s.do(two).selected("middle")
	two.Clicks = 3
	s.do(two).selected("left middle right")
	sh := down(x("left"), 13)
	s.do(down(x(""), 13), up(x(""), 13))
	sh.Mods.Shift = true
	s.do(sh).selected("left")
	if c, ok := s.b.Cursor(s.items); c != canvas.Beam || !ok {
		t.Error("no beam over text")
	}
}

// A text longer than its box moves so that the caret is seen.
func TestLongTextScrolls(t *testing.T) {
	long := strings.Repeat("haunch-left and ", 30) + "the end"
	s := newStage(t, field("a", long, 0))
	s.do(keys("Tab", "End")...)
	if !s.shows("board", "the end") {
		t.Error("the end is not shown")
	}
	s.do(keys("Home")...)
	if s.shows("board", "the end") || !s.shows("board", "haunch") {
		t.Error("the beginning is not shown")
	}
	// Held at the right edge, the pointer draws the text along.
	s.do(down(110, 13))
	for range 80 {
		s.do(move(600, 13))
	}
	if s.b.line.from == 0 {
		t.Error("selecting past the edge shows nothing more")
	}
}

// A value the editor refuses stays as typed, with what is wrong beneath.
func TestWrongStays(t *testing.T) {
	s := newStage(t, field("a", "1 m", 0))
	it := s.item("a")
	s.do(keys("Tab")...).do(typing("1 parsec")...).do(keys("Enter")...)
	it.Wrong = "not a length here; right would be 1 m"
	it.At.H = s.b.Height(*it, it.At.W)
	s.do(tick(0)).text("1 parsec")
	if it.At.H <= lineHigh || !s.shows("board", "not a length") || !s.shows("board", "1 parsec") {
		t.Error("what is wrong is not shown with the text")
	}
	s.do(keys("Tab", "Escape")...)
	if !s.shows("board", "1 parsec") {
		t.Error("the text went with the focus")
	}
	// Without room beneath, it shows over the rest while the field is at hand.
	it.At.H = lineHigh
	s.do(keys("Tab")...)
	if !s.shows("tip", "not a length") {
		t.Error("what is wrong is not shown where there is no room")
	}
}

// A field that goes while text is being typed hands it over.
func TestFieldThatGoes(t *testing.T) {
	s := newStage(t, field("a", "1 m", 0), field("b", "2 m", 40))
	s.do(keys("Tab")...).do(typing("9")...)
	s.items = s.items[1:]
	s.do(tick(1)).want("a edited 0 9", "a committed 0 9").focus("")
}

// The letter of a shortcut that gave a field the focus is not typed into it.
func TestShortcutLetter(t *testing.T) {
	s := newStage(t, field("a", "", 0))
	s.do(keys("A")...)
	if s.taken {
		t.Error("a letter with no field was taken")
	}
	s.b.SetFocus("a", s.items)
	s.do(typing("a")...).text("")
	s.do(keys("B")...).do(typing("b")...).text("b")
}

// While nothing is typed, the field follows its value.
func TestFieldFollows(t *testing.T) {
	s := newStage(t, field("a", "1.000 m", 0))
	s.do(keys("Tab")...)
	s.item("a").Value = "1.25 m"
	s.do(tick(1)).text("1.25 m").selected("1.25 m")
	s.do(keys("End")...).do(typing("m")...)
	s.item("a").Value = "1.30 m"
	s.do(tick(2)).text("1.25 mm")
}

func TestCompose(t *testing.T) {
	s := newStage(t, field("a", "x", 0))
	s.do(keys("Tab", "End")...)
	s.b.Compose("¨")
	if !s.shows("board", "x¨") {
		t.Error("what is being composed is not shown")
	}
	s.do(typing("ü")...).text("xü")
	if s.shows("board", "¨") {
		t.Error("what was composed still shows")
	}
}

func TestCaretBlinks(t *testing.T) {
	s := newStage(t, field("a", "1", 0))
	s.do(keys("Tab", "End")...)
	s.b.Layers(s.items)
	on := 0
	for i := range 40 {
		s.do(tick(time.Duration(i) * 50 * time.Millisecond))
		if s.taken {
			on++
		}
	}
	// Two seconds hold three turns of 530 ms, and the first look.
	if on != 4 || !s.b.Busy() {
		t.Errorf("%d turns", on)
	}
	s.do(tick(20 * time.Second))
	if s.b.Busy() || !s.b.caretShown() {
		t.Error("the caret blinks for ever")
	}
}
