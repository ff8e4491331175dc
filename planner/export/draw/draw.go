// Package draw turns a Plan into pictures that any writer can set down: shapes in world units, ink
// by meaning, no colours and no file format. planner/export/svg writes them; planner/report lays
// them out on a page.
package draw

import "math"

// Ink names what a shape means; the writer chooses its colour, and its hatch or dash, so that colour is never the only sign.
type Ink string

// The inks.
const (
	None      Ink = "none"
	Text      Ink = "ink"
	Quiet     Ink = "quiet"
	Grid      Ink = "grid"
	Line      Ink = "line"
	Body      Ink = "body"
	Beam      Ink = "beam"
	Front     Ink = "front" // wavefront
	Blind     Ink = "blind"
	Attention Ink = "look"
	Met       Ink = "met"
	Late      Ink = "late"
	Deaf      Ink = "deaf"
	Plate     Ink = "plate"
)

// Point is a place in the picture's own units: x to the right, y up.
type Point [2]float64

// Style is how a path is set down. Width is in pixels.
type Style struct {
	Fill, Stroke Ink
	Opacity      float64 // of the fill; 0 means opaque
	Width        float64
	Dashed       bool
	Dotted       bool
	Hatched      bool // fill with lines at 45 degrees in the ink of Fill
}

// Anchor says which end of a text its point holds.
type Anchor string

// The anchors.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Shape is a path, or a text when Text is not empty.
type Shape struct {
	Rings  [][]Point // a path; even-odd
	Open   bool      // a line, not a ring
	Style  Style
	Title  string // shown when pointed at, and read out
	Text   string
	At     Point
	Size   float64 // of the text, pixels
	Anchor Anchor
	Bold   bool
	Shift  Point // pixels right and up from At
}

// Layer is a named group of shapes.
type Layer struct {
	Name   string
	Shapes []Shape
}

// Picture is a drawing: a window of the world and how many pixels a unit takes along each axis.
type Picture struct {
	Title    string
	Min, Max Point
	PxX, PxY float64
	Layers   []Layer
}

// Width is the picture's width in pixels.
func (p *Picture) Width() float64 { return (p.Max[0] - p.Min[0]) * p.PxX }

// Height is the picture's height in pixels.
func (p *Picture) Height() float64 { return (p.Max[1] - p.Min[1]) * p.PxY }

// Px turns a world point into pixels from the top left.
func (p *Picture) Px(q Point) (x, y float64) {
	return (q[0] - p.Min[0]) * p.PxX, (p.Max[1] - q[1]) * p.PxY
}

// layer returns the named layer, made at the end if it is new.
func (p *Picture) layer(name string) *Layer {
	for i := range p.Layers {
		if p.Layers[i].Name == name {
			return &p.Layers[i]
		}
	}
	p.Layers = append(p.Layers, Layer{Name: name})
	return &p.Layers[len(p.Layers)-1]
}

func (p *Picture) add(layer string, s ...Shape) {
	l := p.layer(layer)
	l.Shapes = append(l.Shapes, s...)
}

// fit sets the window round the points with a margin, and one scale for both axes so that the picture is at most w by h pixels.
func (p *Picture) fit(w, h, marginPx float64, pts ...Point) {
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, q := range pts {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
		}
	}
	if len(pts) == 0 {
		lo, hi = Point{0, 0}, Point{1, 1}
	}
	spanX, spanY := math.Max(hi[0]-lo[0], 1e-3), math.Max(hi[1]-lo[1], 1e-3)
	px := math.Min((w-2*marginPx)/spanX, (h-2*marginPx)/spanY)
	m := marginPx / px
	p.Min, p.Max = Point{lo[0] - m, lo[1] - m}, Point{hi[0] + m, hi[1] + m}
	p.PxX, p.PxY = px, px
}

// Step is a round distance between grid lines, 1, 2 or 5 times a power of ten, at least least.
func Step(least float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(least)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*p >= least*(1-1e-9) {
			return k * p
		}
	}
	return 10 * p
}

// textWidth estimates the width of a text in pixels; a plate drawn from it is never too narrow for a plain sans.
func textWidth(s string, size float64) float64 { return 0.58 * size * float64(len([]rune(s))) }

// rect is a closed rectangle.
func rect(x0, y0, x1, y1 float64) []Point {
	return []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func line(s Style, pts ...Point) Shape { return Shape{Rings: [][]Point{pts}, Open: true, Style: s} }
