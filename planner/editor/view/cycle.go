package view

import (
	"fmt"
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Ruling is where times and sensors lie in the picture of a cycle.
type Ruling struct {
	plot    canvas.Rect // from time zero to the end of what is shown
	endUs   int64       // at the plot's right edge
	cycleUs int64
	rows    []row
	names   canvas.Rect // the column of names
}

// row is one line of the cycle.
type row struct {
	label   string
	sensors []string // one, or a group
}

// Time is the time within the cycle at an x of the window, µs: beyond its ends that of the end. It is false while there is
// no cycle.
func (r Ruling) Time(x float64) (us int64, ok bool) {
	if r.cycleUs <= 0 || r.plot.W <= 0 || math.IsNaN(x) {
		return 0, false
	}
	share := min(max((x-r.plot.X)/r.plot.W, 0), 1)
	return min(int64(math.Round(share*float64(r.endUs))), r.cycleUs), true
}

// At is where a time of the cycle lies, an x of the window; beyond what is shown that of its end.
func (r Ruling) At(us int64) float64 {
	return r.plot.X + r.plot.W*min(max(float64(us)/float64(max(r.endUs, 1)), 0), 1)
}

// Sensor is whose name stands at a point; of a group's, the first.
func (r Ruling) Sensor(at canvas.Point) (name string, ok bool) {
	if !r.names.Holds(at) || len(r.rows) == 0 {
		return "", false
	}
	pitch := r.pitch()
	i := int(math.Floor((at[1] - r.plot.Y) / pitch))
	if pitch <= 0 || i < 0 || i >= len(r.rows) || len(r.rows[i].sensors) == 0 {
		return "", false
	}
	return r.rows[i].sensors[0], true
}

func (r Ruling) pitch() float64 { return r.plot.H / float64(max(len(r.rows), 1)) }

// Measures of the cycle, in points.
const (
	titlePoints = 22
	axisPoints  = 17
	leastPitch  = 9.0 // of rows with names
	mostPitch   = 18.0
	buttonWide  = 120 // free at the top right
	marksWide   = 76  // at the right, for what is written beside the last mark
	leastEdged  = 2.0 // how wide a piece of a firing is that has an edge
)

// Cycle is one cycle of firing: a row a sensor, or a row a group where they do not all fit. Two layers, so that the one
// that moves with the time mark is small.
func Cycle(p *plan.Plan, area canvas.Rect, live Live, looks Looks, r canvas.Ruler) ([]canvas.Layer, Ruling) {
	if p == nil || !roomy(area) {
		return nil, Ruling{}
	}
	c := &cycle{p: p, s: p.Schedule, area: area, live: live, looks: looks, ruler: r}
	c.shapes = make([]draw.Shape, 0, 32+len(c.p.Sensors)+4*len(c.s.Firings)) // of a firing up to six, mostly four
	c.title()
	if len(p.Sensors) > 0 {
		c.rule()
	}
	if c.s.CycleUs > 0 && c.ruling.plot.W > 0 {
		c.groups()
		c.marks()
		c.axis()
		for _, f := range c.s.Firings {
			c.firing(f)
		}
	}
	layers := []canvas.Layer{{Name: "cycle", Clip: area, Shapes: slices.Concat(c.under, c.shapes)}}
	if len(c.over) > 0 {
		layers = append(layers, canvas.Layer{Name: "time", Clip: area, Shapes: c.over})
	}
	return layers, c.ruling
}

type cycle struct {
	p                   *plan.Plan
	s                   plan.Schedule
	area                canvas.Rect
	live                Live
	looks               Looks
	ruler               canvas.Ruler
	ruling              Ruling
	at                  map[string]int // row of a sensor
	under, shapes, over []draw.Shape
	store               store
	words               [][2]float64 // spans along the axis that are written on
}

// title is what the cycle is and why it is no shorter, in what room there is.
func (c *cycle) title() {
	x, y := c.area.X, c.area.Y+15
	if c.area.H < titlePoints {
		return
	}
	const size = 13
	c.text(words.cycle, canvas.Point{x, y}, draw.Text, size, true, draw.Start)
	x += c.ruler.Width(words.cycle, size, true) + 12
	say := func(text string, ink draw.Ink, bold bool) {
		room := c.area.X + c.area.W - buttonWide - 8 - x
		if text = typeset.Fit(c.ruler, text, plain, bold, room); text != "" {
			c.text(text, canvas.Point{x, y}, ink, plain, bold, draw.Start)
			x += c.ruler.Width(text, plain, bold) + 8
		}
	}
	none := len(c.p.Sensors) == 0 || c.s.CycleUs <= 0 || len(c.s.Firings) == 0
	switch {
	case none && c.live.Coming:
		say(words.coming, draw.Quiet, false)
		return
	case none:
		say(words.noSchedule, draw.Attention, false)
		return
	case c.live.Stale:
		say(words.stale, draw.Attention, true)
	}
	ink := draw.Text
	say(words.cycleEnd(c.s), ink, false)
	if why := words.why(c.s); why != "" {
		say("· "+why, draw.Quiet, false)
	}
}

func (c *cycle) text(text string, at canvas.Point, ink draw.Ink, size float64, bold bool, anchor draw.Anchor) {
	c.shapes = append(c.shapes, draw.Shape{Text: text, At: at, Size: size, Bold: bold, Anchor: anchor, Style: draw.Style{Fill: ink}})
}

// rule lays out the rows and the time axis and writes the names.
func (c *cycle) rule() {
	room := c.area.H - titlePoints - axisPoints - 2
	if room < 8 || c.area.W < 120 {
		return
	}
	for _, s := range c.p.Sensors {
		c.ruling.rows = append(c.ruling.rows, row{label: s.Name, sensors: []string{s.Name}})
	}
	if float64(len(c.ruling.rows))*leastPitch > room && len(c.s.Groups) > 0 && len(c.s.Groups) < len(c.p.Sensors) {
		c.ruling.rows = c.ruling.rows[:0]
		for i, g := range c.s.Groups {
			c.ruling.rows = append(c.ruling.rows, row{label: words.group(i+1, g), sensors: g})
		}
	}
	c.at = map[string]int{}
	for i, r := range c.ruling.rows {
		for _, name := range r.sensors {
			c.at[name] = i
		}
	}
	n := float64(len(c.ruling.rows))
	pitch := min(room/n, mostPitch)
	size := min(max(math.Floor(pitch), 9), small)
	wide := 0.0
	for _, r := range c.ruling.rows {
		wide = max(wide, c.ruler.Width(r.label, size, true))
	}
	wide = min(wide, 0.3*c.area.W)
	top := c.area.Y + titlePoints + axisPoints
	c.ruling.names = canvas.Rect{X: c.area.X, Y: top, W: wide + 8, H: pitch * n}
	c.ruling.plot = canvas.Rect{X: c.area.X + wide + 14, Y: top, W: c.area.W - wide - 14 - marksWide, H: pitch * n}
	if c.ruling.plot.W < 20 {
		c.ruling.plot.W = max(c.area.W-wide-14, 0)
	}
	c.ruling.cycleUs, c.ruling.endUs = c.s.CycleUs, max(c.s.CycleUs, min(c.s.BudgetUs, 3*c.s.CycleUs), 1)
	if pitch < leastPitch { // written closer, names would run into each other
		return
	}
	for i, r := range c.ruling.rows {
		ink, bold := draw.Text, false
		switch {
		case slices.ContainsFunc(r.sensors, func(n string) bool { return slices.Contains(c.looks.Chosen, n) }):
			ink, bold = draw.Chosen, true
		case !c.fires(r.sensors):
			ink = draw.Quiet
		}
		y := top + pitch*(float64(i)+0.5) + 0.36*size
		c.text(typeset.Fit(c.ruler, r.label, size, bold, wide), canvas.Point{c.ruling.names.X + wide, y}, ink, size, bold, draw.End)
	}
}

func (c *cycle) fires(names []string) bool {
	return slices.ContainsFunc(c.s.Firings, func(f plan.Firing) bool { return slices.Contains(names, f.Sensor) })
}

// groups shades every second group of firings, each from its beginning to that of the next; none where each sensor has its own time.
func (c *cycle) groups() {
	if c.s.Style == plan.Staggered {
		return
	}
	var starts []int64
	for _, f := range c.s.Firings {
		i := slices.IndexFunc(c.s.Groups, func(g []string) bool { return slices.Contains(g, f.Sensor) })
		if i < 0 {
			continue
		}
		for len(starts) <= i {
			starts = append(starts, math.MaxInt64)
		}
		starts[i] = min(starts[i], f.AtUs)
	}
	slices.Sort(starts)
	plot := c.ruling.plot
	for i := 1; i < len(starts); i += 2 {
		end := c.s.CycleUs
		if i+1 < len(starts) {
			end = min(end, starts[i+1])
		}
		if x0, x1 := c.ruling.At(starts[i]), c.ruling.At(end); x1 > x0 {
			c.under = append(c.under, filled(canvas.Rect{X: x0, Y: plot.Y - 1, W: x1 - x0, H: plot.H + 2}, draw.Style{Fill: draw.Grid, Opacity: 0.6}))
		}
	}
}

// marks draws the end of the cycle, the budget and the time mark with its flag.
func (c *cycle) marks() {
	plot := c.ruling.plot
	top, low := plot.Y-4, plot.Y+plot.H+2
	if c.looks.Marked {
		x := c.ruling.At(min(max(c.looks.Mark.Microseconds(), 0), c.ruling.endUs))
		st := draw.Style{Fill: draw.Front}
		c.over = append(c.over, bar(x, top-6, low, draw.Style{Stroke: draw.Front, Width: 2}),
			draw.Shape{Rings: [][]draw.Point{{{x - 6, top - 10}, {x + 6, top - 10}, {x, top - 2}}}, Style: st})
		text := plan.Milliseconds(c.looks.Mark.Round(10 * time.Microsecond).Microseconds())
		if at, anchor, ok := c.write(text, x, 9, true, true); ok {
			c.over = append(c.over, draw.Shape{Text: text, At: canvas.Point{at, plot.Y - 6}, Size: small, Bold: true, Anchor: anchor, Style: st})
		}
	}
	x := c.ruling.At(c.s.CycleUs)
	c.shapes = append(c.shapes, bar(x, top-4, low, draw.Style{Stroke: draw.Text, Width: 2}))
	if text := plan.Milliseconds(c.s.CycleUs); true {
		if at, anchor, ok := c.write(text, x, 4, false, true); ok {
			c.text(text, canvas.Point{at, plot.Y - 6}, draw.Text, small, true, anchor)
		}
	}
	if c.s.BudgetUs > 0 && c.s.BudgetUs <= c.ruling.endUs {
		x := c.ruling.At(c.s.BudgetUs)
		c.shapes = append(c.shapes, bar(x, top-4, low, draw.Style{Stroke: draw.Attention, Width: 1.6, Dashed: true}))
		text := words.budget(c.s)
		if at, anchor, ok := c.write(text, x, 4, true, false); ok {
			c.text(text, canvas.Point{at, plot.Y - 6}, draw.Attention, small, false, anchor)
		} else {
			// Cycle and budget are close: the budget is written below.
			c.text(text, canvas.Point{min(x+4, c.area.X+c.area.W-c.ruler.Width(text, small, false)), min(low+11, c.area.Y+c.area.H-2)}, draw.Attention, small, false, draw.Start)
		}
	}
}

// write finds room for a text on the axis beside x, at its right or at its left first.
func (c *cycle) write(text string, x, gap float64, right, bold bool) (at float64, anchor draw.Anchor, ok bool) {
	w := c.ruler.Width(text, small, bold)
	for range 2 {
		span, a, from := [2]float64{x + gap, x + gap + w}, draw.Start, x+gap
		if !right {
			span, a, from = [2]float64{x - gap - w, x - gap}, draw.End, x-gap
		}
		if c.free(span) {
			c.words = append(c.words, span)
			return from, a, true
		}
		right = !right
	}
	return 0, "", false
}

// free reports whether nothing is written on a span of the axis, and it lies in the area.
func (c *cycle) free(span [2]float64) bool {
	const gap = 6
	if span[0] < c.area.X || span[1] > c.area.X+c.area.W {
		return false
	}
	for _, w := range c.words {
		if span[0] < w[1]+gap && w[0] < span[1]+gap {
			return false
		}
	}
	return true
}

// bar is an upright line.
func bar(x, top, low float64, st draw.Style) draw.Shape {
	return draw.Shape{Rings: [][]draw.Point{{{x, top}, {x, low}}}, Open: true, Style: st}
}

// axis draws lines at round times and writes those there is room for.
func (c *cycle) axis() {
	plot := c.ruling.plot
	if plot.W < 40 {
		return
	}
	step := draw.Step(64 * float64(c.ruling.endUs) / plot.W)
	var lines [][]draw.Point
	for i := range int(plot.W/64) + 2 {
		t := float64(i) * step
		if t > float64(c.ruling.endUs) {
			break
		}
		x := plot.X + plot.W*t/float64(c.ruling.endUs)
		lines = append(lines, []draw.Point{{x, plot.Y - 2}, {x, plot.Y + plot.H + 2}})
		text := fmt.Sprintf("%.6g", t/1000)
		if i == 0 {
			text += " ms"
		}
		w := c.ruler.Width(text, small, false)
		if span := [2]float64{x - w/2, x + w/2}; c.free(span) {
			c.words = append(c.words, span)
			c.text(text, canvas.Point{x, plot.Y - 6}, draw.Quiet, small, false, draw.Middle)
		}
	}
	c.under = append(c.under, draw.Shape{Rings: lines, Open: true, Style: draw.Style{Stroke: draw.Line, Width: 1}})
}

// firing draws the stretches of one firing in its row.
func (c *cycle) firing(f plan.Firing) {
	i, ok := c.at[f.Sensor]
	if !ok {
		return
	}
	pitch := c.ruling.pitch()
	mid := c.ruling.plot.Y + pitch*(float64(i)+0.5)
	half := min(max(0.33*pitch, 1), 5)
	faint := 1.0
	if c.live.Stale {
		faint = 0.35
	}
	piece := func(from, until int64, half float64, st draw.Style) {
		if st.Opacity == 0 {
			st.Opacity = 1
		}
		st.Opacity *= faint
		until = min(until, c.ruling.endUs)
		if x0, x1 := c.ruling.At(from), c.ruling.At(until); until > from {
			if x1-x0 < leastEdged { // its edge would be all there is
				st.Stroke, st.Width = draw.None, 0
			}
			x1 = max(x1, min(x0+1, c.ruling.plot.X+c.ruling.plot.W)) // a hair would not be seen
			x0 = min(x0, x1-1)
			ring := append(c.store.take(4), canvas.Point{x0, mid - half}, canvas.Point{x1, mid - half}, canvas.Point{x1, mid + half}, canvas.Point{x0, mid + half})
			c.shapes = append(c.shapes, draw.Shape{Rings: [][]draw.Point{ring}, Style: st})
		}
	}
	hears := draw.Beam
	if slices.Contains(c.looks.Chosen, f.Sensor) {
		hears = draw.Chosen
	}
	piece(f.AtUs, f.MayHearFromUs, half, draw.Style{Fill: draw.Deaf})
	piece(f.MayHearFromUs, f.ListenFromUs, half, draw.Style{Fill: draw.Deaf, Opacity: 0.4, Stroke: draw.Deaf, Width: 0.8})
	piece(f.ListenFromUs, f.ListenUntilUs, half, draw.Style{Fill: hears, Opacity: 0.8})
	piece(f.ListenUntilUs, f.BusyUntilUs, 0.75*half, draw.Style{Fill: hears, Opacity: 0.15, Stroke: hears, Width: 1})
	for _, s := range lateSpans(f, c.s.CycleUs) {
		c.shapes = append(c.shapes, draw.Shape{Rings: [][]draw.Point{{{c.ruling.At(s[0]), mid}, {c.ruling.At(s[1]), mid}}}, Open: true,
			Style: draw.Style{Stroke: draw.Late, Width: 1.6, Dotted: true}})
	}
}

// lateSpans is when a firing's sound is still about after its own window, within one cycle: what runs past the end goes
// on at the beginning.
func lateSpans(f plan.Firing, cycleUs int64) (spans [][2]int64) {
	from, until := f.ListenUntilUs, f.LateUntilUs
	if until <= from || cycleUs <= 0 {
		return nil
	}
	if from < cycleUs {
		spans = append(spans, [2]int64{from, min(until, cycleUs)})
	}
	if until > cycleUs {
		spans = append(spans, [2]int64{max(from-cycleUs, 0), min(until-cycleUs, cycleUs)})
	}
	return spans
}
