package planner

import (
	"fmt"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner/layout"
)

// Begin tells what is missing from what is wrong, and lists faults as Load does.
func TestBegin(t *testing.T) {
	const body = "echowright: 1\nbody: {outline: {rectangle: [1 m, 0.6 m], height: 0..1 m}}\n"
	for _, c := range []struct {
		text, missing, faults string
		drawn                 bool
	}{
		{"", "", "a.yaml:1:1: the file holds no layout; a layout begins with echowright: 1", false},
		{"echowright: 1\n", "no body yet, no sensor yet, no zone yet", "", false},
		{body, "no sensor yet, no zone yet", "", true},
		{body + "zones: []\nsensors:\n  - {name: eye, kind: near-wide, at: {from: front}, height: 200}\n", "no zone yet", "a.yaml:5:61: height: bare number 200 where a length is due; add a unit: m, mm, cm, um or km", true},
	} {
		sc, missing, list := Begin("a.yaml", []byte(c.text), assets.Kinds())
		if (sc != nil) != c.drawn || strings.Join(missing, ", ") != c.missing || list.String() != c.faults {
			t.Errorf("%s: %v, missing %q, %v", c.text, sc != nil, missing, list)
		}
	}
}

// A layout that Load takes begins as the very same scene.
func TestBeginIsLoad(t *testing.T) {
	for _, name := range []string{"first-rover.yaml", "hall-sweeper.yaml", "linen-tug.yaml", "plank-trailer.yaml", "shelf-cart.yaml"} {
		data, err := layouts.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := Load(name, data, assets.Kinds())
		got, missing, list := Begin(name, data, assets.Kinds())
		got.Motion, want.Motion = nil, nil // printed by their address
		if len(missing)+len(list) > 0 || fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) {
			t.Errorf("%s: %v %v", name, missing, list)
		}
	}
}

func BenchmarkBegin(b *testing.B) {
	data, err := layouts.FS.ReadFile("shelf-cart.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if sc, _, _ := Begin("a", data, assets.Kinds()); sc == nil {
			b.Fatal("no scene")
		}
	}
}

// What an editor does after each change: the document is read already, the built-in kinds too.
func BenchmarkBeginDocument(b *testing.B) {
	data, err := layouts.FS.ReadFile("shelf-cart.yaml")
	if err != nil {
		b.Fatal(err)
	}
	doc, _ := layout.Draft("a", data)
	builtIn, _ := layout.ParseKinds("built-in kinds", assets.Kinds())
	for b.Loop() {
		if sc, _, _ := BeginDocument(doc, builtIn); sc == nil {
			b.Fatal("no scene")
		}
	}
}
