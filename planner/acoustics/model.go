package acoustics

import (
	"errors"
	"math"
	"time"

	"echowright/planner/scene"
)

// Stated estimates of this package: common practice, no source. The report names them.
const (
	// UnsureMarginDB is added for disturbance when no stated range was ended by the threshold: the module
	// may hear farther than its time-out lets it say.
	UnsureMarginDB = 6
	// EdgeRadiusM is the radius of an edge or corner of the machine for its own readings.
	EdgeRadiusM = 0.005
)

// End is one end of every span that decides a level.
type End int

// The two ends. Where a card contradicts itself on how far its module hears, each takes its own side.
const (
	Certain   End = iota // low supply, least gain, most absorption, narrowest beam: seen here is seen always
	Strongest            // high supply, greatest gain, least absorption, floor under the beam: unheard here is never heard
)

// Model is one kind of module in one span of weather: gain solved, piston fitted, clockwork resolved.
type Model struct {
	kind         scene.Kind
	slow, fast   Extreme    // speed of sound
	least, most  Extreme    // absorption
	cRef         float64    // speed of sound at Reference
	kSlow, kFast float64    // wave number at the slowest and fastest sound, rad/m
	narrow       float64    // kFast/kSlow
	across, up   float64    // semi-axes of the piston, m
	gain         scene.Span // the least and the greatest that the card allows, at nominal supply, dB
	supply       scene.Span
	margin       float64
	table        *beamTable // nil: piston
	tops         []float64  // arguments (at the slowest sound) where the certain pattern of each side lobe is highest
}

// NewModel solves a kind's card for its gain and beam in a span of weather.
func NewModel(k scene.Kind, a scene.Air) (*Model, error) {
	m := &Model{kind: k, cRef: SpeedOfSound(Reference)}
	f := k.CarrierHz.X
	if !(f > 0) {
		return nil, errors.New("carrier frequency must be above zero")
	}
	m.slow, m.fast = SpeedSpan(a)
	m.least, m.most = AbsorptionSpan(a, f)
	m.kSlow = 2 * math.Pi * f / m.slow.Value
	m.kFast = 2 * math.Pi * f / m.fast.Value
	m.narrow = m.kFast / m.kSlow
	if err := m.fitPiston(); err != nil {
		return nil, err
	}
	if err := m.solveGain(); err != nil {
		return nil, err
	}
	m.supply = supplyShift(k.Supply)
	if len(k.Beam.Table) > 0 {
		if err := m.fitTable(); err != nil {
			return nil, err
		}
	}
	m.tops = m.certainTops()
	return m, nil
}

// fitPiston finds the semi-axes that give the stated widths at Reference. A half width beyond 90 degrees
// has no piston: the smallest that falls to the stated level at 90 degrees is taken. The smallest is also
// the widest that still has such a level in front of the baffle.
func (m *Model) fitPiston() error {
	b := m.kind.Beam
	level := b.Meaning.LevelDB
	if b.Meaning.TwoWay {
		level /= 2
	}
	if !(level < 0) {
		return errors.New("the level a beam width is meant at must be below 0 dB")
	}
	if !(b.Across > 0) || !(b.Upright > 0) {
		return errors.New("beam widths must be above zero")
	}
	xk := pistonWhere(level) * m.cRef / (2 * math.Pi * m.kind.CarrierHz.X)
	fit := func(width float64) float64 {
		return xk / math.Sin(math.Min(width/2, math.Pi/2))
	}
	m.across, m.up = fit(b.Across.Radians()), fit(b.Upright.Radians())
	return nil
}

// solveGain takes the gain from the stated ranges. A range ended by the threshold is a measurement of
// the gain. Where several contradict each other nothing says which is true of the module at hand: what
// must be certain counts on the least of them, what may disturb on the greatest, of the bench's alone where
// there are any. Ranges ended by a time-out or by something unknown only say that the module hears at
// least so far: without a better figure the greatest of them is taken, so that each stated range holds,
// and disturbance adds UnsureMarginDB.
func (m *Model) solveGain() error {
	none := scene.Span{Lo: math.Inf(1), Hi: math.Inf(-1)}
	bench, stated, atLeast := none, none, none
	for _, r := range m.kind.Ranges {
		g, err := m.gainFrom(r)
		if err != nil {
			return err
		}
		into := &atLeast
		switch {
		case r.EndedBy == scene.EndedByThreshold && r.M.From == scene.Bench:
			into = &bench
		case r.EndedBy == scene.EndedByThreshold:
			into = &stated
		}
		into.Lo, into.Hi = math.Min(into.Lo, g), math.Max(into.Hi, g)
	}
	switch {
	case bench != none:
		m.gain = bench
	case stated != none:
		m.gain = stated
	case atLeast != none:
		m.gain, m.margin = scene.Span{Lo: atLeast.Hi, Hi: atLeast.Hi}, UnsureMarginDB
	default:
		return errors.New("no range is stated, so its gain is unknown")
	}
	return nil
}

// gainFrom is the gain at which the range's target is just detected, on axis and squarely, at the range's
// own weather and the nominal supply; R is to the target's surface.
func (m *Model) gainFrom(r scene.Range) (float64, error) {
	if !(r.M.X > 0) {
		return 0, errors.New("a range must be above zero")
	}
	shape, a, err := shapeOf(r.Against)
	if err != nil {
		return 0, err
	}
	w := Weather{r.TemperatureC, r.HumidityPct, r.PressurePa}
	if !(w.PressurePa > 0) {
		w = Reference
	}
	t := seconds(m.kind.Timing.TriggerToBurst.Lo+m.kind.Timing.TriggerToBurst.Hi)/2 + 2*r.M.X/SpeedOfSound(w)
	return spreading(shape, a, r.M.X, r.M.X) + 2*Absorption(m.kind.CarrierHz.X, w)*r.M.X +
		r.Against.LossDB.X + thresholdAt(m.kind.Threshold, t), nil
}

// supplyShift is how much the span of supply moves the gain, dB: a burst's pressure goes with the voltage,
// once for its one sending (a stated estimate: common practice, no source). Hearing does not depend on it.
func supplyShift(s scene.Supply) scene.Span {
	v := s.VoltsV
	if !(s.NominalV.X > 0) || !(v.Lo > 0) || !(v.Hi > 0) {
		return scene.Span{}
	}
	return scene.Span{Lo: 20 * math.Log10(v.Lo/s.NominalV.X), Hi: 20 * math.Log10(v.Hi/s.NominalV.X)}
}

// Kind is the kind this model was made from.
func (m *Model) Kind() scene.Kind { return m.kind }

// Gain is the level over its threshold that the module's own sound would have after 1 m of path by a
// perfect mirror, on axis, without absorption: a wall at r has gain − 20 lg(2r) − alpha·2r. It runs from the
// low supply, with the least of the gains that its stated ranges ended by the threshold ask for, to the high
// supply, with the greatest of them; a bench table of its beam gives one gain for both.
func (m *Model) Gain() scene.Span {
	return scene.Span{Lo: m.gain.Lo + m.supply.Lo, Hi: m.gain.Hi + m.supply.Hi}
}

// MarginDB is what disturbance adds to the gain because the stated ranges may understate it; 0 when a
// range was ended by the threshold.
func (m *Model) MarginDB() float64 { return m.margin }

// GainAt is the gain that counts at an end: low supply, or high supply and margin.
func (m *Model) GainAt(end End) float64 {
	if end == Strongest {
		return m.Gain().Hi + m.margin
	}
	return m.Gain().Lo
}

// SemiAxes are the semi-axes of the piston, across and upright, m. Both are in the sensor's frame and are
// not swapped for a pair mounted upright: the pair's two discs are taken as one place, and a stated beam
// is that of the pair as mounted.
func (m *Model) SemiAxes() (across, upright float64) { return m.across, m.up }

// BeamShape is "table" when a bench table decides, otherwise "piston".
func (m *Model) BeamShape() string {
	if m.table != nil {
		return "table"
	}
	return "piston"
}

// FloorDB is the two-way level the pattern never falls below at the strongest end.
func (m *Model) FloorDB() float64 { return m.kind.Beam.NeverBelowDB.X }

// Frequency is the carrier, Hz.
func (m *Model) Frequency() float64 { return m.kind.CarrierHz.X }

// Absorption is the least and most absorption over the weather, dB/m.
func (m *Model) Absorption() scene.Span { return scene.Span{Lo: m.least.Value, Hi: m.most.Value} }

// AbsorptionExtremes is Absorption with the weather of each end.
func (m *Model) AbsorptionExtremes() (least, most Extreme) { return m.least, m.most }

// Speed is the slowest and fastest sound over the weather.
func (m *Model) Speed() (slowest, fastest Extreme) { return m.slow, m.fast }

func (m *Model) absorptionAt(end End) float64 {
	if end == Strongest {
		return m.least.Value
	}
	return m.most.Value
}

// ThresholdKnown reports whether the card says how the threshold changes with time. Where it does not,
// coverage takes it as flat, which the Plan must flag.
func (m *Model) ThresholdKnown() bool { return len(m.kind.Threshold) > 0 }

// blindTime is how long after its burst begins a module is deaf: the stated blind distance at 20 degC.
func (m *Model) blindTime() float64 { return 2 * m.kind.BlindM.X / m.cRef }

// BlindM is the nearest distance seen for certain: the blind time is fixed, so it is farthest at the
// fastest sound.
func (m *Model) BlindM() float64 { return m.blindTime() * m.fast.Value / 2 }

// NearestM is the nearest distance that may answer at all, at the slowest sound.
func (m *Model) NearestM() float64 { return m.blindTime() * m.slow.Value / 2 }

// BlindUntil is the latest end of deafness, from trigger.
func (m *Model) BlindUntil() time.Duration {
	return m.kind.Timing.TriggerToBurst.Hi + duration(m.blindTime())
}

// BlindEarliest is the earliest end of deafness, from trigger: from then on a foreign sound may be taken.
func (m *Model) BlindEarliest() time.Duration {
	return m.kind.Timing.TriggerToBurst.Lo + duration(m.blindTime())
}

// ListenUntil is how long after its trigger a module must listen to hear a surface at that distance for
// certain: latest burst, slowest sound, whole burst.
func (m *Model) ListenUntil(rangeM float64) time.Duration {
	return m.kind.Timing.TriggerToBurst.Hi + duration(2*rangeM/m.slow.Value) + m.kind.Timing.Burst
}

// ListensM is the distance a window of that length from the trigger admits for certain, the inverse of
// ListenUntil; never below 0.
func (m *Model) ListensM(window time.Duration) float64 {
	t := seconds(window - m.kind.Timing.TriggerToBurst.Hi - m.kind.Timing.Burst)
	return math.Max(0, t*m.slow.Value/2)
}

func seconds(d time.Duration) float64 { return d.Seconds() }

// duration rounds up to the next whole nanosecond, so that a window is never cut short by rounding.
func duration(s float64) time.Duration { return time.Duration(math.Ceil(s * 1e9)) }
