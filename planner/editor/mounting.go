package editor

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"echowright/geometry"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
	"echowright/planner/quantity"
)

// mounts is how the mounting tool works: what is mounted, mirrored or not, and how many in a row.
type mounts struct {
	kind   string
	mirror bool
	count  int
	height string
}

func (e *Editor) mounts() mounts {
	m := e.mountWith
	if m.count < 1 {
		m.count = 1
	}
	if m.kind == "" {
		m.kind = e.usualKind()
	}
	if m.height == "" {
		m.height = e.usualHeight()
	}
	return m
}

// usualKind is the kind mounted last, or else the first there is.
func (e *Editor) usualKind() string {
	if s := entries(e.doc, "sensors"); len(s) > 0 {
		k, _ := s[len(s)-1].Get("kind")
		return k.Text()
	}
	if names := e.kindNames(); len(names) > 0 {
		return names[0]
	}
	return ""
}

// usualHeight is that of the sensor mounted last, or else half the body's.
func (e *Editor) usualHeight() string {
	if s := entries(e.doc, "sensors"); len(s) > 0 {
		return written(e.doc, s[len(s)-1].Path()+".height")
	}
	if sc := e.read.value; sc != nil {
		return lengthText((sc.Body.HeightM.Lo + sc.Body.HeightM.Hi) / 2)
	}
	return "200 mm"
}

// mirrors reports whether a sensor mounted there gets a twin: one on the middle line has itself for a mirror image.
func (e *Editor) mirrors(p pose) bool {
	return e.mounts().mirror && e.mounts().count == 1 && math.Abs(p.at.Y) > 2*fineM
}

// rowOf is a press of the mounting tool: one sensor where it is let go at once, or several in a row from there to where
// it is let go.
type rowOf struct {
	from pose
	at   canvas.Point
}

func (e *Editor) mountAt(ev input.Event) {
	e.at, e.alt = ev.At, ev.Mods.Alt
	if p, _, ok := e.ghost(); ok && e.editable() {
		e.gesture = &rowOf{p, ev.At}
	} else if ok {
		e.say(words.notYet)
	} else {
		e.say(words.mountOnEdge)
	}
}

func (g *rowOf) move(e *Editor, ev input.Event) { e.at, e.alt = ev.At, ev.Mods.Alt }

func (g *rowOf) lift(e *Editor, ev input.Event) {
	e.at = ev.At
	m := e.mounts()
	name := e.freeName("eye")
	if n := g.many(e); n > 1 {
		to, _, ok := e.ghost()
		if !ok || !g.stretched(e) {
			e.say(words.rowPull(n))
			return
		}
		r, ok := rowBetween(e.outline, g.from.arc, to.arc)
		if !ok {
			e.say(words.rowOnOneSide)
			return
		}
		e.mountRow(name, n, m, r)
		return
	}
	pair := ""
	if e.mirrors(g.from) {
		pair = "pair: mirror, "
		g.from = leftOf(g.from)
	}
	e.mount(words.mounted(name), name, fmt.Sprintf("{name: %s, %skind: %s, at: %s, height: %s}", name, pair, m.kind, placeText(e.outline, g.from.arc), m.height))
}

// stretched reports whether the press was pulled far enough for a row.
func (g *rowOf) stretched(e *Editor) bool {
	return math.Hypot(e.at[0]-g.at[0], e.at[1]-g.at[1]) > 4*startPoints
}

// many is how many sensors are mounted when it is let go now.
func (g *rowOf) many(e *Editor) int {
	n := e.mounts().count
	if _, _, ok := e.ghost(); ok && n == 1 && g.stretched(e) {
		return 2
	}
	return n
}

// mountRow mounts a row, and with it the row on the other side: a row has no pair in a layout, so that it is a second entry.
func (e *Editor) mountRow(name string, n int, m mounts, r sideRow) {
	entry := func(name string, r sideRow) string {
		return fmt.Sprintf("{name: %s, count: %d, kind: %s, at: %s, height: %s}", name, n, m.kind, r.text(), m.height)
	}
	twin, ok := r.mirrored(e.outline)
	switch {
	case m.mirror && ok:
		other := e.freeNameBut("eye", []string{name})
		e.mount(words.mountedBoth(name, other), name, entry(name, r), entry(other, twin))
	case m.mirror:
		e.mount(words.mounted(name)+". "+words.rowNoTwin, name, entry(name, r))
	default:
		e.mount(words.mounted(name), name, entry(name, r))
	}
}

// leftOf is the pose or its mirror image, whichever is on the left.
func leftOf(p pose) pose {
	if p.at.Y < 0 {
		return p.mirrored()
	}
	return p
}

// mount adds entries in one change, chooses what the first makes, and says so.
func (e *Editor) mount(said, name string, all ...string) {
	var edits []layout.Edit
	for _, entry := range all {
		edits = append(edits, layout.Edit{Do: layout.Add, Path: "sensors", Text: entry})
	}
	if e.change(words.mount(name), atOnce, e.doc, edits...) {
		e.chooseNext = name
		e.say(said)
	}
}

// sideRow is a row along one side of the machine, between two offsets from the middle of the side, m.
type sideRow struct {
	side   geometry.Side
	lo, hi float64
}

// rowBetween is the row from one place to another on the side both are on; false when there is none.
func rowBetween(o *geometry.Outline, from, to float64) (sideRow, bool) {
	for _, side := range []geometry.Side{geometry.Front, geometry.Left, geometry.Rear, geometry.Right} {
		a, okA := offsetOn(o, side, from)
		b, okB := offsetOn(o, side, to)
		if okA && okB && a != b {
			return sideRow{side, min(a, b), max(a, b)}, true
		}
	}
	return sideRow{}, false
}

// text is the row's place as a layout says it.
func (r sideRow) text() string {
	return fmt.Sprintf("{from: %s, spread: %s}", r.side, spanText(r.lo, r.hi))
}

// mirrored is the row on the other side of the middle line; false for one that would lie on the first, or where the outline
// has no such place.
func (r sideRow) mirrored(o *geometry.Outline) (sideRow, bool) {
	switch r.side {
	case geometry.Left:
		r.side = geometry.Right
	case geometry.Right:
		r.side = geometry.Left
	default:
		if r.lo < 2*fineM && r.hi > -2*fineM {
			return sideRow{}, false
		}
		r.lo, r.hi = -r.hi, -r.lo
	}
	_, err1 := o.OnSide(r.side, r.lo)
	_, err2 := o.OnSide(r.side, r.hi)
	return r, err1 == nil && err2 == nil
}

// poses are where the sensors of the row stand and look.
func (r sideRow) poses(o *geometry.Outline, n int) (ps []pose) {
	for i := range n {
		if arc, err := o.OnSide(r.side, r.lo+(r.hi-r.lo)*float64(i)/float64(max(1, n-1))); err == nil {
			at, heading := o.At(arc)
			ps = append(ps, pose{arc, at, heading})
		}
	}
	return ps
}

// ghosts is where the mounting tool would put sensors now, twins with them, and what is to be said of it.
func (e *Editor) ghosts() (ps []pose, to string) {
	p, to, ok := e.ghost()
	if !ok {
		return nil, ""
	}
	n := e.mounts().count
	g, pulls := e.gesture.(*rowOf)
	if pulls {
		n = g.many(e)
	}
	switch {
	case n == 1 && e.mirrors(p):
		return []pose{p, p.mirrored()}, to
	case n == 1 || !pulls:
		return []pose{p}, to
	}
	r, ok := rowBetween(e.outline, g.from.arc, p.arc)
	if !ok {
		return []pose{g.from, p}, words.rowOnOneSide
	}
	ps = r.poses(e.outline, n)
	if twin, ok := r.mirrored(e.outline); ok && e.mounts().mirror {
		ps = append(ps, twin.poses(e.outline, n)...)
	} else if e.mounts().mirror {
		to = words.rowNoTwin
	}
	return ps, to
}

func spanText(lo, hi float64) string {
	return fmt.Sprintf("%g..%g mm", math.Round(lo*1000), math.Round(hi*1000))
}

// offsetOn is the offset from the middle of a side at which a place on the outline lies, along the outline.
func offsetOn(o *geometry.Outline, side geometry.Side, arc float64) (float64, bool) {
	from, to := o.Side(side)
	d := wrapArc(o, arc-o.Anchor(side))
	lo, hi := wrapArc(o, from-o.Anchor(side)), wrapArc(o, to-o.Anchor(side))
	if d < min(lo, hi)-fineM || d > max(lo, hi)+fineM {
		return 0, false
	}
	if side == geometry.Left || side == geometry.Rear { // arc runs backward along the left and to the right along the rear
		d = -d
	}
	return d, true
}

// freeName is a name no sensor, zone or part has yet.
func (e *Editor) freeName(stem string) string {
	var taken []string
	for _, path := range []string{"sensors", "zones", "body.parts", "targets"} {
		for _, it := range entries(e.doc, path) {
			taken = append(taken, it.Key())
		}
	}
	if !slices.Contains(taken, stem) {
		return stem
	}
	for i := 2; ; i++ {
		if name := stem + "-" + strconv.Itoa(i); !slices.Contains(taken, name) {
			return name
		}
	}
}

// mountItems are what the mounting tool is set to.
func (e *Editor) mountItems(x, y, w float64, in string) (items []widget.Item) {
	m := e.mounts()
	add := func(it widget.Item) {
		it.In, it.LabelW = in, labelW
		h := max(rowH, e.board.Height(it, w))
		it.At = canvas.Rect{X: x, Y: y, W: w, H: h}
		y += h
		items = append(items, it)
	}
	kind := widget.Item{ID: "mount:kind", Kind: widget.Pick, Label: words.key("kind"), Index: slices.Index(e.kindNames(), m.kind), Value: m.kind}
	kind.Choices, kind.Hint = e.kindChoices(e.kindNames()), words.estimateHint
	add(kind)
	add(widget.Item{ID: "mount:height", Kind: widget.Field, Label: words.key("height"), Value: e.typed("mount:height", m.height), Wrong: e.wrong["mount:height"].why})
	add(widget.Item{ID: "mount:count", Kind: widget.Field, Label: words.howMany, Value: e.typed("mount:count", strconv.Itoa(m.count)), Hint: words.howManyHint, Wrong: e.wrong["mount:count"].why})
	add(widget.Item{ID: "mount:mirror", Kind: widget.Toggle, Label: words.mirrored, Chosen: m.mirror, Hint: words.mirroredHint})
	add(quietNote("mount:note", words.mountHow))
	return items
}

// typed is the text of a field: what was refused, else its value.
func (e *Editor) typed(id, value string) string {
	if m, ok := e.wrong[id]; ok {
		return m.text
	}
	return value
}

func (e *Editor) setMount(a widget.Act) {
	key := strings.TrimPrefix(a.ID, "mount:")
	delete(e.wrong, a.ID)
	if a.Do == widget.Cancelled {
		return
	}
	switch key {
	case "kind":
		e.mountWith.kind = a.Value
	case "height":
		if _, err := quantity.Parse(quantity.Length, a.Value); err != nil && a.Value != "" {
			e.wrong[a.ID] = mistake{a.Value, err.Error()}
			return
		}
		e.mountWith.height = a.Value
	case "mirror":
		e.mountWith.mirror = a.Index == 1
	case "count":
		n, err := strconv.Atoi(strings.TrimSpace(a.Value))
		if err != nil || n < 1 || n > layout.MaxSensors {
			e.wrong[a.ID] = mistake{a.Value, words.howManyHint}
			return
		}
		e.mountWith.count = n
	}
}
