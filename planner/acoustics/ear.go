package acoustics

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

// Ear is a module where it stands: its model, its mount and the ground below.
type Ear struct {
	m      *Model
	s      scene.Sensor
	ground scene.Ground
	f      frame
	sinT   float64
	cosT   float64
}

// Mount stands a module of this model at a sensor's place over a ground.
func (m *Model) Mount(s scene.Sensor, g scene.Ground) *Ear {
	e := &Ear{m: m, s: s, ground: g, f: newFrame(s.Heading.Radians(), s.Tilt.Radians())}
	e.sinT, e.cosT = math.Sincos(s.Tilt.Radians())
	return e
}

// Model is the ear's model.
func (e *Ear) Model() *Model { return e.m }

// Sensor is the ear's mount.
func (e *Ear) Sensor() scene.Sensor { return e.s }

// Axis is the unit vector out of the face.
func (e *Ear) Axis() r3.Vector { return e.f.axis }

// Place is the sensor's place in space.
func (e *Ear) Place() r3.Vector { return r3.Vector{X: e.s.At.X, Y: e.s.At.Y, Z: e.s.HeightM} }

// OneWayDB is the pattern of one way in a direction of space, dB against the axis. Certain: the least
// over the weather, −Inf behind the baffle. Strongest: the most over the weather and over all arguments
// farther out, never below half the floor, which is all that is left behind the baffle.
func (e *Ear) OneWayDB(dir r3.Vector, end End) float64 {
	n := dir.Norm()
	if n == 0 {
		return 0
	}
	d := dir.Mul(1 / n)
	return e.m.oneWay(d.Dot(e.f.left), d.Dot(e.f.up), d.Dot(e.f.axis), end)
}

// EnvelopeDB bounds OneWayDB at the strongest end over every direction at least that angle from the axis.
func (e *Ear) EnvelopeDB(angle s1.Angle) float64 { return e.m.EnvelopeDB(angle.Radians()) }

// pattern is the two-way pattern towards bearing phi from the heading, horizontal distance x, height dz
// over the sensor.
func (e *Ear) pattern(phi, x, dz float64, end End) float64 {
	s, c := math.Sincos(phi)
	h := math.Hypot(x, dz)
	if h == 0 {
		return 0
	}
	cx, z := c*x/h, dz/h
	return 2 * e.m.oneWay(s*x/h, z*e.cosT-cx*e.sinT, cx*e.cosT+z*e.sinT, end)
}

// levelAt is the level of an answer at bearing phi from the heading, x away horizontally, facing squarely.
func (e *Ear) levelAt(w answer, phi, x float64, end End) float64 {
	d := w.half(x)
	return e.m.GainAt(end) - w.loss - w.spreading(x) - 2*e.m.absorptionAt(end)*math.Max(d, 0) -
		e.m.rise(d, end) + e.pattern(phi, x, w.dz, end)
}

// Level is a target's level at a place, dB over the threshold: for Certain the least over the target's
// turns, for Strongest the most; −Inf where it cannot answer. Place is the axis of a post, the centre of
// a sphere, the point of a bar, wall or kerb that is nearest when it faces the sensor squarely: turned by
// τ about that place it answers at bearing + τ from x·cos τ away. Neither blind distance nor window is
// looked at here.
func (e *Ear) Level(t scene.Target, place r2.Point, end End) float64 {
	w, ok := answerOf(t, e.s.HeightM, e.ground)
	if !ok {
		return math.Inf(-1)
	}
	d := place.Sub(e.s.At)
	phi := math.Remainder(math.Atan2(d.Y, d.X)-e.s.Heading.Radians(), 2*math.Pi)
	return e.levelOverTurns(w, phi, math.Hypot(d.X, d.Y)-w.inset, end)
}

func (e *Ear) levelOverTurns(w answer, phi, x float64, end End) float64 {
	if x <= 0 && end == Certain {
		return math.Inf(-1)
	}
	x = math.Max(x, leastHalf)
	at := func(tau float64) float64 {
		if math.Abs(tau) >= math.Pi/2 {
			return math.Inf(-1)
		}
		return e.levelAt(w, phi+tau, x*math.Cos(tau), end)
	}
	if w.oneTurn() {
		return at(w.turns.Lo)
	}
	sign := 1.0
	if end == Strongest {
		sign = -1
	}
	_, v := leastOver(turnsOf(w.turns, e.m.coarseAngle()), func(tau float64) float64 { return sign * at(tau) })
	return sign * v
}

// turnsOf lists turns to try: the ends, the squarest, and between them no more than a step apart.
func turnsOf(s scene.Span, step float64) []float64 {
	n := max(3, int(math.Ceil((s.Hi-s.Lo)/step)))
	t := make([]float64, 0, n+2)
	for i := 0; i <= n; i++ {
		v := s.Lo + (s.Hi-s.Lo)*float64(i)/float64(n)
		switch {
		case i == n:
			v = s.Hi
		case math.Abs(v) < 1e-9:
			v = 0
		}
		if v > 0 && len(t) > 0 && t[len(t)-1] < 0 {
			t = append(t, 0)
		}
		t = append(t, v)
	}
	return t
}
