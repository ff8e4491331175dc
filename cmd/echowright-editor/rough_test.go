//go:build !js

package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"echowright/cmd/echowright-editor/devices"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// bench is the editor with the machine's own files and the analysis beside it, but without a window.
type bench struct {
	*testing.T
	editor.Program
	machine devices.Machine
	begun   time.Time
}

func newBench(t *testing.T) *bench {
	t.Helper()
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_CONFIG_HOME", home)
	t.Setenv("AppData", home)
	p, end, err := newProgram(false)
	if err != nil {
		t.Fatal(err)
	}
	b := &bench{T: t, Program: p, begun: time.Now()}
	t.Cleanup(end)
	t.Cleanup(b.machine.Close)
	b.Handle(input.Event{Kind: input.Resize, Size: canvas.Point{1280, 800}})
	return b
}

// turn is what the window does at each tick.
func (b *bench) turn() {
	for _, r := range b.machine.Replies() {
		b.Answer(r)
	}
	b.Handle(input.Event{Kind: input.Tick, Now: time.Since(b.begun)})
	for _, w := range b.Wishes() {
		b.machine.Do(w)
	}
	b.Frame()
}

// says waits for a text on the screen.
func (b *bench) says(text string) bool {
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		b.turn()
		f, _ := b.Frame()
		var all []string
		for _, l := range f.Layers {
			for _, s := range l.Shapes {
				all = append(all, s.Text)
			}
		}
		if strings.Contains(strings.Join(all, " "), text) {
			return true
		}
	}
	return false
}

// Whatever is opened, what comes of it is said, and the window stays what it was.
func TestFilesThatAreNone(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, data []byte) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	huge := put("huge.yaml", nil)
	if err := os.Truncate(huge, 200<<20); err != nil {
		t.Fatal(err)
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	cases := map[string]string{
		filepath.Join(dir, "none.yaml"): "none.yaml cannot be opened: there is no such file",
		dir:                             "cannot be opened: it is a folder",
		filepath.Join(huge, "in.yaml"):  "in.yaml cannot be opened: a part of the path is a file",
		filepath.Join(dir, strings.Repeat("n", 300)): "cannot be opened: the name is too long",
		huge: "huge.yaml cannot be opened: it is larger than 65536 KiB",
		put("noise.yaml", bytes.Repeat([]byte{0, 7}, 5000)): "noise.yaml cannot be opened: it is no layout and no PNG or JPEG picture",
		put("half.png", picture.Bytes()[:30]):               "half.png cannot be opened: the picture is damaged",
		put("empty.yaml", nil):                              "the file holds no layout",
		put("whole.png", picture.Bytes()):                   "The picture lies underneath as soon as there is a machine.",
	}
	if runtime.GOOS == "linux" {
		cases["/dev/zero"] = "zero cannot be opened: it is a pipe or a device; choose a file"
	}
	for name, want := range cases {
		if runtime.GOOS != "linux" && (strings.Contains(want, "a part of") || strings.Contains(want, "too long")) {
			continue // the words are the system's own
		}
		b := newBench(t)
		b.machine.Begin(name)
		if !b.says(want) {
			t.Errorf("%s: not said: %q", name, want)
		}
	}
}

// The file goes while it is open, and its folder with it: it is told, the work stays, and a save that cannot be says why.
func TestTheFolderGoesWhileItsFileIsOpen(t *testing.T) {
	b := newBench(t)
	dir := filepath.Join(t.TempDir(), "carts")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "cart.yaml")
	_, _, text := cart(t)
	if err := os.WriteFile(name, text, 0o644); err != nil {
		t.Fatal(err)
	}
	b.machine.Begin(name)
	if !b.says("cart.yaml") { // "saved" would be in "not saved yet", too
		t.Fatal("not opened")
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if !b.says("cart.yaml is no longer there; save writes it anew") {
		t.Fatal("not said that the file is gone")
	}
	b.Handle(input.Event{Kind: input.Key, Name: "S", Mods: input.Mods{Ctrl: true}})
	if !b.says("cart.yaml is not saved: there is no folder") {
		t.Error("not said that there is no folder")
	}
	if !strings.HasPrefix(b.Title(), "•") {
		t.Errorf("counts as saved: %q", b.Title())
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	b.Handle(input.Event{Kind: input.Key, Name: "S", Mods: input.Mods{Ctrl: true}})
	if !b.says("Saved as cart.yaml") {
		t.Error("not said that it is saved")
	}
	if data, err := os.ReadFile(name); err != nil || !bytes.Equal(data, text) {
		t.Errorf("not written anew: %v", err)
	}
}
