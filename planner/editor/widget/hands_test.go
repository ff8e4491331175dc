package widget

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

func at(x, y, w, h float64) canvas.Rect { return canvas.Rect{X: x, Y: y, W: w, H: h} }

// stage is an editor's part: items, and what was done to them. It takes over what a field is given, as an editor would.
type stage struct {
	t     testing.TB
	b     *Board
	items []Item
	acts  []string
	taken bool
	clip  string
}

func newStage(t testing.TB, items ...Item) *stage {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	s := &stage{t: t, b: New(r), items: items}
	s.b.Size = canvas.Point{1000, 700}
	return s
}

func (s *stage) item(id string) *Item {
	for i := range s.items {
		if s.items[i].ID == id {
			return &s.items[i]
		}
	}
	s.t.Fatalf("no item %q", id)
	return nil
}

func (s *stage) take(acts []Act) {
	words := []string{"pressed", "edited", "committed", "cancelled", "chosen", "toggled", "opened", "closed", "copy", "paste"}
	for _, a := range acts {
		s.acts = append(s.acts, strings.TrimSpace(fmt.Sprintf("%s %s %d %s", a.ID, words[a.Do], a.Index, a.Value)))
		switch a.Do {
		case Committed:
			for i := range s.items {
				if s.items[i].ID == a.ID {
					s.items[i].Value = a.Value
				}
			}
		case Copy:
			s.clip = a.Value
		case Paste:
			s.take(s.b.Insert(s.clip, s.items))
		}
	}
}

func (s *stage) do(evs ...input.Event) *stage {
	for _, ev := range evs {
		acts, taken := s.b.Handle(ev, s.items)
		s.taken = taken
		s.take(acts)
	}
	return s
}

// want compares what was done since the last time.
func (s *stage) want(acts ...string) *stage {
	s.t.Helper()
	if !slices.Equal(s.acts, acts) {
		s.t.Errorf("acts\n  %s\nwanted\n  %s", strings.Join(s.acts, "\n  "), strings.Join(acts, "\n  "))
	}
	s.acts = nil
	return s
}

func (s *stage) focus(id string) *stage {
	s.t.Helper()
	if s.b.Focus() != id {
		s.t.Errorf("focus on %q, wanted %q", s.b.Focus(), id)
	}
	return s
}

func (s *stage) text(text string) *stage {
	s.t.Helper()
	if s.b.line.text != text {
		s.t.Errorf("text %q, wanted %q", s.b.line.text, text)
	}
	return s
}

func (s *stage) selected(text string) *stage {
	s.t.Helper()
	if got := s.b.line.selected(); got != text {
		s.t.Errorf("%q is selected, wanted %q", got, text)
	}
	return s
}

// shows reports whether a text is drawn, in a layer whose name begins so.
func (s *stage) shows(layer, text string) bool {
	for _, l := range s.b.Layers(s.items) {
		for _, sh := range l.Shapes {
			if strings.HasPrefix(l.Name, layer) && strings.Contains(sh.Text, text) {
				return true
			}
		}
	}
	return false
}

// key is a key with the keys held before it: "Shift+Ctrl+Left".
func key(name string) input.Event {
	ev := input.Event{Kind: input.Key}
	parts := strings.Split(name, "+")
	for _, m := range parts[:len(parts)-1] {
		ev.Mods.Shift = ev.Mods.Shift || m == "Shift"
		ev.Mods.Ctrl = ev.Mods.Ctrl || m == "Ctrl"
		ev.Mods.Alt = ev.Mods.Alt || m == "Alt"
	}
	ev.Name = parts[len(parts)-1]
	return ev
}

func keys(names ...string) (evs []input.Event) {
	for _, n := range names {
		evs = append(evs, key(n))
	}
	return evs
}

// typing is a text letter by letter, as a keyboard gives it.
func typing(text string) (evs []input.Event) {
	for _, c := range text {
		evs = append(evs, input.Event{Kind: input.Type, Text: string(c)})
	}
	return evs
}

func move(x, y float64) input.Event {
	return input.Event{Kind: input.Move, At: canvas.Point{x, y}}
}
func down(x, y float64) input.Event {
	return input.Event{Kind: input.Press, At: canvas.Point{x, y}, Clicks: 1}
}
func up(x, y float64) input.Event { return input.Event{Kind: input.Lift, At: canvas.Point{x, y}} }
func wheel(x, y, by float64) input.Event {
	return input.Event{Kind: input.Wheel, At: canvas.Point{x, y}, Scroll: canvas.Point{0, by}}
}
func tick(d time.Duration) input.Event { return input.Event{Kind: input.Tick, Now: d} }

func click(x, y float64) []input.Event { return []input.Event{move(x, y), down(x, y), up(x, y)} }

func field(id, value string, y float64) Item {
	return Item{ID: id, Kind: Field, At: at(100, y, 200, 26), Value: value}
}

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

func buttons() []Item {
	return []Item{
		{ID: "b", Kind: Button, At: at(10, 10, 80, 26), Label: "Press"},
		{ID: "i", Kind: Icon, At: at(10, 50, 34, 34), Mark: Sensor, Label: "Mount", Keys: "S"},
		{ID: "t", Kind: Toggle, At: at(10, 100, 120, 26), Label: "Mirrored"},
		{ID: "p", Kind: Plate, At: at(10, 140, 200, 38), Label: "Seen", Value: "98 %", Word: "met", Ink: draw.Met},
		{ID: "c", Kind: Card, At: at(10, 190, 300, 110), Label: "Gap", Text: "between two beams", Choices: []Choice{{Label: "Try", Value: "turn"}}, Ink: draw.Attention},
		{ID: "off", Kind: Button, At: at(10, 320, 80, 26), Label: "Off", Disabled: true},
	}
}

func TestPresses(t *testing.T) {
	s := newStage(t, buttons()...)
	s.do(click(50, 20)...).do(click(20, 60)...).do(click(20, 110)...).do(click(100, 150)...).do(click(250, 200)...).do(click(40, 280)...).do(click(50, 330)...)
	s.want("b pressed 0", "i pressed 0", "t toggled 1", "p pressed 0", "c pressed 0", "c chosen 0 turn")
	// Let go elsewhere, nothing is pressed.
	s.do(down(50, 20), move(300, 20), up(300, 20)).want()
	s.item("t").Chosen = true
	s.do(keys("Tab", "Shift+Tab")...)
	s.acts = nil
	s.b.SetFocus("b", s.items)
	s.do(keys("Space", "Tab", "Enter", "Tab", "Space", "Tab", "Enter", "Tab", "Enter", "Tab", "Space", "Tab", "Space")...)
	s.want("b pressed 0", "i pressed 0", "t toggled 0", "p pressed 0", "c pressed 0", "c chosen 0 turn", "b pressed 0")
}

// What a mouse pressed does not keep the keys from the drawing.
func TestMouseLeavesKeys(t *testing.T) {
	s := newStage(t, buttons()...)
	s.do(click(50, 20)...).want("b pressed 0")
	if s.do(key("Space")); s.taken {
		t.Error("Space after a click was taken")
	}
	s.do(key("Tab")).focus("i")
	if s.do(key("Space")); !s.taken {
		t.Error("Space after Tab was not taken")
	}
}

func TestTabGoesRound(t *testing.T) {
	s := newStage(t, buttons()...)
	var way []string
	for range 7 {
		s.do(key("Tab"))
		way = append(way, s.b.Focus())
	}
	if got := strings.Join(way, " "); got != "b i t p c c b" {
		t.Errorf("Tab goes %s", got)
	}
	way = nil
	for range 7 {
		s.do(key("Shift+Tab"))
		way = append(way, s.b.Focus())
	}
	if got := strings.Join(way, " "); got != "c c p t i b c" {
		t.Errorf("Shift+Tab goes %s", got)
	}
}

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

func rowsIn(scroll bool) []Item {
	in := ""
	var items []Item
	if scroll {
		in = "s"
		items = append(items, Item{ID: "s", Kind: Scroll, At: at(0, 0, 200, 100), Tall: 20 * 26})
	}
	for i := range 20 {
		items = append(items, Item{ID: fmt.Sprint("r", i), In: in, Kind: Row, At: at(0, 26*float64(i), 180, 26), Label: fmt.Sprint("sensor ", i), Value: fmt.Sprint(i), Chosen: i == 3})
	}
	return append(items, Item{ID: "b", Kind: Button, At: at(300, 0, 80, 26), Label: "Go"})
}

func TestRows(t *testing.T) {
	s := newStage(t, rowsIn(true)...)
	s.do(keys("Tab")...).focus("r3")
	s.do(keys("Tab")...).focus("b")
	s.do(keys("Shift+Tab", "Down")...).want("r4 chosen 0 4").focus("r4")
	if s.b.Scrolled("s") == 0 || !s.shows("scroll", "sensor 4") {
		t.Errorf("scrolled by %v: the row with the focus is not in sight", s.b.Scrolled("s"))
	}
	s.do(keys("End")...).want("r19 chosen 0 19")
	if s.b.Scrolled("s") != 20*26-100 {
		t.Errorf("scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(keys("Down", "Enter", "Home", "Up")...).want("r19 opened 0 19", "r0 chosen 0 0")
	// By mouse the arrows go on from there, and a double click opens.
	two := down(50, 40)
	two.Clicks = 2
	s.do(click(50, 40)...).do(two, up(50, 40)).want("r1 chosen 0 1", "r1 opened 0 1")
	s.do(keys("Down")...).want("r2 chosen 0 2")
}

func TestScroll(t *testing.T) {
	s := newStage(t, rowsIn(true)...)
	s.do(wheel(50, 50, 30))
	if s.b.Scrolled("s") != 30 || !s.taken {
		t.Errorf("wheel scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(click(50, 1)...).want("r1 chosen 0 1") // 30 further down
	s.do(wheel(50, 50, 1e9))
	if s.b.Scrolled("s") != 420 {
		t.Errorf("scrolled by %v of 420", s.b.Scrolled("s"))
	}
	s.do(wheel(50, 50, -1e9), wheel(500, 500, 10))
	if s.b.Scrolled("s") != 0 || s.taken {
		t.Error("a wheel elsewhere was taken")
	}
	// A finger drags the content, and what it pressed is not pressed then.
	s.do(down(50, 80), move(50, 60), move(50, 30), up(50, 30)).want()
	if s.b.Scrolled("s") != 30 {
		t.Errorf("dragged by %v", s.b.Scrolled("s"))
	}
	bar := 0
	for _, l := range s.b.Layers(s.items) {
		for _, sh := range l.Shapes {
			if got := bounds(s.b, sh); l.Name == "scroll s" && inside(got, at(188, 0, 12, 100), 0) && got.H >= 20 {
				bar++
			}
		}
	}
	if bar != 1 {
		t.Error("no bar is drawn")
	}
	// The bar: its thumb follows, a press beside it goes there.
	s.do(wheel(50, 50, -1e9), down(194, 5), move(194, 200), up(194, 200))
	if s.b.Scrolled("s") != 420 {
		t.Errorf("thumb scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(down(194, 1), up(194, 1))
	if s.b.Scrolled("s") != 0 {
		t.Errorf("a press on the bar scrolled to %v", s.b.Scrolled("s"))
	}
	// What is scrolled away is not hit.
	s.do(click(50, 150)...).want()
	s.do(keys("Tab", "PageDown")...) // row 3 comes into sight by 4, then a page less a line
	if s.b.Scrolled("s") != 4+74 {
		t.Errorf("PageDown scrolled by %v", s.b.Scrolled("s"))
	}
}

func dialog() []Item {
	return append(menus(),
		Item{ID: "d", Kind: Dialog, At: at(300, 200, 400, 220), Label: "What moves?", Text: "Length and width.", Choices: []Choice{{Label: "Make it", Value: "make"}, {Label: "Not now"}}},
		Item{ID: "len", In: "d", Kind: Field, At: at(316, 280, 368, 26), Label: "Length"})
}

func TestDialog(t *testing.T) {
	s := newStage(t, menus()...)
	under := s.items
	s.do(click(150, 310)...).focus("a")
	s.items = dialog()
	s.do(tick(1)).focus("len")
	s.do(typing("2 m")...).do(keys("Enter", "Enter")...)
	s.want("len edited 0 2", "len edited 0 2", "len edited 0 2 m", "len committed 0 2 m", "d chosen 0 make")
	// Nothing below answers.
	s.do(click(30, 10)...).want().do(key("F10"), key("Ctrl+S"), key("A")).want()
	if !s.taken {
		t.Error("a key went past the dialog")
	}
	s.do(keys("Tab")...).focus("d").do(keys("Tab", "Space")...).want("d chosen 1 Not now").do(keys("Tab")...).focus("len")
	s.do(keys("Escape")...).want("d cancelled 0")
	s.do(click(650, 390)...).want("d chosen 0 make")
	s.items = under
	s.do(tick(2)).focus("a") // back where it was
}

func searchFor(choices ...string) []Item {
	it := Item{ID: "q", Kind: Search, At: at(200, 100, 500, 300), Label: "What can I do here?", Text: "Type", Wrong: "Nothing of that name", Index: -1}
	for _, c := range choices {
		label, keys, _ := strings.Cut(c, "|")
		it.Choices = append(it.Choices, Choice{Label: label, Keys: keys})
	}
	return append(menus(), it)
}

func TestSearch(t *testing.T) {
	s := newStage(t, searchFor("Undo|Ctrl+Z", "Redo|Ctrl+Y", "Mount a sensor|S", "Mirror the sensor|M", "Save|Ctrl+S")...)
	s.do(tick(1)).focus("q")
	s.do(typing("sens mir")...).do(keys("Enter")...)
	if got := s.acts[len(s.acts)-1]; got != "q chosen 3 Mirror the sensor" {
		t.Error(got)
	}
	s.acts = nil
	s.do(keys("Ctrl+A", "Delete", "Down", "Down", "Up", "Enter")...)
	if got := s.acts[len(s.acts)-1]; got != "q chosen 1 Redo" {
		t.Error(got)
	}
	s.acts = nil
	s.do(typing("zzz")...).do(keys("Enter")...).want("q edited 0 z", "q edited 0 zz", "q edited 0 zzz")
	if !s.shows("over", "Nothing of that name") {
		t.Error("an empty result says nothing")
	}
	s.do(keys("Ctrl+A", "Backspace")...)
	s.acts = nil
	s.do(click(300, 100+searchHead+entryHigh*2.5)...).want("q chosen 2 Mount a sensor")
	s.do(keys("Escape")...).want("q cancelled 0")
	s.do(click(5, 600)...).want("q cancelled 0")
}

// Ranks: the beginning of the label, of a word, within it, elsewhere; every word must be found.
func TestMatch(t *testing.T) {
	choices := []Choice{{Label: "Unsave"}, {Label: "Fast save"}, {Label: "Quit", Note: "asks to save"}, {Label: "Save as"}, {Label: "Open"}}
	if got := match("save", choices); !slices.Equal(got, []int{3, 1, 0, 2}) {
		t.Error(got)
	}
	if got := match("save as", choices); !slices.Equal(got, []int{3, 1, 2}) {
		t.Error(got)
	}
	if got := match("", choices); len(got) != 5 {
		t.Error(got)
	}
}

// Tips come after a while of pointing, of the focus resting, or at once when asked for; a press on what is off tells why.
func TestTips(t *testing.T) {
	items := buttons()
	items[0].Hint, items[5].Hint = "Presses it.", "Nothing is chosen."
	items = append(items, Item{ID: "term", Kind: Label, At: at(400, 10, 100, 20), Label: "cycle", Hint: "The time until each has fired."})
	s := newStage(t, items...)
	s.do(move(50, 20), tick(500*time.Millisecond))
	if s.shows("tip", "Presses") || !s.b.Busy() {
		t.Error("the tip is there at once, or nothing waits for it")
	}
	s.do(tick(700 * time.Millisecond))
	if !s.taken || !s.shows("tip", "Presses") {
		t.Error("no tip")
	}
	if s.b.Busy() {
		t.Error("busy with a tip that shows")
	}
	s.do(move(300, 400))
	if s.shows("tip", "") {
		t.Error("the tip stays")
	}
	s.do(keys("Tab")...).do(tick(3 * time.Second))
	if !s.shows("tip", "Presses") {
		t.Error("no tip with the focus")
	}
	s.do(keys("Shift+Tab")...).focus("term").do(key("Shift+F1"))
	if !s.shows("tip", "each has fired") {
		t.Error("no tip when asked for")
	}
	s.do(keys("Escape")...).focus("term")
	if s.shows("tip", "") {
		t.Error("Escape does not take the tip away")
	}
	s.do(click(50, 330)...)
	if !s.shows("tip", "Nothing is chosen") {
		t.Error("what is off does not tell why")
	}
	// A text that was shortened is told in full.
	s.item("b").Hint, s.item("b").Label = "", "A label far too long for this button"
	s.do(move(50, 20), tick(5*time.Second))
	if !s.shows("tip", "far too long for this button") {
		t.Error("a shortened text is not told")
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

// Small things are hit from a finger's width away, and the nearer of two.
func TestHitSizes(t *testing.T) {
	s := newStage(t, Item{ID: "a", Kind: Button, At: at(100, 100, 10, 10), Label: "a"}, Item{ID: "b", Kind: Button, At: at(100, 120, 10, 10), Label: "b"})
	s.do(click(94, 94)...).want("a pressed 0").do(click(105, 116)...).want("b pressed 0").do(click(105, 113)...).want("a pressed 0").do(click(105, 150)...).want()
}

// What lies on the drawing with nothing under it lets the drawing have the pointer; a sheet keeps it.
func TestWhatIsTaken(t *testing.T) {
	s := newStage(t, Item{ID: "s", Kind: Sheet, At: at(0, 0, 100, 100)}, Item{Kind: Label, At: at(10, 10, 50, 20), Label: "on the sheet"},
		Item{Kind: Label, At: at(200, 10, 50, 20), Label: "on the drawing"}, Item{ID: "b", Kind: Button, At: at(300, 10, 50, 26), Label: "Go"})
	for _, c := range []struct {
		x     float64
		taken bool
	}{{20, true}, {80, true}, {210, false}, {310, true}, {500, false}} {
		for _, ev := range []input.Event{move(c.x, 20), down(c.x, 20), up(c.x, 20), wheel(c.x, 20, 5)} {
			s.do(ev)
			if s.taken != c.taken && (ev.Kind != input.Lift || c.x != 20 && c.x != 80) {
				t.Errorf("%v at %v: taken %v", ev.Kind, c.x, s.taken)
			}
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
