package draw

import (
	"math"
	"slices"
)

// dashes calls emit for each piece of a line broken into dashes and gaps; pieces bend with the line.
func dashes(ps []point, closed bool, dash, gap float64, emit func([]point)) {
	if closed && len(ps) > 0 {
		ps = append(append([]point(nil), ps...), ps[0])
	}
	if len(ps) < 2 || dash <= 0 || gap < 0 {
		return
	}
	drawn, left := true, dash
	piece := []point{ps[0]}
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		long := math.Hypot(b.x-a.x, b.y-a.y)
		done := 0.0
		for long-done > left {
			done += left
			q := point{a.x + (b.x-a.x)*done/long, a.y + (b.y-a.y)*done/long}
			if drawn {
				emit(append(piece, q))
				left = gap
			} else {
				left = dash
			}
			drawn = !drawn
			piece = append(piece[:0], q)
		}
		left -= long - done
		if drawn {
			piece = append(piece, b)
		}
	}
	if drawn && len(piece) > 1 {
		emit(piece)
	}
}

// hatch calls emit for each line at 45 degrees, rising to the right, clipped to the inside of the rings.
func hatch(rings [][]point, every float64, emit func(a, b point)) {
	const h = math.Sqrt2 / 2
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range rings {
		for _, p := range r {
			u := (p.x + p.y) * h
			lo, hi = math.Min(lo, u), math.Max(hi, u)
		}
	}
	if !(hi > lo) || (hi-lo)/every > mostHatches {
		return
	}
	first := math.Ceil(lo / every)
	cuts := make([][]float64, int(math.Floor(hi/every)-first)+1)
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			pu, qu, pv, qv := (p.x+p.y)*h, (q.x+q.y)*h, (p.x-p.y)*h, (q.x-q.y)*h
			if pu > qu {
				pu, qu, pv, qv = qu, pu, qv, pv
			}
			for k := math.Ceil(pu / every); k*every < qu; k++ { // the lower end belongs to a side, its upper does not
				u := k * every
				cuts[int(k-first)] = append(cuts[int(k-first)], pv+(qv-pv)*(u-pu)/(qu-pu))
			}
		}
	}
	for k, vs := range cuts {
		u := (first + float64(k)) * every
		slices.Sort(vs)
		for i := 0; i+1 < len(vs); i += 2 {
			emit(point{(u + vs[i]) * h, (u - vs[i]) * h}, point{(u + vs[i+1]) * h, (u - vs[i+1]) * h})
		}
	}
}

// mostHatches bounds the work for a shape far larger than any window.
const mostHatches = 20000
