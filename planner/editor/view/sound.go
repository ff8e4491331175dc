package view

import (
	"math"
	"slices"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// mostCycles is how many cycles back a firing's sound is still looked for.
const mostCycles = 4

// frontGap is how far the lines of a double arc lie apart at least, in points.
const frontGap = 3.5

// sound draws the sound that is in the air at the time mark. A wavefront is two arcs, how far the sound has come at the
// fastest and at the slowest speed of the air,
//
//	radius = speed × (mark − firing)
//
// within the beam's width. What is drawn of one place of the sound goes at the speed half-way between.
func (s *sheet) sound() {
	s.layer("sound")
	if !s.looks.Marked {
		return
	}
	cycle := time.Duration(s.p.Schedule.CycleUs) * time.Microsecond
	if cycle <= 0 {
		return
	}
	for _, f := range s.p.Schedule.Firings {
		of, ok := sensorIn(s.p, f.Sensor)
		if !ok {
			continue
		}
		pose := s.pose(of)
		for back := range time.Duration(mostCycles) {
			after := s.looks.Mark + back*cycle - micros(f.AtUs)
			switch listens, deaf := hearing(f, after); {
			case listens:
				s.lit(pose, 1)
			case deaf:
				s.lit(pose, 0.4)
			}
			if after > 0 && after <= max(micros(f.ListenUntilUs-f.AtUs), micros(f.LateUntilUs-f.AtUs)) {
				s.front(of, pose, f, after)
				s.echo(f, pose, after)
				s.onPaths(f, after)
			}
		}
	}
}

func micros(us int64) time.Duration { return time.Duration(us) * time.Microsecond }

// hearing says whether a firing's sensor listens so long after it fired, and whether it is between deaf and listening.
func hearing(f plan.Firing, after time.Duration) (listens, deaf bool) {
	listens = after >= micros(f.ListenFromUs-f.AtUs) && after <= micros(f.ListenUntilUs-f.AtUs)
	deaf = !listens && after >= micros(f.MayHearFromUs-f.AtUs) && after <= micros(f.ListenUntilUs-f.AtUs)
	return listens, deaf
}

// lit marks a sensor that listens.
func (s *sheet) lit(at Pose, much float64) {
	c := s.cam.At(at.At)
	s.disc(c, ringRadius-1, draw.Style{Fill: draw.Front, Opacity: 0.3 * much, Stroke: draw.Front, Width: 1 + much}, words.listens)
}

// front draws how far a firing's sound has come.
func (s *sheet) front(of plan.Sensor, at Pose, f plan.Firing, after time.Duration) {
	t := after.Seconds()
	far, near := s.p.Air.Fastest*t*s.cam.Scale, s.p.Air.Slowest*t*s.cam.Scale
	near = max(min(near, far-frontGap), 0)
	half := beamHalf(of, s.p.Air)
	outer := draw.Style{Stroke: draw.Front, Width: 2.2}
	inner := draw.Style{Stroke: draw.Front, Width: 1.1}
	if after > micros(f.ListenUntilUs-f.AtUs) { // nobody waits for it any more, but some may take it
		outer = draw.Style{Stroke: draw.Late, Width: 1.4, Dotted: true}
		inner = outer
	}
	c := s.cam.At(at.At)
	s.arc(outer, c, far, at.Heading, half)
	if near > 2 {
		s.arc(inner, c, near, at.Heading, half)
	}
}

// arc adds a piece of a circle of the window about c, half to either side of a heading.
func (s *sheet) arc(st draw.Style, c canvas.Point, r, heading, half float64) {
	if !finite(c) || !(r > 0.5) || r > 1e7 || s.arcMisses(c, r) {
		return
	}
	// So many pieces that none leaves the circle by more than a fifth of a point.
	n := min(max(int(math.Ceil(half/math.Acos(max(1-0.2/r, 0)))), 2), 400)
	pts := s.store.take(n + 1)
	for k := range n + 1 {
		sin, cos := math.Sincos(heading + half*(2*float64(k)/float64(n)-1))
		pts = append(pts, canvas.Point{c[0] + r*cos, c[1] - r*sin})
	}
	s.line(st, "", pts...)
}

// arcMisses reports whether a circle leaves the room untouched.
func (s *sheet) arcMisses(c canvas.Point, r float64) bool {
	far, near := 0.0, 0.0
	for k, lo := range []float64{s.room.X, s.room.Y} {
		hi := lo + [2]float64{s.room.W, s.room.H}[k]
		d := max(lo-c[k], c[k]-hi, 0)
		near += d * d
		d = max(math.Abs(c[k]-lo), math.Abs(c[k]-hi))
		far += d * d
	}
	return r*r < near || r*r > far
}

// beamHalf is the angle off its axis, across, at which a sensor's sound falls by 3 dB one way, rad: that of a round
// piston, (2 J1(x)/x)² = 1/2 at x = 1.61634, x = k a sin θ.
func beamHalf(of plan.Sensor, air plan.Air) float64 {
	const unknown = math.Pi / 6 // a card without a beam: drawn as 30 degrees
	speed := (air.Slowest + air.Fastest) / 2
	ka := 2 * math.Pi * of.FrequencyHz / speed * of.Beam.SemiAxesM[0]
	switch sin := 1.61634 / ka; {
	case !(ka > 0) || math.IsInf(ka, 0):
		return unknown
	case sin >= 1:
		return math.Pi / 2
	default:
		return math.Asin(sin)
	}
}

// midway is how far sound has come at the speed half-way between the slowest and the fastest, m.
func (s *sheet) midway(after time.Duration) float64 {
	return (s.p.Air.Slowest + s.p.Air.Fastest) / 2 * after.Seconds()
}

// echo draws what comes back from the target that was put down, to a sensor that sees it: a circle about the target that
// has reached the sensor when it passes through it.
func (s *sheet) echo(f plan.Firing, at Pose, after time.Duration) {
	if !s.looks.Probed || !slices.Contains(s.seers, f.Sensor) {
		return
	}
	q := s.looks.Probe
	d := math.Hypot(q[0]-at.At[0], q[1]-at.At[1])
	back := s.midway(after) - d
	if back <= 0 || back > d {
		return
	}
	heading := math.Atan2(at.At[1]-q[1], at.At[0]-q[0])
	c, r := s.cam.At(q), back*s.cam.Scale
	st := draw.Style{Stroke: draw.Front, Width: 1.6, Dashed: true}
	s.arc(st, c, r, heading, math.Pi/3)
	s.arc(draw.Style{Stroke: draw.Front, Width: 1}, c, r-frontGap, heading, math.Pi/3)
}

// onPaths marks how far along the disturbance paths that are drawn a firing's sound has come.
func (s *sheet) onPaths(f plan.Firing, after time.Duration) {
	if !s.looks.Paths {
		return
	}
	far := s.midway(after)
	for _, i := range s.cache.paths(s.p, s.target, s.looks) {
		a := s.p.Crosstalk[i]
		if a.From != f.Sensor {
			continue
		}
		if p, ok := along(a.Points, far); ok {
			s.disc(s.cam.At(p), 4, draw.Style{Fill: draw.Plate, Stroke: draw.Late, Width: 2}, words.onItsWay(a))
		}
	}
}

// along is the place so far along a line, m.
func along(line [][2]float64, far float64) ([2]float64, bool) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		leg := math.Hypot(b[0]-a[0], b[1]-a[1])
		if far <= leg && leg > 0 {
			u := far / leg
			return [2]float64{a[0] + u*(b[0]-a[0]), a[1] + u*(b[1]-a[1])}, true
		}
		far -= leg
	}
	return [2]float64{}, false
}
