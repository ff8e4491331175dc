// Package scene holds a layout resolved: every default filled, every name bound, every mount placed,
// SI units, never changed once made. planner/resolve makes it from a layout document;
// planner/{acoustics,coverage,crosstalk,firing} read it.
//
// Frame: x forward, y left, z up, metres; angles counter-clockwise from +x (REP 103); tilt up is
// positive. Levels are in dB relative to the listening module's own detection threshold.
package scene

import (
	"slices"
	"time"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// Source says where a value comes from.
type Source string

// The sources a value of a module may name. Assumed is a default the layout left open; it counts as an estimate.
const (
	Datasheet Source = "datasheet"
	Bench     Source = "bench"
	Estimate  Source = "estimate"
	Assumed   Source = "assumed"
	Chosen    Source = "chosen" // a builder's decision, not a property of the module
)

// Estimated reports whether a value from s is a guess rather than a finding or a decision.
func (s Source) Estimated() bool { return s == Estimate || s == Assumed }

// Value is one number of a module with its source; the unit stands at the field.
type Value struct {
	X    float64
	From Source
}

// Span is a closed interval, Lo <= Hi; the unit stands at the field.
type Span struct{ Lo, Hi float64 }

// Contains reports whether x lies in s, ends included.
func (s Span) Contains(x float64) bool { return s.Lo <= x && x <= s.Hi }

// Overlaps reports whether s and t share a point.
func (s Span) Overlaps(t Span) bool { return s.Lo <= t.Hi && t.Lo <= s.Hi }

// Scene is a whole layout, resolved.
type Scene struct {
	Name       string
	States     []string // names of the states; empty when the layout has only one, unnamed
	Air        Air
	Around     Around
	Body       Body
	Kinds      []Kind // those in use, in order of first use
	Sensors    []Sensor
	Targets    []Target // those in use by zones and by the ranges of kinds, in file order
	References []Target // built-in wall, post and cloth that every kind is drawn against, whatever the zones ask
	Zones      []Zone
	Controller Controller
	Wishes     Wishes
	Motion     *Motion // nil: the layout says nothing of it
	Wires      []Wire
	Tolerance  Tolerance
	Assumed    []Assumption
	// Recorded says in plain words which of the values written in the layout decide nothing yet, such as
	// "tolerance.heading is noted; mounting errors are not reckoned with yet".
	Recorded []string
}

// Assumption is a default that the layout left open and the Plan must name.
type Assumption struct {
	Key  string // dotted place in the file, such as "air.humidity" or "kinds.bumper-can.beam.never-below"
	Text string // such as "no humidity given: 20..90 % assumed"
	// Deciding is true where the value is a property of a module and so counts among the estimates.
	Deciding bool
}

// Air is the span of weather.
type Air struct {
	TemperatureC Span // degC
	HumidityPct  Span // relative humidity, percent
	PressurePa   Span
}

// Around is what may stand near the machine.
type Around struct {
	Ground  Ground
	WallsM  Span // distance of a reflecting wall from the body's outline, m; Lo > Hi means no walls at all
	Bounces int  // reflections a disturbing sound may take
}

// Ground is the kind of surface the machine stands on.
type Ground string

// The grounds known. Smooth reflects as a mirror; the others scatter back.
const (
	GroundSmooth  Ground = "smooth"
	GroundAsphalt Ground = "asphalt"
	GroundGravel  Ground = "gravel"
	GroundGrass   Ground = "grass"
	GroundNone    Ground = "none" // nothing below that could answer
)

// Body is the machine: its outline and what protrudes.
type Body struct {
	Outline r2Ring // counter-clockwise, first point where +x leaves it, not repeated at the end
	HeightM Span
	Parts   []Part
}

type r2Ring = []r2.Point

// Part is something fixed to the machine that can shade a beam or answer it.
type Part struct {
	Name    string
	Entry   string     // place in the layout it was made from, such as "body.parts.mast"
	Outline []r2.Point // counter-clockwise
	// RadiusM is set for a round part: Outline then is a polygon round it; 0 otherwise.
	RadiusM float64
	Centre  r2.Point // of a round part
	HeightM Span
	OnlyIn  []string // states it exists in; empty means all
}

// In reports whether the part exists in the state.
func (p Part) In(state string) bool {
	return len(p.OnlyIn) == 0 || slices.Contains(p.OnlyIn, state)
}

// Timer says who times a reading.
type Timer string

// Who starts a module's burst and measures its echo.
const (
	ByModule     Timer = "module"     // module fires when asked and measures by itself
	ByController Timer = "controller" // controller times the echo line itself
	ByItself     Timer = "itself"     // module fires on its own and cannot be told when
)

// Interface is how a module answers.
type Interface string

// The interfaces known.
const (
	PulseEcho Interface = "pulse echo" // output pulse as long as the round trip
	Serial    Interface = "serial"     // asynchronous serial answer
	TwoWire   Interface = "two-wire"   // clocked two-wire bus
)

// EndedBy says what ended the farthest range a datasheet gives.
type EndedBy string

// What may end a stated range.
const (
	EndedByThreshold EndedBy = "threshold"
	EndedByTimeout   EndedBy = "time-out"
	EndedByUnknown   EndedBy = "unknown"
)

// InsideReads says what a module shows for a target nearer than its blind distance.
type InsideReads string

// What may be read inside the blind distance.
const (
	ReadsNothing InsideReads = "nothing"
	ReadsDouble  InsideReads = "double"  // the second bounce passes for the distance
	ReadsLeast   InsideReads = "least"   // the module shows its least distance
	ReadsUnknown InsideReads = "unknown" // anything
)

// Kind is a kind of module as its card describes it, gaps filled.
type Kind struct {
	Name   string
	Entry  string // place in the layout it was made from, such as "kinds.my-can"; empty for one built in
	Title  string // one plain line
	Serves string // where it serves
	Limits string // where it does not

	// Pair is true for a separate sender and receiver, PairSpacingM apart; false for a single can.
	Pair         bool
	PairSpacingM Value
	CarrierHz    Value
	SpreadHz     Value // carrier lies within ± this
	Ranges       []Range
	BlindM       Value // at 20 degC
	InsideReads  InsideReads
	Beam         Beam
	// Threshold against time since the listener's own trigger; empty means unknown: flat.
	Threshold []ThresholdPoint
	Timing    Timing
	Supply    Supply
	Interface Interface
	// AssumedSpeed is the fixed speed of sound, m/s, the module (or the usual firmware) converts with; X = 0 means it compensates for temperature.
	AssumedSpeed Value
	Water        string // protection code such as "IP67"; empty when unknown
	PinVolts     Value  // level of its signal pins, V
	Sources      []string
}

// Range is a farthest range on a named target.
type Range struct {
	M       Value
	Against Target // resolved; at its own heights
	EndedBy EndedBy
	// At is the weather and supply the figure is meant for; defaults 20 degC, 50 %, 101325 Pa, nominal supply.
	TemperatureC, HumidityPct, PressurePa float64
}

// BeamMeaning is how a stated beam width is defined.
type BeamMeaning struct {
	LevelDB float64 // negative, such as -6
	TwoWay  bool
}

// Beam is a piston given by its widths, or a table measured on the bench, which beats it.
type Beam struct {
	Across, Upright s1.Angle // full widths
	AcrossFrom      Source
	UprightFrom     Source
	Meaning         BeamMeaning
	NeverBelowDB    Value // two-way level the pattern never falls below, for disturbance; negative
	Table           []BeamPoint
	TableAgainst    Target // when Table is not empty
}

// BeamPoint is one bench measurement: the farthest range on the named target in a direction.
type BeamPoint struct {
	Bearing, Elevation s1.Angle // from the acoustic axis
	RangeM             float64
}

// ThresholdPoint raises the threshold by DB at a time since the own trigger; linear between points, flat outside.
type ThresholdPoint struct {
	At time.Duration
	DB float64
}

// Timing is a module's clockwork.
type Timing struct {
	By              Timer
	TriggerToBurst  TimeSpan
	Burst           time.Duration
	BurstFrom       Source
	BusyWithoutEcho time.Duration // from trigger until the line is free when nothing answers; 0: as long as it listens
	BusyFrom        Source
	Rest            time.Duration // from line free to next trigger
	AnswerAfter     time.Duration // from trigger until the answer may be fetched; 0: at the echo
	Transfer        time.Duration // time to fetch the answer
	PowerUp         time.Duration
	WindowSettable  bool // the listening window can be cut short
	OwnPeriod       TimeSpan
}

// TimeSpan is a closed interval of time.
type TimeSpan struct{ Lo, Hi time.Duration }

// Supply is the module's power.
type Supply struct {
	VoltsV    Span // span at the module in this layout
	NominalV  Value
	AverageA  Value
	PeakA     Value
	PeakLasts time.Duration
}

// Sensor is one mounted module.
type Sensor struct {
	Name    string
	Group   string // the entry it was made from, such as "bow" for "bow.1"
	Entry   string // the place of that entry in the layout, such as "sensors.bow"
	Nth     int    // which of its entry's it is, from 1, in the order of the scene
	Image   bool   // it stands where the mirror puts it, not where its entry says
	Kind    int    // index into Scene.Kinds
	At      r2.Point
	HeightM float64
	Heading s1.Angle
	Tilt    s1.Angle
	ArcM    float64 // arc length along the outline, NaN when placed freely
	// PairUpright is true when sender and receiver of a pair stand above each other.
	PairUpright bool
	Recessed    bool
	// ListenM is how far the builder wants it to listen; 0 means as far as its zones need and the kind allows.
	ListenM float64
}

// Shape is the shape of a target.
type Shape string

// The shapes known.
const (
	Post   Shape = "post"   // upright cylinder
	Sphere Shape = "sphere" // centre in the middle of its heights
	Wall   Shape = "wall"   // flat, upright, larger than the first Fresnel zone
	Bar    Shape = "bar"    // level rod across the line of sight
	Kerb   Shape = "kerb"   // low step from the ground, answering through the corner with it
)

// Target is a thing that must be seen.
type Target struct {
	Name    string
	Entry   string // place in the layout it was made from, such as "targets.leg"; empty for one built in
	Shape   Shape
	RadiusM float64 // post, sphere; half the height span of a bar; 0 for wall and kerb
	HeightM Span
	Surface string // "hard", "cloth" …
	LossDB  Value  // reflection loss, >= 0
	// Turned is the range of turns of a wall (or bar, kerb): the angle from its facing the sensor squarely, rad.
	Turned Span
}

// Zone is a region fixed to the body in which a target must be seen.
type Zone struct {
	Name  string
	Entry string // place in the layout it was made from, such as "zones.lane"
	// Rings is the region before the machine itself is taken out: outer rings counter-clockwise, holes clockwise.
	Rings  [][]r2.Point
	Target int     // index into Scene.Targets
	SeenBy int     // how many sensors must see each place
	Share  float64 // 0..1 asked; NaN when not asked
	GapM   float64 // largest gap allowed; NaN when not asked
	OnlyIn []string
}

// In reports whether the zone is asked for in the state.
func (z Zone) In(state string) bool { return Part{OnlyIn: z.OnlyIn}.In(state) }

// Reading says how the controller takes readings.
type Reading string

// How a controller reads.
const (
	Blocking Reading = "blocking" // waits for each echo
	Capture  Reading = "capture"  // timer hardware records edges
	Polled   Reading = "polled"
)

// Controller is what fires and reads the modules.
type Controller struct {
	ClockHz    float64 // 0 unknown
	ClockError float64 // fraction, such as 0.01
	Tick       time.Duration
	PinVolts   float64
	Reading    Reading
	AtOnce     int // readings it can take at once; >= 1
	EdgeCost   time.Duration
	Boot       time.Duration
	// PoweredFrom is what feeds it, as the layout words it, such as "reversing lamp"; empty when not said.
	PoweredFrom string
	RailV       float64
	RailLimitA  float64 // 0 unknown
}

// Wishes is what the builder asks of the firing plan.
type Wishes struct {
	Style  string        // "slots", "staggered" or "as-read"
	Cycle  time.Duration // budget; 0: not asked
	Guard  time.Duration
	Jitter time.Duration // each firing may be off by up to ± this
	// Refresh is, by sensor, the longest time from one firing to the next; 0: not asked. Empty: asked of none.
	Refresh []time.Duration
	Delays  Delays
	// FirstWarning is how long after power-up the first warning may come; 0: not asked.
	FirstWarning time.Duration
}

// Delays are how much later firings come in which cycle, against ghosts that keep coming.
type Delays struct {
	Way      string        // "alternating", "dithered"; empty: none
	MoversMS float64       // greatest speed of things around
	Span     time.Duration // dithered: delays are from 0 to this
	Seed     uint64        // dithered
	// Let are pairs of sensors whose sound may fall into one another's windows, as alternating delays drop it. No layout says so.
	Let [][2]int
}

// Way is a direction of travel along the body.
type Way string

// The ways a machine may travel.
const (
	Forward   Way = "forward"
	Backward  Way = "backward"
	Leftward  Way = "left"
	Rightward Way = "right"
)

// Motion is how the machine moves and stops.
type Motion struct {
	Way         Way
	SpeedMS     float64
	TurnRadS    Span          // of the heading; zero: straight
	Reaction    time.Duration // from a warning until braking begins
	DecelMS2    float64
	MarginM     float64 // to be left when it stands
	Confirm, Of int     // readings that must agree, of so many in a row; 1 of 1 when not asked
}

// Wire is a connection several sensors share.
type Wire struct {
	Sensors       []int   // indices into Scene.Sensors
	TriggerShared bool    // one trigger line: they fire together
	EchoJoined    bool    // one echo line: never in one group
	Bus           string  // name of a bus that must be silent while one of them ranges; empty: none
	SpeedHz       float64 // of the bus
	Chained       bool    // each starts the next: this order, one after the other
}

// Tolerance is how far the built machine may differ from the drawing.
type Tolerance struct {
	Heading, Tilt s1.Angle
	PlaceM        float64
	ThresholdDB   float64
}
