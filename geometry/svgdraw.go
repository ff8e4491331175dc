package geometry

import (
	"math"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// pen gathers the points of one subpath in the units of the path.
type pen struct {
	err  float64 // permitted distance of a chord from its curve
	ring Ring
	at   r2.Point
	over bool // a curve needs more chords than allowed
}

func (n *pen) lineTo(q r2.Point) {
	n.ring = appendNew(n.ring, q)
	n.at = q
}

// draw carries out one command with one set of operands.
func (p *pathReader) draw(upper byte, relative bool, a [7]float64, from int) error {
	o := r2.Point{}
	if relative {
		o = p.pen.at
	}
	pair := func(k int) r2.Point { return r2.Point{X: o.X + a[k], Y: o.Y + a[k+1]} }
	last := p.last
	p.last = upper
	switch upper {
	case 'M':
		return p.moveTo(pair(0), from)
	case 'L':
		p.pen.lineTo(pair(0))
	case 'H':
		p.pen.lineTo(r2.Point{X: o.X + a[0], Y: p.pen.at.Y})
	case 'V':
		p.pen.lineTo(r2.Point{X: p.pen.at.X, Y: o.Y + a[0]})
	case 'C':
		p.cubic(pair(0), pair(2), pair(4))
	case 'S':
		p.cubic(p.reflected(last == 'C' || last == 'S'), pair(0), pair(2))
	case 'Q':
		p.quadratic(pair(0), pair(2))
	case 'T':
		p.quadratic(p.reflected(last == 'Q' || last == 'T'), pair(0))
	case 'A':
		p.pen.arcTo(a[0], a[1], a[2]*math.Pi/180, a[3] == 1, a[4] == 1, pair(5))
	}
	if p.pen.over || p.points+len(p.pen.ring) > maxPathPoints {
		return p.fault(from, "more than %d points are needed: the curve is too large for the permitted error", maxPathPoints)
	}
	return nil
}

func (p *pathReader) moveTo(q r2.Point, from int) error {
	if err := p.endSubpath(); err != nil {
		return err
	}
	p.begun, p.opened = true, from
	p.pen.lineTo(q)
	return nil
}

// closeSubpath carries out Z: what follows without M starts where this subpath did.
func (p *pathReader) closeSubpath() error {
	p.last = 'Z'
	if len(p.pen.ring) == 0 {
		return nil
	}
	start := p.pen.ring[0]
	if err := p.endSubpath(); err != nil {
		return err
	}
	p.opened = p.at
	p.pen.lineTo(start)
	return nil
}

// endSubpath hands the gathered points over as a ring. A lone point, as M or Z leaves behind, is no subpath.
func (p *pathReader) endSubpath() error {
	ring := withoutRepeats(p.pen.ring)
	p.pen.ring = nil
	if len(ring) <= 1 {
		return nil
	}
	if len(ring) < 3 {
		return p.fault(p.opened, "this subpath has only two points and encloses nothing")
	}
	p.points += len(ring)
	for i := range ring {
		ring[i] = ring[i].Mul(p.scale)
	}
	p.rings = append(p.rings, ring)
	return nil
}

// reflected is the control point that carries a curve smoothly on.
func (p *pathReader) reflected(after bool) r2.Point {
	if !after {
		return p.pen.at
	}
	return p.pen.at.Mul(2).Sub(p.control)
}

func (p *pathReader) cubic(b, c, d r2.Point) {
	p.control = c
	p.pen.bezier(p.pen.at, b, c, d, maxHalvings)
}

// quadratic draws a parabola as the cubic that equals it.
func (p *pathReader) quadratic(q, d r2.Point) {
	a := p.pen.at
	p.control = q
	third := func(x r2.Point) r2.Point { return predicate.Move(x, q.Sub(x), 2.0/3) }
	p.pen.bezier(a, third(a), third(d), d, maxHalvings)
}

// maxHalvings bounds the pieces of one curve at 2^16.
const maxHalvings = 16

// bezier adds chords of a cubic: halved until three quarters of the control points' distance from the chord is within
// err. The distance to a segment is convex and zero at the ends, so at parameter t it is at most 3 t (1 − t) <= 3/4 of the larger.
func (n *pen) bezier(a, b, c, d r2.Point, depth int) {
	flat := n.flat(a, d, b) && n.flat(a, d, c)
	if flat || depth == 0 {
		n.over = n.over || !flat
		n.lineTo(d)
		return
	}
	ab, bc, cd := middle(a, b), middle(b, c), middle(c, d)
	abc, bcd := middle(ab, bc), middle(bc, cd)
	m := middle(abc, bcd)
	n.bezier(a, ab, abc, m, depth-1)
	n.bezier(m, bcd, cd, d, depth-1)
}

func (n *pen) flat(a, d, control r2.Point) bool {
	return control.Sub(nearestOnSegment(a, d, control)).Norm()*3/4 <= n.err
}

func middle(a, b r2.Point) r2.Point { return r2.Point{X: a.X/2 + b.X/2, Y: a.Y/2 + b.Y/2} }

// arcTo draws an elliptical arc with radii rx and ry turned by phi (rad). Names and steps follow SVG 2 appendix B.2
// (SVG 1.1: F.6): x1′ is half the chord in the frame of the axes, c′ the centre there, θ1 the start and Δθ the sweep.
func (n *pen) arcTo(rx, ry, phi float64, large, sweep bool, to r2.Point) {
	from := n.at
	rx, ry = math.Abs(rx), math.Abs(ry)
	if from == to {
		return
	}
	if rx == 0 || ry == 0 {
		n.lineTo(to)
		return
	}
	sinPhi, cosPhi := math.Sincos(phi)
	turn := func(p r2.Point, sin float64) r2.Point {
		return r2.Point{X: float64(cosPhi*p.X) - float64(sin*p.Y), Y: float64(sin*p.X) + float64(cosPhi*p.Y)}
	}
	half := turn(from.Sub(to).Mul(0.5), -sinPhi)
	// The chord in units of the radii: the ellipse becomes the unit circle.
	u := r2.Point{X: half.X / rx, Y: half.Y / ry}
	if size := u.Norm(); size > 1 { // radii too small: scaled up until they just reach (B.2.5)
		rx, ry = rx*size, ry*size
		u = u.Mul(1 / size)
	}
	length2 := predicate.Dot(u, u)
	height := math.Sqrt(max(0, 1-length2) / length2)
	if large == sweep {
		height = -height
	}
	c := r2.Point{X: u.Y, Y: -u.X}.Mul(height)
	theta1 := math.Atan2(u.Y-c.Y, u.X-c.X)
	delta := math.Mod(math.Atan2(-u.Y-c.Y, -u.X-c.X)-theta1, 2*math.Pi)
	if sweep && delta <= 0 {
		delta += 2 * math.Pi
	} else if !sweep && delta >= 0 {
		delta -= 2 * math.Pi
	}
	centre := turn(r2.Point{X: c.X * rx, Y: c.Y * ry}, sinPhi).Add(middle(from, to))
	steps := arcSteps(max(rx, ry), math.Abs(delta), n.err)
	if n.over = steps > maxPathPoints; n.over {
		return
	}
	for k := 1.0; k < steps; k++ {
		sin, cos := math.Sincos(theta1 + delta*k/steps)
		n.lineTo(centre.Add(turn(r2.Point{X: rx * cos, Y: ry * sin}, sinPhi)))
	}
	n.lineTo(to)
}

// arcSteps: an ellipse is a circle of its longer radius squeezed one way, so its chords are no farther from it than
// the circle's sagitta r (1 − cos(step/2)) = 2 r sin²(step/4).
func arcSteps(radius, delta, err float64) float64 {
	step := 4 * math.Asin(math.Sqrt(min(1, err/(2*radius))))
	return max(1, math.Ceil(delta/min(step, math.Pi/4)))
}
