package editor

import (
	"math"

	"echowright/geometry"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/view"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// gesture is what goes on between a press and a lift.
type gesture interface {
	move(e *Editor, ev input.Event)
	lift(e *Editor, ev input.Event)
}

// panning moves what the drawing shows.
type panning struct {
	cam  view.Camera
	from canvas.Point
}

func (g *panning) move(e *Editor, ev input.Event) {
	e.cam = g.cam.Pan(canvas.Point{ev.At[0] - g.from[0], ev.At[1] - g.from[1]})
}

func (g *panning) lift(*Editor, input.Event) {}

// moving drags sensors along the outline, or freely those that stand off it.
type moving struct {
	base    *layout.Document
	sc      *scene.Scene
	outline *geometry.Outline
	names   []string // all that move, the grabbed one first
	from    canvas.Point
	begun   bool
}

// startPoints is how far the pointer must go before a press is a drag.
const startPoints = 3

func (g *moving) move(e *Editor, ev input.Event) {
	if !g.begun && math.Hypot(ev.At[0]-g.from[0], ev.At[1]-g.from[1]) < startPoints {
		return
	}
	if !g.begun {
		g.begun = true
		g.base, g.sc, g.names = e.single(g.base, g.sc, g.names)
	}
	grabbed := sensorNamed(g.sc, g.names[0])
	at, before := e.cam.World(ev.At), e.cam.World(g.from)
	shift := r2.Point{X: at[0] - before[0], Y: at[1] - before[1]}
	to := map[string]pose{}
	var arcBy float64
	if !math.IsNaN(grabbed.ArcM) {
		pulled := grabbed.At.Add(shift)
		arc, _ := g.outline.ArcOf(pulled)
		stop := snapped{arc: arc}
		if !ev.Mods.Alt {
			stop = snapArc(g.outline, arc, without(g.sc.Sensors, g.names), e.snaps, e.cam.Scale)
		}
		arcBy = stop.arc - grabbed.ArcM
		e.keptTo = stop.to
	}
	for _, name := range g.names {
		s := sensorNamed(g.sc, name)
		p := poseOf(s)
		if math.IsNaN(s.ArcM) {
			p.at = p.at.Add(shift)
		} else {
			_, normalBefore := g.outline.At(p.arc)
			p.arc = wrapArc(g.outline, p.arc+arcBy)
			var normal s1.Angle
			p.at, normal = g.outline.At(p.arc)
			if followsOutline(g.base, s) {
				p.heading = (p.heading + normal - normalBefore).Normalized()
			}
		}
		to[name] = p
	}
	e.moved = movedPoses(g.sc, to)
	e.change(words.moveSensors(g.names), drag, g.base, placeEdits(g.base, g.sc, g.outline, to)...)
}

func (g *moving) lift(e *Editor, ev input.Event) {
	if !g.begun && !ev.Mods.Shift {
		e.choose(g.names[0])
	}
	e.endDrag()
}

// turning drags the headings of sensors, all by the same turn.
type turning struct {
	base    *layout.Document
	sc      *scene.Scene
	outline *geometry.Outline
	names   []string
	begun   bool
}

func (g *turning) move(e *Editor, ev input.Event) {
	if !g.begun {
		g.begun = true
		g.base, g.sc, g.names = e.single(g.base, g.sc, g.names)
	}
	grabbed := sensorNamed(g.sc, g.names[0])
	at := e.cam.World(ev.At)
	d := r2.Point{X: at[0] - grabbed.At.X, Y: at[1] - grabbed.At.Y}
	if d.Norm() == 0 {
		return
	}
	heading := s1.Angle(math.Atan2(d.Y, d.X))
	e.keptTo = ""
	if !ev.Mods.Alt {
		heading, e.keptTo = snapHeading(heading, normalAt(g.outline, grabbed), e.snaps)
	}
	by := heading - grabbed.Heading
	to := map[string]pose{}
	for _, name := range g.names {
		p := poseOf(sensorNamed(g.sc, name))
		p.heading = (p.heading + by).Normalized()
		to[name] = p
	}
	e.moved = movedPoses(g.sc, to)
	e.change(words.turnSensors(g.names), drag, g.base, headingEdits(g.base, g.sc, g.outline, to)...)
}

func (g *turning) lift(e *Editor, _ input.Event) { e.endDrag() }

// boxing chooses all sensors in a rectangle.
type boxing struct {
	from, to canvas.Point
	had      []string
}

func (g *boxing) move(e *Editor, ev input.Event) {
	g.to = ev.At
	e.chosen = append([]string{}, g.had...)
	for _, s := range e.sensors() {
		if p := e.cam.At([2]float64{s.At.X, s.At.Y}); g.box().Holds(p) {
			e.chosen = addName(e.chosen, s.Name)
		}
	}
}

func (g *boxing) lift(e *Editor, ev input.Event) {
	if math.Hypot(ev.At[0]-g.from[0], ev.At[1]-g.from[1]) < startPoints {
		e.chosen = g.had
	}
}

func (g *boxing) box() canvas.Rect {
	return canvas.Rect{
		X: min(g.from[0], g.to[0]), Y: min(g.from[1], g.to[1]),
		W: math.Abs(g.to[0] - g.from[0]), H: math.Abs(g.to[1] - g.from[1]),
	}
}

// measuring stretches a line between two places.
type measuring struct{}

func (measuring) move(e *Editor, ev input.Event) { e.measure[1] = e.cam.World(ev.At) }

func (measuring) lift(e *Editor, ev input.Event) { e.measure[1] = e.cam.World(ev.At) }
