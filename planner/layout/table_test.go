package layout

import (
	"strings"
	"testing"
)

// Every good example of the table is accepted in an otherwise good layout.
func TestGoodExamplesAreAccepted(t *testing.T) {
	for _, r := range Table() {
		if r.isLater() {
			continue
		}
		if r.Good == "" || r.Doc == "" {
			t.Errorf("%s: no example or no sentence", r.Path)
			continue
		}
		ex := layoutWith(t, r, r.Good)
		if _, list := Parse("good.yaml", ex.text); len(list) > 0 {
			t.Errorf("%s: %s refused:\n%v\n%s", r.Path, r.Good, list, ex.text)
		}
	}
}

// Every bad example is refused, and at its own place.
func TestBadExamplesAreRefusedInPlace(t *testing.T) {
	for _, r := range Table() {
		if r.Bad == "" {
			t.Errorf("%s: no bad example", r.Path)
			continue
		}
		ex := layoutWith(t, r, r.Bad)
		doc, list := Parse("bad.yaml", ex.text)
		if doc != nil || len(list) == 0 {
			t.Errorf("%s: %s accepted", r.Path, r.Bad)
		}
		for _, d := range list {
			if d.Line < ex.from || d.Line > ex.to {
				t.Errorf("%s: %s: %v is not within lines %d to %d\n%s", r.Path, r.Bad, d, ex.from, ex.to, ex.text)
			}
			if d.Wrong == "" || d.Right == "" {
				t.Errorf("%s: %v says too little", r.Path, d)
			}
		}
		if r.isLater() && !strings.Contains(list[0].Wrong, "known, but") {
			t.Errorf("%s: %v does not say that it is known", r.Path, list[0])
		}
	}
}

// Both examples of a statement about the whole file are as it says.
func TestStatements(t *testing.T) {
	base := string(readFile(t, "testdata/good/base.yaml"))
	for _, s := range statements {
		if doc, list := Parse("good.yaml", []byte(replaceTop(base, s.good))); doc == nil {
			t.Errorf("%s\ngood %s refused:\n%v", s.text, s.good, list)
		}
		doc, list := Parse("bad.yaml", []byte(replaceTop(base, s.bad)))
		if doc != nil {
			t.Errorf("%s\nbad %s accepted", s.text, s.bad)
		}
		for _, d := range list {
			if text := replaceTop(base, s.bad); d.Line < strings.Count(strings.TrimSuffix(text, s.bad+"\n"), "\n")+1 {
				t.Errorf("%s\nbad %s: %v is elsewhere", s.text, s.bad, d)
			}
		}
	}
}

// replaceTop takes the key of a fragment out of a layout and writes the fragment at its end.
func replaceTop(base, fragment string) string {
	key, _, _ := strings.Cut(fragment, ":")
	var out []string
	skipping := false
	for _, line := range strings.SplitAfter(base, "\n") {
		if !strings.HasPrefix(line, " ") {
			skipping = strings.HasPrefix(line, key+":")
		}
		if !skipping {
			out = append(out, line)
		}
	}
	return strings.Join(out, "") + fragment + "\n"
}

// Every default of the table is a value the table accepts, and reads as one made from it.
func TestDefaultsAreAccepted(t *testing.T) {
	var walk func(s *spec)
	walk = func(s *spec) {
		n := &node{spec: s, doc: &Document{file: "x", spec: layoutSpec}, line: 3, col: 5}
		for _, key := range s.order {
			e := Entry{n}.Value(key)
			if e.Exists() != (s.kids[key].Default != "") {
				t.Errorf("%s: default %q", s.kids[key].Path, s.kids[key].Default)
			}
			if e.Exists() && (!e.Assumed() || e.Line() != 3 || e.Col() != 5) {
				t.Errorf("%s: default does not say that it is assumed", s.kids[key].Path)
			}
			walk(s.kids[key])
		}
		if s.item != nil {
			walk(s.item)
		}
	}
	walk(layoutSpec)
}
