package editor

import (
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/view"

	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// hands takes an event that was not for the board: on the drawing, the cycle, the side view, or a key.
func (e *Editor) hands(ev input.Event) {
	switch ev.Kind {
	case input.Key:
		if e.board.Typing(e.screen()) == "" || ev.Mods.Ctrl {
			e.key(ev)
		}
	case input.Press:
		e.press(ev)
	case input.Move:
		e.moveTo(ev)
	case input.Lift:
		if g := e.gesture; g != nil {
			e.gesture = nil
			g.lift(e, ev)
			e.stale = true
		}
	case input.Wheel:
		e.wheel(ev)
	case input.Pinch:
		if e.places().drawing.Holds(ev.At) {
			e.cam, e.stale = e.cam.ZoomAt(ev.At, ev.Zoom), true
		}
	case input.Drop:
		e.dropped(ev.Files)
	case input.Leave:
		e.over, e.stale = view.Thing{}, true
	}
}

func (e *Editor) key(ev input.Event) {
	if ev.Name == "Escape" {
		e.escape()
		return
	}
	if e.dialog == nil {
		e.pressed(ev)
	}
}

// escape takes back what is under way, then lets go of what is chosen, then of the tool.
func (e *Editor) escape() {
	e.stale = true
	switch {
	case e.gesture != nil:
		e.gesture = nil
		e.moved = nil
		e.log.Abandon()
		e.adopt(false)
	case e.dialog != nil && e.log.Now() != "":
		e.dialog = nil
	case e.asked.busy:
		e.stopSearch()
	case e.tool != Choosing:
		e.tool = Choosing
	default:
		e.chosen, e.thing, e.probe = nil, view.Thing{}, nil
		e.looks.Measured = false
	}
}

func (e *Editor) press(ev input.Event) {
	if e.dialog != nil {
		return
	}
	at := e.places()
	switch {
	case at.drawing.Holds(ev.At) && !(e.drawer && at.sheet.Holds(ev.At)):
		e.pressDrawing(ev)
	case at.cycle.Holds(ev.At):
		e.pressCycle(ev)
	case at.side.Holds(ev.At):
		e.pressSide(ev)
	}
	e.stale = true
}

func (e *Editor) pressDrawing(ev input.Event) {
	if ev.Button != input.Left {
		e.gesture = &panning{e.cam, ev.At}
		return
	}
	under := e.under(ev.At)
	switch e.tool {
	case Mounting:
		e.mountAt(ev)
	case Zoning:
		e.beginZone(ev)
	case Probing:
		at := e.cam.World(ev.At)
		e.probe = &at
	case Scaling:
		e.beginScaling(ev)
	case Measuring:
		at := e.cam.World(ev.At)
		e.measure = [2][2]float64{at, at}
		e.looks.Measured = true
		e.gesture = measuring{}
	default:
		e.pressThing(ev, under)
	}
}

func (e *Editor) pressThing(ev input.Event, under view.Thing) {
	switch under.Kind {
	case view.Sensor:
		e.pressSensor(ev, under.Name)
	case view.Heading:
		if e.editable() {
			e.gesture = &turning{base: e.doc, sc: e.read.value, outline: e.outline, names: first(e.chosen, under.Name)}
		}
	case view.Nothing, view.Machine, view.Edge:
		if ev.Mods.Shift {
			e.gesture = &boxing{from: ev.At, to: ev.At, had: slices.Clone(e.chosen)}
			return
		}
		e.chosen, e.thing = nil, view.Thing{}
		e.gesture = &panning{e.cam, ev.At}
	case view.Zone:
		e.chosen, e.thing = nil, under
		if e.editable() {
			e.gesture = e.pullZone(ev, under.Name)
		}
	default:
		e.chosen, e.thing = nil, under
		e.gesture = &panning{e.cam, ev.At}
	}
}

func (e *Editor) pressSensor(ev input.Event, name string) {
	e.thing = view.Thing{}
	switch {
	case ev.Mods.Shift && slices.Contains(e.chosen, name):
		e.chosen = slices.DeleteFunc(e.chosen, func(n string) bool { return n == name })
		return
	case ev.Mods.Shift:
		e.chosen = first(e.chosen, name)
	case !slices.Contains(e.chosen, name):
		e.chosen = []string{name}
	}
	if e.editable() {
		e.gesture = &moving{base: e.doc, sc: e.read.value, outline: e.outline, names: first(e.chosen, name), from: ev.At}
	}
}

// first puts a name before the others.
func first(names []string, name string) []string {
	return append([]string{name}, slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n == name })...)
}

// editable reports whether what is drawn is the document as it stands, so that a hand may change it.
func (e *Editor) editable() bool {
	return e.doc != nil && e.read.value != nil && e.outline != nil && e.read.number == e.number
}

// under is what lies at a point of the drawing.
func (e *Editor) under(at canvas.Point) view.Thing {
	if e.shown == nil {
		return view.Thing{}
	}
	return view.Under(e.shown, e.cam, e.looksNow(), at)
}

func (e *Editor) moveTo(ev input.Event) {
	if e.gesture != nil {
		e.gesture.move(e, ev)
		e.stale = true
		return
	}
	over := view.Thing{}
	if e.dialog == nil && e.places().drawing.Holds(ev.At) && e.board.Over() == "" {
		over = e.under(ev.At)
	}
	if e.tool == Mounting {
		e.stale = true
	}
	if over != e.over {
		e.over, e.stale = over, true
	}
	e.at = ev.At
}

func (e *Editor) wheel(ev input.Event) {
	at := e.places()
	if e.dialog != nil || !at.drawing.Holds(ev.At) {
		return
	}
	// A wheel has one axis and zooms; two fingers have both and move the drawing.
	if ev.Scroll[0] != 0 && !ev.Mods.Ctrl || ev.Mods.Shift {
		e.cam = e.cam.Pan(canvas.Point{-ev.Scroll[0], -ev.Scroll[1]})
	} else {
		e.cam = e.cam.ZoomAt(ev.At, math.Exp(-ev.Scroll[1]/240))
	}
	e.stale = true
}

// tick lets time go on.
func (e *Editor) tick(ev input.Event) {
	if e.saidTill != 0 && e.now > e.saidTill {
		e.said, e.saidTill, e.stale = "", 0, true
	}
	if e.playing && e.shown != nil && e.shown.Schedule.CycleUs > 0 {
		cycle := time.Duration(e.shown.Schedule.CycleUs) * time.Microsecond
		e.mark = (e.mark + (e.now-e.tickedAt)/slowMotion) % cycle
		e.stale = true
	}
	e.tickedAt = e.now
	e.keepAside()
}

// slowMotion is how much slower than life a cycle is walked through.
const slowMotion = 40

// timeDrag moves the time mark along the cycle.
type timeDrag struct{}

func (timeDrag) move(e *Editor, ev input.Event) { e.markAt(ev.At) }
func (timeDrag) lift(*Editor, input.Event)      {}

func (e *Editor) markAt(p canvas.Point) {
	if us, ok := e.ruling.Time(p[0]); ok {
		e.mark, e.looks.Marked = time.Duration(us)*time.Microsecond, true
	}
}

func (e *Editor) pressCycle(ev input.Event) {
	if name, ok := e.ruling.Sensor(ev.At); ok {
		e.choose(name)
		return
	}
	e.playing = false
	e.markAt(ev.At)
	e.gesture = timeDrag{}
}

// sideDrag drags the grips of the side view.
type sideDrag struct {
	base  *layout.Document
	s     scene.Sensor
	tilt  bool
	grips view.Handles // of the press: the view keeps its scale until the lift
}

func (g *sideDrag) move(e *Editor, ev input.Event) {
	m := g.grips.World(ev.At)
	if g.tilt {
		up := s1.Angle(math.Atan2(m[1]-g.s.HeightM, math.Max(m[0], 1e-3)))
		e.change(words.tilt(g.s.Group), drag, g.base, layout.Edit{Do: layout.Set, Path: entryPath(g.s) + ".tilt", Text: angleText(up)})
		return
	}
	h := max(math.Round(m[1]/sideStepM)*sideStepM, sideStepM)
	e.change(words.raise(g.s.Group), drag, g.base, layout.Edit{Do: layout.Set, Path: entryPath(g.s) + ".height", Text: lengthText(h)})
}

// sideStepM is the step to which a dragged height keeps.
const sideStepM = 0.005

func (g *sideDrag) lift(e *Editor, _ input.Event) { e.endDrag() }

func (e *Editor) pressSide(ev input.Event) {
	if len(e.chosen) == 0 || !e.editable() {
		return
	}
	tilt := e.grips.Tilt.Holds(ev.At)
	if tilt || e.grips.Height.Holds(ev.At) {
		e.gesture = &sideDrag{e.doc, sensorNamed(e.read.value, e.chosen[0]), tilt, e.grips}
	}
}

// ghost is where the mounting tool would put a sensor now.
func (e *Editor) ghost() (p pose, to string, ok bool) {
	if e.tool != Mounting || e.outline == nil {
		return pose{}, "", false
	}
	at := e.cam.World(e.at)
	arc, off := e.outline.ArcOf(r2.Point{X: at[0], Y: at[1]})
	if off*e.cam.Scale > mountPoints {
		return pose{}, "", false
	}
	stop := snapped{arc: arc}
	if !e.alt {
		stop = snapArc(e.outline, arc, e.sensors(), e.snaps, e.cam.Scale)
	}
	p.arc = stop.arc
	p.at, p.heading = e.outline.At(p.arc)
	return p, stop.to, true
}

// mountPoints is how near the edge a click must be to mount a sensor on it, in window points.
const mountPoints = 40
