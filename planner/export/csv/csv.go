// Package csv writes the tables of a Plan as comma-separated values (RFC 4180), one table a file,
// units in the column names. A name that a spreadsheet would run as a formula is kept as text.
package csv

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"echowright/planner/plan"
)

// Tables are the names Write takes, in the order they are documented.
var Tables = []string{"firing", "sensors", "coverage", "blind-spots", "overlaps", "crosstalk"}

// Write writes one table of the plan.
func Write(w io.Writer, p *plan.Plan, table string) error {
	rows := map[string]func(*plan.Plan) [][]string{
		"firing": firing, "sensors": sensors, "coverage": coverage, "blind-spots": blindSpots, "overlaps": overlaps, "crosstalk": crosstalk,
	}[table]
	if rows == nil {
		return fmt.Errorf("no table '%s'; there are %s", table, strings.Join(Tables, ", "))
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180
	if err := c.WriteAll(rows(p)); err != nil {
		return err
	}
	return c.Error()
}

func firing(p *plan.Plan) [][]string {
	rows := [][]string{{"sensor", "group", "fire_us", "may_hear_from_us", "listen_from_us", "listen_until_us", "busy_until_us", "late_until_us", "cycle_us",
		"tick_us", "fire_ticks", "listen_from_ticks", "listen_until_ticks", "cycle_ticks"}}
	s := p.Schedule
	for _, f := range s.Firings {
		rows = append(rows, []string{text(f.Sensor), strconv.Itoa(f.Group), us(f.AtUs), us(f.MayHearFromUs), us(f.ListenFromUs), us(f.ListenUntilUs), us(f.BusyUntilUs), us(f.LateUntilUs), us(s.CycleUs),
			strconv.FormatFloat(s.TickUs, 'g', 9, 64), us(f.AtTicks), us(f.ListenFromTicks), us(f.ListenUntilTicks), us(s.CycleTicks)})
		if s.TickUs == 0 { // as-read
			row := rows[len(rows)-1]
			copy(row[len(row)-5:], make([]string, 5))
		}
	}
	return rows
}

func sensors(p *plan.Plan) [][]string {
	rows := [][]string{{"sensor", "kind", "x_m", "y_m", "z_m", "heading_rad", "tilt_rad", "blind_m", "listen_m", "blind_until_us", "listen_until_us", "busy_us", "gain_low_db", "gain_high_db"}}
	for _, s := range p.Sensors {
		rows = append(rows, []string{text(s.Name), text(s.Kind), f(s.X), f(s.Y), f(s.Z), f(s.Heading), f(s.Tilt), f(s.BlindM), f(s.ListenM),
			us(s.BlindUntilUs), us(s.ListenUntilUs), us(s.BusyUs), f(s.GainDB[0]), f(s.GainDB[1])})
	}
	return rows
}

func coverage(p *plan.Plan) [][]string {
	rows := [][]string{{"zone", "target", "state", "area_m2", "covered_m2", "widest_gap_m", "gap_held_by_zone", "seen_by", "met"}}
	for _, c := range p.Coverage {
		rows = append(rows, []string{text(c.Zone), text(c.Target), text(c.State), f(c.AreaM2), f(c.CoveredM2), f(c.WidestGapM), strconv.FormatBool(c.GapHeld), strconv.Itoa(c.Required.SeenBy), strconv.FormatBool(c.Met)})
	}
	return rows
}

func blindSpots(p *plan.Plan) [][]string {
	rows := [][]string{{"zone", "target", "state", "cause", "sensor", "part", "area_m2", "centroid_x_m", "centroid_y_m", "nearest_m", "hides_m", "held_by_zone", "own_m"}}
	for _, b := range p.BlindSpots {
		rows = append(rows, []string{text(b.Zone), text(b.Target), text(b.State), text(b.Cause), text(b.Sensor), text(b.Part), f(b.AreaM2), f(b.Centroid[0]), f(b.Centroid[1]), f(b.NearestM), f(b.HidesM), strconv.FormatBool(b.Held), f(b.OwnM)})
	}
	return rows
}

func overlaps(p *plan.Plan) [][]string {
	rows := [][]string{{"a", "b", "target", "state", "area_m2"}}
	for _, o := range p.Overlaps {
		rows = append(rows, []string{text(o.A), text(o.B), text(o.Target), text(o.State), f(o.AreaM2)})
	}
	return rows
}

func crosstalk(p *plan.Plan) [][]string {
	rows := [][]string{{"from", "to", "path", "from_us", "until_us", "level_db", "reads_least_m", "reads_most_m", "harms_together",
		"hides_least_m", "hides_most_m", "same_object", "kept_out"}}
	for _, a := range p.Crosstalk {
		rows = append(rows, []string{text(a.From), text(a.To), text(a.Path), us(a.FromUs), us(a.UntilUs), f(a.LevelDB), f(a.ReadsM[0]), f(a.ReadsM[1]), strconv.FormatBool(a.Harms),
			f(a.HidesM[0]), f(a.HidesM[1]), strconv.FormatBool(a.SameObject), strconv.FormatBool(p.KeepsOut(a))})
	}
	return rows
}

func us(t int64) string { return strconv.FormatInt(t, 10) }

// f prints a length, an area, an angle or a level to a millionth of its unit, finer than any of them is
// known, so that what is left of rounding prints as 0.
func f(x float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 6, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// text keeps a name from being taken for a formula.
func text(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
