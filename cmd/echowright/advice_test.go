package main

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner"
	"echowright/planner/plan"
)

// planned loads and plans a layout.
func planned(t *testing.T, text string, o planner.Options) *plan.Plan {
	t.Helper()
	sc, list := planner.Load("layout", []byte(text), assets.Kinds())
	if sc == nil {
		t.Fatal(list)
	}
	p, err := planner.Analyse(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var (
	farther = regexp.MustCompile(`let (\S+) listen (?:to|farther than) `)
	shorter = regexp.MustCompile(`(?:listen-to: \S+ m for (\S+) \(now|shorter listening distance for (\S+)|hears less far in place of (\S+)|narrower beam .*in place of (\S+))`)
	shortly = regexp.MustCompile(`: cycle [0-9.]+ ms`)
)

// Samples with a cycle far over its budget, driven faster and listening shorter or longer than is good for them: what would
// shorten the cycle is told in one finding, and no finding asks of a sensor what another asks the opposite of.
func TestAdviceDoesNotContradictItself(t *testing.T) {
	sample := func(name string, change ...string) string {
		text, err := layouts.FS.ReadFile(name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		changed := strings.NewReplacer(change...).Replace(string(text))
		for i := 0; i < len(change); i += 2 {
			if !strings.Contains(string(text), change[i]) {
				t.Fatalf("%s has no %q", name, change[i])
			}
		}
		return changed
	}
	for name, c := range map[string]struct {
		text string
		want string // in the remedy of the cycle
	}{
		"window cut short, late sound": {sample("first-rover", "cycle: 200 ms", "cycle: 30 ms", "kind: open-pair-5v", "kind: near-wide, listen-to: 0.4 m", "speed: 0.2", "speed: 0.9"), "walls no farther off than 4 m"},
		"window that cannot be set":    {sample("first-rover", "cycle: 200 ms", "cycle: 60 ms", "heading: 0 deg", "listen-to: 0.4 m, heading: 0 deg"), "whose window can be set"},
		"too fast as well":             {sample("shelf-cart", "cycle: 250 ms", "cycle: 120 ms", "speed: 0.7", "speed: 1.3"), "whose line is free sooner"},
		"windows short, late sound":    {sample("shelf-cart", "cycle: 250 ms", "cycle: 120 ms", "heading: 0 deg", "listen-to: 0.3 m, heading: 0 deg"), "a carrier for"},
		"longer window than is needed": {sample("first-rover", "cycle: 200 ms", "cycle: 30 ms", "walls: 0.3..4 m", "walls: 0.3..0.4 m",
			"kind: open-pair-5v", "kind: open, listen-to: 6 m", "sensors:", "kinds:\n  open: {like: near-wide, timing: {by: controller, trigger-to-burst: 10..50 us, burst: 6 cycles, busy-without-echo: 1 ms, power-up: 20 ms, window-settable: true, source: estimate}}\nsensors:"), "listen-to: "},
	} {
		p := planned(t, c.text, planner.Options{})
		longer, less, homes, cycle := map[string]string{}, map[string]string{}, 0, ""
		for _, f := range p.Findings {
			for _, m := range farther.FindAllStringSubmatch(f.Mend, -1) {
				longer[m[1]] = f.Mend
			}
			for _, m := range shorter.FindAllStringSubmatch(f.Mend, -1) {
				less[strings.TrimRight(m[1]+m[2]+m[3]+m[4], ",;")] = f.Mend
			}
			if shortly.MatchString(f.Mend) {
				homes++
			}
			if f.Code == "cycle-over-budget" {
				cycle = f.Mend
			} else if shortly.MatchString(f.Mend) {
				t.Errorf("%s: %s has ways out of the cycle: %s", name, f.Code, f.Mend)
			}
		}
		if cycle == "" || homes > 1 || !strings.Contains(cycle, c.want) {
			t.Errorf("%s: %d homes, cycle: %s", name, homes, cycle)
		}
		for sensor, mend := range less {
			if other := longer[sensor]; other != "" {
				t.Errorf("%s: %q against %q", name, mend, other)
			}
		}
	}
}

// Windows longer than anything asks for: what the way out says the cycle becomes is the cycle of the layout it was taken into.
func TestShorterWindowsGiveTheCycleSaid(t *testing.T) {
	text, err := layouts.FS.ReadFile("first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	long := strings.NewReplacer("cycle: 200 ms", "cycle: 45 ms", "count: 3", "pair: mirror", "spread: -56..56 mm", "left: 50 mm", "kind: open-pair-5v", "kind: open, listen-to: 6 m",
		"sensors:", "kinds:\n  open: {like: near-wide, timing: {by: controller, trigger-to-burst: 10..50 us, burst: 6 cycles, busy-without-echo: 9 ms, power-up: 20 ms, window-settable: true, source: estimate}}\nsensors:").Replace(string(text))
	var over plan.Finding
	for _, f := range planned(t, long, planner.Options{}).Findings {
		if f.Code == "cycle-over-budget" {
			over = f
		}
	}
	if len(over.Try) != 2 || over.Try[0].ListenM != over.Try[1].ListenM || over.Try[0].ListenM <= 0 {
		t.Fatalf("%+v", over)
	}
	taken := strings.Replace(long, "listen-to: 6 m", fmt.Sprintf("listen-to: %g m", over.Try[0].ListenM), 1)
	s := planned(t, taken, planner.Options{}).Schedule
	if said := "cycle " + plan.Milliseconds(int64(s.RealisedCycleUs)) + ", within"; !strings.Contains(over.Mend, said) || !s.Met {
		t.Errorf("the cycle is %g us, met %t; said was %s", s.RealisedCycleUs, s.Met, over.Mend)
	}
}
