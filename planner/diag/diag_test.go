package diag

import (
	"strings"
	"testing"
)

func TestString(t *testing.T) {
	for _, c := range []struct {
		d    Diag
		want string
	}{
		{Diag{File: "a.yaml", Line: 3, Col: 5, Wrong: "no unit", Right: "add one"}, "a.yaml:3:5: no unit; add one"},
		{Diag{File: "a.yaml", Wrong: "too large"}, "a.yaml: too large"},
		{Diag{Line: 1, Col: 2, Wrong: "x"}, "1:2: x"},
		{Diag{Wrong: "x"}, "x"},
	} {
		if got := c.d.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestSort(t *testing.T) {
	l := List{{File: "a", Line: 2, Col: 1, Wrong: "b"}, {File: "a", Line: 1, Col: 9, Wrong: "z"}, {File: "a", Line: 2, Col: 1, Wrong: "b"}, {File: "a", Line: 2, Col: 1, Wrong: "a"}}
	if got := l.Sort().String(); got != "a:1:9: z\na:2:1: a\na:2:1: b" {
		t.Errorf("got %s", got)
	}
	if (List{}).HasErrors() || !(List{{}}).HasErrors() {
		t.Error("HasErrors")
	}
}

func TestNearest(t *testing.T) {
	keys := []string{"name", "kind", "at", "heading", "height", "tilt", "pair-axis", "listen-to", "only-in"}
	for word, want := range map[string]string{
		"heigth": "height", "hight": "height", "haeding": "heading", "Name": "name", "pair_axis": "pair-axis", "listento": "listen-to",
		"onlyin": "only-in", "titl": "tilt", "wheels": "", "": "", "xy": "", "knd": "kind",
	} {
		if got := Nearest(word, keys); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

// The distance is symmetric, zero only for equal words, and at most one for one slip.
func FuzzEdits(f *testing.F) {
	f.Add("height", "heigth")
	f.Add("", "a")
	f.Fuzz(func(t *testing.T, a, b string) {
		if len(a) > 60 || len(b) > 60 {
			return
		}
		x, y := []rune(a), []rune(b)
		d := edits(x, y)
		if d != edits(y, x) || (d == 0) != (string(x) == string(y)) || d > max(len(x), len(y)) {
			t.Fatalf("edits(%q, %q) = %d", a, b, d)
		}
	})
}

func TestQuoteIsOneShortLine(t *testing.T) {
	for _, s := range []string{"a\nb", strings.Repeat("x", 500), "\x1b[31m", "\u202e"} {
		q := Quote(s)
		if len(q) > 4*longestQuote || strings.ContainsAny(q, "\n\x1b\u202e") {
			t.Errorf("Quote(%q) = %s", s, q)
		}
	}
	if Join([]string{"a", "b", "c"}) != "a, b or c" || Join([]string{"a"}) != "a" || Join(nil) != "" {
		t.Error("Join")
	}
}
