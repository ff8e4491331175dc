package editor

import (
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// places is where the parts of the screen are.
type places struct {
	bar, plates, drawing, sheet, rows, side, cards, cycle, play canvas.Rect
	narrow                                                      bool
}

// Sizes of the screen's parts, in points.
const (
	barH      = 36
	plateH    = 40
	gap       = 8
	sheetW    = 344
	sheetMost = 480
	narrowW   = 1000
	sideH     = 132
	leastRoom = 120
)

// places arranges the screen for its size.
func (e *Editor) places() (p places) {
	w, h := e.size[0], e.size[1]
	p.narrow = w < narrowW
	cycleH := min(190, max(60, h*0.24))
	if h < 420 {
		cycleH = 0
	}
	right := w
	wide := sheetWidth(w)
	p.sheet = canvas.Rect{X: w - wide - gap, Y: barH + 4, W: wide, H: max(0, h-barH-4-cycleH-2*gap)}
	if !p.narrow {
		right = p.sheet.X - gap
	} else {
		p.sheet.Y += plateH + gap
		p.sheet.H = max(0, p.sheet.H-plateH-gap)
	}
	p.bar = canvas.Rect{W: w, H: barH}
	p.plates = canvas.Rect{X: gap, Y: barH + 4, W: max(0, right-2*gap), H: plateH}
	top := p.plates.Y + plateH + gap
	p.drawing = canvas.Rect{Y: top, W: right, H: max(0, h-top-cycleH-gap)}
	p.cycle = canvas.Rect{X: gap, Y: h - cycleH, W: max(0, w-2*gap), H: max(0, cycleH-gap)}
	p.play = canvas.Rect{X: p.cycle.X + p.cycle.W - 112, Y: p.cycle.Y + 4, W: 104, H: 24}
	in := p.sheet.Inset(2)
	side := 0.0
	if len(e.chosen) > 0 && in.H > sideH+2*leastRoom {
		side = sideH
	}
	cards := e.cardsHeight(in.H - side)
	p.rows = canvas.Rect{X: in.X, Y: in.Y, W: in.W, H: max(0, in.H-side-cards)}
	p.side = canvas.Rect{X: in.X + 14, Y: in.Y + p.rows.H, W: in.W - 28, H: side}
	p.cards = canvas.Rect{X: in.X, Y: in.Y + p.rows.H + side, W: in.W, H: cards}
	return p
}

// sheetWidth is how wide the value sheet is in a window: a wide one gives it more.
func sheetWidth(w float64) float64 { return min(sheetMost, sheetW+max(0, w-1280)*0.25) }

// sheetShown reports whether the value sheet is on the screen.
func (e *Editor) sheetShown() bool { return !e.places().narrow || e.drawer }

func (e *Editor) resize(to canvas.Point) {
	e.size = canvas.Point{max(0, to[0]), max(0, to[1])}
	now := e.places().drawing
	e.cam.Area = now
	switch {
	case !roomy(now): // too small for anything to be seen: what was shown comes back with a larger one
	case !e.fitted || e.shownIn == (canvas.Rect{}):
		e.fit()
	default:
		// What was in the middle stays there, as large as the window allows.
		e.cam.Scale *= math.Min(now.W/e.shownIn.W, now.H/e.shownIn.H)
		e.cam = e.cam.ZoomAt(now.Middle(), 1)
		e.shownIn = now
	}
	e.stale = true
}

// roomy reports whether a part of the window has room for a drawing.
func roomy(r canvas.Rect) bool { return r.W >= leastRoom && r.H >= leastRoom }

// fit shows the machine, its zones and beams.
func (e *Editor) fit() {
	e.cam.Area = e.places().drawing
	if e.shownIn = e.cam.Area; !roomy(e.shownIn) {
		e.shownIn = canvas.Rect{}
	}
	if e.shown == nil {
		e.cam = view.Fit(e.cam.Area, [2]float64{-1, -1}, [2]float64{1, 1})
		return
	}
	lo, hi := view.Extent(e.shown)
	e.cam = view.Fit(e.cam.Area, lo, hi)
	e.fitted, e.stale = true, true
}

// build makes the items of the screen.
func (e *Editor) build() (items []widget.Item) {
	if e.sheetShown() {
		e.fillSheet()
	}
	at := e.places()
	items = append(items, e.barItems(at)...)
	items = append(items, e.plateItems(at)...)
	items = append(items, e.shelfItems(at)...)
	if e.sheetShown() {
		items = append(items, e.sheetItems(at)...)
	}
	items = append(items, e.cycleItems(at)...)
	if e.dialog != nil {
		items = append(items, e.dialog.items(e)...)
	}
	return items
}

// savedRoom is what stands between the file's name and the menus: whether it is saved. leastTitle is what the name keeps.
const (
	savedRoom  = 190
	leastTitle = 60
)

func (e *Editor) barItems(at places) (items []widget.Item) {
	note := words.savedState(e.file == "", e.log.Dirty(), e.lost)
	x := 14.0
	help := widget.Item{ID: "do:help", Kind: widget.Button, Label: words.help, Keys: "F1", Hint: words.helpHint}
	help.At = canvas.Rect{Y: 5, W: e.board.Width(help), H: 26}
	menus := make([]widget.Item, len(menuNames))
	room := at.bar.W - x - savedRoom - help.At.W - 2*gap // that the menus leave to the name
	for i, name := range menuNames {
		menus[i] = widget.Item{ID: "menu:" + name, Kind: widget.Menu, Label: name, Choices: e.menuItems(name)}
		menus[i].At = canvas.Rect{Y: 4, W: e.board.Width(menus[i]), H: 28}
		room -= menus[i].At.W + 4
	}
	title, behind := shownName(e.name()), float64(savedRoom)
	if room < leastTitle {
		note, behind, room = "", 24, room+savedRoom-24
	}
	width := min(e.cfg.Ruler.Width(title, 15, true), max(leastTitle, room))
	items = append(items,
		widget.Item{ID: "title", Kind: widget.Label, At: canvas.Rect{X: x, Y: 8, W: width + 4, H: 20}, Label: title, Size: 15, Bold: true},
		widget.Item{ID: "saved", Kind: widget.Label, At: canvas.Rect{X: x + width + 14, Y: 10, W: 160, H: 18}, Label: note, Ink: draw.Quiet, Size: 11})
	x = max(x+width+behind, min(at.bar.W*0.36, x+width+behind+room-width))
	for _, it := range menus {
		it.At.X = x
		x += it.At.W + 4
		items = append(items, it)
	}
	help.At.X = at.bar.W - help.At.W - gap
	if help.At.X < x {
		help.Label, help.Keys, help.At.W = "?", "", 28
		help.At.X = at.bar.W - 36
	}
	return append(items, help)
}

// stateInk and stateWord are how a verdict's state is shown.
func stateInk(s State) draw.Ink {
	return map[State]draw.Ink{Met: draw.Met, Look: draw.Attention, NotMet: draw.Blind, Working: draw.Quiet, NotAsked: draw.Line}[s]
}

func (e *Editor) plateItems(at places) (items []widget.Item) {
	if e.shown == nil {
		return nil
	}
	vs := slices.Clone(e.plates)
	if len(e.missing) > 0 { // half built: nothing has failed yet
		for i := range vs {
			vs[i] = Verdict{ID: vs[i].ID, Title: vs[i].Title}
		}
	}
	width := (at.plates.W - gap*float64(len(vs)-1)) / float64(len(vs))
	for i, v := range vs {
		word := words.state(v.State)
		if len(e.faults) > 0 { // what is left out of the machine may decide
			v.State, word = Look, words.fault
		}
		if (v.ID == "disturbance" || v.ID == "cycle" || v.ID == "warning") && e.whole.value != nil && !e.scheduled() {
			word = words.reckoning
		}
		hint := words.plateHint(v.ID)
		title := v.Title
		for _, shorter := range v.Shorter {
			if e.cfg.Ruler.Width(title, 11, false)+e.cfg.Ruler.Width(word, 11, true)+plateTitlePad <= width {
				break
			}
			title = shorter
		}
		full := ""
		if title != v.Title {
			full = v.Title
		}
		asked := ""
		if v.Brief != "" && e.cfg.Ruler.Width(v.Is, 13, true)+plateOneText > width {
			v.Is = v.Brief
		}
		if e.cfg.Ruler.Width(v.Is, 13, true)+e.cfg.Ruler.Width(v.Asked, 11, false)+platePad > width { // the value before what was asked
			asked, v.Asked = v.Asked, ""
		}
		hint = join2(". ", join2(": ", full, asked), hint)
		items = append(items, widget.Item{
			ID: "plate:" + v.ID, Kind: widget.Plate, At: canvas.Rect{X: at.plates.X + float64(i)*(width+gap), Y: at.plates.Y, W: width, H: at.plates.H},
			Label: title, Value: v.Is, Word: word, Note: v.Asked, Ink: stateInk(v.State), Hint: hint,
		})
	}
	return items
}

// What a plate keeps free round and between its texts: value and what was asked, title and word, a value alone.
const (
	platePad      = 44
	plateTitlePad = 36
	plateOneText  = 28
)

// tools are the marks of the shelf and their actions.
var tools = []struct {
	tool Tool
	mark widget.Mark
	id   string
}{
	{Choosing, widget.Select, "tool-choose"}, {Mounting, widget.Sensor, "tool-mount"}, {Zoning, widget.Zone, "tool-zone"},
	{Probing, widget.Target, "tool-probe"}, {Measuring, widget.Measure, "tool-measure"},
}

func (e *Editor) shelfItems(at places) (items []widget.Item) {
	if at.drawing.H < 5*40+16 {
		return nil
	}
	for i, t := range tools {
		a, _ := named(t.id)
		items = append(items, widget.Item{
			ID: "do:" + t.id, Kind: widget.Icon, At: canvas.Rect{X: at.drawing.X + 12, Y: at.drawing.Y + 8 + float64(i)*40, W: 34, H: 34},
			Mark: t.mark, Label: a.name, Hint: a.help, Keys: a.keys, Chosen: e.tool == t.tool,
		})
	}
	y := at.drawing.Y + at.drawing.H - 36
	for i, id := range []string{"zoom-in", "zoom-out", "fit"} {
		a, _ := named(id)
		items = append(items, widget.Item{
			ID: "do:" + id, Kind: widget.Icon, At: canvas.Rect{X: at.drawing.X + 12 + float64(i)*32, Y: y, W: 28, H: 28},
			Mark: []widget.Mark{widget.Plus, widget.Minus, widget.Whole}[i], Label: a.name, Hint: a.help,
		})
	}
	items = append(items, e.chips(at)...)
	if at.narrow {
		items = append(items, widget.Item{ID: "do:sheet", Kind: widget.Icon, At: canvas.Rect{X: at.drawing.X + at.drawing.W - 40, Y: at.drawing.Y + 8, W: 32, H: 32}, Mark: widget.Side, Label: words.sheet, Chosen: e.drawer})
	}
	return items
}

// chips are the small buttons over the drawing that name what it shows where that could be something else: the target, the
// state, beams other than those that decide.
func (e *Editor) chips(at places) (items []widget.Item) {
	if e.shown == nil {
		return nil
	}
	x, y := at.drawing.X+58, at.drawing.Y+8
	room := canvas.Rect{X: x, Y: y, W: at.drawing.W - 120}
	put := func(id, label, hint string) {
		it := widget.Item{ID: chip + id, Kind: widget.Button, Label: label, Hint: hint}
		w := min(e.board.Width(it), room.W)
		if x > room.X && x+w > room.X+room.W {
			x, y = room.X, y+32
		}
		it.At = canvas.Rect{X: x, Y: y, W: w, H: 26}
		x += w + 6
		items = append(items, it)
	}
	target, state := view.Shown(e.shown, e.looks)
	if names := e.targets(); len(names) > 1 {
		put("target", words.targetNow(target), words.helpTarget)
	}
	if len(states(e.shown)) > 1 {
		put("state", words.stateNow(state), words.helpState)
	}
	if said := words.beamsLookedAt(e.beams); said != "" {
		put("beams-usual", said+"  ×", words.helpBeamsUsual)
	}
	return items
}

// chip begins the ID of each of them: a press does the action after it.
const chip = "do:"

func (e *Editor) cycleItems(at places) []widget.Item {
	if at.cycle.H <= 0 {
		return nil
	}
	items := []widget.Item{{ID: "cycle", Kind: widget.Sheet, At: at.cycle}}
	if e.shown != nil && e.shown.Schedule.Why != "" { // the line that may be cut: all of it in its tip
		line := canvas.Rect{X: at.cycle.X + 4, Y: at.cycle.Y + 4, W: max(0, at.play.X-at.cycle.X-12), H: 24}
		items = append(items, widget.Item{ID: "cycle-why", Kind: widget.Label, At: line, Hint: e.shown.Schedule.Why})
	}
	if e.shown != nil && len(e.shown.Schedule.Firings) > 0 {
		mark := widget.Play
		label := words.walk
		if e.playing {
			mark, label = widget.Pause, words.rest
		}
		items = append(items, widget.Item{ID: "do:play", Kind: widget.Button, At: at.play, Mark: mark, Label: label, Hint: words.walkHint, Chosen: e.playing})
	}
	return items
}

// looksNow is what the drawing shows, with what is chosen.
func (e *Editor) looksNow() view.Looks {
	l := e.looks
	l.Chosen, l.Thing, l.Over = e.chosen, e.thing, e.over
	l.Blind = l.Blind && len(e.missing) == 0
	l.Mark, l.Marked = e.mark, e.looks.Marked || e.playing
	l.Measure = e.measure
	if g, ok := e.gesture.(*sideDrag); ok {
		l.Side = g.grips
	}
	if e.probe != nil {
		l.Probe, l.Probed = *e.probe, true
	}
	return l
}

// liveNow is what hands are doing to what is drawn.
func (e *Editor) liveNow() view.Live {
	v := view.Live{Moved: e.moved, KeptTo: e.keptTo, Stale: !e.scheduled(), Coming: e.waiting() && len(e.sensors()) > 0}
	if ps, to := e.ghosts(); len(ps) > 0 {
		v.KeptTo = to
		for _, p := range ps {
			v.Ghost = append(v.Ghost, view.Pose{At: [2]float64{p.at.X, p.at.Y}, Heading: p.heading.Radians()})
		}
	}
	switch g := e.gesture.(type) {
	case *boxing:
		v.Box = g.box()
	case *zoneDrawing:
		v.Ring = g.ring(e)
	}
	return v
}

// paint makes the frame.
func (e *Editor) paint() *canvas.Frame {
	at := e.places()
	f := &canvas.Frame{W: e.size[0], H: e.size[1]}
	items := e.build()
	e.items = items
	f.Layers = append(f.Layers, canvas.Layer{Name: "paper", Shapes: []draw.Shape{filled(canvas.Rect{W: f.W, H: f.H}, draw.Paper)}})
	if e.shown != nil {
		looks := e.looksNow()
		looks.Clear = e.covered(at, items)
		layers := view.Drawing(&e.cache, e.drawn, e.liveNow(), e.cam, looks, e.cfg.Ruler)
		if l, ok := e.photoLayer(); ok && len(layers) > 0 { // on the paper, under all the rest
			layers = slices.Insert(layers, 1, l)
		}
		f.Layers = append(f.Layers, layers...)
		if l, ok := e.zoneHandles(); ok {
			f.Layers = append(f.Layers, l)
		}
	}
	under := len(f.Layers)
	f.Layers = append(f.Layers, e.board.Layers(items)...)
	// The pictures in the sheet and in the cycle lie on their panels and under what the board puts on top.
	var panels []canvas.Layer
	if e.shown != nil && at.cycle.H > 0 {
		var ls []canvas.Layer
		ls, e.ruling = view.Cycle(e.shown, at.cycle.Inset(8), e.liveNow(), e.looksNow(), e.cfg.Ruler)
		panels = append(panels, ls...)
	}
	if e.shown != nil && at.side.H > 0 && e.sheetShown() {
		var ls []canvas.Layer
		ls, e.grips = view.Side(e.shown, e.chosen[0], at.side, e.looksNow(), e.cfg.Ruler)
		panels = append(panels, ls...)
	}
	if len(f.Layers) > under { // the board's first layer holds the panels
		f.Layers = slices.Insert(f.Layers, under+1, panels...)
	}
	if d, ok := e.dialog.(*frontDialog); ok {
		f.Layers = append(f.Layers, d.picture(e))
	}
	if e.said != "" {
		f.Layers = append(f.Layers, e.saying(at))
	}
	f.Cursor, f.Field = e.cursor(), e.board.FieldAt(items)
	return f
}

// covered is what lies over the drawing: no label goes there.
func (e *Editor) covered(at places, items []widget.Item) (rs []canvas.Rect) {
	for _, it := range items {
		if (it.Kind == widget.Icon || it.Kind == widget.Button) && it.In == "" && it.At.Meets(at.drawing) {
			rs = append(rs, it.At)
		}
	}
	if at.narrow && e.drawer {
		rs = append(rs, at.sheet)
	}
	if e.said != "" {
		rs = append(rs, e.sayingBox(at))
	}
	return rs
}

// saying is the line that tells what just happened.
func (e *Editor) saying(at places) canvas.Layer {
	box := e.sayingBox(at)
	plate := filled(box, draw.Plate)
	plate.Style.Stroke, plate.Style.Width = draw.Line, 1
	l := canvas.Layer{Name: "said", Clip: box.Inset(-1), Shapes: []draw.Shape{plate}}
	for i, line := range e.saidLines(at) {
		l.Shapes = append(l.Shapes, draw.Shape{
			Text: line, At: canvas.Point{box.X + 12, box.Y + 18 + float64(i)*saidStep}, Size: 12, Anchor: draw.Start, Style: draw.Style{Fill: draw.Text},
		})
	}
	return l
}

// saidStep is from one line of what is said to the next, in points.
const saidStep = 16

// saidLines is what is said, in as many lines as the drawing's width asks for.
func (e *Editor) saidLines(at places) []string {
	return e.board.Wrap(e.said, 12, max(40, at.drawing.W-16)-24)
}

func (e *Editor) sayingBox(at places) canvas.Rect {
	lines, w := e.saidLines(at), 0.0
	for _, line := range lines {
		w = max(w, e.cfg.Ruler.Width(line, 12, false))
	}
	h := 12 + saidStep*float64(len(lines))
	w += 24
	if e.dialog != nil { // below it, where it has no buttons
		return canvas.Rect{X: (e.size[0] - w) / 2, Y: e.size[1] - 16 - h, W: w, H: h}
	}
	return canvas.Rect{X: at.drawing.X + (at.drawing.W-w)/2, Y: at.drawing.Y + at.drawing.H - 16 - h, W: w, H: h}
}

func filled(r canvas.Rect, ink draw.Ink) draw.Shape {
	return draw.Shape{
		Rings: [][]draw.Point{{{r.X, r.Y}, {r.X + r.W, r.Y}, {r.X + r.W, r.Y + r.H}, {r.X, r.Y + r.H}}},
		Style: draw.Style{Fill: ink},
	}
}

func (e *Editor) cursor() canvas.Cursor {
	switch e.gesture.(type) {
	case *panning, *moving:
		return canvas.Move
	}
	shape, overBoard := e.board.Cursor(e.items)
	switch {
	case overBoard:
		return shape
	case e.tool != Choosing:
		return canvas.Cross
	case e.over.Kind == view.Sensor, e.over.Kind == view.Heading:
		return canvas.Hand
	}
	return canvas.Arrow
}

// stateOf is the state whose picture is shown, and targetOf the target.
func (e *Editor) targets() (names []string) {
	if e.shown == nil {
		return nil
	}
	for _, l := range e.shown.Lobes {
		names = addName(names, l.Target)
	}
	return names
}

func states(p *plan.Plan) (names []string) {
	for _, c := range p.Coverage {
		names = addName(names, c.State)
	}
	return names
}

// millis is a duration of the cycle as the plan counts it.
func millis(us int64) time.Duration { return time.Duration(us) * time.Microsecond }
