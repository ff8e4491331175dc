package crosstalk

import (
	"math"
	"math/rand/v2"
	"testing"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// shortestOver is the shortest way from p over the surface of a ball (or upright cylinder, all in one plane) about c to q, by
// trying points of the circle in their common plane finer and finer: nothing of the search but Fermat's principle.
func shortestOver(p, q, c r3.Vector, a float64) (x r3.Vector) {
	e1 := p.Sub(c).Normalize()
	e2 := q.Sub(c)
	e2 = e2.Sub(e1.Mul(e2.Dot(e1)))
	if e2.Norm() < 1e-12 {
		return c.Add(e1.Mul(a))
	}
	e2 = e2.Normalize()
	at := func(t float64) r3.Vector {
		sin, cos := math.Sincos(t)
		return c.Add(e1.Mul(a * cos)).Add(e2.Mul(a * sin))
	}
	way := func(t float64) float64 { x := at(t); return x.Sub(p).Norm() + x.Sub(q).Norm() }
	lo, hi := 0.0, math.Acos(math.Max(-1, math.Min(1, q.Sub(c).Normalize().Dot(e1))))
	const golden = 1 / math.Phi // so that of two places tried one serves again
	u, v := hi-(hi-lo)*golden, lo+(hi-lo)*golden
	wayU, wayV := way(u), way(v)
	for range 39 { // to the 1e-8th part
		if wayU < wayV {
			hi, v, wayV = v, u, wayU
			u = hi - (hi-lo)*golden
			wayU = way(u)
		} else {
			lo, u, wayU = u, v, wayV
			v = lo + (hi-lo)*golden
			wayV = way(v)
		}
	}
	return at((lo + hi) / 2)
}

// The loss by spreading of reference cases: a pole of 37.5 mm, r1 = 1 m, r2 = 1.2 m, incidence 10 degrees: -21.697 dB
// without absorption, worked out from the closed form; a path of 2.2 m by a mirror has -6.848 dB of it.
func TestCurvatureByHand(t *testing.T) {
	near(t, "pole", spreadingDB(false, 0.0375, 1, 1.2, math.Cos(10*math.Pi/180)), 21.697-20*math.Log10(2.2), 0.0005)
}

// spot is a random layout with one target in a zone beside the body.
func spot(rnd *rand.Rand, shape scene.Shape) *scene.Scene {
	sc := scatter(rnd)
	sc.Around.WallsM = scene.Span{Lo: 1}
	sc.Around.Ground = scene.GroundSmooth
	size := 0.0
	for _, p := range sc.Body.Outline {
		size = math.Max(size, p.Norm())
	}
	t := scene.Target{Name: "thing", Shape: shape, LossDB: scene.Value{X: rnd.Float64()}, HeightM: scene.Span{Hi: 0.1 + 1.2*rnd.Float64()}}
	switch shape {
	case scene.Post, scene.Sphere, scene.Bar:
		t.RadiusM = 0.01 + 0.2*rnd.Float64()*rnd.Float64()
	}
	if shape == scene.Sphere {
		t.HeightM.Hi = 2 * t.RadiusM
	}
	if shape != scene.Post && shape != scene.Sphere && rnd.IntN(3) > 0 {
		t.Turned = scene.Span{Lo: -0.4 * rnd.Float64(), Hi: 0.4 * rnd.Float64()}
	}
	sc.Targets = []scene.Target{t}
	mid := unit(7 * rnd.Float64()).Mul(size * 1.2)
	var zone []r2.Point
	for k := range 5 {
		zone = append(zone, mid.Add(unit(2*math.Pi*float64(k)/5).Mul(size*(0.3+0.6*rnd.Float64()))))
	}
	sc.Zones = []scene.Zone{{Rings: [][]r2.Point{zone}}}
	sc.Sensors = sc.Sensors[:3]
	return sc
}

// thing is a path by the target at one place, by hand; upside is the listener, or its image under the ground.
func thing(sc *scene.Scene, i, j int, at r2.Point, tau float64, byOther, corner bool) (l float64, out, in r3.Vector, extra float64, ok bool) {
	t := sc.Targets[0]
	p, q := inSpace(sc.Sensors[i]), inSpace(sc.Sensors[j])
	extra = t.LossDB.X
	if corner { // as from the listener under the ground
		q.Z = -q.Z
		loss, has := acoustics.CornerLossDB(sc.Around.Ground)
		if extra += loss; !has || math.Max(p.Z, -q.Z) <= t.HeightM.Hi {
			return 0, out, in, 0, false
		}
	} else if t.Shape != scene.Sphere && t.Shape != scene.Bar && (math.Min(p.Z, q.Z) > t.HeightM.Hi || math.Max(p.Z, q.Z) < t.HeightM.Lo) {
		return 0, out, in, 0, false
	}
	c := r3.Vector{X: at.X, Y: at.Y}
	a := t.RadiusM
	switch t.Shape {
	case scene.Post, scene.Sphere:
		fp, fq := p, q
		if t.Shape == scene.Sphere {
			c.Z = t.HeightM.Hi / 2
		} else {
			fp.Z, fq.Z = 0, 0
		}
		if aside(fp, fq, c) <= a {
			return 0, out, in, 0, false
		}
		x := shortestOver(fp, fq, c, a)
		r1, r2 := x.Sub(fp).Norm(), x.Sub(fq).Norm()
		cos := x.Sub(c).Normalize().Dot(fp.Sub(x).Normalize())
		if t.Shape == scene.Sphere {
			return r1 + r2, x.Sub(p), x.Sub(q), extra + acoustics.SphereSpreading(a, r1, r2, cos) - 20*math.Log10(r1+r2), true
		}
		x.Z = p.Z + (q.Z-p.Z)*r1/(r1+r2)
		l, out, in = x.Sub(p).Norm()+x.Sub(q).Norm(), x.Sub(p), x.Sub(q)
		extra += acoustics.CylinderSpreading(a, r1, r2, cos) - 20*math.Log10(r1+r2)
	default:
		facing := q
		if byOther {
			facing = p
		}
		v := r3.Vector{X: at.X - facing.X, Y: at.Y - facing.Y}
		n := r3.Vector{X: v.X*math.Cos(tau) - v.Y*math.Sin(tau), Y: v.Y*math.Cos(tau) + v.X*math.Sin(tau)}.Normalize()
		w := plane{n, n.Dot(c)}
		if t.Shape == scene.Bar {
			return barPath(p, q, w, t, extra)
		}
		k, has := trace(p, q, w)
		if !has {
			return 0, out, in, 0, false
		}
		out, in = ends(k)
		l = length(k)
	}
	if corner {
		in.Z = -in.Z
	}
	return l, out, in, extra, true
}

// barPath is the shortest way by a level rod, by trying points along it and, at each, the nearest of its surface in the cut
// square to it that holds both legs unrolled.
func barPath(p, q r3.Vector, w plane, t scene.Target, loss float64) (l float64, out, in r3.Vector, extra float64, ok bool) {
	if w.front(p) <= 0 || w.front(q) <= 0 {
		return 0, out, in, 0, false
	}
	z, a := (t.HeightM.Lo+t.HeightM.Hi)/2, t.RadiusM
	along := r3.Vector{X: -w.n.Y, Y: w.n.X}
	axis := w.n.Mul(w.c)
	axis.Z = z
	across := func(p r3.Vector) float64 { return math.Hypot(w.front(p), z-p.Z) - a }
	d1, d2 := across(p), across(q)
	if d1 <= 0 || d2 <= 0 {
		return 0, out, in, 0, false
	}
	s, e := along.Dot(p), along.Dot(q)
	m := s + (e-s)*d1/(d1+d2) // straight when unrolled
	toward := func(p r3.Vector) r3.Vector {
		on := axis.Add(along.Mul(along.Dot(p)))
		return on.Add(p.Sub(on).Normalize().Mul(a)).Sub(p).Add(along.Mul(m - along.Dot(p)))
	}
	out, in = toward(p), toward(q)
	return out.Norm() + in.Norm(), out, in, loss + acoustics.CylinderSpreading(a, d1, d2, 1) - 20*math.Log10(d1+d2), true
}

// No place of a target tried at random lies outside its arcs, whatever its shape.
func TestNoTargetOutside(t *testing.T) {
	for _, shape := range []scene.Shape{scene.Post, scene.Sphere, scene.Wall, scene.Kerb, scene.Bar} {
		t.Run(string(shape), func(t *testing.T) {
			t.Parallel()
			rnd := rand.New(rand.NewPCG(17, uint64(len(shape))))
			const machines, places = 12, 84_000
			tried, loud := 0, 0
			for m := range machines {
				sc := spot(rnd, shape)
				gain, alpha := 30+40*rnd.Float64(), 1.2*rnd.Float64()
				a := trial(sc, wide, gain, alpha, 331, 349)
				sc.Around.Bounces = 1
				found := byPair(a.all(), Object)
				lo, hi := bounds(sc.Zones[0].Rings[0])
				turned := sc.Targets[0].Turned
				for k := range places {
					i, j := k%3, k/3%3
					tried++
					at := r2.Point{X: lo.X + (hi.X-lo.X)*rnd.Float64(), Y: lo.Y + (hi.Y-lo.Y)*rnd.Float64()}
					tau := turned.Lo + (turned.Hi-turned.Lo)*rnd.Float64()
					if !geometry.Contains(sc.Zones[0].Rings[0], at) || geometry.Contains(sc.Body.Outline, at) {
						continue
					}
					l, out, in, extra, ok := thing(sc, i, j, at, tau, k%2 == 0, k%5 == 0 && shape != scene.Sphere && shape != scene.Bar)
					if !ok {
						continue
					}
					level, bent := byHand(sc, i, j, l, out, in, gain, alpha, wide)
					if level -= extra; level < 0 {
						continue
					}
					loud++
					if _, has := holding(found[[2]int{i, j}], l, l+float64(bent)*a.hull.round()/2, level); !has {
						t.Fatalf("machine %d, %d to %d at %v turned %v: %v m, %v dB, %d bent, lies outside %+v", m, i, j, at, tau, l, level, bent, found[[2]int{i, j}])
					}
				}
			}
			t.Logf("%d places tried, %d loud enough, none outside", tried, loud)
			if tried < 1e6 || loud < tried/100 {
				t.Errorf("%d places, %d loud: too few to say anything", tried, loud)
			}
		})
	}
}

func bounds(ring []r2.Point) (lo, hi r2.Point) {
	b := r2.RectFromPoints(ring...)
	return b.Lo(), b.Hi()
}

// A part by hand. A plate 1 m ahead of the front reflects like a wall, 2·sqrt(0.25² + 1) over; a leg of 20 mm radius in front
// answers from its near side.
func TestPartsByHand(t *testing.T) {
	sc := front(0.5, scene.Span{Lo: 1})
	sc.Body.Parts = []scene.Part{
		{Name: "plate", Outline: []r2.Point{{X: 1.5, Y: -1}, {X: 1.6, Y: -1}, {X: 1.6, Y: 1}, {X: 1.5, Y: 1}}},
		{Name: "leg", RadiusM: 0.02, Centre: r2.Point{X: 1.02}, HeightM: scene.Span{Hi: 1}},
	}
	a := trial(sc, everywhere, 60, 0, 343.2, 343.2)
	arcs := a.all()
	for _, c := range []struct {
		part        string
		least, most float64
	}{{"plate", 2 * math.Hypot(0.25, 1), math.Hypot(1, 0.75) + math.Hypot(1, 1.25)}, {"leg", 2 * math.Hypot(0.25, 0.5), 2 * math.Hypot(0.25, 0.5)}} {
		lo, hi, n := math.Inf(1), 0.0, 0
		for _, arc := range arcs {
			if arc.From == 0 && arc.To == 1 && arc.Path == OwnPart && arc.Object == c.part {
				n++
				lo, hi = math.Min(lo, arc.PathM.Lo), math.Max(hi, arc.PathM.Hi)
			}
		}
		near(t, c.part+" least", lo, c.least, 2*padM)
		near(t, c.part+" most", hi, c.most, 2*padM)
		if n == 0 {
			t.Errorf("no arc by the %s", c.part)
		}
	}
}
