package layout

import (
	"bytes"
	"strings"
	"testing"
)

const setText = `# A cart.

echowright: 1   # version
name: "yard cart"   # its name

air: {temperature: 5..35 degC, humidity: 20..90 %}  # weather
body:
  # seen from above
  outline: {rectangle: [0.7 m, 0.5 m], height: 80..320 mm}
states: [up, down]
kinds:
  my-can:
    like: 'near-wide'
    blind: {value: 250 mm, source: bench}   # measured twice
    range: 2 m
sensors:
  - name: eye
    kind: my-can
    at: {from: front, left: 100 mm}
    height: 200 mm    # to the middle

  - {name: ear, kind: my-can, at: {place: [0.4 m, -50 mm]}, height: 210 mm}
zones:
  - {name: lane, swept: {way: forward, reach: 1.4 m}, target: wall, only-in: up}
`

// A change touches its own value and no other byte.
func TestSet(t *testing.T) {
	for _, c := range []struct{ path, text, old, new string }{
		{"sensors.eye.height", "250 mm", "height: 200 mm    #", "height: 250 mm    #"},
		{"sensors.2.height", "250 mm", "height: 210 mm", "height: 250 mm"},
		{"sensors.ear.at.place", "[0.4 m, 50 mm]", "[0.4 m, -50 mm]", "[0.4 m, 50 mm]"},
		{"sensors.ear.at.place.2", "1 m", "-50 mm", "1 m"},
		{"sensors.ear.name", "fin", "name: ear", "name: fin"},
		{"name", "cart: the second, # improved", `"yard cart"`, `"cart: the second, # improved"`},
		{"name", "2024", `"yard cart"`, `"2024"`},
		{"name", "no", `"yard cart"`, `"no"`},
		{"kinds.my-can.like", "sealed-serial", "'near-wide'", "sealed-serial"},
		{"kinds.my-can.blind", "300 mm", "{value: 250 mm, source", "{value: 300 mm, source"},
		{"kinds.my-can.blind", "{value: 1 m}", "{value: 250 mm, source: bench}", "{value: 1 m}"},
		{"kinds.my-can.range", "3 m", "range: 2 m", "range: 3 m"},
		{"kinds.my-can.range.1", "3 m", "range: 2 m", "range: 3 m"},
		{"air", "{temperature: 20 degC}", "{temperature: 5..35 degC, humidity: 20..90 %}", "{temperature: 20 degC}"},
		{"air.pressure", "900..1030 hPa", "humidity: 20..90 %}", "humidity: 20..90 %, pressure: 900..1030 hPa}"},
		{"sensors.eye.tilt", "5 deg", "# to the middle\n", "# to the middle\n    tilt: 5 deg\n"},
		{"kinds.my-can.pin-level", "5 V", "range: 2 m\n", "range: 2 m\n    pin-level: 5 V\n"},
		{"wishes.cycle", "250 ms", "only-in: up}\n", "only-in: up}\nwishes: {cycle: 250 ms}\n"},
		{"motion", "{way: left, speed: 1 m/s, confirm: 2 of 3}", "only-in: up}\n", "only-in: up}\nmotion: {way: left, speed: 1 m/s, confirm: 2 of 3}\n"},
		{"wires", "[{sensors: [eye, ear], bus: rear, addresses: [0x30, 49]}]", "only-in: up}\n", "only-in: up}\nwires: [{sensors: [eye, ear], bus: rear, addresses: [0x30, 49]}]\n"},
		{"zones.lane.only-in", "[up, down]", "only-in: up}", "only-in: [up, down]}"},
	} {
		for _, ends := range []struct{ bom, line string }{{"", "\n"}, {"\ufeff", "\r\n"}} {
			dress := func(s string) string { return strings.ReplaceAll(s, "\n", ends.line) }
			text := ends.bom + dress(setText)
			doc, list := Parse("a.yaml", []byte(text))
			if doc == nil {
				t.Fatal(list)
			}
			changed, err := doc.Set(c.path, c.text)
			if err != nil {
				t.Errorf("Set(%q, %q): %v", c.path, c.text, err)
				continue
			}
			if want := strings.Replace(text, dress(c.old), dress(c.new), 1); string(changed.Bytes()) != want {
				t.Errorf("Set(%q, %q):\n%s", c.path, c.text, changed.Bytes())
			}
			if !bytes.Equal(doc.Bytes(), []byte(text)) {
				t.Error("the document that was set changed")
			}
		}
	}
}

func TestSetRefuses(t *testing.T) {
	doc, _ := Parse("a.yaml", []byte(setText))
	for _, c := range []struct{ path, text, want string }{
		{"sensors.eye.height", "250", "bare number 250"},
		{"sensors.eye.height", "[1 m]", "height is a list"},
		{"sensors.nose.height", "1 m", "there is no place sensors.nose.height"},
		{"sensors.eye.wheels", "2", "there is no place"},
		{"sensors.eye", "{name: x}", "has no at"},
		{"name", "a\x1bb", "control character"},
		{"states.1", "down", "two states are called"},
		{"", "x", "there is no place"},
	} {
		if _, err := doc.Set(c.path, c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Set(%q, %q): %v, want %s", c.path, c.text, err, c.want)
		}
	}
}

// A value that others stand for by an alias is not set behind their backs; an alias itself gives way to a value.
func TestSetAlias(t *testing.T) {
	text := strings.Replace(setText, "height: 200 mm ", "height: &h 200 mm ", 1)
	text = strings.Replace(text, "height: 210 mm", "height: *h", 1)
	doc, list := Parse("a.yaml", []byte(text))
	if doc == nil {
		t.Fatal(list)
	}
	if _, err := doc.Set("sensors.eye.height", "1 m"); err == nil || !strings.Contains(err.Error(), "would also change sensors.2.height") {
		t.Errorf("got %v", err)
	}
	changed, err := doc.Set("sensors.ear.height", "1 m")
	if want := strings.Replace(text, "*h", "1 m", 1); err != nil || string(changed.Bytes()) != want {
		t.Errorf("%v\n%s", err, changed.Bytes())
	}
}

// Any text set anywhere is refused or leaves the rest of the file as it is.
func FuzzSet(f *testing.F) {
	for _, s := range []string{"250 mm", "a # b", "]", "{", "'", "\"", "x: y", "- a", "&a b", "*a", "!!str x", "|\n x", "\n", "250 mm}", "no"} {
		f.Add("sensors.eye.height", s)
		f.Add("name", s)
		f.Add("air.pressure", s)
		f.Add("kinds.my-can.title", s)
	}
	doc, _ := Parse("a.yaml", []byte(setText))
	f.Fuzz(func(t *testing.T, path, text string) {
		changed, err := doc.Set(path, text)
		if err != nil {
			return
		}
		was, is := strings.Split(setText, "\n"), strings.Split(string(changed.Bytes()), "\n")
		if len(is) < len(was) || len(is) > len(was)+1 {
			t.Fatalf("Set(%q, %q): %d lines became %d", path, text, len(was), len(is))
		}
	})
}
