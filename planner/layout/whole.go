package layout

import (
	"fmt"
	"math"
	"slices"

	"echowright/planner/diag"
)

// checkWhole checks what concerns several places of a document.
func (r *reader) checkWhole() {
	root := Entry{r.doc.root}
	states, _ := root.Get("states")
	parts, _ := root.Get("body.parts")
	sensors, _ := root.Get("sensors")
	zones, _ := root.Get("zones")
	kinds, _ := root.Get("kinds")
	named := func(e Entry) Entry { n, _ := e.Get("name"); return n }
	r.checkNames("state", states.List(), func(e Entry) Entry { return e })
	r.checkNames("part", parts.List(), named)
	r.checkNames("sensor", sensors.List(), named)
	r.checkNames("zone", zones.List(), named)
	for _, e := range slices.Concat(parts.List(), zones.List()) {
		if !root.Faulty("states") {
			r.checkStates(e, states)
		}
	}
	for _, e := range sensors.List() {
		if !e.Faulty("count", "pair", "at") {
			r.checkCount(e)
		}
	}
	r.checkTotal(sensors.List())
	for _, e := range zones.List() {
		r.checkBearing(e)
	}
	for _, e := range kinds.List() {
		r.checkRising(e)
	}
	wires, _ := root.Get("wires")
	for _, e := range wires.List() {
		r.checkWire(e)
	}
}

// checkNames refuses a name used twice in one list.
func (r *reader) checkNames(what string, list []Entry, name func(Entry) Entry) {
	first := map[string]Entry{}
	for _, e := range list {
		at := name(e)
		if !at.Exists() {
			continue
		}
		if was, ok := first[at.Text()]; ok {
			r.diags = append(r.diags, at.Errorf("give each its own name", "two %ss are called %s, the first at %d:%d", what, diag.Quote(at.Text()), was.Line(), was.Col()))
			if at != e {
				e.n.lose("name")
			}
			continue
		}
		first[at.Text()] = at
	}
}

// checkStates refuses an only-in that names no state.
func (r *reader) checkStates(e, states Entry) {
	var known []string
	for _, s := range states.List() {
		known = append(known, s.Text())
	}
	only, _ := e.Get("only-in")
	for _, s := range only.List() {
		if slices.Contains(known, s.Text()) {
			continue
		}
		right := "list the states first, such as states: [ramp up, ramp down]"
		if len(known) > 0 {
			right = "states: " + diag.Join(known)
		}
		if near := diag.Nearest(s.Text(), known); near != "" {
			right = "did you mean " + near + "? " + right
		}
		r.diags = append(r.diags, s.Errorf(right, "only-in: there is no state %s", diag.Quote(s.Text())))
		e.n.lose("only-in")
	}
}

// checkCount holds count and spread together.
func (r *reader) checkCount(e Entry) {
	count, counted := e.Get("count")
	spread, spreads := e.Get("at.spread")
	at, ok := e.Get("at")
	switch {
	case counted && count.Int() > 1 && ok && !spreads:
		r.diags = append(r.diags, at.Errorf("say where the first and the last stand, such as at: {from: front, spread: -400..400 mm}", "count: %d, but at has no spread", count.Int()))
		e.n.lose("at")
	case spreads && !(counted && count.Int() > 1):
		r.diags = append(r.diags, spread.Errorf("add count: 2 or more, or give one place", "a spread for a single sensor"))
		e.n.lose("at")
	}
}

// checkTotal bounds the sensors that all entries together stand for.
func (r *reader) checkTotal(entries []Entry) {
	total, said := 0, false
	for _, e := range entries {
		if total += e.Mounted(); total <= MaxSensors {
			continue
		}
		e.n.lose("at")
		if !said {
			said = true
			r.diags = append(r.diags, e.Errorf(fmt.Sprintf("no more than %d in one layout", MaxSensors), "with this entry there are %d sensors", total))
		}
	}
}

// checkBearing refuses a sector of more than a full turn.
func (r *reader) checkBearing(e Entry) {
	b, ok := e.Get("sector.bearing")
	lo, hi := b.Span()
	if ok && hi-lo > 2*math.Pi*(1+1e-12) {
		r.diags = append(r.diags, b.Errorf("a whole ring is 0..360 deg", "bearing: more than a full turn"))
		e.n.lose("sector")
	}
}

// checkRising refuses threshold points that do not rise in time.
func (r *reader) checkRising(e Entry) {
	points, _ := e.Get("threshold.over-time")
	before := math.Inf(-1)
	for _, p := range points.List() {
		row := p.Row()
		if row[0] <= before {
			r.diags = append(r.diags, p.Errorf("order the points by time, each later than the one before", "over-time: the points do not rise in time"))
			e.n.lose("threshold")
			return
		}
		before = row[0]
	}
}

// checkWire refuses a wire that says nothing.
func (r *reader) checkWire(e Entry) {
	chained, _ := e.Get("chained")
	if e.Has("trigger") || e.Has("echo") || e.Has("bus") || chained.Bool() || e.Faulty("trigger", "echo", "bus", "chained", "speed", "addresses", "start") {
		return
	}
	r.diags = append(r.diags, e.Errorf("add trigger: shared, echo: joined, chained: true, or the name of a bus", "%s does not say what its sensors share", e.n.label()))
	e.n.lose("sensors")
}
