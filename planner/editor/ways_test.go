package editor_test

import (
	"strings"
	"testing"

	"echowright/planner/editor"
)

// A cycle too long in slots: the finding offers the style that keeps it; taken it is met as the command line has it, before and after
// are shown, and one undo takes it back.
func TestAnotherStyleIsAWayOut(t *testing.T) {
	d := deskWith(t, &atOnce{advise: true})
	text := strings.Replace(string(sample(t, "shelf-cart")), "cycle: 250 ms", "cycle: 160 ms", 1)
	d.Load("cart.yaml", []byte(text))
	d.Frame()
	if notMet(byCommand(t, text)) == 0 || !d.Try() {
		t.Fatal("no way out of a cycle too long")
	}
	d.Frame()
	if _, come := diff(text, d.Text()); len(come) != 1 || !strings.Contains(come[0], "style: staggered") {
		t.Fatalf("came: %q", come)
	}
	if n := notMet(byCommand(t, d.Text())); n != 0 {
		t.Errorf("%d demands unmet after", n)
	}
	if at, ok := d.Item("tried"); !ok || at.H == 0 {
		t.Error("before and after are not shown")
	}
	d.key("Ctrl+Z")
	if d.Text() != text {
		t.Error("one undo does not take it back")
	}
}

// Four readings at once show what they bring.
func TestFourAtOnceShowsWhatItBrings(t *testing.T) {
	d := opened(t, "plank-trailer")
	d.run("four at once")
	if at, ok := d.Item("tried"); !ok || at.H == 0 {
		t.Error("before and after are not shown")
	}
	if !strings.Contains(d.Text(), "at-once: 4") {
		t.Error("not read four at once")
	}
}

// A place off the machine is refused where it is typed, as nonsense is, and nothing is changed.
func TestAPlaceOffTheMachineIsRefusedInItsField(t *testing.T) {
	d := opened(t, "hall-sweeper")
	before := d.Text()
	s, ok := d.Sensor("shoulder.left")
	if !ok {
		t.Fatal("no such sensor")
	}
	d.click(d.Where(s))
	d.set("Forward", "9000 mm")
	if why := d.Wrong("sensors.shoulder.at.forward"); !strings.Contains(why, "the left side reaches") || d.Text() != before {
		t.Errorf("said %q, changed %v", why, d.Text() != before)
	}
	if len(d.Chosen()) != 1 {
		t.Errorf("chosen: %v", d.Chosen())
	}
}

// What a fault leaves out of the plan is not called met, and not taken away.
func TestFaultsAreNotPlannedOver(t *testing.T) {
	d := newDesk(t)
	d.Load("cart.yaml", []byte(strings.Replace(string(sample(t, "hall-sweeper")), "forward: ", "forward: 9", 1)))
	d.Frame()
	for _, v := range d.Verdicts() {
		if at, ok := d.Item("plate:" + v.ID); !ok || at.H == 0 {
			t.Fatalf("no plate %s", v.ID)
		}
	}
	d.Wishes()
	d.key("Ctrl+E")
	for _, w := range d.Wishes() {
		if w.Kind == editor.TakeAway {
			t.Error("a plan without the faulty sensor was taken away")
		}
	}
	if !strings.Contains(d.Said(), "mend them first") {
		t.Errorf("said %q", d.Said())
	}
}
