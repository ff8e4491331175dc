package widget

import (
	"slices"
	"strings"
	"testing"
	"time"
)

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

// What can be done comes before what cannot, however well that fits; a choice is found by words that are not shown, too.
func TestMatchPutsWhatIsOffLast(t *testing.T) {
	choices := []Choice{{Label: "Save", Disabled: true}, {Label: "Take away", Words: "export save"}, {Label: "Keep", Note: "unsaved"}, {Label: "Save as", Disabled: true}}
	if got := match("save", choices); !slices.Equal(got, []int{1, 2, 0, 3}) {
		t.Error(got)
	}
	if got := match("", choices); !slices.Equal(got, []int{1, 2, 0, 3}) {
		t.Error(got)
	}
}

// A dialog that opened by itself is answered by nothing that was meant for what lay under it, be it another dialog.
func TestADialogThatWaits(t *testing.T) {
	s := newStage(t, dialog()...)
	s.do(tick(1)).do(keys("Tab")...).focus("d")
	s.items = append(dialog(), Item{ID: "d", Kind: Dialog, Waits: true, At: at(300, 200, 400, 200), Label: "Which?", Choices: []Choice{{Label: "This"}, {Label: "That"}}})
	s.items = s.items[len(s.items)-1:]
	s.do(keys("Space", "Enter", "A")...).do(typing("5 m ")...).want().focus("")
	if !s.taken {
		t.Error("what was typed went past the dialog")
	}
	s.do(keys("Right", "Right", "Left", "Down", "Enter")...).want("d chosen 1 That")
	s.do(keys("Escape")...).want("d cancelled 0")
}

// Escape in a field whose text was refused asks for the value back, though nothing was typed since.
func TestEscapeInARefusedField(t *testing.T) {
	s := newStage(t, field("a", "1 m", 0))
	s.do(keys("Tab")...).do(typing("x")...).do(keys("Enter")...).want("a edited 0 x", "a committed 0 x")
	s.item("a").Wrong = "no length"
	s.do(keys("Escape")...).want("a cancelled 0 x")
	s.item("a").Wrong, s.item("a").Value = "", "1 m"
	s.do(tick(1)).text("1 m")
	// What is being typed is dropped when the values come from elsewhere.
	s.do(typing("7")...)
	s.b.Forget()
	s.acts = nil
	s.do(tick(2)).text("1 m").do(keys("Tab")...).want()
}
