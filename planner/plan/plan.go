// Package plan is the result of an analysis as plain data, and its JSON form, which other programs read.
// Lengths in metres, areas in m², angles in radians, times in whole microseconds, levels in dB
// relative to the listening module's threshold. Polygons are lists of rings, outer first, then holes.
package plan

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r2"
)

// Ring is a closed polygon, its first point not repeated; JSON: [[x,y],…].
type Ring [][2]float64

// Polygon is an outer ring followed by its holes.
type Polygon []Ring

// RingOf copies points into a Ring.
func RingOf(p []r2.Point) Ring {
	r := make(Ring, len(p))
	for i, q := range p {
		r[i] = [2]float64{q.X, q.Y}
	}
	return r
}

// Plan is the whole answer for one layout.
type Plan struct {
	Format       string      `json:"format"` // "echowright plan 1"
	Layout       string      `json:"layout"`
	Met          bool        `json:"met"`
	Estimates    int         `json:"estimates"`        // deciding values that are estimates
	Deciding     int         `json:"deciding"`         // deciding values in all
	Sources      []string    `json:"sources"`          // formulas used by this plan
	Assumed      []string    `json:"assumed"`          // defaults the layout left open
	EstimateList []string    `json:"estimate_list"`    // each estimate that decides, in words
	States       []string    `json:"states,omitempty"` // verdict for each
	Air          Air         `json:"air"`
	Around       Around      `json:"around"`
	Body         Body        `json:"body"`
	Sensors      []Sensor    `json:"sensors"`
	Targets      []Target    `json:"targets"`
	Zones        []Zone      `json:"zones"`
	Lobes        []Lobe      `json:"lobes"`
	SideViews    []SideView  `json:"side_views"`
	Curves       []Curve     `json:"curves"`
	Coverage     []Coverage  `json:"coverage"`
	BlindSpots   []BlindSpot `json:"blind_spots"`
	Overlaps     []Overlap   `json:"overlaps"`
	Masks        []Mask      `json:"own_readings"`
	Crosstalk    []Arc       `json:"crosstalk"`
	Schedule     Schedule    `json:"schedule"`
	Warnings     []Warning   `json:"warnings"`
	Ready        Ready       `json:"ready"`
	Findings     []Finding   `json:"findings"`
	Margins      *Margins    `json:"margins,omitempty"` // only where asked for
	// Ways is what would shorten the cycle, where it was looked for.
	Ways *Ways `json:"ways,omitempty"`
}

// Weather is one state of the air.
type Weather struct {
	TemperatureC float64 `json:"temperature_c"`
	HumidityPct  float64 `json:"humidity_pct"`
	PressurePa   float64 `json:"pressure_pa"`
}

// Air is the span of the speed of sound and the weather at each end.
type Air struct {
	Slowest   float64 `json:"slowest"` // m/s
	Fastest   float64 `json:"fastest"`
	SlowestAt Weather `json:"slowest_at"`
	FastestAt Weather `json:"fastest_at"`
}

// Around is what may stand near the machine.
type Around struct {
	Ground  string     `json:"ground"`
	WallsM  [2]float64 `json:"walls_m"`
	Bounces int        `json:"bounces"`
}

// Body is the machine as drawn.
type Body struct {
	Outline Ring       `json:"outline_m"`
	HeightM [2]float64 `json:"height_m"`
	Parts   []Part     `json:"parts"`
}

// Part is something that protrudes.
type Part struct {
	Name    string     `json:"name"`
	Outline Ring       `json:"outline_m"`
	HeightM [2]float64 `json:"height_m"`
	OnlyIn  []string   `json:"only_in,omitempty"`
}

// Beam is a sensor's pattern.
type Beam struct {
	Shape     string     `json:"shape"`       // "piston" or "table"
	SemiAxesM [2]float64 `json:"semi_axes_m"` // across, upright; of the equivalent piston
	FloorDB   float64    `json:"floor_db"`    // two-way level it never falls below, for disturbance
}

// Sensor is one mounted module with what follows from its card.
type Sensor struct {
	Name          string     `json:"name"`
	Kind          string     `json:"kind"`
	X             float64    `json:"x_m"`
	Y             float64    `json:"y_m"`
	Z             float64    `json:"z_m"`
	Heading       float64    `json:"heading_rad"`
	Tilt          float64    `json:"tilt_rad"`
	FrequencyHz   float64    `json:"frequency_hz"`
	AbsorptionDBm [2]float64 `json:"absorption_db_m"` // least, most over the weather
	// AbsorptionAt is the weather of each end.
	AbsorptionAt  [2]Weather `json:"absorption_at"`
	BlindUntilUs  int64      `json:"blind_until_us"`
	ListenUntilUs int64      `json:"listen_until_us"`
	BusyUs        int64      `json:"busy_us"`
	GainDB        [2]float64 `json:"gain_db"`  // low supply, high supply: level after 1 m of path by a perfect mirror, on axis, without absorption
	BlindM        float64    `json:"blind_m"`  // nearest distance seen for certain
	ListenM       float64    `json:"listen_m"` // farthest distance its window admits for certain
	Beam          Beam       `json:"beam"`
	// Reading error, fraction of the distance shown, at the slowest and the fastest sound.
	ReadingError [2]float64 `json:"reading_error"`
	// OnAxis is how far it sees each target that some zone asks for.
	OnAxis []Reach `json:"on_axis"`
}

// Reach is the stretch in which a sensor sees a target straight ahead and facing it, at the low supply and
// the most absorption.
type Reach struct {
	Target  string  `json:"target"`
	FromM   float64 `json:"from_m"`
	ToM     float64 `json:"to_m"`     // 0: not seen at all
	EndedBy string  `json:"ended_by"` // EndedByEcho or EndedByWindow
}

// What ends a Reach.
const (
	EndedByEcho   = "echo too weak"
	EndedByWindow = "window"
)

// Target is a thing that must be seen.
type Target struct {
	Name    string     `json:"name"`
	Shape   string     `json:"shape"`
	RadiusM float64    `json:"radius_m"`
	HeightM [2]float64 `json:"height_m"`
	LossDB  float64    `json:"loss_db"`
	Turned  [2]float64 `json:"turned_rad"`
}

// Zone is one piece of a zone, taken out of it where the machine leaves the target no room: the machine
// grown by the radius of a round target.
type Zone struct {
	Name    string  `json:"name"`
	Target  string  `json:"target"`
	State   string  `json:"state,omitempty"`
	Polygon Polygon `json:"polygon_m"`
}

// Lobe is one piece of the set of places at which a sensor sees a target for certain.
// Pieces of one sensor never overlap, so k-fold areas may count pieces.
type Lobe struct {
	Sensor  string  `json:"sensor"`
	Target  string  `json:"target"`
	State   string  `json:"state,omitempty"`
	Polygon Polygon `json:"polygon_m"`
	ErrorM  float64 `json:"error_m"` // the true lobe's edge lies within this
}

// SideView is a sensor's beam over the ground, along its heading: distance and height.
type SideView struct {
	Sensor  string  `json:"sensor"`
	Target  string  `json:"target"`    // the thing whose answer decides each place
	Polygon Polygon `json:"polygon_m"` // [distance from the sensor, height above ground]
}

// Curve is level over distance, on axis, for a kind and a target, at the low supply and most absorption.
type Curve struct {
	Kind   string       `json:"kind"`
	Target string       `json:"target"`
	Points [][2]float64 `json:"points"`  // [m, dB over the threshold]
	ReachM [2]float64   `json:"reach_m"` // at the most and the least absorption
}

// Coverage is the verdict on one zone in one state.
type Coverage struct {
	Zone        string      `json:"zone"`
	Target      string      `json:"target"`
	State       string      `json:"state,omitempty"`
	AreaM2      float64     `json:"area_m2"`
	CoveredM2   float64     `json:"covered_m2"`
	FoldM2      []float64   `json:"fold_m2"` // area seen by exactly k sensors
	WidestGapM  float64     `json:"widest_gap_m"`
	WidestGapAt *[2]float64 `json:"widest_gap_at_m,omitempty"`
	// GapHeld is true when the widest gap reaches from one border of the zone to another: what hides may be wider.
	GapHeld  bool     `json:"gap_held_by_zone,omitempty"`
	Required Required `json:"required"`
	// ShareMet and GapMet are the verdicts on the two demands, with rounding allowed for; true where the demand is not made.
	ShareMet bool `json:"share_met"`
	GapMet   bool `json:"gap_met"`
	// Met is both of them, and that anything of the zone was left to look at.
	Met         bool    `json:"met"`
	AreaErrorM2 float64 `json:"area_error_m2"` // bound that follows from the lobes' error
}

// Required is what a zone asks; absent when it does not.
type Required struct {
	SeenBy     int      `json:"seen_by"`
	Share      *float64 `json:"share,omitempty"`
	LargestGap *float64 `json:"largest_gap_m,omitempty"`
}

// BlindSpot is a piece of a zone not seen by enough sensors, of one cause.
type BlindSpot struct {
	Zone     string     `json:"zone"`
	Target   string     `json:"target"`
	State    string     `json:"state,omitempty"`
	Cause    string     `json:"cause"`
	Sensor   string     `json:"sensor,omitempty"` // the sensor that comes nearest to seeing it
	Part     string     `json:"part,omitempty"`   // the part that shades or answers
	AreaM2   float64    `json:"area_m2"`
	Centroid [2]float64 `json:"centroid_m"`
	NearestM float64    `json:"nearest_m"` // to the body
	HidesM   float64    `json:"hides_m"`   // widest round thing that fits unseen, its middle in this piece
	HidesAt  [2]float64 `json:"hides_at_m"`
	// Held is true when the thing of hides_m reaches from one border of the zone to another: it may be wider.
	Held bool `json:"held_by_zone,omitempty"`
	// OwnM is the widest round thing that fits into this piece alone; where hides_m is wider, the piece is
	// part of a gap that other causes share.
	OwnM    float64    `json:"own_m"`
	OwnAt   [2]float64 `json:"own_at_m"`
	Polygon Polygon    `json:"polygon_m"`
}

// Overlap is the area two sensors both see.
type Overlap struct {
	A      string  `json:"a"`
	B      string  `json:"b"`
	Target string  `json:"target"`
	State  string  `json:"state,omitempty"`
	AreaM2 float64 `json:"area_m2"`
}

// Mask is a constant reading a sensor has of its own machine or the ground.
type Mask struct {
	Sensor  string  `json:"sensor"`
	State   string  `json:"state,omitempty"`
	What    string  `json:"what"` // name of the part, "body" or "ground"
	ReadsM  float64 `json:"reads_m"`
	LevelDB float64 `json:"level_db"` // highest, at the high supply and the least absorption
	Always  bool    `json:"always"`   // read at the low supply and the most absorption too
}

// Arc is one way sound of From can be taken by To for an echo of its own.
type Arc struct {
	From    string       `json:"from"`
	To      string       `json:"to"`
	Path    string       `json:"path"`     // "direct", "wall", "two walls", "wall and body", "target: NAME" or "part: NAME"
	Points  [][2]float64 `json:"points_m"` // worst path
	FromUs  int64        `json:"from_us"`
	UntilUs int64        `json:"until_us"`
	LevelDB float64      `json:"level_db"`
	ReadsM  [2]float64   `json:"reads_m"` // if both fire together; least, most
	// HidesM is the true distances at which To's own echo would come later than this sound and so be missed, fired as for
	// ReadsM: least, most; both 0 where there are none.
	HidesM [2]float64 `json:"hides_m"`
	// SameObject is true where To hears all that this sound can come by also by itself, for certain and no later, if both fire
	// together: the reading is then right. Looked into for one wall alone; false where it is not proven.
	SameObject bool `json:"same_object"`
	// Harms is true when the arrival can fall into To's listening window if both fire together.
	Harms bool `json:"harms_together"`
	// HitsUs is the earliest and latest time after To's trigger at which some timing that the table does not tell of brings the
	// sound into its window: any of style as-read, and those of links of a chain that fire sooner than the table has them. Both 0
	// where none does.
	HitsUs [2]int64 `json:"hits_us"`
}

// Firing is one sensor's place in the cycle, times from the cycle's start.
type Firing struct {
	Sensor string `json:"sensor"`
	Group  int    `json:"group"`
	AtUs   int64  `json:"at_us"`
	// MayHearFromUs is the earliest it can take a foreign sound for an echo: what disturbance is reckoned with.
	MayHearFromUs int64 `json:"may_hear_from_us"`
	// ListenFromUs is when its deafness has ended for certain: an echo that comes sooner may be lost.
	ListenFromUs  int64 `json:"listen_from_us"`
	ListenUntilUs int64 `json:"listen_until_us"`
	BusyUntilUs   int64 `json:"busy_until_us"`
	LateUntilUs   int64 `json:"late_until_us"` // until its sound can no longer be taken by anyone
	// StartedBy is the sensor that starts this one, by a chain, as soon as it is done; empty: the controller does.
	StartedBy string `json:"started_by,omitempty"`
	// The same in ticks of the controller, from the cycle's start. They are rounded outward: no window, no pause from its
	// rounded end to the next group and no time between two groups is shorter than in microseconds. All 0 in style as-read.
	AtTicks          int64 `json:"at_ticks"`
	ListenFromTicks  int64 `json:"listen_from_ticks"`
	ListenUntilTicks int64 `json:"listen_until_ticks"`
	BusyUntilTicks   int64 `json:"busy_until_ticks"`
	// DelaysUs is by how much the firing, and all times above with it, comes later in cycle 0, 1 …; they repeat. See Schedule.Delays.
	DelaysUs []int64 `json:"delays_us,omitempty"`
}

// Styles of a Schedule.
const (
	Slots  = "slots"
	AsRead = "as-read" // the next sensor fires as soon as an echo has come
	// Staggered: every sensor fires at a time of its own.
	Staggered = "staggered"
)

// Schedule is the firing plan.
type Schedule struct {
	Style        string     `json:"style"`
	CycleUs      int64      `json:"cycle_us"`
	BudgetUs     int64      `json:"budget_us"` // 0: not asked
	LowerBoundUs int64      `json:"lower_bound_us"`
	Proven       bool       `json:"proven"`
	Why          string     `json:"why"`
	MadeBy       []string   `json:"bound_made_by"` // sensors that must all take turns
	Groups       [][]string `json:"groups"`        // fired at the same instant
	Firings      []Firing   `json:"firings"`
	GuardUs      int64      `json:"guard_us"` // kept after every group, with the jitter of both firings
	// TickUs is the controller's tick; CycleTicks the cycle in whole ticks, and RealisedCycleUs how long that lasts. No ticks in style
	// as-read, which keeps no table.
	TickUs          float64 `json:"tick_us,omitempty"`
	CycleTicks      int64   `json:"cycle_ticks,omitempty"`
	RealisedCycleUs float64 `json:"realised_cycle_us"`
	// BestCycleUs and WorstCycleUs bound the cycle of style as-read: every echo the nearest possible, and none at all.
	// CycleUs and the firings are then those of the worst. 0 in style slots.
	BestCycleUs  int64 `json:"best_cycle_us,omitempty"`
	WorstCycleUs int64 `json:"worst_cycle_us,omitempty"`
	// SlotsCycleUs is, in style staggered, the cycle that slots would take, and SlotsProven whether that is their shortest.
	SlotsCycleUs int64 `json:"slots_cycle_us,omitempty"`
	SlotsProven  bool  `json:"slots_proven,omitempty"`
	// Refresh is how often the sensors fire of which it was asked.
	Refresh []Refresh `json:"refresh,omitempty"`
	Met     bool      `json:"met"`
	// NotKept is why the modules or the controller do not keep to the table, whatever it says; empty where they do.
	NotKept string `json:"not_kept,omitempty"`
	// Clash is a set of demands that no cycle within the budget keeps, or no cycle at all where there is none; see Finding.Reason. It
	// is looked for with the other remedies, and empty where none was found.
	Clash []Demand `json:"clash,omitempty"`
	// AllAtOnce counts the ordered pairs that would disturb each other if every sensor fired together.
	AllAtOnce int `json:"harmed_if_all_at_once"`
	// Delays is how firings come later from cycle to cycle; nil where that is not wished.
	Delays *Delays `json:"delays,omitempty"`
}

// Refresh is how often a sensor fires.
type Refresh struct {
	Sensor  string `json:"sensor"`
	Times   int    `json:"times_a_cycle"`
	AskedUs int64  `json:"asked_us"` // longest time from one firing to the next
	KeptUs  int64  `json:"kept_us"`  // the longest there is, in whole ticks of a clock as slow as it may be, the jitter of both firings included
	Met     bool   `json:"met"`
}

// RefreshKept counts the sensors that fire as often as was asked of them.
func (s Schedule) RefreshKept() (n int) {
	for _, r := range s.Refresh {
		if r.Met {
			n++
		}
	}
	return n
}

// Arranged says how the firings are spread over the cycle.
func (s Schedule) Arranged() string {
	switch n := len(s.Groups); {
	case s.Style == AsRead:
		return "as read"
	case s.Style == Staggered:
		return "staggered"
	case n == 1:
		return "1 group"
	default:
		return fmt.Sprintf("%d groups", n)
	}
}

// Ticked is the schedule as the controller runs it, every firing at its tick, to the nearest microsecond.
func (s Schedule) Ticked() Schedule {
	if s.CycleTicks == 0 || float64(s.CycleUs) == s.RealisedCycleUs {
		return s
	}
	s.CycleUs = s.RunsUs()
	s.Firings = slices.Clone(s.Firings)
	for i := range s.Firings {
		f := &s.Firings[i]
		by := int64(math.Round(float64(f.AtTicks)*s.TickUs)) - f.AtUs
		for _, us := range []*int64{&f.AtUs, &f.MayHearFromUs, &f.ListenFromUs, &f.ListenUntilUs, &f.BusyUntilUs, &f.LateUntilUs} {
			*us += by
		}
	}
	return s
}

// RunsUs is how long a cycle lasts as the controller runs it, at the longest: in whole ticks, or with no echo at all.
func (s Schedule) RunsUs() int64 {
	return int64(math.Ceil(max(s.RealisedCycleUs, float64(s.WorstCycleUs))))
}

// Warning is the room a machine has to stop on one way of travel, in one state, before a target of a zone
// that stands still and comes straight at it: distances are from where the target would touch the machine.
type Warning struct {
	Zone   string `json:"zone"` // of those on this way that ask for the target, the one that reaches farthest
	Target string `json:"target"`
	State  string `json:"state,omitempty"`
	Way    string `json:"way"`     // "forward", "backward", "left" or "right"
	Asked  bool   `json:"asked"`   // the layout's motion goes this way; the others are told for comparison
	SeenBy int    `json:"seen_by"` // sensors that must each have confirmed
	// LaneM is how far the lane reaches across the way, from the body's origin: its right edge, below zero, and its
	// left. On every line of it the target would touch the machine.
	LaneM   [2]float64 `json:"lane_m"`
	SpeedMS float64    `json:"speed_m_s"`
	Confirm int        `json:"confirm"` // readings that must agree
	Of      int        `json:"of"`      // of so many in a row
	// FirstM is the first-warning distance on the worst line of the lane: what is seen from there on stays seen
	// by the same sensor until it is confirmed. 0: no warning is certain there.
	FirstM float64    `json:"first_warning_m"`
	At     [2]float64 `json:"at_m"` // place of the target then; where it touches if FirstM is 0
	Sensor string     `json:"sensor,omitempty"`
	// SeenFromM is the farthest at which any sensor sees the target on that line; where it exceeds FirstM, it is
	// lost again before it is confirmed. SeenToM is where Sensor loses it after the warning.
	SeenFromM  float64 `json:"seen_from_m"`
	SeenToM    float64 `json:"seen_to_m"`
	WaitUs     int64   `json:"worst_wait_us"` // for one firing of Sensor
	ReadingsUs int64   `json:"readings_us"`   // for all firings of the confirmation
	EchoUs     int64   `json:"echo_us"`       // from the last of them until its answer is known
	DetectUs   int64   `json:"detect_us"`     // sum of those two
	ReactionUs int64   `json:"reaction_us"`
	NeededM    float64 `json:"needed_m"` // at SpeedMS: until it stands, the margin included
	// SafeSpeedMS is the greatest speed at which every line of the lane leaves the distance needed.
	SafeSpeedMS float64    `json:"safe_speed_m_s"`
	LimitSensor string     `json:"safe_speed_limited_by,omitempty"` // empty: nothing warns there
	LimitAt     [2]float64 `json:"safe_speed_limited_at_m"`
	Met         bool       `json:"met"`
}

// Ready is the time from power-up to the first warning of a target that stands there already, at the worst.
type Ready struct {
	BootUs         int64  `json:"boot_us"`          // of the controller
	PowerUpUs      int64  `json:"power_up_us"`      // of the sensor's module, at the same time: the longer counts
	Sensor         string `json:"sensor,omitempty"` // the last to be ready; empty: none ever is
	Confirm        int    `json:"confirm"`
	Of             int    `json:"of"`
	ReadingsUs     int64  `json:"readings_us"` // from the first cycle's start to the last firing of the confirmation
	EchoUs         int64  `json:"echo_us"`     // from there until its answer is known
	FirstWarningUs int64  `json:"first_warning_us"`
	AskedUs        int64  `json:"asked_us"` // 0: not asked
	Met            bool   `json:"met"`
}

// Finding is something the builder should know: what, where, why, what would mend it.
type Finding struct {
	Severity string `json:"severity"` // "not met", "look", "note"
	Code     string `json:"code"`
	Text     string `json:"text"`
	Where    string `json:"where"` // zone, sensor, state
	// Reason is a smallest set of demands that cannot all be met, with the sum that shows it; where one was looked for and found.
	Reason string `json:"reason,omitempty"`
	Mend   string `json:"mend,omitempty"`
	// Try is what Mend says, where that is a change of sensors that was reckoned or can be made as it is.
	Try []Change `json:"try,omitempty"`
}

// Demand is one of those that clash: kinds are "job" (it fires), "pair" (two keep off each other), "own-sound", "rest", "together",
// "order", "resource", "at-once", "guard" and "jitter".
type Demand struct {
	Kind    string   `json:"kind"`
	Sensors []string `json:"sensors,omitempty"` // whom it concerns, of those that clash
	Name    string   `json:"name,omitempty"`    // of a resource
	Us      int64    `json:"us,omitempty"`      // job: held so long; rest, guard, jitter: so long
	Most    int64    `json:"most,omitempty"`    // resource, at-once: how much there is
}

// Change is another mount or window of a sensor, another style of firing, or another way of taking readings.
type Change struct {
	Sensor  string  `json:"sensor,omitempty"`
	Style   string  `json:"style,omitempty"`
	LeftDeg float64 `json:"left_deg,omitempty"`    // turned to the left, counter-clockwise
	UpDeg   float64 `json:"up_deg,omitempty"`      // tilted up
	ListenM float64 `json:"listen_to_m,omitempty"` // how far it shall listen; 0: as before
	MoveM   float64 `json:"move_m,omitempty"`      // along the outline, counter-clockwise; it keeps its turn against the side
	EveryUs int64   `json:"every_us,omitempty"`    // longest time from one firing of it to its next; 0: as before
	Reading string  `json:"reading,omitempty"`     // how the controller takes readings; AtOnce of them at a time
	AtOnce  int     `json:"at_once,omitempty"`
}

// In reports whether the part exists in the state.
func (p Part) In(state string) bool {
	return len(p.OnlyIn) == 0 || slices.Contains(p.OnlyIn, state)
}
