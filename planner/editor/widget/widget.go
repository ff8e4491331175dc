// Package widget is the editor's board of fields, buttons, menus and lists. The editor says anew what items there
// are whenever its state changes; the Board keeps only what hands did to them: where the focus is, what is open, how
// far a list is scrolled, the text being typed. Events go in, acts and layers of shapes come out; there is no window
// in it and no clock, time comes with the events.
//
//	planner/editor ─► widget ─► typeset ─► canvas, input
//
// An item is known by its ID from one call to the next. Give another thing another ID (a field of another sensor is
// another field), else what was being typed goes to the wrong place.
//
// Within a layer no shape lies over a text, so a painter may set down all paths of a layer and then its texts. A text
// stands at its baseline.
package widget

import (
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/export/draw"
)

// Kind is what an item is.
type Kind int

// The kinds of item, and which fields they show. Hint and Disabled go for all.
const (
	Sheet  Kind = iota // a panel's background
	Rule               // a line across
	Label              // text in lines: Label, Ink, Size, Bold, Right
	Title              // a heading: Label, Note at the right
	Button             // Label, Mark before it, Keys behind it; Bold for the main one, Chosen for one that is held down
	Icon               // Mark in a square, Keys beside it when there is room; Label is its name in the tool tip
	Field              // Label, a line of text Value (Text stands there while it is empty), Note; a value refused comes back as Value with Wrong
	Pick               // Label, one of Choices by Index, or Value when Index is -1; Note, Wrong
	Toggle             // Label beside a box that Chosen ticks
	Plate              // a verdict: Label the question, Value, Word, Note what was asked, Ink of the edge
	Row                // of a list: Label, Word, Note at the right, Mark; Chosen
	Fold               // the heading of what can be folded away: Label, Note at the right; Chosen while it is open
	Border             // between two parts of a panel, pulled up and down
	Menu               // Label, opens Choices
	Scroll             // room for items In it, Tall high in all; leave 12 points free at their right
	Card               // a finding: Word and Label, Text, all in as many lines as they need, Ink of the edge, a way out a Choice, Note beside them
	Dialog             // over all: Label, Text, items In it, Choices as buttons, the first the main one
	Search             // over all: Label the title, Text what to type, finds among Choices; Wrong when none is found
)

// Item is one thing on the board.
type Item struct {
	ID   string
	Kind Kind
	At   canvas.Rect
	// In is the ID of the Scroll or Dialog it belongs to. At is where it stands before anything was scrolled.
	In string

	Label string
	Value string
	Word  string
	Note  string
	Text  string
	Hint  string // the tool tip
	Wrong string // what is wrong with the value
	Keys  string // the shortcut shown; the editor itself acts on it
	Mark  Mark

	Choices []Choice
	Index   int // of the choice made, -1 none

	Ink      draw.Ink
	Size     float64 // of the text, 0 what is usual
	Tall     float64 // of a Scroll: how high its content is
	LabelW   float64 // of Field and Pick: how wide the label and the note are, 0 what is usual
	NoteW    float64
	Chosen   bool
	Disabled bool
	Waits    bool // a Dialog that opens by itself: nothing typed answers it until a key or the pointer has chosen an answer
	Bold     bool
	Right    bool // text stands at the right
}

// Choice is one of several.
type Choice struct {
	Label    string
	Value    string // handed over in the Act; the label when empty
	Figures  string // at the right of the label
	Note     string
	Keys     string
	Words    string // not shown: what else it is found by
	Ticked   bool
	Disabled bool
	Rule     bool // a line above it
}

func (c Choice) value() string {
	if c.Value != "" {
		return c.Value
	}
	return c.Label
}

// Do is what was done to an item.
type Do int

// What may be done.
const (
	Pressed   Do = iota // a Button, an Icon, a Plate, a Card itself
	Edited              // the text of a Field or a Search is now Value, still being typed
	Committed           // the text of a Field is to be Value
	Cancelled           // a Field's text was put back, a Dialog or a Search is to go
	Chosen              // of Choices the one at Index with Value; a Row with its Value
	Toggled             // Index 1 on, 0 off; a Fold open or shut
	Opened              // a list was opened; a Row by double click or Enter
	Closed              // a list was closed
	Copy                // Value is to go to the clipboard
	Paste               // the clipboard's text is asked for: hand it to Insert
	Pulled              // a Border to the height Index in points, -1: back to where it is usually
)

// Act is something done to an item.
type Act struct {
	ID    string
	Do    Do
	Value string
	Index int
	Mods  input.Mods
}
