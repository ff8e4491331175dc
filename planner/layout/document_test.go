package layout

import (
	"math"
	"strings"
	"testing"
)

func parsed(t *testing.T, text string) Entry {
	t.Helper()
	doc, list := Parse("a.yaml", []byte(text))
	if doc == nil {
		t.Fatal(list)
	}
	return doc.Root()
}

func entry(t *testing.T, e Entry, path string) Entry {
	t.Helper()
	got, ok := e.Get(path)
	if !ok {
		t.Fatalf("no %s in %s", path, e.Path())
	}
	return got
}

func TestEntry(t *testing.T) {
	root := parsed(t, `echowright: 1
body: {outline: {polygon: [[1 m, 0 m], [0 m, 500 mm], [-1 m, 0 m]], height: 80..320 mm}}
states: [up, down]
around: {walls: none}
kinds:
  can:
    source: datasheet
    carrier: {value: 40 kHz, spread: 1 kHz, source: bench}
    range: [{value: 4 m, against: wall}, 2 m]
    beam: {horizontal: {value: 50 deg, source: estimate}, vertical: 20 deg, meaning: -3 dB one way}
    timing: {burst: 0.2 ms, window-settable: true, trigger-to-burst: {value: 250..600 us, source: bench}}
    assumed-speed: {value: compensated}
sensors:
  - {name: ear, count: 2, kind: can, at: {from: rear, spread: -200..200 mm}, heading: 12 deg outward, height: 0.2 m}
zones:
  - {name: lane, band: {along: all, depth: 60..400 mm}, target: wall, share: 95 %, only-in: up}
`)
	if got := strings.Join(root.Keys(), " "); got != "echowright body states around kinds sensors zones" {
		t.Errorf("keys: %s", got)
	}
	can := entry(t, root, "kinds.can")
	carrier := entry(t, can, "carrier")
	if spread, ok := carrier.Spread(); carrier.Num() != 40000 || spread != 1000 || !ok || carrier.Source() != "bench" {
		t.Errorf("carrier %v ± %v from %s", carrier.Num(), spread, carrier.Source())
	}
	ranges := entry(t, can, "range").List()
	if len(ranges) != 2 || ranges[0].Num() != 4 || ranges[1].Num() != 2 || ranges[1].Source() != "datasheet" || entry(t, ranges[0], "against").Text() != "wall" {
		t.Errorf("ranges %v", ranges)
	}
	if v := ranges[1].Value("ended-by"); v.Text() != "unknown" || !v.Assumed() {
		t.Errorf("default of ended-by: %v", v)
	}
	if m := entry(t, can, "beam.meaning"); m.Num() != -3 || m.Word() != "one way" {
		t.Errorf("meaning %v %s", m.Num(), m.Word())
	}
	if h := entry(t, can, "beam.horizontal"); math.Abs(h.Num()-50*math.Pi/180) > 1e-15 || h.Source() != "estimate" {
		t.Errorf("horizontal %v %s", h.Num(), h.Source())
	}
	if lo, hi := entry(t, can, "timing.trigger-to-burst").Span(); lo != 250e-6 || hi != 600e-6 {
		t.Errorf("trigger-to-burst %v..%v", lo, hi)
	}
	if b := entry(t, can, "timing.burst"); b.Unit().String() != "time" || b.Num() != 200e-6 {
		t.Errorf("burst %v %v", b.Num(), b.Unit())
	}
	if !entry(t, can, "timing.window-settable").Bool() || entry(t, can, "assumed-speed").Text() != "compensated" || entry(t, root, "around.walls").Text() != "none" {
		t.Error("flags and words")
	}
	corner := entry(t, root, "body.outline.polygon").List()[1]
	if row := corner.Row(); len(row) != 2 || row[0] != 0 || row[1] != 0.5 || corner.Path() != "body.outline.polygon.2" || corner.Line() != 2 || corner.Col() != 40 {
		t.Errorf("corner %v at %s %d:%d", corner.Row(), corner.Path(), corner.Line(), corner.Col())
	}
	ear := entry(t, root, "sensors").List()[0]
	if h := entry(t, ear, "heading"); h.Word() != "outward" || h.Path() != "sensors.ear.heading" || ear.Key() != "ear" || entry(t, ear, "count").Int() != 2 {
		t.Errorf("heading %v of %s", h.Word(), ear.Key())
	}
	if got := ear.Value("tilt").Errorf("less", "too %s", "steep").String(); got != "a.yaml:14:5: too steep; less" {
		t.Errorf("message %s", got)
	}
	lane := entry(t, root, "zones").List()[0]
	if only := entry(t, lane, "only-in").List(); len(only) != 1 || only[0].Text() != "up" || entry(t, lane, "share").Num() != 0.95 {
		t.Errorf("lane %v", only)
	}
}

// The zero Entry, and asking one form for another, answers emptily.
func TestZeroEntry(t *testing.T) {
	var e Entry
	lo, hi := e.Span()
	_, spreads := e.Spread()
	if e.Exists() || e.Has("a") || e.Value("a").Exists() || e.Default("a").Exists() || e.Keys() != nil || e.List() != nil || e.Row() != nil || e.Text()+e.Word()+e.Key()+e.Path()+e.Source()+e.File() != "" ||
		e.Num() != 0 || e.Int() != 0 || lo != 0 || hi != 0 || e.Bool() || spreads || e.Line() != 0 || e.Col() != 0 || e.Unit() != 0 || e.Assumed() {
		t.Error("the zero Entry is not empty")
	}
}

// Aliases read as if written out, at the place where the value stands.
func TestAliases(t *testing.T) {
	base := string(readFile(t, "testdata/good/base.yaml"))
	root := parsed(t, strings.Replace(base, "{heading: 3 deg}", "{heading: &turn 3 deg, tilt: *turn}", 1))
	a, b := entry(t, root, "tolerance.heading"), entry(t, root, "tolerance.tilt")
	if a.Num() != b.Num() || a.Line() != b.Line() {
		t.Errorf("%v at %d, %v at %d", a.Num(), a.Line(), b.Num(), b.Line())
	}
}

// The same file read twice, or with other line ends, gives the same messages.
func TestLineEndsDoNotMatter(t *testing.T) {
	text := string(readFile(t, "testdata/bad/many-at-once.yaml"))
	_, want := Parse("a", []byte(text))
	for _, other := range []string{text, "\ufeff" + text, strings.ReplaceAll(text, "\n", "\r\n"), strings.ReplaceAll(text, "\n", "\r"), "\ufeff" + strings.ReplaceAll(text, "\n", "\r\n")} {
		if _, got := Parse("a", []byte(other)); got.String() != want.String() {
			t.Errorf("got\n%v\nwant\n%v", got, want)
		}
	}
}

// A file of kinds has kinds and targets and nothing else.
func TestParseKinds(t *testing.T) {
	doc, list := ParseKinds("kinds.yaml", []byte("echowright: 1\ntargets: {wall: {shape: wall, height: 0..2 m}}\nkinds: {can: {carrier: 40 kHz}}\n"))
	if doc == nil {
		t.Fatal(list)
	}
	if _, list = ParseKinds("kinds.yaml", []byte("echowright: 1\nsensors: []\n")); !strings.Contains(list.String(), `2:1: unknown key "sensors"`) {
		t.Errorf("got %v", list)
	}
	if _, list := ParseKinds("kinds.yaml", readFile(t, "../../assets/kinds.yaml")); len(list) > 0 {
		t.Errorf("%v", list)
	}
}

func BenchmarkParse(b *testing.B) {
	data := readFile(b, "../../layouts/shelf-cart.yaml")
	for b.Loop() {
		if doc, _ := Parse("a", data); doc == nil {
			b.Fatal("refused")
		}
	}
}
