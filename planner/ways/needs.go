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
	answer
}

// answer is where a target's echo comes from, seen from a sensor.
type answer struct {
	up   float64 // how far above or below it may be at the most, m
	near float64 // how much nearer than its middle, m
}

// flatM is within what distance along the ground a window of m sees the target for certain.
func (a answer) flatM(m float64) float64 { return math.Sqrt(math.Max(0, m*m-float64(a.up*a.up))) }

// overM is what a window may be longer than its range needs, m: ticks and rounding.
const overM = 0.02

// farM is beyond what distance along the ground it is never seen by a window of m.
func (a answer) farM(m float64) float64 { return m + a.near + overM }

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

// needsOf is what sensor i is needed for where all see what lobes say.
func (v *view) needsOf(i int, lobes map[lobeKey]region.Set) (n needs) {
	s := v.sc.Sensors[i]
	n.at = s.At
	for z, c := range v.p.Coverage {
		mine := region.Intersect(lobes[lobeKey{s.Name, c.Target, c.State}], v.zones[z])
		if mine.IsEmpty() {
			continue
		}
		var others []region.Set
		for k, o := range v.sc.Sensors {
			if l := lobes[lobeKey{o.Name, c.Target, c.State}]; k != i && !l.IsEmpty() {
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
			n.pieces = append(n.pieces, need{z, region.Union(worth...), v.answer(s.HeightM, c.Target)})
		}
	}
	return n
}

// answer is where a target answers a sensor at some height.
func (v *view) answer(height float64, target string) (a answer) {
	for _, t := range v.sc.Targets {
		if t.Name != target {
			continue
		}
		a.near = t.RadiusM
		if !t.HeightM.Contains(height) || t.Shape == scene.Sphere {
			a.up = math.Max(math.Abs(t.HeightM.Lo-height), math.Abs(t.HeightM.Hi-height))
		}
	}
	return a
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
		lost[p.zone] += region.Difference(p.set, disc(n.at, p.farM(m), true)).Area()
	}
}

// cut leaves of the lobes of sensor i what a window of m admits for certain, or, outside, at the most.
func (v *view) cut(lobes map[lobeKey]region.Set, i int, m float64, outside bool) {
	s := v.sc.Sensors[i]
	for k, l := range lobes {
		if k.sensor == s.Name {
			far := v.answer(s.HeightM, k.target).flatM(m)
			if outside {
				far = v.answer(s.HeightM, k.target).farM(m)
			}
			lobes[k] = region.Intersect(l, disc(s.At, far, outside))
		}
	}
}

// seesM is how far from a sensor the farthest place of any zone is that it sees, m.
func (v *view) seesM(i int) float64 {
	s := v.sc.Sensors[i]
	n := needs{at: s.At}
	for z, c := range v.p.Coverage {
		if set := region.Intersect(v.lobes[lobeKey{s.Name, c.Target, c.State}], v.zones[z]); !set.IsEmpty() {
			n.pieces = append(n.pieces, need{z, set, v.answer(s.HeightM, c.Target)})
		}
	}
	return n.farthestM()
}

// coveredM2 is the area of each zone that enough sensors see where they see what lobes say, by number in Plan.Coverage.
func (v *view) coveredM2(lobes map[lobeKey]region.Set) (m2 []float64) {
	for z, c := range v.p.Coverage {
		var in []region.Set
		for _, s := range v.sc.Sensors {
			if l := lobes[lobeKey{s.Name, c.Target, c.State}]; !l.IsEmpty() {
				in = append(in, l)
			}
		}
		m2 = append(m2, region.Intersect(region.AtLeast(max(1, c.Required.SeenBy), in...), v.zones[z]).Area())
	}
	return m2
}

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
