// Package sight says what is hidden from a place behind obstacles seen from above.
//
// In go an eye, an obstacle's ring (metres, x forward, y left) and a reach; out come rings whose union is the
// hidden region. Boundaries are cast along straight lines of sight: sound bent round corners is not part of it.
//
//	coverage, crosstalk ─► sight ─► geometry/predicate
package sight

import (
	"math"

	"echowright/geometry/predicate"

	"github.com/golang/geo/r2"
)

// OnOutline is how near an eye may be to an obstacle's outline, m, to be taken as standing on it: a sensor
// placed by arc length misses the edge it stands on by rounding, and must not be blinded by that.
const OnOutline = 1e-9

// farStep is the largest angle between neighbouring points of the far border, rad.
const farStep = math.Pi / 8

// Shadow returns the region hidden from the eye by an obstacle (any ring that does not cross itself, either way
// round): the obstacle itself and all that lies behind it, at least out to reach (m) from the eye and less than 2 % farther.
//
// The answer is a closed curve that may overlap itself; the region is where its winding number is not zero (the
// number of times the line of sight has entered the obstacle), so it is fit for region.FromRings. Edges facing
// the eye stay in place, edges turned away become arcs at reach, and lines of sight join the two:
//
//	          ╱▒▒▒▒│ far
//	        ╱▒▒▒▒▒▒│
//	eye ─ ■▒▒▒▒▒▒▒▒│
//	        ╲▒▒▒▒▒▒│
//
// An eye on the outline (within OnOutline) sees the half-plane outside its edge, or the outer angle of its
// corner; lines along its own edge are free. From inside the obstacle everything is hidden.
// Fewer than three points, no area or a reach of zero or less hide nothing.
func Shadow(eye r2.Point, obstacle []r2.Point, reach float64) [][]r2.Point {
	ring := counterClockwise(obstacle)
	if len(ring) < 3 || !(reach > 0) {
		return nil
	}
	c := caster{eye: eye, reach: reach / math.Cos(farStep/2)}
	c.ring, c.at = plantEye(ring, eye)
	c.cast()
	if len(c.out) < 3 {
		return nil
	}
	return [][]r2.Point{c.out}
}

// counterClockwise drops repeated points and turns the ring counter-clockwise; nil if it has no area.
func counterClockwise(ring []r2.Point) []r2.Point {
	var out []r2.Point
	for i, p := range ring {
		if p != ring[(i+len(ring)-1)%len(ring)] {
			out = append(out, p)
		}
	}
	area := 0.0
	for i := 1; i+1 < len(out); i++ {
		area += predicate.Cross(out[i].Sub(out[0]), out[i+1].Sub(out[0]))
	}
	if area == 0 {
		return nil
	}
	if area < 0 {
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
	}
	return out
}

// plantEye makes the eye a point of the ring when it stands on it: it takes the place of a corner within
// OnOutline, or splits the edge. The index is -1 when it stands clear.
func plantEye(ring []r2.Point, eye r2.Point) ([]r2.Point, int) {
	for i, p := range ring {
		if p.Sub(eye).Norm() <= OnOutline {
			out := append([]r2.Point(nil), ring...)
			out[i] = eye
			return out, i
		}
	}
	best, edge := OnOutline, -1
	for i, a := range ring {
		if d := distanceToSegment(a, ring[(i+1)%len(ring)], eye); d <= best {
			best, edge = d, i
		}
	}
	if edge < 0 {
		return ring, -1
	}
	out := append([]r2.Point(nil), ring[:edge+1]...)
	out = append(out, eye)
	return append(out, ring[edge+1:]...), edge + 1
}

func distanceToSegment(a, b, p r2.Point) float64 {
	u := b.Sub(a)
	t := max(0, min(predicate.Dot(p.Sub(a), u)/predicate.Dot(u, u), 1))
	return p.Sub(a).Sub(u.Mul(t)).Norm()
}

// caster strings the border together. A point of it is either near (the obstacle's own) or far (cast out).
type caster struct {
	eye   r2.Point
	reach float64 // radius of the far border
	ring  []r2.Point
	at    int // index of the eye in the ring, or -1
	out   []r2.Point
}

// cast goes once round the obstacle. Edges turned away all turn the line of sight counter-clockwise, so a run of them
// becomes one arc, however many they are.
func (c *caster) cast() {
	n := len(c.ring)
	first := 0
	for first < n && !c.near(first) {
		first++
	}
	if first == n { // the eye is inside: hidden all round
		c.arc(r2.Point{X: 1}, r2.Point{X: 1}, 2*math.Pi)
		c.out = c.out[:len(c.out)-1]
		return
	}
	for k := 0; k < n; {
		i := (first + k) % n
		if c.near(i) {
			c.put(c.ring[i])
			c.put(c.ring[(i+1)%n])
			k++
			continue
		}
		u, turn := c.ring[i].Sub(c.eye), 0.0
		v := u
		for ; k < n && !c.near((first+k)%n); k++ {
			w := c.ring[(first+k+1)%n].Sub(c.eye)
			turn += math.Atan2(predicate.Cross(v, w), predicate.Dot(v, w))
			v = w
		}
		c.arc(u, v, turn)
	}
	if len(c.out) > 1 && c.out[0] == c.out[len(c.out)-1] {
		c.out = c.out[:len(c.out)-1]
	}
}

// near reports whether edge i stays in place: it faces the eye, points at it or holds it.
func (c *caster) near(i int) bool {
	j := (i + 1) % len(c.ring)
	return i == c.at || j == c.at || predicate.Orient(c.ring[i], c.ring[j], c.eye) <= 0
}

// arc adds the far border from direction u counter-clockwise by turn (rad) to direction v.
func (c *caster) arc(u, v r2.Point, turn float64) {
	u, v = u.Normalize(), v.Normalize()
	c.put(predicate.Move(c.eye, u, c.reach))
	steps := int(math.Ceil(turn / farStep))
	for k := 1; k < steps; k++ {
		sin, cos := math.Sincos(turn * float64(k) / float64(steps))
		d := r2.Point{X: float64(cos*u.X) - float64(sin*u.Y), Y: float64(sin*u.X) + float64(cos*u.Y)}
		c.put(predicate.Move(c.eye, d, c.reach))
	}
	c.put(predicate.Move(c.eye, v, c.reach))
}

// put appends p unless the border already ends there.
func (c *caster) put(p r2.Point) {
	if len(c.out) == 0 || c.out[len(c.out)-1] != p {
		c.out = append(c.out, p)
	}
}
