package resolve

import (
	"fmt"
	"io/fs"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/geometry"
	"echowright/layouts"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// builtin parses the kinds that come with the program.
func builtin(t testing.TB) *layout.Document {
	t.Helper()
	doc, list := layout.ParseKinds(assets.KindsFile, assets.Kinds())
	if doc == nil || len(list) > 0 {
		t.Fatalf("built-in kinds: %v", list)
	}
	return doc
}

// parsed parses a layout that must be good.
func parsed(t testing.TB, text string) *layout.Document {
	t.Helper()
	doc, list := layout.Parse("try.yaml", []byte(text))
	if doc == nil {
		t.Fatalf("layout: %v\n%s", list, text)
	}
	return doc
}

// resolved resolves a layout that must be good.
func resolved(t testing.TB, text string) *scene.Scene {
	t.Helper()
	sc, list := Scene(parsed(t, text), builtin(t))
	if sc == nil || len(list) > 0 {
		t.Fatalf("resolve: %v\n%s", list, text)
	}
	return sc
}

// demos returns every sample layout by name.
func demos(t testing.TB) map[string]string {
	t.Helper()
	names, err := fs.Glob(layouts.FS, "*.yaml")
	if err != nil || len(names) < 4 {
		t.Fatalf("sample layouts: %v %v", names, err)
	}
	out := map[string]string{}
	for _, n := range names {
		data, err := layouts.FS.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		out[n] = string(data)
	}
	return out
}

// base is a small good layout that tests alter.
const base = `echowright: 1
name: base
air: {temperature: 5..35 degC, humidity: 20..90 %, pressure: 950..1050 hPa}
around: {ground: smooth, walls: 0.5..8 m, bounces: 1}
body:
  outline: {rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m], height: 80..320 mm}
  parts:
    - {name: mast, circle: 40 mm, centre: [-0.3 m, 0 m], height: 320..1200 mm}
    - {name: flap, polygon: [[-0.6 m, 0.2 m], [-0.9 m, 0.2 m], [-0.9 m, -0.2 m], [-0.6 m, -0.2 m]], height: 0..150 mm, only-in: flap down}
states: [flap up, flap down]
kinds:
  mine: {like: open-pair-5v, blind: 40 mm}
sensors:
  - {name: eye, kind: mine, at: {from: front, left: 50 mm}, height: 200 mm}
  - {name: side, pair: mirror, kind: sealed-serial, at: {from: left, forward: 300 mm}, heading: 10 deg, height: 200 mm}
targets:
  leg: {shape: post, diameter: 50 mm, height: 0..0.9 m, surface: cloth}
zones:
  - {name: ahead, swept: {way: forward, reach: 1 m}, target: leg, share: 90 %}
controller: {clock: 16 MHz, clock-error: 1 %, tick: 4 us, reading: blocking, at-once: 1}
wishes: {style: slots, cycle: 250 ms, guard: 1 ms, jitter: 0.1 ms}
`

// with returns base with one text replaced, which must be there once.
func with(t testing.TB, from, to string) string {
	t.Helper()
	if strings.Count(base, from) != 1 {
		t.Fatalf("%q is %d times in the base layout", from, strings.Count(base, from))
	}
	return strings.Replace(base, from, to, 1)
}

// sensor returns the sensor of a name.
func sensor(t testing.TB, sc *scene.Scene, name string) scene.Sensor {
	t.Helper()
	for _, s := range sc.Sensors {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no sensor %s in %v", name, names(sc))
	return scene.Sensor{}
}

func names(sc *scene.Scene) []string {
	var out []string
	for _, s := range sc.Sensors {
		out = append(out, s.Name)
	}
	return out
}

func TestDemosResolve(t *testing.T) {
	counts := map[string]int{"shelf-cart.yaml": 12, "plank-trailer.yaml": 4, "first-rover.yaml": 3, "hall-sweeper.yaml": 6, "linen-tug.yaml": 8}
	for name, text := range demos(t) {
		sc := resolved(t, text)
		if want, ok := counts[name]; ok && len(sc.Sensors) != want {
			t.Errorf("%s: %d sensors, want %d", name, len(sc.Sensors), want)
		}
		for _, s := range sc.Sensors {
			if o := math.Abs(geometry.Distance(sc.Body.Outline, s.At)); o > 1e-9 {
				t.Errorf("%s: %s stands %g m off the outline", name, s.Name, o)
			}
		}
		for _, z := range sc.Zones {
			if len(z.Rings) == 0 {
				t.Errorf("%s: zone %s is empty", name, z.Name)
			}
		}
		again := resolved(t, text)
		if !reflect.DeepEqual(again.Motion, sc.Motion) {
			t.Errorf("%s: moves differently the second time", name)
		}
		again.Motion, sc.Motion = nil, nil // printed, they would be addresses
		if fmt.Sprintf("%#v", again) != fmt.Sprintf("%#v", sc) {
			t.Errorf("%s: resolves differently the second time", name)
		}
	}
}

// What the rover's file leaves open must be named, and nothing else.
func TestAssumptionsNamed(t *testing.T) {
	var got []string
	for _, a := range resolved(t, demos(t)["first-rover.yaml"]).Assumed {
		got = append(got, a.Text)
	}
	want := []string{
		"no humidity given: 20..90 % assumed", "no pressure given: 950..1050 hPa assumed", "no confirm given: 1 of 1 assumed", "no turn given: 0 deg/s assumed", "no clock-error given: 1 % assumed",
		"no tick given: 1 us assumed", "no guard given: 1 ms assumed", "no jitter given: 100 us assumed",
	}
	if !slices.Equal(got, want) {
		t.Errorf("assumed %q\nwant %q", got, want)
	}
	if sc := resolved(t, base); len(sc.Assumed) != 0 {
		t.Errorf("base assumes %+v", sc.Assumed)
	}
	bare := resolved(t, with(t, "{like: open-pair-5v, blind: 40 mm}", "{range: 3 m}"))
	for _, key := range []string{"cans", "carrier", "carrier.spread", "blind", "beam.horizontal", "beam.vertical", "beam.never-below", "timing.busy-without-echo", "range.against", "supply.volts", "assumed-speed"} {
		if !slices.ContainsFunc(bare.Assumed, func(a scene.Assumption) bool { return a.Key == "kinds.mine."+key && a.Deciding }) {
			t.Errorf("a bare card does not name its assumption of %s", key)
		}
	}
	if k := bare.Kinds[0]; k.BlindM != (scene.Value{X: 0.25, From: scene.Assumed}) || k.Ranges[0].M != (scene.Value{X: 3, From: scene.Estimate}) {
		t.Errorf("bare card: %+v", k)
	}
	off := resolved(t, with(t, "left: 50 mm}, height: 200 mm", "left: 50 mm}, height: 400 mm"))
	if len(off.Assumed) != 1 || !strings.Contains(off.Assumed[0].Text, "above the body") {
		t.Errorf("a sensor above the body: %+v", off.Assumed)
	}
}

func TestMirrorExact(t *testing.T) {
	for name, text := range demos(t) {
		sc := resolved(t, text)
		pairs := 0
		for _, l := range sc.Sensors {
			if l.Name != l.Group+".left" {
				continue
			}
			pairs++
			r := sensor(t, sc, l.Group+".right")
			// 1e-12 m: the two halves of the outline are measured from the same start in opposite senses
			if math.Abs(l.At.X-r.At.X) > 1e-12 || math.Abs(l.At.Y+r.At.Y) > 1e-12 || l.At.Y <= 0 || l.ArcM != -r.ArcM ||
				math.Abs(math.Remainder((l.Heading+r.Heading).Radians(), 2*math.Pi)) > 1e-12 || l.Tilt != r.Tilt || l.HeightM != r.HeightM {
				t.Errorf("%s: %+v is no mirror image of %+v", name, l, r)
			}
		}
		if pairs == 0 && name != "first-rover.yaml" {
			t.Errorf("%s has no mirrored pair", name)
		}
	}
}

// A layout written mirrored gives the mirrored sensors, whichever way a place and a turn are said.
func TestMirroredLayout(t *testing.T) {
	const here = `
  - {name: a, kind: mine, at: {from: front, left: 120 mm}, heading: 20 deg, height: 0.2 m}
  - {name: b, kind: mine, at: {from: left, forward: 200 mm}, heading: -15 deg, height: 0.2 m}
  - {name: c, kind: mine, at: {arc: 470 mm}, heading: 8 deg, height: 0.2 m}
  - {name: d, kind: mine, at: {from: rear, left: 210 mm}, heading: 12 deg outward, height: 0.2 m}
  - {name: e, kind: mine, at: {place: [0.9 m, 0.3 m]}, heading: 30 deg, height: 0.2 m}
  - {name: f, kind: mine, at: {from: front, left: 250 mm}, heading: 40 deg from forward, height: 0.2 m}
  - {name: g, kind: mine, at: {from: rear, left: 100 mm}, heading: 9 deg inward, height: 0.2 m}
`
	there := strings.NewReplacer("left: 120", "right: 120", "heading: 20", "heading: -20", "from: left", "from: right", "-15 deg", "15 deg",
		"arc: 470", "arc: -470", "heading: 8", "heading: -8", "left: 210", "left: -210", "0.3 m]", "-0.3 m]", "heading: 30", "heading: -30",
		"left: 250", "right: 250", "40 deg", "-40 deg", "left: 100", "right: 100").Replace(here)
	const old = "\n  - {name: eye, kind: mine, at: {from: front, left: 50 mm}, height: 200 mm}\n"
	a, b := resolved(t, with(t, old, here)), resolved(t, with(t, old, there))
	for i, s := range a.Sensors[:7] {
		m := b.Sensors[i]
		if s.At.X != m.At.X && math.Abs(s.At.X-m.At.X) > 1e-12 || math.Abs(s.At.Y+m.At.Y) > 1e-12 ||
			math.Abs(math.Remainder((s.Heading+m.Heading).Radians(), 2*math.Pi)) > 1e-12 {
			t.Errorf("%s at %v %v, mirrored at %v %v", s.Name, s.At, s.Heading, m.At, m.Heading)
		}
	}
	for name, want := range map[string]float64{"a": 20, "b": 75, "d": 168, "e": 30, "f": 40, "g": -171} {
		if got := sensor(t, a, name).Heading.Degrees(); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s heads %.6f deg, want %g", name, got, want)
		}
	}
}

// A place within a mount's thickness of the outline is on it: snapped, with its arc length, and its
// heading counted from square to the outline; beyond that it stands for itself.
func TestPlaceNearTheOutline(t *testing.T) {
	for _, c := range []struct {
		at      string
		x, y    float64
		heading float64 // deg
		on      bool
	}{
		{"place: [0.6004 m, 0.1 m]", 0.6, 0.1, 10, true},
		{"place: [0.596 m, 0.1 m]", 0.6, 0.1, 10, true},
		{"place: [-0.3 m, 0.404 m]", -0.3, 0.4, 100, true},
		{"place: [-0.6 m, -0.1 m]", -0.6, -0.1, -170, true},
		{"place: [-0.606 m, -0.1 m]", -0.606, -0.1, 10, false},
		{"place: [0.594 m, 0.1 m]}, recessed: true", 0.594, 0.1, 10, false},
	} {
		at := c.at
		if !strings.Contains(at, "}") {
			at += "}"
		}
		s := sensor(t, resolved(t, with(t, "at: {from: front, left: 50 mm}", "heading: 10 deg, at: {"+at)), "eye")
		if math.Hypot(s.At.X-c.x, s.At.Y-c.y) > 1e-9 || math.Abs(math.Remainder(s.Heading.Degrees()-c.heading, 360)) > 1e-9 || math.IsNaN(s.ArcM) == c.on {
			t.Errorf("%s: at %v heading %.3f deg, arc %.3f", c.at, s.At, s.Heading.Degrees(), s.ArcM)
		}
	}
	sc := resolved(t, with(t, "at: {from: front, left: 50 mm}", "pair: mirror, at: {place: [-0.4 m, 0.403 m]}"))
	if l, r := sensor(t, sc, "eye.left"), sensor(t, sc, "eye.right"); l.ArcM != -r.ArcM || l.Heading != -r.Heading || l.Heading.Degrees() != 90 {
		t.Errorf("a mirrored place: %+v and %+v", l, r)
	}
	deep, list := Scene(parsed(t, with(t, "at: {from: front, left: 50 mm}", "at: {place: [0.594 m, 0.1 m]}")), builtin(t))
	if deep != nil || !strings.Contains(list.String(), "inside the body, 6 mm from its outline") {
		t.Errorf("6 mm inside: %v", list)
	}
}

func TestCountedFromLeftToRight(t *testing.T) {
	const old = "  - {name: eye, kind: mine, at: {from: front, left: 50 mm}, height: 200 mm}\n"
	for _, c := range []struct {
		from   string
		before func(a, b scene.Sensor) bool // a's name comes before b's
	}{
		{"front", func(a, b scene.Sensor) bool { return a.At.Y > b.At.Y }},
		{"rear", func(a, b scene.Sensor) bool { return a.At.Y > b.At.Y }},
		{"left", func(a, b scene.Sensor) bool { return a.At.X > b.At.X }},
		{"right", func(a, b scene.Sensor) bool { return a.At.X > b.At.X }},
	} {
		sc := resolved(t, with(t, old, "  - {name: row, count: 4, kind: mine, at: {from: "+c.from+", spread: -250..150 mm}, height: 200 mm}\n"))
		for i, name := range []string{"row.1", "row.2", "row.3", "row.4"} {
			s := sc.Sensors[i]
			if s.Name != name || i > 0 && !c.before(sc.Sensors[i-1], s) {
				t.Errorf("%s: place %d is %s at %v", c.from, i, s.Name, s.At)
			}
		}
		first, last := sc.Sensors[0].At, sc.Sensors[3].At
		got := []float64{last.Y, first.Y}
		if c.from == "left" || c.from == "right" {
			got = []float64{last.X, first.X}
		}
		if math.Abs(got[0]+0.25) > 1e-9 || math.Abs(got[1]-0.15) > 1e-9 {
			t.Errorf("%s: the row runs over %v, want -0.25..0.15", c.from, got)
		}
	}
	round := resolved(t, with(t, old, "  - {name: bow, count: 5, kind: mine, at: {from: front, spread: -600..600 mm}, height: 200 mm}\n"))
	if got := round.Sensors[0]; got.Name != "bow.1" || got.At.Y != 0.4 || got.Heading.Degrees() != 90 {
		t.Errorf("a spread goes round the corners; bow.1 is at %v heading %v", got.At, got.Heading)
	}
}

// spanOf returns the length and width of a ring.
func spanOf(r []r2.Point) (x, y float64) {
	b := r2.RectFromPoints(r...)
	return b.X.Length(), b.Y.Length()
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }

// occurrences counts a text, at most 25 times.
func occurrences(s, of string) int { return min(strings.Count(s, of), 25) }

// replaceNth replaces the nth occurrence of a text, counted from zero.
func replaceNth(s, from, to string, n int) string {
	at := 0
	for range n {
		at += strings.Index(s[at:], from) + len(from)
	}
	i := at + strings.Index(s[at:], from)
	return s[:i] + to + s[i+len(from):]
}

func BenchmarkScene(b *testing.B) {
	doc, kinds := parsed(b, demos(b)["shelf-cart.yaml"]), builtin(b)
	for b.Loop() {
		if sc, _ := Scene(doc, kinds); len(sc.Sensors) != 12 {
			b.Fatal("wrong number of sensors")
		}
	}
}
