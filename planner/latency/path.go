package latency

import (
	"math"

	"github.com/golang/geo/r2"

	"echowright/geometry/region"
)

// stretch is a piece of the lane on which the places a sensor sees without a break run from near to far, and
// touch is where the target would touch. All three are linear in y; index 0 is their x at y0, 1 at y1.
type stretch struct {
	y0, y1           float64
	near, far, touch [2]float64
}

// path is what one sensor sees of the lane, from right to left, in each strip the farthest stretch first.
type path struct {
	watch    *watch
	places   region.Set
	stretchs []stretch
	farM     float64 // from the sensor to the farthest place it sees in the lane
}

// addPaths works out what each sensor that fires sees of the lane.
func (t *travel) addPaths(l *lane, state string) {
	l.slitM = 1e-9 // m; ends solved for differ by rounding alone
	for i := range t.watches {
		w := &t.watches[i]
		if !w.fires() {
			continue
		}
		var rings [][]r2.Point
		errM := 0.0
		for _, lobe := range t.p.Lobes {
			if lobe.Sensor == w.name && lobe.Target == l.target.Name && lobe.State == state {
				rings = append(rings, l.f.polygon(lobe.Polygon)...)
				errM = math.Max(errM, lobe.ErrorM)
			}
		}
		p := path{watch: w, places: region.Intersect(region.FromRings(rings...), l.ahead)}
		if p.places.IsEmpty() {
			continue
		}
		l.slitM = math.Max(l.slitM, errM)
		p.stretchs = stretchesOf(p.places, l.front, errM)
		p.farM = farFrom(p.places, l.f.in(w.at))
		l.paths = append(l.paths, p)
	}
}

func farFrom(s region.Set, p r2.Point) (far float64) {
	for _, r := range s.Rings() {
		for _, q := range r {
			far = math.Max(far, q.Sub(p).Norm())
		}
	}
	return far
}

// stretchesOf cuts a set of places ahead of a front into stretches; breaks no longer than errM are none.
func stretchesOf(places region.Set, front []edge, errM float64) (out []stretch) {
	edges, at := edgesOf(places.Rings()), 0
	sweep(edges, endsOf(append(edges[:len(edges):len(edges)], front...)), func(from, to float64, over []edge) {
		for at < len(front)-1 && front[at].y1 <= from {
			at++
		}
		touch := [2]float64{front[at].at(from), front[at].at(to)}
		first := len(out)
		for k := len(over) - 1; k > 0; k -= 2 {
			s := stretch{y0: from, y1: to, touch: touch}
			for end, y := range [2]float64{from, to} {
				s.far[end] = over[k].at(y)
				s.near[end] = math.Min(s.far[end], over[k-1].at(y))
			}
			if n := len(out); n > first && out[n-1].near[0]-s.far[0] <= errM && out[n-1].near[1]-s.far[1] <= errM {
				out[n-1].near = s.near
				continue
			}
			out = append(out, s)
		}
	})
	return out
}

// where is the part of a stretch's piece of the lane on which it is at least so long and its far end at least
// so far off, m.
func (s stretch) where(length, distance float64) (part [2]float64, ok bool) {
	from, to := 0.0, 1.0
	clip(&from, &to, s.far[0]-s.near[0]-length, s.far[1]-s.near[1]-length)
	clip(&from, &to, s.far[0]-s.touch[0]-distance, s.far[1]-s.touch[1]-distance)
	if from > to {
		return part, false
	}
	part = [2]float64{s.y0, s.y1}
	if from > 0 {
		part[0] = s.y0 + float64(from*(s.y1-s.y0))
	}
	if to < 1 {
		part[1] = s.y0 + float64(to*(s.y1-s.y0))
	}
	return part, true
}

// clip keeps of from..to, within 0..1, where a function that goes linearly from a to b is not below zero.
func clip(from, to *float64, a, b float64) {
	switch {
	case a < 0 && b < 0:
		*from, *to = 1, 0
	case a < 0:
		*from = math.Max(*from, a/(a-b))
	case b < 0:
		*to = math.Min(*to, a/(a-b))
	}
}
