package editor

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/layout"

	"github.com/golang/geo/r2"
)

// zonePull drags the edge of a zone: the near or far edge of a band, the end of a swept lane, a corner of a polygon or the
// whole of it. A sector is changed by its figures alone.
type zonePull struct {
	base   *layout.Document
	name   string
	from   canvas.Point
	begun  bool
	far    bool // of a band: its far edge
	corner int  // of a polygon: the corner that moves, -1: all
}

func (e *Editor) pullZone(ev input.Event, name string) gesture {
	g := &zonePull{base: e.doc, name: name, from: ev.At, corner: -1}
	z, _ := e.doc.Root().Get("zones." + name)
	if d, ok := z.Get("band.depth"); ok {
		lo, hi := d.Span()
		off := e.offBody(ev.At)
		g.far = math.Abs(off-hi) <= math.Abs(off-lo)
	}
	if p, ok := z.Get("polygon"); ok {
		best := cornerPoints
		for i, c := range p.List() {
			at := e.cam.At([2]float64(c.Row()))
			if d := math.Hypot(at[0]-ev.At[0], at[1]-ev.At[1]); d < best {
				best, g.corner = d, i
			}
		}
	}
	return g
}

// cornerPoints is how near a corner must be to be taken, in window points.
const cornerPoints = 14.0

// offBody is how far a point of the drawing is from the body's outline, m.
func (e *Editor) offBody(at canvas.Point) float64 {
	m := e.cam.World(at)
	_, off := e.outline.ArcOf(r2.Point{X: m[0], Y: m[1]})
	return off
}

func (g *zonePull) move(e *Editor, ev input.Event) {
	if !g.begun && math.Hypot(ev.At[0]-g.from[0], ev.At[1]-g.from[1]) < startPoints {
		return
	}
	g.begun = true
	z, _ := g.base.Root().Get("zones." + g.name)
	path := "zones." + g.name
	switch {
	case z.Has("band"):
		d, _ := z.Get("band.depth")
		lo, hi := d.Span()
		off := math.Round(e.offBody(ev.At)*100) / 100
		if g.far {
			hi = max(off, lo+0.01)
		} else {
			lo = min(off, hi-0.01)
		}
		e.change(words.pull(g.name), drag, g.base, layout.Edit{Do: layout.Set, Path: path + ".band.depth", Text: spanText(lo, hi)})
	case z.Has("swept"):
		way, _ := z.Get("swept.way")
		reach := math.Round(e.ahead(way.Text(), ev.At)*100) / 100
		e.change(words.pull(g.name), drag, g.base, layout.Edit{Do: layout.Set, Path: path + ".swept.reach", Text: lengthText(max(reach, 0.01))})
	case z.Has("polygon"):
		p, _ := z.Get("polygon")
		from, to := e.cam.World(g.from), e.cam.World(ev.At)
		var corners []string
		for i, c := range p.List() {
			m := [2]float64(c.Row())
			switch {
			case i == g.corner:
				m = to
			case g.corner < 0:
				m[0], m[1] = m[0]+to[0]-from[0], m[1]+to[1]-from[1]
			default:
				corners = append(corners, fmt.Sprintf("[%s, %s]", lengthText(m[0]), lengthText(m[1])))
				continue
			}
			corners = append(corners, fmt.Sprintf("[%s, %s]", centimetres(m[0]), centimetres(m[1])))
		}
		e.change(words.pull(g.name), drag, g.base, layout.Edit{Do: layout.Set, Path: path + ".polygon", Text: "[" + strings.Join(corners, ", ") + "]"})
	}
}

// ahead is how far a point lies before the body's foremost point on a way, m.
func (e *Editor) ahead(way string, at canvas.Point) float64 {
	u := map[string]r2.Point{"forward": {X: 1}, "backward": {X: -1}, "left": {Y: 1}, "right": {Y: -1}}[way]
	m := e.cam.World(at)
	most := math.Inf(-1)
	for _, p := range e.read.value.Body.Outline {
		most = max(most, p.Dot(u))
	}
	return r2.Point{X: m[0], Y: m[1]}.Dot(u) - most
}

func (g *zonePull) lift(e *Editor, _ input.Event) {
	if g.begun {
		e.endDrag()
	}
}
