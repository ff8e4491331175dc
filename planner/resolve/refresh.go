package resolve

import (
	"time"

	"echowright/planner/layout"
	"echowright/planner/scene"
)

// refresh fills how often sensors shall fire, and refuses it of those that no table tells when to.
func (r *resolver) refresh() {
	all := r.list(group(r.doc, "wishes"), "refresh")
	if len(all) > 0 && r.sc.Wishes.Style == "as-read" {
		r.wrong(all[0], "choose style slots or staggered, or leave refresh out", "style as-read keeps no table, so nobody can say how often a sensor fires")
		return
	}
	chained := map[int]bool{}
	for _, w := range r.sc.Wires {
		for _, i := range w.Sensors {
			chained[i] = chained[i] || w.Chained
		}
	}
	first := map[int]layout.Entry{}
	for _, e := range all {
		if e.Faulty() {
			continue
		}
		for _, i := range r.named(e, e.Key()) {
			if !r.canRefresh(e, i, chained[i], first) {
				break // one message a name
			}
			first[i] = e
			if r.sc.Wishes.Refresh == nil {
				r.sc.Wishes.Refresh = make([]time.Duration, len(r.sc.Sensors))
			}
			r.sc.Wishes.Refresh[i] = seconds(e.Num())
		}
	}
}

// canRefresh refuses a sensor of which a refresh was asked already, or that the controller does not fire.
func (r *resolver) canRefresh(ref layout.Entry, i int, chained bool, first map[int]layout.Entry) bool {
	s := r.sc.Sensors[i]
	was, twice := first[i]
	switch {
	case s.Kind < 0:
		return false
	case twice:
		r.wrong(ref, "name each sensor once", "sensor %s has a refresh already, at %d:%d", quote(s.Name), was.Line(), was.Col())
	case r.sc.Kinds[s.Kind].Timing.By == scene.ByItself:
		r.wrong(ref, "leave it out, or choose one that fires when told", "sensor %s is of kind %s, which fires by itself", quote(s.Name), quote(r.sc.Kinds[s.Kind].Name))
	case chained:
		r.wrong(ref, "leave it out, or start it from the controller", "sensor %s is a link of a chain, which fires once a cycle", quote(s.Name))
	default:
		return true
	}
	return false
}
