package plan

import (
	"fmt"
	"math"
	"strconv"
)

// Margins tells what breaks first when something of a plan is otherwise than the layout states, and what is lost when one sensor
// fails. It is reckoned on demand and not part of a plain Plan.
type Margins struct {
	// Missed are the demands that are not met as it stands; nothing is said of when they would break.
	Missed []string `json:"missed"`
	Rows   []Margin `json:"what_breaks"`
	// FirstKept and FirstAnew index the row that breaks first, in parts of what the layout allows for, with the timetable kept (Spent) and with
	// one solved anew; -1: nothing does within what was looked at.
	FirstKept int    `json:"first_kept"`
	FirstAnew int    `json:"first_anew"`
	Lost      []Lost `json:"if_one_fails"`
	// NotReckoned says what was left out because the time was up.
	NotReckoned []string `json:"not_reckoned,omitempty"`
}

// The quantities of a Margin.
const (
	MarginGuard       = "guard"
	MarginClock       = "clock error"
	MarginJitter      = "jitter"
	MarginHeading     = "heading"
	MarginTemperature = "temperature"
	MarginThreshold   = "threshold"
	MarginWindow      = "window"
)

// Margin is one quantity changed one way, and the least change at which something breaks. Its numbers are in Unit.
type Margin struct {
	Quantity string `json:"quantity"`
	Change   string `json:"change"` // what is changed, in words
	Unit     string `json:"unit"`   // "us", "share", "deg", "degC" or "dB"
	// Stated is what the layout has of it already, on top of which the change comes; nil where it has no such figure.
	Stated *float64 `json:"stated,omitempty"`
	// Allowed is the measure by which different quantities are compared: what the layout allows for, or, with AllowedBy "common practice", what
	// is usual where it says nothing.
	Allowed   float64 `json:"allowed"`
	AllowedBy string  `json:"allowed_by"`
	UpTo      float64 `json:"up_to"` // changes looked at
	// Tried are the changes looked at before the space below the first that breaks is halved; more than one where a greater change may
	// do less harm than a smaller one.
	Tried []float64 `json:"tried"`
	// Kept is with the timetable as it is, refused by the checker with the guard as asked; Spent the same with all of the guard used up;
	// Anew with the timetable solved again for the changed layout: the first demand that is met now and then no more. Nil: not looked at,
	// see None.
	Kept  *Break `json:"kept,omitempty"`
	Spent *Break `json:"spent,omitempty"`
	Anew  *Break `json:"anew,omitempty"`
}

// Break is the least change found at which something breaks; Step less it did not.
type Break struct {
	At   float64 `json:"at"`   // 0 with None false: broken as it stands
	Step float64 `json:"step"` // resolution
	None bool    `json:"none"` // nothing breaks within what was looked at
	// Rule is the checker's rule that is broken, or the kind of demand no longer met: "cycle", "share", "gap", "warning", "ready" or
	// "disturbed".
	Rule    string   `json:"rule,omitempty"`
	Sensors []string `json:"sensors,omitempty"` // whom it concerns; of sound the sender first
	Text    string   `json:"text,omitempty"`
}

// Lost is what becomes of the plan when one sensor is dead.
type Lost struct {
	Sensor string `json:"sensor"`
	// Silent are the sensors that then fire no more either, because a chain would start them.
	Silent []string `json:"silent_too,omitempty"`
	// Safe: there is a timetable, and the checker accepts it without them; Refused is its reason where it does not.
	Safe    bool   `json:"safe"`
	Refused string `json:"refused,omitempty"`
	// Demands are those whose figure changes, with the timetable kept.
	Demands []LostDemand `json:"demands"`
	// Findings are those of severity "not met" that come with it.
	Findings []LostFinding `json:"findings"`
	// Anew is the timetable solved again without the sensor, chains closed behind it; nil where the style keeps none or nothing is left.
	Anew *LostCycle `json:"anew,omitempty"`
}

// LostDemand is a demand before and after: of kind "share" (parts of the area), "gap" (m), "warning" (m), "safe speed" (m/s, not asked)
// or "ready" (us; -1: never).
type LostDemand struct {
	Kind   string     `json:"kind"`
	What   string     `json:"what"`
	Is     [2]float64 `json:"is"`
	Met    [2]bool    `json:"met"`
	Asked  *float64   `json:"asked,omitempty"`
	Sensor string     `json:"sensor,omitempty"` // warning: who then gives it; safe speed: who limits it
}

// Flips reports whether it was met and is no more.
func (d LostDemand) Flips() bool { return d.Met[0] && !d.Met[1] }

// LostFinding names a finding.
type LostFinding struct {
	Code  string `json:"code"`
	Where string `json:"where"`
	Text  string `json:"text"`
}

// LostCycle is a timetable solved again.
type LostCycle struct {
	CycleUs [2]int64 `json:"cycle_us"` // before, after
	Proven  bool     `json:"proven"`
	Met     bool     `json:"met"` // within the budget
	// Missed are the demands met before and not with that timetable.
	Missed []string `json:"missed"`
}

// Says prints an amount of a row's quantity with its unit.
func (m Margin) Says(x float64) string {
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	switch {
	case m.Unit == "us" && math.Abs(x) < 100:
		return number(x) + " us"
	case m.Unit == "us":
		return number(x/1000) + " ms"
	case m.Unit == "share":
		return number(100*x) + " %"
	}
	return number(x) + " " + m.Unit
}

// From says from which change on something breaks.
func (m Margin) From(b *Break) string {
	switch {
	case b.None:
		return "none up to " + m.Says(m.UpTo)
	case b.At == 0:
		return "as it stands"
	}
	return m.Says(b.At)
}

// Measured says a change in parts of what is allowed for.
func (m Margin) Measured(b *Break) string {
	return fmt.Sprintf("%.2g times the %s that %s allows for", b.At/m.Allowed, m.Says(m.Allowed), m.AllowedBy)
}

// Says prints one figure of a demand.
func (d LostDemand) Says(x float64) string {
	switch d.Kind {
	case "share":
		return Percent(x, 1, 0)
	case "gap":
		return Millimetres(x)
	case "safe speed":
		return fmt.Sprintf("%.2f m/s", math.Floor(x*100)/100)
	case "ready":
		if x < 0 {
			return "never"
		}
		return Duration(int64(x))
	}
	if x <= 0 {
		return "not certain"
	}
	return Metres(x)
}
