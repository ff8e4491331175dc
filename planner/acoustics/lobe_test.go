package acoustics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/scene"
)

// truly is the slow second opinion: a place is in the lobe when its level, found without rays or pieces
// and at many turns, is not below 0 and it answers between the limits at each.
func truly(e *Ear, t scene.Target, o LobeOptions, place r2.Point) bool {
	d := place.Sub(e.s.At)
	phi, rho := math.Atan2(d.Y, d.X), d.Norm()
	h := e.s.HeightM
	turns := []float64{0}
	if t.Shape == scene.Wall || t.Shape == scene.Bar || t.Shape == scene.Kerb {
		turns = turns[:0]
		for i := range 81 {
			turns = append(turns, t.Turned.Lo+(t.Turned.Hi-t.Turned.Lo)*float64(i)/80)
		}
	}
	m := e.m
	for _, tau := range turns {
		x := rho * math.Cos(tau)
		loss, spread, dz, radius := t.LossDB.X, 0.0, 0.0, 0.0
		switch {
		case t.Shape == scene.Sphere || t.Shape == scene.Bar:
			dz, radius = (t.HeightM.Lo+t.HeightM.Hi)/2-h, t.RadiusM
		case h > t.HeightM.Hi:
			c, ok := CornerLossDB(e.ground)
			if !ok {
				return false
			}
			dz, loss = -h, loss+c
		case h < t.HeightM.Lo:
			return false
		}
		if t.Shape == scene.Post {
			x -= t.RadiusM
		}
		if x <= 0 {
			return false
		}
		half := math.Sqrt(x*x+dz*dz) - radius
		if half < o.NearM || (o.FarM > 0 && half > o.FarM) || half <= 0 {
			return false
		}
		spread = 20 * math.Log10(2*half)
		switch t.Shape {
		case scene.Post:
			spread += 10 * math.Log10((t.RadiusM+x)/t.RadiusM)
		case scene.Bar:
			spread += 10 * math.Log10((radius+half)/radius)
		case scene.Sphere:
			spread += 20 * math.Log10((radius+half)/radius)
		}
		b, tilt := phi+tau-e.s.Heading.Radians(), e.s.Tilt.Radians()
		fwd, left := x*math.Cos(b), x*math.Sin(b)
		n := fwd*math.Cos(tilt) + dz*math.Sin(tilt)
		u := dz*math.Cos(tilt) - fwd*math.Sin(tilt)
		if n <= 0 {
			return false
		}
		rr := math.Sqrt(x*x + dz*dz)
		arg := 2 * math.Pi * m.Frequency() * math.Sqrt(sq(m.across*left/rr)+sq(m.up*u/rr))
		pattern := math.Min(PistonDB(arg/m.slow.Value), PistonDB(arg/m.fast.Value))
		if m.lobeOf(arg/m.slow.Value) != m.lobeOf(arg/m.fast.Value) {
			return false
		}
		if m.Gain().Lo-spread-2*m.most.Value*half-loss-m.rise(half, Certain)+2*pattern < 0 {
			return false
		}
	}
	return true
}

func toRings(rings [][]r2.Point, p r2.Point) float64 {
	best := math.Inf(1)
	for _, r := range rings {
		for i, a := range r {
			best = math.Min(best, offChord(a, p, r[(i+1)%len(r)]))
		}
	}
	return best
}

// The stated bound, from outside in: the true edge along many rays, found by stepping and halving with the
// slow opinion, lies within ErrorM of the rings.
func TestTrueEdgeLiesWithinTheStatedError(t *testing.T) {
	worst, edges := 0.0, 0
	for i := range 45 {
		r := rand.New(rand.NewPCG(3, uint64(i)))
		e, target, o := randomCase(t, r)
		l := e.Lobe(target, o)
		name := fmt.Sprintf("case %d: %s, tilt %.1f, turned %.3v, threshold %v", i, target.Shape, e.s.Tilt.Degrees(), target.Turned, e.m.ThresholdKnown())
		for range 40 {
			phi := 2 * math.Pi * r.Float64()
			s, c := math.Sincos(phi)
			at := func(rho float64) r2.Point { return e.s.At.Add(r2.Point{X: c * rho, Y: s * rho}) }
			seen := func(rho float64) bool { return truly(e, target, o, at(rho)) }
			was := false
			const step = 0.03
			for rho := step; rho < 8; rho += step {
				now := seen(rho)
				if now == was {
					continue
				}
				lo, hi := rho-step, rho
				for range 30 {
					if mid := (lo + hi) / 2; seen(mid) == was {
						lo = mid
					} else {
						hi = mid
					}
				}
				was = now
				edges++
				off := toRings(l.Rings, at(hi))
				worst = math.Max(worst, off)
				if off > l.ErrorM {
					t.Errorf("%s: edge at bearing %.2f, %.4f m is %.3g m from the rings", name, (phi-e.s.Heading.Radians())*180/math.Pi, hi, off)
				}
			}
		}
	}
	t.Logf("%d true edges, worst %.3g m", edges, worst)
}

// seam reports whether a point of a ring is no edge of the whole: where rings meet, or the slit at the rear.
func seam(e *Ear, rings [][]r2.Point, own []r2.Point, p r2.Point) bool {
	d := p.Sub(e.s.At)
	b := math.Remainder(math.Atan2(d.Y, d.X)-e.s.Heading.Radians()-math.Pi, 2*math.Pi)
	if math.Abs(b)*d.Norm() < defaultErrorM {
		return true
	}
	for _, r := range rings {
		if &r[0] != &own[0] && toRings([][]r2.Point{r}, p) < 1e-9 {
			return true
		}
	}
	return false
}

// thinAt reports whether the ring is thinner at p, a point of its edge j, than the samples round p tell: the
// tip of a lobe cut short by its near limit runs out to nothing.
func thinAt(ring []r2.Point, j int, p r2.Point) bool {
	for k, a := range ring {
		if k != j && offChord(a, p, ring[(k+1)%len(ring)]) < 0.05*defaultErrorM {
			return true
		}
	}
	return false
}

// The stated bound, from the rings out: round every point of the rings' edges, within ErrorM, there are
// places that are seen and places that are not.
func TestRingsLieWithinTheStatedError(t *testing.T) {
	vertices, lobes := 0, 0
	for i := range 45 {
		r := rand.New(rand.NewPCG(5, uint64(i)))
		e, target, o := randomCase(t, r)
		l := e.Lobe(target, o)
		for _, ring := range l.Rings {
			lobes++
			vertices += len(ring)
			for j, a := range ring {
				b := ring[(j+1)%len(ring)]
				p := a.Add(b.Sub(a).Mul(r.Float64()))
				if seam(e, l.Rings, ring, p) {
					continue
				}
				in, out := 0, 0
				for k := range 16 {
					s, c := math.Sincos(float64(k) * math.Pi / 8)
					for _, d := range []float64{0.02, 0.2, 1} {
						if truly(e, target, o, p.Add(r2.Point{X: c, Y: s}.Mul(l.ErrorM*d))) {
							in++
						} else {
							out++
						}
					}
				}
				if (in == 0 && !thinAt(ring, j, p)) || out == 0 {
					t.Errorf("case %d, %s, turned %.3v: ring point %v: %d seen, %d not", i, target.Shape, target.Turned, p, in, out)
				}
			}
		}
	}
	t.Logf("%d rings, %d vertices each", lobes, vertices/max(lobes, 1))
}
