package layout

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// sameTree reports whether two trees say the same at the same places. Comments are not compared: nothing reads them.
func sameTree(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Style != b.Style || a.Tag != b.Tag || a.Value != b.Value || a.Anchor != b.Anchor || a.Line != b.Line ||
		a.Column != b.Column || len(a.Content) != len(b.Content) || (a.Alias == nil) != (b.Alias == nil) {
		return false
	}
	for i := range a.Content {
		if !sameTree(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return a.Alias == nil || sameTree(a.Alias, b.Alias)
}

// Whatever is put into items of lists, in whatever form they are written, the document that comes of it is the one that
// reading its text from the beginning gives.
func TestChangedItemsReadAsTheWhole(t *testing.T) {
	texts := []string{
		changeText,
		strings.ReplaceAll(changeText, "\n", "\r\n"),
		"\ufeff" + changeText,
		strings.Replace(changeText, "- {name: ear,", "- &an {name: ear,", 1),
		strings.Replace(changeText, "at: {place: [0.4 m, -50 mm]}", "at: &here {place: [0.4 m, -50 mm]}", 1) + "  also: *here\n",
		strings.Replace(changeText, "  - name: eye", "  -\n    name: eye", 1),
		strings.Replace(changeText, "sensors:   #", "sensors: &all   #", 1),
		"? echowright\n: 1\nsensors:\n- name: a\n  title: >+\n    long\n\n- - b\n- c: |\n    x\n? zones\n: - {name: z, target: leg}\n",
	}
	files, err := filepath.Glob("../../layouts/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(data))
	}
	values := []string{
		"1 m", "12.5 deg", "{from: front, left: 100 mm}", "[1 m, -20 mm]", "{a: 1} # said", "{from: front", "[1 m,", "]", "\"open", "'open", "'a'",
		"| x", "> x", "a # b", "a: b", "- a", "? a", "&x 1 m", "*x", "!!int 3", "[&x 1, *x]", "", "~", "ä µ", "---", "...", "%YAML 1.2", "{a: [b, {c: d}]}", "{? a}",
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	short, all := 0, 0
	for _, text := range texts {
		d, bad := Draft("a.yaml", []byte(text))
		if d == nil {
			t.Fatalf("no document: %s\n%v", text, bad)
		}
		var paths []string
		for _, top := range []string{"sensors", "zones", "body", "wires", "name", "targets"} {
			if at, rest := spotAt(d.top, d.spec, top); len(rest) == 0 {
				paths = append(paths, pathsBelow(at, top)...)
			}
		}
		for range 150 {
			var edits []Edit
			for range 1 + rnd.IntN(3) {
				ed := Edit{Do: Set, Path: paths[rnd.IntN(len(paths))], Text: values[rnd.IntN(len(values))]}
				switch rnd.IntN(8) {
				case 0:
					ed.Path += ".heading"
				case 1:
					ed = Edit{Do: Remove, Path: ed.Path}
				}
				edits = append(edits, ed)
			}
			got, list, err := d.Change(edits...)
			if err != nil {
				continue
			}
			if all++; got.top.Content[0] == d.top.Content[0] {
				short++
			}
			want, wantList := Draft("a.yaml", got.Bytes())
			if want == nil || !sameTree(got.top, want.top) || !reflect.DeepEqual(list, wantList) || !reflect.DeepEqual(got.Gaps(), want.Gaps()) ||
				got.bad != want.bad || !reflect.DeepEqual(got.text, want.text) {
				t.Fatalf("%+v gave another document than its text:\n%s\n%v\n%v", edits, got.Bytes(), list, wantList)
			}
		}
	}
	t.Logf("%d of %d changes were read short", short, all)
	if short < all/5 || short == all {
		t.Errorf("%d of %d changes were read short", short, all)
	}
}

// pathsBelow are the paths of all values at or below a place.
func pathsBelow(p *spot, path string) []string {
	paths := []string{path}
	y := p.in()
	for n := range size(y) {
		k := p.kid(n)
		step := nameOf(k.y)
		if k.key != nil {
			step = k.key.Value
		}
		if step != "" && !strings.Contains(step, ".") {
			paths = append(paths, pathsBelow(k, path+"."+step)...)
		}
	}
	return paths
}
