package main

import (
	"context"
	"errors"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/cmd/echowright-editor/devices"
	"echowright/cmd/echowright-editor/draw"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// The window's size in points: at first, and at least.
const (
	firstW, firstH = 1280, 800
	leastW, leastH = 480, 360
)

// window runs a Program under Ebitengine: one Update hands over what happened and what was found, and asks for the
// frame; Draw paints only when that is a new one.
type window struct {
	ctx     context.Context
	program editor.Program
	painter *draw.Painter
	machine *devices.Machine
	senses  devices.Senses
	hands   devices.Hands
	pace    pace
	scale   float64 // pixels a point; 0: the screen's own
	first   string  // a file to open at the start

	start   time.Time
	size    canvas.Point // points
	frame   *canvas.Frame
	due     bool // the frame must be painted
	dark    bool
	title   string
	cursor  canvas.Cursor
	painted time.Time     // when the first frame was
	closing time.Duration // when the window was last told to close; 0: never
}

func (w *window) run() error {
	ebiten.SetWindowTitle("Echowright")
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowClosingHandled(true)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetTPS(ebiten.SyncWithFPS) // how often is decided by pace
	grow := 1.0
	if w.scale > 0 {
		grow = w.scale / ebiten.Monitor().DeviceScaleFactor()
	}
	ebiten.SetWindowSize(firstSize(grow, ebiten.Monitor()))
	ebiten.SetWindowSizeLimits(int(leastW*grow), int(leastH*grow), -1, -1)
	w.start = time.Now()
	if w.first != "" {
		w.machine.Begin(w.first)
	}
	err := ebiten.RunGameWithOptions(w, &ebiten.RunGameOptions{X11ClassName: "echowright", X11InstanceName: "echowright-editor"})
	if errors.Is(err, ebiten.Termination) {
		return nil
	}
	return err
}

// firstSize is how large the window is at first: no larger than a screen, which of twice as many pixels a point may be small.
func firstSize(grow float64, screen interface{ Size() (int, int) }) (width, height int) {
	width, height = int(firstW*grow), int(firstH*grow)
	if w, h := screen.Size(); w > 0 && h > 0 {
		width, height = min(width, w), min(height, h)
	}
	return width, height
}

// LayoutF asks for as many pixels as the screen has there.
func (w *window) LayoutF(width, height float64) (float64, float64) {
	device := ebiten.Monitor().DeviceScaleFactor()
	width, height = width*device, height*device
	if size := (canvas.Point{width / w.pixels(), height / w.pixels()}); size != w.size {
		w.size, w.due = size, true
	}
	return width, height
}

// Layout is not called where there is LayoutF.
func (w *window) Layout(width, height int) (int, int) { return width, height }

// pixels is how many pixels a point takes.
func (w *window) pixels() float64 {
	if w.scale > 0 {
		return w.scale
	}
	return ebiten.Monitor().DeviceScaleFactor()
}

// Update is one tick.
func (w *window) Update() error {
	now := time.Since(w.start)
	s := w.senses.Take(w.pixels(), w.size, now)
	events := w.hands.Events(s)
	w.machine.TakeDrops(s.At, now)
	events = append(events, w.machine.Drops()...)
	for _, e := range events {
		w.program.Handle(e)
	}
	replies := w.machine.Replies()
	for _, r := range replies {
		w.program.Answer(r)
	}
	if w.program.Busy() {
		w.program.Handle(input.Event{Kind: input.Tick, At: s.At, Mods: s.Mods, Now: now})
	}
	w.close(now)
	for _, wish := range w.program.Wishes() {
		w.machine.Do(wish)
	}
	if w.machine.Over() || w.ctx.Err() != nil {
		return ebiten.Termination
	}
	was := w.due // a window that is hidden is not painted, and its frame stays due
	w.look()
	w.pace.rest(len(events) > 0 || len(replies) > 0 || w.due && !was, w.program.Busy())
	return nil
}

// impatient is how soon after the first a second wish to close the window is obeyed at once.
const impatient = 3 * time.Second

// close passes the system's wish to close the window on as the key for it, so that the program can first ask or keep
// what is unsaved; a second wish soon after is obeyed.
func (w *window) close(now time.Duration) {
	if !ebiten.IsWindowBeingClosed() {
		return
	}
	if w.closing > 0 && now-w.closing < impatient {
		w.machine.Do(editor.Wish{Kind: editor.Quit})
	}
	w.closing = now
	w.program.Handle(input.Event{Kind: input.Key, Name: "Q", Mods: input.Mods{Ctrl: true}, Now: now})
}

// look asks the program what its window shows now.
func (w *window) look() {
	if version, why := w.painter.Unreadable(); why != "" {
		w.program.Answer(editor.Reply{Kind: editor.Picture, Version: version, Err: why})
	}
	f, fresh := w.program.Frame()
	if fresh || w.frame == nil || w.painter.Stale() {
		w.due = true
	}
	if w.frame = f; f == nil {
		return
	}
	if d := w.program.Dark(); d != w.dark {
		w.dark, w.due = d, true
	}
	if t := w.program.Title(); t != w.title {
		w.title = t
		devices.Title(t)
	}
	if f.Cursor != w.cursor {
		w.cursor = f.Cursor
		devices.Point(f.Cursor)
	}
}

// Draw paints a frame that is not painted yet; the screen keeps it until the next.
func (w *window) Draw(screen *ebiten.Image) {
	if !w.due || w.frame == nil {
		return
	}
	w.painter.Paint(screen, w.frame, w.pixels(), w.dark)
	w.due = false
	if w.painted.IsZero() {
		w.painted = time.Now()
	}
}
