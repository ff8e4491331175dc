package acoustics

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

// Level and lobe tell the same story: inside a ring the level is not below 0, outside every ring it is
// (but for the stated error and the near and far limits).
func TestLevelAgreesWithLobe(t *testing.T) {
	for i := range 60 {
		r := rand.New(rand.NewPCG(11, uint64(i)))
		e, target, _ := randomCase(t, r)
		l := e.Lobe(target, LobeOptions{})
		for range 150 {
			p := e.s.At.Add(r2.Point{X: 8 * (r.Float64() - 0.5), Y: 8 * (r.Float64() - 0.5)})
			seen := e.Level(target, p, Certain) >= 0
			if in := inRings(l.Rings, p); in != seen && toRings(l.Rings, p) > l.ErrorM {
				t.Errorf("case %d, %s: at %v in lobe %v, level %g", i, target.Shape, p, in, e.Level(target, p, Certain))
			}
		}
	}
}

func inRings(rings [][]r2.Point, p r2.Point) bool {
	for _, r := range rings {
		in := false
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				in = !in
			}
		}
		if in {
			return true
		}
	}
	return false
}

// Stronger modules, larger or harder targets, less absorption and a narrower span of weather never see
// less; Strongest is never below Certain.
func TestNothingStrongerSeesLess(t *testing.T) {
	for i := range 200 {
		r := rand.New(rand.NewPCG(13, uint64(i)))
		e, target, _ := randomCase(t, r)
		target.LossDB.X += 3
		stronger := map[string]func() (*Ear, scene.Target){
			"gain": func() (*Ear, scene.Target) {
				k := e.m.Kind()
				k.Supply.VoltsV.Lo = 5.2
				return model(t, k, airOf(e)).Mount(e.s, e.ground), target
			},
			"less loss": func() (*Ear, scene.Target) {
				better := target
				better.LossDB.X -= 3
				return e, better
			},
			"radius": func() (*Ear, scene.Target) {
				better := target
				if target.Shape == scene.Post {
					better.RadiusM *= 1.5
				}
				return e, better
			},
			"weather": func() (*Ear, scene.Target) {
				a := airOf(e)
				if a.TemperatureC.Hi > a.TemperatureC.Lo {
					a = box(15, 25, 40, 60)
				}
				return model(t, e.m.Kind(), a).Mount(e.s, e.ground), target
			},
			"fewer turns": func() (*Ear, scene.Target) {
				better := target
				better.Turned.Lo = (target.Turned.Lo + target.Turned.Hi) / 2
				return e, better
			},
		}
		for name, make := range stronger {
			better, with := make()
			for range 10 {
				p := e.s.At.Add(r2.Point{X: 6 * (r.Float64() - 0.5), Y: 6 * (r.Float64() - 0.5)})
				if name == "radius" && target.Shape == scene.Post {
					// The same distance to the surface: the place is the axis.
					d := p.Sub(e.s.At)
					q := e.s.At.Add(d.Mul((d.Norm() + with.RadiusM - target.RadiusM) / d.Norm()))
					check(t, name, e.Level(target, p, Certain), better.Level(with, q, Certain))
					continue
				}
				check(t, name, e.Level(target, p, Certain), better.Level(with, p, Certain))
				check(t, "strongest", e.Level(target, p, Certain), e.Level(target, p, Strongest))
			}
		}
	}
}

func check(t *testing.T, what string, weak, strong float64) {
	t.Helper()
	// 1e-3 dB: turns are searched to a tolerance, and a null's flank is steep.
	if weak > strong+1e-3 && weak > -40 {
		t.Errorf("%s: %g dB falls to %g", what, weak, strong)
	}
}

func airOf(e *Ear) scene.Air {
	if e.m.slow.Value == e.m.fast.Value {
		return still()
	}
	return mild()
}

// The lobe of a stronger module holds that of a weaker one.
func TestStrongerLobeHoldsTheWeaker(t *testing.T) {
	for i := range 40 {
		r := rand.New(rand.NewPCG(17, uint64(i)))
		e, target, o := randomCase(t, r)
		k := e.m.Kind()
		k.Supply.VoltsV.Lo = 5.4
		strong := model(t, k, airOf(e)).Mount(e.s, e.ground).Lobe(target, o)
		for _, ring := range e.Lobe(target, o).Rings {
			for _, p := range ring {
				if !inRings(strong.Rings, p) && toRings(strong.Rings, p) > 2*defaultErrorM {
					t.Errorf("case %d, %s: %v lost", i, target.Shape, p)
				}
			}
		}
	}
}

// A mirrored sensor has the mirrored polygon bit for bit (its target's turns being symmetric); one moved and
// turned has the same polygon moved and turned within 1e-9 m.
func TestMirroredMovedAndTurned(t *testing.T) {
	for i := range 60 {
		r := rand.New(rand.NewPCG(19, uint64(i)))
		e, target, o := randomCase(t, r)
		target.Turned.Lo = -target.Turned.Hi
		if target.Turned.Hi < 0 {
			target.Turned = scene.Span{}
		}
		l := e.Lobe(target, o)
		m := e.s
		m.At.Y, m.Heading = -m.At.Y, -m.Heading
		mirror := e.m.Mount(m, e.ground).Lobe(target, o)
		if len(mirror.Rings) != len(l.Rings) {
			t.Fatalf("case %d: %d rings, mirrored %d", i, len(l.Rings), len(mirror.Rings))
		}
		have := map[r2.Point]bool{}
		for _, ring := range l.Rings {
			for _, p := range ring {
				have[p] = true
			}
		}
		for _, ring := range mirror.Rings {
			for _, p := range ring {
				if !have[r2.Point{X: p.X, Y: -p.Y}] {
					t.Errorf("case %d: mirrored %v has no partner", i, p)
				}
			}
		}
		turn := s1.Angle(1.234)
		s, c := math.Sincos(turn.Radians())
		move := func(p r2.Point) r2.Point { return r2.Point{X: c*p.X - s*p.Y + 3, Y: s*p.X + c*p.Y - 7} }
		w := e.s
		w.At, w.Heading = move(w.At), w.Heading+turn
		moved := e.m.Mount(w, e.ground).Lobe(target, o)
		for k, ring := range l.Rings {
			for j, p := range ring {
				if off := moved.Rings[k][j].Sub(move(p)).Norm(); off > 1e-9 {
					t.Fatalf("case %d: moved point off by %g", i, off)
				}
			}
		}
	}
}

// Rings are counter-clockwise and simple enough to have an area; equal input gives equal bytes.
func TestRingsAreWellFormed(t *testing.T) {
	for i := range 100 {
		r := rand.New(rand.NewPCG(23, uint64(i)))
		e, target, o := randomCase(t, r)
		l, again := e.Lobe(target, o), e.Lobe(target, o)
		for k, ring := range l.Rings {
			area := 0.0
			for j, p := range ring {
				q := ring[(j+1)%len(ring)]
				area += float64(p.X*q.Y) - float64(p.Y*q.X)
				if p == q || math.IsNaN(p.X) {
					t.Errorf("case %d: repeated or bad point %v", i, p)
				}
				if again.Rings[k][j] != p {
					t.Fatalf("case %d: differs when run again", i)
				}
			}
			if len(ring) < 3 || area < -1e-12 {
				t.Errorf("case %d: ring of %d points, area %g", i, len(ring), area/2)
			}
		}
	}
}

// A wall turned beyond the beam sends its echo elsewhere: it vanishes where the level says, on axis, and a
// span of turns that holds that turn is not seen there.
func TestVanishTurn(t *testing.T) {
	k := can()
	k.Beam.Across = deg(30)
	e := model(t, k, mild()).Mount(scene.Sensor{HeightM: 0.4}, scene.GroundSmooth)
	for _, d := range []float64{0.5, 1, 2, 3} {
		turn, ok := e.VanishTurn(wallTurned(0), r2.Point{X: d}, 0)
		if !ok {
			t.Fatalf("at %g m it never vanishes", d)
		}
		for _, s := range []float64{-0.02, 0.02} {
			w := wallTurned((turn.Degrees()) + s)
			if seen := e.Level(w, r2.Point{X: d}, Certain) >= 0; seen != (s < 0) {
				t.Errorf("at %g m, turned %g deg past its vanishing: seen %v", d, s, seen)
			}
		}
	}
	// Aside of the axis it vanishes sooner, turned away from the axis: to the left on the left, mirrored on the right.
	ahead, _ := e.VanishTurn(wallTurned(0), r2.Point{X: 1}, 0)
	left, _ := e.VanishTurn(wallTurned(0), r2.Point{X: 1, Y: 0.1}, 0)
	right, _ := e.VanishTurn(wallTurned(0), r2.Point{X: 1, Y: -0.1}, 0)
	if !(left > 0 && left < ahead.Abs()) || left != -right {
		t.Errorf("ahead %v, left %v, right %v", ahead, left, right)
	}
	// Turned by τ it answers from cos τ of the distance: at 0.81 m it soon comes inside 0.8 m.
	if turn, _ := e.VanishTurn(wallTurned(0), r2.Point{X: 0.81}, 0.8); math.Abs(math.Cos(turn.Radians())-0.8/0.81) > 1e-9 {
		t.Errorf("vanishes at %v, not where it comes inside the blind distance", turn)
	}
	if _, ok := e.VanishTurn(wallTurned(0), r2.Point{X: 50}, 0); ok {
		t.Error("never seen, yet vanishes")
	}
	if _, ok := e.VanishTurn(post75(), r2.Point{X: 1}, 0); ok {
		t.Error("a post has no turn")
	}
}

// The side view holds the axis to the reach and nothing below the ground.
func TestSideView(t *testing.T) {
	m := model(t, can(), mild())
	for _, tilt := range []float64{-20, 0, 10} {
		e := m.Mount(scene.Sensor{HeightM: 0.5, Tilt: deg(tilt)}, scene.GroundSmooth)
		ring := e.SideView(post75(), LobeOptions{NearM: m.BlindM()})
		reach, _ := m.ReachM(post75())
		s, c := math.Sincos(tilt * math.Pi / 180)
		for _, d := range []float64{0.3, 0.6, reach - 0.01, reach + 0.01} {
			p := r2.Point{X: d * c, Y: 0.5 + d*s}
			if in := inRings([][]r2.Point{ring}, p); in != (d < reach && p.Y > 0) {
				t.Errorf("tilt %g: %g m along the axis in view %v", tilt, d, in)
			}
		}
		for _, p := range ring {
			if p.Y < 0 {
				t.Errorf("tilt %g: %v is below the ground", tilt, p)
			}
		}
	}
}

func FuzzLobeNeverFails(f *testing.F) {
	f.Add(0.4, 5.0, 60.0, 30.0, 2.0, 15.0, 0.25, 3.0)
	f.Add(0.0, -90.0, 180.0, 1.0, 12.0, 80.0, 0.0, 0.0)
	f.Add(3.0, 89.9, 5.0, 170.0, 0.01, 0.0, 5.0, 1.0)
	f.Fuzz(func(t *testing.T, height, tilt, across, upright, rangeM, turned, nearM, farM float64) {
		for _, v := range []float64{height, tilt, across, upright, rangeM, turned, nearM, farM} {
			if math.IsNaN(v) || math.Abs(v) > 1e3 {
				return
			}
		}
		if across < 2 || upright < 2 || rangeM < 0.01 || rangeM > 20 || math.Abs(turned) > 80 {
			return // no card says so
		}
		k := can()
		k.Beam.Across, k.Beam.Upright, k.Ranges[0].M.X = deg(across), deg(upright), rangeM
		e := model(t, k, mild()).Mount(scene.Sensor{HeightM: height, Tilt: deg(tilt)}, scene.GroundSmooth)
		for _, target := range []scene.Target{post75(), wallTurned(math.Abs(turned)), {Shape: scene.Sphere, RadiusM: 0.1, HeightM: scene.Span{Hi: 0.2}}} {
			for _, ring := range e.Lobe(target, LobeOptions{NearM: nearM, FarM: farM, ErrorM: 0.01}).Rings {
				for _, p := range ring {
					if math.IsNaN(p.X+p.Y) || p.Norm() > 1e3 {
						t.Fatalf("point %v", p)
					}
				}
			}
		}
	})
}
