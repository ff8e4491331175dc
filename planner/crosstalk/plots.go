package crosstalk

import (
	"math"
	"sync/atomic"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// plot is a rectangle of places of a target, its sides along and square to a direction fixed to the machine.
type plot struct {
	at     r2.Point // middle
	half   r2.Point // half its sides, m
	radius float64  // half its diagonal, m
	zone   [][]r2.Point
	depth  int
	stands bool // the target may stand in the middle
	// kids are its halves once they are worked out, for all pairs of sensors; those in which the target can stand nowhere are nil.
	kids atomic.Pointer[[2]*plot]
}

// plots is all places at which one target must be seen, and the target.
type plots struct {
	target scene.Target
	zones  [][][]r2.Point
	body   []r2.Point
	around r2.Rect // the body
	ahead  r2.Point
	roots  []*plot
}

const (
	plotDepth  = 13    // halves of plots halved so often are not kept, so that memory is bounded
	leastPlotM = 0.004 // smallest radius of a plot that is halved
)

// plotTargets lists the targets of all zones in the order of the scene's targets. ahead is a direction fixed to the machine.
func plotTargets(sc *scene.Scene, ahead r2.Point) []*plots {
	var list []*plots
	for t, target := range sc.Targets {
		p := &plots{target: target, body: sc.Body.Outline, around: r2.RectFromPoints(sc.Body.Outline...), ahead: ahead}
		for _, z := range sc.Zones {
			if z.Target == t && len(z.Rings) > 0 {
				p.zones = append(p.zones, z.Rings)
			}
		}
		for _, z := range p.zones {
			p.roots = append(p.roots, p.root(z))
		}
		if len(p.roots) > 0 {
			list = append(list, p)
		}
	}
	return list
}

// root is the smallest plot that holds a zone.
func (p *plots) root(zone [][]r2.Point) *plot {
	lo, hi := r2.Point{X: math.Inf(1), Y: math.Inf(1)}, r2.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, ring := range zone {
		for _, q := range ring {
			x, y := dot(p.ahead, q), cross(p.ahead, q)
			lo.X, lo.Y, hi.X, hi.Y = min(lo.X, x), min(lo.Y, y), max(hi.X, x), max(hi.Y, y)
		}
	}
	mid, half := lo.Add(hi).Mul(0.5), hi.Sub(lo).Mul(0.5)
	at := r2.Point{X: p.ahead.X*mid.X - p.ahead.Y*mid.Y, Y: p.ahead.Y*mid.X + p.ahead.X*mid.Y}
	return &plot{at: at, half: half, radius: half.Norm(), zone: zone, stands: p.allowed(at)}
}

// halves are those of q across its longer side.
func (p *plots) halves(q *plot) *[2]*plot {
	if kids := q.kids.Load(); kids != nil {
		return kids
	}
	half, step := q.half, p.ahead
	if half.X >= half.Y {
		half.X /= 2
		step = step.Mul(half.X)
	} else {
		half.Y /= 2
		step = r2.Point{X: -step.Y, Y: step.X}.Mul(half.Y)
	}
	var kids [2]*plot
	for k, at := range [2]r2.Point{q.at.Sub(step), q.at.Add(step)} {
		if kid := (&plot{at: at, half: half, radius: half.Norm(), zone: q.zone, depth: q.depth + 1}); !p.empty(kid) {
			kid.stands = p.allowed(at)
			kids[k] = kid
		}
	}
	if q.depth < plotDepth {
		q.kids.Store(&kids) // whoever is first: all work out the same
	}
	return &kids
}

// empty reports whether no place of q is in the zone and outside the body.
func (p *plots) empty(q *plot) bool {
	if geometry.Contains(p.body, q.at) && geometry.Distance(p.body, q.at) > q.radius {
		return true
	}
	if inZone(q.zone, q.at) {
		return false
	}
	for _, ring := range q.zone {
		if geometry.Distance(ring, q.at) <= q.radius {
			return false
		}
	}
	return true
}

func inZone(zone [][]r2.Point, at r2.Point) bool {
	in := false
	for _, ring := range zone {
		if geometry.Contains(ring, at) {
			in = !in
		}
	}
	return in
}

// allowed reports whether the target may stand there.
func (p *plots) allowed(at r2.Point) bool {
	if p.around.ContainsPoint(at) && geometry.Contains(p.body, at) {
		return false
	}
	for _, z := range p.zones {
		if inZone(z, at) {
			return true
		}
	}
	return false
}

// first puts a box for every zone and way of answering into the list.
func (p *plots) first(modes []mode, into []box) []box {
	for m := range modes {
		for _, r := range p.roots {
			into = append(into, box{plot: r, mode: int8(m)})
		}
	}
	return into
}

// halve splits the places of b.
func (p *plots) halve(b *box) (one, two box, ok bool) {
	if b.plot.radius < leastPlotM {
		return one, two, false
	}
	kids := p.halves(b.plot)
	one, two = box{plot: kids[0], mode: b.mode}, box{plot: kids[1], mode: b.mode}
	return one, two, true
}

// mode is one way a target, or part, can answer: climb is how much sound climbs on its whole way, out and in as seen from
// either end.
type mode struct {
	out, in float64 // m
	loss    float64 // dB
	byOther bool    // turns of a flat target count from the sender
}

// onGroundM is how far above the ground an upright face may begin and still make a corner with it, as in package acoustics.
const onGroundM = 0.005

// modes lists how an upright face of these heights answers a link: straight where it reaches a height between those of the
// sensors, and through its corner with the ground, as if the listener were under it, where one of them looks down on it.
func (l *link) modes(height scene.Span, loss float64, g scene.Ground) (list []mode) {
	zi, zj := l.from.height, l.to.height
	if height.Lo <= max(zi, zj) && min(zi, zj) <= height.Hi {
		list = append(list, mode{out: l.rise, in: -l.rise, loss: loss})
	}
	if corner, ok := acoustics.CornerLossDB(g); ok && height.Lo <= onGroundM && max(zi, zj) > height.Hi {
		list = append(list, mode{out: -zi - zj, in: -zi - zj, loss: loss + corner})
	}
	return list
}
