package resolve

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"echowright/geometry"
	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func quote(s string) string { return diag.Quote(s) }

func angle(rad float64) s1.Angle { return s1.Angle(rad) }

// body fills the states, the outline and the parts.
func (r *resolver) body() {
	for _, e := range r.list(r.doc, "states") {
		if !slices.Contains(r.sc.States, e.Text()) { // a repeated one is refused already
			r.sc.States = append(r.sc.States, e.Text())
		}
	}
	body, _ := r.doc.Get("body")
	if o, ok := body.Get("outline"); ok {
		r.bodyOutline(o)
	}
	corners := 0
	for _, e := range r.list(body, "parts") {
		fitted := corners <= layout.MaxCorners
		corners += len(r.part(e))
		if fitted && corners > layout.MaxCorners {
			r.wrong(e, fmt.Sprintf("draw them with no more than %d, or leave out what no beam meets", layout.MaxCorners),
				"up to here the parts have %d corners once their curves are drawn to %s", corners, length(errM))
		}
	}
}

// bodyOutline measures the outline and keeps it if it can be used.
func (r *resolver) bodyOutline(e layout.Entry) {
	h, _ := e.Get("height")
	r.sc.Body.HeightM = span(h)
	ring, place := r.shape(e)
	if ring == nil {
		return
	}
	if r.tooLarge(ring, place) {
		return
	}
	o, err := geometry.NewOutline(ring)
	if err != nil {
		r.wrong(place, "draw the machine round the origin, so that +x leaves it at the front", "%s", err.Error())
		return
	}
	r.outline, r.ring = o, o.Ring()
	r.sc.Body.Outline = r.ring
}

// farthestM is as far out as the format's own places go.
const farthestM = 1000

// tooLarge refuses an outline that reaches too far, or has too many corners once its curves are drawn to errM.
func (r *resolver) tooLarge(ring []r2.Point, place layout.Entry) bool {
	far := 0.0
	for _, p := range ring {
		far = math.Max(far, math.Max(math.Abs(p.X), math.Abs(p.Y)))
	}
	switch {
	case far > farthestM:
		r.wrong(place, "keep within "+length(farthestM)+" of the origin; of a path check scale", "the outline reaches to %s", length(far))
	case len(ring) > layout.MaxCorners:
		r.wrong(place, fmt.Sprintf("draw it with no more than %d", layout.MaxCorners), "the outline has %d corners once its curves are drawn to %s", len(ring), length(errM))
	default:
		return false
	}
	return true
}

// shape returns the ring an outline entry describes, nil when what is wrong with it has been said.
func (r *resolver) shape(e layout.Entry) (ring []r2.Point, place layout.Entry) {
	if e.Faulty("rectangle", "corner", "centre", "polygon", "path", "scale") {
		return nil, e
	}
	if p, ok := e.Get("rectangle"); ok {
		return r.rectangle(e, p), p
	}
	if p, ok := e.Get("polygon"); ok {
		return r.polygon(p, "the outline"), p
	}
	p, _ := e.Get("path")
	return r.path(e, p), p
}

func (r *resolver) rectangle(e, size layout.Entry) []r2.Point {
	row := size.Row()
	corner := e.Value("corner")
	if least := math.Min(row[0], row[1]) / 2; corner.Num() > least {
		r.wrong(corner, "the corner radius can be at most "+length(least)+" here",
			"a corner radius of %s does not fit a rectangle of %s by %s", length(corner.Num()), length(row[0]), length(row[1]))
		return nil
	}
	return geometry.RoundedRectangle(row[0], row[1], corner.Num(), point(e.Value("centre")), errM)
}

// path reads SVG path data. Of several closed curves the one that holds the others is the outline.
func (r *resolver) path(e, p layout.Entry) []r2.Point {
	rings, err := geometry.ParseSVGPath(p.Text(), e.Value("scale").Num(), errM)
	if err != nil {
		r.wrong(p, "write the d of one closed SVG path", "the path cannot be read: %s", err.Error())
		return nil
	}
	if len(rings) != 1 {
		r.wrong(p, "keep only the outer border", "the path has %d closed curves, an outline is one", len(rings))
		return nil
	}
	return r.simple(p, rings[0], "the outline")
}

// polygon returns the corners of a polygon, nil when what is wrong with it has been said.
func (r *resolver) polygon(e layout.Entry, what string) []r2.Point {
	if e.Faulty() {
		return nil
	}
	var ring []r2.Point
	for _, c := range e.List() {
		ring = append(ring, point(c))
	}
	return r.simple(e, ring, what)
}

// simple refuses a ring that crosses or touches itself or encloses nothing.
func (r *resolver) simple(e layout.Entry, ring []r2.Point, what string) []r2.Point {
	ring = slices.Compact(ring)
	for len(ring) > 1 && ring[0] == ring[len(ring)-1] {
		ring = ring[:len(ring)-1]
	}
	if geometry.Area(geometry.ConvexHull(ring)) == 0 {
		r.wrong(e, "give at least three corners that are not in one line", "%s encloses nothing", what)
		return nil
	}
	if at, bad := geometry.SelfCrossing(ring); bad {
		r.wrong(e, "give the corners in order round the edge", "%s crosses or touches itself at (%s, %s)", what, length(at.X), length(at.Y))
		return nil
	}
	return counterClockwise(ring)
}

// part adds a part and returns its outline.
func (r *resolver) part(e layout.Entry) []r2.Point {
	name, _ := e.Get("name")
	h, _ := e.Get("height")
	p := scene.Part{Name: name.Text(), Entry: e.Path(), HeightM: span(h), OnlyIn: onlyIn(e)}
	r.partShape(e, &p)
	r.sc.Body.Parts = append(r.sc.Body.Parts, p)
	return p.Outline
}

// partShape draws a part; its outline stays empty when what is wrong with it has been said.
func (r *resolver) partShape(e layout.Entry, p *scene.Part) {
	if e.Faulty("circle", "centre", "polygon") {
		return
	}
	if poly, ok := e.Get("polygon"); ok {
		p.Outline = r.polygon(poly, "part "+quote(p.Name))
		return
	}
	circle, _ := e.Get("circle")
	centre, _ := e.Get("centre")
	p.RadiusM, p.Centre = circle.Num()/2, point(centre)
	p.Outline = geometry.Circle(p.Centre, p.RadiusM, errM)
}

// point reads a row of two lengths.
func point(e layout.Entry) r2.Point {
	row := e.Row()
	if len(row) < 2 {
		return r2.Point{}
	}
	return r2.Point{X: row[0], Y: row[1]}
}

// errUnusable says that something already reported stands in the way.
var errUnusable = errors.New("not usable")
