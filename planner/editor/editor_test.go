package editor_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

func TestNudgeChangesOneLineAndUndoGivesTheBytesBack(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	d.key("N")
	for d.Chosen()[0] != "side.left" {
		d.key("N")
	}
	d.key("Shift+Left")
	gone, come := diff(before, d.Text())
	if len(gone) != 1 || len(come) != 1 || !strings.Contains(gone[0], "name: side,") || !strings.Contains(come[0], "at: {from: left, forward: 130 mm}") {
		t.Fatalf("gone %q\ncome %q", gone, come)
	}
	d.key("Ctrl+Z")
	if d.Text() != before {
		t.Fatal("undo does not give the bytes back")
	}
	d.key("Ctrl+Y")
	if _, again := diff(before, d.Text()); len(again) != 1 || again[0] != come[0] {
		t.Fatalf("redo gives %q", again)
	}
}

// A twin is moved by its pair's entry, the other way round.
func TestTwinMovesItsPair(t *testing.T) {
	d := opened(t, "shelf-cart")
	for d.key("N"); d.Chosen()[0] != "side.right"; {
		d.key("N")
	}
	left, _ := d.Sensor("side.left")
	right, _ := d.Sensor("side.right")
	d.key("Shift+Left") // counter-clockwise: forward on the right side
	l, _ := d.Sensor("side.left")
	r, _ := d.Sensor("side.right")
	if r[0]-right[0] < 0.0099 || r[0]-right[0] > 0.0101 || l[0]-left[0] < 0.0099 || l[0]-left[0] > 0.0101 {
		t.Fatalf("right %v → %v, left %v → %v", right, r, left, l)
	}
}

// One of a row moves alone: the row becomes single sensors at the very same places.
func TestOneOfARowMovesAlone(t *testing.T) {
	d := opened(t, "shelf-cart")
	other, _ := d.Sensor("bow.2")
	for d.key("N"); d.Chosen()[0] != "bow.1"; {
		d.key("N")
	}
	before := d.Text()
	d.key("Left")
	if len(d.Chosen()) != 1 {
		t.Fatalf("chosen %v", d.Chosen())
	}
	moved, _ := d.Sensor(d.Chosen()[0])
	if moved[1] < 0.1309 || moved[1] > 0.1311 {
		t.Errorf("%s at %v", d.Chosen()[0], moved)
	}
	found := false
	for _, v := range []string{"bow-2", "bow2", "bow.2", "bow-b"} {
		if at, ok := d.Sensor(v); ok {
			found = found || math.Hypot(at[0]-other[0], at[1]-other[1]) < 1e-9
		}
	}
	if !found {
		t.Errorf("the other of the row does not stand where it stood\n%s", d.Text())
	}
	if d.key("Ctrl+Z"); d.Text() != before {
		t.Error("undo does not give the row back")
	}
}

func TestTypedValues(t *testing.T) {
	d := opened(t, "shelf-cart")
	for d.key("N"); d.Chosen()[0] != "side.left"; {
		d.key("N")
	}
	before := d.Text()
	d.set("Height", "0.3 m")
	if _, come := diff(before, d.Text()); len(come) != 1 || !strings.Contains(come[0], "height: 0.3 m") {
		t.Fatalf("typed height gives %q", come)
	}
	// What is wrong stays where it was typed, with the reason, and the document stays.
	before = d.Text()
	d.set("Height", "300")
	if d.Text() != before || !strings.Contains(d.Wrong("sensors.side.height"), "unit") {
		t.Fatalf("a height without unit: %q\n%v", d.Wrong("sensors.side.height"), d.Text() == before)
	}
	d.set("Height", "300 mm")
	if d.Wrong("sensors.side.height") != "" || d.Text() == before {
		t.Fatalf("the right value is not taken: %q", d.Wrong("sensors.side.height"))
	}
	// A key taken away falls back to what is assumed.
	d.set("Heading", "")
	if strings.Contains(lineOf(d.Text(), "name: side,"), "heading") {
		t.Errorf("the heading is still there: %s", lineOf(d.Text(), "name: side,"))
	}
}

func lineOf(text, part string) string {
	for line := range strings.Lines(text) {
		if strings.Contains(line, part) {
			return line
		}
	}
	return ""
}

func TestSeveralAtOnce(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.key("Ctrl+A")
	if len(d.Chosen()) != 12 {
		t.Fatalf("%d chosen", len(d.Chosen()))
	}
	before := d.Text()
	d.set("Height", "260 mm")
	_, come := diff(before, d.Text())
	if len(come) != 6 || !slices.ContainsFunc(come, func(s string) bool {
		return strings.Contains(s, "name: flank") && strings.Contains(s, "height: 260 mm")
	}) {
		t.Fatalf("%d lines changed: %q", len(come), come)
	}
	d.key("Escape", "Delete")
	if _, ok := d.Sensor("bow.1"); ok || strings.Contains(d.Text(), "name: flank") {
		t.Error("removed sensors are still there")
	}
	d.key("Ctrl+Z", "Ctrl+Z")
	if d.Text() != before {
		t.Error("two undos do not give the bytes back")
	}
}

func TestCopyPasteDuplicateMirror(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	for d.key("N"); d.Chosen()[0] != "side.left"; {
		d.key("N")
	}
	d.key("Ctrl+C")
	var copied string
	for _, w := range d.Wishes() {
		if w.Kind == editor.Copy {
			copied = w.Text
		}
	}
	if !strings.Contains(copied, "name: side") {
		t.Fatalf("copied %q", copied)
	}
	d.Answer(editor.Reply{Kind: editor.Paste, Text: copied})
	d.Frame()
	if _, come := diff(before, d.Text()); len(come) != 1 || !strings.Contains(come[0], "name: side-2") {
		t.Fatalf("pasted %q", come)
	}
	d.key("Ctrl+Z")
	for d.key("N"); d.Chosen()[0] != "side.left"; {
		d.key("N")
	}
	d.key("Ctrl+D")
	if _, come := diff(before, d.Text()); len(come) != 1 || !strings.Contains(come[0], "forward: 90 mm") && !strings.Contains(come[0], "forward: 190 mm") {
		t.Fatalf("duplicated %q", come)
	}
	d.key("Ctrl+Z")
	for d.key("N"); d.Chosen()[0] != "side.left"; {
		d.key("N")
	}
	d.key("M")
	if _, ok := d.Sensor("side.right"); ok {
		t.Error("the twin is still there")
	}
	if _, ok := d.Sensor("side"); !ok {
		t.Error("the sensor itself is gone")
	}
}

func TestStartMakesAMachine(t *testing.T) {
	d := newDesk(t)
	d.set("start:length", "0.9 m")
	d.set("start:width", "nine")
	d.key("Enter")
	if d.Text() != "" {
		t.Fatalf("a width of 'nine' makes a machine")
	}
	d.set("start:width", "0.5 m")
	d.key("Enter")
	if !strings.Contains(d.Text(), "rectangle: [900 mm, 500 mm]") {
		t.Fatalf("made:\n%s", d.Text())
	}
	if at, ok := d.Item("next"); !ok || at.W == 0 {
		t.Error("no next step is shown for a machine without sensors")
	}
}

func TestSaveAndChangedOnDisk(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("N", "Left", "Ctrl+S")
	var saved string
	for _, w := range d.Wishes() {
		if w.Kind == editor.Save {
			saved = string(w.Data)
		}
	}
	if saved != d.Text() {
		t.Fatal("what is saved is not the document")
	}
	if !strings.HasPrefix(d.Title(), "•") {
		t.Error("not marked as changed before the disk has it")
	}
	d.Answer(editor.Reply{Kind: editor.Save, Name: "first-rover.yaml", Data: []byte(saved)})
	if strings.HasPrefix(d.Title(), "•") {
		t.Error("marked as changed though saved")
	}
	// Another program writes the file: both texts can still be had.
	d.Answer(editor.Reply{Kind: editor.Read, Name: "first-rover.yaml", Data: []byte(saved + "# note\n")})
	d.Frame()
	at, ok := d.Item("ask")
	if !ok || at.W == 0 {
		t.Fatal("nothing is asked when the file changed on the disk")
	}
	d.key("Enter")
	if d.Text() != saved {
		t.Error("the first answer does not keep mine")
	}
}

func TestUnsavedWorkIsKeptAside(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("N", "Left")
	d.wait(3 * time.Second)
	kept := ""
	for _, w := range d.Wishes() {
		if w.Kind == editor.KeepAside {
			kept = string(w.Data)
		}
	}
	if kept != d.Text() {
		t.Fatal("the work is not kept aside within seconds")
	}
	// After a crash it is offered, and taken.
	e := newDesk(t)
	e.Answer(editor.Reply{Kind: editor.Kept, Name: "first-rover.yaml", Data: []byte(kept)})
	e.Frame()
	e.key("Tab", "Enter")
	if e.Text() != kept || !strings.HasPrefix(e.Title(), "•") {
		t.Errorf("what was kept is not there again, or counts as saved: %q", e.Title())
	}
}

func TestBrokenFileOpensWithItsFaults(t *testing.T) {
	d := newDesk(t)
	text := strings.Replace(string(sample(t, "first-rover")), "height:", "hieght:", 1)
	d.Load("broken.yaml", []byte(text))
	d.Frame()
	if at, ok := d.Item("fault:0"); !ok || at.W == 0 {
		t.Fatal("no fault is listed")
	}
	for _, junk := range []string{"", "{", "\x00\xff", "a: [", strings.Repeat("- x\n", 40_000)} {
		d.Load("junk.yaml", []byte(junk))
		d.Frame()
		d.key("N", "Left", "Ctrl+A", "Delete", "F", "Space")
	}
}

// A window may be of any size, and a zoom of any strength.
func TestAbsurdWindows(t *testing.T) {
	d := opened(t, "first-rover")
	for _, size := range [][2]float64{{0, 0}, {1, 1}, {320, 200}, {700, 500}, {5000, 40}, {40, 5000}, {2560, 1600}} {
		d.resize(size)
		d.key("N", "V", "F", "Plus", "Plus", "Minus")
	}
}

// A module by its card: what was typed is of the datasheet, what was left open is not in the file.
func TestModuleByItsCard(t *testing.T) {
	d := opened(t, "first-rover")
	before := d.Text()
	d.run("Describe a module by its card")
	d.set("card:name", "yard-can")
	d.set("card:range", "4")
	d.key("Enter")
	if d.Text() != before {
		t.Fatal("a range without unit is taken")
	}
	d.set("card:range", "4 m")
	d.set("card:beam", "40 deg")
	d.key("Enter")
	_, come := diff(before, d.Text())
	all := strings.Join(come, " ")
	for _, want := range []string{"yard-can:", "value: 4 m", "against: wall", "horizontal: {value: 40 deg, source: datasheet}"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in %q", want, all)
		}
	}
	if strings.Contains(all, "blind") || strings.Contains(all, "carrier") {
		t.Errorf("what was left open is written: %q", all)
	}
	if len(byCommand(t, d.Text()).Sensors) != 3 {
		t.Error("the command line does not read it")
	}
}

// Random hands: whatever is pressed, pulled and typed, nothing panics, and undoing all of it gives the first bytes back.
func TestRandomHands(t *testing.T) {
	for seed := range uint64(8) {
		r := rand.New(rand.NewPCG(seed, 5))
		d := opened(t, []string{"first-rover", "plank-trailer"}[r.IntN(2)])
		before := d.Text()
		keys := []string{"N", "Left", "Shift+Right", "Up", "M", "Ctrl+D", "Delete", "Escape", "Ctrl+A", "E", "Q", "F", "S", "Z", "P", "D", "A", "Tab", "Enter", "Space", "F1", "Ctrl+Z", "Ctrl+Y", "V", "O", "X", "Plus", "Minus", "Ctrl+C"}
		place := func() canvas.Point { return canvas.Point{r.Float64() * 1280, r.Float64() * 800} }
		for range 40 {
			switch r.IntN(6) {
			case 0:
				d.drag(place(), place(), input.Mods{Shift: r.IntN(4) == 0, Alt: r.IntN(4) == 0})
			case 1:
				d.click(place())
			case 2:
				d.typed([]string{"1", "0.4 m", "x", "{", "µ", "90 deg"}[r.IntN(6)])
			case 3:
				d.do(input.Event{Kind: input.Wheel, At: place(), Scroll: canvas.Point{r.Float64() - 0.5, 300 * (r.Float64() - 0.5)}})
			default:
				d.key(keys[r.IntN(len(keys))])
			}
		}
		d.key("Escape", "Escape", "Escape")
		if d.Text() == "" || !strings.HasPrefix(d.Text(), before[:20]) {
			continue // another document was begun
		}
		for range 60 {
			d.key("Ctrl+Z")
		}
		if d.Text() != before {
			t.Errorf("seed %d: undoing all does not give the bytes back", seed)
		}
	}
}
