package acoustics

import (
	"math"

	"echowright/planner/scene"
)

// Backscatter of rough ground, dB per square metre at right angles, falling with the sine squared of the
// grazing angle (Lambert's law). Stated estimates: common practice, no source.
var groundScatter = map[scene.Ground]float64{
	scene.GroundAsphalt: -28, scene.GroundGravel: -15, scene.GroundGrass: -18,
}

const (
	groundStep  = 0.02 // m between the distances looked at
	groundTurns = 24   // bearings looked at from straight ahead to the side
	noBurst     = 200e-6
)

// GroundReading is the nearest distance, beyond the blind one, at which the ear reads rough ground by
// itself, at the high supply and least absorption: of each strip that the burst covers at once, every part
// scatters back into the beam. The piston's own pattern counts here (the widest over the weather), not its
// floor, which is a doubt about single directions and would claim a ground reading under every sensor.
// Smooth ground sends sound away and is not read; ok is false then and wherever the level stays below 0.
func (e *Ear) GroundReading(g scene.Ground) (reads, level float64, ok bool) {
	sigma, rough := groundScatter[g]
	if !rough || !(e.s.HeightM > 0) {
		return 0, 0, false
	}
	strip := e.m.fast.Value * e.m.burst() / 2
	at := func(d float64) float64 { return e.groundLevel(sigma, d, strip) }
	from := math.Max(e.m.NearestM(), e.s.HeightM)
	far := e.m.groundReach(sigma)
	for d := from; d <= far; d += groundStep {
		if l := at(d); l >= 0 {
			if d > from {
				d = crossing(d, d-groundStep, at)
				l = math.Max(0, at(d))
			}
			return d, l, true
		}
	}
	return 0, 0, false
}

// burst is the burst's length, s; 8 cycles of 40 kHz when the card leaves it open.
func (m *Model) burst() float64 {
	if b := seconds(m.kind.Timing.Burst); b > 0 {
		return b
	}
	return noBurst
}

// groundReach is a distance beyond which even a full half circle of ground on axis is too weak.
func (m *Model) groundReach(sigma float64) float64 {
	d := 1.0
	for d < 64 && m.GainAt(Strongest)+sigma+10*math.Log10(math.Pi*d)-40*math.Log10(d)-2*m.least.Value*d-m.LowestRiseDB() >= 0 {
		d *= 1.25
	}
	return d
}

// groundLevel is the level of the strip of ground between d and d + strip away.
func (e *Ear) groundLevel(sigma, d, strip float64) float64 {
	h := e.s.HeightM
	near := math.Sqrt(math.Max(0, (d-h)*(d+h)))
	far := math.Sqrt((d + strip - h) * (d + strip + h))
	x, slant := (near+far)/2, d+strip/2
	sum := 0.0
	const half = math.Pi / groundTurns / 2
	for i := range groundTurns {
		phi := (2*float64(i) + 1) * half
		sum += 2 * e.groundPattern(phi, x) // both sides of the heading
	}
	area := (far*far - near*near) / 2 * (2 * half)
	grazing := h / math.Hypot(x, h)
	power := sum * area * grazing * grazing
	if power <= 0 {
		return math.Inf(-1)
	}
	return e.m.GainAt(Strongest) + sigma + 10*math.Log10(power) - 40*math.Log10(slant) -
		2*e.m.least.Value*slant - e.m.rise(slant, Strongest)
}

// groundPattern is the two-way pattern towards the ground as a ratio of intensity.
func (e *Ear) groundPattern(phi, x float64) float64 {
	h := e.s.HeightM
	s, c := math.Sincos(phi)
	r := math.Hypot(x, h)
	l, z, a := s*x/r, -h/r, c*x/r
	n := a*e.cosT + z*e.sinT
	if n <= 0 {
		return 0
	}
	u := z*e.cosT - a*e.sinT
	var p float64
	if t := e.m.table; t != nil {
		p = math.Pow(10, t.oneWay(l, u, n, Certain, 0)/20)
	} else {
		v := e.m.argument(l, u)
		p = math.Max(math.Abs(pistonFast(v)), math.Abs(pistonFast(v*e.m.narrow)))
	}
	return p * p * p * p
}
