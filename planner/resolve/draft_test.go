package resolve

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/scene"
)

// faults reads and resolves a text as far as it goes and returns the scene, all that is wrong with the
// text, and what of it resolving found.
func faults(t testing.TB, file string, data []byte, kinds *layout.Document) (sc *scene.Scene, all, resolved diag.List) {
	t.Helper()
	doc, list := layout.Draft(file, data)
	if doc == nil {
		return nil, list, nil
	}
	sc, more := Scene(doc, kinds)
	if broken := list.HasErrors() || more.HasErrors(); (sc == nil) != broken {
		t.Fatalf("scene %v beside %v %v", sc != nil, list, more)
	}
	return sc, append(list, more...).Sort(), more
}

// Faults of the text and faults of what it says come in one list, each once, and nothing that only
// follows from another.
func TestFaultsOfEveryKindAtOnce(t *testing.T) {
	const text = `echowright: 1
air: {temperature: 35..5 degC, wind: 5 m/s}
around: {wals: 0.5..8 m}
body:
  outline: {polygon: [[0.6 m, -0.4 m], [0.6 m, 0.4 m], [-0.6 m, 0.4 m], [-0.6 m, -0.4 m]], height: 80..320 mm}
  parts:
    - {name: mast, circle: 40, centre: [-0.3 m, 0 m], height: 320..1200 mm}
    - {name: bow tie, polygon: [[-0.6 m, 0.2 m], [-0.9 m, -0.2 m], [-0.9 m, 0.2 m], [-0.6 m, -0.2 m]], height: 0..150 mm}
kinds:
  mine: {like: open-pair-5}
  halved: {like: open-pair-5v, range: {value: 2 ms, against: wall}}
sensors:
  - {name: eye, kind: mine, at: {from: front, left: 50 mm}, height: 200 mm}
  - {name: ear, kind: halved, at: {from: front, left: 900 mm}, height: 200 mm}
  - {name: lost, kind: near-wide, at: {place: [0 m, 0.1 m]}, height: 200 mm}
  - {name: lost, kind: near-wid, at: {from: left}, height: 200 mm}
  - {name: dim, kind: near-wide, at: {place: [0 m, 0.2 m]}, height: nan mm}
targets:
  leg: {shape: pole, diameter: 50 mm, height: 0..0.9 m}
zones:
  - {name: within, polygon: [[0.1 m, 0 m], [0.2 m, 0 m], [0.2 m, 0.2 m]], target: leg}
  - {name: ahead, swept: {way: forward, reach: 1 m}, target: post 75}
  - {name: aside, swept: {way: left, reach: 1e999 m}, target: lag, seen-by: 9}
`
	const want = `try.yaml:2:20: temperature: the span "35..5 degC" runs backwards; write the lesser value first: 5..35 degC
try.yaml:2:32: wind: this key is known, but wind is not worked out yet; leave it out for now
try.yaml:3:10: unknown key "wals" in around; did you mean walls?
try.yaml:7:28: circle: bare number 40 where a length is due; add a unit: m, mm, cm, um or km
try.yaml:8:32: part "bow tie" crosses or touches itself at (-750 mm, 0 mm); give the corners in order round the edge
try.yaml:10:16: there is no kind of module "open-pair-5" to be like; did you mean "open-pair-5v"?
try.yaml:11:47: range: ms is a unit of time where a length is due; units of length: m, mm, cm, um or km
try.yaml:14:55: the front side reaches from -400 mm to 400 mm, not to 900 mm; give another offset, another side, or a length along the outline with arc
try.yaml:15:39: sensor "lost" is inside the body, 300 mm from its outline; move it to the surface, or write recessed: true
try.yaml:16:12: two sensors are called "lost", the first at 15:12; give each its own name
try.yaml:16:24: there is no kind of module "near-wid"; did you mean "near-wide"?
try.yaml:17:69: height: "nan mm" is not a finite number; write a number and a unit: m, mm, cm, um or km
try.yaml:19:16: shape cannot be "pole"; choose post, sphere, wall, bar or kerb
try.yaml:21:29: zone "within" lies wholly inside the body; let it reach beyond the outline
try.yaml:22:62: there is no target "post 75"; did you mean "post-75"?
try.yaml:23:45: reach: 1e999 is beyond what a number can hold; write a finite number
try.yaml:23:63: there is no target "lag"; did you mean "leg"?
try.yaml:23:77: zone "aside" must be seen by 9 sensors, there are 5; ask for as many as there are, or mount more`
	_, all, _ := faults(t, "try.yaml", []byte(text), builtin(t))
	if got := all.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// What was refused is not judged again: nothing hangs on an outline, a kind, a target or a place that
// could not be read. Each text replaces one value of base; the messages are all about that value.
func TestNoFaultFollowsFromAnother(t *testing.T) {
	kinds := builtin(t)
	for _, c := range [][2]string{
		{"rectangle: [1.2 m, 0.8 m]", "rectangle: [1.2 m, 0.8]"},
		{"corner: 100 mm", "corner: 100"},
		{"corner: 100 mm", "corner: 100 mm, polygon: [[1 m, 1 m], [2 m, 2 m], [3 m, 3 m]]"},
		{"{like: open-pair-5v, blind: 40 mm}", "5"},
		{"  mine: {like: open-pair-5v, blind: 40 mm}", "  mi.ne: {like: open-pair-5v, blind: 40 mm}"},
		{"{like: open-pair-5v, blind: 40 mm}", "{lik: open-pair-5v, blind: 40 mm}"},
		{"{like: open-pair-5v, blind: 40 mm}", "{like: 7, blind: 40 mm}"},
		{"{like: open-pair-5v, blind: 40 mm}", "{rage: 4 m}"},
		{"kinds:\n", "kins:\n"},
		{"targets:\n", "tragets:\n"},
		{"  leg: {", "  leg: [{"},
		{"left: 50 mm", "left: 50"},
		{"kind: sealed-serial,", "kind: [sealed-serial],"},
		{"pair: mirror,", "pair: both,"},
		{"at: {from: front, left: 50 mm}", "at: {place: [0.2 m, 0.1 m]}, recessed: yes"},
		{"at: {from: front, left: 50 mm}", "at: {place: [0.2 m, 0.1 m]}, recess: {bore: 18 mm, depth: 4 mm}"},
		{"kind: mine, at: {from: front, left: 50 mm}", "count: 3, kind: mine, at: {from: front}"},
		{"kind: mine, at: {from: front, left: 50 mm}", "count: many, kind: mine, at: {from: front, spread: -100..100 mm}"},
		{"states: [flap up, flap down]", "states: [flap up, 2]"},
		{"share: 90 %", "share: 90 %, seen-by: 4.5"},
		{"  - {name: side, ", "  - side\n  - {name: side, seen: by, "},
	} {
		text := with(t, c[0], c[1])
		if _, all, more := faults(t, "try.yaml", []byte(text), kinds); len(all) == 0 || len(more) > 0 {
			t.Errorf("%s → %s:\n%v", c[0], c[1], all)
		}
	}
}

// Every single value of the samples made unreadable in turn, in one of three ways: resolving has nothing to add.
func TestUnreadableValuesOfTheSamples(t *testing.T) {
	kinds := builtin(t)
	texts := demos(t)
	texts["base"], texts["wired"] = base, wired+everyWire
	tried := 0
	for _, name := range sortedKeys(texts) {
		for i, v := range values(t, texts[name]) {
			bad := []string{`"!"`, "[]", "{a: [b]}"}[i%3]
			sc, all, more := faults(t, name, []byte(v.replaced(texts[name], bad)), kinds)
			if sc != nil {
				continue // a text may be "!"
			}
			tried++
			if len(more) > 0 {
				t.Errorf("%s:%d:%d: %s in place of %s:\n%v", name, v.Line, v.Column, bad, v.Value, all)
			}
		}
	}
	if tried < 400 {
		t.Errorf("only %d tried", tried)
	}
}

// scalar is a plain value of a text.
type scalar struct{ *yaml.Node }

// values finds the values (not the keys) of a text that stand on one line without quotes.
func values(t testing.TB, text string) (out []scalar) {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		t.Fatal(err)
	}
	var walk func(y *yaml.Node)
	walk = func(y *yaml.Node) {
		for i, kid := range y.Content {
			if y.Kind == yaml.MappingNode && i%2 == 0 {
				continue
			}
			if kid.Kind == yaml.ScalarNode && kid.Style == 0 {
				out = append(out, scalar{kid})
			}
			walk(kid)
		}
	}
	walk(&doc)
	return out
}

// replaced returns the text with the value written otherwise.
func (s scalar) replaced(text, by string) string {
	lines := strings.SplitAfter(text, "\n")
	line := []rune(lines[s.Line-1])
	at := s.Column - 1
	lines[s.Line-1] = string(line[:at]) + by + string(line[at+len([]rune(s.Value)):])
	return strings.Join(lines, "")
}

// The files that reading refuses for one reason have no other in what they say.
func TestFilesRefusedByReading(t *testing.T) {
	kinds := builtin(t)
	names, err := filepath.Glob("../layout/testdata/bad/*.yaml")
	if err != nil || len(names) < 50 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, all, more := faults(t, filepath.Base(name), data, kinds); len(more) > 0 {
			t.Errorf("%v\nof which resolving found\n%v", all, more)
		}
	}
}
