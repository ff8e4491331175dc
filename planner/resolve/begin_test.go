package resolve

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"echowright/planner/layout"
	"echowright/planner/scene"
)

// begun begins a text and describes the scene by the names of what is in it.
func begun(t testing.TB, text string) (sc *scene.Scene, has string, missing []string, faults int) {
	t.Helper()
	doc, said := layout.Draft("try.yaml", []byte(text))
	if doc == nil {
		t.Fatal(said)
	}
	sc, missing, list := Begin(doc, builtin(t))
	faults = len(said) - len(doc.Gaps()) + len(list)
	if sc == nil {
		return nil, "", missing, faults
	}
	var names []string
	for _, p := range sc.Body.Parts {
		names = append(names, p.Name)
	}
	for _, s := range sc.Sensors {
		names = append(names, s.Name+"/"+sc.Kinds[s.Kind].Name)
	}
	for _, z := range sc.Zones {
		names = append(names, z.Name+"/"+sc.Targets[z.Target].Name)
	}
	return sc, strings.Join(names, " "), missing, faults
}

// A layout grows from its body on: at each step there is what there is, and what is missing is no fault.
func TestBeginHalfBuilt(t *testing.T) {
	const body = "echowright: 1\nbody:\n  outline: {rectangle: [1.2 m, 0.8 m], height: 80..320 mm}\n"
	const sensors = "sensors:\n  - {name: eye, kind: near-wide, at: {from: front}, height: 200 mm}\n"
	const zones = "zones:\n  - {name: ahead, swept: {way: forward, reach: 1 m}, target: wall%s}\n"
	for _, c := range []struct {
		text, has, missing string
		drawn              bool
	}{
		{"echowright: 1\n", "", "no body yet, no sensor yet, no zone yet", false},
		{"echowright: 1\nbody:\n", "", "no body yet, no sensor yet, no zone yet", false},
		{body, "", "no sensor yet, no zone yet", true},
		{body + "sensors: []\nzones:\n", "", "no sensor yet, no zone yet", true},
		{body + "wires: []\ntargets: {}\nkinds: {}\n", "", "no sensor yet, no zone yet", true},
		{body + sensors, "eye/near-wide", "no zone yet", true},
		{body + fmt.Sprintf(zones, ""), "ahead/wall", `no sensor yet, zone "ahead" asks for 1 sensor, there are 0 so far`, true},
		{body + sensors + fmt.Sprintf(zones, ", seen-by: 2"), "eye/near-wide ahead/wall", `zone "ahead" asks for 2 sensors, there is 1 so far`, true},
		{body + sensors + fmt.Sprintf(zones, ""), "eye/near-wide ahead/wall", "", true},
	} {
		sc, has, missing, faults := begun(t, c.text)
		if has != c.has || strings.Join(missing, ", ") != c.missing || faults != 0 || (sc != nil) != c.drawn {
			t.Errorf("%s: %v %q missing %q, %d faults", c.text, sc != nil, has, missing, faults)
		}
		if c.drawn && (len(sc.Body.Outline) != 5 || sc.Air.TemperatureC != scene.Span{Lo: 5, Hi: 35}) {
			t.Errorf("%s: %+v %+v", c.text, sc.Body, sc.Air)
		}
	}
}

// One entry made wrong in each of many ways: it alone is left out, and what hangs on it.
func TestBeginLeavesOut(t *testing.T) {
	const all = "mast flap eye/mine side.left/sealed-serial side.right/sealed-serial ahead/leg"
	without := func(names ...string) string {
		out := all
		for _, n := range names {
			out = strings.TrimSpace(strings.Replace(" "+out, " "+n, "", 1))
		}
		return out
	}
	pair := []string{"side.left/sealed-serial", "side.right/sealed-serial"}
	for _, c := range []struct{ from, to, has string }{
		{"left: 50 mm}, height: 200 mm", "left: 50 mm}, height: tall", without("eye/mine")},
		{"left: 50 mm}, height: 200 mm", "left: 50 mm}", without("eye/mine")},
		{"left: 50 mm", "left: 5 m", without("eye/mine")},
		{"left: 50 mm", "left: 5 mm, lift: 2", without("eye/mine")},
		{"left: 50 mm", "left: 5 mm, wheels: 2", all}, // like no key that is known: nothing hangs on it
		{"kind: mine,", "kind: mien,", without("eye/mine")},
		{"like: open-pair-5v", "like: open-pair-5", without("eye/mine")},
		{"{like: open-pair-5v, blind: 40 mm}", "{blind: 40 mm}", without("eye/mine")},
		{"blind: 40 mm", "blind: 40", without("eye/mine")},
		{"blind: 40 mm", "range: {value: 1 m, against: lag}", without("eye/mine")},
		{"name: side", "name: eye", without(pair...)},
		{"pair: mirror", "pair: both", without(pair...)},
		{"shape: post, ", "shape: pole, ", without("ahead/leg")},
		{"target: leg", "target: lag", without("ahead/leg")},
		{"  leg: {", "  l.g: {", all}, // there is a leg built in
		{"target: leg", "target: 75 mm", without("ahead/leg")},
		{"reach: 1 m", "reach: 1", without("ahead/leg")},
		{"share: 90 %", "share: 90 %, only-in: flop", without("ahead/leg")},
		{"circle: 40 mm", "circle: 40", without("mast")},
		{"only-in: flap down", "only-in: flop", without("flap")},
		{"states: [flap up, flap down]", "states: [flap up, flap down, flap up]", all},
		{"temperature: 5..35 degC", "temperature: 35", all},
		{"around: {", "arund: {", all},
		{"reading: blocking", "reading: blocked", all},
		{"rectangle: [1.2 m, 0.8 m]", "rectangle: [1.2 m, 0.8]", ""},
		{"height: 80..320 mm", "height: 80", ""},
	} {
		sc, has, missing, faults := begun(t, with(t, c.from, c.to))
		if has != c.has || len(missing) > 0 || faults == 0 {
			t.Errorf("%s → %s: %q, missing %v, %d faults", c.from, c.to, has, missing, faults)
		}
		if sc != nil && sc.Air.TemperatureC.Hi != 35 {
			t.Errorf("%s → %s: air %v", c.from, c.to, sc.Air)
		}
	}
}

// A wire keeps to the sensors that are left.
func TestBeginWires(t *testing.T) {
	text := base + "wires:\n  - {sensors: [eye, side], trigger: shared}\n  - {sensors: [side.left, side.right], echo: joined}\n"
	sc, _, _, _ := begun(t, strings.Replace(text, "left: 50 mm}, height: 200 mm", "left: 50 mm}, height: tall", 1))
	if fmt.Sprint(sc.Sensors[sc.Wires[0].Sensors[0]].Name, sc.Sensors[sc.Wires[0].Sensors[1]].Name) != "side.leftside.right" {
		t.Errorf("%v", sc.Wires)
	}
}

// Of a layout that is whole, Begin gives what Scene gives.
func TestBeginOfWhole(t *testing.T) {
	texts := demos(t)
	texts["base"], texts["wired"] = base, wired+everyWire
	for _, name := range sortedKeys(texts) {
		doc := parsed(t, texts[name])
		want, _ := Scene(doc, builtin(t))
		got, missing, list := Begin(doc, builtin(t))
		if !reflect.DeepEqual(got.Motion, want.Motion) {
			t.Errorf("%s: motion %v, want %v", name, got.Motion, want.Motion)
		}
		got.Motion, want.Motion = nil, nil                                                     // printed by their address
		if len(missing)+len(list) > 0 || fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) { // NaN is like NaN
			t.Errorf("%s: %v %v\n%+v\n%+v", name, missing, list, got, want)
		}
	}
}

// Every value of the samples made unreadable in turn: no panic, and every index of the scene holds.
func TestBeginOfEveryFault(t *testing.T) {
	kinds := builtin(t)
	texts := demos(t)
	texts["wired"] = wired + everyWire
	drawn := 0
	for _, name := range sortedKeys(texts) {
		for i, v := range values(t, texts[name]) {
			bad := []string{`"!"`, "[]", "{a: [b]}", "nobody"}[i%4]
			doc, _ := layout.Draft(name, []byte(v.replaced(texts[name], bad)))
			if doc == nil {
				continue
			}
			sc, _, _ := Begin(doc, kinds)
			if sc == nil {
				continue
			}
			drawn++
			for _, s := range sc.Sensors {
				if s.Kind < 0 || s.Kind >= len(sc.Kinds) || len(sc.Kinds[s.Kind].Ranges) == 0 {
					t.Errorf("%s:%d: sensor %+v", name, v.Line, s)
				}
				if _, ok := doc.Root().Get(s.Entry); !ok {
					t.Errorf("%s:%d: there is no %s", name, v.Line, s.Entry)
				}
			}
			for _, z := range sc.Zones {
				if z.Target < 0 || z.Target >= len(sc.Targets) || z.Rings == nil {
					t.Errorf("%s:%d: zone %+v", name, v.Line, z)
				}
			}
			for _, w := range sc.Wires {
				for _, s := range w.Sensors {
					if s < 0 || s >= len(sc.Sensors) {
						t.Errorf("%s:%d: wire %+v", name, v.Line, w)
					}
				}
			}
		}
	}
	if drawn < 300 {
		t.Errorf("only %d drawn", drawn)
	}
}

// Every thing of a scene says where in the layout it comes from, and which of the entry's it is.
func TestProvenance(t *testing.T) {
	sc := resolved(t, base)
	var got []string
	for _, s := range sc.Sensors {
		got = append(got, fmt.Sprintf("%s=%s/%d %v", s.Name, s.Entry, s.Nth, s.Image))
	}
	for _, p := range sc.Body.Parts {
		got = append(got, p.Entry)
	}
	got = append(got, sc.Zones[0].Entry, sc.Targets[0].Entry, sc.Kinds[0].Entry, sc.Kinds[1].Entry)
	const want = "eye=sensors.eye/1 false side.left=sensors.side/1 false side.right=sensors.side/2 true body.parts.mast body.parts.flap zones.ahead targets.leg kinds.mine "
	if text := strings.Join(got, " "); text != want {
		t.Errorf("got  %s\nwant %s", text, want)
	}
	sc = resolved(t, with(t, "at: {from: left, forward: 300 mm}", "at: {from: right, forward: 300 mm}"))
	if l, r := sc.Sensors[1], sc.Sensors[2]; l.Name != "side.left" || l.Nth != 1 || !l.Image || r.Nth != 2 || r.Image {
		t.Errorf("%+v %+v", l, r)
	}
}

func BenchmarkBegin(b *testing.B) {
	doc := parsed(b, demos(b)["shelf-cart.yaml"])
	kinds := builtin(b)
	for b.Loop() {
		if sc, _, _ := Begin(doc, kinds); sc == nil {
			b.Fatal("no scene")
		}
	}
}
