package draw

import "math"

// stroke paints a line of some width along points of which no two neighbours are the same, joined smoothly; a
// thin one is as faint as it is narrow.
func (m *mesh) stroke(ps []point, closed bool, width float64, c colour) {
	if len(ps) < 2 || width <= 0 {
		return
	}
	if len(ps) == 2 {
		closed = false
	}
	if width < 1 {
		c, width = c.times(float32(width)), 1
	}
	l := line{mesh: m, c: c, half: width / 2, reach: width/2 + 0.5}
	n := len(ps)
	if !closed {
		l.cut(ps[0], ps[1], ps[0])
		for i := 1; i < n-1; i++ {
			l.join(ps[i-1], ps[i], ps[i+1])
		}
		l.to(l.cross(ps[n-2], ps[n-1], ps[n-1]))
		return
	}
	// A ring begins in the middle of its first side, so that its first corner is like all others.
	start := point{(ps[0].x + ps[1].x) / 2, (ps[0].y + ps[1].y) / 2}
	l.cut(ps[0], ps[1], start)
	for i := 1; i <= n; i++ {
		l.join(ps[i-1], ps[i%n], ps[(i+1)%n])
	}
	l.to(l.cross(ps[0], ps[1], start))
}

// line is a stroke on its way: the two corners it goes on from, at its right and its left.
type line struct {
	mesh        *mesh
	c           colour
	half, reach float64
	right, left uint32
}

// cross is a cut square through the line at p, where it runs from a to b.
func (l *line) cross(a, b, p point) (right, left uint32) {
	ux, uy := unit(a, b)
	dx, dy := -uy*l.reach, ux*l.reach
	return l.mesh.corner(point{p.x + dx, p.y + dy}, l.c, l.reach, l.reach), l.mesh.corner(point{p.x - dx, p.y - dy}, l.c, -l.reach, l.reach)
}

// cut begins anew at p.
func (l *line) cut(a, b, p point) { l.right, l.left = l.cross(a, b, p) }

// to goes on to the next two corners.
func (l *line) to(right, left uint32) {
	l.mesh.quad(l.right, right, left, l.left)
	l.right, l.left = right, left
}

// join goes round p: by a mitre where the turn is at most square and the sides are long enough for it, else
// by a disc over two square ends.
func (l *line) join(a, p, b point) {
	ux, uy := unit(a, p)
	vx, vy := unit(p, b)
	cos := ux*vx + uy*vy
	if cos > -0.01 {
		need := l.reach * math.Sqrt(math.Max(0, (1-cos)/(1+cos))) // how far back along its sides the inner corner lies
		if need <= math.Hypot(p.x-a.x, p.y-a.y) && need <= math.Hypot(b.x-p.x, b.y-p.y) {
			d := corner(a, p, b, l.reach)
			l.to(l.mesh.corner(point{p.x + d.x, p.y + d.y}, l.c, l.reach, l.reach), l.mesh.corner(point{p.x - d.x, p.y - d.y}, l.c, -l.reach, l.reach))
			return
		}
	}
	l.to(l.cross(a, p, p))
	if l.half > 0.5 {
		l.mesh.disc(p, l.half, l.c)
	}
	l.cut(p, b, p)
}

// disc paints a small round.
func (m *mesh) disc(p point, radius float64, c colour) {
	n := max(8, int(3*math.Sqrt(radius))*2)
	reach := radius + 0.5
	mid := m.corner(p, c, 0, reach)
	far := reach / math.Cos(math.Pi/float64(n)) // the corners of a polygon round the circle
	for i := range n {
		s, k := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.corner(point{p.x + far*k, p.y + far*s}, c, reach, reach)
	}
	for i := range n {
		m.triangle(mid, mid+1+uint32(i), mid+1+uint32((i+1)%n))
	}
}

// thin drops points that repeat, and points so near to the line between their neighbours that no pixel shows it.
func thin(ps []point, closed bool) []point {
	const same, flat, longest = 1e-3, 0.06, 40
	out := make([]point, 0, len(ps))
	for i, p := range ps {
		if n := len(out); n > 0 {
			if math.Hypot(p.x-out[n-1].x, p.y-out[n-1].y) < same {
				continue
			}
			if i+1 < len(ps) {
				q := ps[i+1]
				ux, uy := unit(out[n-1], q)
				along := (p.x-out[n-1].x)*ux + (p.y-out[n-1].y)*uy
				off := math.Abs((p.x-out[n-1].x)*uy - (p.y-out[n-1].y)*ux)
				span := math.Hypot(q.x-out[n-1].x, q.y-out[n-1].y)
				if off < flat && along > 0 && along < span && span < longest {
					continue
				}
			}
		}
		out = append(out, p)
	}
	if n := len(out); closed && n > 2 && math.Hypot(out[0].x-out[n-1].x, out[0].y-out[n-1].y) < same {
		out = out[:n-1]
	}
	return out
}
