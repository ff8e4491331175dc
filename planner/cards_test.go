package planner

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"echowright/assets"
	"echowright/planner/plan"
)

// planText plans a layout given as text.
func planText(t *testing.T, text string) *plan.Plan {
	t.Helper()
	sc, list := Load("test", []byte(text), assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	p, err := Analyse(context.Background(), sc, Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func found(p *plan.Plan, code string) (plan.Finding, bool) {
	for _, f := range p.Findings {
		if f.Code == code {
			return f, true
		}
	}
	return plan.Finding{}, false
}

const small = `
body: {outline: {rectangle: [0.5 m, 0.4 m], height: 50..400 mm}}
targets: {post: {shape: post, diameter: 75 mm, height: 0..1 m, surface: hard}}
zones: [{name: ahead, swept: {way: forward, reach: 1 m}, target: post, largest-gap: 100 mm}]
`

func TestPinsAtAnotherLevelAreFound(t *testing.T) {
	for _, c := range []struct{ pins, kind, want string }{
		{"3.3 V", "open-pair-5v", "the signal pins of open-pair-5v are at 5 V (estimate), the controller's at 3.3 V: what it answers drives the controller's pin 1.7 V above its level"},
		{"5 V", "open-pair-3v3", "what asks it is 1.7 V above its level"},
		{"5 V", "open-pair-5v", ""},
		{"5.2 V", "open-pair-5v", ""},
	} {
		p := planText(t, "echowright: 1"+small+"sensors: [{name: eye, kind: "+c.kind+", at: {from: front}, height: 200 mm}]\ncontroller: {pin-level: "+c.pins+", reading: polled, at-once: 1}\n")
		f, ok := found(p, CodeLevelMismatch)
		if ok != (c.want != "") || !strings.Contains(f.Text, c.want) {
			t.Errorf("%s at %s: %+v", c.kind, c.pins, f)
		}
		if ok && (f.Where != "eye" || !strings.Contains(f.Mend, "a divider")) {
			t.Errorf("%+v", f)
		}
	}
	// A controller that does not say its level is not judged.
	p := planText(t, "echowright: 1"+small+"sensors: [{name: eye, kind: open-pair-5v, at: {from: front}, height: 200 mm}]\ncontroller: {reading: polled, at-once: 1}\n")
	if f, ok := found(p, CodeLevelMismatch); ok {
		t.Errorf("%+v", f)
	}
}

func TestRangesThatContradictAreFound(t *testing.T) {
	p := planText(t, "echowright: 1"+small+`
kinds:
  odd: {like: open-pair-5v, range: [{value: 4 m, against: wall, ended-by: threshold, source: datasheet}, {value: 4 m, against: post-75, ended-by: threshold, source: datasheet}]}
sensors: [{name: eye, kind: odd, at: {from: front}, height: 200 mm}]
`)
	f, ok := found(p, CodeRangesDisagree)
	if !ok || !strings.Contains(f.Text, "4.00 m against wall asks for a level of 29 dB at 1 m of path, 4.00 m against post-75 for 49 dB") {
		t.Errorf("%+v", f)
	}
	// The built-in kinds' two ranges agree with each other.
	for _, name := range []string{"first-rover", "hall-sweeper", "linen-tug", "plank-trailer", "shelf-cart"} {
		if f, ok := found(planOf(t, name), CodeRangesDisagree); ok {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

// What the planner itself takes for granted counts among the estimates and is told with them.
func TestOurOwnEstimatesCount(t *testing.T) {
	p := planOf(t, "first-rover")
	if p.Estimates != len(p.EstimateList) || p.Estimates > p.Deciding {
		t.Errorf("%d estimates, %d listed, %d deciding", p.Estimates, len(p.EstimateList), p.Deciding)
	}
	for _, want := range []string{"bend round the body", "as many dB louder as its supply is"} {
		for name, list := range map[string][]string{"estimates": p.EstimateList, "assumed": p.Assumed} {
			if !strings.Contains(strings.Join(list, "\n"), want) {
				t.Errorf("%s lack %q: %q", name, want, list)
			}
		}
	}
}

// The firing table says the deafness that the table of sensors says, and a sensor never sees on its axis
// farther than its window admits.
func TestTablesOfOnePlanAgree(t *testing.T) {
	for _, name := range []string{"first-rover", "hall-sweeper", "linen-tug", "plank-trailer", "shelf-cart"} {
		p := planOf(t, name)
		for _, f := range p.Schedule.Firings {
			s := sensorNamed(p, f.Sensor)
			if f.ListenFromUs != f.AtUs+s.BlindUntilUs || f.MayHearFromUs > f.ListenFromUs || f.ListenUntilUs != f.AtUs+s.ListenUntilUs {
				t.Errorf("%s: %+v against deaf until %d, listens until %d", name, f, s.BlindUntilUs, s.ListenUntilUs)
			}
		}
		for _, s := range p.Sensors {
			if len(s.OnAxis) == 0 {
				t.Errorf("%s: %s sees nothing on its axis", name, s.Name)
			}
			for _, r := range s.OnAxis {
				if r.ToM > s.ListenM || r.ToM > 0 && r.FromM != s.BlindM {
					t.Errorf("%s: %s %+v, window to %g m", name, s.Name, r, s.ListenM)
				}
			}
		}
	}
}

// A table rounded to coarse ticks is longer, and as free of disturbance as the one in microseconds.
func TestTableInTicksIsUndisturbedToo(t *testing.T) {
	for _, name := range []string{"first-rover", "hall-sweeper", "linen-tug", "plank-trailer", "shelf-cart"} {
		data, err := os.ReadFile(filepath.Join("..", "layouts", name+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		sc, _ := Load(name, data, assets.Kinds())
		sc.Controller.Tick = 250 * time.Microsecond
		p, err := Analyse(context.Background(), sc, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		s := &p.Schedule
		if s.RealisedCycleUs < float64(s.CycleUs) || s.RealisedCycleUs != 250*float64(s.CycleTicks) {
			t.Errorf("%s: %d us are %d ticks, %g us", name, s.CycleUs, s.CycleTicks, s.RealisedCycleUs)
		}
		s.CycleUs = int64(s.RealisedCycleUs)
		for i := range s.Firings {
			f := &s.Firings[i]
			later := 250*f.AtTicks - f.AtUs
			if 250*f.ListenUntilTicks < f.ListenUntilUs+later || 250*f.ListenFromTicks > f.ListenFromUs+later {
				t.Errorf("%s: the window of %s is shorter in ticks: %+v", name, f.Sensor, f)
			}
			f.AtUs, f.MayHearFromUs, f.ListenUntilUs = f.AtUs+later, f.MayHearFromUs+later, 250*f.ListenUntilTicks
		}
		if n := p.Disturbed(); n != 0 {
			t.Errorf("%s: %d pairs disturbed in whole ticks", name, n)
		}
	}
}
