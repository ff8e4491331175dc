package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// Mark is a small drawn sign.
type Mark string

// The marks. The first five are the tools.
const (
	NoMark   Mark = ""
	Select   Mark = "select"
	Sensor   Mark = "sensor"
	Zone     Mark = "zone"
	Target   Mark = "target"
	Measure  Mark = "measure"
	Undo     Mark = "undo"
	Redo     Mark = "redo"
	Play     Mark = "play"
	Pause    Mark = "pause"
	Back     Mark = "back"
	On       Mark = "on"
	Plus     Mark = "plus"
	Minus    Mark = "minus"
	Whole    Mark = "whole"
	Shut     Mark = "shut"
	More     Mark = "more"
	Tick     Mark = "tick"
	Warn     Mark = "warn"
	Help     Mark = "help"
	Mirror   Mark = "mirror"
	Spread   Mark = "spread"
	Side     Mark = "side"
	Light    Mark = "light"
	Dark     Mark = "dark"
	Down     Mark = "down"
	Up       Mark = "up"
	Onward   Mark = "onward"
	Keep     Mark = "keep"
	Give     Mark = "give"
	Folder   Mark = "folder"
	Bin      Mark = "bin"
	Copied   Mark = "copied"
	Eye      Mark = "eye"
	Part     Mark = "part"
	Snapping Mark = "snapping"
)

// Marks lists every mark.
func Marks() []Mark {
	return []Mark{Select, Sensor, Zone, Target, Measure, Undo, Redo, Play, Pause, Back, On, Plus, Minus, Whole, Shut, More, Tick,
		Warn, Help, Mirror, Spread, Side, Light, Dark, Down, Up, Onward, Keep, Give, Folder, Bin, Copied, Eye, Part, Snapping}
}

// stroke is a line of a mark in a square of 20; closed and filled when so said.
type stroke struct {
	pts    []canvas.Point
	closed bool
	filled bool
	dashed bool
}

func open(pts ...canvas.Point) stroke   { return stroke{pts: pts} }
func closed(pts ...canvas.Point) stroke { return stroke{pts: pts, closed: true} }
func filled(pts ...canvas.Point) stroke { return stroke{pts: pts, closed: true, filled: true} }

// arc is a part of a circle from angle a to b in degrees, clockwise from the right.
func arc(x, y, r, a, b float64) []canvas.Point {
	n := max(2, int(math.Abs(b-a)/15)+1)
	pts := make([]canvas.Point, n)
	for i := range pts {
		t := (a + (b-a)*float64(i)/float64(n-1)) * math.Pi / 180
		pts[i] = canvas.Point{x + r*math.Cos(t), y + r*math.Sin(t)}
	}
	return pts
}

func disc(x, y, r float64) []canvas.Point { return arc(x, y, r, 0, 345) }

func box(x0, y0, x1, y1 float64) []canvas.Point {
	return []canvas.Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// strokes are what a mark is drawn of.
func (m Mark) strokes() []stroke {
	switch m {
	case Select:
		return []stroke{open(canvas.Point{4, 16}, canvas.Point{15, 5}), open(canvas.Point{8, 4.5}, canvas.Point{15.5, 4.5}, canvas.Point{15.5, 12})}
	case Sensor:
		return []stroke{filled(canvas.Point{8, 13}, canvas.Point{12, 13}, canvas.Point{13.5, 17}, canvas.Point{6.5, 17}),
			open(arc(10, 14, 5.5, 215, 325)...), open(arc(10, 14, 9.5, 215, 325)...)}
	case Zone:
		s := closed(box(3, 5, 17, 15)...)
		return []stroke{s}
	case Target:
		return []stroke{closed(disc(10, 10, 4)...), open(canvas.Point{10, 2}, canvas.Point{10, 18}), open(canvas.Point{2, 10}, canvas.Point{18, 10})}
	case Measure:
		return []stroke{open(canvas.Point{3, 10}, canvas.Point{17, 10}), open(canvas.Point{3, 6}, canvas.Point{3, 14}), open(canvas.Point{17, 6}, canvas.Point{17, 14})}
	case Undo:
		return []stroke{open(append([]canvas.Point{{4, 7}, {11, 7}}, arc(11, 12, 5, -90, 90)...)...), open(canvas.Point{8, 3}, canvas.Point{4, 7}, canvas.Point{8, 11})}
	case Redo:
		return []stroke{open(append([]canvas.Point{{16, 7}, {9, 7}}, arc(9, 12, 5, -90, -270)...)...), open(canvas.Point{12, 3}, canvas.Point{16, 7}, canvas.Point{12, 11})}
	case Play:
		return []stroke{filled(canvas.Point{6, 4}, canvas.Point{16, 10}, canvas.Point{6, 16})}
	case Pause:
		return []stroke{filled(box(5, 4, 8.5, 16)...), filled(box(11.5, 4, 15, 16)...)}
	case Back:
		return []stroke{filled(canvas.Point{16, 4}, canvas.Point{8, 10}, canvas.Point{16, 16}), open(canvas.Point{5, 4}, canvas.Point{5, 16})}
	case On:
		return []stroke{filled(canvas.Point{4, 4}, canvas.Point{12, 10}, canvas.Point{4, 16}), open(canvas.Point{15, 4}, canvas.Point{15, 16})}
	case Plus:
		return []stroke{open(canvas.Point{10, 4}, canvas.Point{10, 16}), open(canvas.Point{4, 10}, canvas.Point{16, 10})}
	case Minus:
		return []stroke{open(canvas.Point{4, 10}, canvas.Point{16, 10})}
	case Whole:
		return []stroke{open(canvas.Point{3, 8}, canvas.Point{3, 3}, canvas.Point{8, 3}), open(canvas.Point{12, 3}, canvas.Point{17, 3}, canvas.Point{17, 8}),
			open(canvas.Point{17, 12}, canvas.Point{17, 17}, canvas.Point{12, 17}), open(canvas.Point{8, 17}, canvas.Point{3, 17}, canvas.Point{3, 12})}
	case Shut:
		return []stroke{open(canvas.Point{5, 5}, canvas.Point{15, 15}), open(canvas.Point{15, 5}, canvas.Point{5, 15})}
	case More:
		return []stroke{filled(disc(4, 10, 1.6)...), filled(disc(10, 10, 1.6)...), filled(disc(16, 10, 1.6)...)}
	case Tick:
		return []stroke{open(canvas.Point{4, 10.5}, canvas.Point{8.5, 15}, canvas.Point{16, 5})}
	case Warn:
		return []stroke{closed(canvas.Point{10, 3}, canvas.Point{18, 17}, canvas.Point{2, 17}), open(canvas.Point{10, 8}, canvas.Point{10, 12}), filled(disc(10, 14.5, 1)...)}
	case Help:
		return []stroke{open(append(arc(10, 7.5, 4, 180, 400), canvas.Point{10, 11.5}, canvas.Point{10, 13})...), filled(disc(10, 16.5, 1.2)...)}
	case Mirror:
		axis := open(canvas.Point{10, 2}, canvas.Point{10, 18})
		axis.dashed = true
		return []stroke{axis, closed(canvas.Point{7.5, 5}, canvas.Point{7.5, 15}, canvas.Point{2, 15}), filled(canvas.Point{12.5, 5}, canvas.Point{12.5, 15}, canvas.Point{18, 15})}
	case Spread:
		return []stroke{open(canvas.Point{2, 14}, canvas.Point{18, 14}), filled(box(3, 7, 5, 12)...), filled(box(9, 7, 11, 12)...), filled(box(15, 7, 17, 12)...)}
	case Side:
		return []stroke{open(canvas.Point{2, 16}, canvas.Point{18, 16}), filled(box(3, 9, 5, 16)...), open(canvas.Point{5, 11}, canvas.Point{17, 5}), open(canvas.Point{5, 11}, canvas.Point{17, 14})}
	case Light:
		s := []stroke{closed(disc(10, 10, 3.5)...)}
		for a := 0.0; a < 360; a += 45 {
			c, n := math.Cos(a*math.Pi/180), math.Sin(a*math.Pi/180)
			s = append(s, open(canvas.Point{10 + 5.5*c, 10 + 5.5*n}, canvas.Point{10 + 8*c, 10 + 8*n}))
		}
		return s
	case Dark:
		return []stroke{filled(append(arc(10, 10, 7, 80, 280), arc(12.5, 10, 7.1, 256, 104)...)...)}
	case Down:
		return []stroke{open(canvas.Point{4, 7}, canvas.Point{10, 13}, canvas.Point{16, 7})}
	case Up:
		return []stroke{open(canvas.Point{4, 13}, canvas.Point{10, 7}, canvas.Point{16, 13})}
	case Onward:
		return []stroke{open(canvas.Point{7, 4}, canvas.Point{13, 10}, canvas.Point{7, 16})}
	case Keep:
		return []stroke{open(canvas.Point{10, 3}, canvas.Point{10, 12}), open(canvas.Point{6, 8.5}, canvas.Point{10, 12.5}, canvas.Point{14, 8.5}), open(canvas.Point{3, 13}, canvas.Point{3, 17}, canvas.Point{17, 17}, canvas.Point{17, 13})}
	case Give:
		return []stroke{open(canvas.Point{10, 13}, canvas.Point{10, 3.5}), open(canvas.Point{6, 7}, canvas.Point{10, 3}, canvas.Point{14, 7}), open(canvas.Point{3, 13}, canvas.Point{3, 17}, canvas.Point{17, 17}, canvas.Point{17, 13})}
	case Folder:
		return []stroke{closed(canvas.Point{2, 16}, canvas.Point{2, 4}, canvas.Point{8, 4}, canvas.Point{10, 6.5}, canvas.Point{18, 6.5}, canvas.Point{18, 16})}
	case Bin:
		return []stroke{open(canvas.Point{3, 5}, canvas.Point{17, 5}), open(canvas.Point{8, 5}, canvas.Point{8, 3}, canvas.Point{12, 3}, canvas.Point{12, 5}), open(canvas.Point{5, 5}, canvas.Point{6, 17}, canvas.Point{14, 17}, canvas.Point{15, 5})}
	case Copied:
		return []stroke{closed(box(7, 7, 17, 17)...), open(canvas.Point{4, 13}, canvas.Point{3, 13}, canvas.Point{3, 3}, canvas.Point{13, 3}, canvas.Point{13, 4})}
	case Eye:
		return []stroke{closed(append(arc(10, 16, 10, 218, 322), arc(10, 4, 10, 38, 142)...)...), filled(disc(10, 10, 2.2)...)}
	case Part:
		return []stroke{closed(canvas.Point{3, 3}, canvas.Point{17, 3}, canvas.Point{17, 9}, canvas.Point{10, 9}, canvas.Point{10, 17}, canvas.Point{3, 17})}
	case Snapping:
		return []stroke{open(append(append([]canvas.Point{{4, 3}}, arc(10, 11, 6, 180, 0)...), canvas.Point{16, 3})...), open(canvas.Point{2, 5.5}, canvas.Point{6, 5.5}), open(canvas.Point{14, 5.5}, canvas.Point{18, 5.5})}
	}
	return nil
}

// Shapes draws a mark into a square of the middle of a part of the window.
func (m Mark) Shapes(at canvas.Rect, ink draw.Ink) []draw.Shape {
	k := math.Min(at.W, at.H) / 20
	x, y := at.X+(at.W-20*k)/2, at.Y+(at.H-20*k)/2
	var out []draw.Shape
	for _, s := range m.strokes() {
		ring := make([]draw.Point, len(s.pts))
		for i, p := range s.pts {
			ring[i] = draw.Point{x + k*p[0], y + k*p[1]}
		}
		style := draw.Style{Fill: draw.None, Stroke: ink, Width: math.Max(1, 1.9*k), Dashed: s.dashed}
		if s.filled {
			style = draw.Style{Fill: ink, Stroke: draw.None}
		}
		out = append(out, draw.Shape{Rings: [][]draw.Point{ring}, Open: !s.closed, Style: style})
	}
	return out
}
