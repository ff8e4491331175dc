package editor_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
)

// item is an item of the screen by its ID.
func (d *desk) item(id string) widget.Item {
	d.t.Helper()
	for _, it := range d.Items() {
		if it.ID == id {
			return it
		}
	}
	d.t.Fatalf("no item %q", id)
	return widget.Item{}
}

func (d *desk) has(id string) bool {
	return slices.ContainsFunc(d.Items(), func(it widget.Item) bool { return it.ID == id })
}

// texts are all texts painted within a rectangle.
func (d *desk) texts(in canvas.Rect) (out []string) {
	f, _ := d.Frame()
	for _, l := range f.Layers {
		for _, s := range l.Shapes {
			if s.Text != "" && in.Holds(canvas.Point(s.At)) {
				out = append(out, s.Text)
			}
		}
	}
	return out
}

// shown is where an item stands after scrolling.
func (d *desk) shown(id string) canvas.Rect {
	it := d.item(id)
	if it.In != "" {
		it.At.Y -= d.Scrolled(it.In)
	}
	return it.At
}

func (d *desk) tab(to string) {
	d.t.Helper()
	for range 400 {
		if d.Focus() == to {
			return
		}
		d.key("Tab")
	}
	d.t.Fatalf("Tab does not reach %q", to)
}

// Values with all their letters, where 120 points were too few; a longer one begins with its beginning, also when Tab has
// just chosen all of it.
func TestLongValues(t *testing.T) {
	d := opened(t, "shelf-cart")
	if at := d.shown("set:name"); !slices.Contains(d.texts(at), "shelf cart, twelve sensors") {
		t.Errorf("the name reads %q", d.texts(at))
	}
	long := "front-left edge, 240 mm, and then on and on along the outline to its end"
	d.Load("x.yaml", []byte(strings.Replace(string(sample(t, "shelf-cart")), "shelf cart, twelve sensors", long, 1)))
	d.tab("set:name")
	got := d.texts(d.shown("set:name"))
	if len(got) != 2 || !strings.HasPrefix(got[1], "front-left edge, 240 mm") {
		t.Errorf("a long name with the focus reads %q", got)
	}
	if d.key("End"); !strings.HasSuffix(d.texts(d.shown("set:name"))[1], "end") {
		t.Errorf("at its end it reads %q", d.texts(d.shown("set:name")))
	}
	narrow := d.item("set:name").At.W
	d.resize([2]float64{1900, 1000})
	if wide := d.item("set:name").At.W; wide <= narrow {
		t.Errorf("%g points in a wide window, %g in a narrow one", wide, narrow)
	}
}

// What is rarely needed is folded away at first; keys alone open it, it stays open, and then reach all there is.
func TestFolds(t *testing.T) {
	d := opened(t, "shelf-cart")
	if d.has("set:air.temperature") || !d.has("set:motion.speed") {
		t.Fatal("weather is shown at once, or the speed is not")
	}
	d.tab("fold:air")
	d.key("Enter")
	if !d.has("set:air.temperature") {
		t.Fatal("Enter does not open the weather")
	}
	d.click(d.Where([2]float64{0, 0})) // elsewhere and back
	d.clickOn("pick:zone:skirt")
	d.key("Escape")
	if !d.has("set:air.temperature") {
		t.Error("a section does not stay open")
	}
	d.tab("fold:air")
	d.key("Left")
	if d.has("set:air.temperature") {
		t.Error("an arrow does not fold it away")
	}
	d.key("Right")
	for _, it := range d.Items() {
		if it.Kind == widget.Fold && !it.Chosen {
			d.tab(it.ID)
			d.key("Enter")
		}
	}
	seen := map[string]bool{}
	for range 400 {
		d.key("Tab")
		seen[d.Focus()] = true
	}
	for _, it := range d.Items() {
		row := it.Kind == widget.Row || it.Kind == widget.Menu // of these one has the Tab, arrows go on
		if (strings.HasPrefix(it.ID, "set:") || strings.HasPrefix(it.ID, "fold:") || strings.HasPrefix(it.ID, "finding:") || it.ID == "border") && !row && !seen[it.ID] {
			t.Errorf("%s is not reached by keys", it.ID)
		}
	}
}

// A value that was refused is never folded away.
func TestRefusedIsShown(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.clickOn("fold:motion")
	if d.has("set:motion.speed") {
		t.Fatal("a click does not fold")
	}
	d.clickOn("fold:motion")
	d.set("set:motion.speed", "fast")
	d.clickOn("fold:motion")
	if !d.has("set:motion.speed") {
		t.Error("a refused value can be folded away")
	}
}

// The findings get nearly half of the height, the first is seen whole, and the border can be pulled, by hand and by keys.
func TestFindingsHaveRoom(t *testing.T) {
	d := opened(t, "shelf-cart")
	panel, room := d.item("sheet").At, d.item("cards").At
	if room.H < 0.4*panel.H-40 {
		t.Errorf("%.0f of %.0f points", room.H, panel.H)
	}
	first := d.item("finding:0").At
	if first.Y+first.H > room.Y+room.H {
		t.Errorf("the first finding ends at %.0f, its room at %.0f", first.Y+first.H, room.Y+room.H)
	}
	b := d.item("border").At.Middle()
	d.drag(b, canvas.Point{b[0], b[1] - 100})
	if got := d.item("border").At.Middle(); got[1] > b[1]-90 || got[1] < b[1]-110 {
		t.Errorf("pulled by 100 the border goes from %.0f to %.0f", b[1], got[1])
	}
	d.key("Tab")
	d.tab("border")
	y := d.item("border").At.Y
	if d.key("Down"); d.item("border").At.Y <= y {
		t.Error("keys do not pull")
	}
	b2 := d.item("border").At.Middle()
	d.do(input.Event{Kind: input.Press, At: b2, Clicks: 2})
	d.lift()
	if got := d.item("border").At.Middle(); got != b {
		t.Errorf("a double click brings it to %.0f, not to %.0f", got[1], b[1])
	}
	for _, size := range [][2]float64{{1280, 800}, {1100, 500}, {1000, 430}, {700, 600}, {1920, 1200}, {300, 200}} {
		d.resize(size)
		for _, it := range d.Items() {
			if it.At.W < 0 || it.At.H < 0 {
				t.Errorf("%v: %s is %v", size, it.ID, it.At)
			}
		}
	}
}

// A click on a plate brings the first of its findings into sight and marks them all, in a narrow window too.
func TestPlatesOpenFindings(t *testing.T) {
	for _, name := range []string{"plank-trailer", "hall-sweeper"} {
		for _, width := range []float64{1280, 900} {
			d := opened(t, name)
			d.resize([2]float64{width, 800})
			for _, v := range d.Verdicts() {
				d.clickOn("plate:" + v.ID)
				first := -1
				room := d.item("cards").At
				inSight := func(id string) {
					t.Helper()
					if at := d.shown(id); at.Y < room.Y-1 || at.Y > room.Y+room.H-20 || at.H <= room.H && at.Y+at.H > room.Y+room.H+1 {
						t.Errorf("%s, %s at %g: %s stands at %v, the room is %v", name, v.ID, width, id, at, room)
					}
				}
				if d.has("why") { // the cycle's whole reason comes before its findings
					if inSight("why"); v.ID != "cycle" {
						t.Errorf("%s: the cycle's reason for %s", name, v.ID)
					}
					continue
				}
				for i := 0; d.has(fmt.Sprint("finding:", i)); i++ {
					if d.item(fmt.Sprint("finding:", i)).Chosen && first < 0 {
						first = i
					}
				}
				if first < 0 {
					if !strings.Contains(d.Said(), "nothing to look at") {
						t.Errorf("%s, %s: no finding, and said %q", name, v.ID, d.Said())
					}
					continue
				}
				inSight(fmt.Sprint("finding:", first))
			}
		}
	}
}

// Every code of a finding that says how the machine does belongs to a plate.
func TestEveryCodeHasAPlate(t *testing.T) {
	codes := regexp.MustCompile(`\bCode\w+\s*=\s*"([^"]+)"`)
	n := 0
	for _, file := range []string{"../coverage/findings.go", "../latency/findings.go", "../firing/findings.go"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range codes.FindAllStringSubmatch(string(text), -1) {
			n++
			if len(editor.PlatesOf(m[1])) == 0 {
				t.Errorf("%s: the findings %q belong to no plate", file, m[1])
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d codes found", n)
	}
}

// The list of kinds tells what is printed on a card: figures as kinds.yaml has them, estimates marked and the mark explained.
func TestKindsAreChosenByTheirCards(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.key("S")
	cs := d.item("mount:kind").Choices
	got := map[string]string{}
	for _, c := range cs {
		got[c.Value] = c.Figures
	}
	if want := "range ≈ 4 m on wall · blind ≈ 30 mm · beam ≈ 30 deg"; got["open-pair-5v"] != want {
		t.Errorf("open-pair-5v: %q, wanted %q", got["open-pair-5v"], want)
	}
	if last := cs[len(cs)-1]; !last.Disabled || !strings.Contains(last.Label, "estimate") {
		t.Errorf("the mark is not explained: %+v", last)
	}
	// The cart's own kind has its range off the bench, the rest from what it is like.
	if !strings.HasPrefix(got["skirt-pair"], "range 3.2 m on wall · blind ≈ ") {
		t.Errorf("skirt-pair: %q", got["skirt-pair"])
	}
	d.clickOn("mount:kind")
	f, _ := d.Frame()
	found := false
	for _, l := range f.Layers {
		for _, s := range l.Shapes {
			found = found || l.Name == "list rows" && s.Text == got["open-pair-5v"]
		}
	}
	if !found {
		t.Error("the figures are cut in the open list")
	}
}

// Where a value comes from stands beside it as a word.
func TestProvenance(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.clickOn("fold:kinds")
	d.clickOn("pick:kind:skirt-pair")
	for id, want := range map[string][]string{"range.1": {"Range, wall", "3.2 m", "bench"}, "range.2": {"Range, post-75", "1.1 m", "bench"}} {
		if got := d.texts(d.shown("set:kinds.skirt-pair." + id)); !slices.Equal(got, []string{want[0], want[2], want[1]}) {
			t.Errorf("%s reads %q", id, got)
		}
	}
	// What it does not say is that of the kind it is like, near-wide: 90 deg as kinds.yaml has it, not the 30 deg usual.
	if got := d.texts(d.shown("set:kinds.skirt-pair.beam.horizontal")); !slices.Equal(got, []string{"Beam across", "estimate", "90 deg"}) {
		t.Errorf("the beam reads %q", got)
	}
	before := d.Text()
	if d.set("set:kinds.skirt-pair.beam.horizontal", "30 deg"); !strings.Contains(d.Text(), "horizontal: 30 deg") {
		t.Error("the usual beam cannot be typed in place of the inherited one")
	}
	if d.key("Escape", "Ctrl+Z"); d.Text() != before {
		t.Error("not undone")
	}
	d.set("set:kinds.skirt-pair.range.2", "1.2 m")
	if !strings.Contains(d.Text(), "- {value: 1.2 m, against: post-75, ended-by: threshold, source: bench}") {
		t.Errorf("the range is not set in its place:\n%s", d.Text())
	}
}

// Two sensors that differ: the field says so, and what is typed goes to both; undo takes both back at once.
func TestDiffer(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.clickOn("pick:sensor:bow.1")
	d.set("Height", "123 mm")
	before := d.Text()
	at, _ := d.Sensor("bow.1")
	d.click(d.Where(at))
	other, _ := d.Sensor("side.left")
	d.click(d.Where(other), input.Mods{Shift: true})
	if len(d.Chosen()) != 2 {
		t.Fatal(d.Chosen())
	}
	field, _ := d.Item("Height")
	if got := d.texts(field); !slices.Contains(got, "differ") {
		t.Errorf("the height reads %q", got)
	}
	if _, ok := d.Item("From, to"); ok {
		t.Error("a place is asked for that only one of them can have")
	}
	same, _ := d.Item("Kind")
	if got := d.texts(same); slices.Contains(got, "differ") {
		t.Errorf("the kind reads %q", got)
	}
	d.set("Height", "123 mm") // what one of them has already
	if n := strings.Count(d.Text(), "height: 123 mm"); n != 2 {
		t.Errorf("%d heights are set", n)
	}
	if got := d.texts(field); slices.Contains(got, "differ") {
		t.Errorf("the height still reads %q", got)
	}
	if d.key("Escape", "Ctrl+Z"); d.Text() != before {
		t.Error("one undo does not take both back")
	}
}

// A click on an error of a broken file shows the line it is about.
func TestFaultShowsItsLine(t *testing.T) {
	d := newDesk(t)
	text := strings.Replace(string(sample(t, "first-rover")), "speed: ", "speeed: ", 1)
	d.Load("broken.yaml", []byte(text))
	d.Frame()
	want := ""
	for i, line := range strings.Split(text, "\n") {
		if strings.Contains(line, "speeed") {
			want = fmt.Sprintf("Line %d: %s", i+1, strings.TrimSpace(line))
		}
	}
	d.clickOn("fault:0")
	if got := d.item("fault:0").Text; !strings.Contains(got, want) || want == "" {
		t.Errorf("the card says %q, not %q", got, want)
	}
	if got := strings.Join(d.texts(d.shown("fault:0")), " "); !strings.Contains(got, "speeed") {
		t.Errorf("painted is %q", got)
	}
	if d.clickOn("fault:0"); strings.Contains(d.item("fault:0").Text, "Line") {
		t.Error("a second click does not hide it")
	}
}

// A rectangle is pulled by a corner, both axes at once, and by an edge, to whole centimetres, and stays a rectangle.
func TestPullARectangle(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.key("Z")
	d.drag(d.Where([2]float64{0.9, 0.5}), d.Where([2]float64{1.2, 0.8}))
	before := d.Text()
	polygon := func() string {
		for line := range strings.Lines(d.Text()) {
			if _, p, ok := strings.Cut(line, "polygon: "); ok {
				p, _, _ = strings.Cut(p, ", target")
				return p
			}
		}
		return ""
	}
	f, _ := d.Frame()
	if n := slices.IndexFunc(f.Layers, func(l canvas.Layer) bool { return l.Name == "zone handles" }); n < 0 || len(f.Layers[n].Shapes) != 8 {
		t.Error("no eight handles")
	}
	d.drag(d.Where([2]float64{1.2, 0.8}), d.Where([2]float64{1.304, 0.896}))
	if got, want := polygon(), "[[900 mm, 500 mm], [1.3 m, 500 mm], [1.3 m, 900 mm], [900 mm, 900 mm]]"; got != want {
		t.Errorf("by its corner: %s\nwanted %s", got, want)
	}
	if !strings.Contains(d.Said(), "x 900 mm..1.3 m, y 500 mm..900 mm") {
		t.Errorf("said %q", d.Said())
	}
	if d.key("Ctrl+Z"); d.Text() != before {
		t.Error("one undo does not take the pull back")
	}
	d.drag(d.Where([2]float64{0.9, 0.65}), d.Where([2]float64{0.851, 0.7}))
	if got, want := polygon(), "[[850 mm, 500 mm], [1.2 m, 500 mm], [1.2 m, 800 mm], [850 mm, 800 mm]]"; got != want {
		t.Errorf("by its edge: %s\nwanted %s", got, want)
	}
	d.key("Ctrl+Z")
	d.drag(d.Where([2]float64{1.2, 0.8}), d.Where([2]float64{0.2, 0.9})) // through the opposite edge
	if got, want := polygon(), "[[900 mm, 500 mm], [910 mm, 500 mm], [910 mm, 900 mm], [900 mm, 900 mm]]"; got != want {
		t.Errorf("turned inside out: %s\nwanted %s", got, want)
	}
	d.key("Ctrl+Z")
	alone := input.Mods{Alt: true}
	d.drag(d.Where([2]float64{1.2, 0.8}), d.Where([2]float64{1.3, 0.9}), alone)
	if got, want := polygon(), "[[900 mm, 500 mm], [1.2 m, 500 mm], [1.3 m, 900 mm], [900 mm, 800 mm]]"; got != want {
		t.Errorf("with Alt: %s\nwanted %s", got, want)
	}
}

// Text of the board stands out at least 4.5 to 1 from what lies under it, light and dark: WCAG 2.2, success criterion 1.4.3
// and "relative luminance". What is off is exempt there, but is quiet here, which is held too.
func TestWordsOfTheBoardCanBeRead(t *testing.T) {
	screens := map[string]*desk{"cart": opened(t, "shelf-cart"), "half built": newDesk(t), "sweeper": opened(t, "hall-sweeper"), "broken": newDesk(t)}
	screens["half built"].Load("h.yaml", []byte("echowright: 1\nname: h\nbody: {outline: {rectangle: [1 m, 1 m]}, height: 0..1 m}\n"))
	screens["broken"].Load("b.yaml", []byte("echowright: 1\nname: [\n"))
	check := func(name string, d *desk) {
		t.Helper()
		f, _ := d.Frame()
		said := map[string]bool{}
		for i, l := range f.Layers {
			if !(l.Name == "board" || l.Name == "tip" || strings.HasPrefix(l.Name, "list") || strings.HasPrefix(l.Name, "scroll") || strings.HasPrefix(l.Name, "over")) {
				continue
			}
			for j, s := range l.Shapes {
				if s.Text == "" {
					continue
				}
				for _, dark := range []bool{false, true} {
					under := ground(f, i, j, canvas.Point(s.At), dark)
					if c := contrast(colour(s.Style.Fill, dark), under); c < 4.5 && !said[s.Text] {
						said[s.Text] = true
						t.Errorf("%s, dark %v: %q in %q stands out %.2f to 1", name, dark, s.Text, s.Style.Fill, c)
					}
				}
			}
		}
	}
	for name, d := range screens {
		check(name, d)
		for _, it := range d.Items() { // under the pointer, and pressed
			if at := d.shown(it.ID); it.Kind != widget.Scroll && at.W > 0 {
				d.move(at.Middle())
				check(name+", over "+it.ID, d)
			}
		}
	}
	d := screens["cart"]
	d.wait(2 * time.Second)
	d.clickOn("pick:sensor:bow.1")
	d.clickOn("set:sensors.bow.kind")
	d.key("Down")
	check("list of kinds", d)
	d.key("Escape", "Escape", "F1")
	check("help", d)
}

// ground is the colour under a point of a frame before a shape is drawn.
func ground(f *canvas.Frame, layer, shape int, at canvas.Point, dark bool) (out [3]float64) {
	for i, l := range f.Layers[:layer+1] {
		if l.Clip != (canvas.Rect{}) && !l.Clip.Holds(at) {
			continue
		}
		for j, s := range l.Shapes {
			if i == layer && j >= shape {
				break
			}
			if s.Text != "" || s.Style.Fill == draw.None || s.Open || !boxed(s, at) || s.Style.Hatched {
				continue
			}
			o := s.Style.Opacity
			if o == 0 {
				o = 1
			}
			c := colour(s.Style.Fill, dark)
			for k := range out {
				out[k] = o*c[k] + (1-o)*out[k]
			}
		}
	}
	return out
}

func boxed(s draw.Shape, at canvas.Point) bool {
	if len(s.Rings) == 0 {
		return false
	}
	lo, hi := s.Rings[0][0], s.Rings[0][0]
	for _, p := range s.Rings[0] {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	return at[0] >= lo[0] && at[0] <= hi[0] && at[1] >= lo[1] && at[1] <= hi[1]
}

func colour(ink draw.Ink, dark bool) (c [3]float64) {
	for _, tone := range draw.Palette {
		if tone.Ink == ink {
			of := tone.Light
			if dark {
				of = tone.Dark
			}
			return [3]float64{float64(of[0]), float64(of[1]), float64(of[2])}
		}
	}
	return c
}
