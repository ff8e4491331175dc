package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// worthM2 is the least change of an area that is told, m2: less is within what the lobes' own error of a millimetre may make.
const worthM2 = 0.001

// Costs are what a way costs and gains besides the cycle, a line each.
func (w Way) Costs() (lines []string) {
	if len(w.Lost) > 0 {
		lines = append(lines, "then missed: "+strings.Join(w.Lost, "; "))
	}
	if len(w.Gained) > 0 {
		lines = append(lines, "then met too: "+strings.Join(w.Gained, "; "))
	}
	var seen []string
	for _, c := range w.Coverage {
		by := c.CoveredM2[1] - c.CoveredM2[0]
		if math.Abs(by) <= max(c.ErrorM2, worthM2) {
			continue
		}
		word := "more"
		if by < 0 {
			word = "less"
		}
		seen = append(seen, fmt.Sprintf("%s of %s (%s, was %s)", SquareMetres(math.Abs(by))+" "+word, named(c.Zone, c.State),
			Percent(c.CoveredM2[1], c.AreaM2[1], c.ErrorM2), Percent(c.CoveredM2[0], c.AreaM2[0], c.ErrorM2)))
	}
	if len(seen) > 0 {
		lines = append(lines, "seen: "+strings.Join(seen, "; "))
	}
	var speeds []string
	for _, v := range w.Speeds {
		if was, is := UpTo(v.SpeedMS[0]), UpTo(v.SpeedMS[1]); v.Asked && was != is {
			speeds = append(speeds, fmt.Sprintf("%s: %s, was %s", named(v.Target+" "+Toward(v.Way), v.State), is, was))
		}
	}
	if len(speeds) > 0 {
		lines = append(lines, "safe speed: "+strings.Join(speeds, "; "))
	}
	if len(w.Changes) == 0 {
		lines = append(lines, "an advice: no edit of a layout says it")
	}
	return lines
}

// named is a zone or a way of travel with the state of the machine, where it has several.
func named(zone, state string) string {
	if state == "" {
		return zone
	}
	return zone + ", " + state
}

// Says is what a limit leaves: shares, safe speeds, and what it misses.
func (l Limit) Says() string {
	var says []string
	for _, s := range l.Shares {
		says = append(says, named(s.Zone, s.State)+" "+Percent(s.Share, 1, 0))
	}
	if len(l.Speeds) > 0 {
		least := slices.MinFunc(l.Speeds, func(a, b SafeSpeed) int { return cmp.Compare(a.SpeedMS, b.SpeedMS) })
		says = append(says, "safe "+UpTo(least.SpeedMS))
	}
	switch n := len(l.Missed); {
	case n == 0:
		says = append(says, "all met")
	case n > missedNamed:
		says = append(says, fmt.Sprintf("missed: %d demands", n))
	default:
		says = append(says, "missed: "+strings.Join(l.Missed, "; "))
	}
	return strings.Join(says, ", ")
}

// missedNamed is how many missed demands are named; more are counted.
const missedNamed = 2

// Toward is a way of travel in words.
func Toward(way string) string {
	switch way {
	case "forward":
		return "straight ahead"
	case "backward":
		return "straight back"
	}
	return "straight to the " + way
}

// UpTo prints a speed that must not be exceeded: to the cm/s, rounded down.
func UpTo(ms float64) string {
	if ms < 0.01 {
		return "at no speed"
	}
	return fmt.Sprintf("up to %.2f m/s", math.Floor(ms*100)/100)
}
