package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// twoWalls is the family of paths by two walls, one after the other: corners of any angle, and walls that face each other.
// Each wall is one of those of oneWall, in any direction and at any distance of its own; each is as wide as the path needs.
//
//	  a .---------- wall 1          u  leaves i, m goes from a to b, w looks from j towards b
//	   / \                          n1, n2 square to the walls, away from the body
//	u /   \ m                       s1  i before wall 1     s2  j before wall 2
//	 /     \
//	i   j   \ b
//	     \__/| wall 2
//	      w
//
// A box holds directions of u, m and w. With y1 half the turn from m to u and y2 half the turn from m to -w (both counter-
// clockwise, 0..π), n1 has the direction of m + y1 + π/2, n2 that of m + y2 - π/2, and the three legs close if
//
//	pj - pi = r1 u + r3 m - r2 w        r1 = s1 / sin y1, r2 = s2 / sin y2, r3 >= 0
//
// which along m and square to it says
//
//	L = r1 + r2 + r3 = (pj - pi)·m + 2 s1 sin y1 + 2 s2 sin y2
//	(pj - pi)·m⊥ = 2 s1 cos y1 + 2 s2 cos y2
//	L >= s1 / sin y1 + s2 / sin y2      (r3 >= 0)
//
// all linear in s1 and s2, which lie between the least and the greatest distance of a wall and the hull's reach ahead of the
// sensor more. So over a box L, s1 and s2 are bounded by intervals, and in one set of directions all walls that give
// them are one run of lengths.
type twoWalls struct {
	link     *link
	walls    span
	compass  *compass
	from, to *round
}

func (w *twoWalls) first(into []box) []box {
	const n = ticks / 8
	for u := range int32(8) {
		for v := range int32(8) {
			out := w.link.from.strongest(w.fanCone(u*n, n, span{}))
			in := w.link.to.strongest(w.fanCone(v*n, n, span{}))
			g := w.link.gains(out, in, 0)
			// Where heights differ a direction may climb: the search itself looks closer.
			if w.link.rise == 0 && w.link.reach(max(g[0], g[1], g[2])) < w.shortest() {
				continue
			}
			for m := range int32(8) {
				into = append(into, box{at: [3]int32{u * n, m * n, v * n}, size: [3]int32{n, n, n}})
			}
		}
	}
	return into
}

// shortest is less than any path: to one wall and from the other. A sensor outside the hull, on a part, may stand nearer
// to its wall than any wall is to the body.
func (w *twoWalls) shortest() float64 {
	return max(0, w.from.least+w.walls.lo) + max(0, w.to.least+w.walls.lo)
}

func (w *twoWalls) fanCone(at, size int32, level span) cone {
	return cone{lo: w.compass.unit[tick(at)], hi: w.compass.unit[tick(at+size)], near: level.lo, far: level.hi}
}

// bend is one of the two reflections over a box: half the turn y, and how far the sensor stands before the wall.
type bend struct{ sin, cos, s span }

// bend bounds a reflection whose half turn lies within half of tick y and whose wall stands within half of direction n.
func (w *twoWalls) bend(y, n, half int32, r *round) bend {
	t := &w.compass.trig
	b := bend{sin: span{0, 1}, cos: span{-1, 1}, s: span{r.least, r.most}}
	if y-half >= 0 && y+half <= ticks/2 {
		lo, hi := t[tick(y-half)], t[tick(y+half)]
		b.cos = span{hi.X, lo.X}
		b.sin = span{max(0, min(lo.Y, hi.Y)), max(lo.Y, hi.Y)}
		if y-half <= quarter && quarter <= y+half {
			b.sin.hi = 1
		}
		b.s = r.over(n, half)
	} else { // grazing, on either side of the wall
		b.sin.hi = t[min(min(y, ticks/2-y)+half, quarter)].Y
	}
	b.s = span{b.s.lo + w.walls.lo, b.s.hi + w.walls.hi}
	return b
}

// middle returns the middles of the directions of b, half turns and normals, ticks.
func (b *box) middle() (u, m, w, y1, y2, n1, n2 int32) {
	u, m, w = b.at[0]+b.size[0]/2, b.at[1]+b.size[1]/2, b.at[2]+b.size[2]/2
	y1, y2 = tick(u-m)/2, tick(w+ticks/2-m)/2
	return u, m, w, y1, y2, m + y1 + quarter, m + y2 - quarter
}

func (w *twoWalls) bound(b *box) bool {
	_, m, _, y1, y2, n1, n2 := b.middle()
	one := w.bend(y1, n1, (b.size[0]+b.size[1])/4, w.from)
	two := w.bend(y2, n2, (b.size[2]+b.size[1])/4, w.to)
	if one.s.hi <= 0 || two.s.hi <= 0 {
		return false
	}
	one.s, two.s = one.s.above(0), two.s.above(0)
	along, square := w.straight(m, b.size[1]/2)
	// s1 cos y1 + s2 cos y2 = half of what is square to m.
	half := square.scale(0.5)
	if !narrow(&one, two, half) || !narrow(&two, one, half) {
		return false
	}
	level := span{
		along.lo + 2*one.s.lo*one.sin.lo + 2*two.s.lo*two.sin.lo + 2*extra(one, two, half),
		along.hi + 2*one.s.hi*one.sin.hi + 2*two.s.hi*two.sin.hi,
	}
	level.lo = max(level.lo, w.link.apart.Norm(), one.s.lo/one.sin.hi+two.s.lo/two.sin.hi)
	if level.hi < level.lo-roundingM {
		return false
	}
	rise := w.link.rise
	b.length = span{hypot(level.lo, rise), hypot(level.hi, rise)}
	out, in := w.fanCone(b.at[0], b.size[0], level), w.fanCone(b.at[2], b.size[2], level)
	out.rise, in.rise = span{rise, rise}, span{-rise, -rise}
	b.gain = w.link.gains(w.link.from.strongest(out), w.link.to.strongest(in), 0)
	return true
}

// straight bounds the straight way between the sensors along all directions within half of tick m, and square to them.
func (w *twoWalls) straight(m, half int32) (along, square span) {
	d, n := w.link.apart, w.compass.unit[tick(m)]
	a, s := dot(n, d), cross(n, d)
	t := w.compass.trig[tick(min(half, quarter))]
	return turnedBy(a, s, t), turnedBy(s, -a, t)
}

// turnedBy bounds a cos x + s sin x over |x| <= the angle with that cosine and sine.
func turnedBy(a, s float64, t r2.Point) span {
	c := span{t.X, 1}.by(span{a, a})
	return c.grown(math.Abs(s) * t.Y)
}

// extra is how much more s1 sin y1 + s2 sin y2 must be than with both distances at their least, so that the legs close. The
// distance that mends most for its price is moved alone.
func extra(p, q bend, half span) float64 {
	up := half.lo - p.s.lo*p.cos.hi - q.s.lo*q.cos.hi - roundingM
	down := p.s.lo*p.cos.lo + q.s.lo*q.cos.lo - half.hi - roundingM
	price := func(a, b float64) float64 {
		least := math.Inf(1)
		if a > 0 {
			least = p.sin.lo / a
		}
		if b > 0 {
			least = min(least, q.sin.lo/b)
		}
		return least
	}
	switch {
	case up > 0:
		return up * price(p.cos.hi, q.cos.hi)
	case down > 0:
		return down * price(-p.cos.lo, -q.cos.lo)
	}
	return 0
}

// roundingM is far more than rounding does to one distance.
const roundingM = 1e-9

// narrow cuts off what of the sensor's distance in p no distance in q can go with; false where nothing is left.
func narrow(p *bend, q bend, half span) bool {
	other := q.s.by(q.cos)
	rest := span{half.lo - other.hi, half.hi - other.lo}.grown(roundingM) // s cos y of p
	cos := p.cos
	if cos.hi < 0 {
		rest, cos = rest.scale(-1), cos.scale(-1)
	}
	if cos.lo <= 0 {
		return rest.meets(p.s.by(cos))
	}
	p.s = span{max(p.s.lo, rest.lo/cos.hi), min(p.s.hi, rest.hi/cos.lo)}
	return p.s.lo <= p.s.hi
}

// legs are the exact directions of one set of paths, with what they make of the walls.
type legs struct {
	u, m, w        r2.Point
	n1, n2         r2.Point
	sin1, cos1     float64
	sin2, cos2     float64
	s1, s2         span // distances of the sensors before the walls, m
	along, square2 float64
}

func (w *twoWalls) legs(u, m, v r2.Point) legs {
	g := legs{u: u, m: m, w: v}
	turn := func(d, after r2.Point) (n r2.Point, sin, cos float64) {
		sin = d.Norm() / 2
		if sin == 0 {
			return d, 0, 1
		}
		return d.Mul(0.5 / sin), sin, cross(m, after) / (2 * sin)
	}
	g.n1, g.sin1, g.cos1 = turn(u.Sub(m), u)
	g.n2, g.sin2, g.cos2 = turn(m.Add(v), v.Mul(-1))
	g.along, g.square2 = dot(m, w.link.apart), cross(m, w.link.apart)/2
	return g
}

// stand sets the distances of the sensors before the walls from how far the hull reaches ahead of them.
func (w *twoWalls) stand(g *legs, ahead1, ahead2 float64) {
	g.s1 = span{ahead1 + w.walls.lo, ahead1 + w.walls.hi}
	g.s2 = span{ahead2 + w.walls.lo, ahead2 + w.walls.hi}
}

// run returns the distances s1 for which walls exist; reversed where none do.
func (g *legs) run() (s1 span) {
	const none = -1
	if g.sin1 < 1e-6 || g.sin2 < 1e-6 {
		return span{0, none}
	}
	s1 = g.s1.above(0)
	if math.Abs(g.cos2) > 1e-9 {
		// s2 = (square/2 - s1 cos1) / cos2 in its span
		a, b := g.square2-g.s2.lo*g.cos2, g.square2-g.s2.hi*g.cos2
		s1 = cut(s1, g.cos1, span{min(a, b), max(a, b)})
	} else {
		s1 = cut(s1, g.cos1, span{g.square2, g.square2}.grown(roundingM))
	}
	if s1.hi < s1.lo {
		return s1
	}
	// along - s1 (1/sin1 - 2 sin1) - s2 (1/sin2 - 2 sin2) >= 0
	k1, k2 := 1/g.sin1-2*g.sin1, 1/g.sin2-2*g.sin2
	at := func(s float64) float64 { return g.along - s*k1 - g.other(s)*k2 + roundingM }
	lo, hi := at(s1.lo), at(s1.hi)
	switch {
	case lo < 0 && hi < 0:
		return span{0, none}
	case lo < 0:
		s1.lo += (s1.hi - s1.lo) * lo / (lo - hi)
	case hi < 0:
		s1.hi -= (s1.hi - s1.lo) * hi / (hi - lo)
	}
	return s1
}

// cut keeps of s what times k lies in t.
func cut(s span, k float64, t span) span {
	if k < 0 {
		k, t = -k, t.scale(-1)
	}
	if k < 1e-12 {
		if t.contains(0) {
			return s
		}
		return span{0, -1}
	}
	return span{max(s.lo, t.lo/k), min(s.hi, t.hi/k)}
}

func (g *legs) other(s1 float64) float64 {
	if math.Abs(g.cos2) > 1e-9 {
		return (g.square2 - s1*g.cos1) / g.cos2
	}
	return (g.s2.lo + g.s2.hi) / 2
}

func (g *legs) length(s1 float64) float64 {
	return g.along + 2*s1*g.sin1 + 2*g.other(s1)*g.sin2
}

// places are the paths of one set of legs: a run of lengths, in a few pieces where their climb changes with them.
func (w *twoWalls) places(g *legs, into []place) []place {
	s1 := g.run()
	if s1.hi < s1.lo {
		return into
	}
	l := w.link
	pieces := 1
	if l.rise != 0 {
		pieces = 8
	}
	for k := range pieces {
		a := s1.lo + (s1.hi-s1.lo)*float64(k)/float64(pieces)
		b := s1.lo + (s1.hi-s1.lo)*float64(k+1)/float64(pieces)
		if g.length(b) < g.length(a) {
			a, b = b, a
		}
		level := span{g.length(a), g.length(b)}
		length := span{hypot(level.lo, l.rise), hypot(level.hi, l.rise)}
		if pieces > 1 {
			length.hi = length.lo // what holds of one length holds of it alone
		}
		p := l.path(length, single(g.u, l.rise, level.lo), single(g.w, -l.rise, level.lo), 0)
		p.points = l.bounces(g.u.Mul(a/g.sin1), g.w.Mul(g.other(a)/g.sin2))
		into = append(into, p)
	}
	return into
}

func (w *twoWalls) try(b *box, into []place) []place {
	u, m, v, _, _, n1, n2 := b.middle()
	c := &w.compass.unit
	g := w.legs(c[tick(u)], c[tick(m)], c[tick(v)])
	w.stand(&g, w.from.ahead[tick(n1)], w.to.ahead[tick(n2)])
	n := len(into)
	if into = w.places(&g, into); len(into) > n {
		return into
	}
	// No walls give just these directions, but walls of these turns give some.
	s1 := max(0, (g.s1.lo+g.s1.hi)/2)
	s2 := max(0, (g.s2.lo+g.s2.hi)/2)
	return w.byTurns(c[tick(n1)], c[tick(n2)], s1, s2, into)
}

// byTurns is the path by two walls of these normals, so far before the sensors, if there is one.
func (w *twoWalls) byTurns(n1, n2 r2.Point, s1, s2 float64, into []place) []place {
	l := w.link
	m := l.apart.Add(n2.Mul(2 * s2)).Sub(n1.Mul(2 * s1)) // from the image of i in wall 1 to that of j in wall 2
	level := m.Norm()
	off, on := -dot(m, n1), dot(m, n2)
	if off <= 0 || on <= 0 || s1/off+s2/on > 1 || s1 <= 0 || s2 <= 0 {
		return into
	}
	u, v := m.Add(n1.Mul(2*off)), n2.Mul(2*on).Sub(m)
	length := hypot(level, l.rise)
	p := l.path(span{length, length}, single(u, l.rise, level), single(v, -l.rise, level), 0)
	p.points = l.bounces(u.Mul(s1/off), v.Mul(s2/on))
	return append(into, p)
}

// bounces is the trail by two places of reflection, one seen from the sender, one from the listener.
func (l *link) bounces(out, in r2.Point) trail {
	return trail{[5]r2.Point{l.from.at, l.from.at.Add(out), l.to.at.Add(in), l.to.at}, 4}
}

// guess takes the paths that leave and arrive on both axes, by many directions of the middle leg: none is heard farther.
func (w *twoWalls) guess(into []place) []place {
	l := w.link
	for k := int32(ticks / 256); k < ticks; k += ticks / 128 {
		g := w.legs(l.from.ahead, w.compass.unit[k], l.to.ahead)
		tip := func(n r2.Point, p r2.Point) float64 { return dot(n, l.hull.farthest(math.Atan2(n.Y, n.X)).Sub(p)) }
		w.stand(&g, tip(g.n1, l.from.at), tip(g.n2, l.to.at))
		into = w.places(&g, into)
	}
	return into
}

func (w *twoWalls) slack() (m, dB float64) { return twoWithinM, twoHairDB }

// halve splits b across the widest of its directions.
func (w *twoWalls) halve(b *box) (one, two box, ok bool) {
	k := 1
	if b.size[0] > b.size[k] {
		k = 0
	}
	if b.size[2] > b.size[k] {
		k = 2
	}
	if b.size[k] <= leastTicks {
		return one, two, false
	}
	one = box{at: b.at, size: b.size}
	one.size[k] /= 2
	two = one
	two.at[k] += one.size[k]
	return one, two, true
}
