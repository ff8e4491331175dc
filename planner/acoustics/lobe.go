package acoustics

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

// LobeOptions limits a lobe. The zero value asks for everything within 1 mm.
type LobeOptions struct {
	// NearM and FarM are the nearest and farthest distance (half the path) that count: the blind distance
	// and what the window admits. NearM 0 ignores blindness, FarM 0 the window.
	NearM, FarM float64
	// ErrorM is how far the polygon's edge may lie from the true lobe's, m; 0 means 1 mm.
	ErrorM float64
}

// Lobe is the set of places at which a target is seen for certain.
type Lobe struct {
	Rings  [][]r2.Point // disjoint but for shared edges, each counter-clockwise; one that goes all round the sensor is slit at its rear
	ErrorM float64      // the true edge lies within this of the rings'
}

// Lobe is the set of places at which the ear sees a target for certain: level not below the threshold at
// the low supply, the most absorption and the narrowest beam of the weather, at every turn of the
// target's span, between the nearest and the farthest distance. Side lobes are included, nothing behind
// the baffle is.
//
// Bearings are looked along one by one (see looker) and refined where a chord would leave the true edge
// or where a stretch begins, ends or splits between two of them.
func (e *Ear) Lobe(t scene.Target, o LobeOptions) Lobe {
	errorM := o.ErrorM
	if !(errorM > 0) {
		errorM = defaultErrorM
	}
	l := Lobe{ErrorM: errorM}
	w, ok := answerOf(t, e.s.HeightM, e.ground)
	if !ok {
		return l
	}
	s := newLooker(e, w, o.NearM, o.FarM)
	if !(math.Min(s.xhi, s.limit) > s.xlo) {
		return l
	}
	look := newTurned(s)
	f := fan{look: look, tolerance: errorM, heading: e.s.Heading.Radians()}
	rays := f.sweep()
	thin(rays, spareShare*errorM)
	if look.symmetric() {
		rays = mirrored(rays, f.heading)
	}
	l.Rings = trace(rays, e.s.At)
	return l
}

const defaultErrorM = 1e-3

// ray is one bearing looked along: its direction in the world and the stretches seen.
type ray struct {
	phi  float64 // from the heading
	dir  r2.Point
	seen []reach
}

func (r ray) point(d float64) r2.Point { return r.dir.Mul(d) }

// fan looks along bearings and between them where needed.
type fan struct {
	look      *turned
	tolerance float64
	heading   float64
	rays      []ray
}

// chordShare of the stated error is what a chord may use at its middle: a corner of the true edge between
// two bearings can stand off twice as far as the middle tells.
const chordShare = 0.4

func (f *fan) ray(phi float64) ray {
	s, c := math.Sincos(f.heading + phi)
	return ray{phi, r2.Point{X: c, Y: s}, f.look.ray(phi, nil)}
}

func (f *fan) sweep() []ray {
	list := f.look.bearings()
	last := f.ray(list[0])
	f.rays = append(f.rays, last)
	for _, phi := range list[1:] {
		next := f.ray(phi)
		f.between(last, next)
		last = next
	}
	return f.rays
}

// between appends the rays after a up to b.
func (f *fan) between(a, b ray) {
	if len(a.seen) == 0 && len(b.seen) == 0 {
		f.rays = append(f.rays, b)
		return
	}
	if (b.phi-a.phi)*math.Max(farthest(a), farthest(b)) < f.tolerance/8 {
		f.rays = append(f.rays, b)
		return
	}
	mid := f.ray((a.phi + b.phi) / 2)
	if alike(a.seen, b.seen) && f.straight(a, mid, b) {
		// A second look off the middle catches an edge that bends both ways; where it runs steeply towards
		// the sensor a third is due, since there the middle bearing is not the middle of the edge.
		if f.straight(a, f.ray(a.phi+0.29*(b.phi-a.phi)), b) &&
			(!steep(a, b) || f.straight(a, f.ray(a.phi+0.74*(b.phi-a.phi)), b)) {
			f.rays = append(f.rays, b)
			return
		}
	}
	f.between(a, mid)
	f.between(mid, b)
}

func farthest(r ray) float64 {
	if len(r.seen) == 0 {
		return 0
	}
	return r.seen[len(r.seen)-1].hi
}

// alike reports whether two rays see the same stretches, one for one.
func alike(a, b []reach) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !meets(a[i], b[i]) {
			return false
		}
	}
	return true
}

// meets reports whether two stretches on neighbouring rays belong together.
func meets(a, b reach) bool { return a.lobe == b.lobe && a.lo <= b.hi && b.lo <= a.hi }

// steep reports whether an edge between two rays that see alike runs more along them than across.
func steep(a, b ray) bool {
	for i, p := range a.seen {
		q := b.seen[i]
		across := (b.phi - a.phi) * math.Max(p.hi, q.hi)
		if math.Abs(p.hi-q.hi) > across || math.Abs(p.lo-q.lo) > across {
			return true
		}
	}
	return false
}

// straight reports whether both edges of every stretch pass a middle ray close to their chords.
func (f *fan) straight(a, mid, b ray) bool {
	if !alike(a.seen, mid.seen) || !alike(mid.seen, b.seen) {
		return false
	}
	for i := range a.seen {
		p, q, r := a.seen[i], mid.seen[i], b.seen[i]
		if offChord(a.point(p.hi), mid.point(q.hi), b.point(r.hi)) > chordShare*f.tolerance ||
			offChord(a.point(p.lo), mid.point(q.lo), b.point(r.lo)) > chordShare*f.tolerance {
			return false
		}
	}
	return true
}

// offChord is how far p lies from the segment a–b.
func offChord(a, p, b r2.Point) float64 {
	ab, ap := b.Sub(a), p.Sub(a)
	n := ab.Dot(ab)
	if n == 0 {
		return ap.Norm()
	}
	u := math.Max(0, math.Min(1, ap.Dot(ab)/n))
	return ap.Sub(ab.Mul(u)).Norm()
}

// spareShare of the stated error is what leaving out ends may add to a chord's.
const spareShare = 0.15

// thin marks ends that lie on the chord of their neighbours within the tolerance, over each run of rays
// that see alike; the first and last of a run stay.
func thin(rays []ray, tolerance float64) {
	for from := 0; from < len(rays); {
		until := from
		for until+1 < len(rays) && alike(rays[until].seen, rays[until+1].seen) {
			until++
		}
		for k := range rays[from].seen {
			thinEdge(rays[from:until+1], tolerance, func(r ray) (*bool, r2.Point) { return &r.seen[k].hiSpare, r.point(r.seen[k].hi) })
			thinEdge(rays[from:until+1], tolerance, func(r ray) (*bool, r2.Point) { return &r.seen[k].loSpare, r.point(r.seen[k].lo) })
		}
		from = until + 1
	}
}

// thinEdge walks one edge: an end stays when without it one left out before would be off the chord.
func thinEdge(run []ray, tolerance float64, edge func(ray) (*bool, r2.Point)) {
	kept := 0
	for i := 2; i < len(run); i++ {
		_, a := edge(run[kept])
		_, b := edge(run[i])
		for j := kept + 1; j < i; j++ {
			if _, p := edge(run[j]); offChord(a, p, b) > tolerance {
				kept = i - 1
				break
			}
		}
		if kept < i-1 {
			spare, _ := edge(run[i-1])
			*spare = true
		}
	}
}

// mirrored puts the mirror image of rays from bearing 0 on before them. Directions are made from the
// heading again, so that a mirrored sensor has the mirrored polygon, bit for bit.
func mirrored(right []ray, heading float64) []ray {
	all := make([]ray, 0, 2*len(right))
	for i := len(right) - 1; i > 0; i-- {
		s, c := math.Sincos(heading - right[i].phi)
		all = append(all, ray{-right[i].phi, r2.Point{X: c, Y: s}, right[i].seen})
	}
	return append(all, right...)
}

// chain is a ring in the making: its inner and outer edge from one ray to the next.
type chain struct{ inner, outer []r2.Point }

// follow extends a chain by a stretch, leaving out ends that others stand for.
func (c *chain) follow(r ray, s reach) {
	if !s.loSpare {
		c.inner = append(c.inner, r.point(s.lo))
	}
	if !s.hiSpare {
		c.outer = append(c.outer, r.point(s.hi))
	}
}

func (c *chain) extend(r ray, lo, hi float64) {
	c.inner = append(c.inner, r.point(lo))
	c.outer = append(c.outer, r.point(hi))
}

// trace joins stretches of neighbouring rays to rings. Where one stretch becomes two (or two become one)
// the rings meet along a part of the ray, so that no sliver is left between them.
func trace(rays []ray, at r2.Point) [][]r2.Point {
	var rings [][]r2.Point
	var open []*chain
	finish := func(c *chain) {
		if len(c.outer) > 1 {
			rings = append(rings, c.ring(at))
		}
	}
	for i := range rays {
		var next []*chain
		now := rays[i].seen
		var was []reach
		if i > 0 {
			was = rays[i-1].seen
		}
		for _, r := range now {
			left := partners(r, was)
			if len(left) == 1 && len(partners(was[left[0]], now)) == 1 {
				c := open[left[0]]
				c.follow(rays[i], r)
				next = append(next, c)
				open[left[0]] = nil
				continue
			}
			c := &chain{}
			if len(left) == 1 { // one of several that a single stretch becomes
				lo, hi := shareOf(was[left[0]], r, now)
				c.extend(rays[i-1], lo, hi)
			}
			c.extend(rays[i], r.lo, r.hi)
			next = append(next, c)
		}
		for j, c := range open {
			if c == nil {
				continue
			}
			if right := partners(was[j], now); len(right) == 1 { // one of several that become one
				lo, hi := shareOf(now[right[0]], was[j], was)
				c.extend(rays[i], lo, hi)
			}
			finish(c)
		}
		open = next
	}
	for _, c := range open {
		finish(c)
	}
	return rings
}

// partners are the indices of the stretches in list that belong to r.
func partners(r reach, list []reach) []int {
	var p []int
	for i, q := range list {
		if meets(r, q) {
			p = append(p, i)
		}
	}
	return p
}

// shareOf is the part of whole that falls to one of the parts it is cut into: up to halfway to the
// neighbouring parts.
func shareOf(whole, part reach, parts []reach) (lo, hi float64) {
	lo, hi = whole.lo, whole.hi
	for _, q := range parts {
		if q == part || !meets(whole, q) {
			continue
		}
		if q.hi <= part.lo {
			lo = math.Max(lo, (q.hi+part.lo)/2)
		} else if q.lo >= part.hi {
			hi = math.Min(hi, (q.lo+part.hi)/2)
		}
	}
	return lo, math.Max(lo, hi)
}

// ring closes a chain: outward edge counter-clockwise, inner edge back.
func (c *chain) ring(at r2.Point) []r2.Point {
	slices.Reverse(c.inner)
	ring := make([]r2.Point, 0, len(c.outer)+len(c.inner))
	for _, p := range append(c.outer, c.inner...) {
		q := at.Add(p)
		if n := len(ring); n == 0 || ring[n-1] != q {
			ring = append(ring, q)
		}
	}
	if n := len(ring); n > 1 && ring[0] == ring[n-1] {
		ring = ring[:n-1]
	}
	return ring
}
