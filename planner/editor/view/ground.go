package view

import (
	"fmt"
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// gridPoints is how far apart the lines of the grid are at least.
const gridPoints = 48

// gridStep is the distance between the lines of the grid, m: round.
func (s *sheet) gridStep() float64 { return draw.Step(gridPoints / s.cam.Scale) }

// grid draws lines at round metres; those through the origin of the body are stronger.
func (s *sheet) grid() {
	s.layer("grid")
	if !s.looks.Grid {
		return
	}
	a, step := s.cam.Area, s.gridStep()
	lo, hi := s.cam.World(canvas.Point{a.X, a.Y + a.H}), s.cam.World(canvas.Point{a.X + a.W, a.Y})
	var fine, axes [][]draw.Point
	for k := range 2 {
		// As many lines as fit at their least distance, whatever rounding does.
		n, first := int(max(a.W, a.H)/gridPoints)+2, math.Ceil(lo[k]/step)
		for i := range n {
			m := (first + float64(i)) * step
			if m > hi[k] {
				break
			}
			p := s.cam.At([2]float64{m, m})
			l := []draw.Point{{p[0], a.Y}, {p[0], a.Y + a.H}}
			if k == 1 {
				l = []draw.Point{{a.X, p[1]}, {a.X + a.W, p[1]}}
			}
			if first+float64(i) == 0 {
				axes = append(axes, l)
			} else {
				fine = append(fine, l)
			}
		}
	}
	if len(fine) > 0 {
		s.add(draw.Shape{Rings: fine, Open: true, Style: draw.Style{Stroke: draw.Grid, Width: 1}})
	}
	if len(axes) > 0 {
		s.add(draw.Shape{Rings: axes, Open: true, Style: draw.Style{Stroke: draw.Line, Width: 1}})
	}
}

// scaleBar is a ruler of a round length at the lower right.
func (s *sheet) scaleBar() {
	s.layer("scale")
	a := s.cam.Area
	m := draw.Step(72 / s.cam.Scale)
	w := m * s.cam.Scale
	const right, low, tall = 20.0, 20.0, 5.0
	if 2*w+2*right > a.W || a.H < 60 {
		return
	}
	x, y := a.X+a.W-right-2*w, a.Y+a.H-low-tall
	edge := draw.Style{Fill: draw.Text, Stroke: draw.Text, Width: 1}
	open := edge
	open.Fill = draw.Plate
	s.add(filled(canvas.Rect{X: x, Y: y, W: w, H: tall}, edge), filled(canvas.Rect{X: x + w, Y: y, W: w, H: tall}, open))
	text := func(t string, x float64, at draw.Anchor) {
		s.add(draw.Shape{Text: t, At: canvas.Point{x, y - 5}, Size: small, Anchor: at, Style: draw.Style{Fill: draw.Quiet}})
	}
	text(length(0), x, draw.Middle)
	text(length(m), x+w, draw.Middle)
	text(length(2*m), x+2*w, draw.Middle)
	s.taken = append(s.taken, canvas.Rect{X: x - 8, Y: y - 18, W: 2*w + 28, H: tall + 22})
}

// length is a round length in the unit that is told in few digits.
func length(m float64) string {
	switch {
	case m == 0:
		return "0"
	case m < 0.0999:
		return fmt.Sprintf("%.4g mm", m*1000)
	}
	return fmt.Sprintf("%.4g m", m)
}
