package plan

import "slices"

// Ways is what can be done about a cycle: ways out, each made and the whole plan reckoned again with it, and what windows cost.
type Ways struct {
	CycleUs  int64    `json:"cycle_us"`           // of the plan as it is, as the controller runs it; 0: it has no table
	BudgetUs int64    `json:"budget_us"`          // 0: not asked
	From     []string `json:"from"`               // sensors that make the cycle as long as it is
	Out      []Way    `json:"out"`                // ranked, the cheapest that keeps the budget first
	Choice   *Choice  `json:"choice,omitempty"`   // windows chosen together; absent where no shorter window shortens the cycle
	Front    []Limit  `json:"front"`              // range against cycle, the shortest cycle first
	NoFront  string   `json:"no_front,omitempty"` // why there is none
}

// Kinds of a Way, by what is changed.
const (
	WayStyle   = "style"
	WayWindows = "windows"
	WayTurn    = "turn"
	WayMove    = "move"
	WayReading = "reading"
	WayCarrier = "carrier"
	WayLine    = "line"
	WayRefresh = "refresh"
	WayDelays  = "delays"
	WaySeveral = "several" // two or more of the others at once
)

// Way is one way out with what it brings and costs. Every figure is of a plan made anew with it, its timetable replayed.
type Way struct {
	Kind string `json:"kind"`
	What string `json:"what"` // in one line
	// Changes are what a layout has to say for it; none where it takes modules of another make: then What is an advice.
	Changes []Change `json:"changes,omitempty"`
	CycleUs [2]int64 `json:"cycle_us"` // before and after, as the controller runs it
	Proven  bool     `json:"proven"`   // that the new cycle is the shortest
	Fits    bool     `json:"fits"`     // the firing plan is then met, budget and all
	Met     bool     `json:"met"`      // the whole plan is
	// Coverage and Speeds are those that change.
	Coverage []CoverageChange `json:"coverage,omitempty"`
	Speeds   []SpeedChange    `json:"safe_speeds,omitempty"`
	Gained   []string         `json:"gained,omitempty"` // demands met then and not before, but for the cycle
	Lost     []string         `json:"lost,omitempty"`   // demands met before and not then
	Rank     int              `json:"rank"`             // from 1, the cheapest
}

// LostM2 is the area that is seen no more, over all zones; what others gain makes up for nothing.
func (w Way) LostM2() (lost float64) {
	for _, c := range w.Coverage {
		lost += max(0, c.CoveredM2[0]-c.CoveredM2[1])
	}
	return lost
}

// Taken reports whether edits of a layout can say it; else it is an advice.
func (w Way) Taken() bool { return len(w.Changes) > 0 }

// CoverageChange is what becomes of one zone, before and after.
type CoverageChange struct {
	Zone       string     `json:"zone"`
	State      string     `json:"state,omitempty"`
	AreaM2     [2]float64 `json:"area_m2"`
	CoveredM2  [2]float64 `json:"covered_m2"`
	WidestGapM [2]float64 `json:"widest_gap_m"`
	ErrorM2    float64    `json:"error_m2"`
}

// SpeedChange is the greatest safe speed on one way of travel, before and after, m/s.
type SpeedChange struct {
	Way     string     `json:"way"`
	Target  string     `json:"target"`
	State   string     `json:"state,omitempty"`
	Asked   bool       `json:"asked"`
	SpeedMS [2]float64 `json:"safe_speed_m_s"`
}

// Choice is windows chosen together, so that every demand that is met stays so and the cycle is the shortest.
type Choice struct {
	Windows []ChosenWindow `json:"windows"`
	CycleUs [2]int64       `json:"cycle_us"` // before and after
	// Least is true where no other choice among the windows tried keeps the demands with a shorter cycle.
	Least bool   `json:"least"`
	Tried int    `json:"tried"` // choices looked at
	Says  string `json:"says"`
}

// Changes are what a layout has to say for it.
func (c Choice) Changes() (cs []Change) {
	for _, w := range c.Windows {
		if w.ListenM[0] != w.ListenM[1] {
			cs = append(cs, Change{Sensor: w.Sensor, ListenM: w.ListenM[1]})
		}
	}
	return cs
}

// ChosenWindow is how far one sensor shall listen.
type ChosenWindow struct {
	Sensor  string     `json:"sensor"`
	ListenM [2]float64 `json:"listen_to_m"` // before and after
	Tried   []float64  `json:"tried_m"`     // the windows that were there to choose from, falling
}

// Limit is what becomes of the plan if no sensor whose window can be set listens farther than ListenM.
type Limit struct {
	ListenM float64     `json:"listen_to_m"`
	CycleUs int64       `json:"cycle_us"`
	Proven  bool        `json:"proven"`
	Fits    bool        `json:"fits"`
	Shares  []ShareOf   `json:"shares"`
	Speeds  []SafeSpeed `json:"safe_speeds,omitempty"` // on the ways of travel that are asked for
	Missed  []string    `json:"missed"`                // demands not met, the cycle among them
}

// ShareOf is the part of a zone that is seen, 0 to 1.
type ShareOf struct {
	Zone  string  `json:"zone"`
	State string  `json:"state,omitempty"`
	Share float64 `json:"share"`
}

// SafeSpeed is the greatest safe speed on one way of travel, m/s.
type SafeSpeed struct {
	Way     string  `json:"way"`
	Target  string  `json:"target"`
	State   string  `json:"state,omitempty"`
	SpeedMS float64 `json:"safe_speed_m_s"`
}

// Beats reports whether a limit is as good as another in everything the front tells and better in something.
func (l Limit) Beats(o Limit) bool { return l.asGood(o) && !o.asGood(l) }

// Equals reports whether two limits come to the same in everything the front tells.
func (l Limit) Equals(o Limit) bool { return l.asGood(o) && o.asGood(l) }

func (l Limit) asGood(o Limit) bool {
	if l.CycleUs > o.CycleUs || slices.ContainsFunc(l.Missed, func(m string) bool { return !slices.Contains(o.Missed, m) }) {
		return false
	}
	for i, s := range l.Shares {
		if s.Share < o.Shares[i].Share {
			return false
		}
	}
	for i, s := range l.Speeds {
		if s.SpeedMS < o.Speeds[i].SpeedMS {
			return false
		}
	}
	return true
}
