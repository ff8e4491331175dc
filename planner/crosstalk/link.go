package crosstalk

import (
	"math"

	"github.com/golang/geo/r2"
)

// link is all that decides what one sensor hears of another, whatever the reflector.
type link struct {
	from, to *voice
	gainDB   float64 // level at to, over its threshold, after 1 m of path on both axes without absorption
	fading   *fading
	hull     *hull
	detour   float64 // the most that one bent end adds to a path, half the way round the body, m
	apart    r2.Point
	rise     float64
	level2   float64 // level part of the straight way squared, m²
	size     float64 // of the hull as seen from the sensors, m
}

func newLink(from, to *voice, gainDB float64, f *fading, h *hull) *link {
	l := &link{from: from, to: to, gainDB: gainDB, fading: f, hull: h, detour: h.round() / 2}
	l.apart = to.at.Sub(from.at)
	l.rise = to.height - from.height
	l.level2 = dot(l.apart, l.apart)
	l.size = h.round() / math.Pi
	return l
}

// leastPathM keeps the level finite for sensors in one place; the far field begins farther out in any case.
const leastPathM = 0.05

// fading is how sound of one absorption fades along its way, and how far it gets.
type fading struct {
	alpha float64 // dB/m
	// far[k] is the length after which it has lost fadeFrom + k/fadeSteps dB, m.
	far [fadeMost*fadeSteps + 1]float64
}

// Losses tabulated, dB. Nothing here is louder than the most of them.
const (
	fadeFrom  = -26
	fadeMost  = 226
	fadeSteps = 8
)

func newFading(alpha float64) *fading {
	f := &fading{alpha: alpha}
	m := leastPathM
	for k := range f.far {
		loss := fadeFrom + float64(k)/fadeSteps
		// Newton's method from the left: the loss is concave in its logarithm's argument, so no step goes too far right for long.
		for range 60 {
			step := (loss - f.loss(m)) / (8.685889638065035/m + alpha)
			m = max(m/2, m+step)
			if math.Abs(step) < 1e-12*m {
				break
			}
		}
		f.far[k] = m
	}
	return f
}

func (f *fading) loss(m float64) float64 { return float64(20*math.Log10(m)) + float64(f.alpha*m) }

// fade is the loss of sound after m metres, dB.
func (l *link) fade(m float64) float64 {
	return float64(20*math.Log10(max(m, leastPathM))) + float64(l.fading.alpha*m)
}

// reach is the length of path, m, to which sound of that gain stays loud enough; below zero where it never is. The length is
// convex in the gain, so that straight lines between tabulated values never fall short.
func (l *link) reach(gain float64) float64 {
	if gain < l.fade(0) {
		return -1
	}
	x := (gain - fadeFrom) * fadeSteps
	k := max(0, min(len(l.fading.far)-2, int(x)))
	a, b := l.fading.far[k], l.fading.far[k+1]
	return max(leastPathM, a+float64((x-float64(k))*(b-a)))
}

// loud returns the lengths, with what bending adds, at which a path of b may be loud enough; reversed where none may.
func (l *link) loud(b *box) span {
	s := span{b.length.lo, math.Inf(-1)}
	for bent, gain := range b.gain {
		if hi := min(b.length.hi, l.reach(gain)); hi >= b.length.lo {
			s.hi = max(s.hi, hi+float64(bent)*l.detour)
		}
	}
	return s
}

// byImage is the length of the path by a mirror si and sj before the two sensors, m, that climbs by rise.
func (l *link) byImage(si, sj, rise float64) float64 {
	return math.Sqrt(l.level2 + float64(rise*rise) + float64(4*si*sj))
}

// levelPart is the level part of a length that climbs by rise, m.
func levelPart(length, rise float64) float64 {
	return math.Sqrt(max(0, float64(length*length)-float64(rise*rise)))
}

// plain is how an upright mirror without loss answers.
func (l *link) plain() mode { return mode{out: l.rise, in: -l.rise} }

// gains puts together what both ends add, and what the reflector does.
func (l *link) gains(out, in end, reflector float64) (g [3]float64) {
	base := l.gainDB + reflector
	g[0] = base + out.straight + in.straight
	g[1] = base + max(out.straight+in.bent, out.bent+in.straight)
	g[2] = base + out.bent + in.bent
	return g
}

// path makes a place of a path that leaves and arrives in these directions.
func (l *link) path(length span, out, in cone, reflector float64) place {
	p := place{length: length, gain: l.gainDB + reflector}
	for _, e := range [2]end{l.from.strongest(out), l.to.strongest(in)} {
		if math.IsInf(e.straight, -1) {
			p.bent++
		}
		p.gain += max(e.straight, e.bent)
	}
	return p
}

// single is the cone of one direction in space.
func single(level r2.Point, rise, length float64) cone {
	return cone{lo: level, hi: level, rise: span{rise, rise}, near: length, far: length}
}
