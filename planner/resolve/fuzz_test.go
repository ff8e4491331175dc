package resolve

import (
	"testing"

	"echowright/planner/layout"
)

// FuzzScene: whatever parses either resolves or is refused with places; nothing panics, and a scene that
// comes out holds no place or heading that is not a number.
func FuzzScene(f *testing.F) {
	for _, text := range demos(f) {
		f.Add([]byte(text))
	}
	f.Add([]byte(base))
	kinds := builtin(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		doc, _ := layout.Parse("fuzz.yaml", data)
		if doc == nil {
			return
		}
		checkOutcome(t, doc, kinds)
	})
}

// checkOutcome resolves, checks what comes out, and reports whether a scene did.
func checkOutcome(t *testing.T, doc, kinds *layout.Document) bool {
	t.Helper()
	sc, list := Scene(doc, kinds)
	if (sc == nil) != list.HasErrors() {
		t.Fatalf("scene %v beside %v", sc != nil, list)
	}
	for _, d := range list {
		if d.Line < 1 || d.Col < 1 || d.Wrong == "" || d.Right == "" {
			t.Fatalf("message without place or remedy: %+v", d)
		}
	}
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
	parsed, whole := 0, 0
	for _, name := range sortedKeys(texts) {
		for _, s := range swaps {
			for n := range occurrences(texts[name], s[0]) {
				data := replaceNth(texts[name], s[0], s[1], n)
				doc, _ := layout.Parse("mutant.yaml", []byte(data))
				if doc == nil {
					continue
				}
				parsed++
				if checkOutcome(t, doc, kinds) {
					whole++
				}
			}
		}
	}
	if parsed < 300 || whole == parsed {
		t.Errorf("%d mutants parsed, %d of them resolved: too tame", parsed, whole)
	}
	t.Logf("%d mutants parsed, %d resolved", parsed, whole)
}
