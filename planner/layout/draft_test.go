package layout

import (
	"strings"
	"testing"
)

// A draft keeps what could be read and says of the rest that it cannot be relied on.
func TestDraft(t *testing.T) {
	text := string(readFile(t, "testdata/good/base.yaml"))
	for _, c := range [][2]string{
		{"corner: 100 mm", "corner: 100"},
		{"circle: 40 mm", "circel: 40 mm"},
		{"my-can: {", "bad.name: {like: my-can}\n  other: 5\n  my-can: {"},
		{"sensors:\n", "sensors:\n  - eye\n"},
		{"heading: 0 deg, height: 200 mm", "colour: red, cable: 4 m, height: 200 mm"},
		{"diameter: 75 mm,", "diameter: 75 mm, diameter: 76 mm,"},
		{"{style: slots}", "[slots]"},
	} {
		text = strings.Replace(text, c[0], c[1], 1)
	}
	doc, list := Draft("a.yaml", []byte(text))
	if doc == nil || doc.Whole() || len(list) != 9 {
		t.Fatalf("document %v with\n%v", doc != nil, list)
	}
	root := doc.Root()
	at := func(path string) Entry { e, _ := root.Get(path); return e }
	sensors, parts := at("sensors"), at("body.parts")
	eye, mast := sensors.List()[0], parts.List()[0]
	for _, c := range []struct {
		what      string
		got, want bool
	}{
		{"the air is sound", at("air").Faulty(), false},
		{"the outline is not", at("body.outline").Faulty(), true},
		{"its corner is not", at("body.outline").Faulty("corner"), true},
		{"its rectangle is", at("body.outline").Faulty("rectangle", "centre", "height"), false},
		{"no default stands for a refused value", at("body.outline").Value("corner").Exists(), false},
		{"a misspelt key is the one meant", mast.Faulty("circle"), true},
		{"and leaves the others", mast.Faulty("name", "centre", "height"), false},
		{"a name given a wrong value", at("kinds").Faulty("other"), true},
		{"a good name beside it", at("kinds").Faulty("my-can"), false},
		{"a name that cannot be read", at("kinds").Short(), true},
		{"an item that cannot be read", sensors.Short(), true},
		{"a list all read", parts.Short(), false},
		{"what waits for later spoils nothing", eye.Faulty(), false},
		{"unless asked for", eye.Faulty("cable"), true},
		{"a value given twice", at("targets.post-75").Faulty("diameter"), true},
		{"a group lost", root.Faulty("wishes"), true},
		{"the file as a whole", root.Faulty(), true},
	} {
		if c.got != c.want {
			t.Errorf("%s: %v", c.what, c.got)
		}
	}
	if doc, list := Draft("a.yaml", []byte("a: [b")); doc != nil || len(list) != 1 {
		t.Errorf("a draft of what is no YAML: %v", list)
	}
}
