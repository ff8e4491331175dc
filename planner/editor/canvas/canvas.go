// Package canvas is what the editor's window shows, as plain values: layers of shapes in the window's own
// points, ink by meaning, no colours and no drawing library.
//
//	planner/editor ─► canvas ─► planner/export/draw
//
// The window's origin is its top left corner, x to the right, y down. A point is a pixel at scale 1 and two at
// scale 2: whoever paints multiplies.
package canvas

import "echowright/planner/export/draw"

// Point is a place in the window.
type Point = draw.Point

// Rect is a part of the window.
type Rect struct{ X, Y, W, H float64 }

// Holds reports whether p lies in r; its left and top edge belong to it.
func (r Rect) Holds(p Point) bool {
	return p[0] >= r.X && p[0] < r.X+r.W && p[1] >= r.Y && p[1] < r.Y+r.H
}

// Meets reports whether two parts overlap.
func (r Rect) Meets(o Rect) bool {
	return r.X < o.X+o.W && o.X < r.X+r.W && r.Y < o.Y+o.H && o.Y < r.Y+r.H
}

// Inset is r made smaller by d on every side.
func (r Rect) Inset(d float64) Rect { return Rect{r.X + d, r.Y + d, r.W - 2*d, r.H - 2*d} }

// Middle is the point in the middle of r.
func (r Rect) Middle() Point { return Point{r.X + r.W/2, r.Y + r.H/2} }

// Layer is a group of shapes that is painted together.
type Layer struct {
	Name string
	// Clip is the part of the window the shapes may touch; the zero Rect is the whole window.
	Clip   Rect
	Shapes []draw.Shape
	Photo  *Photo // lies under the shapes
}

// MostPixels is how many pixels a Photo may have: read, each takes four bytes or eight, whatever the size of the file.
const MostPixels = 120e6

// Photo is a picture that lies under the drawing.
type Photo struct {
	Pixels  []byte // an image file, PNG or JPEG
	Version int    // another number, other pixels
	// At is where the picture's top left corner lies, X and Y where one of its pixels to the right and down leads.
	At, X, Y Point
	Opacity  float64
}

// Frame is one picture of the window, layers from back to front.
type Frame struct {
	W, H   float64
	Layers []Layer
	Cursor Cursor
	// Field is where text is being typed, for the system's own input windows; zero when nowhere.
	Field Rect
}

// Cursor is how the pointer looks.
type Cursor int

// The pointers.
const (
	Arrow Cursor = iota
	Hand
	Cross
	Beam // over text
	Move
)

// Ruler measures text.
type Ruler interface {
	// Width is how wide a text is in points.
	Width(text string, size float64, bold bool) float64
}
