package resolve

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/scene"
)

// wire is an entry of `wires` with what resolving it needs besides the scene's own.
type wire struct {
	scene.Wire
	e    layout.Entry
	refs []layout.Entry // of each sensor, the name it was found by
}

// wires binds the shared lines and buses to their sensors and finds what cannot be wired so.
func (r *resolver) wires() {
	var all []wire
	for _, e := range r.list(r.doc, "wires") {
		w, ok := r.wire(e)
		if !ok {
			continue
		}
		all = append(all, w)
		r.sc.Wires = append(r.sc.Wires, w.Wire)
		r.wired = append(r.wired, e)
	}
	for _, role := range roles {
		r.oneOfItsKind(all, role)
	}
	r.neverAndAlways(all)
	r.buses(all)
}

// wire resolves one entry; ok is false when what is wrong with its sensors has been said.
func (r *resolver) wire(e layout.Entry) (w wire, ok bool) {
	if e.Faulty() {
		return wire{}, false
	}
	w.e = e
	names, _ := e.Get("sensors")
	ok = true
	for _, ref := range names.List() {
		found := r.sensorsNamed(ref)
		ok = ok && len(found) > 0
		for _, i := range found {
			if slices.Contains(w.Sensors, i) {
				r.wrong(ref, "name it once", "sensor %s is named twice in one wire", quote(r.sc.Sensors[i].Name))
				ok = false
				continue
			}
			w.Sensors, w.refs = append(w.Sensors, i), append(w.refs, ref)
		}
	}
	w.EchoJoined, w.TriggerShared = e.Has("echo"), e.Has("trigger") || e.Value("start").Text() == "broadcast"
	chained, _ := e.Get("chained")
	bus, _ := e.Get("bus")
	w.Chained, w.Bus, w.SpeedHz = chained.Bool(), bus.Text(), optional(e, "speed")
	return w, ok && r.enough(w) && r.canBeWired(w)
}

// sensorsNamed finds the sensor that ref names, or all those of an entry; none when what is wrong has been said.
func (r *resolver) sensorsNamed(ref layout.Entry) []int { return r.named(ref, ref.Text()) }

// named finds the sensor of a name that is used at ref, or all those of an entry; none when what is wrong has been said.
func (r *resolver) named(ref layout.Entry, name string) (found []int) {
	if r.maybeRefused(name) {
		return nil
	}
	var known []string
	for i, s := range r.sc.Sensors {
		if s.Name == name || s.Group == name {
			found = append(found, i)
		}
		known = append(known, s.Name)
	}
	if len(found) == 0 {
		r.wrong(ref, nearest(name, known, "sensors"), "there is no sensor %s", quote(name))
	}
	return found
}

// maybeRefused reports whether the sensors of a name, or some of them, may be missing because of a fault
// that stands already.
func (r *resolver) maybeRefused(name string) bool {
	all, ok := r.doc.Get("sensors")
	if !ok || all.Short() {
		return true
	}
	entry, _, _ := strings.Cut(name, ".")
	for _, e := range all.List() {
		own, named := e.Get("name")
		if !named {
			return true
		}
		mounted := slices.ContainsFunc(r.sc.Sensors, func(s scene.Sensor) bool { return s.Group == own.Text() })
		if own.Text() == entry && (!mounted || e.Faulty("pair", "count", "at")) {
			return true
		}
	}
	return false
}

// enough refuses a line shared by a single sensor. A bus may have one.
func (r *resolver) enough(w wire) bool {
	if len(w.Sensors) > 1 || !w.e.Has("trigger") && !w.EchoJoined && !w.Chained {
		return true
	}
	names, _ := w.e.Get("sensors")
	r.wrong(names, "name at least two, or leave the wire out", "sensor %s shares its line with no other", quote(r.sc.Sensors[w.Sensors[0]].Name))
	return false
}

// canBeWired refuses modules that have no such line.
func (r *resolver) canBeWired(w wire) bool {
	good := true
	refuse := func(n int, right, what string) {
		s := r.sc.Sensors[w.Sensors[n]]
		r.wrong(w.refs[n], right, "sensor %s is of kind %s, which %s", quote(s.Name), quote(r.sc.Kinds[s.Kind].Name), what)
		good = false
	}
	for n, i := range w.Sensors {
		k := r.sc.Sensors[i].Kind
		switch {
		case k < 0:
			good = false
		case w.Bus != "" && r.sc.Kinds[k].Interface == scene.PulseEcho:
			refuse(n, "a bus takes modules with a two-wire bus or a serial line", "answers by a pulse")
		case (w.TriggerShared || w.Chained) && r.sc.Kinds[k].Timing.By == scene.ByItself:
			refuse(n, "leave it out, or choose one that fires when told", "fires by itself")
		}
		if !good {
			return false // one message a wire
		}
	}
	return true
}

// role is what a sensor can be wired to only once, with the word for it.
type role struct {
	what string
	has  func(w wire) bool
}

var roles = []role{
	{"groups with one trigger", func(w wire) bool { return w.TriggerShared }},
	{"joined echo lines", func(w wire) bool { return w.EchoJoined }},
	{"chains", func(w wire) bool { return w.Chained }},
	{"buses", func(w wire) bool { return w.Bus != "" }},
}

// oneOfItsKind refuses a sensor in two wires of one kind.
func (r *resolver) oneOfItsKind(all []wire, role role) {
	first := map[int]layout.Entry{}
	for _, w := range all {
		if !role.has(w) {
			continue
		}
		for n, i := range w.Sensors {
			was, twice := first[i]
			if !twice {
				first[i] = w.e
				continue
			}
			r.wrong(w.refs[n], "name all that share it in one wire", "sensor %s is in two %s, the first at %d:%d", quote(r.sc.Sensors[i].Name), role.what, was.Line(), was.Col())
			break // one message a wire
		}
	}
}

// neverAndAlways refuses two sensors that must fire together by one wire and never by another.
func (r *resolver) neverAndAlways(all []wire) {
	for _, a := range all {
		for _, b := range all {
			if !a.TriggerShared || !b.EchoJoined && !b.Chained {
				continue
			}
			both := slices.DeleteFunc(slices.Clone(b.Sensors), func(i int) bool { return !slices.Contains(a.Sensors, i) })
			if len(both) < 2 {
				continue
			}
			why := "share an echo line, where neither could be told from the other"
			if b.Chained {
				why = "start one another"
			}
			r.wrong(b.e, "part them in one of the two", "%s and %s fire together (%d:%d) yet %s",
				quote(r.sc.Sensors[both[0]].Name), quote(r.sc.Sensors[both[1]].Name), a.e.Line(), a.e.Col(), why)
		}
	}
}

// usualSpeedHz is the speed of a bus where none is given: the standard mode of a two-wire bus (UM10204),
// and what serial modules commonly talk at (common practice, no source).
var usualSpeedHz = map[scene.Interface]float64{scene.TwoWire: 100e3, scene.Serial: 9600}

// bus is what the wires of one bus say of it.
type bus struct {
	talks     scene.Interface
	speedHz   float64
	addresses map[int]string // the sensor at each
}

// buses holds the wires of each bus together: one way to talk, one speed, an address for each module.
func (r *resolver) buses(all []wire) {
	known := map[string]*bus{}
	for _, w := range all {
		if w.Bus == "" {
			continue
		}
		b := known[w.Bus]
		if b == nil {
			b = &bus{talks: r.talks(w, 0), addresses: map[int]string{}}
			known[w.Bus] = b
		}
		r.oneLanguage(w, b)
		r.oneSpeed(w, b)
		r.addresses(w, b)
	}
	for n := range r.sc.Wires {
		w := &r.sc.Wires[n]
		if w.Bus == "" {
			continue
		}
		b := known[w.Bus]
		if b.speedHz == 0 {
			b.speedHz = usualSpeedHz[b.talks]
			r.note("wires."+w.Bus+".speed", "bus "+w.Bus+": no speed given: "+quantity.Format(quantity.Frequency, b.speedHz)+" assumed", false)
		}
		w.SpeedHz = b.speedHz
	}
}

// talks is how the nth sensor of a wire answers.
func (r *resolver) talks(w wire, n int) scene.Interface {
	return r.sc.Kinds[r.sc.Sensors[w.Sensors[n]].Kind].Interface
}

func (r *resolver) oneLanguage(w wire, b *bus) {
	for n := range w.Sensors {
		if got := r.talks(w, n); got != b.talks {
			r.wrong(w.refs[n], "give each its own bus", "bus %s is %s, sensor %s is %s", quote(w.Bus), b.talks, quote(r.sc.Sensors[w.Sensors[n]].Name), got)
			return
		}
	}
}

func (r *resolver) oneSpeed(w wire, b *bus) {
	said, ok := w.e.Get("speed")
	switch {
	case !ok:
	case b.speedHz == 0:
		b.speedHz = said.Num()
	case b.speedHz != said.Num():
		r.wrong(said, "a bus has one speed", "bus %s runs at %s elsewhere", quote(w.Bus), quantity.Format(quantity.Frequency, b.speedHz))
	}
}

func (r *resolver) addresses(w wire, b *bus) {
	list, ok := w.e.Get("addresses")
	if !ok {
		return
	}
	items := list.List()
	if len(items) != len(w.Sensors) {
		r.wrong(list, "give one for each, in the order of the sensors", "%s for %s", counted(len(items), "address", "addresses"), counted(len(w.Sensors), "sensor", "sensors"))
		return
	}
	for n, it := range items {
		name := r.sc.Sensors[w.Sensors[n]].Name
		if was, taken := b.addresses[it.Int()]; taken {
			r.wrong(it, "give each its own", "address 0x%02x on bus %s is already that of sensor %s", it.Int(), quote(w.Bus), quote(was))
			continue
		}
		b.addresses[it.Int()] = name
	}
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
