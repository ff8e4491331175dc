package draw

import "math"

// fill paints rings by the even-odd rule. Smooth says that the edge itself must be smooth; a fill whose edge
// is covered by its own stroke need not be.
func (m *mesh) fill(rings [][]point, c colour, smooth bool) {
	pieces, hands := sweep(rings, evenOdd)
	if !smooth {
		m.pieces(pieces, c)
		return
	}
	inner, outer, ok := halfPixel(rings, hands)
	if !ok {
		m.pieces(pieces, c)
		return
	}
	// A narrow part turns inside out when its edges move inwards; what is wound the wrong way then is not filled.
	pieces, _ = sweep(inner, positive)
	m.pieces(pieces, c)
	for r := range inner {
		n := len(inner[r])
		first := uint32(len(m.vertices))
		for i := range n {
			m.corner(inner[r][i], c, 0, 1)
			m.corner(outer[r][i], c, 1, 1)
		}
		for i := range n {
			a, b := first+uint32(2*i), first+uint32(2*((i+1)%n))
			m.quad(a, a+1, b+1, b)
		}
	}
}

func (m *mesh) pieces(ts []trapezoid, c colour) {
	for _, t := range ts {
		a, b := m.corner(point{t.lt, t.top}, c, 0, 1), m.corner(point{t.rt, t.top}, c, 0, 1)
		d, e := m.corner(point{t.rb, t.bottom}, c, 0, 1), m.corner(point{t.lb, t.bottom}, c, 0, 1)
		m.quad(a, b, d, e)
	}
}

// sharpest is how far a corner may be moved, in times the distance its sides are moved.
const sharpest = 4

// halfPixel moves the sides of rings half a pixel towards the fill and half a pixel away from it. Inner rings
// are turned so that their winding inside is positive. It fails where the sweep could not say which hand is which.
func halfPixel(rings [][]point, hands [][]sided) (inner, outer [][]point, ok bool) {
	for r, ring := range rings {
		n := len(ring)
		if n < 3 {
			continue
		}
		hand := 0.0 // 1: the fill is at the right hand of one who walks the ring on the screen, −1: at the left
		for i, p := range ring {
			q := ring[(i+1)%n]
			h := 0.0
			switch hands[r][i] {
			case muddled:
				return nil, nil, false
			case fillRight:
				h = 1
			case fillLeft:
				h = -1
			case unseen: // level
				continue
			}
			if q.y > p.y {
				h = -h
			}
			if hand != 0 && h != hand {
				return nil, nil, false
			}
			hand = h
		}
		if hand == 0 {
			continue
		}
		in, out := make([]point, n), make([]point, n)
		for i, p := range ring {
			d := corner(ring[(i+n-1)%n], p, ring[(i+1)%n], 0.5*hand)
			in[i], out[i] = point{p.x + d.x, p.y + d.y}, point{p.x - d.x, p.y - d.y}
		}
		if hand > 0 { // a ring that walks up along its filled side winds −1 inside
			reverse(in)
			reverse(out)
		}
		inner, outer = append(inner, in), append(outer, out)
	}
	return inner, outer, true
}

func reverse(ps []point) {
	for i, j := 0, len(ps)-1; i < j; i, j = i+1, j-1 {
		ps[i], ps[j] = ps[j], ps[i]
	}
}

// corner is the way from p to where the sides a–p and p–b meet when both are moved to their right hand (as
// seen on the screen, y down) by d.
func corner(a, p, b point, d float64) point {
	ux, uy := unit(a, p)
	vx, vy := unit(p, b)
	// right hand normals, y down
	nx, ny := -uy-vy, ux+vx
	if l := nx*nx + ny*ny; l > 4/(sharpest*sharpest) {
		k := 2 * d / l
		return point{nx * k, ny * k}
	}
	l := math.Hypot(nx, ny)
	if l < 1e-9 { // turns back on itself
		return point{-uy * d, ux * d}
	}
	return point{nx / l * d * sharpest, ny / l * d * sharpest}
}

func unit(a, b point) (x, y float64) {
	x, y = b.x-a.x, b.y-a.y
	if l := math.Hypot(x, y); l > 0 {
		return x / l, y / l
	}
	return 0, 0
}
