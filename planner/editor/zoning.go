package editor

import (
	"fmt"
	"math"
	"strings"

	"echowright/geometry"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/view"
	"echowright/planner/layout"

	"github.com/golang/geo/r2"
)

// zoneDrawing draws a zone: from the body's edge outward a band along that side, elsewhere a rectangle.
type zoneDrawing struct {
	from, to [2]float64
	start    canvas.Point
	band     bool
	side     string // of the band: a side, or all round
}

func (e *Editor) beginZone(ev input.Event) {
	if !e.editable() {
		e.say(words.notYet)
		return
	}
	at := e.cam.World(ev.At)
	g := &zoneDrawing{from: at, to: at, start: ev.At}
	arc, off := e.outline.ArcOf(r2.Point{X: at[0], Y: at[1]})
	if off*e.cam.Scale < mountPoints/2 {
		g.band, g.side = true, "all"
		for _, side := range []geometry.Side{geometry.Front, geometry.Left, geometry.Rear, geometry.Right} {
			if _, on := offsetOn(e.outline, side, arc); on && !ev.Mods.Shift {
				g.side = side.String()
				break
			}
		}
	}
	e.gesture = g
}

func (g *zoneDrawing) move(e *Editor, ev input.Event) { g.to = e.cam.World(ev.At) }

// depth is how far the pointer is from the body, in whole centimetres.
func (g *zoneDrawing) depth(e *Editor) float64 {
	_, off := e.outline.ArcOf(r2.Point{X: g.to[0], Y: g.to[1]})
	return math.Round(off*100) / 100
}

// ring is the zone as drawn so far.
func (g *zoneDrawing) ring(e *Editor) [][2]float64 {
	if !g.band {
		return [][2]float64{g.from, {g.to[0], g.from[1]}, g.to, {g.from[0], g.to[1]}}
	}
	rings := geometry.Offset(geometry.Ring(e.read.value.Body.Outline), g.depth(e), 1e-3)
	if len(rings) == 0 {
		return nil
	}
	var out [][2]float64
	for _, p := range rings[0] {
		out = append(out, [2]float64{p.X, p.Y})
	}
	return out
}

func (g *zoneDrawing) lift(e *Editor, ev input.Event) {
	g.to = e.cam.World(ev.At)
	if math.Hypot(ev.At[0]-g.start[0], ev.At[1]-g.start[1]) < 3*startPoints {
		e.say(words.zoneDrag)
		return
	}
	name := e.freeName("zone")
	var shape string
	if g.band {
		depth := g.depth(e)
		if depth < 0.02 {
			e.say(words.zoneDrag)
			return
		}
		shape = fmt.Sprintf("band: {along: %s, depth: 0..%s}", g.side, lengthText(depth))
	} else {
		var corners []string
		for _, p := range g.ring(e) {
			corners = append(corners, fmt.Sprintf("[%s, %s]", centimetres(p[0]), centimetres(p[1])))
		}
		shape = "polygon: [" + strings.Join(corners, ", ") + "]"
	}
	text := fmt.Sprintf("{name: %s, %s, target: %s, seen-by: 1, share: 90 %%}", name, shape, e.usualTarget())
	if e.change(words.drawZone(name), atOnce, e.doc, layout.Edit{Do: layout.Add, Path: "zones", Text: text}) {
		e.chosen, e.thing = nil, view.Thing{Kind: view.Zone, Name: name}
		e.tool = Choosing
		e.looks.Target = e.usualTarget() // else the zone just drawn is not in the drawing
	}
}

func centimetres(m float64) string { return lengthText(inCentimetres(m)) }

// usualTarget is the first target of the layout, or else one that is built in.
func (e *Editor) usualTarget() string {
	if ts := entries(e.doc, "targets"); len(ts) > 0 {
		return ts[0].Key()
	}
	return "post-75"
}
