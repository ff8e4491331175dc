package ways

import (
	"math"

	"github.com/golang/geo/r2"

	"echowright/geometry/region"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// needs is what is seen by one sensor and by no more others than a zone asks for: what it must go on listening to.
type needs struct {
	at     r2.Point
	pieces []need
}

// need is such a piece of a zone.
type need struct {
	zone int        // number in Plan.Coverage
	set  region.Set // seen from above
	up   float64    // how far above or below the sensor the target may answer, m
}

// sliverM2 is what the lobes' own error makes along their edges, and no place that anything stands at.
const sliverM2 = 1e-4

// view is the plan's lobes and zones as sets, for windows to be cut out of.
type view struct {
	sc    *scene.Scene
	p     *plan.Plan
	lobes map[lobeKey]region.Set
	zones []region.Set // by number in Plan.Coverage
}

type lobeKey struct{ sensor, target, state string }

func (w *work) view() *view {
	v := &view{sc: w.sc, p: w.p, lobes: map[lobeKey]region.Set{}}
	for _, l := range w.p.Lobes {
		k := lobeKey{l.Sensor, l.Target, l.State}
		v.lobes[k] = region.Union(v.lobes[k], setOf(l.Polygon))
	}
	for _, c := range w.p.Coverage {
		var s region.Set
		for _, z := range w.p.Zones {
			if z.Name == c.Zone && z.Target == c.Target && z.State == c.State {
				s = region.Union(s, setOf(z.Polygon))
			}
		}
		v.zones = append(v.zones, s)
	}
	return v
}

func setOf(p plan.Polygon) region.Set {
	var rings [][]r2.Point
	for _, r := range p {
		var pts []r2.Point
		for _, q := range r {
			pts = append(pts, r2.Point{X: q[0], Y: q[1]})
		}
		rings = append(rings, pts)
	}
	return region.FromRings(rings...)
}

// needsOf is what sensor i is needed for.
func (v *view) needsOf(i int) (n needs) {
	s := v.sc.Sensors[i]
	n.at = s.At
	for z, c := range v.p.Coverage {
		mine := region.Intersect(v.lobes[lobeKey{s.Name, c.Target, c.State}], v.zones[z])
		if mine.IsEmpty() {
			continue
		}
		var others []region.Set
		for k, o := range v.sc.Sensors {
			if l := v.lobes[lobeKey{o.Name, c.Target, c.State}]; k != i && !l.IsEmpty() {
				others = append(others, l)
			}
		}
		var worth []region.Set
		if by := max(1, c.Required.SeenBy); len(others) >= by {
			mine = region.Difference(mine, region.AtLeast(by, others...))
		} else if len(others) < by-1 {
			continue // too few see anything here, with it or without
		}
		for _, piece := range mine.Pieces() {
			if piece.Area() >= sliverM2 {
				worth = append(worth, piece)
			}
		}
		if len(worth) > 0 {
			n.pieces = append(n.pieces, need{z, region.Union(worth...), v.offLevel(s.HeightM, c.Target)})
		}
	}
	return n
}

// offLevel is how far above or below a sensor a target may answer, m.
func (v *view) offLevel(height float64, target string) float64 {
	for _, t := range v.sc.Targets {
		if t.Name == target && (!t.HeightM.Contains(height) || t.Shape == scene.Sphere) {
			return math.Max(math.Abs(t.HeightM.Lo-height), math.Abs(t.HeightM.Hi-height))
		}
	}
	return 0
}

// farthestM is how far a sensor must listen for all it is needed for, m; 0 for nothing.
func (n needs) farthestM() (far float64) {
	for _, p := range n.pieces {
		for _, r := range p.set.Rings() {
			for _, q := range r {
				far = math.Max(far, math.Hypot(q.Sub(n.at).Norm(), p.up))
			}
		}
	}
	return far
}

// addLost adds the area that each zone loses if the sensor listens no farther than m, by number in Plan.Coverage.
func (n needs) addLost(m float64, lost map[int]float64) {
	for _, p := range n.pieces {
		lost[p.zone] += region.Difference(p.set, disc(n.at, flat(m, p.up), true)).Area()
	}
}

// cut leaves of the lobes of sensor i what a window of m admits for certain.
func (v *view) cut(i int, m float64) {
	s := v.sc.Sensors[i]
	for k, l := range v.lobes {
		if k.sensor == s.Name {
			v.lobes[k] = region.Intersect(l, disc(s.At, flat(m, v.offLevel(s.HeightM, k.target)), false))
		}
	}
}

// flat is how far along the ground a slant of m reaches.
func flat(m, up float64) float64 { return math.Sqrt(math.Max(0, m*m-up*up)) }

// disc is a round region of radius m as a polygon within it, or, outside set, round it.
func disc(at r2.Point, m float64, outside bool) region.Set {
	const corners = 90
	if m <= 0 {
		return region.Set{}
	}
	if outside {
		m /= math.Cos(math.Pi / corners)
	}
	var ring []r2.Point
	for k := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / corners)
		ring = append(ring, r2.Point{X: at.X + float64(m*cos), Y: at.Y + float64(m*sin)})
	}
	return region.FromRings(ring)
}
