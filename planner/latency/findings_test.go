package latency

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// provoked is the smallest change to a world in which all is well that must raise exactly one code.
var provoked = map[string]func(w *world){
	CodeTooFast:  func(w *world) { w.sc.Motion.SpeedMS = 3 },
	CodeTight:    func(w *world) { w.sc.Motion.MarginM = 2 - 0.25 - 0.25 - 0.0005; w.p.Lobes[0].ErrorM = 0.001 },
	CodeLate:     func(w *world) { w.sc.Wishes.FirstWarning = 99 * time.Millisecond },
	CodeNotAhead: func(w *world) { w.sc.Motion.Way, w.sc.Wishes.FirstWarning = scene.Backward, 0 },
	CodeTurning:  func(w *world) { w.sc.Motion.TurnRadS = scene.Span{Lo: -1, Hi: 1} },
}

func fine() *world {
	w := newWorld([][]r2.Point{rect(0.5, 2.5, -0.5, 0.5)})
	w.sc.Controller.Boot = 100 * time.Millisecond
	w.sc.Wishes.FirstWarning = 100 * time.Millisecond
	return w
}

func TestEveryCodeIsProvoked(t *testing.T) {
	if r := fine().analyse(); len(r.Findings) > 0 || !r.Met() {
		t.Fatalf("all is well, but %+v", r.Findings)
	}
	for code, change := range provoked {
		w := fine()
		change(w)
		r := w.analyse()
		if len(r.Findings) != 1 || r.Findings[0].Code != code {
			t.Errorf("%s: got %+v", code, r.Findings)
			continue
		}
		if f := r.Findings[0]; f.Text == "" || f.Mend == "" || f.Where == "" || r.Met() == (f.Severity == plan.NotMet) {
			t.Errorf("%+v, met %v", f, r.Met())
		}
	}
}

// What a finding says would do must do when tried, and a little less must not.
func TestWaysOutHold(t *testing.T) {
	tooFast := func() *world {
		w := fine()
		w.sc.Motion.SpeedMS, w.sc.Motion.Confirm, w.sc.Motion.Of = 2.2, 2, 3
		w.sc.Wishes.FirstWarning = 0
		return w
	}
	mend := tooFast().analyse().Findings[0].Mend
	var speed, every, now float64
	if _, err := fmt.Sscanf(mend, "drive at no more than %f m/s, or let a fire every %f ms (now %f ms)", &speed, &every, &now); err != nil {
		t.Fatalf("%q: %v", mend, err)
	}
	for _, c := range []struct {
		speed, every float64
		met          bool
	}{{speed, now, true}, {speed + 0.02, now, false}, {2.2, every, true}, {2.2, every + 0.2, false}} {
		w := tooFast()
		w.sc.Motion.SpeedMS, w.p.Schedule.CycleUs = c.speed, int64(c.every*1000)
		if got := w.asked(); got.Met != c.met {
			t.Errorf("%q tried at %g m/s, %g ms: %+v", mend, c.speed, c.every, got)
		}
	}
	// A far end made by the window is told so.
	w := tooFast()
	w.sc.Kinds[0].Timing.By = scene.ByController
	w.p.Sensors = []plan.Sensor{{Name: "a", ListenM: math.Hypot(2, 0.3)}}
	if mend := w.analyse().Findings[0].Mend; !strings.Contains(mend, "let a listen farther than 2.02 m") {
		t.Errorf("mend %q", mend)
	}
}

// A line that no sensor sees, one lost again too soon and one seen by too few are told apart.
func TestWhyNothingWarns(t *testing.T) {
	for _, c := range []struct {
		want   string
		change func(w *world)
	}{
		{"no sensor sees it there", func(w *world) { w.p.Lobes[0].Polygon = plan.Polygon{plan.RingOf(rect(0.5, 2.5, -0.5, 0.1))} }},
		{"but lost again before 2 of 2 readings", func(w *world) {
			w.p.Lobes[0].Polygon = plan.Polygon{plan.RingOf(rect(2.4, 2.5, -0.5, 0.5))}
			w.sc.Motion.Confirm, w.sc.Motion.Of = 2, 2
		}},
		{"but not by 2 sensors", func(w *world) { w.sc.Zones[0].SeenBy = 2 }},
	} {
		w := fine()
		c.change(w)
		fs := w.analyse().Findings
		if !slices.ContainsFunc(fs, func(f plan.Finding) bool { return strings.Contains(f.Text, c.want) }) {
			t.Errorf("lacks %q: %+v", c.want, fs)
		}
	}
}

// A machine that sees nothing in time is told so plainly, and a margin beyond what is seen has its own way out.
func TestNeverInTimeAndMargin(t *testing.T) {
	w := fine()
	w.p.Lobes[0].Polygon = plan.Polygon{plan.RingOf(rect(0.5, 2.5, -0.5, 0.1))}
	if text := w.analyse().Findings[0].Text; !strings.Contains(text, "never seen in time on the line 0.20 m left of the middle: no sensor") || strings.Contains(text, "0 mm back") {
		t.Errorf("text %q", text)
	}
	w = fine()
	w.sc.Motion.MarginM = 2.2 // seen from 2 m
	fs := w.analyse().Findings
	if len(fs) == 0 || !strings.Contains(fs[0].Mend, "ask for a margin well below 2.00 m (now 2.20 m)") {
		t.Errorf("%+v", fs)
	}
}
