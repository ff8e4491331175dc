package main

import (
	"math"
	"strings"
	"testing"

	"echowright/planner"
	"echowright/planner/quantity"
	"echowright/planner/resolve"
)

// A layout made from a size meets its demands, or says in a line of its own why it is not sure to. Among the sizes are those
// that a sweep of 0.15 to 3 m by 0.1 to 2 m and 0.05 to 2 m/s found worst: a long side, a row of two too far apart, a speed just
// within and just beyond what the kinds see.
func TestNewMeetsItsDemandsOrSaysWhyNot(t *testing.T) {
	for _, c := range []struct{ length, width, corner, speed float64 }{
		{0.15, 0.1, 0, 0.05},
		{0.15, 0.1, 0, 2},           // too fast for the kinds
		{0.15, 0.549, 0, 0.607},     // wants three in a row ahead
		{0.466, 0.1, 0, 0.851},      // narrow beams ahead alone leave the corners open
		{0.546, 0.536, 0, 1.114},    // the last kind but one falls just short
		{0.883, 0.328, 0.1, 0.55},   // corners round
		{0.419, 2, 0, 1.204},        // hardly to be met
		{1.506, 0.942, 0.47, 0.727}, // corners as round as can be
		{3, 0.216, 0, 0.086},        // long sides
		{3, 0.511, 0, 0.769},
		{0.49, 0.359, 0.17, 0.175}, // a round nose, slow: the ring alone sees too little ahead
	} {
		o := resolve.NewOptions{LengthM: c.length, WidthM: c.width, CornerM: c.corner, SpeedMS: c.speed}
		text, err := resolve.NewLayout(o)
		if err != nil {
			t.Fatalf("%+v: %v", c, err)
		}
		short := o.Shortfall()
		if said := strings.Contains(string(text), "# Not sure to be met: "+short+".\n"); said != (short != "") {
			t.Errorf("%+v: told in the layout: %v, %q", c, said, short)
		}
		p := planned(t, string(text), planner.Options{Quick: true})
		if !p.Met && short == "" {
			t.Errorf("%+v: not met, and nothing says why: %+v", c, p.Findings[0])
		}
		if !p.Met || short == "" {
			continue
		}
		// What is met all the same must have been close.
		for _, w := range p.Warnings {
			if w.Asked && math.Abs(w.FirstM-w.NeededM) > 0.3 {
				t.Errorf("%+v: met with %g m to spare, yet: %s", c, w.FirstM-w.NeededM, short)
			}
		}
	}
	got := invoke(t, "", "new", "--length", "0.9 m", "--width", "0.5 m", "--speed", "2 m/s")
	if got.status != exitMet || strings.Count(got.err, "\n") != 1 || !strings.Contains(got.err, "new: not sure to be met: at 2 m/s it needs") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
}

// The speed that is said to be slow enough is.
func TestNewSaysASpeedThatIsMet(t *testing.T) {
	o := resolve.NewOptions{LengthM: 0.6, WidthM: 0.45, SpeedMS: 1.9}
	for n := 0; o.Shortfall() != ""; n++ {
		_, after, _ := strings.Cut(o.Shortfall(), "drive at ")
		number, _, _ := strings.Cut(after, " m/s at most")
		var err error
		if o.SpeedMS, err = quantity.Parse(quantity.Speed, number+" m/s"); err != nil || n > 0 {
			t.Fatalf("%v, after %d: %s", err, n, o.Shortfall())
		}
	}
	text, err := resolve.NewLayout(o)
	if err != nil {
		t.Fatal(err)
	}
	if p := planned(t, string(text), planner.Options{Quick: true}); o.SpeedMS < 1 || !p.Met {
		t.Errorf("%g m/s: met %v", o.SpeedMS, p.Met)
	}
}
