package latency

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/geometry"
	"echowright/geometry/region"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// frame turns the body's frame so that X runs along a way of travel and Y to the left of it. It is a quarter
// turn or none, so it rounds nothing.
type frame scene.Way

func (f frame) in(p r2.Point) r2.Point {
	switch scene.Way(f) {
	case scene.Backward:
		return r2.Point{X: -p.X, Y: -p.Y}
	case scene.Leftward:
		return r2.Point{X: p.Y, Y: -p.X}
	case scene.Rightward:
		return r2.Point{X: -p.Y, Y: p.X}
	}
	return p
}

func (f frame) out(p r2.Point) r2.Point {
	switch scene.Way(f) {
	case scene.Leftward, scene.Rightward:
		q := f.in(p)
		return r2.Point{X: -q.X, Y: -q.Y} // two quarter turns one way are two the other
	}
	return f.in(p)
}

func (f frame) rings(rings [][]r2.Point) [][]r2.Point {
	out := make([][]r2.Point, len(rings))
	for i, r := range rings {
		for _, p := range r {
			out[i] = append(out[i], f.in(p))
		}
	}
	return out
}

func (f frame) polygon(p plan.Polygon) (out [][]r2.Point) {
	for _, r := range p {
		ring := make([]r2.Point, len(r))
		for i, q := range r {
			ring[i] = f.in(r2.Point{X: q[0], Y: q[1]})
		}
		out = append(out, ring)
	}
	return out
}

// lane is the lines across which a target coming straight would touch the machine.
type lane struct {
	f       frame
	outline []r2.Point // of the body
	zone    scene.Zone
	target  scene.Target
	seenBy  int
	front   []edge     // where it would touch, from right to left of the way
	ahead   region.Set // all places before that
	asked   region.Set // those of them in a zone that lies across the way
	paths   []path
	slitM   float64 // a failing piece of the lane narrower than this is none
}

// laneShare is the share of a lane's width that a zone must lie across to be asked of that way: a zone
// beside the machine, or one for its corner, is not about driving that way. Common practice, no source.
const laneShare = 0.5

// roundM is how far the corners of the machine grown by a target's radius may lie from round, m: a tenth of
// the bound on the lobes.
const roundM = 1e-4

// lane sets up a way for a target in a state; ok is false where no zone asks for it there. Of several zones,
// that which reaches farthest says how many sensors must see it.
func (t *travel) lane(state string, target int, f frame) (l *lane, ok bool) {
	l = &lane{f: f, target: t.sc.Targets[target], outline: t.sc.Body.Outline}
	l.front = frontOf(f.rings(touching(t.sc.Body, l.target, state)))
	far := t.farthest(f)
	l.ahead = aheadOf(l.front, far)
	reach := math.Inf(-1)
	for _, z := range t.sc.Zones {
		if z.Target != target || !z.In(state) {
			continue
		}
		part := region.Intersect(t.zone(z.Name, l.target.Name, state, f), l.ahead)
		if part.IsEmpty() || across(part) < laneShare*extent(l.front) {
			continue
		}
		l.asked = region.Union(l.asked, part)
		if x := part.Bounds().X.Hi; x > reach {
			reach, l.zone, l.seenBy, ok = x, z, max(1, z.SeenBy), true
		}
	}
	if ok {
		t.addPaths(l, state)
	}
	return l, ok
}

// watching names the sensors that see something of the zones across the way.
func (l *lane) watching() (names []string) {
	for _, p := range l.paths {
		if !region.Intersect(p.places, l.asked).IsEmpty() {
			names = append(names, p.watch.name)
		}
	}
	return names
}

// farthest is beyond every lobe and zone along a way, m.
func (t *travel) farthest(f frame) float64 {
	far := 0.0
	grow := func(p plan.Polygon) {
		for _, r := range f.polygon(p) {
			for _, q := range r {
				far = math.Max(far, q.X)
			}
		}
	}
	for _, l := range t.p.Lobes {
		grow(l.Polygon)
	}
	for _, z := range t.p.Zones {
		grow(z.Polygon)
	}
	for _, r := range f.rings(append([][]r2.Point{t.sc.Body.Outline}, outlines(t.sc.Body.Parts)...)) {
		for _, q := range r {
			far = math.Max(far, q.X)
		}
	}
	return far + 1
}

func outlines(parts []scene.Part) (out [][]r2.Point) {
	for _, p := range parts {
		out = append(out, p.Outline)
	}
	return out
}

func (t *travel) zone(name, target, state string, f frame) region.Set {
	var rings [][]r2.Point
	for _, z := range t.p.Zones {
		if z.Name == name && z.Target == target && z.State == state {
			rings = append(rings, f.polygon(z.Polygon)...)
		}
	}
	return region.FromRings(rings...)
}

// touching is the places of a target at which it touches or stands in the machine: outline and parts of a
// state, as far as their heights meet the target's, grown by its radius there. Of a target so low that it
// meets none of them it is the outline, since what passes beneath may still meet a wheel.
func touching(b scene.Body, t scene.Target, state string) [][]r2.Point {
	var sets []region.Set
	grow := func(outline []r2.Point, height scene.Span) {
		off, meets := keepsOff(height, t)
		switch {
		case meets && off > 0:
			sets = append(sets, region.FromRings(geometry.Offset(outline, off, roundM)...))
		case meets:
			sets = append(sets, region.FromRings(outline))
		}
	}
	grow(b.Outline, b.HeightM)
	for _, p := range b.Parts {
		if p.In(state) {
			grow(p.Outline, p.HeightM)
		}
	}
	if len(sets) == 0 {
		return [][]r2.Point{b.Outline}
	}
	return region.Union(sets...).Rings()
}

// keepsOff is how far the place of a target is from something of those heights when they touch, m: its
// radius, or for a sphere or bar what its round section leaves there.
func keepsOff(height scene.Span, t scene.Target) (m float64, meets bool) {
	if t.Shape == scene.Sphere || t.Shape == scene.Bar {
		middle := (t.HeightM.Lo + t.HeightM.Hi) / 2
		over := max(height.Lo-middle, middle-height.Hi, 0)
		return math.Sqrt(max(0, (t.RadiusM-over)*(t.RadiusM+over))), t.RadiusM > over
	}
	return t.RadiusM, min(height.Hi, t.HeightM.Hi) > max(height.Lo, t.HeightM.Lo)
}

// frontOf is the foremost border of rings, from the least Y to the greatest.
func frontOf(rings [][]r2.Point) (front []edge) {
	edges := edgesOf(rings)
	sweep(edges, endsOf(edges), func(from, to float64, over []edge) {
		top := over[len(over)-1]
		front = append(front, top.between(from, to))
	})
	return front
}

// aheadOf is all places before a front, out to x = far.
func aheadOf(front []edge, far float64) region.Set {
	var rings [][]r2.Point
	for _, e := range front {
		rings = append(rings, []r2.Point{{X: e.x0, Y: e.y0}, {X: far, Y: e.y0}, {X: far, Y: e.y1}, {X: e.x1, Y: e.y1}})
	}
	return region.FromRings(rings...)
}

// extent is the width of a front, m, gaps left out.
func extent(front []edge) (width float64) {
	for _, e := range front {
		width += e.y1 - e.y0
	}
	return width
}

// width is the lane's edges across the way, m, to the right and to the left of the body's origin.
func (l *lane) width() [2]float64 { return [2]float64{l.front[0].y0, l.front[len(l.front)-1].y1} }

// across is how much of the axis across the way a set lies over, m.
func across(s region.Set) float64 {
	var spans [][2]float64
	for _, p := range s.Pieces() {
		b := p.Bounds().Y
		spans = append(spans, [2]float64{b.Lo, b.Hi})
	}
	width := 0.0
	for _, u := range joined(spans) {
		width += u[1] - u[0]
	}
	return width
}

// joined sorts closed intervals and makes one of those that meet.
func joined(spans [][2]float64) (out [][2]float64) {
	slices.SortFunc(spans, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for _, s := range spans {
		if n := len(out); n > 0 && s[0] <= out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], s[1])
			continue
		}
		out = append(out, s)
	}
	return out
}
