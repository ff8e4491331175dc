package editor_test

import (
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
)

// disk answers a desk's wishes as a machine without a file chooser does: names are slashed paths, folders those that
// hold files.
type disk struct {
	*desk
	files   map[string]string
	recents []string
	failing string // why nothing can be written
}

func (m *disk) serve() {
	for range 8 { // an answer may bring the next wish
		for _, w := range m.Wishes() {
			m.answer(w)
		}
		m.Frame()
	}
}

func (m *disk) answer(w editor.Wish) {
	r := editor.Reply{Kind: w.Kind, Name: w.Name, Text: w.Text, Data: w.Data, Files: w.Files}
	switch w.Kind {
	case editor.Open, editor.SaveAs:
		r.Err, r.Chooser = "no file chooser", true
	case editor.TakeAway:
		switch {
		case w.Name == "":
			r.Err, r.Chooser = "no file chooser", true
		case m.failing != "":
			r.Err = m.failing
		default:
			for name, data := range w.Files {
				m.files[path.Join(w.Name, name)] = string(data)
			}
		}
	case editor.Read:
		text, ok := m.files[w.Name]
		if r.Data = []byte(text); !ok {
			r.Err = "there is no such file"
		}
	case editor.Save:
		if r.Err = m.failing; m.failing == "" {
			m.files[w.Name] = string(w.Data)
		}
	case editor.List:
		folder := w.Name
		if folder == "" {
			folder = "/home"
		}
		at := path.Join(folder, w.Text)
		if strings.HasPrefix(w.Text, "/") {
			at = path.Clean(w.Text)
		}
		r.Name = at
		if _, ok := m.files[at]; ok {
			r.Found = editor.AFile
		}
		for name := range m.files {
			rest, ok := strings.CutPrefix(name, strings.TrimSuffix(at, "/")+"/")
			if !ok {
				continue
			}
			r.Found = editor.AFolder
			if first, _, deep := strings.Cut(rest, "/"); deep {
				rest = first + "/"
			}
			if !slices.Contains(r.Names, rest) {
				r.Names = append(r.Names, rest)
			}
		}
		slices.Sort(r.Names)
	case editor.Recents:
		r.Names = m.recents
	default:
		return
	}
	m.Answer(r)
}

func newDisk(t *testing.T) *disk {
	text := string(sample(t, "first-rover"))
	m := &disk{desk: newDesk(t), files: map[string]string{
		"/home/rover.yaml": text, "/home/notes.txt": "x", "/home/carts/big.yaml": text + "# big\n", "/home/carts/small.yml": text + "# small\n",
		"/top.yaml": text + "# top\n",
	}}
	return m
}

// rows are the names shown in the list.
func (m *disk) rows() (names []string) {
	for _, it := range m.Items() {
		if name, ok := strings.CutPrefix(it.ID, "path:row:"); ok {
			names = append(names, name)
		}
	}
	return names
}

func (m *disk) press(keys ...string) {
	for _, k := range keys {
		m.key(k)
		m.serve()
	}
}

func (m *disk) wrong() string {
	for _, it := range m.Items() {
		if strings.HasPrefix(it.ID, "path:name") {
			return it.Wrong
		}
	}
	return ""
}

// clickWords clicks where words stand: a dialog's button.
func (m *disk) clickWords(words string) {
	m.t.Helper()
	f, _ := m.Frame()
	for _, l := range slices.Backward(f.Layers) {
		for _, s := range l.Shapes {
			if s.Text == words {
				m.click(canvas.Point(s.At))
				m.serve()
				return
			}
		}
	}
	m.t.Fatalf("%q stands nowhere", words)
}

// text is the text of the dialog with an ID.
func (m *disk) text(id string) string {
	for _, it := range m.Items() {
		if it.ID == id {
			return it.Text + it.Label
		}
	}
	return ""
}

func TestAFileIsFoundWithKeysAlone(t *testing.T) {
	m := newDisk(t)
	m.Load("", sample(t, "first-rover"))
	m.press("Ctrl+O")
	if got := m.rows(); !slices.Equal(got, []string{"../", "carts/", "rover.yaml"}) {
		t.Fatalf("listed %q", got)
	}
	m.press("Down", "Down", "Enter") // into carts
	if got := m.rows(); !slices.Equal(got, []string{"../", "big.yaml", "small.yml"}) {
		t.Fatalf("in the folder %q", got)
	}
	m.typed("sma")
	if got := m.rows(); !slices.Equal(got, []string{"small.yml"}) {
		t.Errorf("typing leaves %q", got)
	}
	m.press("Escape") // what was typed goes first
	if m.text("path") == "" {
		m.press("Ctrl+O", "Down", "Down", "Enter")
	}
	m.typed("sma")
	m.press("Enter")
	if m.Title() != "small.yml – Echowright" || m.Text() != m.files["/home/carts/small.yml"] {
		t.Fatalf("open is %q", m.Title())
	}
	m.press("Ctrl+O", "Alt+Up", "Backspace") // twice up from where the open file lies
	if got := m.rows(); !slices.Equal(got, []string{"home/", "top.yaml"}) {
		t.Errorf("at the top %q", got)
	}
	m.typed("/home/none.yaml")
	if len(m.rows()) != 2 {
		t.Errorf("a whole path narrows the list down to %q", m.rows())
	}
	m.press("Enter")
	if !strings.Contains(m.wrong(), "no none.yaml") {
		t.Errorf("wrong: %q", m.wrong())
	}
	m.press("Escape", "Escape")
	if m.text("path") != "" {
		t.Error("Escape does not leave the list")
	}
}

func TestAFileIsFoundWithTheMouse(t *testing.T) {
	m := newDisk(t)
	m.clickWords("Open a file")
	at, ok := m.Item("path:row:carts/")
	if !ok {
		t.Fatal("the folder is not listed")
	}
	twice := func() {
		m.click(at.Middle())
		m.do(input.Event{Kind: input.Press, At: at.Middle(), Clicks: 2})
		m.lift()
		m.serve()
	}
	twice()
	m.clickOn("path:row:big.yaml")
	m.clickWords("Cancel")
	if m.serve(); m.Text() != "" {
		t.Fatal("Cancel opened the file")
	}
	m.clickWords("Open a file")
	at, _ = m.Item("path:row:carts/")
	twice()
	at, _ = m.Item("path:row:big.yaml")
	twice()
	if m.Title() != "big.yaml – Echowright" {
		t.Errorf("open is %q", m.Title())
	}
}

// What is typed and then left by a click elsewhere is not done.
func TestCancelAfterTypingWritesNothing(t *testing.T) {
	m := newDisk(t)
	m.Load("", sample(t, "first-rover"))
	m.press("Ctrl+S")
	m.key("Ctrl+A")
	m.typed("new.yaml")
	m.clickWords("Cancel")
	if _, ok := m.files["/home/new.yaml"]; ok {
		t.Error("Cancel saved the file")
	}
}

func TestSavingOverAFileAsks(t *testing.T) {
	m := newDisk(t)
	m.Load("/home/rover.yaml", sample(t, "first-rover"))
	m.key("N", "Left")
	before := m.files["/home/carts/big.yaml"]
	save := func() {
		m.press("Ctrl+Shift+S")
		m.key("Ctrl+A")
		m.typed("/home/carts/big.yaml")
		m.press("Enter")
	}
	save()
	if !strings.Contains(m.text("ask"), "/home/carts/big.yaml") {
		t.Fatalf("asked %q", m.text("ask"))
	}
	m.press("Enter") // the first answer costs nothing
	if m.files["/home/carts/big.yaml"] != before || m.text("path") == "" {
		t.Fatal("written over, or the name is not asked again")
	}
	m.press("Enter")
	m.clickWords("Write over it")
	if m.files["/home/carts/big.yaml"] != m.Text() || m.Title() != "big.yaml – Echowright" {
		t.Errorf("%q is not what is here", m.Title())
	}
	m.press("Ctrl+Shift+S")
	m.key("Ctrl+A")
	m.typed("fresh")
	m.press("Enter")
	if m.files["/home/carts/fresh.yaml"] != m.Text() {
		t.Errorf("a name without an ending: %q", m.Title())
	}
}

// Nothing is lost by a save that fails: the reason stands by the name, and the document stays unsaved.
func TestASaveThatFails(t *testing.T) {
	m := newDisk(t)
	m.Load("/home/rover.yaml", sample(t, "first-rover"))
	m.key("N", "Left")
	changed := m.Text()
	m.failing = "there is no room left on the disk"
	m.press("Ctrl+S")
	if want := "rover.yaml is not saved: there is no room left on the disk"; m.Said() != want || !strings.HasPrefix(m.Title(), "•") || m.Text() != changed {
		t.Errorf("said %q, title %q", m.Said(), m.Title())
	}
	m.press("Ctrl+Shift+S")
	m.key("Ctrl+A", "Delete")
	m.press("Enter")
	if m.wrong() != "give a name" {
		t.Errorf("of no name: %q", m.wrong())
	}
	m.typed("other.yaml")
	m.press("Enter")
	if !strings.Contains(m.wrong(), "no room left") || !strings.HasPrefix(m.Title(), "•") {
		t.Errorf("wrong %q, title %q", m.wrong(), m.Title())
	}
	m.failing = ""
	m.press("Enter")
	if m.files["/home/other.yaml"] != changed || strings.HasPrefix(m.Title(), "•") {
		t.Errorf("not saved at last: %q", m.Title())
	}
}

// Leaving with work unsaved: a save that is given up gives up the leaving too.
func TestGivingUpTheNameGivesUpLeaving(t *testing.T) {
	m := newDisk(t)
	m.Load("", sample(t, "first-rover"))
	m.key("N", "Left")
	m.press("Ctrl+Q", "Enter", "Escape", "Ctrl+S")
	m.key("Ctrl+A")
	m.typed("late.yaml")
	m.key("Enter")
	for range 8 {
		for _, w := range m.Wishes() {
			if w.Kind == editor.Quit {
				t.Fatal("the window closes at a later save")
			}
			m.answer(w)
		}
	}
	if m.files["/home/late.yaml"] == "" {
		t.Error("not saved")
	}
}

func TestTakingAwaySaysWhere(t *testing.T) {
	m := newDisk(t)
	m.Load("/home/carts/big.yaml", sample(t, "first-rover"))
	m.run("take away everything")
	m.serve()
	told := m.text("path:what")
	if !strings.HasSuffix(told, "files into /home/carts/big-plan") {
		t.Fatalf("told %q", told)
	}
	m.press("Enter")
	if m.Said() != "Everything is in /home/carts/big-plan" || m.files["/home/carts/big-plan/big.yaml"] != m.Text() {
		t.Errorf("said %q", m.Said())
	}
	m.run("take away everything")
	m.serve()
	m.press("Enter")
	if !strings.Contains(m.text("ask"), "/home/carts/big-plan") {
		t.Errorf("written over without a question: %q", m.text("ask"))
	}
}

func TestRecentFilesAreOffered(t *testing.T) {
	m := newDisk(t)
	m.serve()
	if _, ok := m.Item("recents"); ok {
		t.Fatal("shown unasked")
	}
	m.press("Ctrl+Shift+O")
	if m.text("recents") != "" {
		t.Error("a list of none")
	}
	m.recents = []string{"/home/carts/big.yaml", "/home/rover.yaml"}
	m.Answer(editor.Reply{Kind: editor.Recents, Names: m.recents})
	m.Frame()
	if _, ok := m.Item("start"); !ok {
		t.Fatal("the start is gone")
	}
	start := m.Items()[slices.IndexFunc(m.Items(), func(it widget.Item) bool { return it.ID == "start" })]
	if len(start.Choices) != 4 || start.Choices[3].Label != "Open a recent file" {
		t.Errorf("the start offers %+v", start.Choices)
	}
	m.Load("/home/rover.yaml", []byte(m.files["/home/rover.yaml"]))
	m.run("recent")
	if m.text("recents") == "" {
		t.Fatal("the help page does not bring the list")
	}
	m.typed("big")
	m.press("Enter")
	if m.Title() != "big.yaml – Echowright" {
		t.Errorf("open is %q", m.Title())
	}
	m.press("Ctrl+Shift+O")
	m.wait(2 * time.Second)
	m.press("Escape") // at once, though the pointer has long rested
	if m.text("recents") != "" {
		t.Error("Escape does not leave the list")
	}
	delete(m.files, "/home/rover.yaml")
	m.press("Ctrl+Shift+O")
	m.typed("rover")
	m.press("Enter")
	if m.Said() != "rover.yaml cannot be opened: there is no such file" {
		t.Errorf("said %q", m.Said())
	}
}

func TestAFileThatIsLost(t *testing.T) {
	m := newDisk(t)
	m.Load("/home/rover.yaml", []byte(m.files["/home/rover.yaml"]))
	m.Answer(editor.Reply{Kind: editor.Read, Name: "/home/rover.yaml", Lost: true})
	if m.Said() != "rover.yaml is no longer there; save writes it anew" || !strings.HasPrefix(m.Title(), "•") {
		t.Fatalf("said %q, title %q", m.Said(), m.Title())
	}
	m.wait(3 * time.Second)
	if !slices.ContainsFunc(m.Wishes(), func(w editor.Wish) bool { return w.Kind == editor.KeepAside && string(w.Data) == m.Text() }) {
		t.Error("what is nowhere on the disk is not kept aside")
	}
	delete(m.files, "/home/rover.yaml")
	m.press("Ctrl+S")
	if m.files["/home/rover.yaml"] != m.Text() || strings.HasPrefix(m.Title(), "•") {
		t.Error("not written anew")
	}
	m.Answer(editor.Reply{Kind: editor.Read, Name: "/home/rover.yaml", Lost: true})
	m.Answer(editor.Reply{Kind: editor.Read, Name: "/home/rover.yaml", Data: []byte(m.Text())})
	if strings.HasPrefix(m.Title(), "•") {
		t.Error("there again as it was, and not taken for saved")
	}
}

func TestABrokenFileMendedOutsideIsTaken(t *testing.T) {
	good := string(sample(t, "first-rover"))
	bad := strings.Replace(good, "body:", "body: [", 1)
	m := newDisk(t)
	m.Load("/home/rover.yaml", []byte(bad))
	m.Frame()
	m.Answer(editor.Reply{Kind: editor.Read, Name: "/home/rover.yaml", Data: []byte(good)})
	m.Frame()
	if m.Text() != good || m.text("ask") != "" || strings.HasPrefix(m.Title(), "•") {
		t.Fatalf("asked %q, title %q", m.text("ask"), m.Title())
	}
	// A whole one with nothing changed here: the question speaks of no work, and keeping it counts as not saved.
	m.Answer(editor.Reply{Kind: editor.Read, Name: "/home/rover.yaml", Data: []byte(good + "# theirs\n")})
	m.Frame()
	if text := m.text("ask"); !strings.Contains(text, "Nothing was changed here") {
		t.Fatalf("asked %q", text)
	}
	m.key("Tab", "Enter")
	if m.Text() != good || !strings.HasPrefix(m.Title(), "•") {
		t.Errorf("kept: title %q", m.Title())
	}
}

// Where a dropped file came from is not known: saving asks, instead of writing where the program happens to run.
func TestADroppedFileIsSavedWhereTheUserSays(t *testing.T) {
	m := newDisk(t)
	m.do(input.Event{Kind: input.Drop, Files: []input.File{{Name: "rover.yaml", Data: sample(t, "first-rover")}}})
	m.key("N", "Left")
	m.press("Ctrl+S")
	if m.text("path") == "" {
		t.Fatal("not asked where")
	}
	m.press("Enter")
	if !strings.Contains(m.text("ask"), "/home/rover.yaml") {
		t.Errorf("another file of that name would be written over: %q", m.text("ask"))
	}
}
