package editor_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
)

// What nobody means to do and everybody does once: it must end in a clear sentence or in sane work, and cost nothing.

// hasty answers as atOnce does, but never with a firing plan: of two hundred sensors that takes seconds.
type hasty struct{ atOnce }

func (a *hasty) Ask(q live.Question) {
	q.Dragging = true
	a.atOnce.Ask(q)
}

// silent answers nothing.
type silent struct{}

func (silent) Ask(live.Question)   {}
func (silent) Take() []live.Answer { return nil }

// sane fails when a shape lies at no number, or so far out that whoever paints in single precision loses it.
func (d *desk) sane(when string) {
	d.t.Helper()
	f, _ := d.Frame()
	const most = 1e6
	for _, l := range f.Layers {
		for _, s := range l.Shapes {
			ps := []canvas.Point{s.At, {s.Size, s.Style.Width}}
			for _, r := range s.Rings {
				ps = append(ps, r...)
			}
			for _, p := range ps {
				if !(math.Abs(p[0]) < most && math.Abs(p[1]) < most) {
					d.t.Fatalf("%s: layer %s holds a shape (%q) at %v", when, l.Name, s.Text, p)
				}
			}
			if strings.Contains(s.Text, "NaN") || strings.Contains(s.Text, "Inf") {
				d.t.Fatalf("%s: layer %s says %q", when, l.Name, s.Text)
			}
		}
	}
}

// cards are the findings and faults on the screen: place, what is wrong and what would be right.
func (d *desk) cards(id string) (all []string) {
	for _, it := range d.Items() {
		if strings.HasPrefix(it.ID, id) {
			all = append(all, strings.Join([]string{it.Word, it.Label, it.Text}, " / "))
		}
	}
	return all
}

func (d *desk) drop(files ...input.File) { d.do(input.Event{Kind: input.Drop, Files: files}) }

// inSight reports whether a sensor is shown within the window.
func (d *desk) inSight(name string) bool {
	at, ok := d.Sensor(name)
	p := d.Where(at)
	return ok && p[0] > 0 && p[0] < 1280 && p[1] > 0 && p[1] < 800
}

func TestWindowsOfAnySize(t *testing.T) {
	dialogs := map[string]func(*desk){
		"nothing":  func(*desk) {},
		"a sensor": func(d *desk) { d.key("N") },
		"a menu":   func(d *desk) { d.clickOn("File") },
		"search":   func(d *desk) { d.key("F1") },
		"start":    func(d *desk) { d.key("Ctrl+N") },
		"a name":   func(d *desk) { d.Answer(editor.Reply{Kind: editor.Open, Err: "none", Chooser: true}) },
		"a line":   func(d *desk) { d.key("D"); d.drag(canvas.Point{300, 300}, canvas.Point{500, 400}) },
		"a drag":   func(d *desk) { at, _ := d.Sensor("left-1"); d.press(d.Where(at)) },
	}
	for name, begin := range dialogs {
		d := deskWith(t, &hasty{})
		d.Load("ring.yaml", ring(8, 1))
		d.Frame()
		begin(d)
		for _, size := range [][2]float64{{0, 0}, {1, 1}, {50, 20}, {-5, 3}, {10_000, 50}, {50, 10_000}, {480, 360}, {1e-9, 700}, {0, 0}} {
			d.resize(size)
			when := fmt.Sprint(name, " at ", size)
			d.sane(when)
			for _, p := range []canvas.Point{{0, 0}, {size[0] / 2, size[1] / 2}, {size[0] - 1, size[1] - 1}} {
				d.move(p)
				d.do(input.Event{Kind: input.Wheel, At: p, Scroll: canvas.Point{0, 40}})
				if name != "a drag" {
					d.do(input.Event{Kind: input.Press, At: p, Button: input.Right, Clicks: 1})
					d.do(input.Event{Kind: input.Lift, At: p, Button: input.Right})
				}
			}
			d.sane(when)
		}
		d.lift()
		d.key("Escape", "Escape", "Escape")
		d.resize([2]float64{1280, 800})
		d.sane(name)
		if !d.inSight("left-1") || !d.inSight("right-2") {
			t.Errorf("%s: after odd sizes the machine is out of sight", name)
		}
	}
}

// A window pulled through nothing and back shows what it showed.
func TestAWindowComesBack(t *testing.T) {
	d := deskWith(t, &hasty{})
	d.Load("ring.yaml", ring(8, 1))
	d.Frame()
	d.do(input.Event{Kind: input.Wheel, At: canvas.Point{400, 300}, Scroll: canvas.Point{0, -80}})
	at, _ := d.Sensor("left-1")
	before := d.Where(at)
	for _, size := range [][2]float64{{1, 1}, {50, 20}, {3000, 60}, {60, 3000}, {0, 0}, {1280, 800}} {
		d.resize(size)
	}
	if now := d.Where(at); math.Hypot(now[0]-before[0], now[1]-before[1]) > 1e-6 {
		t.Errorf("a sensor at %v is at %v", before, now)
	}
	d = deskWith(t, &hasty{})
	d.resize([2]float64{3, 3})
	d.Load("ring.yaml", ring(8, 1))
	d.Frame()
	d.resize([2]float64{1280, 800})
	if now := d.Where(at); math.Hypot(now[0]-460, now[1]-345) < 50 || !d.inSight("left-1") {
		t.Errorf("opened in no room, a sensor is at %v", now)
	}
}

func TestZoomWithoutEnd(t *testing.T) {
	for _, way := range []float64{-40, 40, -1e300, 1e300} {
		d := deskWith(t, &hasty{})
		d.Load("ring.yaml", ring(8, 1))
		d.Frame()
		before := d.Text()
		at, _ := d.Sensor("left-1")
		p := d.Where(at)
		many := func(times int, ev input.Event) {
			for k := range times {
				if d.Handle(ev); k%100 == 0 {
					d.Frame()
				}
			}
		}
		many(int(min(1000, 40_000/math.Abs(way)+20)), input.Event{Kind: input.Wheel, At: p, Scroll: canvas.Point{0, way}})
		d.sane(fmt.Sprint("after wheels by ", way))
		a, b := d.World(canvas.Point{400, 400}), d.World(canvas.Point{500, 400})
		if m := b[0] - a[0]; !(m >= 100/20_001.0 && m <= 201) {
			t.Errorf("wheel %g: 100 points are %g m", way, m)
		}
		labels := 0
		f, _ := d.Frame()
		for _, l := range f.Layers {
			for _, s := range l.Shapes {
				if l.Name == "scale" && s.Text != "" {
					labels++
				}
			}
		}
		if labels != 3 {
			t.Errorf("wheel %g: the scale has %d numbers", way, labels)
		}
		// A drag as far as the window goes, there and on, is one change that undo takes back.
		here := d.Where(at)
		d.drag(here, canvas.Point{here[0] + 300, here[1] + 7})
		d.sane("a drag there")
		if len(d.cards("fault:")) > 0 {
			t.Errorf("wheel %g: a drag leads to %q", way, d.cards("fault:"))
		}
		if d.Text() != before {
			d.key("Ctrl+Z")
		}
		if d.Text() != before {
			t.Errorf("wheel %g: undo does not take the drag back", way)
		}
		d.key("F")
		if !d.inSight("left-1") {
			t.Errorf("wheel %g: “Show all” does not show it", way)
		}
		many(100, input.Event{Kind: input.Pinch, At: p, Zoom: 1e9})
		many(100, input.Event{Kind: input.Wheel, At: p, Scroll: canvas.Point{1e9, -1e9}})
		d.sane("panned away")
	}
}

// A file with more sensors than the format knows is told with its place; one more than it knows is taken back by undo.
func TestMoreSensorsThanThereMayBe(t *testing.T) {
	d := deskWith(t, &hasty{})
	d.Load("ring.yaml", ring(500, 20))
	d.Frame()
	if got := d.cards("fault:"); len(got) != 1 || got[0] != "8:3 / sensors has 500 entries / no more than 200" {
		t.Errorf("of 500: %q", got)
	}
	d.sane("500 sensors")

	d.Load("ring.yaml", ring(200, 10))
	d.Frame()
	before := d.Text()
	d.key("N", "Ctrl+D")
	if got := d.cards("fault:"); len(got) != 1 || !strings.Contains(got[0], "201 entries / no more than 200") {
		t.Errorf("of 201: %q", got)
	}
	d.key("Ctrl+Z")
	if d.Text() != before || len(d.cards("fault:")) > 0 || !d.inSight("left-20") {
		t.Errorf("undo leaves %q", d.cards("fault:"))
	}
}

// While the firing plan of many sensors is not there, the screen says that it is being reckoned, and hands are answered.
func TestReckoningIsSaid(t *testing.T) {
	d := deskWith(t, &hasty{})
	d.Load("ring.yaml", ring(200, 10))
	d.Frame()
	for _, it := range d.Items() {
		if it.ID == "plate:cycle" && it.Word != "reckoning" {
			t.Errorf("the plate of the cycle says %q", it.Word)
		}
	}
	if !d.shows("the firing plan is being reckoned") {
		t.Error("the cycle does not say that it is being reckoned")
	}
	at, _ := d.Sensor("left-20")
	before := d.Text()
	d.drag(d.Where(at), d.Where([2]float64{at[0] + 0.3, at[1]}), input.Mods{Alt: true})
	if gone, come := diff(before, d.Text()); len(gone) != 1 || len(come) != 1 {
		t.Errorf("a drag meanwhile changes %d lines to %d", len(gone), len(come))
	}
}

// shows reports whether a text stands in the frame.
func (d *desk) shows(text string) bool {
	f, _ := d.Frame()
	for _, l := range f.Layers {
		for _, s := range l.Shapes {
			if strings.Contains(s.Text, text) {
				return true
			}
		}
	}
	return false
}

func TestNoSensorsAtAll(t *testing.T) {
	text := string(ring(4, 1))
	d := newDesk(t)
	d.Load("bare.yaml", []byte(text[:strings.Index(text, "sensors:")]+text[strings.Index(text, "targets:"):]))
	d.Frame()
	d.sane("no sensors")
	if got := d.cards("fault:"); len(got) > 0 {
		t.Errorf("told as a fault: %q", got)
	}
	if got := d.cards("next"); len(got) == 0 || !strings.Contains(got[0], "Mount the first sensor") {
		t.Errorf("next step %q", got)
	}
	d.key("N", "Delete", "M", "E", "Q", "Ctrl+D", "Ctrl+C", "Space", "Period", "Ctrl+E", "O", "Left", "Ctrl+A")
	d.sane("no sensors, all keys")
}

// outline is a machine whose outline has some corners, as a polygon or as a path.
func outlineOf(n int, path bool) []byte {
	var b strings.Builder
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		switch x, y := 0.5*math.Cos(a), 0.5*math.Sin(a); {
		case path && k == 0:
			fmt.Fprintf(&b, "path: M %.5f %.5f", x, y)
		case path:
			fmt.Fprintf(&b, " L %.5f %.5f", x, y)
		case k == 0:
			fmt.Fprintf(&b, "polygon: [[%.5f m, %.5f m]", x, y)
		default:
			fmt.Fprintf(&b, ", [%.5f m, %.5f m]", x, y)
		}
	}
	end := "]"
	if path {
		end = " Z\n    scale: 1 m"
	}
	return bytes.Replace(ring(4, 1), []byte("{rectangle: [1 m, 1 m], corner: 100 mm, centre: [0 m, 0 m], height: 60..420 mm}"),
		[]byte("\n    "+b.String()+end+"\n    height: 60..420 mm"), 1)
}

func TestAnOutlineWithTenThousandCorners(t *testing.T) {
	for _, path := range []bool{false, true} {
		d := deskWith(t, &hasty{})
		d.Load("round.yaml", outlineOf(10_000, path))
		d.Frame()
		d.sane("ten thousand corners")
		got := d.cards("fault:")
		if len(got) == 0 || !strings.Contains(got[0], "10000") || !strings.Contains(got[0], "no more than 1000") || !strings.HasPrefix(got[0], "7:") {
			t.Errorf("path %v: %q", path, got)
		}
		d.Load("round.yaml", outlineOf(1000, path)) // as many as there may be
		d.Frame()
		if got := d.cards("fault:"); len(got) > 0 || !d.inSight("left-1") {
			t.Errorf("path %v, a thousand: %q", path, got)
		}
	}
}

// longFile is a layout of some lines more, all of them comments and blank.
func longFile(lines int) []byte {
	return bytes.Replace(ring(8, 1), []byte("sensors:"), []byte(strings.Repeat("# as people write them\n\n", lines/2)+"sensors:"), 1)
}

func TestALongFile(t *testing.T) {
	d := deskWith(t, &hasty{})
	d.Load("long.yaml", longFile(40_000))
	d.Frame()
	before := d.Text()
	d.set("Name", "another name")
	if gone, come := diff(before, d.Text()); len(gone) != 1 || len(come) != 1 || come[0] != "name: another name" {
		t.Errorf("a name changes %q to %q", gone, come)
	}
	at, _ := d.Sensor("left-1")
	d.drag(d.Where(at), d.Where([2]float64{at[0] + 0.1, at[1]}))
	if gone, come := diff(before, d.Text()); len(gone) != 2 || len(come) != 2 {
		t.Errorf("a drag too changes %q to %q", gone, come)
	}
	d.key("Ctrl+Z", "Ctrl+Z")
	if d.Text() != before {
		t.Error("undo does not bring the file back")
	}
}

func TestManyMistakes(t *testing.T) {
	d := deskWith(t, &hasty{})
	text := string(ring(4, 1))
	for k := range 5000 {
		text += fmt.Sprintf("nonsense%d: 1\n", k)
	}
	d.Load("wrong.yaml", []byte(text))
	d.Frame()
	d.sane("5000 mistakes")
	if got := d.cards("fault:"); len(got) == 0 || len(got) > 200 {
		t.Errorf("%d mistakes are listed", len(got))
	}
	d.Load("zones.yaml", bytes.Replace(ring(4, 1), []byte("controller:"), []byte(strings.Repeat("  - {name: z, band: {along: all, depth: 60..400 mm}, target: leg}\n", 2000)+"controller:"), 1))
	d.Frame()
	if got := d.cards("fault:"); len(got) == 0 || !strings.Contains(strings.Join(got, "\n"), "zones has 2001 entries / no more than 40") {
		t.Errorf("of 2001 zones: %q", got)
	}
}

// What undo keeps is bounded by what it takes, not only by how often: a file of a megabyte is kept some sixty times.
func TestUndoOfALargeFileIsBounded(t *testing.T) {
	d := deskWith(t, silent{})
	data := longFile(76_000)
	d.Load("long.yaml", data)
	most := 64<<20/len(data) + 1
	for k := range most + 20 {
		d.Answer(editor.Reply{Kind: editor.Read, Name: "long.yaml", Data: append(bytes.Clone(data), fmt.Sprintf("# %d\n", k)...)})
		d.clickWordsOf("Take the one on the disk")
	}
	undone := 0
	for now := d.Text(); ; undone++ {
		d.key("Ctrl+Z")
		if d.Text() == now {
			break
		}
		now = d.Text()
	}
	if undone > most || undone < 20 {
		t.Errorf("%d states of %d KiB are kept", undone, len(data)>>10)
	}
}

// clickWordsOf answers the question on the screen.
func (d *desk) clickWordsOf(label string) {
	d.t.Helper()
	for _, it := range d.Items() {
		for i, c := range it.Choices {
			if it.ID == "ask" && c.Label == label {
				if it.Waits { // nothing is chosen before the first Tab
					i++
				}
				for range i {
					d.key("Tab")
				}
				d.key("Enter")
				return
			}
		}
	}
	d.t.Fatalf("nothing asks %q", label)
}

// A bomb of names for names is refused where it stands.
func TestNamesForNamesForNames(t *testing.T) {
	text := "echowright: 1\nname: &a [x, x, x, x, x, x, x, x, x]\nsensors:\n"
	for c := 'b'; c <= 'k'; c++ {
		text += fmt.Sprintf("  - &%c [%s]\n", c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c, ", c-1), 9), ", "))
	}
	d := deskWith(t, &hasty{})
	d.Load("bomb.yaml", []byte(text))
	d.Frame()
	if got := strings.Join(d.cards("fault:"), "\n"); !strings.Contains(got, ":") || len(got) > 20_000 {
		t.Errorf("said %d bytes: %.300s", len(got), got)
	}
	d.sane("a bomb")
}
