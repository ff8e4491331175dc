package view

import (
	"math"
	"slices"
	"strings"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/planner/export/draw"
	"echowright/planner/plan"

	"github.com/golang/geo/r2"
)

// Cache keeps what is dear to make from one drawing to the next. Its zero value is ready; it is for one goroutine.
type Cache struct {
	lobes    *plan.Lobe                 // the first lobe of the plan the overlaps are of
	both     map[[4]string]plan.Polygon // by the two sensors, target and state
	edge     *[2]float64                // the first place of the outline that was measured
	outline  *geometry.Outline
	arcs     *plan.Arc // the first of those that were searched
	searched string    // for what
	loudest  []int
	ink      ink
}

// begin forgets what is not of this plan.
func (c *Cache) begin(p *plan.Plan) {
	if head := at(p.Lobes); head != c.lobes {
		c.lobes, c.both = head, nil
	}
}

// at is what tells one slice from another.
func at[T any](s []T) *T {
	if len(s) == 0 {
		return nil
	}
	return &s[0]
}

// overlap is what two sensors both see.
func (c *Cache) overlap(p *plan.Plan, o plan.Overlap) plan.Polygon {
	key := [4]string{o.A, o.B, o.Target, o.State}
	if both, ok := c.both[key]; ok {
		return both
	}
	of := func(name string) region.Set {
		var rings [][]r2.Point
		for _, l := range p.Lobes {
			if l.Sensor != name || l.Target != o.Target || l.State != o.State {
				continue
			}
			for _, r := range l.Polygon {
				rings = append(rings, ringOf(r))
			}
		}
		return region.FromRings(rings...)
	}
	var both plan.Polygon
	for _, r := range region.AtLeast(2, of(o.A), of(o.B)).Rings() {
		both = append(both, plan.RingOf(r))
	}
	if c.both == nil {
		c.both = map[[4]string]plan.Polygon{}
	}
	c.both[key] = both
	return both
}

func ringOf(r plan.Ring) []r2.Point {
	out := make([]r2.Point, 0, len(r))
	for _, q := range r {
		if finite(q) && math.Max(math.Abs(q[0]), math.Abs(q[1])) < region.Limit {
			out = append(out, r2.Point{X: q[0], Y: q[1]})
		}
	}
	return out
}

// measured is the body's outline with its lengths; nil where it has none.
func (c *Cache) measured(p *plan.Plan) *geometry.Outline {
	if head := at(p.Body.Outline); head != c.edge {
		c.edge, c.outline = head, outlineOf(p)
	}
	return c.outline
}

func outlineOf(p *plan.Plan) *geometry.Outline {
	if len(p.Body.Outline) < 3 {
		return nil
	}
	o, err := geometry.NewOutline(ringOf(p.Body.Outline))
	if err != nil {
		return nil
	}
	return o
}

// mostPaths is how many disturbance paths are drawn.
const mostPaths = 3

// paths are the disturbances that are drawn, by their index in the plan.
func (c *Cache) paths(p *plan.Plan, target string, looks Looks) []int {
	what := target + "\x00" + strings.Join(looks.Chosen, "\x00")
	if head := at(p.Crosstalk); head != c.arcs || what != c.searched {
		c.arcs, c.searched, c.loudest = head, what, shownPaths(p, target, looks)
	}
	out := slices.Clip(c.loudest)
	if t := looks.Thing; t.Kind == Path && t.Index >= 0 && t.Index < len(p.Crosstalk) && !slices.Contains(out, t.Index) {
		out = append(out, t.Index)
	}
	return out
}

// shownPaths are the loudest harmful disturbances, of the chosen sensors when there are any, and none by another target
// than the one shown.
func shownPaths(p *plan.Plan, target string, looks Looks) []int {
	return draw.Loud(p.Crosstalk, mostPaths, func(a plan.Arc) bool {
		return draw.ByTarget(a, target) && (len(looks.Chosen) == 0 || slices.Contains(looks.Chosen, a.From) || slices.Contains(looks.Chosen, a.To))
	})
}
