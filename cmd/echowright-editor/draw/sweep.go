package draw

import (
	"cmp"
	"math"
	"slices"
)

// point is a place in pixels, y down.
type point struct{ x, y float64 }

// trapezoid is a piece of a filled shape between two heights.
//
//	  lt ───── rt     top
//	 /           \
//	lb ────────── rb  bottom
type trapezoid struct{ top, bottom, lt, rt, lb, rb float64 }

// rule tells from the winding number whether a place is inside.
type rule func(winding int) bool

func evenOdd(w int) bool  { return w&1 != 0 }
func positive(w int) bool { return w > 0 }

// edge is a side of a ring that is not level, from its upper end down.
type edge struct {
	top, bottom point
	down        int // 1 when the ring runs down along it, −1 when up
	ring, side  int // where it comes from
}

func (e *edge) at(y float64) float64 {
	switch {
	case y <= e.top.y:
		return e.top.x
	case y >= e.bottom.y:
		return e.bottom.x
	}
	return e.top.x + (e.bottom.x-e.top.x)*(y-e.top.y)/(e.bottom.y-e.top.y)
}

// sided is what lies beside a side of a ring along its whole length.
type sided uint8

const (
	unseen    sided = iota
	fillRight       // the filled side is towards greater x
	fillLeft
	muddled // neither, both, or it changes on the way: rings cross or lie on each other
)

// sweep cuts rings into trapezoids that fill exactly what the rule says is inside, whatever the rings do:
// concave, with holes, touching, crossing, lying on each other, points repeated. It also tells for each side
// of each ring on which hand the filled part lies.
//
// A level line is swept down over the ends of the sides and the places where they cross. Between two such
// heights the order of the sides stays the same, so the filled parts between them are trapezoids; one is kept
// open as long as the same two sides bound it.
func sweep(rings [][]point, inside rule) ([]trapezoid, [][]sided) {
	n := 0
	for _, ring := range rings {
		n += len(ring)
	}
	s := &sweeper{inside: inside, edges: make([]edge, 0, n), levels: make([]float64, 0, 2*n), out: make([]trapezoid, 0, n)}
	for r, ring := range rings {
		s.hands = append(s.hands, make([]sided, len(ring)))
		for i, p := range ring {
			s.side(r, i, p, ring[(i+1)%len(ring)])
		}
	}
	slices.SortFunc(s.edges, func(a, b edge) int { return cmp.Compare(a.top.y, b.top.y) })
	slices.Sort(s.levels)
	s.levels = slices.Compact(s.levels)
	s.run()
	return s.out, s.hands
}

type sweeper struct {
	inside rule
	edges  []edge
	levels []float64
	active []*edge
	open   []span
	next   []span
	out    []trapezoid
	hands  [][]sided
}

// span is a filled part of the current strip: the sides that bound it and where its trapezoid began.
type span struct {
	left, right *edge
	top         float64
}

func (s *sweeper) side(ring, side int, p, q point) {
	if p.y == q.y {
		return
	}
	e := edge{p, q, 1, ring, side}
	if p.y > q.y {
		e = edge{q, p, -1, ring, side}
	}
	s.edges = append(s.edges, e)
	s.levels = append(s.levels, p.y, q.y)
}

func (s *sweeper) run() {
	next := 0
	for k := 0; k+1 < len(s.levels); k++ {
		y, end := s.levels[k], s.levels[k+1]
		s.active = slices.DeleteFunc(s.active, func(e *edge) bool { return e.bottom.y <= y })
		for ; next < len(s.edges) && s.edges[next].top.y <= y; next++ {
			s.active = append(s.active, &s.edges[next])
		}
		for y < end {
			until := s.order(y, end)
			s.strip(y)
			y = until
		}
	}
	if n := len(s.levels); n > 0 {
		s.next = s.next[:0]
		s.close(s.levels[n-1])
	}
}

// nearly is a length in pixels that no pixel tells from nothing.
const nearly = 1e-6

// order sorts the sides from left to right just below y and returns how far down that order holds, at most end.
func (s *sweeper) order(y, end float64) float64 {
	below := math.Min(end, y+nearly*2)
	slices.SortStableFunc(s.active, func(a, b *edge) int {
		if xa, xb := a.at(y), b.at(y); math.Abs(xa-xb) > nearly {
			return cmp.Compare(xa, xb)
		}
		return cmp.Compare(slope(a), slope(b))
	})
	for i := 1; i < len(s.active); i++ {
		a, b := s.active[i-1], s.active[i]
		da, db := b.at(y)-a.at(y), b.at(end)-a.at(end)
		if da > nearly && db < -nearly {
			end = math.Min(end, math.Max(below, y+(end-y)*da/(da-db)))
		}
	}
	return end
}

func slope(e *edge) float64 { return (e.bottom.x - e.top.x) / (e.bottom.y - e.top.y) }

// strip finds the filled spans below y, goes on with those that go on, and closes the others.
func (s *sweeper) strip(y float64) {
	s.next = s.next[:0]
	winding := 0
	var left *edge
	for _, e := range s.active {
		was := s.inside(winding)
		winding += e.down
		is := s.inside(winding)
		switch {
		case is && !was:
			left = e
			s.mark(e, fillRight)
		case was && !is:
			s.next = append(s.next, span{left, e, y})
			s.mark(e, fillLeft)
		default:
			s.mark(e, muddled)
		}
	}
	s.close(y)
	s.open = append(s.open[:0], s.next...)
}

func (s *sweeper) mark(e *edge, h sided) {
	if have := &s.hands[e.ring][e.side]; *have == unseen {
		*have = h
	} else if *have != h {
		*have = muddled
	}
}

// close sets down the open spans that do not go on below y; those that do keep where they began.
func (s *sweeper) close(y float64) {
	j := 0
	for _, o := range s.open {
		k := j
		for k < len(s.next) && (s.next[k].left != o.left || s.next[k].right != o.right) {
			k++
		}
		if k < len(s.next) {
			s.next[k].top, j = o.top, k+1
			continue
		}
		t := trapezoid{o.top, y, o.left.at(o.top), o.right.at(o.top), o.left.at(y), o.right.at(y)}
		if y > o.top && (t.rt-t.lt > nearly || t.rb-t.lb > nearly) {
			s.out = append(s.out, t)
		}
	}
}
