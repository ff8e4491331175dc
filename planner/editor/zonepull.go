package editor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/view"
	"echowright/planner/export/draw"
	"echowright/planner/layout"
	"echowright/planner/plan"

	"github.com/golang/geo/r2"
)

// zonePull drags the edge of a zone: the near or far edge of a band, the end of a swept lane, a corner of a polygon or the
// whole of it; of a rectangle a corner with both its edges, or an edge by its middle. A sector is changed by its figures alone.
type zonePull struct {
	base   *layout.Document
	name   string
	from   canvas.Point
	begun  bool
	far    bool // of a band: its far edge
	corner int  // of a polygon: the corner that moves, -1: all
	edge   int  // of a rectangle: the edge that moves, from the corner of that number to the next, -1: none
}

func (e *Editor) pullZone(ev input.Event, name string) gesture {
	g := &zonePull{base: e.doc, name: name, from: ev.At, corner: -1, edge: -1}
	z, _ := e.doc.Root().Get("zones." + name)
	if d, ok := z.Get("band.depth"); ok {
		lo, hi := d.Span()
		off := e.offBody(ev.At)
		g.far = math.Abs(off-hi) <= math.Abs(off-lo)
	}
	if p, ok := z.Get("polygon"); ok {
		best := cornerPoints
		ring := ringOf(p)
		for i, c := range ring {
			at := e.cam.At(c)
			if d := math.Hypot(at[0]-ev.At[0], at[1]-ev.At[1]); d < best {
				best, g.corner = d, i
			}
		}
		if g.corner < 0 && isRectangle(ring) {
			for i := range ring {
				at := e.cam.At(edgeMiddle(ring, i))
				if d := math.Hypot(at[0]-ev.At[0], at[1]-ev.At[1]); d < best {
					best, g.edge = d, i
				}
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
		was := ringOf(p)
		from, to := e.cam.World(g.from), e.cam.World(ev.At)
		now := g.pulled(was, from, to, ev.Mods.Alt)
		var corners []string
		for i, m := range now {
			text := fmt.Sprintf("[%s, %s]", lengthText(m[0]), lengthText(m[1]))
			if m == was[i] { // as it is written
				text = p.List()[i].Written()
			}
			corners = append(corners, text)
		}
		e.change(words.pull(g.name), drag, g.base, layout.Edit{Do: layout.Set, Path: path + ".polygon", Text: "[" + strings.Join(corners, ", ") + "]"})
	}
}

// pulled is a polygon with what is held moved, to whole centimetres. A rectangle stays one, unless its corner is to move alone.
func (g *zonePull) pulled(ring [][2]float64, from, to [2]float64, alone bool) [][2]float64 {
	now := slices.Clone(ring)
	snap := func(m [2]float64) [2]float64 { return [2]float64{inCentimetres(m[0]), inCentimetres(m[1])} }
	switch {
	case g.corner >= 0 && (alone || !isRectangle(ring)):
		now[g.corner] = snap(to)
	case g.corner >= 0:
		moveLines(now, ring, ring[g.corner], snap(to), [2]bool{true, true})
	case g.edge >= 0:
		k := 0 // the edge runs along y and moves along x
		if ring[g.edge][1] == ring[(g.edge+1)%4][1] {
			k = 1
		}
		moveLines(now, ring, ring[g.edge], snap(to), [2]bool{k == 0, k == 1})
	default:
		for i, m := range ring {
			now[i] = snap([2]float64{m[0] + to[0] - from[0], m[1] + to[1] - from[1]})
		}
	}
	return now
}

// moveLines moves the lines of a rectangle that run through a corner, along the axes asked for, and keeps it a centimetre wide.
func moveLines(now, ring [][2]float64, corner, to [2]float64, axes [2]bool) {
	for k := range 2 {
		if !axes[k] {
			continue
		}
		for i, m := range ring {
			if m[k] != corner[k] {
				continue
			}
			other := ring[0][k] + ring[2][k] - m[k]
			if m[k] > other {
				now[i][k] = max(to[k], other+0.01)
			} else {
				now[i][k] = min(to[k], other-0.01)
			}
		}
	}
}

func ringOf(polygon layout.Entry) (ring [][2]float64) {
	for _, c := range polygon.List() {
		if m := c.Row(); len(m) == 2 {
			ring = append(ring, [2]float64(m))
		}
	}
	return ring
}

// isRectangle reports whether a ring is a rectangle along the axes.
func isRectangle(r [][2]float64) bool {
	if len(r) != 4 || r[0][0] == r[2][0] || r[0][1] == r[2][1] {
		return false
	}
	return r[0][0] == r[1][0] && r[1][1] == r[2][1] && r[2][0] == r[3][0] && r[3][1] == r[0][1] ||
		r[0][1] == r[1][1] && r[1][0] == r[2][0] && r[2][1] == r[3][1] && r[3][0] == r[0][0]
}

// edgeMiddle is the middle of a ring's edge from a corner to the next.
func edgeMiddle(ring [][2]float64, i int) [2]float64 {
	a, b := ring[i], ring[(i+1)%len(ring)]
	return [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
}

func inCentimetres(m float64) float64 { return math.Round(m*100) / 100 }

// zoneHandles are what the chosen zone's polygon is pulled by: squares at its corners, and in the middle of a rectangle's edges.
func (e *Editor) zoneHandles() (l canvas.Layer, ok bool) {
	if e.thing.Kind != view.Zone || e.doc == nil || e.shown == nil || !e.looks.Zones {
		return l, false
	}
	p, ok := e.doc.Root().Get("zones." + e.thing.Name + ".polygon")
	if !ok || !slices.ContainsFunc(e.shown.Zones, func(z plan.Zone) bool {
		return z.Name == e.thing.Name && (e.looks.Target == "" || z.Target == e.looks.Target)
	}) {
		return l, false
	}
	l = canvas.Layer{Name: "zone handles", Clip: e.cam.Area}
	put := func(m [2]float64, half float64) {
		at := e.cam.At(m)
		s := filled(canvas.Rect{X: math.Round(at[0]) - half, Y: math.Round(at[1]) - half, W: 2 * half, H: 2 * half}, draw.Plate)
		s.Style.Stroke, s.Style.Width = draw.Chosen, 1.5
		l.Shapes = append(l.Shapes, s)
	}
	ring := ringOf(p)
	for i, m := range ring {
		put(m, 4)
		if isRectangle(ring) {
			put(edgeMiddle(ring, i), 3)
		}
	}
	return l, true
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
	if !g.begun {
		return
	}
	e.endDrag()
	if p, ok := e.doc.Root().Get("zones." + g.name + ".polygon"); ok {
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for _, m := range ringOf(p) {
			for k := range 2 {
				lo[k], hi[k] = min(lo[k], m[k]), max(hi[k], m[k])
			}
		}
		e.say(words.zoneSize(g.name, lengthText(lo[0])+".."+lengthText(hi[0]), lengthText(lo[1])+".."+lengthText(hi[1])))
	}
}
