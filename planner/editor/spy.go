package editor

import (
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
)

// Item is where the field, button or row with a label stands on the screen, for what drives the editor from outside.
func (e *Editor) Item(label string) (canvas.Rect, bool) {
	items := e.screen()
	i := slices.IndexFunc(items, func(it widget.Item) bool {
		return it.Label == label && it.Kind != widget.Label && it.Kind != widget.Title
	})
	if i < 0 {
		i = slices.IndexFunc(items, func(it widget.Item) bool { return it.ID == label })
	}
	if i < 0 {
		return canvas.Rect{}, false
	}
	if in := items[i].In; in != "" {
		e.board.Reveal(items[i].ID, items)
		at := items[i].At
		at.Y -= e.board.Scrolled(in)
		return at, true
	}
	return items[i].At, true
}

// Where is the point of the drawing at a place, m.
func (e *Editor) Where(m [2]float64) canvas.Point { return e.cam.At(m) }

// World is the place at a point of the drawing, m.
func (e *Editor) World(p canvas.Point) [2]float64 { return e.cam.World(p) }

// Sensor is where a sensor stands, m.
func (e *Editor) Sensor(name string) (at [2]float64, ok bool) {
	s := sensorNamed(e.sceneNow(), name)
	return [2]float64{s.At.X, s.At.Y}, s.Name != ""
}

// Chosen are the sensors chosen.
func (e *Editor) Chosen() []string { return slices.Clone(e.chosen) }

// Thing is what else is chosen.
func (e *Editor) Thing() view.Thing { return e.thing }

// Verdicts are the plates as they stand.
func (e *Editor) Verdicts() []Verdict {
	if e.shown == nil {
		return nil
	}
	return e.plates
}

// Settled reports whether all there is to know of the document is known.
func (e *Editor) Settled() bool { e.take(); return !e.waiting() && e.gesture == nil }

// Reckoned is the number of the document as it stands and that of the one whose coverage is shown.
func (e *Editor) Reckoned() (now, seen int) { return e.number, e.seen.number }

// Said is the last sentence said.
func (e *Editor) Said() string { return e.said }

// Wrong is why a typed value was refused, by the path of its key.
func (e *Editor) Wrong(path string) string { return e.wrong[path].why }

// Grip is where the grip that turns the chosen sensor is: the place under which a turn lies.
func (e *Editor) Grip() (canvas.Point, bool) {
	if len(e.chosen) == 0 {
		return canvas.Point{}, false
	}
	at, _ := e.Sensor(e.chosen[0])
	s := sensorNamed(e.sceneNow(), e.chosen[0])
	for r := 1.0; r < 400; r++ {
		p := e.cam.At(at)
		p[0], p[1] = p[0]+r*math.Cos(s.Heading.Radians()), p[1]-r*math.Sin(s.Heading.Radians())
		if t := e.under(p); t.Kind == view.Heading && e.under(canvas.Point{p[0], p[1]}).Name == s.Name {
			return p, true
		}
	}
	return canvas.Point{}, false
}

// Try takes the first way out that the findings offer.
func (e *Editor) Try() bool {
	if e.shown == nil {
		return false
	}
	for _, f := range e.findings() {
		if _, ok := e.wayOut(f); ok {
			e.takeWay(f)
			return true
		}
	}
	return false
}

// SideGrips are where the grips of the side view are: tilt and height.
func (e *Editor) SideGrips() (tilt, height canvas.Point, ok bool) {
	return e.grips.Tilt.Middle(), e.grips.Height.Middle(), e.grips.Tilt.W > 0 && e.grips.Height.W > 0
}

// Mark is the time mark within the cycle.
func (e *Editor) Mark() time.Duration { return e.mark }

// ThingAt is the name of what lies at a point of the drawing.
func (e *Editor) ThingAt(p canvas.Point) string { return e.under(p).Name }
