package crosstalk

import (
	"math"

	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// roundThing is the family of one post or sphere at every allowed place: the specular point x lies on its surface where the
// way over it is shortest, n there halves the angle between both legs.
//
// As the thing moves by δ, the way L changes by 2δ at the most, being the shortest over points that all move by δ; and x moves
// by (1 + a/(2r)) δ at the most, r the nearer sensor's distance from it: with f the sum of both distances the thing stands
// at x + a ∇f/|∇f|, whose derivative is 1 + a (κ tt' + τ tn'), κ >= 0 and |τ| <= 1/(2r).
type roundThing struct {
	link  *link
	plots *plots
	modes []mode
	from  r3.Vector // the sensors; in the plane of the thing's circle for a post
	to    r3.Vector
	level float64 // height of a sphere's centre, m
}

func newRoundThing(l *link, p *plots, g scene.Ground) *roundThing {
	t := p.target
	w := &roundThing{link: l, plots: p}
	w.from, w.to = r3.Vector{X: l.from.at.X, Y: l.from.at.Y}, r3.Vector{X: l.to.at.X, Y: l.to.at.Y}
	if t.Shape == scene.Sphere {
		w.from.Z, w.to.Z, w.level = l.from.height, l.to.height, (t.HeightM.Lo+t.HeightM.Hi)/2
		w.modes = []mode{{loss: t.LossDB.X}}
	} else {
		w.modes = l.modes(t.HeightM, t.LossDB.X, g)
	}
	return w
}

func (w *roundThing) slack() (m, dB float64)          { return pathWithinM, 2 * hairDB }
func (w *roundThing) guess(into []place) []place      { return into }
func (w *roundThing) first(into []box) []box          { return w.plots.first(w.modes, into) }
func (w *roundThing) halve(b *box) (_, _ box, _ bool) { return w.plots.halve(b) }

func (w *roundThing) ball() bool { return w.plots.target.Shape == scene.Sphere }

// spreadingDB is what the curvature of a post or ball costs besides the length of the way, dB.
func spreadingDB(ball bool, a, r1, r2, cos float64) float64 {
	r1, r2, cos = max(r1, 1e-3), max(r2, 1e-3), max(cos, 1e-6)
	if ball {
		return acoustics.SphereSpreading(a, r1, r2, cos) - acoustics.WallSpreading(r1+r2)
	}
	return acoustics.CylinderSpreading(a, r1, r2, cos) - acoustics.WallSpreading(r1+r2)
}

// specular finds the specular point of a ball of radius a about c between two places; cos is that of the incidence.
func specular(p, q, c r3.Vector, a float64) (x r3.Vector, cos float64) {
	x = c
	for range 60 {
		u, v := p.Sub(x).Normalize(), q.Sub(x).Normalize()
		n := u.Add(v)
		m := n.Norm()
		if m < 1e-9 {
			return x, 0
		}
		next := c.Add(n.Mul(a / m))
		cos = m / 2
		if next.Sub(x).Norm() < 1e-10 {
			return next, cos
		}
		x = next
	}
	return x, cos
}

// aside is the distance of c from the straight line between p and q.
func aside(p, q, c r3.Vector) float64 {
	u, v := q.Sub(p), c.Sub(p)
	t := 0.0
	if n := u.Norm2(); n > 0 {
		t = min(1, max(0, v.Dot(u)/n))
	}
	return v.Sub(u.Mul(t)).Norm()
}

func (w *roundThing) centre(at r2.Point) r3.Vector { return r3.Vector{X: at.X, Y: at.Y, Z: w.level} }

func (w *roundThing) bound(b *box) bool {
	if b.plot == nil {
		return false
	}
	l, a, rho := w.link, w.plots.target.RadiusM, b.plot.radius
	c := w.centre(b.plot.at)
	ri, rj := c.Sub(w.from).Norm(), c.Sub(w.to).Norm()
	beside := aside(w.from, w.to, c)
	if beside+rho < a {
		return false // it stands between them, or on one
	}
	// At first no more than that x lies within the thing.
	x, slack, cos := c, a+rho, 1.0
	way := span{max(ri+rj-2*a-2*rho, w.to.Sub(w.from).Norm()), ri + rj + 2*rho}
	if near := min(ri, rj) - a - rho; near > rho && beside > a+rho {
		x, cos = specular(w.from, w.to, c, a)
		b.mirror, b.cos = x, cos
		slack = rho * (1 + a/(2*near))
		ri, rj = x.Sub(w.from).Norm(), x.Sub(w.to).Norm()
		way = span{max(way.lo, ri+rj-2*rho), min(way.hi, ri+rj+2*rho)}
	}
	r1, r2 := max(0, ri-slack), max(0, rj-slack)
	if r1 > 0 && r2 > 0 && x != c {
		cos = min(1, cos+slack*(1/r1+1/r2)/2)
	}
	m := w.modes[b.mode]
	b.length = span{hypot(way.lo, m.out), hypot(way.hi, m.out)}
	out, in := w.seen(l.from, w.from, x, slack, m.out, way), w.seen(l.to, w.to, x, slack, m.in, way)
	b.gain = l.gains(out, in, -m.loss-spreadingDB(w.ball(), a, r1, r2, cos))
	return true
}

// seen bounds what v at p adds in all directions to places within slack of x.
func (w *roundThing) seen(v *voice, p, x r3.Vector, slack, rise float64, way span) end {
	d := r2.Point{X: x.X - p.X, Y: x.Y - p.Y}
	far := d.Norm()
	if slack >= far {
		return v.all()
	}
	c := cone{rise: span{rise, rise}, near: way.lo, far: way.hi}
	if w.ball() {
		c.rise, c.near, c.far = span{x.Z - p.Z - slack, x.Z - p.Z + slack}, far-slack, far+slack
	}
	sin := slack / far
	cos := math.Sqrt(1 - sin*sin)
	side := r2.Point{X: -d.Y, Y: d.X}
	c.lo, c.hi = d.Mul(cos).Sub(side.Mul(sin)), d.Mul(cos).Add(side.Mul(sin))
	return v.strongest(c)
}

func (w *roundThing) try(b *box, into []place) []place {
	if !b.plot.stands {
		return into
	}
	if p, ok := w.at(b, w.modes[b.mode]); ok {
		into = append(into, p)
	}
	return into
}

// at is the path by the thing in the middle of b; ok is false where it stands between the sensors or on one.
func (w *roundThing) at(b *box, m mode) (p place, ok bool) {
	l, a, c := w.link, w.plots.target.RadiusM, w.centre(b.plot.at)
	if aside(w.from, w.to, c) <= a {
		return place{}, false
	}
	x, cos := b.mirror, b.cos
	if cos == 0 { // bound had no need of it
		x, cos = specular(w.from, w.to, c, a)
	}
	r1, r2 := x.Sub(w.from).Norm(), x.Sub(w.to).Norm()
	way := r1 + r2
	length := hypot(way, m.out)
	out, in := w.ray(w.from, x, m.out, way), w.ray(w.to, x, m.in, way)
	p = l.path(span{length, length}, out, in, -m.loss-spreadingDB(w.ball(), a, r1, r2, cos))
	p.points = l.trail(level(x))
	return p, true
}

func (w *roundThing) ray(p, x r3.Vector, rise, way float64) cone {
	d := level(x.Sub(p))
	if w.ball() {
		return single(d, x.Z-p.Z, d.Norm())
	}
	return single(d, rise, way)
}

func level(v r3.Vector) r2.Point { return r2.Point{X: v.X, Y: v.Y} }

// trail is the corners of a path by one place.
func (l *link) trail(x r2.Point) trail { return trail{[5]r2.Point{l.from.at, x, l.to.at}, 3} }
