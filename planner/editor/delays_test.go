package editor_test

import (
	"strings"
	"testing"
)

// The wish for delays is made in the sheet of the machine, and the plate of the cycle then tells of them.
func TestDelaysAreWishedInTheSheet(t *testing.T) {
	d := opened(t, "first-rover")
	if d.has("set:wishes.delays.span") {
		t.Error("a span is asked for before the way is")
	}
	d.choice("set:wishes.delays.way", "dithered")
	if !strings.Contains(d.Text(), "delays: {way: dithered}") || !d.has("set:wishes.delays.span") || !d.has("set:wishes.delays.seed") {
		t.Errorf("not wished:\n%s", d.Text())
	}
	d.choice("set:wishes.delays.way", "alternating")
	d.set("set:wishes.delays.movers", "1 m/s")
	d.Frame()
	if !strings.Contains(d.Text(), "delays: {way: alternating, movers: 1 m/s}") {
		t.Errorf("not wished:\n%s", d.Text())
	}
	d.clickOn("plate:cycle")
	var all []string
	for _, it := range d.Items() {
		all = append(all, it.Label, it.Value, it.Text, it.Note, it.Hint)
	}
	for _, want := range []string{"So far without delays", "3 different delays"} {
		if !strings.Contains(strings.Join(all, "\n"), want) {
			t.Errorf("%q is not told:\n%s", want, strings.Join(all, "\n"))
		}
	}
}
