//go:build !js

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
)

// timed says on its standard output how long after the process was begun the window had been painted.
type timed struct {
	editor.Program
	ready func(*canvas.Frame) bool
	shown bool // the frame painted last was one to be timed
	over  bool
}

const begun = "ECHOWRIGHT_EDITOR_TEST_BEGUN"

// Frame is asked for again only when what it gave before has been painted.
func (p *timed) Frame() (*canvas.Frame, bool) {
	if p.shown && !p.over {
		p.over = true
		ns, _ := strconv.ParseInt(os.Getenv(begun), 10, 64)
		fmt.Printf("painted %d\n", time.Since(time.Unix(0, ns)).Milliseconds())
	}
	f, fresh := p.Program.Frame()
	p.shown = p.shown || p.ready(f)
	return f, fresh
}

func newTimed(dark bool) (editor.Program, func(), error) {
	p, end, err := newProgram(dark)
	if err != nil {
		return nil, nil, err
	}
	return &timed{Program: p, ready: func(*canvas.Frame) bool { return len(p.(spied).Verdicts()) > 0 }}, end, nil
}

// empty is a window with nothing in it.
type empty struct{ editor.Program }

func (empty) Frame() (*canvas.Frame, bool) { return &canvas.Frame{W: firstW, H: firstH}, true }

func newEmpty(dark bool) (editor.Program, func(), error) {
	p, end, err := newDemo(dark)
	return &timed{Program: empty{p}, ready: func(*canvas.Frame) bool { return true }}, end, err
}

// From the call to a window with a drawing and its verdicts in it takes less than 1.5 s more than to an empty one.
func TestTheDrawingIsSoonThere(t *testing.T) {
	file, err := filepath.Abs("../../layouts/shelf-cart.yaml")
	if err != nil {
		t.Fatal(err)
	}
	took := func(program string, args ...string) time.Duration {
		d := sit(t, program, args...)
		at := 0
		d.until("the time it took", func() bool {
			_, text, found := strings.Cut(d.said.String(), "painted ")
			at, err = strconv.Atoi(strings.TrimSpace(text))
			return found && err == nil
		})
		_ = d.command.Process.Kill()
		return time.Duration(at) * time.Millisecond
	}
	nothing, drawing := took("empty"), took("timed", file)
	t.Logf("an empty window is painted after %v, the demo's drawing and verdicts after %v", nothing, drawing)
	if more := drawing - nothing; more > 1500*time.Millisecond {
		t.Errorf("the drawing takes %v more", more)
	}
}
