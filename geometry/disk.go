package geometry

import (
	"cmp"
	"math"
	"slices"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// LargestDisk returns the largest disc that lies inside the region clear with its centre in the region centre (nil:
// anywhere in clear), m. Both are rings read by the even-odd rule that do not cross each other, either way round;
// several outer rings, holes, rings that touch and slivers are fine. Every edge of clear counts as border, one that two rings
// share as well. Where no disc fits, or a
// coordinate is not finite or beyond 1e30 m, the radius is zero.
//
// The radius is within 1e-9 m (1e-13 of the extent if that is more) of the true one and never too large: it is the
// distance from c to the border. The touching edges and corners are solved for, and that nothing larger exists is
// proved as follows. Let f be the distance to the border of clear and T a little more than the best radius known. If
// some admissible centre had f >= T, the set of such centres would have a border, and each point of that border lies
// either on the border of centre or at distance exactly T from an edge or corner of clear. So it is enough to walk
// along the border of centre, then along the line parallel to each edge and the arc about each reflex corner at
// distance T, hopping from blocker to blocker: an edge nearer than T blocks the walk until the walk leaves its
// capsule of radius T. A place nobody blocks is a better centre; from there f is climbed to its local maximum (climb)
// and T raised. The walks are one-dimensional, so corridors and slivers cost no more than round regions.
func LargestDisk(clear, centre [][]r2.Point) (c r2.Point, radius float64) {
	s := newDiskSearch(clear, centre)
	if s == nil {
		return r2.Point{}, 0
	}
	if s.centre != nil {
		s.walkCentre()
	}
	s.sample()
	s.walkBorder()
	return s.best, s.radius
}

// diskSlack is how far the proved bound stands above the radius returned, m; diskShare the same as a share of the extent.
const (
	diskSlack = 1e-10
	diskShare = 1e-14
)

// diskSearch is the state of one search.
type diskSearch struct {
	clear  *segIndex
	centre *segIndex // nil: same as clear
	slack  float64
	best   r2.Point
	radius float64
	recent [4]int // the edges that blocked last, latest first: they often block again
}

func newDiskSearch(clear, centre [][]r2.Point) *diskSearch {
	s := &diskSearch{clear: newSegIndex(clear)}
	if !s.clear.usable() {
		return nil
	}
	if centre != nil {
		if s.centre = newSegIndex(centre); !s.centre.usable() {
			return nil
		}
	}
	s.turnInward()
	s.slack = max(diskSlack, diskShare*s.clear.bounds().reach())
	s.best = s.clear.a[0]
	return s
}

// turnInward reverses the rings that have the outside on their left: the walks keep to the left of the edges.
func (s *diskSearch) turnInward() {
	var wrong []int
	for k := range len(s.clear.ring) - 1 {
		if p, ok := s.acrossFrom(s.clear.longest(k)); !ok || !s.clear.contains(p) {
			wrong = append(wrong, k)
		}
	}
	for _, k := range wrong {
		s.clear.reverse(k)
	}
	if len(wrong) > 0 {
		s.clear.fillBoxes()
	}
}

// level is T: more than the best radius known.
func (s *diskSearch) level() float64 { return s.radius + s.slack }

// patience is how many boxes a walk looks at for a better blocker once it has one.
const patience = 48

// hop moves along the walk out of the capsule of an edge that keeps a disc clearly below the level; ok is false where
// no edge does. The quarter of the slack left over makes sure that a hop always gets ahead.
func (s *diskSearch) hop(w walker, at float64) (beyond float64, ok bool) {
	p, limit := w.place(at), s.level()-s.slack/4
	beyond = at
	for _, edge := range s.recent {
		if s.clear.distance2(edge, p) < limit*limit {
			beyond, ok = max(beyond, w.exit(at, s.clear.a[edge], s.clear.b[edge], s.level())), true
		}
	}
	if ok {
		return beyond, true
	}
	edge, _ := s.clear.near(p, limit, patience)
	if edge < 0 {
		return at, false
	}
	copy(s.recent[1:], s.recent[:])
	s.recent[0] = edge
	return w.exit(at, s.clear.a[edge], s.clear.b[edge], s.level()), true
}

// improve takes p as the best centre if it is.
func (s *diskSearch) improve(p r2.Point, radius float64) {
	if radius > s.radius {
		s.best, s.radius = p, radius
	}
}

// walkCentre finds the best centre on the border of centre; afterwards every set of better centres lies wholly
// inside or wholly outside centre, and a climb from inside cannot leave it.
func (s *diskSearch) walkCentre() {
	for i, a := range s.centre.a {
		b := s.centre.b[i]
		if s.centre.clearOf(a, b, s.clear.bounds()) {
			continue
		}
		w := newStraight(a, b)
		for at := 0.0; at <= w.length; {
			beyond, blocked := s.hop(w, at)
			if p := w.place(at); blocked {
				at = beyond
			} else if s.clear.contains(p) {
				s.improve(s.climb(p, w.walls(), nil))
			} else {
				at = w.ahead(s, at)
			}
		}
	}
}

// clearOf reports whether edge ab stays out of the box.
func (x *segIndex) clearOf(a, b r2.Point, box r2box) bool {
	return !emptyBox.add(a).add(b).meets(box)
}

// sampledStarts is how many edges are tried for a good first radius.
const sampledStarts = 48

// sample climbs from half-way across the region at evenly spaced edges, the widest place first, so that the proof
// starts with a good level.
func (s *diskSearch) sample() {
	type start struct {
		p r2.Point
		f float64
	}
	var starts []start
	n := len(s.clear.a)
	steps := min(n, sampledStarts)
	for k := range steps {
		if p, ok := s.acrossFrom(k * n / steps); ok && s.admits(p) {
			_, f := s.clear.nearest(p)
			starts = append(starts, start{p, f})
		}
	}
	slices.SortStableFunc(starts, func(a, b start) int { return cmp.Compare(b.f, a.f) })
	for _, from := range starts {
		if from.f > s.level() {
			s.improve(s.climb(from.p, s.boxWalls(), s.centre))
		}
	}
}

// acrossFrom is the place half-way from the middle of edge i to what lies opposite on its left.
func (s *diskSearch) acrossFrom(i int) (r2.Point, bool) {
	a, b := s.clear.a[i], s.clear.b[i]
	m := a.Add(b).Mul(0.5)
	box := s.clear.bounds()
	far := predicate.Move(m, b.Sub(a).Ortho().Normalize(), 2*(box.hiX-box.loX+box.hiY-box.loY))
	edge, t := s.clear.firstHit(m, far, i)
	if edge < 0 {
		return m, false
	}
	return predicate.Move(m, far.Sub(m), t/2), true
}

// admits reports whether p may be a centre.
func (s *diskSearch) admits(p r2.Point) bool {
	return s.clear.contains(p) && (s.centre == nil || s.centre.contains(p))
}

// walkBorder goes round and round the edges and corners of clear until one whole round brought nothing better.
func (s *diskSearch) walkBorder() {
	n := len(s.clear.a)
	for clean, i := 0, 0; clean < n; i++ {
		before := s.radius
		s.walk(s.parallelTo(i % n))
		if arc, ok := s.arcAfter(i % n); ok {
			s.walk(arc)
		}
		clean++
		if s.radius > before {
			clean = 0
		}
	}
}

// walk goes along a curve at the level until it is blocked to its end or has found a better centre.
func (s *diskSearch) walk(w walker) {
	if s.centre != nil && !w.box().meets(s.centre.bounds()) {
		return
	}
	for at := 0.0; at <= w.end(); {
		beyond, blocked := s.hop(w, at)
		if p := w.place(at); blocked {
			at = beyond
		} else if s.admits(p) {
			s.improve(s.climb(p, s.boxWalls(), s.centre))
			return
		} else {
			at = w.ahead(s, at)
		}
	}
}

// keeper returns the border that must be crossed before a place that is no centre can become one.
func (s *diskSearch) keeper(p r2.Point) *segIndex {
	if s.clear.contains(p) {
		return s.centre
	}
	return s.clear
}

// parallelTo is the line at the level to the left of edge i.
func (s *diskSearch) parallelTo(i int) *straight {
	a, b := s.clear.a[i], s.clear.b[i]
	n := b.Sub(a).Ortho().Normalize().Mul(s.level())
	return newStraight(a.Add(n), b.Add(n))
}

// arcAfter is the arc at the level about the end of edge i, where the ring turns right.
func (s *diskSearch) arcAfter(i int) (*arc, bool) {
	v, j := s.clear.b[i], s.clear.next[i]
	if predicate.Orient(s.clear.a[i], v, s.clear.b[j]) >= 0 && !s.foldsBack(i, j) {
		return nil, false
	}
	u, w := v.Sub(s.clear.a[i]), s.clear.b[j].Sub(v)
	turn := -math.Abs(math.Atan2(predicate.Cross(u, w), predicate.Dot(u, w)))
	return &arc{centre: v, radius: s.level(), from: math.Atan2(w.X, -w.Y), turn: -turn}, true
}

// foldsBack reports whether edge j runs straight back over edge i.
func (s *diskSearch) foldsBack(i, j int) bool {
	return predicate.Orient(s.clear.a[i], s.clear.b[i], s.clear.b[j]) == 0 &&
		predicate.Dot(s.clear.b[i].Sub(s.clear.a[i]), s.clear.b[j].Sub(s.clear.b[i])) < 0
}
