//go:build !js

package devices

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
)

// paper is a clipboard in memory.
type paper struct {
	text string
	err  error
}

func (p *paper) ReadAll() (string, error) { return p.text, p.err }
func (p *paper) WriteAll(s string) error {
	if p.err == nil {
		p.text = s
	}
	return p.err
}

// machine is one whose folder for unsaved work is empty and whose user chooses nothing.
func machine(t *testing.T) *Machine {
	m := &Machine{}
	m.keptDir = filepath.Join(t.TempDir(), "kept")
	m.choose = func(dialog) (string, error) { return "", errNothingChosen }
	m.board = &paper{}
	t.Cleanup(m.Close)
	return m
}

// wait collects replies until there are n.
func wait(t *testing.T, m *Machine, n int) []editor.Reply {
	t.Helper()
	var rs []editor.Reply
	for until := time.Now().Add(10 * time.Second); len(rs) < n; time.Sleep(time.Millisecond) {
		if rs = append(rs, m.Replies()...); time.Now().After(until) {
			t.Fatalf("%d replies, want %d", len(rs), n)
		}
	}
	return rs
}

func do(t *testing.T, m *Machine, w editor.Wish) editor.Reply {
	t.Helper()
	m.Do(w)
	r := wait(t, m, 1)[0]
	if r.Kind != w.Kind {
		t.Errorf("a reply of kind %d to a wish of kind %d", r.Kind, w.Kind)
	}
	return r
}

func TestSavedFilesAreReadBack(t *testing.T) {
	m := machine(t)
	name := filepath.Join(t.TempDir(), "a.yaml")
	if r := do(t, m, editor.Wish{Kind: editor.Save, Name: name, Data: []byte("x: 1\n")}); r.Err != "" || r.Name != name || string(r.Data) != "x: 1\n" {
		t.Errorf("%+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.Read, Name: name}); string(r.Data) != "x: 1\n" || r.Err != "" {
		t.Errorf("%+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.Read, Name: name + ".not"}); !strings.Contains(r.Err, "no such file") {
		t.Errorf("%+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.Save, Name: filepath.Join(name, "under a file"), Data: nil}); r.Err == "" {
		t.Error("a file under a file was saved")
	}
}

func TestSavingThroughALinkKeepsTheLink(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real"), filepath.Join(dir, "link")
	if err := os.WriteFile(real, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, link); err != nil {
		t.Skip(err)
	}
	do(t, machine(t), editor.Wish{Kind: editor.Save, Name: link, Data: []byte("new")})
	if st, err := os.Lstat(link); err != nil || st.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link is %v, %v", st.Mode(), err)
	}
	if got, _ := os.ReadFile(real); string(got) != "new" {
		t.Errorf("the file behind it holds %q", got)
	}
}

func TestChoosing(t *testing.T) {
	m := machine(t)
	if r := do(t, m, editor.Wish{Kind: editor.Open}); !r.Gone || r.Err != "" {
		t.Errorf("nothing chosen: %+v", r)
	}
	m.choose = func(dialog) (string, error) { return "", errNoChooser }
	for _, given := range []editor.Wish{{Kind: editor.Open}, {Kind: editor.SaveAs, Name: "x.yaml", Data: []byte("x")}} {
		if r := do(t, m, given); r.Err != "no file chooser" || !r.Chooser || r.Gone || string(r.Data) != string(given.Data) || len(r.Files) != len(given.Files) {
			t.Errorf("no chooser: %+v", r)
		}
	}
	dir := t.TempDir()
	var asked dialog
	m.choose = func(d dialog) (string, error) { asked = d; return filepath.Join(dir, "chosen"), nil }
	if r := do(t, m, editor.Wish{Kind: editor.SaveAs, Name: "cart.yaml", Data: []byte("y")}); r.Name != filepath.Join(dir, "chosen") || asked.proposal != "cart.yaml" || asked.kind != saveFile {
		t.Errorf("%+v, asked %+v", r, asked)
	}
	if r := do(t, m, editor.Wish{Kind: editor.Open}); string(r.Data) != "y" || asked.kind != openFile {
		t.Errorf("%+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.TakeAway, Text: "cart-plan", Files: map[string][]byte{"a": nil}}); !r.Chooser || r.Text != "cart-plan" || len(r.Files) != 1 {
		t.Errorf("the folder is not for the editor to ask: %+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.TakeAway, Name: dir, Files: map[string][]byte{"a.svg": []byte("1"), "b.csv": []byte("2")}}); r.Err != "" || r.Name != dir {
		t.Errorf("%+v", r)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "b.csv")); string(got) != "2" {
		t.Errorf("b.csv holds %q", got)
	}
}

// Names go into the dialogs as words or variables of their own, never into a script.
func TestDialogsTakeNamesAsTheyAre(t *testing.T) {
	const evil = `"; rm -rf $HOME #'.yaml`
	for _, goos := range []string{"linux", "windows", "darwin"} {
		for _, k := range []dialogKind{openFile, saveFile} {
			ps := programs(goos, dialog{k, evil})
			if len(ps) == 0 {
				t.Errorf("%s: no dialog", goos)
			}
			for _, p := range ps {
				if i := slices.IndexFunc(p.words, func(w string) bool { return strings.Contains(w, "rm -rf") }); i >= 0 && p.words[i] != evil && p.words[i] != "--filename="+evil {
					t.Errorf("%s: a name stands inside %q", goos, p.words[i])
				}
			}
		}
	}
}

// A dialog that says no is the user's; one that fails is none at all.
func TestDialogsAnswer(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("PATH", dir)
	if _, err := ask(dialog{}); !errors.Is(err, errNoChooser) {
		t.Errorf("without any program: %v", err)
	}
	for script, want := range map[string]struct {
		name string
		err  error
	}{"echo '/a b/c.yaml'": {"/a b/c.yaml", nil}, "exit 1": {"", errNothingChosen}, "exit 5": {"", errNoChooser}, "echo": {"", errNothingChosen}} {
		if err := os.WriteFile(filepath.Join(dir, "zenity"), []byte("#!/bin/sh\n"+script+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
		if name, err := ask(dialog{}); name != want.name || !errors.Is(err, want.err) {
			t.Errorf("%s: %q, %v", script, name, err)
		}
	}
}

func TestClipboard(t *testing.T) {
	m := machine(t)
	do(t, m, editor.Wish{Kind: editor.Copy, Text: "350 µm"})
	if r := do(t, m, editor.Wish{Kind: editor.Paste}); r.Text != "350 µm" {
		t.Errorf("%+v", r)
	}
	m.board = &paper{err: errNoClipboard}
	if r := do(t, m, editor.Wish{Kind: editor.Copy, Text: "2.5 m"}); !strings.Contains(r.Err, "xclip") {
		t.Errorf("%+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.Paste}); r.Text != "2.5 m" || r.Err != "" {
		t.Errorf("what was copied here cannot be pasted here: %+v", r)
	}
	m = machine(t)
	m.board = &paper{err: errors.New("exit status 1")}
	if r := do(t, m, editor.Wish{Kind: editor.Paste}); !r.Gone || r.Err != "" {
		t.Errorf("an empty clipboard: %+v", r)
	}
}

// What is kept aside is found by another run of the editor, until it is forgotten.
func TestUnsavedWorkIsKept(t *testing.T) {
	m := machine(t)
	work := map[string]string{"/home/a/x.yaml": "first\nline", "": "never saved", "C:\\b\n\"y\".yaml": ""}
	for name, text := range work {
		do(t, m, editor.Wish{Kind: editor.KeepAside, Name: name, Data: []byte("older")})
		if r := do(t, m, editor.Wish{Kind: editor.KeepAside, Name: name, Data: []byte(text)}); r.Err != "" {
			t.Fatal(r.Err)
		}
	}
	if err := os.WriteFile(filepath.Join(m.keptDir, "stray.kept"), []byte("not ours"), 0o600); err != nil {
		t.Fatal(err)
	}
	next := machine(t)
	next.keptDir = m.keptDir
	next.Do(editor.Wish{Kind: editor.Kept})
	for _, r := range wait(t, next, len(work)) {
		if want, ok := work[r.Name]; !ok || string(r.Data) != want {
			t.Errorf("%q is kept as %q, want %q", r.Name, r.Data, want)
		}
		if _, err := time.Parse(time.RFC3339, r.Text); err != nil {
			t.Error(err)
		}
		do(t, next, editor.Wish{Kind: editor.Forget, Name: r.Name})
	}
	if rs := next.kept(); len(rs) != 0 {
		t.Errorf("still kept: %+v", rs)
	}
	if r := do(t, next, editor.Wish{Kind: editor.Forget, Name: "never kept"}); r.Err != "" {
		t.Errorf("%+v", r)
	}
}

// A change by another program is told once, our own saving is not, and neither is a file that is open no more.
func TestChangesByOthersAreTold(t *testing.T) {
	m := machine(t)
	dir := t.TempDir()
	name, other := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(name, "one")
	write(other, "other")
	do(t, m, editor.Wish{Kind: editor.Read, Name: name})
	do(t, m, editor.Wish{Kind: editor.Save, Name: name, Data: []byte("ours")})
	time.Sleep(everySecond * 3 / 2)
	if rs := m.Replies(); len(rs) != 0 {
		t.Errorf("our own saving is told: %+v", rs)
	}
	write(name, "theirs")
	if r := wait(t, m, 1)[0]; r.Kind != editor.Read || string(r.Data) != "theirs" || r.Name != name {
		t.Errorf("%+v", r)
	}
	do(t, m, editor.Wish{Kind: editor.Read, Name: other})
	write(name, "nobody looks")
	time.Sleep(everySecond * 3 / 2)
	if rs := m.Replies(); len(rs) != 0 {
		t.Errorf("a file that is open no more is told: %+v", rs)
	}
}

// The window stays until what must be written is written, and does not wait for the user to choose.
func TestTheEndWaitsForWriting(t *testing.T) {
	m := machine(t)
	release := make(chan struct{})
	m.choose = func(d dialog) (string, error) {
		<-release
		return filepath.Join(t.TempDir(), "late"), nil
	}
	m.Do(editor.Wish{Kind: editor.SaveAs, Data: []byte("x")})
	m.Do(editor.Wish{Kind: editor.Quit})
	if m.Over() {
		t.Error("over while a file is being saved")
	}
	close(release)
	wait(t, m, 1)
	if !m.Over() {
		t.Error("not over when all is written")
	}
}

// broken is a file system that panics, as a drop made by a script can.
type broken struct{ fs.FS }

func (b broken) Open(name string) (fs.File, error) {
	if name == "b.png" {
		panic("no such entry")
	}
	return b.FS.Open(name)
}

func TestDroppedFilesAreRead(t *testing.T) {
	files := fstest.MapFS{"a.yaml": {Data: []byte("x: 1")}, "b.png": {Data: bytes.Repeat([]byte("p"), 1000)}, "dir/c.YML": {Data: []byte("x: 2")}, "dir/d.txt": {Data: []byte("not of ours")}}
	m := machine(t)
	m.readDrop(files, canvas.Point{3, 4}, time.Second)
	m.readDrop(broken{files}, canvas.Point{}, 0)
	es := m.Drops()
	if len(es) != 2 || len(m.Drops()) != 0 {
		t.Fatalf("%d drops", len(es))
	}
	var names []string
	for _, f := range es[0].Files {
		names = append(names, f.Name)
	}
	if want := []string{"a.yaml", "b.png", "dir/c.YML"}; !slices.Equal(names, want) || len(es[0].Files[1].Data) != 1000 || es[0].At != (canvas.Point{3, 4}) {
		t.Errorf("%q at %v", names, es[0].At)
	}
	if fs := es[1].Files; len(fs) != 3 || fs[0].Err != "" || fs[1].Err != "it is no file that can be read" || string(fs[2].Data) != "x: 2" {
		t.Errorf("of a broken drop: %v", fs)
	}
}

// Without a clipboard program what was copied can be pasted here; with one that fails to copy likewise, and not what that
// clipboard held before.
func TestACopyThatStaysInTheWindow(t *testing.T) {
	m := machine(t)
	if r := do(t, m, editor.Wish{Kind: editor.Copy, Text: "theirs"}); r.Err != "" {
		t.Fatalf("%+v", r)
	}
	for _, err := range []error{errNoClipboard, errors.New("cannot open display")} {
		m.board = &paper{text: "old", err: err}
		if r := do(t, m, editor.Wish{Kind: editor.Copy, Text: "mine"}); r.Err != err.Error() {
			t.Errorf("%+v", r)
		}
		if r := do(t, m, editor.Wish{Kind: editor.Paste}); r.Text != "mine" || r.Gone {
			t.Errorf("%v: pasted %+v", err, r)
		}
	}
}

func TestThePaperIsKeptForTheNextStart(t *testing.T) {
	m := machine(t)
	if m.Dark() {
		t.Error("dark before anything was kept")
	}
	for _, word := range []string{"dark", "light", "dark"} {
		do(t, m, editor.Wish{Kind: editor.Paper, Text: word})
		next := &Machine{}
		if next.keptDir = m.keptDir; next.Dark() != (word == "dark") {
			t.Errorf("%s: dark is %v", word, next.Dark())
		}
	}
}
