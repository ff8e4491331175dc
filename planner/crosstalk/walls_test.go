package crosstalk

import (
	"math"
	"math/rand/v2"
	"testing"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

// plane is an upright wall in space: all points p with n·p = c.
type plane struct {
	n r3.Vector
	c float64
}

// wallAt is the wall of that direction and distance from the body.
func wallAt(sc *scene.Scene, psi, d float64) plane {
	sin, cos := math.Sincos(psi)
	touch := math.Inf(-1)
	for _, p := range sc.Body.Outline {
		touch = max(touch, cos*p.X+sin*p.Y)
	}
	return plane{r3.Vector{X: cos, Y: sin}, touch + d}
}

func (w plane) image(p r3.Vector) r3.Vector { return p.Add(w.n.Mul(2 * (w.c - w.n.Dot(p)))) }
func (w plane) front(p r3.Vector) float64   { return w.c - w.n.Dot(p) }

// hit is where the straight line from p to q goes through the wall.
func (w plane) hit(p, q r3.Vector) r3.Vector {
	a, b := w.front(p), w.front(q)
	return p.Add(q.Sub(p).Mul(a / (a - b)))
}

// trace follows a path by the planes in turn, by image sources written out: the sender's image in the first, that in the second
// and so on; then back from the listener. It is none where a leg would run behind a plane.
func trace(from, to r3.Vector, planes ...plane) (corners []r3.Vector, ok bool) {
	images := append(make([]r3.Vector, 0, len(planes)+1), from)
	for _, w := range planes {
		images = append(images, w.image(images[len(images)-1]))
	}
	corners = make([]r3.Vector, len(planes)+2)
	corners[0], corners[len(planes)+1] = from, to
	for k := len(planes); k > 0; k-- {
		w, after := planes[k-1], corners[k+1]
		if w.front(after) <= 0 || w.front(images[k]) >= 0 {
			return nil, false
		}
		corners[k] = w.hit(after, images[k])
	}
	for k, w := range planes {
		if w.front(corners[k]) <= 0 {
			return nil, false
		}
	}
	return corners, true
}

func length(corners []r3.Vector) (sum float64) {
	for k := 1; k < len(corners); k++ {
		sum += corners[k].Sub(corners[k-1]).Norm()
	}
	return sum
}

func ends(c []r3.Vector) (out, in r3.Vector) {
	n := len(c)
	return c[1].Sub(c[0]), c[n-2].Sub(c[n-1])
}

// A corner of 90 degrees, walls at y = 2 and x = 1, by hand: the double image of (x, y) is (2-x, 4-y), so from
// a = (0.5, 0.25) to b = (0.5, -0.25) it is from (1.5, 3.75): sqrt(1 + 16).
// Two walls that face each other, 1 m ahead of and 1 m behind the body of 1 m: from a to the image of b shifted by twice 3 m:
// sqrt(36 + 0.25). A wedge of 60 degrees about a sensor on its bisector, s before both: 2 s sqrt(2 + 2 cos 60°)… with normals
// 120 degrees apart L = 2 |s n1 - s n2| = 2 s sqrt(3).
func TestTwoWallsByHand(t *testing.T) {
	sc := front(0.5, scene.Span{Lo: 1, Hi: 2})
	sc.Around.Bounces = 2
	a := trial(sc, everywhere, 60, 0, 340, 340)
	a.prepare()
	w := twoWalls{link: newLink(&a.voices[0], &a.voices[1], 60, newFading(0), a.hull), compass: a.compass}
	got := w.byTurns(r2.Point{Y: 1}, r2.Point{X: 1}, 1.75, 0.5, nil)
	if len(got) != 1 {
		t.Fatal("no path by the corner")
	}
	near(t, "corner", got[0].length.lo, math.Sqrt(17), 1e-12)
	got = w.byTurns(r2.Point{X: 1}, r2.Point{X: -1}, 1, 2, nil)
	if len(got) != 1 {
		t.Fatal("no path between facing walls")
	}
	near(t, "facing walls", got[0].length.lo, math.Sqrt(36.25), 1e-12)
	w.link = newLink(&a.voices[0], &a.voices[0], 60, newFading(0), a.hull)
	got = w.byTurns(unit(math.Pi/3), unit(-math.Pi/3), 1.2, 1.2, nil)
	if len(got) != 1 {
		t.Fatal("no path in the wedge")
	}
	near(t, "wedge of 60 degrees", got[0].length.lo, 2.4*math.Sqrt(3), 1e-12)
	if got = w.byTurns(unit(math.Pi/4-0.1), unit(-math.Pi/4+0.1), 1, 1, nil); got != nil {
		t.Error("a wedge wider than 90 degrees sent sound back to where it came from")
	}
}

// The shortest and the longest double echo of a sensor that hears alike all round, in the middle of a small disc, closed forms:
// a right corner with both walls nearest, L = 2 sqrt(2) s; facing walls both farthest, L = 4 s; s from the disc's middle.
func TestTwoWallsAroundADisc(t *testing.T) {
	const r = 0.01
	sc := front(0, scene.Span{Lo: 0.5, Hi: 2})
	sc.Around.Bounces = 2
	sc.Body.Outline = nil
	for k := range 64 {
		sc.Body.Outline = append(sc.Body.Outline, unit(2*math.Pi*float64(k)/64).Mul(r))
	}
	sc.Sensors = sc.Sensors[:1]
	sc.Sensors[0].At = r2.Point{}
	a := trial(sc, func(_, _ float64) float64 { return 0 }, 100, 0, 340, 340)
	for i := range a.voices {
		a.voices[i].edge = BendLossDB // so that what bends is no quieter
	}
	arc := find(t, a.all(), 0, 0, TwoWalls)
	lo, hi := 2*math.Sqrt2*(0.5+r), 4*(2+r)
	if arc.PathM.Lo > lo || arc.PathM.Lo < lo-twoWithinM-0.01 {
		t.Errorf("shortest %v, want %v", arc.PathM.Lo, lo)
	}
	hi += 2 * math.Pi * r // both ends may bend round the body
	if arc.PathM.Hi < hi-0.001 || arc.PathM.Hi > hi+twoWithinM+0.01 {
		t.Errorf("longest %v, want %v", arc.PathM.Hi, hi)
	}
}

// A wall, the body's front and the wall again, by hand: 1 m ahead of the front, both sensors in it 0.5 m apart: 4 m and
// 0.5 m across, so sqrt(16.25).
func TestWallBodyWallByHand(t *testing.T) {
	sc := front(0.5, scene.Span{Lo: 1, Hi: 1})
	a := trial(sc, everywhere, 60, 0, 340, 340)
	a.prepare()
	w := wallBodyWall{oneWall: oneWall{link: newLink(&a.voices[0], &a.voices[1], 60, newFading(0), a.hull), walls: span{1, 1}}, side: frontSide(t, sc)}
	p, ok := w.at(0, 1)
	if !ok {
		t.Fatal("no path")
	}
	near(t, "length", p.length.lo, math.Sqrt(16.25), 1e-12)
	near(t, "middle x", p.points.at[2].X, 0.5, 1e-12)
	near(t, "middle y", p.points.at[2].Y, 0, 1e-12)
	near(t, "first wall y", p.points.at[1].Y, 0.125, 1e-12)
}

func frontSide(t *testing.T, sc *scene.Scene) side {
	for _, s := range sides(sc.Body.Outline) {
		if s.out.X > 0.999 {
			return s
		}
	}
	t.Fatal("no front")
	return side{}
}

// No pair of walls tried at random, and no wall with a side of the body, lies outside its arcs.
func TestNoTwoBouncesOutside(t *testing.T) {
	t.Parallel()
	rnd := rand.New(rand.NewPCG(5, 23))
	const machines, pairs = 12, 6000 // times 16 ordered pairs: 1.2 million of either
	tried := map[Path]int{}
	loud := map[Path]int{}
	for m := range machines {
		sc := scatter(rnd)
		sc.Around.Bounces = 2
		sc.Body.HeightM = scene.Span{Lo: 0, Hi: 2}
		gain, alpha := 20+40*rnd.Float64(), 1.2*rnd.Float64()
		a := trial(sc, wide, gain, alpha, 331, 349)
		arcs := a.all()
		flats := sides(sc.Body.Outline)
		w := sc.Around.WallsM
		far := func() float64 { return w.Lo + (w.Hi-w.Lo)*math.Pow(rnd.Float64(), 2) }
		found := map[Path]map[[2]int][]Arc{TwoWalls: byPair(arcs, TwoWalls), WallBodyWall: byPair(arcs, WallBodyWall), PartWall: byPair(arcs, PartWall)}
		check := func(path Path, i, j, face int, planes ...plane) {
			tried[path]++
			c, ok := trace(inSpace(sc.Sensors[i]), inSpace(sc.Sensors[j]), planes...)
			if !ok {
				return
			}
			if face >= 0 && !onSide(flats, planes[face], c[face+1]) {
				return
			}
			out, in := ends(c)
			l := length(c)
			level, bent := byHand(sc, i, j, l, out, in, gain, alpha, wide)
			if level < 0 {
				return
			}
			loud[path]++
			if _, has := holding(found[path][[2]int{i, j}], l, l+float64(bent)*a.hull.round()/2, level); !has {
				t.Fatalf("machine %d, %d to %d by %s (%+v): %v m, %v dB, %d bent, lies outside %+v", m, i, j, path, planes, l, level, bent, found[path][[2]int{i, j}])
			}
		}
		for k := range 16 * pairs {
			i, j := k%4, k/4%4
			p1, p2, d1, d2 := 2*math.Pi*rnd.Float64(), 2*math.Pi*rnd.Float64(), far(), far()
			if k%3 == 0 { // corners of about 90 degrees
				p2 = p1 + math.Pi/2 + 0.2*rnd.NormFloat64()
			}
			check(TwoWalls, i, j, -1, wallAt(sc, p1, d1), wallAt(sc, p2, d2))
			if len(flats) == 0 {
				continue
			}
			f := flats[rnd.IntN(len(flats))]
			p1 = math.Atan2(f.out.Y, f.out.X) + rnd.NormFloat64()/2
			wall := wallAt(sc, p1, d1)
			check(WallBodyWall, i, j, 1, wall, asPlane(f), wall)
		}
		for k := range 10 * pairs {
			i, j := k%4, k/4%4
			for _, f := range flats {
				body, wall := asPlane(f), wallAt(sc, 2*math.Pi*rnd.Float64(), far())
				if body.front(inSpace(sc.Sensors[i])) > mountedOnM {
					check(PartWall, i, j, 0, body, wall)
				}
				if body.front(inSpace(sc.Sensors[j])) > mountedOnM {
					check(PartWall, i, j, 1, wall, body)
				}
			}
		}
	}
	t.Logf("tried %v, loud enough %v, none outside", tried, loud)
	for _, p := range []Path{TwoWalls, WallBodyWall, PartWall} {
		if tried[p] < 1e6 || loud[p] < tried[p]/400 {
			t.Errorf("%s: %d paths, %d loud: too few to say anything", p, tried[p], loud[p])
		}
	}
}

// asPlane is a side as a wall seen from outside: what is in front of it is outside the body.
func asPlane(f side) plane {
	out := r3.Vector{X: f.out.X, Y: f.out.Y}
	return plane{out.Mul(-1), -out.Dot(r3.Vector{X: f.at.X, Y: f.at.Y})}
}

// onSide reports whether a point lies on the flat side that a plane was made of.
func onSide(flats []side, w plane, p r3.Vector) bool {
	for _, f := range flats {
		if f.out.X == -w.n.X && f.out.Y == -w.n.Y {
			t := f.along.Dot(r2.Point{X: p.X, Y: p.Y}.Sub(f.at))
			return t >= 0 && t <= f.length
		}
	}
	return false
}

// Arcs by two walls are not much wider than they must be: pairs of a grid, and the best of them bettered by small random
// steps, come near both ends.
func TestTwoWallArcsAreTight(t *testing.T) {
	t.Parallel()
	rnd := rand.New(rand.NewPCG(13, 5))
	worst := 0.0
	for _, n := range []int{3, 5} {
		sc := ring(n, scene.Span{Lo: 0.4, Hi: 5})
		sc.Around.Bounces = 2
		sc.Sensors = sc.Sensors[:3]
		gain, alpha := 40.0, 1.0
		a := trial(sc, wide, gain, alpha, 331, 349)
		w := sc.Around.WallsM
		at := func(arc Arc, v [4]float64) (shortest, longest float64, ok bool) {
			d1, d2 := min(w.Hi, max(w.Lo, v[1])), min(w.Hi, max(w.Lo, v[3]))
			c, ok := trace(inSpace(sc.Sensors[arc.From]), inSpace(sc.Sensors[arc.To]), wallAt(sc, v[0], d1), wallAt(sc, v[2], d2))
			if !ok {
				return 0, 0, false
			}
			out, in := ends(c)
			l := length(c)
			level, bent := byHand(sc, arc.From, arc.To, l, out, in, gain, alpha, wide)
			return l, l + float64(bent)*a.hull.round()/2, level >= -2*twoHairDB
		}
		for _, arc := range a.all() {
			if arc.Path != TwoWalls || arc.From > arc.To {
				continue
			}
			near, far := math.Inf(1), math.Inf(-1)
			var vn, vf [4]float64
			look := func(v [4]float64) {
				s, l, ok := at(arc, v)
				ok = ok && s >= arc.PathM.Lo-GapM/2 && l <= arc.PathM.Hi+GapM/2
				if ok && s < near {
					near, vn = s, v
				}
				if ok && l > far {
					far, vf = l, v
				}
			}
			for range 60000 {
				look([4]float64{2 * math.Pi * rnd.Float64(), w.Lo + (w.Hi-w.Lo)*rnd.Float64(), 2 * math.Pi * rnd.Float64(), w.Lo + (w.Hi-w.Lo)*rnd.Float64()})
			}
			for step := 0.3; step > 1e-4; step *= 0.97 {
				for range 40 {
					for _, v := range [][4]float64{vn, vf} {
						for k := range v {
							v[k] += step * rnd.NormFloat64()
						}
						look(v)
					}
				}
			}
			worst = math.Max(worst, math.Max(near-arc.PathM.Lo, arc.PathM.Hi-far))
		}
	}
	t.Logf("ends exceed what was found by at most %.3f m", worst)
	if worst > twoWithinM+0.05 { // the climb is not sure to end at the best
		t.Errorf("an arc is %.3f m wider than it must be", worst)
	}
}
