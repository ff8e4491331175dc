package report

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/plan"
)

// wrong is one way a sensor could read wrongly: all sound that comes to it by one kind of path.
type wrong struct {
	Sensor  string
	Reads   [2]float64 // what it would show, m: least, most; both 0 where nothing can be shown
	When    string
	LevelDB float64    // over its threshold, at most
	Hides   [2]float64 // true echoes missed, m; both 0 where none
	Ways    int        // arcs, told by the loudest; 0: a reading that no firing decides
	Others  int        // senders beside the one told of
	Order   string     // what this plan's order makes of it
	Bad     bool       // this plan does not keep it out
	Path    string
	own     bool
}

// wrongs is the card of every possible wrong reading, in the order of the sensors and, within one, what is always there, then
// the loudest.
func wrongs(p *plan.Plan) (rows []wrong) {
	for _, s := range p.Sensors {
		rows = append(rows, ownMachine(p, s.Name)...)
		var foreign []wrong
		for _, arcs := range families(p, s.Name) {
			foreign = append(foreign, fromOthers(p, arcs))
		}
		slices.SortStableFunc(foreign, louder)
		rows = append(rows, foreign...)
		if late, ok := ownLate(p, s.Name); ok {
			rows = append(rows, late)
		}
	}
	return rows
}

func louder(a, b wrong) int {
	switch {
	case a.LevelDB > b.LevelDB:
		return -1
	case a.LevelDB < b.LevelDB:
		return 1
	}
	return 0
}

// ownMachine are the readings a sensor has of its own machine whenever it fires.
func ownMachine(p *plan.Plan, sensor string) (rows []wrong) {
	for _, m := range p.Masks {
		if m.Sensor != sensor {
			continue
		}
		w := wrong{Sensor: sensor, Reads: [2]float64{m.ReadsM, m.ReadsM}, LevelDB: m.LevelDB, When: "alone: its own " + m.What, Path: "own machine",
			Order: "no order keeps it out", Bad: true, Hides: [2]float64{m.ReadsM, max(m.ReadsM, listens(p, sensor))}}
		if m.What == "ground" {
			w.When = "alone: the ground"
		}
		if m.State != "" {
			w.When += " while " + m.State
		}
		if !m.Always {
			w.When += ", not always: at a high supply or little absorption"
		}
		rows = append(rows, w)
	}
	return rows
}

func listens(p *plan.Plan, sensor string) float64 {
	for _, s := range p.Sensors {
		if s.Name == sensor {
			return s.ListenM
		}
	}
	return 0
}

// families are the arcs of other sensors that could make this one read wrongly, those by one kind of path together, in the
// order in which they first come; those that the firing table speaks of are apart from those it does not, since what is done
// about the ones says nothing of the others. An arc by which both see the same thing is none, unless the order lets it in at
// some other time.
func families(p *plan.Plan, sensor string) (out [][]plan.Arc) {
	type family struct {
		path      string
		scheduled bool
	}
	at := map[family]int{}
	for _, a := range p.Crosstalk {
		if a.To != sensor || a.From == sensor || a.SameObject && p.KeepsOut(a) {
			continue
		}
		f := family{a.Path, inTable(p, a)}
		i, known := at[f]
		if !known {
			i = len(out)
			at[f] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], a)
	}
	return out
}

// inTable reports whether both ends of an arc fire by the table.
func inTable(p *plan.Plan, a plan.Arc) bool { return p.Scheduled(a.From) && p.Scheduled(a.To) }

// fromOthers puts the arcs of one family into one row, told by the loudest.
func fromOthers(p *plan.Plan, arcs []plan.Arc) wrong {
	loud := arcs[0]
	for _, a := range arcs[1:] {
		if a.Harms && !loud.Harms || a.Harms == loud.Harms && a.LevelDB > loud.LevelDB {
			loud = a
		}
	}
	w := wrong{Sensor: loud.To, Path: loud.Path, LevelDB: loud.LevelDB, Ways: len(arcs)}
	var senders []string
	kept := true
	for _, a := range arcs {
		if !slices.Contains(senders, a.From) {
			senders = append(senders, a.From)
		}
		w.LevelDB = max(w.LevelDB, a.LevelDB)
		w.Hides = joined(w.Hides, a.HidesM)
		if a.Harms {
			w.Reads = joined(w.Reads, p.Reads(a))
		}
		kept = kept && p.KeepsOut(a)
	}
	w.When, w.Others = circumstance(p, loud), len(senders)-1
	window := p.WindowOf(loud.To)
	if !loud.Harms {
		w.Reads = window.Shows([2]int64{window.OpenUs, window.CloseUs}) // at some lag it falls anywhere
	}
	w.Order = "kept out"
	if !kept {
		w.Bad = true
		w.Order = letIn(p, arcs)
		if !inTable(p, loud) {
			w.Order = "not kept out: " + unscheduled(p, loud.To, senders...)
		}
	}
	return w
}

// unscheduled says why some sensor has no place in a firing table: the listener, or else its senders.
func unscheduled(p *plan.Plan, listener string, senders ...string) string {
	switch {
	case len(p.Schedule.Firings) == 0:
		return "there is no firing table"
	case !p.Scheduled(listener):
		return listener + " fires by itself"
	case len(senders) == 1:
		return senders[0] + " fires by itself"
	}
	return strings.Join(senders, ", ") + " fire by themselves"
}

// circumstance says when and how the listener comes to hear it.
func circumstance(p *plan.Plan, a plan.Arc) string {
	w := p.WindowOf(a.To)
	least, most := a.FromUs-w.CloseUs, a.UntilUs-w.OpenUs // lags of its firing after the sender's
	when := "fired together with " + a.From
	switch {
	case !a.Harms:
		when = fmt.Sprintf("fired %s to %s after %s", plan.Milliseconds(max(0, least)), plan.Milliseconds(most), a.From)
	case most > 0:
		when += " or up to " + plan.Milliseconds(most) + " after it"
	}
	return when + ": " + byWhat(p, a)
}

// byWhat says what the loudest path of an arc goes by, and where that stands.
func byWhat(p *plan.Plan, a plan.Arc) string {
	if a.Path == "direct" {
		return "along the body"
	}
	thing, name, named := strings.Cut(a.Path, ": ")
	if named {
		thing = name
		if strings.HasPrefix(a.Path, "part and wall") {
			thing = name + " and a wall"
		}
	}
	if thing == "wall" {
		thing = "a wall"
	}
	if thing == "wall and body" {
		thing = "a wall, the body and that wall again"
	}
	if len(a.Points) == 3 && !strings.HasPrefix(a.Path, "part") {
		return thing + ", " + p.Body.Place(a.Points[1])
	}
	return thing
}

// letIn says what the order lets in, as shown then.
func letIn(p *plan.Plan, arcs []plan.Arc) string {
	n := 0
	var reads [2]float64
	for _, a := range arcs {
		if us, in := p.LetsIn(a); in {
			n++
			reads = joined(reads, p.WindowOf(a.To).Shows(us))
		}
	}
	return fmt.Sprintf("let in, %d of %d: reads %s", n, len(arcs), plan.LengthSpan(reads))
}

// ownLate is what a sensor's own echoes could make it show when it has fired again before they came.
func ownLate(p *plan.Plan, sensor string) (wrong, bool) {
	window := p.WindowOf(sensor)
	w := wrong{Sensor: sensor, Path: "own echo", own: true}
	var last, lastIn plan.Arc // the longest of all, and of those let in
	var soon, let [2]float64  // shown if it fires again as soon as it can, and in this order
	for _, a := range p.Crosstalk {
		if a.From != sensor || a.To != sensor {
			continue
		}
		w.Ways++
		if a.UntilUs > last.UntilUs {
			last = a
		}
		if us, in := p.LetsIn(a); in {
			let, w.Bad = joined(let, window.Shows(us)), true
			if a.UntilUs > lastIn.UntilUs {
				lastIn = a
			}
		}
		from, until := max(a.FromUs-window.AgainUs, window.OpenUs), min(a.UntilUs-window.AgainUs, window.CloseUs)
		if until > from {
			soon = joined(soon, window.Shows([2]int64{from, until}))
		}
	}
	if w.Bad {
		last = lastIn
	}
	off := echoOff(p, last)
	w.LevelDB = last.LevelDB
	switch {
	case w.Bad:
		w.Reads, w.When = let, off+", late"
	case soon == [2]float64{}:
		misses := "is gone by then"
		if last.UntilUs > window.AgainUs+window.OpenUs {
			misses = "never falls into its window"
		}
		w.When = fmt.Sprintf("fired again as soon as it can, after %s: %s, %s", plan.Milliseconds(window.AgainUs), off, misses)
	default:
		w.Reads, w.When = soon, fmt.Sprintf("fired again after %s: %s, one cycle late", plan.Milliseconds(window.AgainUs), off)
	}
	w.Order = lateOrder(p, last, window, w.Bad)
	w.Bad = w.Bad || !p.Scheduled(sensor)
	return w, w.Ways > 0
}

// lateOrder says what the plan's cycle makes of a sensor's last own echo.
func lateOrder(p *plan.Plan, last plan.Arc, w plan.Window, in bool) string {
	cycle := p.Schedule.CycleUs
	gone := fmt.Sprintf("sound is gone after %s of %s", plan.Milliseconds(last.UntilUs), plan.Milliseconds(cycle))
	if p.Schedule.Style == plan.AsRead {
		cycle = p.Schedule.BestCycleUs
		gone = fmt.Sprintf("sound is gone after %s, a cycle may last only %s", plan.Milliseconds(last.UntilUs), plan.Milliseconds(cycle))
	}
	switch {
	case !p.Scheduled(last.To):
		return "not known: " + unscheduled(p, last.To)
	case in:
		return "let in: " + gone
	case last.UntilUs > cycle+w.OpenUs:
		return "kept out: " + gone + ", but never in its window"
	}
	return "cannot happen at this cycle: " + gone
}

// echoOff names the reflector of a sensor's last own echo and how far it is.
func echoOff(p *plan.Plan, a plan.Arc) string {
	away := p.AwayM(a.To, a.UntilUs)
	if len(a.Points) > 3 {
		return fmt.Sprintf("own echo by %s, %s there and back", byFar(a), plan.Metres(2*away))
	}
	return fmt.Sprintf("own echo off %s, %s away", byFar(a), plan.Metres(away))
}

// byFar names the far reflector of a sensor's own echo.
func byFar(a plan.Arc) string {
	if a.Path == "wall" {
		return "a wall"
	}
	_, name, named := strings.Cut(a.Path, ": ")
	if named {
		return name
	}
	return a.Path
}

// joined is the span over two, of which one of zeros is none.
func joined(a, b [2]float64) [2]float64 {
	switch {
	case a == [2]float64{}:
		return b
	case b == [2]float64{}:
		return a
	}
	return [2]float64{min(a[0], b[0]), max(a[1], b[1])}
}

// sameThing counts the arcs left out of the card since both sensors then see the same thing.
func sameThing(p *plan.Plan) (n int) {
	for _, a := range p.Crosstalk {
		if a.From != a.To && a.SameObject && p.KeepsOut(a) {
			n++
		}
	}
	return n
}

// cardRow is a row of the card for sensors of which the same is true.
type cardRow struct {
	Names []string
	wrong
}

// card puts rows together that print the same for several sensors.
func card(p *plan.Plan) (out []cardRow) {
	at := map[string]int{}
	for _, w := range wrongs(p) {
		key := fmt.Sprintf("%s|%s|%s|%.0f|%s|%d|%d", plan.LengthSpan(w.Reads), w.When, w.Order, w.LevelDB, plan.LengthSpan(w.Hides), w.Ways, w.Others)
		if i, known := at[key]; known {
			out[i].Names = append(out[i].Names, w.Sensor)
			continue
		}
		at[key] = len(out)
		out = append(out, cardRow{[]string{w.Sensor}, w})
	}
	return out
}
