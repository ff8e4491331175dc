package resolve

import (
	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/scene"
)

// delays reads what the wishes w ask for against ghosts that keep coming.
func (r *resolver) delays(w layout.Entry) (d scene.Delays) {
	e, ok := w.Get("delays")
	if !ok {
		return d
	}
	way, _ := e.Get("way")
	d = scene.Delays{Way: way.Text(), MoversMS: r.value(e, "movers").Num()}
	if style := w.Value("style").Text(); style == "as-read" {
		r.wrong(way, "style: slots or staggered, or leave the delays out", "delays count from a table's times, and style as-read keeps no table")
	}
	if d.Way != "dithered" {
		return d
	}
	span := r.value(e, "span")
	d.Span, d.Seed = seconds(span.Num()), uint64(r.value(e, "seed").Int())
	if cycle := optionalTime(w, "cycle"); cycle > 0 && d.Span >= cycle {
		place := span
		if span.Assumed() {
			place = way
		}
		r.wrong(place, "a span well below the cycle, or a longer cycle", "delays of up to %s do not fit a cycle of %s",
			quantity.Format(quantity.Time, d.Span.Seconds()), quantity.Format(quantity.Time, cycle.Seconds()))
	}
	return d
}
