package layout

import "testing"

// A sensor's own name holds a dot, yet a path leads to what stands under it; a new name of its entry is followed.
func TestValuesBySensor(t *testing.T) {
	const text = "echowright: 1\nsensors: [{name: eye, kind: near-wide, at: {from: front}, pair: mirror, height: 200 mm}]\nwishes: {refresh: {eye.left: 60 ms, ear: 240 ms}} # often\n"
	for _, c := range []struct {
		edit Edit
		want string
	}{
		{Edit{Do: Set, Path: "wishes.refresh.eye.left", Text: "80 ms"}, "{eye.left: 80 ms, ear: 240 ms}"},
		{Edit{Do: Set, Path: "wishes.refresh.ear", Text: "80 ms"}, "{eye.left: 60 ms, ear: 80 ms}"},
		{Edit{Do: Set, Path: "wishes.refresh.eye.right", Text: "80 ms"}, "{eye.left: 60 ms, ear: 240 ms, eye.right: 80 ms}"},
		{Edit{Do: Add, Path: "wishes.refresh", Text: "eye.right: 80 ms"}, "{eye.left: 60 ms, ear: 240 ms, eye.right: 80 ms}"},
		{Edit{Do: Remove, Path: "wishes.refresh.eye.left"}, "{ear: 240 ms}"},
		{Edit{Do: Rename, Path: "sensors.eye", Text: "bow"}, "{bow.left: 60 ms, ear: 240 ms}"},
	} {
		doc, list := Draft("a.yaml", []byte(text))
		if doc == nil {
			t.Fatal(list)
		}
		changed, _, err := doc.Change(c.edit)
		if err != nil {
			t.Errorf("%+v: %v", c.edit, err)
			continue
		}
		if got, _ := changed.Text("wishes.refresh"); got != c.want {
			t.Errorf("%+v:\n%s\nwant %s", c.edit, got, c.want)
		}
	}
	doc, _ := Draft("a.yaml", []byte(text))
	if e, ok := doc.Root().Get("wishes.refresh.eye.left"); !ok || e.Num() != 0.06 || e.Path() != "wishes.refresh.eye.left" || e.Key() != "eye.left" {
		t.Errorf("%v %v %q %q", ok, e.Num(), e.Path(), e.Key())
	}
}
