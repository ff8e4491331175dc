package crosstalk

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/golang/geo/s1"
)

// everywhere is a pattern without direction.
func everywhere(_, _ float64) float64 { return 0 }

// wide is the kind of pattern a small transducer has: falling with the square of the sine, never below a floor.
func wide(side, up float64) float64 {
	return math.Max(-14*side*side-22*up*up, -13)
}

// trial is an array under test with a flat ring of sensors; the pattern and the gain are the caller's.
func trial(sc *scene.Scene, pattern func(side, up float64) float64, gainDB, alpha, slow, fast float64) *array {
	a := &array{
		sc: sc, slow: slow, fast: fast,
		hull:   newHull(geometry.ConvexHull(sc.Body.Outline)),
		gainDB: func(i, j int) float64 { return gainDB },
	}
	for _, s := range sc.Sensors {
		a.voices = append(a.voices, newVoice(s, pattern))
		a.alpha = append(a.alpha, alpha)
	}
	return a
}

// front is a body of 1 m by 1 m with two sensors in its front, apart metres from each other.
func front(apart float64, walls scene.Span) *scene.Scene {
	return &scene.Scene{
		Body:   scene.Body{Outline: geometry.RoundedRectangle(1, 1, 0, r2.Point{}, 1e-3)},
		Around: scene.Around{WallsM: walls, Bounces: 1},
		Kinds:  []scene.Kind{{AssumedSpeed: scene.Value{X: 343.2}}},
		Sensors: []scene.Sensor{
			{Name: "a", At: r2.Point{X: 0.5, Y: apart / 2}},
			{Name: "b", At: r2.Point{X: 0.5, Y: -apart / 2}},
		},
	}
}

// all is what arcs finds when nothing cuts it short.
func (a *array) all() []Arc {
	arcs, err := a.arcs(context.Background())
	if err != nil {
		panic(err)
	}
	return arcs
}

// allArcs is Arcs when nothing cuts it short.
func allArcs(sc *scene.Scene, ears []*acoustics.Ear, slow, fast float64) []Arc {
	return arrayOf(sc, ears, slow, fast).all()
}

func find(t *testing.T, arcs []Arc, from, to int, p Path) Arc {
	t.Helper()
	for _, a := range arcs {
		if a.From == from && a.To == to && a.Path == p {
			return a
		}
	}
	t.Fatalf("no %s arc from %d to %d", p, from, to)
	return Arc{}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within || math.IsNaN(got) {
		t.Errorf("%s = %v, want %v within %v", what, got, want, within)
	}
}

// The worked cases of pulse-echo crosstalk at 343.2 m/s: r = (L - c dt)/2 with L = b along the body and
// L = sqrt(b² + 4 di dj) by a wall (image source), computed by hand.
func TestWorkedCases(t *testing.T) {
	t.Run("direct", func(t *testing.T) {
		a := trial(front(0.5, scene.Span{Lo: 1}), everywhere, 60, 0, 343.2, 343.2)
		arc := find(t, a.all(), 0, 1, Direct)
		near(t, "arrival, ms", arc.Starts.Seconds()*1e3, 1.457, 0.0005) // 0.5/343.2, three decimals given
		near(t, "arrival, ms", arc.Ends.Seconds()*1e3, 1.457, 0.0005)
		near(t, "reads, m", arc.Reads(0).Lo, 0.250, 1e-9)
		near(t, "level, dB", arc.LevelDB, 60+20*math.Log10(2), 1e-9)
	})
	t.Run("wall", func(t *testing.T) {
		// Only a wall square to the front is 1 m before both sensors; others at 1 m from the body are farther from one.
		a := trial(front(0.5, scene.Span{Lo: 1, Hi: 1}), everywhere, 60, 0, 343.2, 343.2)
		w := oneWall{link: newLink(&a.voices[0], &a.voices[1], 60, newFading(0), a.hull), walls: span{1, 1}}
		p, ok := w.at(0, 1)
		if !ok {
			t.Fatal("no path")
		}
		near(t, "reads, m", p.length.lo/2, 1.0308, 5e-5) // four decimals given
		near(t, "bounce x", p.points.at[1].X, 1.5, 1e-12)
		near(t, "bounce y", p.points.at[1].Y, 0, 1e-12)
		arc := find(t, a.all(), 0, 1, Wall)
		near(t, "least reading, m", arc.Reads(0).Lo, 1.0308, pathWithinM/2)
		if arc.Reads(0).Lo > 1.0308 {
			t.Error("a wall squarely before both lies outside the arc")
		}
	})
	t.Run("own late echo", func(t *testing.T) {
		sc := front(0.5, scene.Span{Lo: 4.2, Hi: 4.2})
		a := trial(sc, everywhere, 60, 0, 343.2, 343.2)
		arc := find(t, a.all(), 0, 0, Wall)
		near(t, "reads, m", arc.Reads(20*time.Millisecond).Lo, 0.768, pathWithinM/2+0.0005)
		if arc.Reads(20*time.Millisecond).Lo > 0.7685 {
			t.Error("a wall 4.2 m ahead lies outside the arc")
		}
	})
}

// scatter makes a random machine: a convex or dented outline, sensors on it and about it, tilted, at different heights.
func scatter(rnd *rand.Rand) *scene.Scene {
	size := 0.2 + 3*rnd.Float64()*rnd.Float64()
	corners := 3 + rnd.IntN(12)
	var outline []r2.Point
	for i := range corners {
		r := size * (0.4 + 0.6*rnd.Float64())
		u := unit(2 * math.Pi * (float64(i) + 0.8*rnd.Float64()) / float64(corners))
		outline = append(outline, u.Mul(r))
	}
	lo := rnd.Float64() * 2
	sc := &scene.Scene{
		Body:   scene.Body{Outline: outline},
		Around: scene.Around{WallsM: scene.Span{Lo: lo, Hi: lo + 8*rnd.Float64()*rnd.Float64()}, Bounces: 1},
		Kinds: []scene.Kind{{Timing: scene.Timing{
			TriggerToBurst: scene.TimeSpan{Lo: 200 * time.Microsecond, Hi: 500 * time.Microsecond},
			Burst:          400 * time.Microsecond,
		}}},
		Controller: scene.Controller{ClockError: 0.01},
		Wishes:     scene.Wishes{Jitter: 50 * time.Microsecond},
	}
	for range 4 {
		i := rnd.IntN(corners)
		p, q := outline[i], outline[(i+1)%corners]
		at := p.Add(q.Sub(p).Mul(rnd.Float64()))
		heading := math.Atan2(at.Y, at.X) + rnd.NormFloat64()/2
		if rnd.IntN(8) == 0 {
			at = at.Mul(1.1) // on a boom, farther out than the body
		}
		s := scene.Sensor{At: at, Heading: s1.Angle(heading), HeightM: 0.2}
		if rnd.IntN(2) == 0 {
			s.HeightM, s.Tilt = rnd.Float64(), s1.Angle(0.3*rnd.NormFloat64())
		}
		sc.Sensors = append(sc.Sensors, s)
	}
	return sc
}

// wallPath is a path by one wall computed by hand: the image of the sender in space, the listener seen from it, and the
// directions of both ends in each sensor's own axes. It shares nothing with the search but the pattern.
func wallPath(sc *scene.Scene, i, j int, psi, d, gain, alpha float64, pattern func(side, up float64) float64) (length, level float64, bent int, ok bool) {
	n := r3.Vector{X: math.Cos(psi), Y: math.Sin(psi)}
	touch := math.Inf(-1)
	for _, p := range sc.Body.Outline {
		touch = math.Max(touch, n.X*p.X+n.Y*p.Y)
	}
	from, to := inSpace(sc.Sensors[i]), inSpace(sc.Sensors[j])
	before := touch + d - n.Dot(from)
	if before <= 0 || touch+d-n.Dot(to) <= 0 {
		return 0, 0, 0, false
	}
	out := to.Sub(from)
	out = out.Sub(n.Mul(2 * n.Dot(out))) // towards the image of the listener, seen in the wall ...
	out = out.Add(n.Mul(2 * before))     // ... that is this far away
	mirrored := out.Sub(n.Mul(2 * n.Dot(out)))
	length = out.Norm()
	level, bent = byHand(sc, i, j, length, out, mirrored.Mul(-1), gain, alpha, pattern)
	return length, level, bent, true
}

// byHand is the level of a path that leaves i and arrives at j in these directions of space, each taken in the sensor's own axes.
func byHand(sc *scene.Scene, i, j int, length float64, out, in r3.Vector, gain, alpha float64, pattern func(side, up float64) float64) (level float64, bent int) {
	level = gain - 20*math.Log10(math.Max(length, leastPathM)) - alpha*length
	for _, e := range []struct {
		s   scene.Sensor
		dir r3.Vector
	}{{sc.Sensors[i], out}, {sc.Sensors[j], in}} {
		dir := e.dir.Normalize()
		h, tilt := float64(e.s.Heading), float64(e.s.Tilt)
		axis := r3.Vector{X: math.Cos(h) * math.Cos(tilt), Y: math.Sin(h) * math.Cos(tilt), Z: math.Sin(tilt)}
		side := r3.Vector{X: -math.Sin(h), Y: math.Cos(h)}
		edge := math.Max(pattern(1, 0), pattern(0, 1))
		switch ahead := dir.Dot(axis); {
		case ahead >= 0:
			level += pattern(math.Abs(dir.Dot(side)), math.Abs(dir.Dot(axis.Cross(side))))
		case ahead >= -math.Sin(math.Pi/180):
			level += edge
		default:
			level += edge - BendLossDB
			bent++
		}
	}
	return level, bent
}

func inSpace(s scene.Sensor) r3.Vector { return r3.Vector{X: s.At.X, Y: s.At.Y, Z: s.HeightM} }

// byPair sorts the arcs of one way.
func byPair(arcs []Arc, p Path) map[[2]int][]Arc {
	found := map[[2]int][]Arc{}
	for _, a := range arcs {
		if a.Path == p {
			found[[2]int{a.From, a.To}] = append(found[[2]int{a.From, a.To}], a)
		}
	}
	return found
}

// holding returns the arc that holds a path of these lengths and level.
func holding(arcs []Arc, shortest, longest, level float64) (Arc, bool) {
	const rounding = 1e-7 // of a path of metres, in m and dB
	for _, a := range arcs {
		if shortest >= a.PathM.Lo-rounding && longest <= a.PathM.Hi+rounding && level <= a.LevelDB+rounding {
			return a, true
		}
	}
	return Arc{}, false
}

// inTime reports whether an arc of a machine of scatter, at 331 to 349 m/s, lasts from the first to the last sound of a path.
func inTime(arc Arc, shortest, longest float64) bool {
	// Earliest and latest burst, burst length and 1 % of clock error, as scatter has them.
	first, last := shortest/349+200e-6, longest/331+500e-6+400e-6
	return arc.Starts.Seconds() <= first*0.99+1e-9 && arc.Ends.Seconds() >= last*1.01-1e-9
}

// No wall tried at random lies outside its arc, in length, in time or in level.
func TestNoWallOutside(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	const machines, walls = 60, 1500 // times 16 ordered pairs: 1.4 million paths
	tried, loud := 0, 0
	for m := range machines {
		sc := scatter(rnd)
		gain, alpha := 10+50*rnd.Float64(), 1.2*rnd.Float64()
		a := trial(sc, wide, gain, alpha, 331, 349)
		found := byPair(a.all(), Wall)
		w := sc.Around.WallsM
		for k := range 16 * walls {
			i, j := k%4, k/4%4
			length, level, bent, ok := wallPath(sc, i, j, 2*math.Pi*rnd.Float64(), w.Lo+(w.Hi-w.Lo)*rnd.Float64(), gain, alpha, wide)
			tried++
			if !ok || level < 0 {
				continue
			}
			loud++
			longest := length + float64(bent)*a.hull.round()/2
			arc, has := holding(found[[2]int{i, j}], length, longest, level)
			if !has {
				t.Fatalf("machine %d, %d to %d: %v m, %v dB, %d bent, lies outside %+v", m, i, j, length, level, bent, found[[2]int{i, j}])
			}
			if !inTime(arc, length, longest) {
				t.Fatalf("machine %d: %v to %v m lies outside %v to %v", m, length, longest, arc.Starts, arc.Ends)
			}
		}
	}
	t.Logf("%d paths tried, %d loud enough, none outside", tried, loud)
	if tried < 1e6 || loud < tried/20 {
		t.Errorf("%d paths, %d loud: too few to say anything", tried, loud)
	}
}

// Arcs are no wider than they must be: the walls of a fine grid come within the tolerance of the search, and the grid's
// own step, of both ends.
func TestArcsAreTight(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 5))
	const turns, steps = 360, 120
	worst := 0.0
	for range 5 {
		sc := scatter(rnd)
		gain, alpha := 40.0, 1.0
		a := trial(sc, wide, gain, alpha, 331, 349)
		w := sc.Around.WallsM
		for _, arc := range a.all() {
			if arc.Path != Wall || arc.From > arc.To {
				continue
			}
			near, far := math.Inf(1), math.Inf(-1)
			for u := range turns {
				for v := range steps + 1 {
					d := w.Lo + (w.Hi-w.Lo)*float64(v)/steps
					length, level, bent, ok := wallPath(sc, arc.From, arc.To, 2*math.Pi*float64(u)/turns, d, gain, alpha, wide)
					if ok && level >= -2*hairDB {
						near = math.Min(near, length)
						far = math.Max(far, length+float64(bent)*a.hull.round()/2)
					}
				}
			}
			// Half a step of either kind moves a path by so much at the most.
			step := (w.Hi-w.Lo)/steps + 2*a.hull.round()/math.Pi*math.Pi/turns
			worst = math.Max(worst, math.Max(near-arc.PathM.Lo, arc.PathM.Hi-far)-step)
		}
	}
	t.Logf("ends exceed the grid's by at most %.3f m", worst)
	if worst > pathWithinM+2*padM {
		t.Errorf("an arc is %.3f m wider than it must be", worst)
	}
}

// A sensor's own sound, if it sends and hears alike all round: from a wall as near as may be to one square to the farthest corner.
func TestOwnEchoOfAnyWall(t *testing.T) {
	sc := front(0.6, scene.Span{Lo: 0.4, Hi: 3})
	a := trial(sc, everywhere, 90, 0.5, 340, 340)
	arc := find(t, a.all(), 0, 0, Wall)
	corner := math.Hypot(1, 0.8) // from (0.5, 0.3) to (-0.5, -0.5)
	detour := 2 * 4.0 / 2        // both ends bend, half the way round each
	if lo := arc.PathM.Lo; lo > 0.8 || lo < 0.8-pathWithinM-2*padM {
		t.Errorf("nearest path %v, want 0.8", lo)
	}
	if hi, want := arc.PathM.Hi, 2*(corner+3)+detour; hi < want || hi > want+pathWithinM+2*padM {
		t.Errorf("farthest path %v, want %v", hi, want)
	}
}

// Whatever the machine, the level and the wall, the arc holds it.
func FuzzWall(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, 0.7*float64(seed), 0.1*float64(seed), 20+5*float64(seed))
	}
	f.Add(uint64(3), math.Pi, 0.0, 0.0)
	f.Add(uint64(4), -1e9, 1.0, 200.0)
	f.Fuzz(func(t *testing.T, seed uint64, psi, share, gain float64) {
		if !(math.Abs(psi) < 1e12 && share >= 0 && share <= 1 && gain > -100 && gain < 300) {
			return // no such wall or module
		}
		sc := scatter(rand.New(rand.NewPCG(seed, 1)))
		sc.Sensors = sc.Sensors[:2]
		a := trial(sc, wide, gain, 1, 331, 349)
		arcs := a.all()
		psi = math.Mod(psi, 2*math.Pi)
		d := sc.Around.WallsM.Lo + share*(sc.Around.WallsM.Hi-sc.Around.WallsM.Lo)
		length, level, bent, ok := wallPath(sc, 0, 1, psi, d, gain, 1, wide)
		if !ok || level < 0 {
			return
		}
		if _, has := holding(byPair(arcs, Wall)[[2]int{0, 1}], length, length+float64(bent)*a.hull.round()/2, level); !has {
			t.Errorf("%v m, %v dB, %d bent, lies outside %+v", length, level, bent, arcs)
		}
	})
}
