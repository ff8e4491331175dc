package editor_test

import (
	"strings"
	"testing"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/editor/widget"
	"echowright/planner/plan"
)

// A click on a plate draws the target and the state it tells of, and the buttons over the drawing name them; a click on those
// takes the next.
func TestThePlateAndTheDrawingTellOfTheSame(t *testing.T) {
	for _, name := range []string{"plank-trailer", "shelf-cart", "hall-sweeper", "first-rover"} {
		d := opened(t, name)
		several := d.has("do:target")
		for _, v := range d.Verdicts() {
			if v.Target == "" {
				continue
			}
			d.clickOn("plate:" + v.ID)
			if several && !strings.Contains(d.item("do:target").Label, v.Target) {
				t.Errorf("%s, %s: the drawing shows %q, the plate tells of %s", name, v.ID, d.item("do:target").Label, v.Target)
			}
			if v.InState != "" && !strings.Contains(d.item("do:state").Label, v.InState) {
				t.Errorf("%s, %s: the drawing shows %q, the plate tells of %s", name, v.ID, d.item("do:state").Label, v.InState)
			}
			if v.ID == "warning" {
				all := strings.Join(d.texts(canvas.Rect{Y: 88, W: 920, H: 514}), "\n")
				if v.Is == "0 mm" && !strings.Contains(all, "no warning of "+v.Target) || v.Is != "0 mm" && !strings.Contains(all, "first warning of "+v.Target+" "+v.Is) {
					t.Errorf("%s: the plate says %s of %s, the drawing %q", name, v.Is, v.Target, all)
				}
			}
		}
		for _, id := range []string{"do:target", "do:state"} {
			if !d.has(id) {
				continue
			}
			first := d.item(id).Label
			seen := map[string]bool{first: true}
			for range 20 {
				d.clickOn(id)
				if now := d.item(id).Label; now == first {
					break
				} else if seen[now] {
					t.Fatalf("%s: %s comes twice before the first again", name, now)
				} else {
					seen[now] = true
				}
			}
			if len(seen) < 2 || d.item(id).Label != first {
				t.Errorf("%s: %s goes round %d", name, id, len(seen))
			}
		}
	}
	if d := opened(t, "plank-trailer"); !d.has("do:state") {
		t.Error("a machine of two states does not name the one shown")
	}
}

// A title too long for its plate is shortened from its least needed end, and its tip has all of it.
func TestPlateTitlesAreShortened(t *testing.T) {
	ruler, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"plank-trailer", "shelf-cart", "hall-sweeper"} {
		d := opened(t, name)
		for _, width := range []float64{2200, 1600, 1280} {
			d.resize([2]float64{width, 900})
			for _, v := range d.Verdicts() {
				it := d.item("plate:" + v.ID)
				if it.Label != v.Title && !strings.HasPrefix(it.Hint, v.Title) {
					t.Errorf("%s at %g: %q is shown as %q, its tip is %q", name, width, v.Title, it.Label, it.Hint)
				}
				if v.ID == "warning" && ruler.Width(it.Label, 11, false)+ruler.Width(it.Word, 11, true) > it.At.W-30 {
					t.Errorf("%s at %g: %q does not fit", name, width, it.Label)
				}
			}
			if v := d.Verdicts()[2]; width == 2200 && d.item("plate:warning").Label != v.Title {
				t.Errorf("%s: shortened where there is room: %q", name, d.item("plate:warning").Label)
			}
		}
	}
}

// Where nothing hides the plate says so in the words of the command line, and what is not asked is said once.
func TestWordsOfPlates(t *testing.T) {
	text := strings.Replace(string(sample(t, "plank-trailer")), "cycle: 300 ms, ", "", 1)
	d := deskWith(t, &atOnce{advise: true})
	d.resize([2]float64{1900, 900})
	d.Load("trailer.yaml", []byte(text))
	d.Frame()
	it := d.item("plate:cycle")
	if n := strings.Count(it.Word+" "+it.Note, "not asked yet"); n != 1 {
		t.Errorf("%q and %q on the plate of the cycle", it.Word, it.Note)
	}
	if !d.Try() {
		t.Fatal("no way out")
	}
	d.Frame()
	if got := d.item("plate:blind").Value; got != "nothing wider than 1 mm" {
		t.Errorf("hides: %q", got)
	}
	d.resize([2]float64{1280, 800})
	if got := d.item("plate:blind").Value; got != "under 1 mm" {
		t.Errorf("hides: %q", got)
	}
}

// The whole reason for the cycle is in the tip of the line that is cut.
func TestTheReasonForTheCycleIsWhole(t *testing.T) {
	d := opened(t, "shelf-cart")
	line := d.item("cycle-why")
	whole := line.Hint
	if strings.Count(whole, "\n") < 1 {
		t.Fatalf("the reason: %q", whole)
	}
	d.move(line.At.Middle())
	d.wait(2e9)
	f, _ := d.Frame()
	last := f.Layers[len(f.Layers)-1]
	var got string // broken into lines at spaces and hyphens
	for _, s := range last.Shapes {
		got += s.Text
	}
	bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
	if last.Name != "tip" || bare(got) != bare(whole) {
		t.Errorf("%s: %q, want %q", last.Name, got, whole)
	}
}

// Four readings at once are tried from the wishes and from the Edit menu, and not handed over.
func TestTryStandsWithTheWishes(t *testing.T) {
	d := opened(t, "shelf-cart")
	has := func(menu string) bool {
		for _, c := range d.item("menu:" + menu).Choices {
			if c.Value == "what-if" {
				return true
			}
		}
		return false
	}
	if has("Hand over") || !has("Edit") {
		t.Error("not in the Edit menu")
	}
	it := d.item("do:what-if")
	if !strings.Contains(it.Hint, "controller") || !strings.Contains(it.Hint, "undo") || it.Kind != widget.Button {
		t.Errorf("%+v", it)
	}
	d.clickOn("do:what-if")
	if !strings.Contains(d.Text(), "at-once: 4") {
		t.Error("not tried")
	}
}

// What a way out brought: the verdicts it changed with their names, a line each.
func TestBeforeAndAfterNamesWhatChanged(t *testing.T) {
	d := deskWith(t, &atOnce{advise: true})
	d.Load("trailer.yaml", sample(t, "plank-trailer"))
	d.Frame()
	before := map[string]editor.Verdict{}
	for _, v := range d.Verdicts() {
		before[v.ID] = v
	}
	if !d.Try() {
		t.Fatal("no way out")
	}
	d.Frame()
	lines := strings.Split(d.item("tried").Text, "\n")
	changed := 0
	for _, is := range d.Verdicts() {
		was := before[is.ID]
		if was.Is == is.Is && was.State == is.State && was.Title == is.Title {
			continue
		}
		if changed++; changed > len(lines) {
			break
		}
		if line := lines[changed-1]; !strings.Contains(line, was.Is) || !strings.Contains(line, is.Is) || !strings.Contains(line, "→") {
			t.Errorf("%s: %q", is.ID, line)
		}
	}
	if changed == 0 || len(lines) != changed+1 || lines[changed] != "else as before" {
		t.Errorf("%d changed: %q", changed, lines)
	}
	if lines[0] != "Seen in backing lane: 37.0 % → all, met" { // as the command line has both
		t.Errorf("%q", lines[0])
	}
}

// While a grip of the side view is pulled, its scale stays: the same pull brings the same height wherever it is, and a sensor
// beyond the body is said to be.
func TestTheSideViewKeepsItsScale(t *testing.T) {
	d := opened(t, "shelf-cart")
	at, _ := d.Sensor("side.left")
	d.click(d.Where(at))
	_, height, ok := d.SideGrips()
	if !ok {
		t.Fatal("no side view")
	}
	d.press(height)
	heights := []float64{}
	for k := range 30 {
		d.move(canvas.Point{height[0], height[1] - 10*float64(k)})
		s, _ := d.HeightOf("side.left")
		heights = append(heights, s)
	}
	for k := 2; k < len(heights); k++ {
		if step, first := heights[k]-heights[k-1], heights[2]-heights[1]; first <= 0 || step < first-0.0051 || step > first+0.0051 { // heights keep to 5 mm
			t.Fatalf("step %d is %.3f m, the first was %.3f m: %v", k, step, first, heights)
		}
	}
	said := func() string { return strings.Join(d.texts(canvas.Rect{X: 928, W: 352, H: 800}), "\n") }
	if !strings.Contains(said(), "above the body, which ends at 0.42 m") {
		t.Errorf("at %g m: %s", heights[len(heights)-1], said())
	}
	for range 3 { // a hand that rests
		d.move(canvas.Point{height[0], height[1] - 290})
	}
	if s, _ := d.HeightOf("side.left"); s != heights[len(heights)-1] {
		t.Errorf("the hand rests and the height goes on: %g to %g", heights[len(heights)-1], s)
	}
	d.move(canvas.Point{height[0], height[1] + 200})
	if !strings.Contains(said(), "below the body, which begins at 60 mm") {
		t.Errorf("below: %s", said())
	}
	d.lift()
	if d.key("Ctrl+Z"); !strings.Contains(d.Text(), "height: 250 mm") {
		t.Error("not one entry")
	}
}

// A way out for one of a pair makes single sensors of the pair, and what it brought says so; one for both alike does not.
func TestAWayOutSaysWhatBecameSingle(t *testing.T) {
	for _, c := range []struct {
		sensors []string
		single  bool
	}{{[]string{"flank.left"}, true}, {[]string{"flank.left", "flank.right"}, false}} {
		d := opened(t, "shelf-cart")
		var f plan.Finding
		for _, name := range c.sensors {
			f.Try = append(f.Try, plan.Change{Sensor: name, UpDeg: 5})
		}
		d.TakeWay(f)
		d.Frame()
		text := d.item("tried").Text
		if strings.Contains(text, "The row or pair flank became single sensors") != c.single {
			t.Errorf("%v: %q", c.sensors, text)
		}
		if before, _, _ := strings.Cut(text, "\n"); before == "" {
			t.Errorf("%v: nothing of the verdicts: %q", c.sensors, text)
		}
	}
}

// The button that opens the help page is never an empty box: where its words have no room it shows its sign alone.
func TestTheHelpButtonIsNeverEmpty(t *testing.T) {
	d := opened(t, "first-rover")
	for _, size := range [][2]float64{{1280, 800}, {700, 500}, {640, 400}, {480, 360}} {
		d.resize(size)
		at := d.item("do:help").At
		if texts := d.texts(at); len(texts) == 0 || at.X+at.W > size[0] {
			t.Errorf("%v: %v holds %q", size, at, texts)
		}
	}
}
