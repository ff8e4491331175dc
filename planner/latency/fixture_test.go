package latency

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// rect is a counter-clockwise rectangle.
func rect(x0, x1, y0, y1 float64) []r2.Point {
	return []r2.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// world is a machine of 1 by 0.6 m that drives forward at 1 m/s, a flat thing to be seen ahead of it and
// sensors whose lobes are given as exact polygons. All fire once in 100 ms, answer at once over a sound of
// 1e15 m/s, so that detection takes 100 ms a reading and nothing else.
type world struct {
	sc *scene.Scene
	p  *plan.Plan
}

func newWorld(lobes ...[][]r2.Point) *world {
	w := &world{
		sc: &scene.Scene{
			Body:    scene.Body{Outline: rect(-0.5, 0.5, -0.3, 0.3), HeightM: scene.Span{Lo: 0, Hi: 1}},
			Kinds:   []scene.Kind{{Name: "can"}},
			Targets: []scene.Target{{Name: "panel", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 1}}},
			Zones:   []scene.Zone{{Name: "lane", SeenBy: 1}},
			Motion:  &scene.Motion{Way: scene.Forward, SpeedMS: 1, Reaction: 150 * time.Millisecond, DecelMS2: 2, MarginM: 0.1, Confirm: 1, Of: 1},
		},
		p: &plan.Plan{Air: plan.Air{Slowest: 1e15}, Schedule: plan.Schedule{CycleUs: 100_000}},
	}
	w.zone("lane", rect(0.5, 2, -0.3, 0.3))
	for i, rings := range lobes {
		name := string(rune('a' + i))
		w.sc.Sensors = append(w.sc.Sensors, scene.Sensor{Name: name, At: r2.Point{X: 0.5}})
		w.p.Schedule.Firings = append(w.p.Schedule.Firings, plan.Firing{Sensor: name})
		for _, r := range rings {
			w.p.Lobes = append(w.p.Lobes, plan.Lobe{Sensor: name, Target: "panel", Polygon: plan.Polygon{plan.RingOf(r)}})
		}
	}
	return w
}

func (w *world) zone(name string, ring []r2.Point) {
	w.p.Zones = append(w.p.Zones, plan.Zone{Name: name, Target: "panel", Polygon: plan.Polygon{plan.RingOf(ring)}})
}

func (w *world) analyse() Result { return Analyse(w.sc, w.p) }

// asked is the one row asked for.
func (w *world) asked() plan.Warning {
	for _, row := range w.analyse().Warnings {
		if row.Asked {
			return row
		}
	}
	return plan.Warning{}
}

// moved is the world with every point moved by f, which keeps distances; flip turns rings round again.
func (w *world) moved(f func(p r2.Point) r2.Point, flip bool, way scene.Way) *world {
	sc, p, motion := *w.sc, *w.p, *w.sc.Motion
	motion.Way = way
	sc.Motion = &motion
	ring := func(r []r2.Point) (out []r2.Point) {
		for i := range r {
			q := r[i]
			if flip {
				q = r[len(r)-1-i]
			}
			out = append(out, f(q))
		}
		return out
	}
	polygon := func(p plan.Polygon) (out plan.Polygon) {
		for _, r := range p {
			var pts []r2.Point
			for _, q := range r {
				pts = append(pts, r2.Point{X: q[0], Y: q[1]})
			}
			out = append(out, plan.RingOf(ring(pts)))
		}
		return out
	}
	sc.Body.Outline = ring(sc.Body.Outline)
	sc.Body.Parts, sc.Sensors, p.Lobes, p.Zones = nil, nil, nil, nil
	for _, x := range w.sc.Body.Parts {
		x.Outline = ring(x.Outline)
		sc.Body.Parts = append(sc.Body.Parts, x)
	}
	for _, s := range w.sc.Sensors {
		s.At = f(s.At)
		sc.Sensors = append(sc.Sensors, s)
	}
	for _, l := range w.p.Lobes {
		l.Polygon = polygon(l.Polygon)
		p.Lobes = append(p.Lobes, l)
	}
	for _, z := range w.p.Zones {
		z.Polygon = polygon(z.Polygon)
		p.Zones = append(p.Zones, z)
	}
	return &world{&sc, &p}
}

// star is a random simple ring round a point.
func star(r *rand.Rand, c r2.Point, least, most float64) (out []r2.Point) {
	n := 5 + r.IntN(12)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, c.Add(r2.Point{X: cos, Y: sin}.Mul(least+r.Float64()*(most-least))))
	}
	return out
}

// randomWorld has ragged lobes with holes between them, uneven firings and a body of any shape.
func randomWorld(r *rand.Rand) *world {
	var lobes [][][]r2.Point
	for range 1 + r.IntN(4) {
		var rings [][]r2.Point
		for k := range 1 + r.IntN(3) {
			// Pieces of one sensor stand apart, as those of a plan do.
			rings = append(rings, star(r, r2.Point{X: 1 + 1.3*float64(k), Y: r.Float64() - 0.5}, 0.2, 0.64))
		}
		lobes = append(lobes, rings)
	}
	w := newWorld(lobes...)
	w.sc.Body.Outline = star(r, r2.Point{}, 0.3, 0.6)
	w.sc.Zones[0].SeenBy = 1 + r.IntN(2)
	w.sc.Motion.SpeedMS = 0.1 + 2*r.Float64()
	w.sc.Motion.Confirm, w.sc.Motion.Of = 1, 1+r.IntN(3)
	for i := range w.sc.Sensors {
		w.p.Schedule.Firings = append(w.p.Schedule.Firings, plan.Firing{Sensor: w.sc.Sensors[i].Name, AtUs: 1 + r.Int64N(99_000)})
	}
	w.p.Zones = nil
	w.zone("lane", rect(0.7, 2, -0.7, 0.7))
	return w
}
