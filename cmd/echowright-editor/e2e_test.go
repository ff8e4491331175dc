//go:build !js

package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"echowright/cmd/echowright-editor/xvfb"
	"echowright/planner/export/draw"
)

// desk is a window of its own process on an X server of its own, driven as a user would: by xdotool.
type desk struct {
	t       *testing.T
	display string
	window  string
	command *exec.Cmd
	said    notes
	ended   chan error
	ask     io.Writer // questions of a program that is spied on, a line each
	answers *bufio.Reader
}

// notes are what a process said so far.
type notes struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (n *notes) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.text.Write(p)
}

func (n *notes) String() string {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.text.String()
}

// patience is how long anything the window does may take on a machine that is busy with other tests.
const patience = 60 * time.Second

// sit starts a program in a window; the test is skipped where there is no X server, or nothing to drive it by.
func sit(t *testing.T, program string, args ...string) *desk {
	t.Helper()
	return sitAt(t, t.TempDir(), program, args...)
}

// sitAt is sit in a home that is there already.
func sitAt(t *testing.T, home, program string, args ...string) *desk {
	t.Helper()
	if testing.Short() {
		t.Skip("opens windows")
	}
	for tool, from := range map[string]string{"xdotool": "xdotool", "import": "imagemagick"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not on PATH (Debian: apt-get install %s)", tool, from)
		}
	}
	server, err := xvfb.Start()
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(server.Stop)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	d := &desk{t: t, display: server.Display, ended: make(chan error, 1)}
	d.command = exec.Command(self, args...)
	// Without the search path no clipboard program and no file chooser is found: what the machine has differs.
	d.command.Env = append(os.Environ(), shown+"="+program, fmt.Sprintf("%s=%d", begun, time.Now().UnixNano()), "DISPLAY="+d.display, "WAYLAND_DISPLAY=", "HOME="+home, "XDG_CONFIG_HOME="+home, "PATH="+home)
	d.command.Dir, d.command.Stdout, d.command.Stderr = home, &d.said, &d.said
	if program == "spied" {
		d.command.Stdout = nil
		out, err := d.command.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if d.ask, err = d.command.StdinPipe(); err != nil {
			t.Fatal(err)
		}
		d.answers = bufio.NewReader(out)
	}
	if err := d.command.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { d.ended <- d.command.Wait() }()
	t.Cleanup(func() { _ = d.command.Process.Kill() })
	d.until("a window", func() bool {
		out, err := d.tool("xdotool", "search", "--onlyvisible", "--class", "echowright")
		d.window = strings.TrimSpace(out)
		return err == nil && d.window != "" && d.title() != "Echowright"
	})
	d.until("a first picture", func() bool { return pixel(d.shot("first"), 640, 6) != draw.RGB{} })
	return d
}

func (d *desk) tool(words ...string) (string, error) {
	c := exec.Command(words[0], words[1:]...)
	c.Env = append(os.Environ(), "DISPLAY="+d.display)
	out, err := c.Output()
	return string(out), err
}

// hand has xdotool do something.
func (d *desk) hand(words ...string) {
	d.t.Helper()
	if out, err := d.tool(append([]string{"xdotool"}, words...)...); err != nil {
		d.t.Fatalf("xdotool %q: %v %s", words, err, out)
	}
}

// move puts the pointer at a pixel of the window and gives the window time to see it there.
func (d *desk) move(x, y int) {
	d.t.Helper()
	d.hand("mousemove", "--window", d.window, strconv.Itoa(x), strconv.Itoa(y))
	time.Sleep(150 * time.Millisecond)
}

func (d *desk) title() string {
	out, _ := d.tool("xdotool", "getwindowname", d.window)
	return strings.TrimSpace(out)
}

// until waits for something to come true.
func (d *desk) until(what string, true func() bool) {
	d.t.Helper()
	for end := time.Now().Add(patience); !true(); time.Sleep(30 * time.Millisecond) {
		select {
		case err := <-d.ended:
			d.t.Fatalf("the window ended (%v) while waiting for %s: %s", err, what, d.said.String())
		default:
		}
		if time.Now().After(end) {
			d.shot("vain")
			d.t.Fatalf("waited in vain for %s; the title is %q", what, d.title())
		}
	}
}

func (d *desk) tells(part string) {
	d.t.Helper()
	d.until(fmt.Sprintf("%q in the title", part), func() bool { return strings.Contains(d.title(), part) })
}

// shot is a picture of the window; ECHOWRIGHT_SHOTS names a folder to keep it in for looking at.
func (d *desk) shot(name string) image.Image {
	d.t.Helper()
	out, err := d.tool("import", "-silent", "-window", d.window, "png:-")
	if err != nil {
		d.t.Fatal(err)
	}
	if dir := os.Getenv("ECHOWRIGHT_SHOTS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".png"), []byte(out), 0o644); err != nil {
			d.t.Fatal(err)
		}
	}
	img, err := png.Decode(strings.NewReader(out))
	if err != nil {
		d.t.Fatal(err)
	}
	return img
}

// leave waits for the window to end by itself and returns its status.
func (d *desk) leave() int {
	d.t.Helper()
	select {
	case err := <-d.ended:
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			return exit.ExitCode()
		}
		return 0
	case <-time.After(patience):
		d.t.Fatal("the window does not end")
		return -1
	}
}

func pixel(img image.Image, x, y int) draw.RGB {
	r, g, b, _ := img.At(x, y).RGBA()
	return draw.RGB{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}
}

func ink(i draw.Ink, dark bool) draw.RGB {
	for _, t := range draw.Palette {
		if t.Ink == i {
			if dark {
				return t.Dark
			}
			return t.Light
		}
	}
	return draw.RGB{}
}

// One sitting with everything a hand does, checked by what the program says it was told and by what is on the screen.
func TestASitting(t *testing.T) {
	d := sit(t, "demo")
	d.tells("size 1280×800")
	img := d.shot("light")
	if got := pixel(img, 640, 10); got != ink(draw.Paper, false) {
		t.Errorf("the paper is %v", got)
	}
	if got := pixel(img, 455, 320); got != ink(draw.Body, false) {
		t.Errorf("the body is %v", got)
	}

	t.Log("drag the chosen lobe straight up, then to the left")
	d.move(700, 340)
	d.hand("mousedown", "1")
	d.tells("press 0, 1 times, at 700 340")
	d.move(460, 120)
	d.tells("heading 90,")
	d.move(250, 340)
	d.tells("heading 180,")
	d.hand("mouseup", "1")
	time.Sleep(150 * time.Millisecond) // what happens between two ticks is seen to happen where the pointer is then
	d.move(460, 500)
	d.tells("heading 180,")
	if got := pixel(d.shot("dragged"), 300, 330); got == pixel(img, 300, 330) {
		t.Errorf("the lobe was dragged here, and the pixel is %v as before", got)
	}

	t.Log("double click, wheel")
	time.Sleep(500 * time.Millisecond)
	d.hand("click", "--repeat", "2", "--delay", "60", "3")
	d.tells("press 2, 2 times, at 460 500")
	d.hand("click", "4")
	d.tells("zoom 1.08")

	t.Log("type, erase, copy, paste")
	d.hand("key", "--delay", "80", "Escape")
	d.tells("[]")
	d.hand("type", "--delay", "80", "350 mm")
	d.tells("[350 mm]")
	d.hand("key", "--delay", "80", "BackSpace") // a key struck twice between two ticks is seen once
	d.tells("[350 m]")
	d.hand("key", "--delay", "80", "BackSpace")
	d.tells("[350 ]")
	d.hand("key", "--delay", "80", "ctrl+c")
	d.tells("clipboard")
	d.hand("key", "--delay", "80", "ctrl+v")
	d.tells("[350 350 ]")
	d.hand("keydown", "BackSpace")
	d.tells("[]")
	d.hand("keyup", "BackSpace")

	t.Log("type as fast as no hand can")
	const fast = "cannot be shorter: 12 x 14.071 ms + 12 guards of 0.7 ms"
	d.hand("type", "--delay", "2", fast)
	d.tells("[" + fast + "]")
	d.hand("key", "--delay", "80", "Escape")
	d.tells("[]")

	t.Log("open where there is no chooser; save")
	d.hand("key", "--delay", "80", "ctrl+o")
	d.tells("no file chooser")
	d.hand("type", "--delay", "80", "saved")
	d.tells("[saved]")
	d.hand("key", "--delay", "80", "ctrl+s")
	d.tells("saved, 6 bytes")
	if got, err := os.ReadFile(filepath.Join(d.command.Dir, "saved")); string(got) != "saved\n" {
		t.Errorf("saved %q, %v", got, err)
	}

	t.Log("dark paper, another size")
	d.hand("key", "--delay", "80", "ctrl+d")
	d.until("dark paper", func() bool { return pixel(d.shot("dark"), 640, 10) == ink(draw.Paper, true) })
	d.hand("windowsize", d.window, "900", "700")
	d.tells("size 900×700")
	d.until("a frame of the new size", func() bool {
		img := d.shot("small")
		return img.Bounds().Dx() == 900 && pixel(img, 450, 690) == ink(draw.Paper, true) && pixel(img, 890, 350) == ink(draw.Paper, true)
	})

	d.hand("key", "--delay", "80", "ctrl+q")
	if status := d.leave(); status != 0 {
		t.Errorf("status %d: %s", status, d.said.String())
	}
	if d.said.String() != "" {
		t.Errorf("it said %q", d.said.String())
	}
}

// At two pixels a point everything is twice as large and as crisp: the outline of the body, 2.4 points wide, is five
// pixels, its outer two a little fainter.
func TestTwicePixels(t *testing.T) {
	d := sit(t, "demo", "-scale", "2")
	d.tells("size 1280×800")
	img := d.shot("twice")
	if b := img.Bounds(); b.Dx() != 2560 || b.Dy() != 1600 {
		t.Fatalf("the window is %v", b)
	}
	full, part := 0, 0
	for y := 566; y < 579; y++ { // down through the body's upper edge, right of the middle
		switch got := pixel(img, 1010, y); {
		case got == ink(draw.Text, false):
			full++
		case got[0] < 0x70: // darker than all that lies on either side of it
			part++
		}
	}
	if full < 3 || full+part != 5 {
		t.Errorf("the outline is %d pixels and %d not quite so dark", full, part)
	}
	if got := pixel(img, 1010, 640); got != ink(draw.Body, false) {
		t.Errorf("the body is %v", got)
	}
}

// A window in which nothing happens takes less than 3 % of one core.
func TestAnIdleWindowRests(t *testing.T) {
	if _, err := os.Stat("/proc/self/stat"); err != nil {
		t.Skip("no /proc to tell the time a process took")
	}
	d := sit(t, "demo")
	took := func() float64 {
		data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", d.command.Process.Pid))
		if err != nil {
			t.Fatal(err)
		}
		fields := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:]))
		user, _ := strconv.ParseFloat(fields[11], 64)
		system, _ := strconv.ParseFloat(fields[12], 64)
		return (user + system) / 100 // ticks of a hundredth of a second, as proc(5) has it on every Linux in use
	}
	time.Sleep(still + 2*time.Second)
	start, before := time.Now(), took()
	time.Sleep(6 * time.Second)
	share := (took() - before) / time.Since(start).Seconds()
	t.Logf("%.2f %% of a core", 100*share)
	if share > 0.03 {
		t.Errorf("%.2f %% of a core", 100*share)
	}
}

// The editor itself opens the file of its call, and leaves at once when nothing is unsaved.
func TestTheEditorOpensAFile(t *testing.T) {
	file, err := filepath.Abs("../../layouts/first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, paper := range []string{"-light", "-dark"} {
		d := sit(t, "editor", file, paper)
		d.tells("first-rover")
		img := d.shot("editor" + paper)
		shades := map[draw.RGB]bool{}
		for y := 0; y < 800; y += 3 {
			for x := 0; x < 1280; x += 3 {
				shades[pixel(img, x, y)] = true
			}
		}
		if len(shades) < 20 || !shades[ink(draw.Paper, paper == "-dark")] {
			t.Errorf("%s: %d colours, paper %v", paper, len(shades), shades[ink(draw.Paper, paper == "-dark")])
		}
		d.hand("key", "--delay", "80", "ctrl+q")
		if status := d.leave(); status != 0 || d.said.String() != "" {
			t.Errorf("status %d, said %q", status, d.said.String())
		}
	}
}

// The loop's rests are short while something happens and long when nothing has for a while.
func TestPaceFollowsTheHands(t *testing.T) {
	var p pace
	for _, c := range []struct {
		happened, busy bool
		idle           time.Duration
		want           time.Duration
	}{{true, false, time.Hour, quick}, {false, true, time.Hour, calm}, {false, false, 0, calm}, {false, false, time.Hour, slow}} {
		now := time.Now()
		p.last, p.alive = now, now.Add(-c.idle)
		p.rest(c.happened, c.busy)
		if took := time.Since(now); took < c.want {
			t.Errorf("%+v: rested %v", c, took)
		}
	}
}
