//go:build !js

package devices

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"echowright/planner/editor"
)

func put(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func filesIn(t *testing.T, dir string) (all []string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		all = append(all, e.Name())
	}
	return all
}

// The newest stands first, none twice, ten are kept, and one that is gone is not shown; another run knows them too.
func TestRecentFiles(t *testing.T) {
	m := machine(t)
	if r := do(t, m, editor.Wish{Kind: editor.Recents}); len(r.Names) != 0 || r.Err != "" {
		t.Errorf("at first: %+v", r)
	}
	dir := t.TempDir()
	var want []string
	for i := range 12 {
		name := filepath.Join(dir, fmt.Sprintf("%d.yaml", i))
		put(t, name, "x")
		do(t, m, editor.Wish{Kind: editor.Read, Name: name})
		want = append([]string{name}, want...)
	}
	do(t, m, editor.Wish{Kind: editor.Save, Name: want[3], Data: []byte("y")})
	put(t, filepath.Join(dir, "p.PNG"), "x")
	do(t, m, editor.Wish{Kind: editor.Read, Name: filepath.Join(dir, "p.PNG")})
	again := want[3]
	want = append([]string{again}, slices.Delete(want, 3, 4)...)[:mostRecent]
	next := machine(t)
	next.keptDir = m.keptDir
	if r := do(t, next, editor.Wish{Kind: editor.Recents}); !slices.Equal(r.Names, want) {
		t.Errorf("%q, want %q", r.Names, want)
	}
	if err := os.Remove(want[1]); err != nil {
		t.Fatal(err)
	}
	if r := do(t, next, editor.Wish{Kind: editor.Recents}); slices.Contains(r.Names, want[1]) || len(r.Names) != mostRecent-1 {
		t.Errorf("one that is gone is shown: %q", r.Names)
	}
	file, _ := m.recentFile()
	put(t, file, "\x00\xff\nnot a path\n"+want[0]+"\n"+want[0]+"\n")
	if r := do(t, next, editor.Wish{Kind: editor.Recents}); !slices.Equal(r.Names, want[:1]) {
		t.Errorf("of a spoilt list: %q", r.Names)
	}
}

func TestFoldersAreListed(t *testing.T) {
	m := machine(t)
	dir := t.TempDir()
	for _, name := range []string{"b.yaml", "A.yaml", ".hidden", "c.txt"} {
		put(t, filepath.Join(dir, name), "x")
	}
	for _, name := range []string{"zoo", "Parts"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	all := []string{"Parts/", "zoo/", "A.yaml", "b.yaml", "c.txt"}
	if err := os.Symlink("zoo", filepath.Join(dir, "link")); err == nil {
		all = slices.Insert(all, 0, "link/")
	}
	t.Setenv("HOME", dir)
	for _, c := range []struct {
		in, text, name string
		found          editor.Found
		names          []string
		err            string
	}{
		{dir, "", dir, editor.AFolder, all, ""},
		{filepath.Join(dir, "zoo"), "..", dir, editor.AFolder, all, ""},
		{"/", "~", dir, editor.AFolder, all, ""},
		{"/", dir + "/zoo/../zoo", filepath.Join(dir, "zoo"), editor.AFolder, nil, ""},
		{dir, "b.yaml", filepath.Join(dir, "b.yaml"), editor.AFile, nil, ""},
		{dir, "not.yaml", filepath.Join(dir, "not.yaml"), editor.Nothing, nil, ""},
		{filepath.Join(dir, "b.yaml"), "", filepath.Join(dir, "b.yaml"), editor.AFile, nil, "no folder"},
		{filepath.Join(dir, "no"), "", "", editor.Nothing, nil, "no such"},
		{dir, strings.Repeat("n", 300), "", editor.Nothing, nil, "too long"},
		{dir, "b.yaml/x", "", editor.Nothing, nil, "is a file"},
	} {
		if strings.HasPrefix(c.text, "~") && full("~") != dir {
			continue // no HOME on this system
		}
		r := do(t, m, editor.Wish{Kind: editor.List, Name: c.in, Text: c.text})
		if r.Found != c.found && c.err == "" || c.err == "" && r.Name != c.name || !slices.Equal(r.Names, c.names) || !strings.Contains(r.Err, c.err) || c.err == "" && r.Err != "" || r.Text != c.text {
			t.Errorf("%q in %q: %+v", c.text, c.in, r)
		}
	}
	if r := do(t, m, editor.Wish{Kind: editor.List}); r.Found != editor.AFolder || !filepath.IsAbs(r.Name) {
		t.Errorf("where one begins: %+v", r)
	}
}

// A file taken away is told once; there again, it is read.
func TestALostFileIsTold(t *testing.T) {
	m := machine(t)
	name := filepath.Join(t.TempDir(), "a.yaml")
	put(t, name, "one")
	do(t, m, editor.Wish{Kind: editor.Read, Name: name})
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	if r := wait(t, m, 1)[0]; !r.Lost || r.Name != name || r.Kind != editor.Read || r.Err != "" {
		t.Errorf("%+v", r)
	}
	time.Sleep(everySecond * 2)
	if rs := m.Replies(); len(rs) != 0 {
		t.Errorf("told again: %+v", rs)
	}
	put(t, name, "one")
	if r := wait(t, m, 1)[0]; r.Lost || string(r.Data) != "one" {
		t.Errorf("there again: %+v", r)
	}
	if os.Getuid() != 0 { // who may read everything loses nothing by it
		if err := os.Chmod(name, 0); err != nil {
			t.Fatal(err)
		}
		if r := wait(t, m, 1)[0]; !r.Lost || !strings.Contains(r.Err, "may not read") {
			t.Errorf("%+v", r)
		}
	}
}

// One sentence tells why; what was there stays, nothing is left beside it, and the open file is watched as before.
func TestWhatCannotBeSavedLeavesTheDiskAsItWas(t *testing.T) {
	m := machine(t)
	dir := t.TempDir()
	name := filepath.Join(dir, "a.yaml")
	put(t, name, "old")
	if err := os.Mkdir(filepath.Join(dir, "folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	do(t, m, editor.Wish{Kind: editor.Read, Name: name})
	for to, why := range map[string]string{
		filepath.Join(dir, "folder"):                 "a folder has that name",
		filepath.Join(dir, strings.Repeat("n", 300)): "too long",
		filepath.Join(name, "under"):                 "a part of the path is a file",
		filepath.Join(dir, "none", "x.yaml"):         "there is no folder",
	} {
		r := do(t, m, editor.Wish{Kind: editor.Save, Name: to, Data: []byte("new")})
		if !strings.Contains(r.Err, why) || strings.Contains(r.Err, "\n") {
			t.Errorf("%s: %q, want %q", to, r.Err, why)
		}
	}
	if got := filesIn(t, dir); !slices.Equal(got, []string{"a.yaml", "folder"}) {
		t.Errorf("left behind: %q", got)
	}
	put(t, name, "theirs")
	if r := wait(t, m, 1)[0]; string(r.Data) != "theirs" {
		t.Errorf("the open file is no longer watched: %+v", r)
	}
	if r := do(t, m, editor.Wish{Kind: editor.TakeAway, Name: filepath.Join(name, "x"), Files: map[string][]byte{"a": nil}}); !strings.Contains(r.Err, "is a file") {
		t.Errorf("%+v", r)
	}
}

// A disk of 64 KiB, where this test may make one.
func TestAFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := tinyDisk(t, dir); err != nil {
		t.Skip(err)
	}
	m := machine(t)
	name := filepath.Join(dir, "a.yaml")
	put(t, name, "old")
	big := make([]byte, 200<<10)
	for _, w := range []editor.Wish{{Kind: editor.Save, Name: name, Data: big}, {Kind: editor.TakeAway, Name: filepath.Join(dir, "plan"), Files: map[string][]byte{"a": []byte("x"), "b": big}}} {
		if r := do(t, m, w); !strings.Contains(r.Err, "no room left") {
			t.Errorf("%+v", r.Err)
		}
		if got, err := os.ReadFile(name); err != nil || string(got) != "old" {
			t.Errorf("the old file holds %q, %v", got, err)
		}
		if got := filesIn(t, dir); !slices.Equal(got, []string{"a.yaml"}) {
			t.Errorf("left behind: %q", got)
		}
	}
}

func TestWhyIsSaidInWords(t *testing.T) {
	for err, want := range map[error]string{
		syscall.ENOSPC: "no room left", syscall.EROFS: "may not write in /some", fs.ErrPermission: "may not write in /some",
		syscall.ENAMETOOLONG: "too long", syscall.ENOTDIR: "is a file",
	} {
		wrapped := fmt.Errorf("a: %w", &fs.PathError{Op: "open", Path: "a", Err: err})
		if got := whyNotWritten("/some", wrapped); !strings.Contains(got, want) {
			t.Errorf("%v: %q", err, got)
		}
	}
	if got := whyNotWritten("/", errors.New("odd")); got != "odd" {
		t.Errorf("%q", got)
	}
}
