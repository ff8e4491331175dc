package draw

import (
	"fmt"
	"math"

	"echowright/planner/plan"
)

// Cycle draws one cycle: a row a sensor with its deaf time, listening, line still busy, and late sound; the cycle's end and the budget.
func Cycle(p *plan.Plan, width float64) *Picture {
	const row, left, right, top, bottom = 16.0, 110.0, 110.0, 30.0, 26.0
	s := p.Schedule.Ticked()
	end := s.CycleUs
	if s.BudgetUs > 0 {
		end = max(end, min(s.BudgetUs, 3*s.CycleUs))
	}
	end = max(end, 1)
	pxX := (width - left - right) / float64(end)
	pic := &Picture{Title: "one cycle", PxX: pxX, PxY: 1, Min: Point{-left / pxX, -row*float64(len(p.Sensors)) - bottom}, Max: Point{float64(end) + right/pxX, top}}
	bottomY := -row * float64(len(p.Sensors))
	pic.timeGrid(float64(end), bottomY)
	rows := map[string]float64{}
	for i, sensor := range p.Sensors {
		y := -row * (float64(i) + 0.5)
		rows[sensor.Name] = y
		pic.add("names", Shape{Text: sensor.Name, At: Point{0, y}, Shift: Point{-8, -4}, Size: 11, Anchor: End, Style: Style{Fill: Text}})
	}
	for _, f := range s.Firings {
		pic.firing(f, rows[f.Sensor], s.CycleUs)
	}
	pic.mark(float64(s.CycleUs), bottomY, Text, false, plan.Milliseconds(s.CycleUs))
	if s.BudgetUs > 0 && s.BudgetUs <= end {
		pic.mark(float64(s.BudgetUs), bottomY, Attention, true, "budget "+plan.Milliseconds(s.BudgetUs))
	}
	return pic
}

func (pic *Picture) timeGrid(end, bottomY float64) {
	d := Step(70 / pic.PxX)
	for t := 0.0; t <= end; t += d {
		pic.add("grid", line(Style{Stroke: Grid, Width: 1}, Point{t, 0}, Point{t, bottomY}),
			Shape{Text: fmt.Sprintf("%.6g", t/1000), At: Point{t, bottomY}, Shift: Point{0, -14}, Size: 11, Anchor: Middle, Style: Style{Fill: Quiet}})
	}
	pic.add("grid", Shape{Text: "ms", At: Point{0, bottomY}, Shift: Point{-14, -14}, Size: 11, Anchor: End, Style: Style{Fill: Quiet}})
}

func (pic *Picture) firing(f plan.Firing, y float64, cycle int64) {
	bar := func(from, until int64, h float64, st Style, title string) {
		if until > from {
			pic.add("cycle", Shape{Rings: [][]Point{rect(float64(from), y-h, float64(until), y+h)}, Style: st, Title: f.Sensor + " " + title})
		}
	}
	bar(f.AtUs, f.MayHearFromUs, 5, Style{Fill: Deaf}, "deaf")
	bar(f.MayHearFromUs, f.ListenFromUs, 5, Style{Fill: Deaf, Opacity: 0.35, Stroke: Deaf, Width: 0.8}, "deaf or not")
	bar(f.ListenFromUs, f.ListenUntilUs, 5, Style{Fill: Beam}, "listening")
	bar(f.ListenUntilUs, f.BusyUntilUs, 4, Style{Fill: Beam, Opacity: 0.15, Stroke: Beam, Width: 1}, "line still busy")
	if late := min(f.LateUntilUs, cycle); late > f.ListenUntilUs {
		pic.add("cycle", line(Style{Stroke: Late, Width: 1.4, Dotted: true}, Point{float64(f.ListenUntilUs), y}, Point{float64(late), y}))
	}
}

func (pic *Picture) mark(x, bottomY float64, ink Ink, dashed bool, text string) {
	shift, anchor := Point{-4, 6}, End
	if dashed {
		shift, anchor = Point{4, 6}, Start
	}
	pic.add("marks", line(Style{Stroke: ink, Width: 1.6, Dashed: dashed}, Point{x, 10}, Point{x, bottomY}),
		Shape{Text: text, At: Point{x, 6}, Shift: shift, Size: 11, Anchor: anchor, Bold: !dashed, Style: Style{Fill: ink}})
}

// curveStyles tell curves apart without colour.
var curveStyles = []Style{
	{Stroke: Beam, Width: 2}, {Stroke: Attention, Width: 2, Dashed: true}, {Stroke: Late, Width: 2, Dotted: true},
	{Stroke: Text, Width: 1.5}, {Stroke: Blind, Width: 1.5, Dashed: true},
}

// Curves draws level over distance for one kind, a line a target, with the threshold at 0 dB.
func Curves(p *plan.Plan, kind string, width, height float64) *Picture {
	const left, right, top, bottom = 44.0, 150.0, 14.0, 30.0
	far, high, low := 1.0, 10.0, -20.0
	var curves []plan.Curve
	for _, c := range p.Curves {
		if c.Kind != kind {
			continue
		}
		curves = append(curves, c)
		for _, q := range c.Points {
			if q[1] >= low {
				far, high = math.Max(far, q[0]), math.Max(high, q[1])
			}
		}
	}
	pic := &Picture{Title: "level over distance, " + kind, PxX: (width - left - right) / far, PxY: (height - top - bottom) / (high - low)}
	pic.Min, pic.Max = Point{-left / pic.PxX, low - bottom/pic.PxY}, Point{far + right/pic.PxX, high + top/pic.PxY}
	pic.axes(far, low, high)
	for i, c := range curves {
		var pts []Point
		for _, q := range c.Points {
			if q[1] >= low {
				pts = append(pts, q)
			}
		}
		if len(pts) < 2 {
			continue
		}
		st := curveStyles[i%len(curveStyles)]
		l := line(st, pts...)
		l.Title = c.Target
		key := Point{far, high}
		y := -14 * float64(i)
		pic.add("curves", l, line(st, pic.off(key, 10, y-4), pic.off(key, 34, y-4)),
			Shape{Text: c.Target, At: key, Shift: Point{40, y - 8}, Size: 11, Anchor: Start, Style: Style{Fill: Text}})
	}
	return pic
}

// off moves a world point by pixels right and up.
func (pic *Picture) off(q Point, right, up float64) Point {
	return Point{q[0] + right/pic.PxX, q[1] + up/pic.PxY}
}

func (pic *Picture) axes(far, low, high float64) {
	dx, dy := Step(70/pic.PxX), Step(28/pic.PxY)
	for x := 0.0; x <= far*(1+1e-9); x += dx {
		pic.add("grid", line(Style{Stroke: Grid, Width: 1}, Point{x, low}, Point{x, high}),
			Shape{Text: fmt.Sprintf("%.4g m", x), At: Point{x, low}, Shift: Point{0, -16}, Size: 11, Anchor: Middle, Style: Style{Fill: Quiet}})
	}
	for y := math.Ceil(low/dy) * dy; y <= high; y += dy {
		pic.add("grid", line(Style{Stroke: Grid, Width: 1}, Point{0, y}, Point{far, y}),
			Shape{Text: fmt.Sprintf("%.4g dB", y), At: Point{0, y}, Shift: Point{-6, -4}, Size: 11, Anchor: End, Style: Style{Fill: Quiet}})
	}
	pic.add("grid", line(Style{Stroke: Text, Width: 1.4}, Point{0, 0}, Point{far, 0}))
}
