package draw

import (
	"fmt"
	"math"

	"echowright/planner/plan"
)

// RangeAgainstCycle draws range against cycle: across, the cycle of each listening limit; upward, the share of each zone that is then seen. The
// limit stands below its points, filled where every demand is met; the budget is a dashed line.
func RangeAgainstCycle(w *plan.Ways, width, height float64) *Picture {
	const left, right, top, bottom = 52.0, 170.0, 30.0, 52.0
	lo, hi := math.Inf(1), 1.0
	for _, l := range w.Front {
		lo, hi = math.Min(lo, float64(l.CycleUs)), math.Max(hi, float64(l.CycleUs))
	}
	b := float64(w.BudgetUs)
	if b > 0 && b < 2*hi {
		lo, hi = math.Min(lo, b), math.Max(hi, b)
	}
	lo = math.Min(lo, hi)
	span := math.Max(hi-lo, 0.05*hi)
	lo, hi = math.Max(0, lo-0.08*span), hi+0.08*span
	pic := &Picture{Title: "range against cycle", PxX: (width - left - right) / (hi - lo), PxY: (height - top - bottom) / 100}
	pic.Min, pic.Max = Point{lo - left/pic.PxX, -bottom / pic.PxY}, Point{hi + right/pic.PxX, 100 + top/pic.PxY}
	pic.frontGrid(lo, hi)
	if b >= lo && b <= hi {
		pic.add("marks", line(Style{Stroke: Attention, Width: 1.6, Dashed: true}, Point{b, 0}, Point{b, 100}),
			Shape{Text: "budget " + plan.Milliseconds(w.BudgetUs), At: Point{b, 100}, Shift: Point{0, 8}, Size: 11, Anchor: Middle, Style: Style{Fill: Attention}})
	}
	if len(w.Front) == 0 {
		pic.add("names", Shape{Text: w.NoFront, At: Point{lo, 50}, Shift: Point{12, 0}, Size: 12, Anchor: Start, Style: Style{Fill: Text}})
		return pic
	}
	pic.limits(w.Front)
	for i, z := range w.Front[0].Shares {
		st := curveStyles[i%len(curveStyles)]
		var pts []Point
		for _, l := range w.Front {
			pts = append(pts, Point{float64(l.CycleUs), 100 * l.Shares[i].Share})
		}
		name := z.Zone
		if z.State != "" {
			name += ", " + z.State
		}
		l := line(st, pts...)
		l.Title = name
		key, y := Point{hi, 100}, -14*float64(i)
		pic.add("curves", l, line(st, pic.off(key, 10, y-4), pic.off(key, 34, y-4)),
			Shape{Text: name, At: key, Shift: Point{40, y - 8}, Size: 11, Anchor: Start, Style: Style{Fill: Text}})
		for k, q := range pts {
			dot := Style{Fill: Plate, Stroke: st.Stroke, Width: 1.5}
			if len(w.Front[k].Missed) == 0 {
				dot.Fill = st.Stroke
			}
			pic.add("points", Shape{Rings: [][]Point{{pic.off(q, -3, -3), pic.off(q, 3, -3), pic.off(q, 3, 3), pic.off(q, -3, 3)}}, Style: dot,
				Title: fmt.Sprintf("%s: %.1f %% in %s, no window longer than %s", name, q[1], plan.Milliseconds(w.Front[k].CycleUs), plan.Metres(w.Front[k].ListenM))})
		}
	}
	return pic
}

// limits writes each limit below its points, but where the one before leaves no room.
func (pic *Picture) limits(front []plan.Limit) {
	free := math.Inf(-1)
	for _, l := range front {
		text := plan.Metres(l.ListenM)
		x, half := float64(l.CycleUs)*pic.PxX, textWidth(text, 11)/2
		if x-half < free {
			continue
		}
		free = x + half + 4
		pic.add("names", line(Style{Stroke: Grid, Width: 1, Dotted: true}, Point{float64(l.CycleUs), 0}, Point{float64(l.CycleUs), 100}),
			Shape{Text: text, At: Point{float64(l.CycleUs), 0}, Shift: Point{0, -32}, Size: 11, Anchor: Middle, Style: Style{Fill: Text}})
	}
	pic.add("names", Shape{Text: "window", At: Point{pic.Min[0], 0}, Shift: Point{4, -32}, Size: 11, Anchor: Start, Style: Style{Fill: Quiet}})
}

func (pic *Picture) frontGrid(lo, hi float64) {
	d := Step(70 / pic.PxX)
	for t := math.Ceil(lo/d) * d; t <= hi; t += d {
		pic.add("grid", line(Style{Stroke: Grid, Width: 1}, Point{t, 0}, Point{t, 100}),
			Shape{Text: fmt.Sprintf("%.6g", t/1000), At: Point{t, 0}, Shift: Point{0, -16}, Size: 11, Anchor: Middle, Style: Style{Fill: Quiet}})
	}
	for y := 0.0; y <= 100; y += 20 {
		pic.add("grid", line(Style{Stroke: Grid, Width: 1}, Point{lo, y}, Point{hi, y}),
			Shape{Text: fmt.Sprintf("%g %%", y), At: Point{lo, y}, Shift: Point{-6, -4}, Size: 11, Anchor: End, Style: Style{Fill: Quiet}})
	}
	pic.add("grid", Shape{Text: "cycle, ms", At: Point{pic.Min[0], 0}, Shift: Point{4, -16}, Size: 11, Anchor: Start, Style: Style{Fill: Quiet}})
}
