package crosstalk

import (
	"math"
	"runtime"
	"sync"
	"time"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// array is all sensors of a layout as sound sees them.
type array struct {
	sc         *scene.Scene
	voices     []voice
	hull       *hull
	slow, fast float64 // speed of sound, m/s
	// gainDB is the level at sensor j, over the lowest threshold it ever has, of sound of i after 1 m of path on both axes.
	gainDB func(i, j int) float64
	alpha  []float64 // least absorption of each sensor's carrier, dB/m
}

// heard is one way sound can go between two sensors: the span of lengths at which it is loud enough.
type heard struct {
	path   Path
	length span // m
	level  float64
	points []r2.Point
}

func (h heard) reversed() heard {
	h.points = append([]r2.Point(nil), h.points...)
	for i, j := 0, len(h.points)-1; i < j; i, j = i+1, j-1 {
		h.points[i], h.points[j] = h.points[j], h.points[i]
	}
	return h
}

// arcs looks at every ordered pair, on as many processors as there are; the answer does not depend on how many.
func (a *array) arcs() []Arc {
	n := len(a.voices)
	found := make([][]heard, n*n)
	var sectors []sector
	if n > 0 && a.walls() {
		sectors = a.hull.sectors(float64(a.sc.Sensors[0].Heading))
	}
	var next sync.Mutex
	row, workers := 0, sync.WaitGroup{}
	for range min(n, runtime.GOMAXPROCS(0)) {
		workers.Go(func() {
			var h hunt
			for {
				next.Lock()
				i := row
				row++
				next.Unlock()
				if i >= n {
					return
				}
				for j := i; j < n; j++ {
					a.pair(i, j, sectors, found, &h)
				}
			}
		})
	}
	workers.Wait()
	var arcs []Arc
	for k, ways := range found {
		for _, h := range ways {
			arcs = append(arcs, a.arc(k/n, k%n, h))
		}
	}
	return arcs
}

func (a *array) walls() bool {
	w := a.sc.Around
	return w.Bounces >= 1 && w.WallsM.Lo <= w.WallsM.Hi
}

// pair fills in what j hears of i and i of j. A path is as good one way as the other, so one search serves
// both as long as the levels start alike.
func (a *array) pair(i, j int, sectors []sector, found [][]heard, h *hunt) {
	n := len(a.voices)
	found[i*n+j] = a.heard(i, j, sectors, h)
	switch {
	case i == j:
	case a.gainDB(i, j) == a.gainDB(j, i) && a.alpha[i] == a.alpha[j]:
		for _, way := range found[i*n+j] {
			found[j*n+i] = append(found[j*n+i], way.reversed())
		}
	default:
		found[j*n+i] = a.heard(j, i, sectors, h)
	}
}

// heard finds the ways by which sensor j hears sensor i.
func (a *array) heard(i, j int, sectors []sector, h *hunt) (ways []heard) {
	l := newLink(&a.voices[i], &a.voices[j], a.gainDB(i, j), a.alpha[i], a.hull, span{a.sc.Around.WallsM.Lo, a.sc.Around.WallsM.Hi})
	if i != j {
		if way := l.direct(); way.level >= 0 {
			ways = append(ways, way)
		}
	}
	if len(sectors) > 0 {
		if way, ok := l.byWall(sectors, h); ok {
			ways = append(ways, way)
		}
	}
	return ways
}

// direct is the way along the body: no earlier than along the straight line, no later than along the hull.
func (l *link) direct() heard {
	straight := math.Sqrt(l.apart2)
	level := l.apart.Norm()
	out := l.from.strongest(cone{lo: l.apart, hi: l.apart, rise: l.rise, near: level, far: level})
	in := l.to.strongest(cone{lo: l.apart.Mul(-1), hi: l.apart.Mul(-1), rise: -l.rise, near: level, far: level})
	return heard{
		path:   Direct,
		length: span{straight, math.Hypot(l.hull.way(l.from.at, l.to.at), l.rise)},
		level:  l.carried(straight) + max(out.straight, out.bent) + max(in.straight, in.bent),
		points: []r2.Point{l.from.at, l.to.at},
	}
}

// padM is far more than all rounding adds up to, and far less than matters.
const padM = 1e-6

// byWall finds the span of paths over all walls that are loud enough, and the loudest.
func (l *link) byWall(sectors []sector, h *hunt) (heard, bool) {
	h.start(l, loudest(), nil)
	level := h.run(sectors)
	if level < 0 {
		return heard{}, false
	}
	best := h.best
	var known *place
	if best.level >= 0 {
		known = &best
	}
	h.start(l, shortest(), known)
	near := -h.run(sectors)
	if math.IsInf(near, 1) {
		return heard{}, false
	}
	h.start(l, longest(l.hull.round()/2), known)
	far := h.run(sectors)
	return heard{
		path:   Wall,
		length: span{max(0, near-padM), far + padM},
		level:  level,
		points: []r2.Point{l.from.at, best.bounce, l.to.at},
	}, true
}

// arc turns lengths into times: see Arc for what widens them.
func (a *array) arc(i, j int, h heard) Arc {
	from, to := a.sc.Kinds[a.sc.Sensors[i].Kind], a.sc.Kinds[a.sc.Sensors[j].Kind]
	bursts := span{from.Timing.TriggerToBurst.Lo.Seconds(), (from.Timing.TriggerToBurst.Hi + from.Timing.Burst).Seconds()}
	path := scene.Span{Lo: h.length.lo - pairHalf(from) - pairHalf(to), Hi: h.length.hi + pairHalf(from) + pairHalf(to)}
	path.Lo = max(0, path.Lo)
	arrive := span{path.Lo/a.fast + bursts.lo, path.Hi/a.slow + bursts.hi}
	jitter, drift := 2*a.sc.Wishes.Jitter.Seconds(), a.sc.Controller.ClockError
	return Arc{
		From: i, To: j, Path: h.path, Points: h.points, LevelDB: h.level, PathM: path,
		Starts: duration(math.Floor, max(0, arrive.lo-jitter-arrive.lo*drift)),
		Ends:   duration(math.Ceil, arrive.hi+jitter+arrive.hi*drift),
		early:  bursts.lo - to.Timing.TriggerToBurst.Hi.Seconds(),
		late:   bursts.hi - to.Timing.TriggerToBurst.Lo.Seconds(),
		sound:  span{a.slow, a.fast},
		fixed:  to.AssumedSpeed.X,
	}
}

// pairHalf is how far a transducer may stand from the middle of its sensor, m.
func pairHalf(k scene.Kind) float64 {
	if !k.Pair {
		return 0
	}
	return k.PairSpacingM.X / 2
}

func duration(round func(float64) float64, seconds float64) time.Duration {
	return time.Duration(round(seconds * 1e9))
}
