// Package editor is the whole editor but its window: the layout being edited, its changes and how they are undone, what
// is chosen, gestures, and the screen put together. It has no files, no clock and no drawing library.
//
//	events, replies ─► Editor ─► frames, wishes
package editor

import (
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// Program is what a window runs: events in, pictures and wishes out. Editor is one.
type Program interface {
	// Handle takes one event.
	Handle(input.Event)
	// Frame is the picture now; fresh is false when nothing changed since the last call, and what is painted can stay.
	Frame() (f *canvas.Frame, fresh bool)
	Dark() bool
	Title() string
	// Wishes returns what it asks of the machine since the last call.
	Wishes() []Wish
	// Answer takes what the machine found.
	Answer(Reply)
	// Busy asks for Ticks even when nothing is done by hand: something moves, or answers are awaited.
	Busy() bool
}

// WishKind is what the editor asks of the machine it runs on; it has no files, clipboard or windows itself.
type WishKind int

// The wishes.
const (
	Open      WishKind = iota // let the user choose a file and read it
	Read                      // read the file Name
	Save                      // write Data to Name, whole or not at all
	SaveAs                    // let the user choose a name, Name being a proposal, and write Data there
	TakeAway                  // write Files into the folder Name; without one, into a folder the user chooses, Text being a proposal
	Copy                      // put Text on the clipboard
	Paste                     // get the clipboard's text
	KeepAside                 // keep Data as unsaved work on Name
	Forget                    // the unsaved work on Name is no longer needed
	Kept                      // list what unsaved work is kept: a Reply each
	Quit                      // close the window
	List                      // what Text, seen from the folder Name, is; of a folder what it holds. Name "" is where one begins
	Recents                   // which layouts were opened or saved last
	Paper                     // keep for the next start that the paper is as Text says: "dark" or "light"
	Picture                   // never asked: a reply of this kind says with Err that the picture of Version cannot be painted
)

// Wish is one thing asked of the machine.
type Wish struct {
	Kind  WishKind
	Name  string
	Data  []byte
	Text  string
	Files map[string][]byte
}

// Found is what lies under a name.
type Found int

// What may lie there.
const (
	Nothing Found = iota
	AFile
	AFolder
)

// Reply is what came of a wish. A reply of kind Read that nobody asked for says that the open file changed on
// the disk.
type Reply struct {
	Kind WishKind
	Name string
	Data []byte
	Text string
	// Err says in words why it could not be done; with Chooser, that this machine has no file chooser, and Data or Files
	// are those of the wish, so that the editor asks for the name itself.
	Err     string
	Chooser bool
	Files   map[string][]byte
	Gone    bool // the user chose nothing
	// Lost: the open file is no longer there; with Err, it is there and cannot be read.
	Lost bool
	// Found and Names answer List: what the full path Name is, and what a folder holds, folders with a / behind. Names
	// also answers Recents: full paths, the newest first.
	Found Found
	Names []string
	// Version is that of the canvas.Photo a reply of kind Picture is about.
	Version int
}
