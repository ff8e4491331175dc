package resolve

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"echowright/planner/diag"
	"echowright/planner/layout"
)

// FuzzScene: whatever can be read at all either resolves or is refused with places; nothing panics, and a
// scene that comes out holds no place or heading that is not a number.
func FuzzScene(f *testing.F) {
	for _, text := range demos(f) {
		f.Add([]byte(text))
	}
	f.Add([]byte(base))
	f.Add([]byte(wired + everyWire))
	kinds := builtin(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		checkOutcome(t, data, kinds)
	})
}

// checkOutcome reads and resolves a text, checks what comes out, and reports whether a scene did.
func checkOutcome(t *testing.T, data []byte, kinds *layout.Document) bool {
	t.Helper()
	sc, all, _ := faults(t, "mutant.yaml", data, kinds)
	checkPlaces(t, data, all)
	if sc == nil {
		return false
	}
	for _, s := range sc.Sensors {
		if s.At.X != s.At.X || s.At.Y != s.At.Y || s.Heading != s.Heading || s.Kind < 0 || s.Kind >= len(sc.Kinds) {
			t.Fatalf("sensor %+v", s)
		}
	}
	for _, z := range sc.Zones {
		if len(z.Rings) == 0 || z.Target < 0 || z.Target >= len(sc.Targets) {
			t.Fatalf("zone %+v", z)
		}
	}
	return true
}

// checkPlaces holds every message to a place in the text, a remedy, one line, and being said once.
func checkPlaces(t *testing.T, data []byte, list diag.List) {
	t.Helper()
	lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) + 1
	for i, d := range list {
		if d.Line < 1 || d.Line > lines || d.Col < 1 || d.Wrong == "" || d.Right == "" || strings.ContainsAny(d.String(), "\n\r\x1b\x00") {
			t.Fatalf("message without place or remedy, or not one line: %+v", d)
		}
		if i > 0 && d == list[i-1] {
			t.Fatalf("said twice: %v", d)
		}
	}
}

// Bytes of the samples lost, doubled, swapped or overwritten, with a fixed seed: no panic, and places in the file.
func TestDamagedSamples(t *testing.T) {
	kinds := builtin(t)
	texts := demos(t)
	texts["base"], texts["wired"] = base, wired+everyWire
	rnd := rand.New(rand.NewPCG(3, 1))
	const marks = "[]{},:-#'\"&*!|>%@ \n0.9mnaxé"
	refused := 0
	for _, name := range sortedKeys(texts) {
		for range 120 {
			data := []byte(texts[name])
			for range 1 + rnd.IntN(3) {
				i, j := rnd.IntN(len(data)), rnd.IntN(len(data))
				switch rnd.IntN(5) {
				case 0:
					data = slices.Delete(data, i, i+1)
				case 1:
					data[i] = marks[rnd.IntN(len(marks))]
				case 2:
					data[i], data[j] = data[j], data[i]
				case 3: // a stretch moved elsewhere
					data = slices.Insert(data, j, bytes.Clone(data[i:min(i+rnd.IntN(40), len(data))])...)
				case 4:
					data = slices.Delete(data, i, min(i+rnd.IntN(20), len(data)))
				}
			}
			if !checkOutcome(t, data, kinds) {
				refused++
			}
		}
	}
	if refused < 200 {
		t.Errorf("only %d refused: too tame", refused)
	}
}

// Numbers, signs, units and names of the demos changed one or two at a time: deterministic, so that every
// run of the tests covers it.
func TestMutatedDemos(t *testing.T) {
	kinds := builtin(t)
	texts := demos(t)
	texts["base"] = base
	swaps := [][2]string{
		{"0.", "9."}, {"mm", "m"}, {" m,", " mm,"}, {"front", "rear"}, {"left", "right"}, {"forward", "backward"}, {"outward", "inward"},
		{"-", ""}, {"[", "[-"}, {"mirror", "mirror, heading: 90 deg outward"}, {"height: ", "height: -"}, {"post", "wall"}, {"slipper", "sleeper"},
		{"deg", "mrad"}, {"sealed", "seald"}, {"near-wide", "open-pair-3v3"}, {"all", "left"}, {"1", "7"}, {"2", "0"}, {"polygon", "path"},
		{"ramp", "romp"}, {"5", "55"}, {"rectangle: [", "rectangle: [1"}, {"corner: 1", "corner: 9"}, {"from: left", "arc: 1 m, from: left"},
	}
	tried, whole := 0, 0
	for _, name := range sortedKeys(texts) {
		for _, s := range swaps {
			for n := range occurrences(texts[name], s[0]) {
				tried++
				if checkOutcome(t, []byte(replaceNth(texts[name], s[0], s[1], n)), kinds) {
					whole++
				}
			}
		}
	}
	if whole < 300 || tried-whole < 300 {
		t.Errorf("%d mutants, %d of them resolved: too tame or too wild", tried, whole)
	}
}
