package editor_test

import (
	"strings"
	"testing"
)

// Delays against ghosts are chosen, told more of, refused where they cannot be, and cleared, all in the sheet of the machine; the reason for the cycle
// says what they cost.
func TestDelaysInTheSheet(t *testing.T) {
	d := opened(t, "plank-trailer")
	before := d.Text()
	const way, movers, span, seed = "set:wishes.delays.way", "set:wishes.delays.movers", "set:wishes.delays.span", "set:wishes.delays.seed"
	if it := d.item(way); it.Label != "Delays" || it.Value != "no" || d.has(movers) || d.has(span) || d.has(seed) {
		t.Fatalf("without delays: %+v", it)
	}
	d.choice(way, "dith")
	if !strings.Contains(d.Text(), "dithered") || !d.has(movers) || !d.has(span) || !d.has(seed) {
		t.Fatalf("dithered: %s", d.Text())
	}
	d.set(span, "20 s")
	if d.item(span).Wrong == "" || strings.Contains(d.Text(), "20 s") {
		t.Error("a span that is too long is taken")
	}
	d.key("Escape")
	d.set(span, "12 ms")
	d.set(seed, "0")
	if d.item(seed).Wrong == "" {
		t.Error("a seed of 0 is taken")
	}
	d.key("Escape")
	d.set(movers, "0.4 m/s")
	if !strings.Contains(d.Text(), "12 ms") || !strings.Contains(d.Text(), "movers: 0.4 m/s") {
		t.Errorf("not written:\n%s", d.Text())
	}
	d.choice(way, "alt")
	if text := d.Text(); !strings.Contains(text, "alternating") || strings.Contains(text, "span") || strings.Contains(text, "seed") || d.has(span) {
		t.Errorf("alternating: %q, %s", d.item(way).Wrong, text)
	}
	d.clickOn("plate:cycle")
	if why := d.item("why").Text; !strings.Contains(why, "two readings that agree take up to") || !strings.Contains(why, "without them the cycle takes") {
		t.Errorf("the reason for the cycle: %q", why)
	}
	d.choice(way, "no")
	if d.Text() != before {
		gone, come := diff(before, d.Text())
		t.Errorf("cleared, gone %q, come %q", gone, come)
	}
}

// How often sensors fire is set and cleared in the sheet of the machine once one of them has a limit; the plate of the cycle says how many are kept.
func TestRefreshInTheSheetOfTheMachine(t *testing.T) {
	d := opened(t, "linen-tug")
	d.set("set:wishes.refresh.side", "240 ms")
	if !strings.Contains(d.Text(), "side: 240 ms") {
		t.Errorf("not set:\n%s", d.Text())
	}
	if note := d.item("plate:cycle").Note; note != "" && !strings.Contains(note, "of") {
		t.Errorf("the plate says %q", note)
	}
	d.set("set:wishes.refresh.side", "")
	if d.Text() != string(sample(t, "linen-tug")) {
		t.Errorf("not cleared:\n%s", d.Text())
	}
	d.set("set:wishes.refresh.bow", "")
	d.set("set:wishes.refresh.bow-corner", "")
	if strings.Contains(d.Text(), "refresh") {
		t.Errorf("not cleared:\n%s", d.Text())
	}
	for _, it := range d.Items() {
		if strings.HasPrefix(it.ID, "set:wishes.refresh") {
			t.Errorf("asked though nobody says it: %s", it.ID)
		}
	}
}
