package editor_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
)

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
