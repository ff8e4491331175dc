package plan

import (
	"fmt"
	"math"
	"strings"
)

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
		if math.Abs(by) <= c.ErrorM2 {
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
	for _, v := range l.Speeds {
		says = append(says, "safe "+UpTo(v.SpeedMS))
	}
	missed := "all met"
	if len(l.Missed) > 0 {
		missed = "missed: " + strings.Join(l.Missed, "; ")
	}
	return strings.Join(append(says, missed), ", ")
}

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
