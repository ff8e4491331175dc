package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// sideWall is the family of paths by a flat side of the body or a part in front of one of the sensors and then, or before, by one
// wall of oneWall. That sensor's image in the side takes its place: what is left is a path by one wall from, or to, the
// image, which has to come through the side.
type sideWall struct {
	oneWall
	side side
	// fromImage is true where the sender is the image.
	fromImage bool
}

// image is v as seen in a side.
func (v voice) image(s side) voice {
	turned := func(p r2.Point) r2.Point { return p.Sub(s.out.Mul(2 * dot(s.out, p))) }
	v.at = s.at.Add(turned(v.at.Sub(s.at)))
	v.ahead = turned(v.ahead)
	return v
}

// through bounds where along the side the straight way from the image towards the wall goes through it: out is how it
// moves off the side, along how it moves along it.
//
// A way that moves off by o > 0 and along by a goes through at start + behind a/o. Where all o are well above 0, a/o lies among the
// products of the ends of along and of 1/out. Where o may come near 0, a/o has the sign of a and no bound: it goes through
// anywhere on that hand of start, however far from the side the image stands.
func (s side) through(image r2.Point, out, along span) (t span, ok bool) {
	behind := -dot(s.out, image.Sub(s.at))
	// A hair either way counts as open, so that rounding decides nothing where things stand at right angles.
	if out.hi <= -roundingM || behind <= 0 {
		return t, false
	}
	start := dot(s.along, image.Sub(s.at))
	if out.lo <= roundingM {
		t = span{start, start}
		if along.hi > -roundingM {
			t.hi = math.Inf(1) // anywhere that way
		}
		if along.lo < roundingM {
			t.lo = math.Inf(-1)
		}
		return t, true
	}
	return along.by(span{behind / out.hi, behind / out.lo}).shift(start), true
}

func (w *sideWall) bound(b *box) bool {
	l := w.link
	si, sj := w.before(b, l.from), w.before(b, l.to)
	if si.hi <= 0 || sj.hi <= 0 {
		return false
	}
	// Most boxes miss a short side, so that is looked at before the levels are.
	image, apart, s := l.from.at, l.apart, sj
	if !w.fromImage {
		image, apart, s = l.to.at, l.apart.Mul(-1), si
	}
	out := s.by(b.sec.over(w.side.out)).scale(2).shift(dot(w.side.out, apart))
	along := s.by(b.sec.over(w.side.along)).scale(2).shift(dot(w.side.along, apart))
	t, ok := w.side.through(image, out, along)
	if !ok || t.lo > w.side.length+roundingM || t.hi < -roundingM {
		return false
	}
	l.mirror(b, b.sec.fan, si, sj, l.plain())
	return true
}

func (w *sideWall) at(psi, d float64) (p place, ok bool) {
	n, si, sj := w.stand(psi, d)
	if si <= 0 || sj <= 0 {
		return p, false
	}
	l := w.link
	bounce := w.bounce(n, si, sj)
	image := l.from
	if !w.fromImage {
		image = l.to
	}
	off := bounce.Sub(image.at)
	out, along := dot(w.side.out, off), dot(w.side.along, off)
	t, ok := w.side.through(image.at, span{out, out}, span{along, along})
	if !ok || t.lo < 0 || t.lo > w.side.length || dot(w.side.out, bounce.Sub(w.side.at)) <= 0 {
		return p, false
	}
	p = l.mirrored(n, si, sj, l.plain())
	on, real := w.side.at.Add(w.side.along.Mul(t.lo)), image.image(w.side).at
	p.points = trail{[5]r2.Point{real, on, bounce, l.to.at}, 4}
	if !w.fromImage {
		p.points = trail{[5]r2.Point{l.from.at, bounce, on, real}, 4}
	}
	return p, true
}

func (w *sideWall) try(b *box, into []place) []place {
	if p, ok := w.at((b.sec.from+b.sec.to)/2, (b.d.lo+b.d.hi)/2); ok {
		into = append(into, p)
	}
	return into
}

func (w *sideWall) shared(*box) bool { return false }

// newSideWall is the family by that side first, or last where not fromImage; false where the sensor that sees it is mounted on it or
// stands behind it.
func newSideWall(l *link, wall oneWall, s side, fromImage bool) (w *sideWall, ok bool) {
	v := l.to
	if fromImage {
		v = l.from
	}
	if dot(s.out, v.at.Sub(s.at)) <= mountedOnM {
		return nil, false
	}
	seen := v.image(s)
	from, to := l.from, &seen
	if fromImage {
		from, to = &seen, l.to
	}
	w = &sideWall{oneWall: wall, side: s, fromImage: fromImage}
	w.link = newLink(from, to, l.gainDB, l.fading, l.hull)
	return w, true
}

// bySideAndWall finds the ways by a flat side in front of either sensor and a wall.
func (a *array) bySideAndWall(l *link, wall oneWall, h *hunt) (ways []heard) {
	heights := span{min(l.from.height, l.to.height), max(l.from.height, l.to.height)}
	for k := range a.prisms {
		p := &a.prisms[k]
		if p.radius > 0 || !p.height.meets(heights) {
			continue
		}
		var by []heard
		for _, s := range p.sides {
			for _, fromImage := range []bool{true, false} {
				if w, ok := newSideWall(l, wall, s, fromImage); ok && (fromImage || l.from != l.to) {
					by = h.ways(by, w.link, w, PartWall, p.name)
				}
			}
		}
		ways = append(ways, joined(by)...)
	}
	return ways
}
