package editor_test

import (
	"strings"
	"testing"
)

// How often a sensor fires is typed at the sensor, and goes with its entry.
func TestRefreshOfASensor(t *testing.T) {
	d := opened(t, "linen-tug")
	choose := func(name string) {
		at, _ := d.Sensor(name)
		d.click(d.Where(at))
		if got := d.Chosen(); len(got) != 1 || got[0] != name {
			t.Fatalf("a click at %s chose %v", name, got)
		}
	}
	says := func(text string, is bool) {
		t.Helper()
		if strings.Contains(d.Text(), text) != is {
			t.Errorf("%q there: %v\n%s", text, !is, d.Text())
		}
	}
	choose("bow.1")
	const row = "set:wishes.refresh.bow"
	if got := d.item(row).Value; got != "82 ms" {
		t.Fatalf("the sensor says %q", got)
	}
	d.set(row, "3 s s")
	if d.item(row).Wrong == "" {
		t.Error("what is no time is taken")
	}
	d.key("Escape")
	d.set(row, "90 ms")
	says("refresh: {bow: 90 ms, bow-corner: 240 ms}", true)
	d.set(row, "")
	says("refresh: {bow-corner: 240 ms}", true)
	choose("bow-corner.left")
	d.key("Delete")
	says("refresh", false)
	says("name: bow-corner", false)
	choose("side.left")
	d.set("set:wishes.refresh.side", "200 ms")
	says("refresh: {side: 200 ms}", true)
	for range 4 {
		d.key("Ctrl+Z")
	}
	if d.Text() != string(sample(t, "linen-tug")) {
		t.Errorf("undone, it is not what it was:\n%s", d.Text())
	}
}
