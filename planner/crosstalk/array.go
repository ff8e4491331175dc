package crosstalk

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"echowright/planner/parallel"
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

	fadings map[float64]*fading
	sectors []sector
	compass *compass
	rounds  []*round
	sides   []side
	targets []*plots
	prisms  []prism

	remembered *remembered // nil: nothing
}

// heard is one way sound can go between two sensors: a span of lengths at which it is loud enough.
type heard struct {
	path   Path
	object string
	length span // m
	level  float64
	points []r2.Point
	same   bool
}

func (h heard) reversed() heard {
	h.points = append([]r2.Point(nil), h.points...)
	slices.Reverse(h.points)
	return h
}

// prepare works out what all pairs share.
func (a *array) prepare() {
	a.fadings = map[float64]*fading{}
	for _, x := range a.alpha {
		if a.fadings[x] == nil {
			a.fadings[x] = newFading(x)
		}
	}
	bounces := a.sc.Around.Bounces
	if len(a.voices) == 0 || bounces < 1 {
		return
	}
	zero := a.zero()
	a.prisms = prisms(a.sc.Body)
	a.targets = plotTargets(a.sc, unit(zero))
	if a.sc.Around.WallsM.Lo > a.sc.Around.WallsM.Hi {
		return
	}
	a.sectors = a.hull.sectors(zero)
	if bounces < 2 {
		return
	}
	a.sides = sides(a.sc.Body.Outline)
	a.compass = newCompass(a.hull, zero)
	a.rounds = make([]*round, len(a.voices))
	for i := range a.voices {
		a.rounds[i] = newRound(a.compass, a.hull, a.voices[i].at)
	}
}

// zero is where directions are counted from, rad: with the first sensor, if nothing else is said, the array may be turned as a whole.
func (a *array) zero() float64 {
	if r := a.remembered; r != nil && r.memory.Zero != nil {
		return float64(*r.memory.Zero)
	}
	return float64(a.sc.Sensors[0].Heading)
}

// arcs looks at every ordered pair, on as many processors as there are; the answer does not depend on how many. Once ctx
// has ended it stops after the pairs at hand.
func (a *array) arcs(ctx context.Context) ([]Arc, error) {
	a.prepare()
	n := len(a.voices)
	found := make([][]heard, n*n)
	hunts := sync.Pool{New: func() any { return &hunt{ctx: ctx} }}
	err := parallel.Each(ctx, n, runtime.GOMAXPROCS(0), func(i int) {
		h := hunts.Get().(*hunt)
		for j := i; j < n && ctx.Err() == nil; j++ {
			a.ask(i, j, found, h)
		}
		hunts.Put(h)
	})
	if err != nil {
		return nil, err
	}
	var arcs []Arc
	for k, ways := range found {
		for _, h := range ways {
			arcs = append(arcs, a.arc(k/n, k%n, h))
		}
	}
	return arcs, nil
}

// pair fills in what j hears of i and i of j. A path is as good one way as the other, so one search serves
// both as long as the levels start alike.
func (a *array) pair(i, j int, found [][]heard, h *hunt) {
	n := len(a.voices)
	found[i*n+j] = a.heard(i, j, h)
	switch {
	case i == j:
	case a.gainDB(i, j) == a.gainDB(j, i) && a.alpha[i] == a.alpha[j]:
		for _, way := range found[i*n+j] {
			way = way.reversed()
			if way.path == Wall { // what the listener hears by itself is another matter
				l := a.link(j, i)
				way.same = h.same(l, a.oneWall(l), false)
			}
			found[j*n+i] = append(found[j*n+i], way)
		}
	default:
		found[j*n+i] = a.heard(j, i, h)
	}
}

func (a *array) link(i, j int) *link {
	return newLink(&a.voices[i], &a.voices[j], a.gainDB(i, j), a.fadings[a.alpha[i]], a.hull)
}

func (a *array) oneWall(l *link) *oneWall {
	return &oneWall{link: l, walls: span{a.sc.Around.WallsM.Lo, a.sc.Around.WallsM.Hi}, sectors: a.sectors}
}

// heard finds the ways by which sensor j hears sensor i.
func (a *array) heard(i, j int, h *hunt) (ways []heard) {
	l := a.link(i, j)
	if i != j {
		if way := l.direct(a.sc.Body.Outline); way.level >= 0 {
			ways = append(ways, way)
		}
	}
	if len(a.sectors) > 0 {
		wall := a.oneWall(l)
		ways = h.ways(ways, l, wall, Wall, "")
		if a.compass != nil {
			two := twoWalls{link: l, walls: wall.walls, compass: a.compass, from: a.rounds[i], to: a.rounds[j]}
			ways = h.ways(ways, l, &two, TwoWalls, "")
			height := span{a.sc.Body.HeightM.Lo, a.sc.Body.HeightM.Hi}
			var by []heard
			for _, s := range a.sides {
				by = h.ways(by, l, &wallBodyWall{oneWall: *wall, side: s, heights: height}, WallBodyWall, "")
			}
			ways = append(ways, joined(by)...)
			ways = append(ways, a.bySideAndWall(l, *wall, h)...)
		}
	}
	for _, p := range a.targets {
		var f family = newFlat(l, p, a.sc.Around.Ground)
		if p.target.Shape == scene.Post || p.target.Shape == scene.Sphere {
			f = newRoundThing(l, p, a.sc.Around.Ground)
		}
		ways = h.ways(ways, l, f, Object, p.target.Name)
	}
	for k := range a.prisms {
		ways = append(ways, l.byPart(&a.prisms[k])...)
	}
	return ways
}

// ways adds the ways by one family to a list: one for every span of lengths.
func (h *hunt) ways(list []heard, l *link, f family, path Path, object string) []heard {
	found := h.cover(l, f)
	same := len(found) > 0 && h.same(l, f, h.alone)
	for _, s := range found {
		way := heard{path: path, object: object, length: span{max(0, s.lo-padM), s.hi + padM}, same: same}
		way.level = max(0, h.loudest(l, f, s))
		way.points = h.best.points.list()
		if len(way.points) == 0 { // no path of it is sure to exist
			way.points = []r2.Point{l.from.at, l.to.at}
		}
		list = append(list, way)
	}
	return list
}

// joined puts together ways of one path whose lengths come near each other.
func joined(list []heard) []heard {
	slices.SortStableFunc(list, func(a, b heard) int { return cmp.Compare(a.length.lo, b.length.lo) })
	var out []heard
	for _, w := range list {
		if n := len(out); n > 0 && w.length.lo <= out[n-1].length.hi+GapM {
			last := &out[n-1]
			last.length.hi = max(last.length.hi, w.length.hi)
			last.same = last.same && w.same
			if w.level > last.level {
				last.level, last.points = w.level, w.points
			}
			continue
		}
		out = append(out, w)
	}
	return out
}

// padM is far more than all rounding adds up to, and far less than matters.
const padM = 1e-6

// arc turns lengths into times: see Arc for what widens them.
func (a *array) arc(i, j int, h heard) Arc {
	from, to := a.sc.Kinds[a.sc.Sensors[i].Kind], a.sc.Kinds[a.sc.Sensors[j].Kind]
	bursts := span{from.Timing.TriggerToBurst.Lo.Seconds(), (from.Timing.TriggerToBurst.Hi + from.Timing.Burst).Seconds()}
	path := scene.Span{Lo: h.length.lo - pairHalf(from) - pairHalf(to), Hi: h.length.hi + pairHalf(from) + pairHalf(to)}
	path.Lo = max(0, path.Lo)
	arrive := span{path.Lo/a.fast + bursts.lo, path.Hi/a.slow + bursts.hi}
	drift := a.sc.Controller.ClockError
	early := bursts.lo - to.Timing.TriggerToBurst.Hi.Seconds()
	// Lengths were compared; a burst that may leave sooner, or a pair's spacing, would bring the foreign sound first all the same.
	same := h.same && early >= 2*a.sc.Wishes.Jitter.Seconds() && pairHalf(from)+pairHalf(to) == 0
	return Arc{
		From: i, To: j, Path: h.path, Object: h.object, SameObject: same, Points: h.points, LevelDB: h.level, PathM: path,
		Starts: duration(math.Floor, max(0, arrive.lo-arrive.lo*drift)),
		Ends:   duration(math.Ceil, arrive.hi+arrive.hi*drift),
		early:  early,
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
