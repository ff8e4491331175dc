package firing

import (
	"math"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// ListenRange returns how far sensor i must listen to serve the zones of sc, m: to the farthest place of any zone that lies
// in front of its face, seen from above, along the slant to where the zone's target answers; never farther than reach.
// With no zone in front it is reach.
func ListenRange(sc *scene.Scene, i int, reach float64) float64 {
	s := sc.Sensors[i]
	sin, cos := math.Sincos(float64(s.Heading))
	ahead := r2.Point{X: cos, Y: sin}
	far := 0.0
	for _, z := range sc.Zones {
		drop := offLevel(s.HeightM, sc.Targets[z.Target])
		for _, ring := range z.Rings {
			if d := farthestAhead(ring, s.At, ahead); d > 0 {
				far = math.Max(far, math.Hypot(d, drop))
			}
		}
	}
	if far == 0 || far > reach {
		return reach
	}
	return far
}

// farthestAhead is the distance from p to the farthest place of ring in the half plane ahead of p: a corner of what the
// half plane leaves of it. 0 where it leaves nothing.
func farthestAhead(ring []r2.Point, p, ahead r2.Point) float64 {
	far := 0.0
	for k, b := range ring {
		a := ring[(k+len(ring)-1)%len(ring)].Sub(p)
		b = b.Sub(p)
		fa, fb := a.Dot(ahead), b.Dot(ahead)
		if fb >= 0 {
			far = math.Max(far, b.Norm())
		}
		if fa < 0 && fb > 0 || fa > 0 && fb < 0 {
			far = math.Max(far, a.Add(b.Sub(a).Mul(fa/(fa-fb))).Norm())
		}
	}
	return far
}

// offLevel is how far above or below the sensor t may answer, m: nothing where its heights take in the sensor's, else its
// far end, so that the slant is never taken too short.
func offLevel(height float64, t scene.Target) float64 {
	if t.HeightM.Contains(height) && t.Shape != scene.Sphere {
		return 0
	}
	return math.Max(math.Abs(t.HeightM.Lo-height), math.Abs(t.HeightM.Hi-height))
}
