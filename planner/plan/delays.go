package plan

import "slices"

// Ways of Delays.
const (
	Alternating = "alternating" // each sensor fires later in every second cycle
	Dithered    = "dithered"    // every firing comes later by a time drawn anew
)

// Delays is how firings come later from cycle to cycle, so that a ghost which keeps coming does not stay in its place: a reading
// that differs from the one before by more than the threshold is dropped. The timetable keeps out all sound of Crosstalk
// whatever delay each firing has.
type Delays struct {
	Way       string  `json:"way"`
	Cannot    string  `json:"cannot,omitempty"` // why there are none; the table is then that without delays
	ClosingMS float64 `json:"closing_m_s"`      // the machine and things around draw near or away no faster
	// ThresholdUs is by how much two readings in a row may differ, there and back; ThresholdM the same as a distance read.
	ThresholdUs    int64   `json:"threshold_us"`
	ThresholdM     float64 `json:"threshold_m"`
	ThresholdTicks int64   `json:"threshold_ticks"`
	ShiftUs        int64   `json:"shift_us,omitempty"` // alternating: a ghost that shifts by more is dropped, whatever moves
	MostUs         int64   `json:"most_us"`            // the longest delay
	// Classes is how many different delays there are, of LeastClasses at the least: the colours of the graph of who hears whom.
	Classes       int    `json:"classes,omitempty"`
	LeastClasses  int    `json:"least_classes,omitempty"`
	ClassesProven bool   `json:"classes_proven,omitempty"`
	Seed          uint64 `json:"seed,omitempty"`         // dithered
	TableCycles   int    `json:"table_cycles,omitempty"` // cycles after which delays repeat
	// ConfirmUs is the longest time from just after a firing until the second of two agreeing readings is fired.
	ConfirmUs int64 `json:"confirm_us,omitempty"`
	WithoutUs int64 `json:"cycle_without_us"` // the cycle without delays, as the controller runs it
	// AgreeTwice is the chance that two readings in a row of a ghost on a fixed path agree, if only the listener's firings are
	// dithered, as with another machine's sound, or both; AgreeThrice of three. Dithered only.
	AgreeTwice   [2]float64   `json:"agree_twice,omitzero"`
	AgreeThrice  [2]float64   `json:"agree_thrice,omitzero"`
	Inequalities []Inequality `json:"inequalities"`
	NotRejected  []string     `json:"not_rejected"`
}

// Inequality is one that delays must keep, with the numbers of this plan.
type Inequality struct {
	Name     string `json:"name"`
	LeftUs   int64  `json:"left_us"`
	Relation string `json:"relation"` // "<=" or ">"
	RightUs  int64  `json:"right_us"`
	Met      bool   `json:"met"`
	Text     string `json:"text"`
}

// MostDelayUs is the longest of a firing's delays.
func (f Firing) MostDelayUs() int64 {
	if len(f.DelaysUs) == 0 {
		return 0
	}
	return slices.Max(f.DelaysUs)
}
