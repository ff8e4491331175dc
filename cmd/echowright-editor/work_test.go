//go:build !js

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// pull drags from a point by some pixels, in steps as a hand does. A window sees a press where the pointer is at its next
// tick, so each step waits for one.
func (d *desk) pull(from canvas.Point, dx, dy, scale float64) {
	d.t.Helper()
	tick := func() { d.tell("settled", ""); d.tell("settled", "") }
	d.move(int(from[0]*scale), int(from[1]*scale))
	tick()
	d.hand("mousedown", "1")
	tick()
	for k := 1.0; k <= 4; k++ {
		d.move(int(from[0]*scale+dx*k/4), int(from[1]*scale+dy*k/4))
	}
	tick()
	d.hand("mouseup", "1")
	tick()
}

func (d *desk) click(p canvas.Point) {
	d.t.Helper()
	d.move(int(p[0]), int(p[1]))
	d.hand("click", "1")
}

func (d *desk) key(keys ...string) {
	d.t.Helper()
	d.hand(append([]string{"key", "--delay", "80"}, keys...)...)
}

func cart(t *testing.T) (home, file string, text []byte) {
	t.Helper()
	text, err := os.ReadFile("../../layouts/shelf-cart.yaml")
	if err != nil {
		t.Fatal(err)
	}
	home = t.TempDir()
	file = filepath.Join(home, "cart.yaml")
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return home, file, text
}

// A sitting of work: open a file, drag a sensor, save, and the command line reckons the same for what was saved. Undone
// and saved again, the file is what it was, byte for byte.
func TestWorkAtTheDesk(t *testing.T) {
	home, file, original := cart(t)
	d := sitAt(t, home, "spied")
	d.shot("work-start")
	d.click(at(t, d, "words", "Open a file"))
	at(t, d, "item", "path:name")
	d.hand("type", "--delay", "25", file)
	d.key("Return")
	d.tells("cart.yaml")
	before := settled(t, d)
	agree(t, before, file)

	place := at(t, d, "sensor", "side.left")
	d.pull(place, -70, 0, 1)
	d.tells("• cart.yaml")
	after := settled(t, d)
	d.shot("work-dragged")
	if now := at(t, d, "sensor", "side.left"); now[0] > place[0]-30 {
		t.Errorf("the sensor stood at %v and stands at %v", place, now)
	}
	if after["seen"].Is == before["seen"].Is && after["blind"].Is == before["blind"].Is {
		t.Errorf("the verdicts are still %+v", after)
	}
	d.key("ctrl+s")
	d.until("a title without a mark", func() bool { return strings.HasPrefix(d.title(), "cart.yaml") })
	if saved, err := os.ReadFile(file); err != nil || bytes.Equal(saved, original) || string(saved) != told[string](t, d, "text", "") {
		t.Fatalf("what was saved is not what is shown, or unchanged: %v", err)
	}
	agree(t, after, file)

	d.hand("windowsize", d.window, "1000", "700")
	d.until("a smaller frame", func() bool {
		img := d.shot("work-small")
		return img.Bounds().Dx() == 1000 && pixel(img, 500, 4) == ink(draw.Paper, false)
	})
	settled(t, d)

	d.key("ctrl+z")
	d.until("the text of before", func() bool { return told[string](t, d, "text", "") == string(original) })
	d.key("ctrl+s")
	d.until("the file of before", func() bool {
		saved, err := os.ReadFile(file)
		return err == nil && bytes.Equal(saved, original)
	})
	d.until("a title without a mark", func() bool { return strings.HasPrefix(d.title(), "cart.yaml") })
	d.key("ctrl+q")
	if status := d.leave(); status != 0 || d.said.String() != "" {
		t.Errorf("status %d, said %q", status, d.said.String())
	}
}

// What was changed and not saved outlives a process that is killed: the next start offers it. Two pixels a point, dark.
func TestWorkOutlivesItsProcess(t *testing.T) {
	home, file, original := cart(t)
	d := sitAt(t, home, "spied", file, "-scale", "2", "-dark")
	d.tells("cart.yaml")
	settled(t, d)
	if img := d.shot("work-twice-dark"); img.Bounds().Dx() != 2*firstW || pixel(img, 1280, 8) != ink(draw.Paper, true) {
		t.Errorf("the window is %v with paper %v", img.Bounds(), pixel(img, 1280, 8))
	}
	d.pull(at(t, d, "sensor", "side.left"), -120, 0, 2)
	d.tells("• cart.yaml")
	changed := told[string](t, d, "text", "")
	time.Sleep(4 * time.Second)
	if err := d.command.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-d.ended

	d = sitAt(t, home, "spied", file)
	take := at(t, d, "words", "Go on with it")
	d.shot("work-offered")
	d.click(take)
	d.until("the work kept", func() bool { return told[string](t, d, "text", "") == changed })
	if changed == string(original) {
		t.Error("nothing had been changed")
	}
	if on, err := os.ReadFile(file); err != nil || !bytes.Equal(on, original) {
		t.Errorf("the file was written without being saved: %v", err)
	}
	d.tells(fmt.Sprintf("• %s", filepath.Base(file)))
	_ = d.command.Process.Kill()
}
