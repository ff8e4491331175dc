package resolve

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/scene"
)

// Begin resolves a layout that may be half built or partly wrong, for drawing it: a [layout.Draft]. missing says in plain words what is
// not there yet, and the list what is wrong with the rest, beside what Draft found. Entries with faults are left out of
// the scene. There is none while the body has no sound outline.
func Begin(doc, kinds *layout.Document) (sc *scene.Scene, missing []string, list diag.List) {
	r := newResolver(doc, kinds)
	r.begun = true
	r.run()
	for _, g := range doc.Gaps() {
		missing = append(missing, "no "+strings.TrimSuffix(g.Key, "s")+" yet")
	}
	missing = append(missing, r.lacks...)
	outline, _ := r.doc.Get("body.outline")
	if r.outline == nil || r.wrongIn(outline) {
		return nil, missing, r.diags
	}
	r.leaveOut()
	return r.sc, missing, r.diags
}

// wrongIn reports whether anything in an entry was refused.
func (r *resolver) wrongIn(e layout.Entry) bool {
	if e.Faulty() {
		return true
	}
	at := e.Path()
	return slices.ContainsFunc(r.faults, func(f string) bool { return f == at || strings.HasPrefix(f, at+".") })
}

// anyWrong is wrongIn for several; those of the built-in kinds are sound.
func (r *resolver) anyWrong(es []layout.Entry) bool {
	return slices.ContainsFunc(es, func(e layout.Entry) bool { return e.File() == r.doc.File() && r.wrongIn(e) })
}

// leaveOut takes all entries with faults out of the scene.
func (r *resolver) leaveOut() {
	sc := r.sc
	byPath := map[string]bool{}
	for _, key := range []string{"sensors", "zones", "body.parts"} {
		for _, e := range r.list(r.doc, key) {
			byPath[e.Path()] = r.wrongIn(e)
		}
	}
	sc.Body.Parts = slices.DeleteFunc(sc.Body.Parts, func(p scene.Part) bool { return byPath[p.Entry] || p.Outline == nil })
	if m, ok := r.doc.Get("motion"); !ok || m.Faulty() {
		sc.Motion = nil
	}
	r.keepSensors(byPath)
	r.keepZones(byPath)
}

// keepSensors keeps the sensors without faults, and the kinds and wires that are left to them.
func (r *resolver) keepSensors(wrong map[string]bool) {
	sc := r.sc
	place := make([]int, len(sc.Sensors)) // where each has gone, −1: left out
	kinds := map[int]int{}
	var sensors []scene.Sensor
	var used []scene.Kind
	for i, s := range sc.Sensors {
		place[i] = -1
		if wrong[s.Entry] || s.Kind < 0 || r.anyWrong(r.uses[s.Kind]) {
			continue
		}
		if _, ok := kinds[s.Kind]; !ok {
			kinds[s.Kind] = len(used)
			used = append(used, sc.Kinds[s.Kind])
		}
		s.Kind = kinds[s.Kind]
		place[i] = len(sensors)
		sensors = append(sensors, s)
	}
	sc.Sensors, sc.Kinds = sensors, used
	r.keepWires(place)
}

// keepWires keeps the wires without faults, with the sensors that are left to them.
func (r *resolver) keepWires(place []int) {
	var wires []scene.Wire
	for i, w := range r.sc.Wires {
		if r.wrongIn(r.wired[i]) {
			continue
		}
		var left []int
		for _, s := range w.Sensors {
			if place[s] >= 0 {
				left = append(left, place[s])
			}
		}
		if w.Sensors = left; len(left) > 1 || len(left) == 1 && w.Bus != "" {
			wires = append(wires, w)
		}
	}
	r.sc.Wires = wires
}

// keepZones keeps the zones without faults and the targets without.
func (r *resolver) keepZones(wrong map[string]bool) {
	sc := r.sc
	place := make([]int, len(sc.Targets))
	var targets []scene.Target
	for i, t := range sc.Targets {
		place[i] = -1
		if e, _ := entryOf(r.doc, "targets", t.Name); t.Entry != "" && r.wrongIn(e) {
			continue
		}
		place[i] = len(targets)
		targets = append(targets, t)
	}
	var zones []scene.Zone
	for _, z := range sc.Zones {
		if wrong[z.Entry] || z.Rings == nil || place[z.Target] < 0 {
			continue
		}
		z.Target = place[z.Target]
		zones = append(zones, z)
	}
	sc.Targets, sc.Zones = targets, zones
}

// areSo words a number of things that are there.
func areSo(n int) string {
	if n == 1 {
		return "is 1"
	}
	return fmt.Sprintf("are %d", n)
}
