package resolve

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"echowright/planner/layout"
	"echowright/planner/scene"
)

// sameMounts holds two scenes to the very same places, turns and heights: to the rounding that a figure written another
// way may bring.
func sameMounts(t *testing.T, what string, a, b *scene.Scene) {
	t.Helper()
	if len(a.Sensors) != len(b.Sensors) {
		t.Fatalf("%s: %d sensors became %d", what, len(a.Sensors), len(b.Sensors))
	}
	for i, s := range a.Sensors {
		o := b.Sensors[i]
		const tol = 2e-12
		same := s.At.Sub(o.At).Norm() <= tol && math.Abs((s.Heading-o.Heading).Normalized().Radians()) <= tol && s.Tilt == o.Tilt && s.HeightM == o.HeightM && s.PairUpright == o.PairUpright &&
			s.Recessed == o.Recessed && s.ListenM == o.ListenM && a.Kinds[s.Kind].Name == b.Kinds[o.Kind].Name &&
			(math.Abs(s.ArcM-o.ArcM) <= tol || math.IsNaN(s.ArcM) && math.IsNaN(o.ArcM))
		if !same {
			t.Errorf("%s: %+v became %+v", what, s, o)
		}
	}
	if fmt.Sprint(a.Wires) != fmt.Sprint(b.Wires) {
		t.Errorf("%s: wires %v became %v", what, a.Wires, b.Wires)
	}
}

// splitAll takes every entry of a text apart, one after the other, and returns the outcome.
func splitAll(t *testing.T, kinds *layout.Document, what, text string) *layout.Document {
	t.Helper()
	doc := parsed(t, text)
	was, list := Scene(doc, kinds)
	if was == nil {
		t.Fatal(what, list)
	}
	for _, s := range was.Sensors {
		if s.Nth != 1 {
			continue
		}
		edits, names, err := Split(doc, kinds, s.Entry)
		if err != nil {
			t.Fatal(what, err)
		}
		next, list, err := doc.Change(edits...)
		if err != nil || len(list) > 0 {
			t.Fatalf("%s: %v\n%v %v\n%s", what, edits, err, list, doc.Bytes())
		}
		doc = next
		now, list := Scene(doc, kinds)
		if now == nil {
			t.Fatalf("%s: %v\n%s", what, list, doc.Bytes())
		}
		sameMounts(t, what+" "+s.Entry, was, now)
		for i, n := range names {
			if len(names) > 1 && now.Sensors[sensorAt(was, s.Entry, i+1)].Name != n {
				t.Errorf("%s: the %d. of %s is not called %s", what, i+1, s.Entry, n)
			}
		}
	}
	for _, e := range doc.Root().Value("sensors").List() {
		if e.Has("pair") || e.Has("count") {
			t.Errorf("%s: %s is not single", what, e.Path())
		}
	}
	return doc
}

// sensorAt is the index of the nth sensor of an entry.
func sensorAt(sc *scene.Scene, entry string, nth int) int {
	for i, s := range sc.Sensors {
		if s.Entry == entry && s.Nth == nth {
			return i
		}
	}
	return -1
}

// Every entry of the samples, and of every way to say a place and a heading on bodies of several shapes, taken apart: the sensors
// stand as they stood.
func TestSplit(t *testing.T) {
	kinds := builtin(t)
	for _, name := range sortedKeys(demos(t)) {
		splitAll(t, kinds, name, demos(t)[name])
	}
	tried := 0
	for _, outline := range []string{
		"rectangle: [1.2 m, 0.8 m], corner: 100 mm", "rectangle: [1.2 m, 0.8 m]", "rectangle: [1.2 m, 0.8 m], corner: 77.7 mm, centre: [0.1 m, 0.03 m]",
		"polygon: [[0.61 m, 0.2 m], [0.5 m, 0.4 m], [-0.6 m, 0.37 m], [-0.6 m, -0.41 m], [0.5 m, -0.4 m], [0.6 m, -0.2 m]]",
		"scale: 1 m, path: M 0.6 0 A 0.6 0.4 0 0 1 -0.6 0 A 0.6 0.4 0 0 1 0.6 0 Z",
	} {
		for _, at := range []string{
			"pair: mirror, at: {from: left, forward: 133.3 mm}", "pair: mirror, at: {from: right, back: 140 mm}", "pair: mirror, at: {from: front, left: 120 mm}", "pair: mirror, at: {from: rear, right: 0.1234567 m}",
			"pair: mirror, at: {arc: 274 mm}", "pair: mirror, at: {arc: -1.0234 m}", "pair: mirror, at: {place: [0.2 m, 0.7 m]}", "pair: mirror, at: {place: [-0.2 m, -0.9 m]}", "pair: mirror, at: {place: [0.1 m, 0.401 m]}",
			"count: 2, at: {from: front, spread: -130..130 mm}", "count: 5, at: {from: rear, spread: -0.41..0.37 m}", "count: 3, at: {from: left, spread: -200..100 mm}", "count: 4, at: {from: right, spread: 10..470 mm}", "count: 1, at: {from: rear}",
		} {
			for _, heading := range []string{"", "heading: 0 deg, ", "heading: 7.3 deg, ", "heading: 12 deg from forward, ", "heading: 5 deg outward, ", "heading: -3 deg inward, "} {
				text := with(t, "rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", outline)
				text = strings.Replace(text, "kind: mine, at: {from: front, left: 50 mm}, height", heading+"kind: mine, "+at+", tilt: 3 deg, height", 1)
				text = strings.Replace(text, "forward: 300 mm}, heading: 10 deg, height: 200 mm", "forward: 20 mm}, height: 300 mm", 1)
				if doc, _ := layout.Draft("a", []byte(text)); doc == nil {
					t.Fatal(text)
				} else if sc, _ := Scene(doc, kinds); sc == nil {
					continue // a place that body does not have, or a word that says nothing there
				}
				tried++
				splitAll(t, kinds, outline+" "+at+" "+heading, text)
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d tried", tried)
	}
}

// What stays is the user's writing, and what is new is written so that a person can read it.
func TestSplitText(t *testing.T) {
	text := with(t, "  - {name: eye, kind: mine, at: {from: front, left: 50 mm}, height: 200 mm}\n", `  - name: eye     # two of them
    count: 2
    kind: mine    # from the drawer
    at: {from: front, spread: -130..130 mm}
    height: 200 mm
`) + "wires:\n  - {sensors: [eye.2, side], echo: joined}   # one line\n  - {sensors: eye, trigger: shared}\n"
	want := strings.Replace(text, `  - name: eye     # two of them
    count: 2
    kind: mine    # from the drawer
    at: {from: front, spread: -130..130 mm}
    height: 200 mm
  - {name: side, pair: mirror, kind: sealed-serial, at: {from: left, forward: 300 mm}, heading: 10 deg, height: 200 mm}
`, `  - name: eye-1     # two of them
    kind: mine    # from the drawer
    at: {from: front, left: 130 mm}
    height: 200 mm
  - name: eye-2
    kind: mine
    at: {from: front, left: -130 mm}
    height: 200 mm
  - {name: side-left, kind: sealed-serial, at: {from: left, forward: 300 mm}, heading: 10 deg, height: 200 mm}
  - {name: side-right, kind: sealed-serial, at: {from: right, forward: 300 mm}, heading: -10 deg, height: 200 mm}
`, 1)
	want = strings.Replace(want, "[eye.2, side]", "[eye-2, side-left, side-right]", 1)
	want = strings.Replace(want, "sensors: eye,", "sensors: [eye-1, eye-2],", 1)
	if got := string(splitAll(t, builtin(t), "text", text).Bytes()); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestSplitRefuses(t *testing.T) {
	kinds := builtin(t)
	doc, _ := layout.Draft("a", []byte(with(t, "height: 200 mm}\n  - {name: side", "height: 200}\n  - {name: side")))
	for entry, want := range map[string]string{"sensors.nose": "there is no entry", "zones.ahead": "there is no entry"} {
		if _, _, err := Split(doc, kinds, entry); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", entry, err)
		}
	}
	if edits, names, err := Split(doc, kinds, "sensors.eye"); edits != nil || len(names) != 1 || err != nil {
		t.Errorf("a single one: %v %v %v", edits, names, err)
	}
	bad, _ := layout.Draft("a", []byte(with(t, "pair: mirror, kind: sealed-serial, at: {from: left, forward: 300 mm}", "pair: mirror, kind: sealed-serial, at: {from: left, forward: 300}")))
	if _, _, err := Split(bad, kinds, "sensors.side"); err == nil || !strings.Contains(err.Error(), "mend them first") {
		t.Errorf("got %v", err)
	}
}
