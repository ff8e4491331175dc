package geometry

import (
	"math"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// plane is the half-space x·dx + y·dy + r·radius + c >= 0 of a move (dx, dy) and the radius after it.
type plane struct{ x, y, r, c float64 }

func (h plane) at(z [3]float64) float64 {
	return float64(h.x*z[0]) + float64(h.y*z[1]) + float64(h.r*z[2]) + h.c
}

// shifted is a wall seen from p: walls are given for places, planes hold for moves.
func (h plane) shifted(p r2.Point) plane {
	h.c += float64(h.x*p.X) + float64(h.y*p.Y)
	return h
}

// boxWalls keep a climb within the bounds of clear.
func (s *diskSearch) boxWalls() []plane {
	b := s.clear.bounds()
	return []plane{{1, 0, 0, -b.loX}, {-1, 0, 0, b.hiX}, {0, 1, 0, -b.loY}, {0, -1, 0, b.hiY}}
}

// maxClimb bounds the steps of a climb and the planes of a step; both are seldom above ten.
const (
	maxClimb  = 200
	maxPlanes = 60
)

// climb raises the distance f to the border from p to a local maximum within the walls and returns it. The distance to
// one edge is convex in the place, so its tangent at p is a lower bound everywhere: the best move against the tangents
// of all edges never lowers f, and near a place touched by three edges or corners it is Newton's, which doubles the
// digits with every step. Edges are taken up only when they prove to matter; so a move may pass close by one that does
// not matter at its end, and could cross the border of stay (nil: none) there: it is then cut short.
func (s *diskSearch) climb(p r2.Point, walls []plane, stay *segIndex) (r2.Point, float64) {
	edge, f := s.clear.nearest(p)
	active := []int{edge}
	for range maxClimb {
		q, g, touched := s.climbStep(p, f, walls, active)
		for stay != nil && g > f && stay.meets(p, q) {
			q = middle(p, q)
			_, g = s.clear.nearest(q)
		}
		if g <= f {
			break
		}
		gain := g - f
		p, f, active = q, g, touched
		if gain < s.slack/1000 {
			break
		}
	}
	return p, f
}

// climbStep makes one move. It returns the new place, its distance to the border and the edges that decided.
func (s *diskSearch) climbStep(p r2.Point, f float64, walls []plane, start []int) (r2.Point, float64, []int) {
	planes := make([]plane, 0, maxPlanes)
	for _, w := range walls {
		planes = append(planes, w.shifted(p))
	}
	edges := make([]int, 0, maxPlanes)
	var z [3]float64
	take := func(edge int) bool {
		_, d, away := s.clear.touch(edge, p)
		planes = append(planes, plane{away.X, away.Y, -1, d})
		edges = append(edges, edge)
		if len(edges) > 1 && planes[len(planes)-1].at(z) >= 0 {
			return true
		}
		var ok bool
		z, ok = highest(planes, s.slack/100)
		return ok
	}
	for _, e := range start {
		if !take(e) {
			return p, f, start
		}
	}
	for len(planes) < maxPlanes {
		q := p.Add(r2.Point{X: z[0], Y: z[1]})
		edge, _ := s.clear.firstHit(p, q, -1)
		g := 0.0
		if edge < 0 {
			if edge, g = s.clear.nearest(q); g >= z[2] {
				return q, g, decisive(planes[len(walls):], edges, z, s.slack)
			}
		}
		if known(edges, edge) {
			return q, g, edges // rounding: the caller keeps it only if it is better
		}
		if !take(edge) {
			return p, f, start
		}
	}
	return p, f, start
}

func known(edges []int, edge int) bool {
	for _, e := range edges {
		if e == edge {
			return true
		}
	}
	return false
}

// decisive returns the edges whose planes hold the move.
func decisive(planes []plane, edges []int, z [3]float64, slack float64) []int {
	var out []int
	for i, h := range planes {
		if math.Abs(h.at(z)) <= slack {
			out = append(out, edges[i])
		}
	}
	return out
}

// highest returns the point of greatest radius in all half-spaces, one that lies on the last of them (Seidel: a plane
// newly added that cuts off the old optimum carries the new one) and on two more.
func highest(planes []plane, tolerance float64) (best [3]float64, ok bool) {
	last := planes[len(planes)-1]
	best[2] = math.Inf(-1)
	for i := range len(planes) - 1 {
		for j := range i {
			z, regular := meet3(last, planes[i], planes[j])
			if regular && z[2] > best[2] && holds(planes, z, tolerance) {
				best, ok = z, true
			}
		}
	}
	return best, ok
}

func holds(planes []plane, z [3]float64, tolerance float64) bool {
	for _, h := range planes {
		if h.at(z) < -tolerance {
			return false
		}
	}
	return true
}

// meet3 solves for the point on three planes by elimination with pivoting, whose residual stays small however
// flat the planes meet.
func meet3(a, b, c plane) (z [3]float64, ok bool) {
	m := [3][4]float64{{a.x, a.y, a.r, -a.c}, {b.x, b.y, b.r, -b.c}, {c.x, c.y, c.r, -c.c}}
	for k := range 3 {
		pivot := k
		for i := k + 1; i < 3; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[pivot][k]) {
				pivot = i
			}
		}
		if m[pivot][k] == 0 {
			return z, false
		}
		m[k], m[pivot] = m[pivot], m[k]
		for i := k + 1; i < 3; i++ {
			share := m[i][k] / m[k][k]
			for j := k; j < 4; j++ {
				m[i][j] -= float64(share * m[k][j])
			}
		}
	}
	z[2] = m[2][3] / m[2][2]
	z[1] = (m[1][3] - float64(m[1][2]*z[2])) / m[1][1]
	z[0] = (m[0][3] - predicate.Dot(r2.Point{X: m[0][1], Y: m[0][2]}, r2.Point{X: z[1], Y: z[2]})) / m[0][0]
	return z, !math.IsNaN(z[0]+z[1]+z[2]) && !math.IsInf(z[0]+z[1]+z[2], 0)
}
