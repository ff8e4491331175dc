package geometry

import (
	"math"
	"slices"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// segIndex answers nearness questions about the edges of some rings. Edges keep the order of their rings, which
// runs along curves and so is a good order in space: a binary tree of boxes over it needs no sorting.
type segIndex struct {
	a, b []r2.Point // ends of each edge
	next []int      // the edge that follows in the same ring
	ring []int      // first edge of each ring, and the number of edges at the end
	box  []r2box    // heap order: children of k are 2k and 2k+1; leaves hold leafSize edges each
	leaf int        // index of the first leaf in box
}

type r2box struct{ loX, loY, hiX, hiY float64 }

const leafSize = 4

var emptyBox = r2box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

func (b r2box) add(p r2.Point) r2box {
	return r2box{min(b.loX, p.X), min(b.loY, p.Y), max(b.hiX, p.X), max(b.hiY, p.Y)}
}

func (b r2box) join(c r2box) r2box {
	return r2box{min(b.loX, c.loX), min(b.loY, c.loY), max(b.hiX, c.hiX), max(b.hiY, c.hiY)}
}

// reach is the largest coordinate, whatever its sign; NaN if any is.
func (b r2box) reach() float64 { return max(-b.loX, b.hiX, -b.loY, b.hiY) }

// distance2 is the squared distance from p to the box.
func (b r2box) distance2(p r2.Point) float64 {
	dx := max(b.loX-p.X, 0, p.X-b.hiX)
	dy := max(b.loY-p.Y, 0, p.Y-b.hiY)
	return float64(dx*dx) + float64(dy*dy)
}

func (b r2box) meets(c r2box) bool {
	return b.loX <= c.hiX && c.loX <= b.hiX && b.loY <= c.hiY && c.loY <= b.hiY
}

// besideLine reports whether the box lies clearly on one side of the line through p along u.
func (b r2box) besideLine(p, u r2.Point) bool {
	v := r2.Point{X: (b.loX+b.hiX)/2 - p.X, Y: (b.loY+b.hiY)/2 - p.Y}
	dx, dy := (b.hiX-b.loX)/2, (b.hiY-b.loY)/2
	ux, uy := math.Abs(u.X), math.Abs(u.Y)
	const rounding = 1e-12 // thousands of times what the products lose
	reach := dx*uy + dy*ux + rounding*(ux+uy)*(math.Abs(v.X)+math.Abs(v.Y)+dx+dy)
	return math.Abs(predicate.Cross(u, v)) > reach
}

func newSegIndex(rings [][]r2.Point) *segIndex {
	x := &segIndex{ring: []int{0}}
	for _, r := range rings {
		r = withoutRepeats(r)
		if len(r) < 2 {
			continue
		}
		first := len(x.a)
		for i, p := range r {
			x.a, x.b = append(x.a, p), append(x.b, r[next(r, i)])
			x.next = append(x.next, first+next(r, i))
		}
		x.ring = append(x.ring, len(x.a))
	}
	x.leaf = 1
	for x.leaf*leafSize < len(x.a) {
		x.leaf *= 2
	}
	x.box = make([]r2box, 2*x.leaf)
	x.fillBoxes()
	return x
}

func (x *segIndex) fillBoxes() {
	for k := range x.box {
		x.box[k] = emptyBox
	}
	for i, p := range x.a {
		k := x.leaf + i/leafSize
		x.box[k] = x.box[k].add(p).add(x.b[i])
	}
	for k := x.leaf - 1; k >= 1; k-- {
		x.box[k] = x.box[2*k].join(x.box[2*k+1])
	}
}

// reverse runs ring k the other way; fillBoxes must follow.
func (x *segIndex) reverse(k int) {
	from, to := x.ring[k], x.ring[k+1]
	slices.Reverse(x.a[from:to])
	slices.Reverse(x.b[from:to])
	for i := from; i < to; i++ {
		x.a[i], x.b[i] = x.b[i], x.a[i]
	}
}

// longest returns the longest edge of ring k.
func (x *segIndex) longest(k int) int {
	best, size := -1, -1.0
	for i := x.ring[k]; i < x.ring[k+1]; i++ {
		if d := x.b[i].Sub(x.a[i]); predicate.Dot(d, d) > size {
			best, size = i, predicate.Dot(d, d)
		}
	}
	return best
}

// bounds is the box round all edges.
func (x *segIndex) bounds() r2box { return x.box[1] }

// usable reports whether there are edges and their coordinates lie in the range that plain arithmetic serves.
func (x *segIndex) usable() bool { return len(x.a) > 0 && x.bounds().reach() < 1e30 }

// edges returns the range of edges in leaf node k.
func (x *segIndex) edges(k int) (from, to int) {
	from = (k - x.leaf) * leafSize
	return from, min(from+leafSize, len(x.a))
}

// touch returns the place of edge i nearest to p, its distance, and the direction in which that distance grows
// fastest. Inside the edge's own strip the edge's normal is used, which keeps its digits however small the distance.
func (x *segIndex) touch(i int, p r2.Point) (q r2.Point, dist float64, away r2.Point) {
	a, u := x.a[i], x.b[i].Sub(x.a[i])
	v := p.Sub(a)
	along, length2 := predicate.Dot(v, u), predicate.Dot(u, u)
	if along > 0 && along < length2 {
		length := math.Sqrt(length2)
		q, dist = predicate.Move(a, u, along/length2), predicate.Cross(u, v)/length
		away = r2.Point{X: -u.Y / length, Y: u.X / length}
		if dist < 0 {
			dist, away = -dist, away.Mul(-1)
		}
		return q, dist, away
	}
	q = a
	if along > 0 {
		q = x.b[i]
	}
	w := p.Sub(q)
	dist = w.Norm()
	if dist > 0 {
		away = w.Mul(1 / dist)
	}
	return q, dist, away
}

// distance2 is the squared distance from p to edge i.
func (x *segIndex) distance2(i int, p r2.Point) float64 {
	u, v := x.b[i].Sub(x.a[i]), p.Sub(x.a[i])
	along, length2 := predicate.Dot(v, u), predicate.Dot(u, u)
	switch {
	case along <= 0:
	case along >= length2:
		v = p.Sub(x.b[i])
	default:
		c := predicate.Cross(u, v)
		return c * c / length2
	}
	return predicate.Dot(v, v)
}

// nearest returns the edge nearest to p and its distance; -1 and +Inf if there is none.
func (x *segIndex) nearest(p r2.Point) (edge int, dist float64) {
	return x.near(p, math.Inf(1), math.MaxInt)
}

// near returns an edge nearer to p than limit, or -1 if there is none. Once it has one it looks at no more than
// patience further boxes for a nearer one: where very many edges are equally near, any will do.
func (x *segIndex) near(p r2.Point, limit float64, patience int) (edge int, dist float64) {
	edge = -1
	best := limit * limit
	var stack [64]int
	stack[0] = 1
	for top := 1; top > 0; {
		if edge >= 0 {
			if patience == 0 {
				break
			}
			patience--
		}
		top--
		k := stack[top]
		if x.box[k].distance2(p) >= best {
			continue
		}
		if k >= x.leaf {
			from, to := x.edges(k)
			for i := from; i < to; i++ {
				if d := x.distance2(i, p); d < best {
					edge, best = i, d
				}
			}
			continue
		}
		near, far := 2*k, 2*k+1
		if x.box[far].distance2(p) < x.box[near].distance2(p) {
			near, far = far, near
		}
		stack[top], stack[top+1] = far, near
		top += 2
	}
	if edge < 0 {
		return -1, limit
	}
	return edge, math.Sqrt(best)
}

// visit calls edge for every edge of every leaf whose box, and those above it, may hold what is looked for.
func (x *segIndex) visit(may func(b *r2box) bool, edge func(i int)) {
	var stack [64]int
	stack[0] = 1
	for top := 1; top > 0; {
		top--
		k := stack[top]
		if !may(&x.box[k]) {
			continue
		}
		if k < x.leaf {
			stack[top], stack[top+1] = 2*k, 2*k+1
			top += 2
			continue
		}
		from, to := x.edges(k)
		for i := from; i < to; i++ {
			edge(i)
		}
	}
}

// contains is the even-odd rule over all rings.
func (x *segIndex) contains(p r2.Point) bool {
	odd := false
	x.visit(func(b *r2box) bool { return b.hiX >= p.X && b.loY <= p.Y && p.Y <= b.hiY }, func(i int) {
		if crossesRightOf(x.a[i], x.b[i], p) {
			odd = !odd
		}
	})
	return odd
}

// firstHit returns the edge that the segment from p to q meets first and how far along, 0..1; -1 if none.
// Edge skip is passed over.
func (x *segIndex) firstHit(p, q r2.Point, skip int) (edge int, t float64) {
	edge, t = -1, 1
	u, path := q.Sub(p), emptyBox.add(p).add(q)
	x.visit(func(b *r2box) bool { return b.meets(path) && !b.besideLine(p, u) }, func(i int) {
		if i == skip || !predicate.Meets(p, q, x.a[i], x.b[i]) {
			return
		}
		if at := alongTo(p, q, x.a[i], x.b[i]); edge < 0 || at < t {
			edge, t = i, at
		}
	})
	return edge, t
}

// meets reports whether the segment from p to q meets any edge.
func (x *segIndex) meets(p, q r2.Point) bool {
	edge, _ := x.firstHit(p, q, -1)
	return edge >= 0
}

// alongTo is where the segment pq meets ab, as a share of its length.
func alongTo(p, q, a, b r2.Point) float64 {
	u, m := q.Sub(p), meetingPoint(p, q, a, b)
	return max(0, min(predicate.Dot(m.Sub(p), u)/predicate.Dot(u, u), 1))
}
