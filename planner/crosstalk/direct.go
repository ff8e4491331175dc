package crosstalk

import (
	"math"
	"slices"

	"echowright/geometry"

	"github.com/golang/geo/r2"
)

// direct is the way along the body. Where the sensors see each other it is straight. Where the body stands between, it
// is no shorter than straight, since sound may pass over or under, no longer than the way along the hull, and has to
// bend at least once.
func (l *link) direct(outline []r2.Point) heard {
	straight := math.Sqrt(l.level2 + float64(l.rise*l.rise))
	level := l.apart.Norm()
	p := l.path(span{straight, straight}, single(l.apart, l.rise, level), single(l.apart.Mul(-1), -l.rise, level), 0)
	w := heard{path: Direct, length: span{straight, straight}, level: p.gain - l.fade(straight), points: []r2.Point{l.from.at, l.to.at}}
	if blocks(outline, l.from.at, l.to.at) {
		w.length.hi = math.Hypot(l.hull.way(l.from.at, l.to.at), l.rise)
		if p.bent == 0 {
			w.level -= BendLossDB
		}
	}
	return w
}

// skinM is how deep a line of sight may run inside the outline before it counts as blocked, m: sensors stand on it.
const skinM = 2e-3

// blocks reports whether the straight line from a to b runs through the inside of an outline.
func blocks(outline []r2.Point, a, b r2.Point) bool {
	u := b.Sub(a)
	if dot(u, u) == 0 {
		return false
	}
	cuts := []float64{0, 1}
	for i, p := range outline {
		e := outline[(i+1)%len(outline)].Sub(p)
		if d := cross(u, e); d != 0 {
			t, s := cross(p.Sub(a), e)/d, cross(p.Sub(a), u)/d
			if t > 0 && t < 1 && s >= -1e-9 && s <= 1+1e-9 {
				cuts = append(cuts, t)
			}
		}
	}
	slices.Sort(cuts)
	for k := range len(cuts) - 1 {
		mid := a.Add(u.Mul((cuts[k] + cuts[k+1]) / 2))
		if geometry.Contains(outline, mid) && geometry.Distance(outline, mid) > skinM {
			return true
		}
	}
	return false
}
