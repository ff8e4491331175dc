package editor_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
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

// header is the beginning of a PNG that says it is w by h.
func header(w, h uint32) []byte {
	chunk := append([]byte("IHDR"), 0, 0, 0, 0, 0, 0, 0, 0, 8, 2, 0, 0, 0)
	binary.BigEndian.PutUint32(chunk[4:], w)
	binary.BigEndian.PutUint32(chunk[8:], h)
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
}

func TestRubbishTakesTheDocumentsPlaceNowhere(t *testing.T) {
	utf16 := []byte{0xFF, 0xFE}
	for _, c := range "echowright: 1\n" {
		utf16 = append(utf16, byte(c), 0)
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"bomb.png", header(60_000, 60_000), "bomb.png cannot be opened: a picture of 60000 by 60000 pixels is too large; give one of at most 120 million pixels"},
		{"huge.png", header(1<<31-1, 1<<31-1), "huge.png cannot be opened: the picture is damaged (png: unsupported feature: dimension overflow)"},
		{"none.png", header(0, 5), "none.png cannot be opened: the picture is damaged (png: invalid format: non-positive dimension)"},
		{"half.png", header(4, 4)[:20], "half.png cannot be opened: the picture is damaged (unexpected EOF)"},
		{"noise.bin", []byte("a\x00\x01\xff"), "noise.bin cannot be opened: it is no layout and no PNG or JPEG picture"},
		{"log.txt", bytes.Repeat([]byte("a line\n"), 300_000), "log.txt cannot be opened: it is no picture, and with 2050 KiB too large for a layout, which has at most 1024"},
	} {
		ways := map[string]func(*desk){
			"dropped": func(d *desk) { d.drop(input.File{Name: c.name, Data: c.data}) },
			"opened":  func(d *desk) { d.Answer(editor.Reply{Kind: editor.Open, Name: "/x/" + c.name, Data: c.data}) },
			"read":    func(d *desk) { d.Answer(editor.Reply{Kind: editor.Read, Name: "/x/" + c.name, Data: c.data}) },
		}
		for way, do := range ways {
			d := deskWith(t, &hasty{})
			d.Load("rover.yaml", sample(t, "first-rover"))
			d.key("N", "Left")
			before, title := d.Text(), d.Title()
			do(d)
			if !strings.HasPrefix(d.Said(), c.want) {
				t.Errorf("%s %s: said %q", c.name, way, d.Said())
			}
			if d.Text() != before || d.Title() != title || len(d.cards("ask")) > 0 {
				t.Errorf("%s %s: the document is another", c.name, way)
			}
		}
	}
	// A text in another writing is read by the layout's reader, which says how to mend it.
	for name, data := range map[string][]byte{"save it as UTF-8": utf16, "save the file as UTF-8 text": []byte("name: M\xfcll\n"), "a layout begins with echowright: 1": nil} {
		d := deskWith(t, &hasty{})
		d.drop(input.File{Name: "old.yaml", Data: data})
		if got := strings.Join(d.cards("fault:"), "\n"); !strings.Contains(got, name) {
			t.Errorf("%q: %q", data, got)
		}
	}
}

// The open file that becomes rubbish on the disk is told as lost: what is here stays.
func TestTheOpenFileBecomesRubbish(t *testing.T) {
	d := opened(t, "first-rover")
	before := d.Text()
	d.Answer(editor.Reply{Kind: editor.Read, Name: "first-rover.yaml", Data: []byte("\x00\x00")})
	if want := "first-rover.yaml can no longer be read (it is no layout and no PNG or JPEG picture); save writes it anew"; d.Said() != want {
		t.Errorf("said %q", d.Said())
	}
	if d.Text() != before || !strings.HasPrefix(d.Title(), "•") {
		t.Errorf("title %q", d.Title())
	}
}

func picture(t *testing.T, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// photo is the picture in the frame; 0 for none.
func (d *desk) photo() (version int, pixel float64) {
	f, _ := d.Frame()
	for _, l := range f.Layers {
		if l.Photo != nil {
			return l.Photo.Version, l.Photo.X[0]
		}
	}
	return 0, 0
}

// A picture whose file breaks off is only found out while it is read: it goes again, and the one before comes back.
func TestAPictureThatBreaksOff(t *testing.T) {
	d := opened(t, "first-rover")
	whole := picture(t, 400, 300)
	d.drop(input.File{Name: "a.jpg", Data: whole})
	first, pixel := d.photo()
	d.drop(input.File{Name: "b.jpg", Data: whole[:len(whole)-100]})
	second, _ := d.photo()
	if first == 0 || second == first {
		t.Fatalf("pictures %d, %d", first, second)
	}
	d.Answer(editor.Reply{Kind: editor.Picture, Version: first, Err: "late news"})
	if now, _ := d.photo(); now != second {
		t.Error("news of another picture takes this one away")
	}
	d.Answer(editor.Reply{Kind: editor.Picture, Version: second, Err: "its file breaks off"})
	if now, p := d.photo(); now != first || p != pixel {
		t.Errorf("picture %d, a pixel %g points", now, p)
	}
	if d.Said() != "The picture cannot be shown: its file breaks off" {
		t.Errorf("said %q", d.Said())
	}
	d.key("A")
	d.Answer(editor.Reply{Kind: editor.Picture, Version: first, Err: "gone too"})
	if now, _ := d.photo(); now != 0 {
		t.Error("the last picture stays")
	}
	d.sane("without a picture")
}

// A picture is brought to no scale that is none, and one laid in a window without room can be seen later.
func TestPicturesOfNoSize(t *testing.T) {
	d := opened(t, "first-rover")
	d.resize([2]float64{300, 60})
	d.drop(input.File{Name: "a.jpg", Data: picture(t, 400, 300)})
	d.resize([2]float64{1280, 800})
	version, pixel := d.photo()
	if version == 0 || !(pixel > 0) {
		t.Fatalf("a pixel is %g points", pixel)
	}
	d.run("Bring the picture to scale")
	for _, long := range []string{"1e300 m", "0.000000001 mm", "1000000 m", "-2 m", "0 m", "NaN m", "nonsense"} {
		d.drag(canvas.Point{300, 300}, canvas.Point{500, 300})
		d.typedInto("scale:length", long)
		wrong := ""
		for _, it := range d.Items() {
			if it.ID == "scale:length" {
				wrong = it.Wrong
			}
		}
		if wrong == "" {
			t.Errorf("%q is taken", long)
		}
		if d.key("Escape"); long != "NaN m" {
			d.sane(long)
		}
	}
	if _, p := d.photo(); p != pixel {
		t.Errorf("a pixel became %g points", p)
	}
}

func TestManyThingsDroppedAtOnce(t *testing.T) {
	rover := input.File{Name: "rover.yaml", Data: sample(t, "first-rover")}
	jpg := input.File{Name: "above.jpg", Data: picture(t, 40, 30)}
	bad := input.File{Name: "film.mp4", Err: "it is larger than 65536 KiB"}
	for _, c := range []struct {
		files       []input.File
		said, title string
		photo       bool
	}{
		{nil, "Nothing that was dropped is a layout or a PNG or JPEG picture.", "not saved yet – Echowright", false},
		{[]input.File{bad}, "film.mp4 cannot be opened: it is larger than 65536 KiB", "not saved yet – Echowright", false},
		{[]input.File{jpg, bad, rover}, "Of 3 files dropped, rover.yaml is taken.", "rover.yaml – Echowright", false},
		{[]input.File{bad, rover}, "Of two files dropped, rover.yaml is taken.", "rover.yaml – Echowright", false},
		{[]input.File{jpg, jpg}, "Of two files dropped, above.jpg is taken. The picture lies underneath as soon as there is a machine.", "not saved yet – Echowright", true},
		{[]input.File{rover}, "", "rover.yaml – Echowright", false},
	} {
		d := newDesk(t)
		d.drop(c.files...)
		if d.Said() != c.said || d.Title() != c.title {
			t.Errorf("said %q, title %q", d.Said(), d.Title())
		}
		if c.photo {
			d.Load("", sample(t, "first-rover"))
			if v, _ := d.photo(); v == 0 {
				t.Error("the picture does not lie under the machine made later")
			}
		}
	}
	d := opened(t, "first-rover") // with work unsaved it is asked first
	d.key("N", "Left")
	before := d.Text()
	d.drop(rover, jpg)
	if d.Text() != before || len(d.cards("ask")) != 1 {
		t.Errorf("unsaved work is replaced: %q", d.Title())
	}
}

// Names that would break the line, turn its direction or push the menus out of the window.
func TestNamesOfAllKinds(t *testing.T) {
	for _, name := range []string{
		"/x/" + strings.Repeat("long", 60) + ".yaml", "/x/na\"me\nwith 'quotes'\t.yaml", "/x/\u202egnol\u2066.yaml", "/x/שלום.yaml", "/x/\xff\xfe.yaml", "/x/é" + strings.Repeat("\u0301", 400) + ".yaml", "/",
	} {
		for _, w := range []float64{1280, 640, 480} {
			d := deskWith(t, &hasty{})
			d.resize([2]float64{w, 500})
			d.Load(name, ring(4, 1))
			d.Frame()
			if strings.ContainsAny(d.Title(), "\n\t\u202e\u2066") || len([]rune(d.Title())) > 80 {
				t.Errorf("%q: title %q", name, d.Title())
			}
			end := 0.0
			for _, it := range d.Items() {
				if it.Kind != widget.Menu && it.ID != "do:help" && it.ID != "title" {
					continue
				}
				if it.At.X < end-1e-9 || it.At.X+it.At.W > w {
					t.Errorf("%q in %g: %s from %g to %g, the one before ends at %g", name, w, it.ID, it.At.X, it.At.X+it.At.W, end)
				}
				end = it.At.X + it.At.W
			}
			d.Answer(editor.Reply{Kind: editor.Save, Name: name, Err: "there is no room left on the disk"})
			if strings.ContainsAny(d.Said(), "\n\t\u202e") || len([]rune(d.Said())) > 120 {
				t.Errorf("said %q", d.Said())
			}
			d.key("Ctrl+S") // the file keeps its own name, whatever is shown
			ws := d.Wishes()
			if i := slices.IndexFunc(ws, func(w editor.Wish) bool { return w.Kind == editor.Save }); i < 0 || ws[i].Name != name {
				t.Errorf("%q is saved as %+q", name, ws)
			}
		}
	}
}

// What is said is read as a whole, in a narrow window too.
func TestWhatIsSaidIsNotCut(t *testing.T) {
	for _, w := range []float64{480, 700, 1280} {
		d := opened(t, "first-rover")
		d.resize([2]float64{w, 500})
		d.Answer(editor.Reply{Kind: editor.Save, Name: "rover.yaml", Err: "there is no room left on the disk; free some or choose another place, such as a folder of your own"})
		f, _ := d.Frame()
		var said []string
		for _, l := range f.Layers {
			for _, s := range l.Shapes {
				if l.Name != "said" || s.Text == "" {
					continue
				}
				if said = append(said, s.Text); s.At[0] < 0 || s.At[1] < l.Clip.Y || s.At[1] > l.Clip.Y+l.Clip.H || l.Clip.X < 0 || l.Clip.X+l.Clip.W > w {
					t.Errorf("%g wide: %q at %v of %v", w, s.Text, s.At, l.Clip)
				}
			}
		}
		if got := strings.Join(said, " "); got != d.Said() {
			t.Errorf("%g wide: %q", w, got)
		}
	}
}

func TestRubbishOnTheClipboard(t *testing.T) {
	bomb := "- &a [x, x, x]\n- &b [*a, *a, *a]\n- &c [*b, *b, *b]\n"
	for name, text := range map[string]string{
		"nothing": "", "a sentence": "buy milk: and eggs", "noise": "\x00\x01\xff\xfe", "megabytes": strings.Repeat("- {name: a}\n", 400_000),
		"a bomb": bomb, "brackets": strings.Repeat("[", 10_000), "half": "- {name: eye, kind: ", "another list": "- {name: q, band: 3}",
	} {
		d := opened(t, "first-rover")
		before := d.Text()
		d.Answer(editor.Reply{Kind: editor.Paste, Text: text})
		if d.Text() != before {
			t.Errorf("%s: pasted as %q", name, d.Said())
		}
		if d.Said() == "" {
			t.Errorf("%s: nothing is said", name)
		}
		it, _ := d.Item("Name")
		d.click(it.Middle())
		d.key("Ctrl+A")
		d.Answer(editor.Reply{Kind: editor.Paste, Text: text})
		d.Frame()
		d.sane(name)
		d.key("Enter")
		if _, list := layout.Parse("x.yaml", []byte(d.Text())); list.HasErrors() {
			t.Errorf("%s: typed into a field it breaks the file: %v", name, list)
		}
	}
}

// Work that cannot be kept aside for a crash is told, and tried again after a while, not at every tick.
func TestWorkThatCannotBeKeptAside(t *testing.T) {
	d := opened(t, "first-rover")
	d.key("N", "Left")
	asked := func(long time.Duration) (n int) {
		for end := d.now + long; d.now < end; {
			d.wait(time.Second)
			for _, w := range d.Wishes() {
				if w.Kind == editor.KeepAside {
					n++
					d.Answer(editor.Reply{Kind: w.Kind, Name: w.Name, Err: "there is no room left on the disk"})
				}
			}
		}
		return n
	}
	if n := asked(5 * time.Second); n != 1 || !strings.HasPrefix(d.Said(), "Unsaved work cannot be kept aside for a crash: there is no room") {
		t.Errorf("asked %d times, said %q", n, d.Said())
	}
	if n := asked(100 * time.Second); n < 2 || n > 4 {
		t.Errorf("tried %d times in 100 s", n)
	}
}

// A folder of very many files is listed as far as can be read, and typing finds among all of them, in the folder shown.
func TestAFolderOfManyFiles(t *testing.T) {
	d := opened(t, "first-rover")
	d.Answer(editor.Reply{Kind: editor.Open, Err: "none", Chooser: true})
	list := func(folder string, n int) {
		r := editor.Reply{Kind: editor.List, Name: folder, Found: editor.AFolder}
		for k := range n {
			r.Names = append(r.Names, fmt.Sprintf("Cart %d.yaml", k))
		}
		d.Answer(r)
		d.Frame()
	}
	rows := func() int { return len(d.cards("path:row:")) }
	list("/home/many", 20_000)
	if n := rows(); n != 201 || !d.shows("Cart 0.yaml") {
		t.Errorf("%d rows", n)
	}
	d.typed("19999")
	if n := rows(); n != 1 || !d.shows("Cart 19999.yaml") {
		t.Errorf("%d rows hold 19999", n)
	}
	d.key("Ctrl+A", "Delete")
	list("/home/few", 3)
	if n := rows(); n != 4 {
		t.Errorf("of another folder %d rows", n)
	}
}
