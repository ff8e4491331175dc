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
	n := m.count
	to, _, ok := e.ghost()
	stretched := math.Hypot(ev.At[0]-g.at[0], ev.At[1]-g.at[1]) > 4*startPoints
	if ok && stretched && n == 1 {
		n = 2
	}
	name := e.freeName("eye")
	if n > 1 && ok && stretched {
		text, err := spreadText(e.outline, g.from.arc, to.arc)
		if err != nil {
			e.say(err.Error())
			return
		}
		e.mount(name, fmt.Sprintf("{name: %s, count: %d, kind: %s, at: %s, height: %s}", name, n, m.kind, text, m.height))
		return
	}
	pair := ""
	if e.mirrors(g.from) {
		pair = "pair: mirror, "
		g.from = leftOf(g.from)
	}
	e.mount(name, fmt.Sprintf("{name: %s, %skind: %s, at: %s, height: %s}", name, pair, m.kind, placeText(e.outline, g.from.arc), m.height))
}

// leftOf is the pose or its mirror image, whichever is on the left.
func leftOf(p pose) pose {
	if p.at.Y < 0 {
		return p.mirrored()
	}
	return p
}

// mount adds an entry and chooses what it makes.
func (e *Editor) mount(name, entry string) {
	if e.change(words.mount(name), atOnce, e.doc, layout.Edit{Do: layout.Add, Path: "sensors", Text: entry}) {
		e.chooseNext = name
		e.say(words.mounted(name))
	}
}

// spreadText writes a row of sensors from one place to another on the side both are on.
func spreadText(o *geometry.Outline, from, to float64) (string, error) {
	for _, side := range []geometry.Side{geometry.Front, geometry.Left, geometry.Rear, geometry.Right} {
		a, okA := offsetOn(o, side, from)
		b, okB := offsetOn(o, side, to)
		if okA && okB && a != b {
			return fmt.Sprintf("{from: %s, spread: %s}", side, spanText(min(a, b), max(a, b))), nil
		}
	}
	return "", errText(words.rowOnOneSide)
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

type errText string

func (e errText) Error() string { return string(e) }

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
	add(widget.Item{ID: "mount:height", Kind: widget.Field, Label: words.key("height"), Value: m.height, Wrong: e.wrong["mount:height"].why})
	add(widget.Item{ID: "mount:count", Kind: widget.Field, Label: words.howMany, Value: strconv.Itoa(m.count), Hint: words.howManyHint, Wrong: e.wrong["mount:count"].why})
	add(widget.Item{ID: "mount:mirror", Kind: widget.Toggle, Label: words.mirrored, Chosen: m.mirror, Hint: words.mirroredHint})
	add(quietNote("mount:note", words.mountHow))
	return items
}

func (e *Editor) setMount(a widget.Act) {
	key := strings.TrimPrefix(a.ID, "mount:")
	delete(e.wrong, a.ID)
	switch key {
	case "kind":
		e.mountWith.kind = a.Value
	case "height":
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
