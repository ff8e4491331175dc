package resolve

import (
	"fmt"
	"strings"

	"echowright/planner/layout"
)

// silent is a set of keys that are read and decide nothing yet. A layout that writes one of them is told so.
type silent struct {
	keys []string // dotted paths; * is any name, [] any item of the list before it
	why  string
	// says reports whether the value written asks for anything at all; nil: it always does.
	says func(e layout.Entry) bool
}

var silents = []silent{
	{[]string{"wires[].speed"}, "how long an answer is fetched is taken from its kind's transfer", nil},
	{[]string{"tolerance.heading", "tolerance.tilt", "tolerance.place"}, "mounting errors are not reckoned with yet", isPositive},
	{[]string{"controller.clock"}, "times are reckoned from the clock's error and the tick alone", nil},
	{[]string{"controller.edge-cost"}, "the processor's time is not reckoned with yet", isPositive},
	{[]string{"controller.powered-from"}, "the time to the first warning counts from power on, whatever feeds it", nil},
	{[]string{"controller.rail"}, "what a module gets is taken from its own supply", nil},
	{[]string{"kinds.*.supply.average"}, "of the current only the peaks that fall together are reckoned with", nil},
	{[]string{"sensors[].pair-axis"}, "the beam is taken as its kind gives it, whichever way the pair is turned", isUpright},
	{spreads("blind", "range[]", "beam.horizontal", "beam.vertical", "beam.never-below", "spacing", "assumed-speed", "pin-level",
		"timing.burst", "timing.busy-without-echo", "timing.rest", "timing.answer-after", "timing.transfer", "timing.power-up",
		"supply.nominal", "supply.average", "supply.peak", "supply.peak-lasts"),
		"only the spread of the carrier is reckoned with yet", isPositive},
	{[]string{"targets.*.loss.spread"}, "the loss is taken as given", isPositive},
}

// spreads are the paths of the spreads of some values of a kind.
func spreads(keys ...string) []string {
	for i, k := range keys {
		keys[i] = "kinds.*." + k + ".spread"
	}
	return keys
}

// isPositive holds for a text too.
func isPositive(e layout.Entry) bool { return e.Text() != "" || e.Num() > 0 }

func isUpright(e layout.Entry) bool { return e.Text() == "upright" }

// record names what the layout writes and nothing reckons with yet, one text for each reason.
func (r *resolver) record() {
	for _, s := range silents {
		var written []string
		for _, path := range s.keys {
			for _, e := range expand(r.doc, strings.Split(strings.ReplaceAll(path, "[]", ".[]"), ".")) {
				if s.says == nil || s.says(e) {
					written = append(written, e.Path())
				}
			}
		}
		if len(written) > 0 {
			r.sc.Recorded = append(r.sc.Recorded, enumerated(written)+" noted; "+s.why)
		}
	}
}

// expand finds the entries written under a path of the table.
func expand(e layout.Entry, path []string) []layout.Entry {
	if len(path) == 0 {
		return []layout.Entry{e}
	}
	if path[0] != "*" && path[0] != "[]" {
		got, ok := e.Get(path[0])
		if !ok {
			return nil
		}
		return expand(got, path[1:])
	}
	var out []layout.Entry
	for _, it := range e.List() {
		out = append(out, expand(it, path[1:])...)
	}
	return out
}

// enumerated makes keys the subject of a sentence; of many it names the first.
func enumerated(keys []string) string {
	const most = 4
	switch n := len(keys); {
	case n == 1:
		return keys[0] + " is"
	case n > most:
		return fmt.Sprintf("%s and %d more are", strings.Join(keys[:most-1], ", "), n-most+1)
	default:
		return strings.Join(keys[:n-1], ", ") + " and " + keys[n-1] + " are"
	}
}
