package editor

import "echowright/planner/editor/widget"

// What tests look at that no caller needs.

// Items are the items of the screen as they stand.
func (e *Editor) Items() []widget.Item { return e.screen() }

// Focus is the ID of the item that keys go to.
func (e *Editor) Focus() string { return e.board.Focus() }

// Scrolled is how far a Scroll is scrolled.
func (e *Editor) Scrolled(id string) float64 { return e.board.Scrolled(id) }

// PlatesOf are the plates that the findings of a code belong to.
func PlatesOf(code string) []string { return platesOf(code) }
