package editor_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
)

// What a person found who used the editor for the first time.

// row mounts a row of three from one place to another, mirrored, and tells what ghosts were shown on the way.
func (d *desk) row(from, to [2]float64) (ghosts int) {
	d.t.Helper()
	d.key("S")
	d.set("mount:count", "3")
	d.press(d.Where(from))
	d.move(d.Where([2]float64{(from[0] + to[0]) / 2, (from[1] + to[1]) / 2}))
	d.move(d.Where(to))
	ghosts = d.Ghosts()
	d.lift()
	return ghosts
}

// The cart of the sample is mirrored about y = 0, so that every sensor of one row has one of the other opposite.
func TestARowIsMountedOnBothSides(t *testing.T) {
	d := bare(t)
	before := d.Text()
	if got := d.row([2]float64{-0.2, 0.2}, [2]float64{0.2, 0.2}); got != 6 {
		t.Errorf("%d ghosts of two rows of three", got)
	}
	for k := 1; k <= 3; k++ {
		a, ok1 := d.Sensor("eye." + string(rune('0'+k)))
		b, ok2 := d.Sensor("eye-b." + string(rune('0'+k)))
		if !ok1 || !ok2 || !near(a[0], b[0]) || !near(a[1], -b[1]) || a[1] < 0.1 {
			t.Fatalf("sensor %d at %v, its twin at %v (%v, %v)\n%s", k, a, b, ok1, ok2, d.Text())
		}
	}
	if !strings.Contains(d.Said(), "mirrored, eye-b") {
		t.Errorf("said %q", d.Said())
	}
	if d.key("Ctrl+Z"); d.Text() != before {
		t.Error("the two rows are not one change")
	}
}

func near(a, b float64) bool { return a-b < 2e-3 && b-a < 2e-3 }

// A row along the front that crosses the middle line would be mirrored onto itself.
func TestARowAcrossTheMiddleHasNoTwin(t *testing.T) {
	d := bare(t)
	if got := d.row([2]float64{0.3, 0.12}, [2]float64{0.3, -0.12}); got != 3 {
		t.Errorf("%d ghosts of one row of three", got)
	}
	if _, ok := d.Sensor("eye.3"); !ok || strings.Count(d.Text(), "count: 3") != 1 || !strings.Contains(d.Said(), "no twin") {
		t.Errorf("said %q\n%s", d.Said(), d.Text())
	}
	// One beside the middle line has.
	d = bare(t)
	if got := d.row([2]float64{0.3, 0.04}, [2]float64{0.3, 0.14}); got != 6 || strings.Count(d.Text(), "count: 3") != 2 {
		t.Errorf("%d ghosts\n%s", got, d.Text())
	}
}

func TestAClickIsNoRow(t *testing.T) {
	d := bare(t)
	d.key("S")
	d.set("mount:count", "3")
	before := d.Text()
	d.click(d.Where([2]float64{0, 0.2}))
	if d.Text() != before || !strings.Contains(d.Said(), "row of 3") {
		t.Errorf("said %q", d.Said())
	}
	d.set("mount:count", "none")
	if it := d.item("mount:count"); it.Value != "none" || it.Wrong == "" {
		t.Errorf("a refused number: %q, %q", it.Value, it.Wrong)
	}
	d.clickOn("mount:count")
	d.key("Escape")
	if it := d.item("mount:count"); it.Value != "3" || it.Wrong != "" {
		t.Errorf("after Escape: %q, %q", it.Value, it.Wrong)
	}
}

// bare is the machine of the start dialog: 0.6 m by 0.4 m without a sensor.
func bare(t *testing.T) *desk {
	d := newDesk(t)
	d.key("Enter")
	if d.Asks() != "" || d.Text() == "" {
		t.Fatal("nothing was made")
	}
	return d
}

func TestARefusedTextGoes(t *testing.T) {
	sample := string(sample(t, "first-rover"))
	for what, act := range map[string]func(*desk){
		"undo":   func(d *desk) { d.key("Ctrl+Z") },
		"escape": func(d *desk) { d.clickOn("set:motion.speed"); d.key("Escape") },
		"disk":   func(d *desk) { d.changed(sample + "# theirs\n"); d.key("Tab", "Tab", "Enter") },
		"load":   func(d *desk) { d.Load("other.yaml", []byte(sample+"# other\n")) },
	} {
		d := opened(t, "first-rover")
		d.key("N", "Left", "Escape")
		is := d.item("set:motion.speed").Value
		d.set("set:motion.speed", "fast")
		if it := d.item("set:motion.speed"); it.Value != "fast" || it.Wrong == "" {
			t.Fatalf("refused: %q, %q", it.Value, it.Wrong)
		}
		act(d)
		d.Frame()
		it := d.item("set:motion.speed")
		if it.Value != is || it.Wrong != "" {
			t.Errorf("%s: the field shows %q, %q, and its value is %s", what, it.Value, it.Wrong, is)
		}
		if slices.Contains(d.texts(it.At), "fast") {
			t.Errorf("%s: the refused text is still on the screen", what)
		}
	}
}

// changed tells that another program wrote the open file.
func (d *desk) changed(text string) {
	d.Answer(editor.Reply{Kind: editor.Read, Name: "first-rover.yaml", Data: []byte(text)})
	d.Frame()
}

// A question nobody waits for: a person types on, and must not answer it so.
func TestAQuestionThatOpensByItselfIsNotAnsweredByTyping(t *testing.T) {
	mine := string(sample(t, "first-rover"))
	theirs := mine + "# theirs\n"
	for what, c := range map[string]struct {
		act  func(*desk)
		text string
	}{
		"escape": {func(d *desk) { d.key("Escape") }, mine},
		"tab":    {func(d *desk) { d.key("Tab", "Tab", "Space") }, theirs},
		"back":   {func(d *desk) { d.key("Shift+Tab", "Enter") }, theirs},
		"arrows": {func(d *desk) { d.key("Right", "Right", "Enter") }, theirs},
		"first":  {func(d *desk) { d.key("Down", "Enter") }, mine},
	} {
		d := opened(t, "first-rover")
		d.clickOn("set:motion.speed")
		d.changed(theirs)
		d.key("Space", "Enter", "M", "Delete")
		d.typed(" 0.4 m/s")
		d.key("Enter")
		if d.Asks() == "" || d.Text() != mine {
			t.Fatalf("%s: typing answered the question", what)
		}
		if c.act(d); d.Asks() != "" || d.Text() != c.text {
			t.Errorf("%s: asks %q, or the wrong text", what, d.Asks())
		}
		if dirty := strings.HasPrefix(d.Title(), "•"); dirty != (c.text == mine) {
			t.Errorf("%s: counts as changed: %v", what, dirty)
		}
	}
	// A click answers too, and what was typed before the question came is not lost.
	d := opened(t, "first-rover")
	d.clickOn("set:motion.speed")
	d.key("Ctrl+A")
	d.typed("0.3 m/s")
	d.changed(theirs)
	if !strings.Contains(d.Text(), "0.3 m/s") {
		t.Error("what was being typed is lost")
	}
	d.clickOn("ask")
	if d.Asks() == "" {
		t.Error("a click beside the answers answered")
	}
}

// The question lies over another dialog, which is there again after it.
func TestAQuestionThatOpensByItselfKeepsWhatWasAsked(t *testing.T) {
	d := opened(t, "first-rover")
	d.run("Describe a module by its card")
	d.set("card:range", "4 m")
	d.changed(d.Text() + "# theirs\n")
	d.key("Escape")
	if !d.has("card:range") || d.item("card:range").Value != "4 m" {
		t.Errorf("the card is gone: %q", d.Asks())
	}
}

func TestAFileGoneFromTheDiskIsToldAllTheTime(t *testing.T) {
	d := opened(t, "first-rover")
	d.Answer(editor.Reply{Kind: editor.Read, Name: "first-rover.yaml", Lost: true})
	d.wait(time.Minute)
	if got := d.item("saved").Label; got != "no longer on the disk" {
		t.Errorf("beside the title: %q", got)
	}
	d.Answer(editor.Reply{Kind: editor.Read, Name: "first-rover.yaml", Data: []byte(d.Text())})
	if got := d.item("saved").Label; got != "saved" {
		t.Errorf("there again: %q", got)
	}
}

func TestF1ListsAtOnceWhatCanBeDone(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("F1")
	box := d.item("find").At
	if got := d.texts(canvas.Rect{X: box.X, Y: box.Y + 92, W: box.W, H: box.H - 92}); len(got) < 10 {
		t.Fatalf("nothing is listed: %q", got)
	}
	for _, c := range d.item("find").Choices {
		if c.Disabled && (c.Note == "" || strings.HasPrefix(c.Note, "Shows") || strings.HasPrefix(c.Note, "Moves")) {
			t.Errorf("%s: no word on why it cannot be done: %q", c.Label, c.Note)
		}
		if c.Words == "" {
			t.Errorf("%s: no other words to find it by", c.Label)
		}
	}
	d.key("Escape")
	// Words of people who do not know ours.
	for words, want := range map[string]string{
		"export": "take-away", "compare": "compare", "crosstalk": "paths", "simulate": "play", "spread": "", "report": "take-away", "delete": "",
	} {
		d.key("F1")
		d.typed(words)
		if want == "" { // three sensors are wanted for it: nothing is chosen in its place that does not fit
			d.key("Escape")
			continue
		}
		if got := d.first(); got != want {
			t.Errorf("%q finds %q first, not %q", words, got, want)
		}
		d.key("Escape")
	}
	d.key("F1")
	d.typed("view")
	if got := d.first(); got == "" {
		t.Error("nothing is found for view")
	}
}

// first is the action that Enter would do on the help page.
func (d *desk) first() string {
	d.t.Helper()
	it := d.item("find")
	row := canvas.Rect{X: it.At.X, Y: it.At.Y + 92, W: it.At.W, H: 28} // below the title and the line typed
	for _, c := range it.Choices {
		if !slices.Contains(d.texts(row), c.Label) {
			continue
		}
		if c.Disabled {
			d.t.Errorf("%s is first and cannot be done", c.Label)
		}
		return c.Value
	}
	return ""
}

// Every action that opens a dialog does so from the help page too, and the dialog stays.
func TestDialogsOpenFromF1(t *testing.T) {
	opens := 0
	for i := range opened(t, "first-rover").Actions() {
		begin := func() *desk {
			d := opened(t, "first-rover")
			d.Answer(editor.Reply{Kind: editor.Recents, Names: []string{"/home/rover.yaml"}})
			d.key("N")
			return d
		}
		d := begin()
		a := d.Actions()[i]
		if !a.Can || a.ID == "help" {
			continue
		}
		a.Do()
		want := d.Asks()
		if want == "" {
			continue
		}
		opens++
		d = begin()
		d.key("F1")
		d.typed(a.Name)
		d.key("Enter")
		d.move(canvas.Point{400, 300})
		d.wait(time.Second)
		if got := d.Asks(); got != want {
			t.Errorf("%s: from the help page %q opens, else %q", a.Name, got, want)
		}
	}
	if opens < 6 {
		t.Errorf("only %d actions open a dialog", opens)
	}
}

func TestTheCardMarksTheFieldThatIsWrong(t *testing.T) {
	d := opened(t, "first-rover")
	before := d.Text()
	d.run("Describe a module by its card")
	for _, c := range []struct{ field, text, why string }{
		{"card:beam", "400deg", "179"},      // layouts/FORMAT.md: 1..179 deg
		{"card:range", "400 m", "50 m"},     // 0.05..50 m
		{"card:carrier", "3 Hz", ""},        // of ultrasound
		{"card:peak", "-5 mA", ""},          //
		{"card:name", "two words: {", ""},   //
		{"card:busy", "half an hour", ""},   //
		{"card:blind", "ten paces off", ""}, //
	} {
		is := d.item(c.field).Value
		d.set(c.field, c.text)
		if it := d.item(c.field); it.Wrong == "" || !strings.Contains(it.Wrong, c.why) {
			t.Errorf("%s = %s: %q", c.field, c.text, it.Wrong)
		}
		d.clickOn(c.field)
		d.key("Ctrl+A")
		d.typed(is + " ")
		d.key("Tab")
		if is == "" {
			d.clickOn(c.field)
			d.key("Ctrl+A", "Delete", "Tab")
		}
		if it := d.item(c.field); it.Wrong != "" {
			t.Errorf("%s = %q: %q", c.field, it.Value, it.Wrong)
		}
	}
	d.set("card:range", "4 m")
	d.set("card:blind", "5 m")
	if d.item("card:blind").Wrong == "" {
		t.Error("nearest 5 m, farthest 4 m are not marked")
	}
	d.key("Enter")
	if d.Text() != before || !d.has("card:blind") {
		t.Fatal("a kind of which the nearest lies beyond the farthest is added")
	}
	d.set("card:blind", "20 cm")
	d.key("Enter")
	if d.has("card") || !strings.Contains(d.Text(), "my-module") {
		t.Errorf("not added: %q", d.item("card:blind").Wrong)
	}
}

func TestKeysSayWhatTheyDid(t *testing.T) {
	d := opened(t, "hall-sweeper")
	for k := 0; len(d.Chosen()) == 0 || !strings.HasPrefix(d.Chosen()[0], "shoulder"); k++ {
		if d.key("N"); k > 50 {
			t.Fatal("no sensor called shoulder")
		}
	}
	name := ""
	for _, c := range []struct{ key, say string }{
		{"M", "Mirrored shoulder: its twin taken away"}, {"M", "Mirrored shoulder: its twin mounted"}, {"Q", "square to the outline"}, {"B", "Beams: off"}, {"B", "Beams: on"}, {"G", "Grid: "},
	} {
		d.key(c.key)
		if !strings.Contains(d.Said(), c.say) || d.Said() == name {
			t.Errorf("%s says %q", c.key, d.Said())
		}
		name = d.Said()
	}
	d.key("Ctrl+A", "E")
	if !strings.Contains(d.Said(), "evenly from") {
		t.Errorf("E says %q", d.Said())
	}
}

func TestEscapeClosesSaveAsAtOnce(t *testing.T) {
	for _, kind := range []editor.WishKind{editor.SaveAs, editor.Open, editor.TakeAway} {
		d := opened(t, "first-rover")
		d.Answer(editor.Reply{Kind: kind, Name: "first-rover.yaml", Err: "no file chooser", Chooser: true})
		d.Frame()
		if d.Asks() == "" {
			t.Fatal("no question for a name")
		}
		d.typed("another")
		if d.key("Escape"); d.Asks() != "" {
			t.Errorf("kind %d: still asks after Escape", kind)
		}
	}
}

func TestTheStartMarksWhatCannotBe(t *testing.T) {
	d := newDesk(t)
	for _, c := range []struct{ field, text string }{
		{"start:length", "-1 m"}, {"start:width", "0 m"}, {"start:speed", "0 m/s"}, {"start:speed", "-2 m/s"}, {"start:corner", "-1 mm"},
	} {
		d.clickOn(c.field)
		d.key("Ctrl+A")
		d.typed(c.text)
		d.key("Tab")
		if d.item(c.field).Wrong == "" {
			t.Errorf("%s = %s is not marked", c.field, c.text)
		}
	}
	if got := d.item("start:speed").Note; got != "at most, forward" {
		t.Errorf("the speed is %q", got)
	}
	d.choice("start:way", "backward")
	if got := d.item("start:speed"); got.Note != "at most, backward" || !strings.Contains(got.Hint, "backward") {
		t.Errorf("the speed is %q, %q", got.Note, got.Hint)
	}
	// All of it fits into the dialog.
	box := d.item("start").At
	for _, it := range d.Items() {
		if it.In == "start" && it.At.Y+it.At.H > box.Y+box.H-40 {
			t.Errorf("%s lies below the dialog", it.ID)
		}
	}
}

func TestACopyWithoutAClipboardSaysSo(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("N", "Ctrl+C")
	d.Answer(editor.Reply{Kind: editor.Copy, Err: "no clipboard program"})
	if !strings.Contains(d.Said(), "within this window only") {
		t.Errorf("said %q", d.Said())
	}
}

func TestTheMeasuringLineGoesWithTheFile(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("D")
	d.drag(d.Where([2]float64{0.1, 0}), d.Where([2]float64{0.5, 0.3}))
	if !d.LooksMeasured() {
		t.Fatal("nothing was measured")
	}
	if d.Load("other.yaml", sample(t, "shelf-cart")); d.LooksMeasured() {
		t.Error("the line of the last file is still there")
	}
}

func TestTheTimeMarkStaysInTheCycle(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.key("Comma") // back from the beginning: near the cycle's end
	was := d.Cycle()
	if d.Mark() < was/2 {
		t.Fatalf("the mark is at %v of %v", d.Mark(), was)
	}
	for range 2 {
		d.key("N", "Delete")
	}
	now := d.Cycle()
	if now == 0 || now > was*9/10 {
		t.Fatalf("the cycle is %v after %v", now, was)
	}
	if d.Mark() >= now {
		t.Errorf("the mark is at %v of a cycle of %v", d.Mark(), now)
	}
}

func TestDarkPaperIsKept(t *testing.T) {
	d := opened(t, "first-rover")
	d.Wishes()
	d.key("Ctrl+L")
	d.key("Ctrl+L")
	var got []string
	for _, w := range d.Wishes() {
		if w.Kind == editor.Paper {
			got = append(got, w.Text)
		}
	}
	if !slices.Equal(got, []string{"dark", "light"}) {
		t.Errorf("kept %q", got)
	}
}

func TestTwoKindsSideBySide(t *testing.T) {
	d := opened(t, "first-rover")
	d.run("compare")
	one, two := d.item("compare:one"), d.item("compare:two")
	if one.Value == two.Value || len(one.Choices) < 3 {
		t.Fatalf("compares %q with %q of %d", one.Value, two.Value, len(one.Choices))
	}
	figures := func() (n int) {
		for _, it := range d.Items() {
			if strings.HasPrefix(it.ID, "compare:") && it.Kind == widget.Label && it.Label != "" {
				n++
			}
		}
		return n
	}
	if n := figures(); n < 3*8 {
		t.Fatalf("%d texts", n)
	}
	other := one.Choices[2].Value
	blind := d.item("compare:blind to:compare:one").Label
	d.choice("compare:one", other)
	if d.item("compare:one").Value != other || figures() < 3*8 {
		t.Errorf("not changed: %q", d.item("compare:one").Value)
	}
	t.Logf("blind to %s, then %s", blind, d.item("compare:blind to:compare:one").Label)
	d.key("Escape")
	if d.Asks() != "" {
		t.Error("Escape does not close it")
	}
}
