package view

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/plan"

	"github.com/golang/geo/r2"
)

// How near the pointer must be, in points: a finger's width for what is dragged, less for lines.
const (
	touchPoints = 10
	linePickPts = 6
	spotPickPts = 3
)

// Under is what lies at a point of the drawing: sensors and the grip first, then parts, the edge, paths, zones by
// their outline, blind spots, and the machine itself.
func Under(p *plan.Plan, cam Camera, looks Looks, at canvas.Point) Thing {
	if p == nil || !finite(at) || !cam.usable() || !cam.Area.Holds(at) {
		return Thing{}
	}
	if t, ok := sensorUnder(p, cam, looks, at); ok {
		return t
	}
	target, state := Shown(p, looks)
	m := cam.World(at)
	near := func(r [][2]float64, closed bool) float64 { return distance(r, closed, m) * cam.Scale }
	for _, part := range p.Body.Parts {
		if part.In(state) && (holds(plan.Polygon{part.Outline}, m) || near(part.Outline, true) <= spotPickPts) {
			return Thing{Kind: Part, Name: part.Name}
		}
	}
	if near(p.Body.Outline, true) <= linePickPts {
		if o := outlineOf(p); o != nil {
			arc, _ := o.ArcOf(pointOf(m))
			return Thing{Kind: Edge, ArcM: arc}
		}
	}
	if looks.Paths {
		for _, i := range new(Cache).paths(p, target, looks) {
			if a := p.Crosstalk[i]; near(a.Points, false) <= linePickPts {
				return Thing{Kind: Path, Name: a.From + " " + a.To, Index: i}
			}
		}
	}
	fits := func(t, s string) bool { return t == target && (s == "" || s == state) }
	if looks.Zones {
		for _, z := range p.Zones {
			if !fits(z.Target, z.State) {
				continue
			}
			for _, r := range z.Polygon {
				if near(r, true) <= linePickPts {
					return Thing{Kind: Zone, Name: z.Name}
				}
			}
		}
	}
	if looks.Blind {
		for i, b := range p.BlindSpots {
			if !fits(b.Target, b.State) {
				continue
			}
			off := math.Inf(1)
			for _, r := range b.Polygon {
				off = min(off, near(r, true))
			}
			if off <= spotPickPts || holds(b.Polygon, m) {
				return Thing{Kind: Blind, Name: b.Zone, Index: i}
			}
		}
	}
	if holds(plan.Polygon{p.Body.Outline}, m) {
		return Thing{Kind: Machine}
	}
	return Thing{}
}

// sensorUnder is the nearest sensor within reach, or the grip of the one chosen last.
func sensorUnder(p *plan.Plan, cam Camera, looks Looks, at canvas.Point) (t Thing, ok bool) {
	least := float64(touchPoints)
	for _, s := range p.Sensors {
		q := cam.At([2]float64{s.X, s.Y})
		if d := math.Hypot(q[0]-at[0], q[1]-at[1]); d <= least {
			least, t, ok = d, Thing{Kind: Sensor, Name: s.Name}, true
		}
	}
	if ok {
		return t, true
	}
	if s, has := first(p, looks); has {
		g := gripOf(cam, poseIn(s))
		if math.Hypot(g[0]-at[0], g[1]-at[1]) <= touchPoints {
			return Thing{Kind: Heading, Name: s.Name}, true
		}
	}
	return Thing{}, false
}

// distance is how far a place is from a line, m.
func distance(line [][2]float64, closed bool, q [2]float64) float64 {
	best := math.Inf(1)
	for i, b := range line {
		j := i - 1
		if j < 0 {
			if !closed {
				continue
			}
			j = len(line) - 1
		}
		a := line[j]
		dx, dy := b[0]-a[0], b[1]-a[1]
		u := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			u = min(max(((q[0]-a[0])*dx+(q[1]-a[1])*dy)/l, 0), 1)
		}
		best = min(best, math.Hypot(q[0]-a[0]-u*dx, q[1]-a[1]-u*dy))
	}
	return best
}

func pointOf(q [2]float64) r2.Point { return r2.Point{X: q[0], Y: q[1]} }
