package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// link is all that decides what one sensor hears of another by way of a wall.
//
// A wall stands square to direction ψ, D from the nearest point of the body. With h(ψ) the body's farthest reach in
// that direction, a sensor at p stands s = h(ψ) + D - n·p before it, and by the image source the path from i to j is
//
//	L² = |pj - pi|² + 4 si sj
//
// leaving i in direction (pj - pi) + 2 sj n, arriving at j from direction (pi - pj) + 2 si n, a mirror without loss.
type link struct {
	from, to *voice
	gainDB   float64 // level at to, over its threshold, after 1 m of path on both axes without absorption
	alpha    float64 // least absorption, dB/m
	hull     *hull
	walls    span // D, m
	apart    r2.Point
	rise     float64
	apart2   float64 // straight way squared, m²
	size     float64 // of the hull as seen from the sensors, m
	axes     float64 // the most both patterns add, dB
}

func newLink(from, to *voice, gainDB, alpha float64, h *hull, walls span) *link {
	l := &link{from: from, to: to, gainDB: gainDB, alpha: alpha, hull: h, walls: walls}
	l.apart = to.at.Sub(from.at)
	l.rise = to.height - from.height
	l.apart2 = dot(l.apart, l.apart) + float64(l.rise*l.rise)
	l.size = h.round() / math.Pi
	l.axes = from.pattern(0, 0) + to.pattern(0, 0)
	return l
}

// place is one wall, with the path by it.
type place struct {
	path   float64 // length of the path by the image source, m
	level  float64 // dB
	bent   int     // ends at which it bends round the body
	bounce r2.Point
}

// at returns the path by one wall; ok is false where the wall would stand behind a sensor.
func (l *link) at(psi, d float64) (p place, ok bool) {
	n := unit(psi)
	tip := l.hull.farthest(psi)
	si, sj := dot(n, tip.Sub(l.from.at))+d, dot(n, tip.Sub(l.to.at))+d
	if si <= 0 || sj <= 0 {
		return place{}, false
	}
	out, in := l.apart.Add(n.Mul(2*sj)), l.apart.Mul(-1).Add(n.Mul(2*si))
	level := math.Sqrt(dot(out, out))
	p = place{path: l.byImage(si, sj)}
	p.bounce = l.from.at.Add(out.Mul(si / (si + sj)))
	p.level = l.carried(p.path)
	for _, e := range [2]end{
		l.from.strongest(cone{lo: out, hi: out, rise: l.rise, near: level, far: level}),
		l.to.strongest(cone{lo: in, hi: in, rise: -l.rise, near: level, far: level}),
	} {
		if math.IsInf(e.straight, -1) {
			p.bent++
		}
		p.level += max(e.straight, e.bent)
	}
	return p, true
}

// byImage is the length of the path by a wall si and sj before the two sensors, m.
func (l *link) byImage(si, sj float64) float64 { return math.Sqrt(l.apart2 + float64(4*si*sj)) }

// carried is the level after a path of length m on both axes, dB.
func (l *link) carried(m float64) float64 {
	return l.gainDB - float64(20*math.Log10(max(m, leastPathM))) - float64(l.alpha*m)
}

// leastPathM keeps the level finite for sensors in one place; the far field begins farther out in any case.
const leastPathM = 0.05

// box is a set of walls: their directions in a sector, their distances in d; with what bounds every path by them.
type box struct {
	sec   *sector
	d     span
	path  span       // length, m
	level [3]float64 // greatest level of paths with no, one, two bent ends, dB; -Inf where there are none
	key   float64    // the most this box may offer to the search that holds it
	seq   int        // order of making
}

func (b *box) loudest() float64 { return max(b.level[0], b.level[1], b.level[2]) }

// measure bounds the lengths of all paths by walls of b, m, and returns how far the sensors stand before the walls; ok is
// false where no wall of b stands before both.
func (l *link) measure(b *box) (si, sj span, ok bool) {
	si, sj = l.before(b, l.from), l.before(b, l.to)
	if si.hi <= 0 || sj.hi <= 0 {
		return si, sj, false
	}
	b.path = span{l.byImage(si.lo, sj.lo), l.byImage(si.hi, sj.hi)}
	return si, sj, true
}

// weigh bounds the levels of all paths by walls of b, whose lengths are measured.
func (l *link) weigh(b *box, si, sj span) {
	rise2 := float64(l.rise * l.rise)
	near, far := math.Sqrt(max(0, float64(b.path.lo*b.path.lo)-rise2)), math.Sqrt(max(0, float64(b.path.hi*b.path.hi)-rise2))
	carried := l.carried(b.path.lo)
	out := l.from.over(b, l.apart, sj, cone{rise: l.rise, near: near, far: far})
	if l.from == l.to { // both ends are one
		b.level = [3]float64{carried + 2*out.straight, math.Inf(-1), carried + 2*out.bent}
		return
	}
	in := l.to.over(b, l.apart.Mul(-1), si, cone{rise: -l.rise, near: near, far: far})
	b.level[0] = carried + out.straight + in.straight
	b.level[1] = carried + max(out.straight+in.bent, out.bent+in.straight)
	b.level[2] = carried + out.bent + in.bent
}

// before bounds how far v stands before the walls of b, m.
func (l *link) before(b *box, v *voice) span {
	least, most := b.sec.reach(v.at)
	return span{max(0, least+b.d.lo), most + b.d.hi}
}

// over bounds what v adds over the directions w + 2 s n, n in the sector of b, s in the span.
//
// Those directions turn with n, and for one n move straight from w towards n as s grows, so the outermost belong to the
// ends of both spans. This holds as long as no direction can point away from n; where one might, all are taken.
// The vertical part of the directions is in c.
func (v *voice) over(b *box, w r2.Point, s span, c cone) end {
	sec := b.sec
	if width := sec.to - sec.from; sec.least(w)+2*s.lo <= 0 || dot(w, unit((sec.from+sec.to)/2))+2*s.lo*math.Cos(width/2) <= 0 {
		return end{v.pattern(0, 0), v.edge - BendLossDB}
	}
	lo1, lo2 := w.Add(sec.n1.Mul(2*s.lo)), w.Add(sec.n1.Mul(2*s.hi))
	hi1, hi2 := w.Add(sec.n2.Mul(2*s.lo)), w.Add(sec.n2.Mul(2*s.hi))
	c.lo, c.hi = lo1, hi1
	if cross(lo2, lo1) > 0 {
		c.lo = lo2
	}
	if cross(hi1, hi2) > 0 {
		c.hi = hi2
	}
	return v.strongest(c)
}

// halve splits b across its longer side, as seen from the body.
func (l *link) halve(b *box) (one, two box) {
	if turn := b.sec.to - b.sec.from; (b.d.hi - b.d.lo) > turn*(b.d.hi+l.size) {
		mid := (b.d.lo + b.d.hi) / 2
		return box{sec: b.sec, d: span{b.d.lo, mid}}, box{sec: b.sec, d: span{mid, b.d.hi}}
	}
	h := l.hull.halves(b.sec)
	return box{sec: &h[0], d: b.d}, box{sec: &h[1], d: b.d}
}
