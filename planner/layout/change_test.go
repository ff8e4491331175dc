package layout

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

const changeText = `# Ein Wägelchen.
echowright: 1
name: "Wägelchen µ"   # its name

body:
  # seen from above
  outline: {rectangle: [0.7 m, 0.5 m], height: 80..320 mm}   # the shell
  parts:
    - name: mast        # an aerial
      circle: 40 mm

      # where it stands
      centre: [-0.2 m, 0 m]
      height: 0.3..1.2 m
    - {name: Öse, polygon: [
        [-0.4 m, 0.1 m],   # first
        [-0.6 m, 0.1 m],
        [-0.6 m, -0.1 m]   # last
      ], height: 0..150 mm, only-in: up}
states: [up, down]

kinds:
  my-can:
    like: near-wide
    range:
      - {value: 2 m, against: leg}    # in the hall
      - 1.5 m
    title: >
      a can that was found
      in a drawer
    beam:
      horizontal: 50 deg
  near-wide: {like: near-wide, blind: 200 mm}

sensors:   # what looks

  # the eyes
  - name: eye
    pair: mirror
    kind: my-can        # from the drawer
    at:    # measured
      from: front
      left: 100 mm   # from the middle
    height: 200 mm      # to the middle
    # tilt: 4 deg

  - {name: ear,   kind: near-wide, at: {place: [0.4 m, -50 mm]}, height: 210 mm}  # the odd one
targets:
  leg: {shape: post, diameter: 40 mm, height: 0..1 m}
zones:
  - {name: lane, swept: {way: forward, reach: 1.4 m}, target: leg, only-in: up}
  - {name: aside, swept: {way: left, reach: 0.4 m}, target: leg, only-in: [up, down]}

wires:
- {sensors: [eye.left, ear, eye], bus: rear}   # both
- sensors: eye
  trigger: shared
`

type changeCase struct {
	edits    []Edit
	old, new string
}

var changeCases = []changeCase{
	// Set
	{[]Edit{{Do: Set, Path: "sensors.eye.at", Text: "{arc: 1 m}"}}, "    at:    # measured\n      from: front\n      left: 100 mm   # from the middle\n", "    at: {arc: 1 m}    # measured\n"},
	{[]Edit{{Do: Set, Path: "sensors.eye.at.left", Text: "50 mm"}}, "100 mm   #", "50 mm   #"},
	{[]Edit{{Do: Set, Path: "sensors.eye.tilt", Text: "3 deg"}}, "# to the middle\n", "# to the middle\n    tilt: 3 deg\n"},
	{[]Edit{{Do: Set, Path: "kinds.my-can.title", Text: "a can: found"}}, "title: >\n      a can that was found\n      in a drawer\n", "title: \"a can: found\"\n"},
	{[]Edit{{Do: Set, Path: "kinds.my-can.range", Text: "3 m"}}, "range:\n      - {value: 2 m, against: leg}    # in the hall\n      - 1.5 m\n", "range: 3 m\n"},
	{[]Edit{{Do: Set, Path: "kinds.near-wide.blind.source", Text: "bench"}}, "blind: 200 mm", "blind: {value: 200 mm, source: bench}"},
	{[]Edit{{Do: Set, Path: "body.parts.mast", Text: "{name: pole}"}}, "- name: mast        # an aerial\n      circle: 40 mm\n\n      # where it stands\n      centre: [-0.2 m, 0 m]\n      height: 0.3..1.2 m\n", "- {name: pole}\n"},
	{[]Edit{{Do: Set, Path: "sensors.eye.height", Text: "a lot"}}, "height: 200 mm ", "height: a lot "},
	{[]Edit{{Do: Set, Path: "zones.1.swept.reach", Text: "2 m"}, {Do: Set, Path: "zones.lane.swept.way", Text: "backward"}, {Do: Set, Path: "sensors.eye.height", Text: "250 mm"}, {Do: Set, Path: "sensors.eye.height", Text: "300 mm"}},
		"", ""},
	{[]Edit{{Do: Set, Path: "wishes.cycle", Text: "250 ms"}}, "only-in: [up, down]}\n", "only-in: [up, down]}\n\nwishes: {cycle: 250 ms}\n"},
	{[]Edit{{Do: Set, Path: "motion", Text: "{way: forward, speed: 1 m/s}"}}, "only-in: [up, down]}\n", "only-in: [up, down]}\n\nmotion: {way: forward, speed: 1 m/s}\n"},

	// Add
	{[]Edit{{Do: Add, Path: "sensors", Text: "{name: fin, kind: near-wide, at: {from: rear}, height: 1 m}"}}, "# the odd one\n", "# the odd one\n  - {name: fin, kind: near-wide, at: {from: rear}, height: 1 m}\n"},
	{[]Edit{{Do: Add, Path: "sensors", Text: "{name: fin, kind: near-wide, at: {from: rear}, height: 1 m}", After: "eye"}}, "    # tilt: 4 deg\n", "    # tilt: 4 deg\n  - name: fin\n    kind: near-wide\n    at: {from: rear}\n    height: 1 m\n"},
	{[]Edit{{Do: Add, Path: "sensors", Text: "{name: fin}", After: "0"}}, "# what looks\n", "# what looks\n  - name: fin\n"},
	{[]Edit{{Do: Add, Path: "states", Text: "half way"}}, "[up, down]\n\nkinds", "[up, down, half way]\n\nkinds"},
	{[]Edit{{Do: Add, Path: "states", Text: "half way", After: "up"}}, "states: [up, ", "states: [up, half way, "},
	{[]Edit{{Do: Add, Path: "states", Text: "half way", After: "0"}}, "states: [up", "states: [half way, up"},
	{[]Edit{{Do: Add, Path: "zones.lane.only-in", Text: "down"}}, "only-in: up}\n  - {name: aside", "only-in: [up, down]}\n  - {name: aside"},
	{[]Edit{{Do: Add, Path: "wires.2.sensors", Text: "ear"}}, "sensors: eye\n", "sensors: [eye, ear]\n"},
	{[]Edit{{Do: Add, Path: "wires", Text: "{sensors: eye, bus: b}"}}, "  trigger: shared\n", "  trigger: shared\n- sensors: eye\n  bus: b\n"},
	{[]Edit{{Do: Add, Path: "targets.post", Text: "{shape: wall, height: 0..1 m}"}}, "0..1 m}\n", "0..1 m}\n  post: {shape: wall, height: 0..1 m}\n"},
	{[]Edit{{Do: Add, Path: "targets", Text: "post: {shape: wall, height: 0..1 m}"}}, "0..1 m}\n", "0..1 m}\n  post: {shape: wall, height: 0..1 m}\n"},
	{[]Edit{{Do: Add, Path: "body.parts.Öse.polygon", Text: "[-0.4 m, -0.1 m]"}}, "[-0.6 m, -0.1 m]   # last\n", "[-0.6 m, -0.1 m],   # last\n        [-0.4 m, -0.1 m]\n"},
	{[]Edit{{Do: Add, Path: "body.parts.Öse.polygon", Text: "[-0.5 m, 0.2 m]", After: "1"}}, "# first\n", "# first\n        [-0.5 m, 0.2 m],\n"},
	{[]Edit{{Do: Add, Path: "kinds.my-can.range", Text: "{value: 1 m, against: cloth}", After: "1"}}, "# in the hall\n", "# in the hall\n      - {value: 1 m, against: cloth}\n"},
	{[]Edit{{Do: Add, Path: "kinds.near-wide.range", Text: "1 m"}}, "blind: 200 mm}", "blind: 200 mm, range: 1 m}"},

	// Remove
	{[]Edit{{Do: Remove, Path: "sensors.ear"}}, "\n  - {name: ear,   kind: near-wide, at: {place: [0.4 m, -50 mm]}, height: 210 mm}  # the odd one\n", "\n"},
	{[]Edit{{Do: Remove, Path: "sensors.eye.pair"}}, "    pair: mirror\n", ""},
	{[]Edit{{Do: Remove, Path: "sensors.eye.name"}}, "- name: eye\n    pair", "- pair"},
	{[]Edit{{Do: Remove, Path: "sensors.eye.at"}}, "    at:    # measured\n      from: front\n      left: 100 mm   # from the middle\n", ""},
	{[]Edit{{Do: Remove, Path: "sensors.eye.kind"}}, "    kind: my-can        # from the drawer\n", ""},
	{[]Edit{{Do: Remove, Path: "sensors.ear.kind"}}, "name: ear,   kind: near-wide, at", "name: ear,   at"},
	{[]Edit{{Do: Remove, Path: "sensors.ear.height"}}, ", height: 210 mm}", "}"},
	{[]Edit{{Do: Remove, Path: "sensors.ear.name"}}, "{name: ear,   kind", "{kind"},
	{[]Edit{{Do: Remove, Path: "body.parts.Öse.polygon.2"}}, "        [-0.6 m, 0.1 m],\n", ""},
	{[]Edit{{Do: Remove, Path: "body.parts.Öse.polygon.1"}}, "        [-0.4 m, 0.1 m],   # first\n", ""},
	{[]Edit{{Do: Remove, Path: "body.parts.Öse.polygon.3"}}, "[-0.6 m, 0.1 m],\n        [-0.6 m, -0.1 m]   # last\n", "[-0.6 m, 0.1 m]\n"},
	{[]Edit{{Do: Remove, Path: "body.parts.Öse.polygon.3"}, {Do: Remove, Path: "body.parts.Öse.polygon.2"}}, "[-0.4 m, 0.1 m],   # first\n        [-0.6 m, 0.1 m],\n        [-0.6 m, -0.1 m]   # last\n", "[-0.4 m, 0.1 m]   # first\n"},
	{[]Edit{{Do: Remove, Path: "kinds.my-can.beam.horizontal"}}, "    beam:\n      horizontal: 50 deg\n", ""},
	{[]Edit{{Do: Remove, Path: "kinds.my-can.title"}}, "    title: >\n      a can that was found\n      in a drawer\n", ""},
	{[]Edit{{Do: Remove, Path: "kinds.my-can.range.1"}}, "      - {value: 2 m, against: leg}    # in the hall\n", ""},
	{[]Edit{{Do: Remove, Path: "kinds"}}, changeText[strings.Index(changeText, "kinds:"):strings.Index(changeText, "sensors:   #")], ""},
	{[]Edit{{Do: Remove, Path: "wires"}}, changeText[strings.Index(changeText, "\nwires:"):], ""},
	{[]Edit{{Do: Remove, Path: "wires.1"}, {Do: Remove, Path: "wires.1"}}, changeText[strings.Index(changeText, "\nwires:"):], ""},
	{[]Edit{{Do: Remove, Path: "sensors.ear"}, {Do: Remove, Path: "sensors.eye"}}, changeText[strings.Index(changeText, "sensors:   #"):strings.Index(changeText, "targets:")], "sensors: []   # what looks\n\n  # the eyes\n\n"},
	{[]Edit{{Do: Remove, Path: "states.up"}}, "[up, down]\n\nkinds", "[down]\n\nkinds"},
	{[]Edit{{Do: Remove, Path: "zones.aside.only-in.1"}, {Do: Remove, Path: "zones.aside.only-in.1"}}, ", only-in: [up, down]}", "}"},

	// Rename
	{[]Edit{{Do: Rename, Path: "sensors.eye", Text: "nose"}}, "", ""},
	{[]Edit{{Do: Rename, Path: "zones.lane", Text: "way ahead"}}, "name: lane", "name: way ahead"},
	{[]Edit{{Do: Rename, Path: "body.parts.Öse", Text: "no"}}, "name: Öse", `name: "no"`},
}

// Each verb touches its own place and no other byte, whatever ends the lines.
func TestChange(t *testing.T) {
	for i, c := range changeCases {
		if c.old == "" && c.new == "" {
			continue
		}
		if strings.Count(changeText, c.old) < 1 {
			t.Fatalf("case %d: %q is not in the text", i, c.old)
		}
		holdChange(t, c, strings.Replace(changeText, c.old, c.new, 1))
	}
	holdChange(t, changeCases[8], strings.NewReplacer("{way: forward, reach: 1.4 m}", "{way: backward, reach: 2 m}", "height: 200 mm ", "height: 300 mm ").Replace(changeText))
}

// A new name reaches every place that speaks of the old one, and none that means another.
func TestRename(t *testing.T) {
	for _, c := range []struct {
		path, name string
		with       []string
	}{
		{"sensors.eye", "nose", []string{"name: eye", "name: nose", "[eye.left, ear, eye]", "[nose.left, ear, nose]", "- sensors: eye", "- sensors: nose"}},
		{"sensors.2", "Ohr links", []string{"name: ear", "name: Ohr links", ", ear, ", ", Ohr links, "}},
		{"targets.leg", "post-40", []string{"against: leg", "against: post-40", "  leg:", "  post-40:", "target: leg", "target: post-40"}},
		{"kinds.near-wide", "mine", []string{"  near-wide:", "  mine:", "kind: near-wide", "kind: mine", "my-can:\n    like: near-wide", "my-can:\n    like: mine"}},
		{"states.up", "raised", []string{"[up, down]", "[raised, down]", "only-in: up", "only-in: raised"}},
	} {
		holdChange(t, changeCase{edits: []Edit{{Do: Rename, Path: c.path, Text: c.name}}}, strings.NewReplacer(c.with...).Replace(changeText))
	}
}

// holdChange makes the edits with every kind of line end, with a mark before the text and without.
func holdChange(t *testing.T, c changeCase, want string) {
	t.Helper()
	for _, ends := range []struct{ bom, line string }{{"", "\n"}, {"\ufeff", "\r\n"}, {"", "\r"}} {
		dress := func(s string) []byte { return []byte(ends.bom + strings.ReplaceAll(s, "\n", ends.line)) }
		text := dress(changeText)
		doc, list := Draft("a.yaml", text)
		if doc == nil {
			t.Fatal(list)
		}
		changed, said, err := doc.Change(c.edits...)
		if err != nil {
			t.Errorf("%+v: %v", c.edits, err)
			return
		}
		if got := changed.Bytes(); !bytes.Equal(got, dress(want)) {
			t.Errorf("%+v: line ends %q\n%s", c.edits, ends.line, firstApart(string(got), string(dress(want))))
			return
		}
		if _, again := Draft("a.yaml", changed.Bytes()); again.String() != said.String() {
			t.Errorf("%+v: said %v, reading it again says %v", c.edits, said, again)
		}
		if !bytes.Equal(doc.Bytes(), dress(changeText)) {
			t.Error("the document that was changed is not as it was")
		}
	}
}

// firstApart shows where two texts part.
func firstApart(got, want string) string {
	n := 0
	for n < min(len(got), len(want)) && got[n] == want[n] {
		n++
	}
	show := func(s string) string { return s[max(n-60, 0):min(n+120, len(s))] }
	return fmt.Sprintf("got  …%q\nwant …%q", show(got), show(want))
}

// Lists and maps that are missing, or written and empty.
func TestChangeOfEmpty(t *testing.T) {
	const body = "body: {outline: {rectangle: [1 m, 1 m], height: 0..1 m}}\n"
	const sensor = "{name: eye, kind: near-wide, at: {from: front}, height: 1 m}"
	for _, c := range []struct{ before, path, text, after string }{
		{"echowright: 1\n" + body, "sensors", sensor, "echowright: 1\n" + body + "sensors:\n  - " + sensor + "\n"},
		{"echowright: 1\n\n" + body, "sensors", sensor, "echowright: 1\n\n" + body + "\nsensors:\n  - " + sensor + "\n"},
		{"echowright: 1\n" + body + "zones: []\n", "sensors", sensor, "echowright: 1\n" + body + "sensors:\n  - " + sensor + "\nzones: []\n"},
		{"echowright: 1\nsensors: []   # none\n" + body, "sensors", sensor, "echowright: 1\nsensors:   # none\n  - " + sensor + "\n" + body},
		{"echowright: 1\nsensors:   # none\n" + body, "sensors", sensor, "echowright: 1\nsensors:   # none\n  - " + sensor + "\n" + body},
		{"echowright: 1\nsensors:", "sensors", sensor, "echowright: 1\nsensors:\n  - " + sensor},
		{"echowright: 1", "sensors", sensor, "echowright: 1\nsensors:\n  - " + sensor},
		{"echowright: 1\nwires: []\n", "wires", "{sensors: eye, bus: b}", "echowright: 1\nwires: [{sensors: eye, bus: b}]\n"},
		{"echowright: 1\ntargets: {}\n", "targets.leg", "{shape: wall}", "echowright: 1\ntargets: {leg: {shape: wall}}\n"},
		{"echowright: 1\ntargets:\n", "targets.leg", "{shape: wall}", "echowright: 1\ntargets:\n  leg: {shape: wall}\n"},
		{"echowright: 1\n", "targets.leg", "{shape: wall}", "echowright: 1\ntargets:\n  leg: {shape: wall}\n"},
		{"echowright: 1\n", "targets", "leg: {shape: wall}", "echowright: 1\ntargets:\n  leg: {shape: wall}\n"},
		{"echowright: 1\n" + body, "body.parts", "{name: mast}", "echowright: 1\n" + strings.Replace(body, "}}\n", "}, parts: [{name: mast}]}\n", 1)},
		{"echowright: 1\nbody:\n  outline: {}\n", "body.parts", "{name: mast}", "echowright: 1\nbody:\n  outline: {}\n  parts:\n    - {name: mast}\n"},
		{"{echowright: 1}\n", "states", "up", "{echowright: 1, states: [up]}\n"},
	} {
		doc, list := Draft("a.yaml", []byte(c.before))
		if doc == nil {
			t.Fatal(list)
		}
		changed, _, err := doc.Change(Edit{Do: Add, Path: c.path, Text: c.text})
		if err != nil {
			t.Errorf("Add %s to\n%s%v", c.path, c.before, err)
		} else if got := string(changed.Bytes()); got != c.after {
			t.Errorf("Add %s to\n%sgives\n%s", c.path, c.before, got)
		}
	}
}

func TestChangeRefuses(t *testing.T) {
	text := strings.Replace(changeText, "height: 200 mm ", "height: &h 200 mm ", 1)
	text = strings.Replace(text, "height: 210 mm", "height: *h", 1)
	doc, list := Draft("a.yaml", []byte(text))
	if doc == nil {
		t.Fatal(list)
	}
	for _, c := range []struct {
		edit Edit
		want string
	}{
		{Edit{Do: Set, Path: "sensors.nose.height", Text: "1 m"}, "there is no place sensors.nose.height"},
		{Edit{Do: Set, Path: "sensors.eye.wheels", Text: "2"}, "there is no place"},
		{Edit{Do: Set, Path: "", Text: "2"}, "there is no place"},
		{Edit{Do: Set, Path: "sensors.eye.height", Text: "1 m"}, "would also change sensors.2.height"},
		{Edit{Do: Set, Path: "zones.lane.target", Text: "{a: b}, seen-by: 2, c: {}"}, "would also change zones.1"},
		{Edit{Do: Set, Path: "zones.lane.target", Text: "{a: b"}, "cannot be written there"},
		{Edit{Do: Set, Path: "name", Text: "{a: \x1b}"}, "cannot be written there"},
		{Edit{Do: Add, Path: "sensors.eye.height", Text: "1 m"}, "there already"},
		{Edit{Do: Add, Path: "sensors", Text: "{name: x}", After: "nose"}, "no nose to stand behind"},
		{Edit{Do: Add, Path: "sensors", Text: "{name: x}\n- {name: y}"}, "cannot be written there"},
		{Edit{Do: Remove, Path: "sensors.nose"}, "there is no place"},
		{Edit{Do: Remove, Path: ""}, "there is no place"},
		{Edit{Do: Rename, Path: "sensors.eye", Text: "ear"}, `there is a "ear" already`},
		{Edit{Do: Rename, Path: "sensors.eye", Text: "2nd"}, "cannot be a name"},
		{Edit{Do: Rename, Path: "sensors.eye.height", Text: "x"}, "has no name"},
		{Edit{Do: Rename, Path: "kinds.near-wide", Text: "my-can"}, "already"},
		{Edit{Do: Verb(9)}, "there is no edit 9"},
	} {
		if _, _, err := doc.Change(c.edit); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.edit, err, c.want)
		}
	}
	if _, _, err := doc.Change(Edit{Do: Remove, Path: "sensors.ear"}, Edit{Do: Remove, Path: "sensors.ear"}); err == nil {
		t.Error("an entry was removed twice")
	}
}

// Of several edits all are made or none, each on the outcome of those before.
func TestChangeTogether(t *testing.T) {
	doc, _ := Draft("a.yaml", []byte(changeText))
	changed, _, err := doc.Change(
		Edit{Do: Add, Path: "sensors", Text: "{name: fin, kind: my-can, at: {from: rear}, height: 1 m}"},
		Edit{Do: Set, Path: "sensors.fin.at", Text: "{from: rear, left: 1 m}"},
		Edit{Do: Set, Path: "sensors.fin.at.left", Text: "2 m"},
		Edit{Do: Set, Path: "sensors.fin.height", Text: "3 m"},
		Edit{Do: Rename, Path: "sensors.fin", Text: "tail"},
		Edit{Do: Remove, Path: "sensors.eye"},
		Edit{Do: Rename, Path: "kinds.my-can", Text: "yours"},
	)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := changed.Text("sensors.tail"); got != "{name: tail, kind: yours, at: {from: rear, left: 2 m}, height: 3 m}" {
		t.Errorf("got %s\n%s", got, changed.Bytes())
	}
}

// Text gives what Set takes: put back it says the same.
func TestText(t *testing.T) {
	doc, _ := Draft("a.yaml", []byte(changeText))
	for path, want := range map[string]string{
		"sensors.eye":        "{name: eye, pair: mirror, kind: my-can, at: {from: front, left: 100 mm}, height: 200 mm}",
		"sensors.ear":        "{name: ear,   kind: near-wide, at: {place: [0.4 m, -50 mm]}, height: 210 mm}",
		"kinds.my-can.title": "a can that was found in a drawer\n",
		"kinds.my-can.range": "[{value: 2 m, against: leg}, 1.5 m]",
		"name":               "Wägelchen µ",
		"body.parts.Öse":     "{name: Öse, polygon: [[-0.4 m, 0.1 m], [-0.6 m, 0.1 m], [-0.6 m, -0.1 m]], height: 0..150 mm, only-in: up}",
	} {
		got, ok := doc.Text(path)
		if !ok || got != want {
			t.Errorf("%s: %q, want %q", path, got, want)
			continue
		}
		back, _, err := doc.Change(Edit{Do: Set, Path: path, Text: got})
		if err != nil {
			t.Errorf("%s: %v", path, err)
		} else if again, _ := back.Text(path); again != got {
			t.Errorf("%s: %q came back as %q", path, got, again)
		}
	}
	if _, ok := doc.Text("sensors.nose"); ok {
		t.Error("a text of what is not there")
	}
}

// Of every value of many files the span found in the text reads as that value.
func TestSpans(t *testing.T) {
	tried := 0
	for _, dir := range []string{"testdata/bad/*.yaml", "testdata/good/*.yaml", "../../layouts/*.yaml", "../../assets/kinds.yaml"} {
		names, _ := filepath.Glob(dir)
		for _, name := range names {
			doc, _ := Draft(name, readFile(t, name))
			if doc == nil {
				continue
			}
			var walk func(p *spot)
			walk = func(p *spot) {
				e := &editor{scanned: doc.text}
				from, to := e.start(p.y), e.end(p.y, e.indentAbove(p))
				if p.y.Kind != yaml.AliasNode && !isBlock(p.y) && p.up != nil && p.y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) == 0 && !bytes.ContainsAny(e.text[from:to], "*") {
					tried++
					var got yaml.Node
					if err := yaml.Unmarshal(e.text[from:to], &got); err != nil {
						t.Fatalf("%s:%d:%d: %q: %v", name, p.y.Line, p.y.Column, e.text[from:to], err)
					}
					if len(got.Content) == 0 && p.y.Value == "" {
						return
					}
					if other := shapeOf(p.y, map[*yaml.Node]*shape{}).other(got.Content[0], map[*yaml.Node]*shape{}); other != "" && p.y.Style&yaml.TaggedStyle == 0 {
						t.Errorf("%s:%d:%d: %q is not the value (%s)", name, p.y.Line, p.y.Column, e.text[from:to], other)
					}
				}
				if p.y.Kind == yaml.AliasNode {
					return
				}
				for n := range size(p.y) {
					walk(p.kid(n))
				}
			}
			walk(&spot{y: doc.top, spec: doc.spec})
		}
	}
	if tried < 2000 {
		t.Errorf("only %d tried", tried)
	}
}

// places lists every place of a document but for what lies behind aliases.
func places(p *spot, into *[]*spot) {
	if p.up != nil {
		*into = append(*into, p)
	}
	if p.y.Kind == yaml.AliasNode {
		return
	}
	for n := range size(p.y) {
		places(p.kid(n), into)
	}
}

// pathOf writes the path of a place.
func pathOf(p *spot) string {
	var steps []string
	for ; p.up != nil; p = p.up {
		if p.key != nil {
			steps = append(steps, p.key.Value)
		} else {
			steps = append(steps, fmt.Sprint(p.n+1))
		}
	}
	slices.Reverse(steps)
	return strings.Join(steps, ".")
}

func samples(t testing.TB) map[string][]byte {
	out := map[string][]byte{"text": []byte(changeText), "crlf": []byte(strings.ReplaceAll(changeText, "\n", "\r\n"))}
	names, _ := filepath.Glob("../../layouts/*.yaml")
	if len(names) != 5 {
		t.Fatal(names)
	}
	for _, n := range names {
		out[filepath.Base(n)] = readFile(t, n)
	}
	return out
}

// What is added to a sample and removed again leaves the bytes as they were, wherever a list or map of names stands or is
// missing, and behind whichever item.
func TestAddThenRemove(t *testing.T) {
	items := map[string]string{
		"sensors": "{name: newcomer, kind: near-wide, at: {from: front}, height: 1 m}", "zones": "{name: newcomer, swept: {way: forward, reach: 1 m}, target: wall}",
		"wires": "{sensors: newcomer, bus: b}", "states": "newcomer", "body.parts": "{name: newcomer, circle: 1 m, centre: [0 m, 0 m], height: 0..1 m}",
		"targets.newcomer": "{shape: wall, height: 0..1 m}", "kinds.newcomer": "{like: near-wide}", "body.outline.polygon": "[1 m, 1 m]",
		"wishes": "", "motion.turn": "1 deg/s",
	}
	tried := 0
	for name, data := range samples(t) {
		doc, _ := Draft(name, data)
		for _, path := range sortedKeys(items) {
			at, rest := spotAt(doc.top, doc.spec, path)
			afters := []string{""}
			if up := at.in(); len(rest) == 0 && at.isList() || len(rest) == 1 && at.spec.Form == Named {
				afters = append(afters, "0")
				for n := range size(up) {
					if up.Kind == yaml.MappingNode {
						afters = append(afters, up.Content[2*n].Value)
					} else {
						afters = append(afters, fmt.Sprint(n+1))
					}
				}
			}
			if items[path] == "" || len(rest) == 0 && !at.isList() {
				continue
			}
			for _, after := range afters {
				added, _, err := doc.Change(Edit{Do: Add, Path: path, Text: items[path], After: after})
				if err != nil {
					t.Errorf("%s: Add %s after %q: %v", name, path, after, err)
					continue
				}
				gone := path
				if at, _ := spotAt(added.top, added.spec, path); at.isList() {
					n, _ := afterWhich((at.in()), after)
					if after == "" {
						n = size(at.in()) - 1
					}
					gone += "." + fmt.Sprint(n+1)
				}
				back, _, err := added.Change(Edit{Do: Remove, Path: gone})
				switch {
				case err != nil:
					t.Errorf("%s: Add %s after %q, then Remove %s: %v", name, path, after, gone, err)
				case !bytes.Equal(back.Bytes(), data):
					t.Errorf("%s: Add %s after %q, then Remove\n%s", name, path, after, firstApart(string(back.Bytes()), string(data)))
				}
				tried++
			}
		}
	}
	if tried < 150 {
		t.Errorf("only %d tried", tried)
	}
}

func sortedKeys(m map[string]string) (keys []string) {
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// comments collects the comments on some lines of a text.
func comments(s scanned, from, to int) (out []string) {
	for n := from; n <= min(to, len(s.lines)); n++ {
		line := string(s.text[s.lines[n-1]:s.lineEnd(s.lines[n-1])])
		if i := strings.Index(line, "#"); i >= 0 && (i == 0 || line[i-1] == ' ') {
			out = append(out, line[i:])
		}
	}
	return out
}

// lines returns the first and the last line of what stands at p, comments indented below it included.
func lines(e *editor, p *spot) (from, to int) {
	lineOf := func(at int) (n int) {
		for n < len(e.lines) && e.lines[n] <= at {
			n++
		}
		return n
	}
	begin, indent := e.begin(p.y), e.indentAbove(p)
	if p.key != nil {
		begin = e.begin(p.key)
	} else if dash, ok := e.dash(p.y); ok && isBlock(p.up.in()) {
		begin = dash
	}
	end := max(e.end(p.y, indent), begin)
	if isBlock(p.up.in()) {
		end = e.extent(end, indent)
	}
	return lineOf(begin), lineOf(end)
}

// Every place of every sample set and removed in turn: no byte changes before the neighbour above or behind the one below, and no
// comment is lost but those on the lines of the place itself.
func TestEveryPlace(t *testing.T) {
	for name, data := range samples(t) {
		doc, _ := Draft(name, data)
		e := &editor{scanned: doc.text}
		var all []*spot
		places(&spot{y: doc.top, spec: doc.spec}, &all)
		for _, p := range all {
			for _, ed := range []Edit{{Do: Set, Path: pathOf(p), Text: "17 parsecs"}, {Do: Set, Path: pathOf(p), Text: "{a: [b]}"}, {Do: Remove, Path: pathOf(p)}} {
				changed, _, err := doc.Change(ed)
				if err != nil {
					t.Errorf("%s: %+v: %v", name, ed, err)
					continue
				}
				own := p
				for ed.Do == Remove && own.up.up != nil && size(own.up.in()) == 1 && !e.staysEmpty(own.up) {
					own = own.up
				}
				lo, hi := 0, len(e.text) // what lies outside stays
				switch y := own.up.in(); {
				case ed.Do == Set && !isBlock(p.y):
					lo, hi = e.start(p.y), e.end(p.y, e.indentAbove(p))
				case isBlock(y):
					first, last := lines(e, own)
					for first > 1 && e.isBlank(e.lines[first-2]) {
						first--
					}
					lo = e.beforeBreak(e.lines[first-1])
					if last < len(e.lines) {
						hi = e.lines[last]
					}
					switch {
					case size(y) == 1:
						lo = e.begin(own.up.key)
					case own.key != nil && own.n == 0 && !e.isFirst(e.begin(own.key)): // the next moves up to the dash
						hi = e.begin(y.Content[2])
					}
				default:
					lo, hi = e.begin(own.up.y), e.end(own.up.y, e.indentAbove(own.up))
				}
				if got := changed.text.text; !bytes.HasPrefix(got, e.text[:lo]) || !bytes.HasSuffix(got, e.text[hi:]) {
					t.Errorf("%s: %+v: bytes outside %d..%d changed\n%s", name, ed, lo, hi, got)
				}
				first, last := lines(e, own)
				may := comments(doc.text, first, last)
				if ed.Do == Set && !isBlock(p.y) && first == last || ed.Do == Remove && !isBlock(own.up.in()) && first == last && lineShared(e, own) {
					may = nil
				}
				left := comments(changed.text, 1, len(changed.text.lines))
				for _, c := range comments(doc.text, 1, len(doc.text.lines)) {
					if i := slices.Index(left, c); i >= 0 {
						left = slices.Delete(left, i, i+1)
					} else if !slices.Contains(may, c) {
						t.Errorf("%s: %+v: lost %s\n%s", name, ed, c, changed.Bytes())
					}
				}
			}
		}
	}
}

// lineShared reports whether what stands between brackets at p has a neighbour, or a bracket, on its line.
func lineShared(e *editor, p *spot) bool {
	begin := e.begin(p.y)
	if p.key != nil {
		begin = e.begin(p.key)
	}
	end := e.end(p.y, 0)
	rest := bytes.TrimLeft(e.text[end:e.lineEnd(end)], ", ")
	return !e.isFirst(begin) || len(rest) > 0 && rest[0] != '#'
}

// Random edits one after the other on every sample never do anything but what they say.
func TestRandomEdits(t *testing.T) {
	texts := []string{"250 mm", "{a: b}", "[1 m, 2 m]", "x # y", "no", "a: b", "'", "\"", "ü µ", "- x", "{", "]", "{name: fresh, kind: k}", "fresh: {a: b}", "", "x\ny", "{a: b, # c\n d: e}"}
	made := 0
	for name, data := range samples(t) {
		rng := rand.New(rand.NewPCG(7, uint64(len(data))))
		doc, _ := Draft(name, data)
		for range 150 {
			var all []*spot
			places(&spot{y: doc.top, spec: doc.spec}, &all)
			var edits []Edit
			for range 1 + rng.IntN(3) {
				p := all[rng.IntN(len(all))]
				ed := Edit{Do: []Verb{Set, Set, Remove}[rng.IntN(3)], Path: pathOf(p), Text: texts[rng.IntN(len(texts))]}
				switch {
				case p.isList():
					ed.Do = Verb(rng.IntN(3))
				case rng.IntN(4) == 0:
					ed.Do = Verb(rng.IntN(4))
					ed.Path += "." + []string{"1", "new", "at", "source", "height"}[rng.IntN(5)]
				}
				edits = append(edits, ed)
			}
			// The shape wanted is held by Change itself; here the bytes: what the edit did not reach is there in its order.
			changed, list, err := doc.Change(edits...)
			if err != nil {
				continue
			}
			made++
			if again, more := Draft(name, changed.Bytes()); again == nil || more.String() != list.String() {
				t.Fatalf("%s: %+v: %v", name, edits, more)
			}
			if len(changed.Bytes()) > len(data)/2 {
				doc = changed
			}
		}
	}
	if made < 300 {
		t.Errorf("only %d edits were made", made)
	}
}

// Whatever the text and the edit: no panic, and a document that says what the edit means or an error.
func FuzzChange(f *testing.F) {
	for _, data := range samples(f) {
		f.Add(data, uint8(0), "sensors.1.at", "{from: front}", "")
		f.Add(data, uint8(1), "sensors", "{name: x}", "1")
		f.Add(data, uint8(2), "zones.1", "", "")
		f.Add(data, uint8(3), "sensors.1", "x", "")
	}
	f.Add([]byte("a: &x\n  - *x\n"), uint8(2), "a.1", "", "")
	f.Add([]byte("? a\n: b\nc: !!str |2-\n   d\n"), uint8(0), "c", "x", "")
	f.Fuzz(func(t *testing.T, data []byte, verb uint8, path, text, after string) {
		doc, _ := Draft("f", data)
		if doc == nil {
			return
		}
		changed, list, err := doc.Change(Edit{Do: Verb(verb % 4), Path: path, Text: text, After: after})
		if (err == nil) != (changed != nil) {
			t.Fatalf("document %v, error %v", changed != nil, err)
		}
		if changed == nil {
			return
		}
		if _, again := Draft("f", changed.Bytes()); again.String() != list.String() {
			t.Fatalf("%v\n%v", list, again)
		}
	})
}

func BenchmarkChange(b *testing.B) {
	data := readFile(b, "../../layouts/shelf-cart.yaml")
	doc, _ := Draft("a", data)
	for _, c := range []struct {
		name  string
		edits []Edit
	}{
		{"set", []Edit{{Do: Set, Path: "sensors.side.at", Text: "{from: left, forward: 150 mm}"}}},
		{"set-six", []Edit{
			{Do: Set, Path: "sensors.1.at", Text: "{arc: 1 mm}"}, {Do: Set, Path: "sensors.2.at", Text: "{arc: 1 mm}"}, {Do: Set, Path: "sensors.3.at", Text: "{arc: 1 mm}"},
			{Do: Set, Path: "sensors.4.at", Text: "{arc: 1 mm}"}, {Do: Set, Path: "sensors.5.at", Text: "{arc: 1 mm}"}, {Do: Set, Path: "sensors.6.at", Text: "{arc: 1 mm}"},
		}},
		{"add", []Edit{{Do: Add, Path: "sensors", Text: "{name: eye, kind: near-wide, at: {from: front}, height: 200 mm}"}}},
		{"remove", []Edit{{Do: Remove, Path: "sensors.side"}}},
		{"rename", []Edit{{Do: Rename, Path: "kinds.skirt-pair", Text: "other"}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if changed, _, err := doc.Change(c.edits...); changed == nil {
					b.Fatal(err)
				}
			}
		})
	}
}
