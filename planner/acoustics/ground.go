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

// GroundReading is the nearest distance, beyond the blind one and short of farM (m; 0: no limit), at which
// the ear reads rough ground by itself, at the high supply and least absorption: of each strip that the burst
// covers at once, every part scatters back into the beam. The piston's own pattern counts here (the widest
// over the weather), not its floor, which is a doubt about single directions and would claim a ground reading
// under every sensor. At that distance the level is 0 dB; LevelDB is the highest up to farM, and WeakDB the
// same at the weak end. Smooth ground sends sound away and is not read; ok is false then and wherever the
// level stays below 0.
func (e *Ear) GroundReading(g scene.Ground, farM float64) (own Own, ok bool) {
	sigma, rough := groundScatter[g]
	if !rough || !(e.s.HeightM > 0) {
		return Own{}, false
	}
	strip := e.m.fast.Value * e.m.burst() / 2
	at := func(d float64) float64 { return e.groundLevel(sigma, d, strip, Strongest) }
	from, far := math.Max(e.m.NearestM(), e.s.HeightM), e.m.groundReach(sigma)
	if farM > 0 {
		far = math.Min(far, farM)
	}
	own.LevelDB, own.WeakDB = math.Inf(-1), math.Inf(-1)
	for d := from; d <= far; d += groundStep {
		l := at(d)
		if l >= 0 && !ok {
			own.ReadsM, ok = d, true
			if d > from {
				own.ReadsM = crossing(d, d-groundStep, at)
			}
		}
		own.LevelDB = math.Max(own.LevelDB, l)
	}
	if !ok {
		return Own{}, false
	}
	for d := from; d <= far; d += groundStep {
		own.WeakDB = math.Max(own.WeakDB, e.groundLevel(sigma, d, strip, Certain))
	}
	return own, true
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
func (e *Ear) groundLevel(sigma, d, strip float64, end End) float64 {
	h := e.s.HeightM
	near := math.Sqrt(math.Max(0, (d-h)*(d+h)))
	far := math.Sqrt((d + strip - h) * (d + strip + h))
	x, slant := (near+far)/2, d+strip/2
	sum := 0.0
	const half = math.Pi / groundTurns / 2
	for i := range groundTurns {
		phi := (2*float64(i) + 1) * half
		sum += 2 * e.groundPattern(phi, x, end) // both sides of the heading
	}
	area := (far*far - near*near) / 2 * (2 * half)
	grazing := h / math.Hypot(x, h)
	power := sum * area * grazing * grazing
	if power <= 0 {
		return math.Inf(-1)
	}
	return e.m.GainAt(end) + sigma + 10*math.Log10(power) - 40*math.Log10(slant) -
		2*e.m.absorptionAt(end)*slant - e.m.rise(slant, end)
}

// groundPattern is the two-way pattern towards the ground as a ratio of intensity, the widest or the
// narrowest of the weather.
func (e *Ear) groundPattern(phi, x float64, end End) float64 {
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
	switch v := e.m.argument(l, u); {
	case e.m.table != nil:
		p = math.Pow(10, e.m.table.oneWay(l, u, n, Certain, 0)/20)
	case end == Certain:
		p = e.m.certainOneWay(v)
	default:
		p = math.Max(math.Abs(pistonFast(v)), math.Abs(pistonFast(v*e.m.narrow)))
	}
	return p * p * p * p
}
