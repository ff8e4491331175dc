package report

import (
	"fmt"

	"echowright/planner/plan"
)

// worstWrongs are the wrong readings that firing decides, in the space of a terminal: of each kind of path the loudest, and
// before it what this plan does not keep out; none of what shows nothing. left counts the rows of the card not told.
func worstWrongs(p *plan.Plan) (rows []wrong, left int) {
	at := map[string]int{}
	for _, w := range wrongs(p) {
		if w.Ways == 0 {
			continue
		}
		i, known := at[w.Path]
		if !w.Bad && w.Reads == [2]float64{} { // nothing is shown: the report tells why
			left++
			continue
		}
		if !known {
			at[w.Path] = len(rows)
			rows = append(rows, w)
			continue
		}
		left++
		if worse(w, rows[i]) {
			rows[i] = w
		}
	}
	return rows, left
}

// worse puts first what is not kept out, then what reads farthest off of own echoes, then the louder.
func worse(a, b wrong) bool {
	switch {
	case a.Bad != b.Bad:
		return a.Bad
	case a.own && a.Reads[1] != b.Reads[1]:
		return a.Reads[1] > b.Reads[1]
	}
	return a.LevelDB > b.LevelDB
}

// firedWrongly lists them as lines.
func firedWrongly(p *plan.Plan) (lines []string) {
	rows, left := worstWrongs(p)
	for _, w := range rows {
		lines = append(lines, fmt.Sprintf("%s shows %s %s", w.Sensor, plan.LengthSpan(w.Reads), w.When))
		more := fmt.Sprintf("    %s; %.0f dB over its threshold", w.Order, w.LevelDB)
		if w.Hides != [2]float64{} {
			more += ", hides true echoes " + plan.LengthSpan(w.Hides)
		}
		switch w.Others {
		case 0:
		case 1:
			more += ", 1 other sender likewise"
		default:
			more += fmt.Sprintf(", %d other senders likewise", w.Others)
		}
		lines = append(lines, more)
	}
	switch {
	case left == 1:
		lines = append(lines, "1 more such line is in the report, every path of sound in crosstalk.csv")
	case left > 1:
		lines = append(lines, fmt.Sprintf("%d more such lines are in the report, every path of sound in crosstalk.csv", left))
	}
	return lines
}
