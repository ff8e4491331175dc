package report

import (
	"fmt"
	"strings"

	"echowright/planner/plan"
)

// gridMost is the most sensors for which the grid of who disturbs whom is drawn: more columns do not fit a page.
const gridMost = 32

// sound is what becomes of one sensor's sound at another, in words and as a mark that is told without its colour.
type sound struct{ Mark, Word, Says string }

// The kinds of sound, in the order of the legend.
var (
	letInSound  = sound{"×", "let in", "let in by this order, or kept out by none: it can be taken for an echo"}
	keptSound   = sound{"○", "kept out", "heard, but kept out by this order"}
	sameSound   = sound{"=", "same thing", "heard only of what the listener sees itself: the reading is right"}
	silentSound = sound{"·", "not heard", "not heard"}
	ownSound    = sound{"–", "itself", "its own sound, gone before it fires again"}
)

// cell is one sender's sound at one listener; Title says all of it.
type cell struct {
	sound
	Bad   bool
	Title string
}

// whoRow is what becomes of one sender's sound at every listener.
type whoRow struct {
	Sender string
	Cells  []cell
}

// who is the grid of who disturbs whom, senders down and listeners across in the order of the sensors; none for one sensor alone
// or for more than a page holds.
func who(p *plan.Plan) (rows []whoRow) {
	if len(p.Sensors) < 2 || len(p.Sensors) > gridMost {
		return nil
	}
	arcs := map[[2]string][]plan.Arc{}
	for _, a := range p.Crosstalk {
		pair := [2]string{a.From, a.To}
		arcs[pair] = append(arcs[pair], a)
	}
	for _, from := range p.Sensors {
		row := whoRow{Sender: from.Name}
		for _, to := range p.Sensors {
			if from.Name == to.Name {
				row.Cells = append(row.Cells, ownCell(p, from.Name))
				continue
			}
			row.Cells = append(row.Cells, whoCell(p, from.Name, to.Name, arcs[[2]string{from.Name, to.Name}]))
		}
		rows = append(rows, row)
	}
	return rows
}

// ownCell is a sensor's own late sound.
func ownCell(p *plan.Plan, sensor string) cell {
	w, ok := ownLate(p, sensor)
	switch {
	case !ok:
		return cell{sound: ownSound, Title: sensor + " itself: no late sound of its own"}
	case w.Bad:
		return cell{sound: letInSound, Bad: true, Title: fmt.Sprintf("%s itself: %s; shows %s", sensor, w.Order, plan.LengthSpan(w.Reads))}
	}
	return cell{sound: ownSound, Title: fmt.Sprintf("%s itself: %s", sensor, w.Order)}
}

// whoCell weighs all sound of one sensor that comes to another.
func whoCell(p *plan.Plan, from, to string, arcs []plan.Arc) cell {
	if len(arcs) == 0 {
		return cell{sound: silentSound, Title: fmt.Sprintf("%s does not hear %s", to, from)}
	}
	loud := arcs[0]
	var reads [2]float64
	kept, same, in := true, true, false
	for _, a := range arcs {
		if a.LevelDB > loud.LevelDB {
			loud = a
		}
		if a.Harms {
			reads = joined(reads, p.Reads(a))
		}
		_, let := p.LetsIn(a)
		in, kept, same = in || let, kept && p.KeepsOut(a), same && a.SameObject
	}
	c := cell{sound: keptSound}
	var says []string
	switch {
	case in:
		c.sound, c.Bad = letInSound, true
		says = append(says, letIn(p, arcs))
	case !kept:
		c.sound, c.Bad = letInSound, true
		says = append(says, "not kept out: "+unscheduled(p, to, from))
	case same:
		c.sound = sameSound
		says = append(says, "of the same thing as its own echo, and no sooner")
	default:
		says = append(says, "kept out")
	}
	if reads != [2]float64{} && c.sound != sameSound {
		says = append(says, "would show "+plan.LengthSpan(reads)+" fired together")
	}
	says = append(says, fmt.Sprintf("at most %.0f dB over its threshold, by %s", loud.LevelDB, way(loud)))
	c.Title = fmt.Sprintf("%s hears %s: %s", to, from, strings.Join(says, "; "))
	return c
}

// way names the path of an arc in a sentence.
func way(a plan.Arc) string {
	switch a.Path {
	case "direct":
		return "the body alone"
	case "wall":
		return "a wall"
	case "wall and body":
		return "a wall, the body and that wall again"
	}
	return a.Path
}

// legend is the marks of the grid.
func legend() []cell {
	out := []cell{{sound: letInSound, Bad: true}}
	for _, s := range []sound{keptSound, sameSound, silentSound, ownSound} {
		out = append(out, cell{sound: s})
	}
	return out
}
