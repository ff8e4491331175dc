package crosstalk

import (
	"math"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// flatThing is the family of one wall, kerb or bar at every allowed place and turn. It goes through the place P, turned by τ out of
// facing one of the two sensors squarely, the sender or the listener, and is as long as the path needs. So of all upright
// planes those belong to it that, square to n and s before that sensor at p, have a place of the zone among
//
//	P(τ) = p + s n - s tan τ n⊥          for τ in the span of turns
//
// which is a straight piece. A box holds directions of n and distances s; no P moves by more than (s δ + σ)/cos τ as they do by δ
// and σ, so a box whose middle's piece keeps farther from the zone than that is empty.
type flatThing struct {
	link  *link
	plots *plots
	modes []mode
	bar   bool
	// dropI and dropJ are how far a bar's axis lies above the two sensors, m.
	dropI, dropJ float64
	turns        span
}

func newFlat(l *link, p *plots, g scene.Ground) *flatThing {
	t := p.target
	w := &flatThing{link: l, plots: p, turns: span{max(-mostTurn, t.Turned.Lo), min(mostTurn, t.Turned.Hi)}}
	if w.bar = t.Shape == scene.Bar; w.bar {
		middle := (t.HeightM.Lo + t.HeightM.Hi) / 2
		w.dropI, w.dropJ = middle-l.from.height, middle-l.to.height
		w.modes = []mode{{out: l.rise, in: -l.rise, loss: t.LossDB.X}}
	} else {
		w.modes = l.modes(t.HeightM, t.LossDB.X, g)
	}
	if l.from == l.to {
		return w
	}
	for _, m := range w.modes {
		m.byOther = true
		w.modes = append(w.modes, m)
	}
	return w
}

func (w *flatThing) slack() (m, dB float64)     { return pathWithinM, 2 * hairDB }
func (w *flatThing) guess(into []place) []place { return into }

// mostTurn is the turn, rad, from which on a plane is edge on to the sensor that it should face.
const mostTurn = 1.55

func (w *flatThing) first(into []box) []box {
	if w.turns.lo > w.turns.hi {
		return into
	}
	zero := math.Atan2(w.plots.ahead.Y, w.plots.ahead.X)
	for k, m := range w.modes {
		for z, zone := range w.plots.zones {
			far := 0.0
			for _, ring := range zone {
				for _, q := range ring {
					far = max(far, q.Sub(w.facing(m).at).Norm())
				}
			}
			for t := range firstSectors {
				const part = 2 * math.Pi / firstSectors
				into = append(into, box{
					mode: int8(k), zone: int16(z), d: span{0, far},
					turn: span{zero + part*float64(t), zero + part*float64(t+1)},
				})
			}
		}
	}
	return into
}

// leastTurn is the smallest sector that is halved, rad.
const leastTurn = 1e-3

func (w *flatThing) halve(b *box) (one, two box, ok bool) {
	one, two = *b, *b
	wide, deep := b.turn.hi-b.turn.lo, b.d.hi-b.d.lo
	if wide < leastTurn && deep < leastTurn {
		return one, two, false
	}
	if deep > wide*b.d.hi {
		one.d.hi = (b.d.lo + b.d.hi) / 2
		two.d.lo = one.d.hi
	} else {
		one.turn.hi = (b.turn.lo + b.turn.hi) / 2
		two.turn.lo = one.turn.hi
	}
	return one, two, true
}

// piece is where the place may lie for one plane: both its ends.
func (w *flatThing) piece(p, n r2.Point, s float64) (a, b r2.Point) {
	foot, left := p.Add(n.Mul(s)), r2.Point{X: -n.Y, Y: n.X}
	return foot.Sub(left.Mul(s * math.Tan(w.turns.lo))), foot.Sub(left.Mul(s * math.Tan(w.turns.hi)))
}

// facing is the sensor that turns count from.
func (w *flatThing) facing(m mode) *voice {
	if m.byOther {
		return w.link.from
	}
	return w.link.to
}

// stand returns how far both sensors stand before the thing, from how far the one it faces does, over normals whose
// components along the straight way between them lie in a span.
func (w *flatThing) stand(m mode, s, along span) (si, sj span) {
	if m.byOther {
		return s, s.plus(along.scale(-1))
	}
	return s.plus(along), s
}

func (w *flatThing) bound(b *box) bool {
	m := w.modes[b.mode]
	p := w.facing(m).at
	half, deep := (b.turn.hi-b.turn.lo)/2, (b.d.hi-b.d.lo)/2
	from, to := w.piece(p, unit((b.turn.lo+b.turn.hi)/2), b.d.lo+deep)
	moves := (b.d.hi*half + deep) / math.Cos(max(-w.turns.lo, w.turns.hi, 0))
	if !nearZone(w.plots.zones[b.zone], from, to, moves+roundingM) {
		return false
	}
	f := fan{unit(b.turn.lo), unit(b.turn.hi)}
	si, sj := w.stand(m, b.d, f.over(w.link.apart))
	if si.hi <= 0 || sj.hi <= 0 {
		return false
	}
	si, sj = si.above(0), sj.above(0)
	if w.bar {
		w.boundBar(b, f, si, sj, m)
	} else {
		w.link.mirror(b, f, si, sj, m)
	}
	return true
}

// nearZone reports whether the straight piece from a to b comes nearer to a zone than that.
func nearZone(zone [][]r2.Point, a, b r2.Point, than float64) bool {
	if inZone(zone, a) {
		return true
	}
	for _, ring := range zone {
		q := ring[len(ring)-1]
		for _, p := range ring {
			if nearPieces(a, b, q, p, than) {
				return true
			}
			q = p
		}
	}
	return false
}

// nearPieces reports whether two straight pieces cross or come nearer than that.
func nearPieces(a, b, c, d r2.Point, than float64) bool {
	u, v := b.Sub(a), d.Sub(c)
	if cross(u, c.Sub(a))*cross(u, d.Sub(a)) < 0 && cross(v, a.Sub(c))*cross(v, b.Sub(c)) < 0 {
		return true
	}
	than *= than
	return far2(a, c, v) <= than || far2(b, c, v) <= than || far2(c, a, u) <= than || far2(d, a, u) <= than
}

// far2 is the square of p's distance from the piece that runs from a by u.
func far2(p, a, u r2.Point) float64 {
	v := p.Sub(a)
	t := 0.0
	if m := dot(u, u); m > 0 {
		t = min(1, max(0, dot(v, u)/m))
	}
	v = v.Sub(u.Mul(t))
	return dot(v, v)
}

// boundBar bounds the paths by a level bar of radius a. Along it sound keeps its way, so with the distances ri and rj of both
// sensors from its surface, measured square to it, and t the sensors' distance along it
//
//	L² = t² + (ri + rj)²          t² = |level part of pj - pi|² - (si - sj)²
func (w *flatThing) boundBar(b *box, f fan, si, sj span, m mode) {
	l, a := w.link, w.plots.target.RadiusM
	ci, cj := off(si, w.dropI), off(sj, w.dropJ) // to its axis
	ri, rj := ci.shift(-a).above(0), cj.shift(-a).above(0)
	apart2 := dot(l.apart, l.apart)
	between := si.plus(sj.scale(-1))
	t := span{math.Sqrt(max(0, apart2-square(max(-between.lo, between.hi)))), math.Sqrt(max(0, apart2-square(between.least())))}
	sum := ri.plus(rj)
	b.length = span{math.Hypot(t.lo, sum.lo), math.Hypot(t.hi, sum.hi)}
	out, in := l.from.all(), l.to.all()
	if sum.lo > 0 && si.lo > 0 && sj.lo > 0 {
		// The thing's way along n1⊥ is that of the whole fan but for its turn.
		slant := f.over(r2.Point{X: -l.apart.Y, Y: l.apart.X}).scale(-1)
		out = l.from.strongest(barCone(f, si, slant, ci, sum, w.dropI))
		in = l.to.strongest(barCone(f, sj, slant.scale(-1), cj, sum, w.dropJ))
	}
	b.gain = l.gains(out, in, -m.loss-spreadingDB(false, a, ri.lo, rj.lo, 1))
}

// off is the distance across from something that is s away and h above.
func off(s span, h float64) span { return span{math.Hypot(s.lo, h), math.Hypot(s.hi, h)} }

func square(x float64) float64 { return x * x }

// barCone is the cone of directions to where a bar answers: s along the normal, its share of the way along the bar to the
// left, drop above.
func barCone(f fan, s, along, axis, sum span, drop float64) cone {
	share := span{axis.lo / sum.hi, axis.hi / sum.lo}
	side := along.by(share)
	low, high := r2.Point{X: s.hi, Y: side.lo}, r2.Point{X: s.lo, Y: side.hi}
	if side.lo < 0 {
		low.X = s.lo
	}
	if side.hi < 0 {
		high.X = s.hi
	}
	in := func(n, p r2.Point) r2.Point { return n.Mul(p.X).Add(r2.Point{X: -n.Y, Y: n.X}.Mul(p.Y)) }
	return cone{
		lo: in(f.n1, low), hi: in(f.n2, high), rise: span{drop, drop},
		near: math.Hypot(s.lo, side.least()), far: math.Hypot(s.hi, max(-side.lo, side.hi)),
	}
}

func (w *flatThing) try(b *box, into []place) []place {
	m := w.modes[b.mode]
	n, s := unit((b.turn.lo+b.turn.hi)/2), (b.d.lo+b.d.hi)/2
	from, to := w.piece(w.facing(m).at, n, s)
	const tries = 4
	for k := range tries + 1 {
		if w.plots.allowed(from.Add(to.Sub(from).Mul(float64(k) / tries))) {
			if p, ok := w.at(n, s, m); ok {
				into = append(into, p)
			}
			break
		}
	}
	return into
}

// at is the path by the plane square to n and s before the sensor it faces; ok is false where it stands behind a sensor.
func (w *flatThing) at(n r2.Point, s float64, m mode) (p place, ok bool) {
	l := w.link
	along := dot(n, l.apart)
	i, j := w.stand(m, span{s, s}, span{along, along})
	si, sj := i.lo, j.lo
	if si <= 0 || sj <= 0 {
		return place{}, false
	}
	if w.bar {
		return w.byBar(n, si, sj, m)
	}
	p = l.mirrored(n, si, sj, m)
	p.points = l.trail(l.from.at.Add(l.apart.Add(n.Mul(2 * sj)).Mul(si / (si + sj))))
	return p, true
}

func (w *flatThing) byBar(n r2.Point, si, sj float64, m mode) (p place, ok bool) {
	l, a := w.link, w.plots.target.RadiusM
	ci, cj := math.Hypot(si, w.dropI), math.Hypot(sj, w.dropJ)
	ri, rj := ci-a, cj-a
	if ri <= 0 || rj <= 0 {
		return place{}, false
	}
	left := r2.Point{X: -n.Y, Y: n.X}
	t := dot(left, l.apart)
	length := math.Hypot(t, ri+rj)
	out := n.Mul(si).Add(left.Mul(t * ci / (ri + rj)))
	in := n.Mul(sj).Sub(left.Mul(t * cj / (ri + rj)))
	p = l.path(span{length, length}, single(out, w.dropI, out.Norm()), single(in, w.dropJ, in.Norm()), -m.loss-spreadingDB(false, a, ri, rj, 1))
	p.points = l.trail(l.from.at.Add(out.Mul(ri / ci)))
	return p, true
}
