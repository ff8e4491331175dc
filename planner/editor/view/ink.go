package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// inkCell is how wide a cell of an ink is, in points: half the height of a small text's letters.
const inkCell = 4.0

// ink is how much is drawn where, so that a text finds the place where it covers least. It is asked some thousand times a
// frame, so it is kept as sums over cells: what lies in a rectangle is told by its four corners.
type ink struct {
	area       canvas.Rect
	wide, high int
	sums       []float32 // of the cells to the left of and over a corner; a row and a column more than there are cells
}

// lay begins anew for an area.
func (k *ink) lay(area canvas.Rect) {
	k.area = area
	k.wide, k.high = int(math.Ceil(max(0, area.W)/inkCell)), int(math.Ceil(max(0, area.H)/inkCell))
	n := (k.wide + 1) * (k.high + 1)
	if cap(k.sums) < n {
		k.sums = make([]float32, n)
		return
	}
	k.sums = k.sums[:n]
	clear(k.sums)
}

// shape adds the lines of a shape.
func (k *ink) shape(s draw.Shape) {
	w := weight(s)
	if w == 0 {
		return
	}
	for _, r := range s.Rings {
		for i := range r {
			switch {
			case i > 0:
				k.line(r[i-1], r[i], w)
			case !s.Open && len(r) > 2:
				k.line(r[len(r)-1], r[0], w)
			}
		}
	}
}

// weight is what a point of a shape's line costs under a text: the broader the more, of a disturbance more than of an outline,
// which goes on beside the text.
func weight(s draw.Shape) float64 {
	if s.Style.Stroke == "" || s.Style.Stroke == draw.None || s.Style.Stroke == draw.Grid {
		return 0
	}
	w := 0.5 * max(s.Style.Width, 1)
	switch s.Style.Stroke {
	case draw.Late, draw.Attention, draw.Met:
		w *= 2
	}
	return w
}

// line adds a line of a weight a point.
func (k *ink) line(a, b canvas.Point, weight float64) {
	long := math.Hypot(b[0]-a[0], b[1]-a[1])
	n := int(long/inkCell) + 1
	if !(long < 1e5) {
		return
	}
	each := float32(weight * long / float64(n))
	x, y := (a[0]-k.area.X)/inkCell, (a[1]-k.area.Y)/inkCell
	dx, dy := (b[0]-a[0])/inkCell/float64(n), (b[1]-a[1])/inkCell/float64(n)
	for i := range n {
		f := float64(i) + 0.5
		if px, py := x+f*dx, y+f*dy; px >= 0 && py >= 0 && px < float64(k.wide) && py < float64(k.high) {
			k.sums[(int(py)+1)*(k.wide+1)+int(px)+1] += each
		}
	}
}

// dry ends what is added: from now on it can be asked.
func (k *ink) dry() {
	for y := 1; y <= k.high; y++ {
		row, over := k.sums[y*(k.wide+1):(y+1)*(k.wide+1)], k.sums[(y-1)*(k.wide+1):y*(k.wide+1)]
		sum := float32(0)
		for x := 1; x <= k.wide; x++ {
			sum += row[x]
			row[x] = over[x] + sum
		}
	}
}

// under is what a text over a rectangle would cover.
func (k *ink) under(r canvas.Rect) float64 {
	x0, y0 := k.cell(r.X-k.area.X, math.Floor, k.wide), k.cell(r.Y-k.area.Y, math.Floor, k.high)
	x1, y1 := k.cell(r.X+r.W-k.area.X, math.Ceil, k.wide), k.cell(r.Y+r.H-k.area.Y, math.Ceil, k.high)
	if x1 <= x0 || y1 <= y0 {
		return 0
	}
	at := func(x, y int) float64 { return float64(k.sums[y*(k.wide+1)+x]) }
	return max(0, at(x1, y1)-at(x0, y1)-at(x1, y0)+at(x0, y0))
}

func (k *ink) cell(at float64, round func(float64) float64, most int) int {
	return min(max(int(round(at/inkCell)), 0), most)
}
