package plan

import (
	"fmt"
	"math"
	"strings"
)

// Metres prints a length to the centimetre, or to the millimetre below 20 cm.
func Metres(m float64) string {
	m = math.Round(m*1000)/1000 + 0 // + 0: no "-0 mm"
	if math.Abs(m) < 0.2 {
		return fmt.Sprintf("%.0f mm", m*1000)
	}
	return fmt.Sprintf("%.2f m", m)
}

// Millimetres prints a length to the millimetre.
func Millimetres(m float64) string { return fmt.Sprintf("%.0f mm", m*1000) }

// LengthSpan prints the least and the most of a length: once if they print alike, "nothing" where both are 0.
func LengthSpan(m [2]float64) string {
	lo, hi := Metres(m[0]), Metres(m[1])
	switch {
	case m == [2]float64{}:
		return "nothing"
	case lo == hi:
		return lo
	case lo == "0 mm":
		return "up to " + hi
	}
	return lo + " to " + hi
}

// Milliseconds prints whole microseconds as milliseconds, to 0.1 ms from 10 ms up and 0.01 below.
func Milliseconds(us int64) string {
	digits := 2
	if us >= 10000 || us <= -10000 {
		digits = 1
	}
	return trim(fmt.Sprintf("%.*f", digits, float64(us)/1000)) + " ms"
}

// Microseconds prints whole microseconds as milliseconds to the last of them, where two figures would look alike.
func Microseconds(us int64) string { return trim(fmt.Sprintf("%.3f", float64(us)/1000)) + " ms" }

// Duration prints whole microseconds to 10 ms from a second up, below as Milliseconds does.
func Duration(us int64) string {
	if us >= 1_000_000 {
		return fmt.Sprintf("%.2f s", float64(us)/1e6)
	}
	return Milliseconds(us)
}

// Percent prints a share of an area to no more digits than the error of the area allows, and never
// rounds up to all or down to none.
func Percent(part, whole, areaError float64) string {
	if whole <= 0 {
		return "none"
	}
	share, e := 100*part/whole, 100*areaError/whole
	digits := 1
	if e > 0.5 {
		digits = 0
	}
	least := math.Pow(10, -float64(digits))
	switch {
	case part >= whole*(1-1e-12):
		return "all"
	case share > 100-least:
		return fmt.Sprintf("over %.*f %%", digits, 100-least)
	case part <= 0:
		return "none"
	case share < least:
		return fmt.Sprintf("under %.*f %%", digits, least)
	}
	return fmt.Sprintf("%.*f %%", digits, share)
}

// Hides says what fits into a blind spot unseen: the thing that fits into this piece alone and, where
// other causes share the gap, how wide that is.
func (b BlindSpot) Hides() string {
	own, gap := Millimetres(b.OwnM), Millimetres(b.HidesM)
	part := own != gap
	if b.Held {
		gap = "at least " + gap
	}
	if part {
		return own + " of a gap of " + gap
	}
	return gap
}

// SquareMetres prints an area to two figures, three above 1 m², in cm² below 0.01 m² and in mm² below 1 cm².
func SquareMetres(a float64) string {
	switch {
	case a >= 100:
		return fmt.Sprintf("%.0f m2", a)
	case a >= 10:
		return fmt.Sprintf("%.1f m2", a)
	case a >= 0.1:
		return fmt.Sprintf("%.2f m2", a)
	case a >= 0.01:
		return fmt.Sprintf("%.3f m2", a)
	case a >= 10e-4:
		return fmt.Sprintf("%.0f cm2", a*1e4)
	case a >= 1e-4:
		return fmt.Sprintf("%.1f cm2", a*1e4)
	case a >= 0.5e-6:
		return fmt.Sprintf("%.0f mm2", a*1e6)
	case a > 0:
		return "under 1 mm2"
	}
	return "0 m2"
}

// trim takes trailing zeros off a decimal.
func trim(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// The severities of a finding, worst first.
const (
	NotMet = "not met"
	Look   = "look"
	Note   = "note"
)

// Cautions stand in every summary, report and export: this is arithmetic about modules that are not safety-rated.
var Cautions = []string{
	"This is not a safety device: keep the machine's own stops and a person's eyes in charge",
	"Hobby and general-purpose ultrasonic modules are not safety-rated, and nothing here is type approval",
	"Follow the local rules for vehicles and machines; where someone could be hurt, have a licensed person decide",
	"On the bench keep sound levels and moving parts away from people and animals",
}
