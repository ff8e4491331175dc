package crosstalk

import (
	"math"
	"sort"

	"github.com/golang/geo/r2"
)

// hull is the convex hull of the body's outline, counter-clockwise. A wall can touch the body only there,
// and sound that creeps along the body from sensor to sensor takes the taut way round it.
type hull struct {
	pts []r2.Point
	// normal[i] is the direction of the outward normal of the edge from pts[i], rad, increasing from normal[0]:
	// pts[i] is the farthest point of the body in every direction from normal[i-1] to normal[i].
	normal []float64
	arc    []float64 // arc[i] is the way along the hull from pts[0] to pts[i], m; the last entry is all round
}

func newHull(pts []r2.Point) *hull {
	n := len(pts)
	h := &hull{pts: pts, normal: make([]float64, n), arc: make([]float64, n+1)}
	for i, p := range pts {
		e := pts[(i+1)%n].Sub(p)
		a := math.Atan2(-e.X, e.Y)
		if i > 0 {
			a = h.normal[i-1] + max(0, wrap(a-h.normal[i-1]))
		}
		h.normal[i] = a
		h.arc[i+1] = h.arc[i] + e.Norm()
	}
	return h
}

// wrap brings an angle into -π..π.
func wrap(a float64) float64 { return math.Remainder(a, 2*math.Pi) }

// round is the way all round the hull, m.
func (h *hull) round() float64 { return h.arc[len(h.pts)] }

// farthest returns the point of the hull farthest in direction psi, rad.
func (h *hull) farthest(psi float64) r2.Point {
	turns := math.Floor((psi - h.normal[0]) / (2 * math.Pi))
	psi -= turns * 2 * math.Pi
	i := sort.SearchFloat64s(h.normal, psi)
	return h.pts[i%len(h.pts)]
}

// way returns the shorter way from a to b round the hull, m: to the hull, along it, and off it again.
// It is never shorter than the straight line.
func (h *hull) way(a, b r2.Point) float64 {
	sa, da := h.nearest(a)
	sb, db := h.nearest(b)
	along := math.Abs(sa - sb)
	along = min(along, h.round()-along)
	return max(da+along+db, b.Sub(a).Norm())
}

// nearest returns where on the hull, as a way from pts[0], the point nearest p lies, and how far away it is.
func (h *hull) nearest(p r2.Point) (s, d float64) {
	d = math.Inf(1)
	for i, a := range h.pts {
		e := h.pts[(i+1)%len(h.pts)].Sub(a)
		t := 0.0
		if len2 := dot(e, e); len2 > 0 {
			t = min(1, max(0, dot(p.Sub(a), e)/len2))
		}
		if q := a.Add(e.Mul(t)).Sub(p).Norm(); q < d {
			s, d = h.arc[i]+t*(h.arc[i+1]-h.arc[i]), q
		}
	}
	return s, d
}

// dot and cross round each product by itself, so that no machine fuses them and decides otherwise.
func dot(a, b r2.Point) float64   { return float64(a.X*b.X) + float64(a.Y*b.Y) }
func cross(a, b r2.Point) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

// sector is a span of directions in which a wall may stand as seen from the body, at most an eighth of a turn.
//
//	      corner                the hull lies inside the wedge of its two tangents,
//	      .'|                   so in any direction between n1 and n2 it reaches no
//	tip1.'  | tip2              farther than the corner and at least as far as tip1 or tip2
//	 .-'    |
type sector struct {
	from, to float64 // directions of the wall's normal, rad
	fan
	tip1, tip2 r2.Point
	corner     r2.Point
	half       *[2]sector // both halves, where made in advance
}

// tie is the angle within which two directions count as one, rad. What it may hide of a reach is far below padM.
const tie = 1e-9

// firstSectors is how many sectors make the whole turn; readyDepth how often each is halved in advance.
const (
	firstSectors = 16
	readyDepth   = 6
)

func (h *hull) sector(from, to float64) sector {
	// Square to an edge both its ends are farthest; the one towards the inside of the sector is meant, on every machine.
	s := sector{from: from, to: to, tip1: h.farthest(from + tie), tip2: h.farthest(to - tie)}
	s.n1, s.n2 = unit(from), unit(to)
	s.corner = s.tip1
	if s.tip1 != s.tip2 {
		// Tangents n1·x = n1·tip1 and n2·x = n2·tip2; going along the first from tip1 by t.
		along := r2.Point{X: -s.n1.Y, Y: s.n1.X}
		t := dot(s.n2, s.tip2.Sub(s.tip1)) / dot(s.n2, along)
		s.corner = s.tip1.Add(along.Mul(max(0, t)))
	}
	return s
}

func unit(a float64) r2.Point {
	sin, cos := math.Sincos(a)
	return r2.Point{X: cos, Y: sin}
}

// halves returns the two halves of s.
func (h *hull) halves(s *sector) *[2]sector {
	if s.half != nil {
		return s.half
	}
	mid := (s.from + s.to) / 2
	return &[2]sector{h.sector(s.from, mid), h.sector(mid, s.to)}
}

// sectors returns the whole turn in sectors, halved in advance so that all pairs of sensors share the work. They are
// counted from a direction fixed to the machine, so that turning or mirroring the whole scene turns or mirrors them.
func (h *hull) sectors(zero float64) []sector {
	all := make([]sector, firstSectors)
	for i := range all {
		const w = 2 * math.Pi / firstSectors
		all[i] = h.sector(zero+float64(i)*w, zero+float64(i+1)*w)
		h.halve(&all[i], readyDepth)
	}
	return all
}

func (h *hull) halve(s *sector, depth int) {
	if depth == 0 {
		return
	}
	s.half = h.halves(s)
	h.halve(&s.half[0], depth-1)
	h.halve(&s.half[1], depth-1)
}

// reach bounds how much farther than p the hull reaches in a direction of s, over all directions of s, m.
func (s *sector) reach(p r2.Point) (least, most float64) {
	least = max(s.least(s.tip1.Sub(p)), s.least(s.tip2.Sub(p)))
	return least, s.most(s.corner.Sub(p))
}
