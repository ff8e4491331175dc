// Package input is what hands do to the editor, as plain values: the window makes them from its devices, tests
// write them down.
package input

import (
	"time"

	"echowright/planner/editor/canvas"
)

// Kind is what happened.
type Kind int

// The kinds of event.
const (
	Move   Kind = iota // the pointer is now At
	Press              // Button went down At; Clicks counts presses in quick turn at one place, from 1
	Lift               // Button went up At
	Wheel              // Scroll by points to the right and down, or with Ctrl held: zoom
	Pinch              // two fingers: zoom by Zoom about At
	Key                // Name went down, or repeats while held
	Type               // Text was typed
	Drop               // Files were dropped At
	Resize             // the window is now Size
	Tick               // time went on
	Leave              // the pointer left the window
)

// Button is a button of the pointer.
type Button int

// The buttons; a touch is Left.
const (
	Left Button = iota
	Middle
	Right
)

// Mods are the keys held.
type Mods struct{ Shift, Ctrl, Alt bool } // Ctrl is also the command key of a Mac

// Event is one thing that happened.
type Event struct {
	Kind   Kind
	At     canvas.Point
	Button Button
	Clicks int
	Scroll canvas.Point
	Zoom   float64
	// Name of a key: "A".."Z", "0".."9", "F1".."F12", "Enter", "Escape", "Tab", "Backspace", "Delete", "Left", "Right",
	// "Up", "Down", "Home", "End", "PageUp", "PageDown", "Space", "Plus", "Minus", "Comma", "Period", "Slash".
	Name  string
	Text  string
	Mods  Mods
	Files []File
	Size  canvas.Point
	Now   time.Duration // since the editor started
}

// File is a file handed over with its content.
type File struct {
	Name string
	Data []byte
	Err  string // why it could not be read; Data is nil then
}
