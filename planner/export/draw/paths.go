package draw

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/plan"
)

// drawn are the disturbances a view shows: none that comes by another target than the view's.
func drawn(p *plan.Plan, v View) (arcs []plan.Arc) {
	for _, i := range Loud(p.Crosstalk, v.Paths, func(a plan.Arc) bool { return ByTarget(a, v.Target) }) {
		arcs = append(arcs, p.Crosstalk[i])
	}
	return arcs
}

// ByTarget reports whether a disturbance comes by no other target than the named one.
func ByTarget(a plan.Arc, target string) bool {
	by, ok := strings.CutPrefix(a.Path, "target: ")
	return !ok || by == target
}

// Loud returns at most n of the harmful arcs that are wanted, by their places in the list, one a pair of sensors: first the
// loudest of each kind of path, then the loudest of the rest.
func Loud(arcs []plan.Arc, n int, wanted func(plan.Arc) bool) (out []int) {
	pairs, paths := map[[2]string]bool{}, map[string]bool{}
	pair := func(a *plan.Arc) [2]string { return [2]string{min(a.From, a.To), max(a.From, a.To)} }
	for _, again := range []bool{false, true} {
		for len(out) < n {
			best := -1
			for i := range arcs {
				a := &arcs[i]
				if a.Harms && a.From != a.To && (best < 0 || a.LevelDB > arcs[best].LevelDB) &&
					!pairs[pair(a)] && (again || !paths[a.Path]) && wanted(*a) {
					best = i
				}
			}
			if best < 0 {
				break
			}
			a := &arcs[best]
			pairs[pair(a)], paths[a.Path] = true, true
			out = append(out, best)
		}
	}
	return out
}

// paths draws disturbances with a bar at each place of reflection.
func (pic *Picture) paths(p *plan.Plan, arcs []plan.Arc) {
	for _, a := range arcs {
		pts := corners([]plan.Arc{a})
		s := line(Style{Stroke: Late, Width: 1.5, Dashed: true}, pts...)
		s.Title = fmt.Sprintf("%s, %s", Said(p, a), a.Path)
		pic.add("disturbance", s)
		for i := 1; i+1 < len(pts); i++ {
			pic.add("disturbance", Reflector(pts[i-1], pts[i], pts[i+1], barPx/2/pic.PxX))
		}
	}
}

// barPx is how long the bar of a reflector is, pixels.
const barPx = 36

// Said is what a disturbance would make its listener show, fired together.
func Said(p *plan.Plan, a plan.Arc) string {
	reads := p.Reads(a)
	return fmt.Sprintf("%s hears %s · reads %s", a.To, a.From, plan.LengthSpan(reads))
}

// corners are the places of all paths.
func corners(arcs []plan.Arc) (pts []Point) {
	for _, a := range arcs {
		for _, q := range a.Points {
			pts = append(pts, q)
		}
	}
	return pts
}

// misread are the false readings, each beside the farthest place of its path.
func misread(p *plan.Plan, arcs []plan.Arc) (labels []label) {
	for _, a := range arcs {
		if pts := corners([]plan.Arc{a}); len(pts) > 1 {
			labels = append(labels, label{at: pts[len(pts)/2], ink: Late, text: Said(p, a)})
		}
	}
	return labels
}

// Reflector is a short bar at a place where a path from one place to another is turned back, square to the bisector,
// that reaches half to either side, m.
func Reflector(from, at, to Point, half float64) Shape {
	unit := func(a, b Point) Point {
		d := math.Hypot(b[0]-a[0], b[1]-a[1])
		if d == 0 {
			return Point{}
		}
		return Point{(b[0] - a[0]) / d, (b[1] - a[1]) / d}
	}
	u, w := unit(at, from), unit(at, to)
	n := Point{u[0] + w[0], u[1] + w[1]}
	if l := math.Hypot(n[0], n[1]); l > 1e-9 {
		n = Point{n[0] / l, n[1] / l}
	} else {
		n = Point{1, 0}
	}
	return line(Style{Stroke: Late, Width: 4}, Point{at[0] - n[1]*half, at[1] + n[0]*half}, Point{at[0] + n[1]*half, at[1] - n[0]*half})
}
