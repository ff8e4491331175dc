package crosstalk

import (
	"math"

	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// prism is the body or a part of it as a reflector.
type prism struct {
	name    string
	outline []r2.Point // counter-clockwise
	height  span
	centre  r2.Point
	radius  float64 // of a round part, 0 otherwise
	sides   []side
}

// prisms lists the body and its parts, in whatever state of the machine they exist.
func prisms(b scene.Body) []prism {
	list := []prism{{name: "body", outline: b.Outline, height: span{b.HeightM.Lo, b.HeightM.Hi}, sides: sides(b.Outline)}}
	for _, p := range b.Parts {
		list = append(list, prism{p.Name, p.Outline, span{p.HeightM.Lo, p.HeightM.Hi}, p.Centre, p.RadiusM, sides(p.Outline)})
	}
	return list
}

// mountedOnM is how near a face or edge may be to a sensor to count as what it is mounted on, as in package acoustics.
const mountedOnM = 2e-3

// byPart finds the ways by one part. Nothing there can move, so every feature is one path: upright faces answer as mirrors,
// upright edges as rods, a round part as a post, where the height of the specular point may lie on them; where a sensor looks
// over or under the part, level edges answer as rods and corners as balls. What stands between is not looked at.
func (l *link) byPart(p *prism) []heard {
	var list []heard
	for _, way := range l.features(p) {
		at := way.gain - l.fade(way.length.lo)
		if at < 0 {
			continue
		}
		list = append(list, heard{
			path: OwnPart, object: p.name, level: at, points: way.points.list(),
			length: span{max(0, way.length.lo-padM), way.length.hi + float64(way.bent)*l.detour + padM},
		})
	}
	return joined(list)
}

func (l *link) features(p *prism) (list []place) {
	zi, zj := l.from.height, l.to.height
	reaches := p.height.meets(span{min(zi, zj), max(zi, zj)})
	var over []float64 // heights of level edges that show
	if max(zi, zj) > p.height.hi {
		over = append(over, p.height.hi)
	}
	if min(zi, zj) < p.height.lo {
		over = append(over, p.height.lo)
	}
	if p.radius > 0 {
		return l.roundPart(p, reaches, over)
	}
	n := len(p.outline)
	for k, a := range p.outline {
		b := p.outline[(k+1)%n]
		before := p.outline[(k+n-1)%n]
		if reaches {
			list = l.face(a, b, list)
			if (ahead(a, b, l.from.at) > mountedOnM || ahead(before, a, l.from.at) > mountedOnM) &&
				(ahead(a, b, l.to.at) > mountedOnM || ahead(before, a, l.to.at) > mountedOnM) {
				list = l.edge(a, list)
			}
		}
		for _, z := range over {
			list = l.rod(a, b, z, list)
			list = l.point(r3.Vector{X: a.X, Y: a.Y, Z: z}, true, acoustics.EdgeRadiusM, list)
		}
	}
	return list
}

// ahead is how far c stands out of the face from a to b of a counter-clockwise outline, m.
func ahead(a, b, c r2.Point) float64 {
	u := b.Sub(a)
	m := u.Norm()
	if m == 0 {
		return 0
	}
	return cross(c.Sub(a), u) / m
}

// face adds the path by one flat upright face.
func (l *link) face(a, b r2.Point, list []place) []place {
	si, sj := ahead(a, b, l.from.at), ahead(a, b, l.to.at)
	if si <= mountedOnM || sj <= mountedOnM {
		return list
	}
	u := b.Sub(a)
	m := u.Norm()
	u = u.Mul(1 / m)
	t := between(dot(u, l.from.at.Sub(a)), dot(u, l.to.at.Sub(a)), si/(si+sj))
	if t < 0 || t > m {
		return list
	}
	into := r2.Point{X: -u.Y, Y: u.X} // from the sensors into the part
	p := l.mirrored(into, si, sj, l.plain())
	p.points = l.trail(a.Add(u.Mul(t)))
	return append(list, p)
}

// edge adds the path by one upright edge.
func (l *link) edge(a r2.Point, list []place) []place {
	out, in := a.Sub(l.from.at), a.Sub(l.to.at)
	r1, r2 := out.Norm(), in.Norm()
	if min(r1, r2) < mountedOnM {
		return list
	}
	way := r1 + r2
	length := math.Hypot(way, l.rise)
	p := l.path(span{length, length}, single(out, l.rise, way), single(in, -l.rise, way), -spreadingDB(false, acoustics.EdgeRadiusM, r1, r2, 1))
	p.points = l.trail(a)
	return append(list, p)
}

// rod adds the path by one level edge at height z: where, unrolled about it, the way is straight.
func (l *link) rod(a, b r2.Point, z float64, list []place) []place {
	u := b.Sub(a)
	m := u.Norm()
	if m == 0 {
		return list
	}
	u = u.Mul(1 / m)
	vi, vj := l.from.at.Sub(a), l.to.at.Sub(a)
	ci, cj := math.Hypot(cross(u, vi), z-l.from.height), math.Hypot(cross(u, vj), z-l.to.height)
	if min(ci, cj) < mountedOnM {
		return list
	}
	t := between(dot(u, vi), dot(u, vj), ci/(ci+cj))
	if t < 0 || t > m {
		return list
	}
	x := a.Add(u.Mul(t))
	return l.point(r3.Vector{X: x.X, Y: x.Y, Z: z}, false, acoustics.EdgeRadiusM, list)
}

// point adds the path by a point of space that answers as a rod or ball of radius a.
func (l *link) point(x r3.Vector, ball bool, a float64, list []place) []place {
	seen := func(v *voice) (cone, float64) {
		d := level(x).Sub(v.at)
		return single(d, x.Z-v.height, d.Norm()), math.Hypot(d.Norm(), x.Z-v.height)
	}
	out, r1 := seen(l.from)
	in, r2 := seen(l.to)
	if min(r1, r2) < mountedOnM {
		return list
	}
	p := l.path(span{r1 + r2, r1 + r2}, out, in, -spreadingDB(ball, a, r1, r2, 1))
	p.points = l.trail(level(x))
	return append(list, p)
}

// roundPart adds the path by the side of a round part, and by its rim.
func (l *link) roundPart(p *prism, reaches bool, over []float64) (list []place) {
	flat := func(q r2.Point) r3.Vector { return r3.Vector{X: q.X, Y: q.Y} }
	from, to, c := flat(l.from.at), flat(l.to.at), flat(p.centre)
	if aside(from, to, c) <= p.radius+mountedOnM {
		return nil
	}
	x, cos := specular(from, to, c, p.radius)
	if reaches {
		out, in := level(x.Sub(from)), level(x.Sub(to))
		r1, r2 := out.Norm(), in.Norm()
		length := math.Hypot(r1+r2, l.rise)
		q := l.path(span{length, length}, single(out, l.rise, r1+r2), single(in, -l.rise, r1+r2), -spreadingDB(false, p.radius, r1, r2, cos))
		q.points = l.trail(level(x))
		list = append(list, q)
	}
	for _, z := range over {
		list = l.point(r3.Vector{X: x.X, Y: x.Y, Z: z}, false, acoustics.EdgeRadiusM, list)
	}
	return list
}
