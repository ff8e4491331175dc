package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// fan is a set of directions from n1 counter-clockwise to n2, both of unit length, less than half a turn.
type fan struct{ n1, n2 r2.Point }

// least and most bound n·w over the directions n of f.
func (f fan) least(w r2.Point) float64 { return -f.most(w.Mul(-1)) }

func (f fan) most(w r2.Point) float64 {
	if cross(f.n1, w) >= 0 && cross(w, f.n2) >= 0 {
		return math.Sqrt(dot(w, w))
	}
	return max(dot(f.n1, w), dot(f.n2, w))
}

func (f fan) over(w r2.Point) span { return span{f.least(w), f.most(w)} }

// byMirror bounds what v adds over the directions w + 2 s n, n in f, s in the span.
//
// Those directions turn with n, and for one n move straight from w towards n as s grows, so the outermost belong to the
// ends of both spans. This holds as long as no direction can point away from n; where one might, all are taken.
// The vertical part of the directions is in c.
func (v *voice) byMirror(f fan, w r2.Point, s span, c cone) end {
	mid := f.n1.Add(f.n2)
	if m := mid.Norm(); f.least(w)+2*s.lo <= 0 || dot(w, mid)/m+float64(s.lo*m) <= 0 {
		return v.all()
	}
	lo1, lo2 := w.Add(f.n1.Mul(2*s.lo)), w.Add(f.n1.Mul(2*s.hi))
	hi1, hi2 := w.Add(f.n2.Mul(2*s.lo)), w.Add(f.n2.Mul(2*s.hi))
	c.lo, c.hi = lo1, hi1
	if cross(lo2, lo1) > 0 {
		c.lo = lo2
	}
	if cross(hi1, hi2) > 0 {
		c.hi = hi2
	}
	return v.strongest(c)
}

// mirror is a level part of a link by way of one flat mirror, or of what amounts to one: see wall.
//
// With the two sensors si and sj before it and n square to it, by the image source
//
//	L² = |pj - pi|² + 4 si sj
//
// leaving i in direction (pj - pi) + 2 sj n, arriving at j from direction (pi - pj) + 2 si n.
func (l *link) mirror(b *box, f fan, si, sj span, m mode) {
	b.length = span{l.byImage(si.lo, sj.lo, m.out), l.byImage(si.hi, sj.hi, m.out)}
	near, far := levelPart(b.length.lo, m.out), levelPart(b.length.hi, m.out)
	out := l.from.byMirror(f, l.apart, sj, cone{rise: span{m.out, m.out}, near: near, far: far})
	if l.from == l.to { // both ends are one
		base := l.gainDB - m.loss
		b.gain = [3]float64{base + 2*out.straight, math.Inf(-1), base + 2*out.bent}
		return
	}
	in := l.to.byMirror(f, l.apart.Mul(-1), si, cone{rise: span{m.in, m.in}, near: near, far: far})
	b.gain = l.gains(out, in, -m.loss)
}

// mirrored is the path by one such mirror.
func (l *link) mirrored(n r2.Point, si, sj float64, m mode) place {
	out, in := l.apart.Add(n.Mul(2*sj)), l.apart.Mul(-1).Add(n.Mul(2*si))
	level := math.Sqrt(dot(out, out))
	length := l.byImage(si, sj, m.out)
	return l.path(span{length, length}, single(out, m.out, level), single(in, m.in, level), -m.loss)
}

// oneWall is the family of all walls of any direction at distances from the body within a span.
//
// A wall stands square to direction ψ, D from the nearest point of the body. With h(ψ) the body's farthest reach in
// that direction, a sensor at p stands s = h(ψ) + D - n·p before it.
type oneWall struct {
	link    *link
	walls   span // D, m
	sectors []sector
}

func (w *oneWall) first(into []box) []box {
	for i := range w.sectors {
		into = append(into, box{sec: &w.sectors[i], d: w.walls})
	}
	return into
}

// before bounds how far v stands before the walls of b, m.
func (w *oneWall) before(b *box, v *voice) span {
	least, most := b.sec.reach(v.at)
	return span{max(0, least+b.d.lo), most + b.d.hi}
}

func (w *oneWall) bound(b *box) bool {
	si, sj := w.before(b, w.link.from), w.before(b, w.link.to)
	if si.hi <= 0 || sj.hi <= 0 {
		return false
	}
	w.link.mirror(b, b.sec.fan, si, sj, w.link.plain())
	return true
}

// stand returns a wall's normal, and how far it stands before the two sensors.
func (w *oneWall) stand(psi, d float64) (n r2.Point, si, sj float64) {
	n = unit(psi)
	tip := w.link.hull.farthest(psi)
	return n, dot(n, tip.Sub(w.link.from.at)) + d, dot(n, tip.Sub(w.link.to.at)) + d
}

// at returns the path by one wall; ok is false where the wall would stand behind a sensor.
func (w *oneWall) at(psi, d float64) (p place, ok bool) {
	n, si, sj := w.stand(psi, d)
	if si <= 0 || sj <= 0 {
		return place{}, false
	}
	l := w.link
	p = l.mirrored(n, si, sj, l.plain())
	p.points = trail{[5]r2.Point{l.from.at, w.bounce(n, si, sj), l.to.at}, 3}
	p.own = l.to.ownMirror(n, sj)
	return p, true
}

// bounce is where a wall square to n, si and sj before the two sensors, reflects.
func (w *oneWall) bounce(n r2.Point, si, sj float64) r2.Point {
	l := w.link
	return l.from.at.Add(l.apart.Add(n.Mul(2 * sj)).Mul(si / (si + sj)))
}

// shared reports whether the listener hears every wall of b by itself, no later than by way of the sender.
func (w *oneWall) shared(b *box) bool {
	sj := w.before(b, w.link.to)
	return 2*sj.hi <= b.length.lo && w.link.to.certainly(b.sec.fan, sj.hi)
}

func (w *oneWall) try(b *box, into []place) []place {
	if p, ok := w.at((b.sec.from+b.sec.to)/2, (b.d.lo+b.d.hi)/2); ok {
		into = append(into, p)
	}
	return into
}

func (w *oneWall) guess(into []place) []place { return into }

func (w *oneWall) slack() (m, dB float64) { return pathWithinM, hairDB }

// halve splits b across its longer side, as seen from the body.
func (w *oneWall) halve(b *box) (one, two box, ok bool) {
	one, two = w.link.halveWalls(b)
	return one, two, true
}

func (l *link) halveWalls(b *box) (one, two box) {
	if turn := b.sec.to - b.sec.from; (b.d.hi - b.d.lo) > turn*(b.d.hi+l.size) {
		mid := (b.d.lo + b.d.hi) / 2
		return box{sec: b.sec, d: span{b.d.lo, mid}}, box{sec: b.sec, d: span{mid, b.d.hi}}
	}
	h := l.hull.halves(b.sec)
	return box{sec: &h[0], d: b.d}, box{sec: &h[1], d: b.d}
}

// side is a flat stretch of the body's outline.
type side struct {
	at     r2.Point // where it begins, counter-clockwise
	along  r2.Point
	out    r2.Point // outward normal
	length float64
}

// leastSideM is the least length of a flat side that counts as a mirror, m: the first Fresnel zone of 40 kHz at half a metre
// is about as wide. Shorter ones are taken for parts of a curve, which scatters. Common practice, no source.
const leastSideM = 0.06

// sides lists the flat sides of an outline.
func sides(outline []r2.Point) (list []side) {
	for i, p := range outline {
		e := outline[(i+1)%len(outline)].Sub(p)
		if m := e.Norm(); m >= leastSideM {
			a := e.Mul(1 / m)
			list = append(list, side{at: p, along: a, out: r2.Point{X: a.Y, Y: -a.X}, length: m})
		}
	}
	return list
}

// wallBodyWall is the family of echoes that go to a wall, back to one flat side of the body, to the same wall again and
// then to the listener; the walls are those of oneWall.
//
// The side's outward normal is f, and ki, kj are how far the images of both sensors in the wall stand before its plane:
// k = f·(p - q) + 2 s (n·f). The image of one image in the side is then (by the formula of one mirror, since the images are
// as far apart as the sensors)
//
//	L² = |pj - pi|² + 4 ki kj
//
// away, and undoing the first reflection, n (F(Ij) - Ii) = (pj - pi) + 2 kj g with g = 2 (n·f) n - f: the path leaves and
// arrives as if by one wall square to g, ki and kj before the sensors. Directions of n twice as wide make those of g.
type wallBodyWall struct {
	oneWall
	side    side
	heights span // of the body, m
}

func (w *wallBodyWall) first(into []box) []box {
	z := span{min(w.link.from.height, w.link.to.height), max(w.link.from.height, w.link.to.height)}
	if !z.meets(w.heights) {
		return into
	}
	for i := range w.sectors {
		if w.sectors[i].most(w.side.out) > 0 {
			into = append(into, box{sec: &w.sectors[i], d: w.walls})
		}
	}
	return into
}

func (w *wallBodyWall) bound(b *box) bool {
	si, sj := w.before(b, w.link.from), w.before(b, w.link.to)
	c := b.sec.over(w.side.out)
	if si.hi <= 0 || sj.hi <= 0 || c.hi <= 0 {
		return false
	}
	pi, pj := w.link.from.at.Sub(w.side.at), w.link.to.at.Sub(w.side.at)
	c.lo = max(0, c.lo)
	ki, kj := si.times(c).scale(2).shift(dot(w.side.out, pi)), sj.times(c).scale(2).shift(dot(w.side.out, pj))
	if ki.hi <= 0 || kj.hi <= 0 {
		return false
	}
	// Seen along the side the reflection lies between both images.
	t := b.sec.over(w.side.along)
	ti, tj := si.by(t).scale(2).shift(dot(w.side.along, pi)), sj.by(t).scale(2).shift(dot(w.side.along, pj))
	ki, kj = ki.above(0), kj.above(0)
	share := span{ki.lo / max(ki.lo+kj.hi, roundingM), ki.hi / max(ki.hi+kj.lo, roundingM)}
	if max(between(ti.hi, tj.hi, share.lo), between(ti.hi, tj.hi, share.hi)) < 0 ||
		min(between(ti.lo, tj.lo, share.lo), between(ti.lo, tj.lo, share.hi)) > w.side.length {
		return false
	}
	turned := func(n r2.Point) r2.Point { return n.Mul(2 * dot(n, w.side.out)).Sub(w.side.out) }
	w.link.mirror(b, fan{turned(b.sec.n1), turned(b.sec.n2)}, ki, kj, w.link.plain())
	return true
}

func between(a, b, share float64) float64 { return a + float64((b-a)*share) }

func (w *wallBodyWall) at(psi, d float64) (p place, ok bool) {
	l, f := w.link, w.side.out
	n, si, sj := w.stand(psi, d)
	c := dot(n, f)
	pi, pj := l.from.at.Sub(w.side.at), l.to.at.Sub(w.side.at)
	ki, kj := dot(f, pi)+2*si*c, dot(f, pj)+2*sj*c
	if si <= 0 || sj <= 0 || c <= 0 || ki <= 0 || kj <= 0 {
		return place{}, false
	}
	share := ki / (ki + kj)
	ti, tj := dot(w.side.along, pi)+2*si*dot(w.side.along, n), dot(w.side.along, pj)+2*sj*dot(w.side.along, n)
	t := between(ti, tj, share)
	z := l.from.height + float64(l.rise*share)
	if t < 0 || t > w.side.length || !w.heights.contains(z) {
		return place{}, false
	}
	p = l.mirrored(n.Mul(2*c).Sub(f), ki, kj, l.plain())
	mid := w.side.at.Add(w.side.along.Mul(t))
	p.points = trail{[5]r2.Point{l.from.at, w.cut(l.from.at, mid, n, si), mid, w.cut(l.to.at, mid, n, sj), l.to.at}, 5}
	return p, true
}

// cut is where the path from p to q is reflected by a wall square to n, s before p.
func (w *wallBodyWall) cut(p, q r2.Point, n r2.Point, s float64) r2.Point {
	sq := s - dot(n, q.Sub(p))
	t := s / (s + sq)
	foot := p.Add(n.Mul(s))
	return foot.Add(q.Add(n.Mul(sq)).Sub(foot).Mul(t))
}

// shared is not looked into: a listener in front of the side hears its own echo of the wall much sooner, if at all.
func (w *wallBodyWall) shared(*box) bool { return false }

func (w *wallBodyWall) try(b *box, into []place) []place {
	if p, ok := w.at((b.sec.from+b.sec.to)/2, (b.d.lo+b.d.hi)/2); ok {
		into = append(into, p)
	}
	return into
}
