package report

import (
	"bytes"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// warned is the small plan with plain names and one way that leaves too little room to stop.
func warned() *plan.Plan {
	p := plantest.Small()
	p.Layout, p.States = "cart", nil
	w := &p.Warnings[0]
	w.Zone, w.Target, w.State, w.Sensor = "lane", "post", "", "a"
	return p
}

func TestSummaryShowsRoomToStop(t *testing.T) {
	unseen := warned()
	w := &unseen.Warnings[0]
	w.FirstM, w.SafeSpeedMS, w.Sensor, w.LimitSensor, w.Way = 0, 0, "", "", "backward"
	other := warned()
	other.Warnings[0].Asked = false
	for _, c := range []struct {
		p    *plan.Plan
		want string
	}{
		{warned(), "post, straight ahead 0.90 m seen 1.24 m needed NOT MET at 0.8 m/s, 2 of 3 readings; safe up to 0.61 m/s, limited by b"},
		{warned(), "first warning 389.5 ms asked 300 ms NOT MET after power-up: module 300 ms (controller boots in 60 ms), 2 of 3 readings of b 77.5 ms, echo and answer 12 ms"},
		{warned(), "cart: 2 of 4 demands NOT MET"}, // cycle and disturbance are the others; no zone of this state
		{unseen, "post, straight back not certain 1.24 m needed NOT MET at 0.8 m/s, 2 of 3 readings; safe at no speed: not seen long enough everywhere"},
		{other, "cart: 1 of 3 demands NOT MET"},
	} {
		var b bytes.Buffer
		if err := Summary(&b, c.p, false); err != nil {
			t.Fatal(err)
		}
		if plain := strings.Join(strings.Fields(b.String()), " "); !strings.Contains(plain, c.want) {
			t.Errorf("lacks %q:\n%s", c.want, b.String())
		}
	}
}

// A speed not to be exceeded is never rounded up.
func TestSafeSpeedIsRoundedDown(t *testing.T) {
	for ms, want := range map[float64]string{0.6199: "up to 0.61 m/s", 0.62: "up to 0.62 m/s", 0.0099: "at no speed"} {
		if got := plan.UpTo(ms); got != want {
			t.Errorf("%g: %s, want %s", ms, got, want)
		}
	}
}

func TestReportHasRoomToStop(t *testing.T) {
	p := warned()
	p.Warnings = append(p.Warnings, p.Warnings[0])
	p.Warnings[1].Way, p.Warnings[1].Asked = "left", false
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Room to stop", "warned of at 0.90 m", "straight to the left", "not asked", "first seen at 1.30 m", "2 of 3 readings in 93 ms", "echo 9 ms", "389.5 ms after power-up", "asked 300 ms"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("report lacks %q", want)
		}
	}
	p.Warnings, p.Ready = nil, plan.Ready{}
	b.Reset()
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "Room to stop") || strings.Contains(b.String(), "power-up") {
		t.Error("a plan of no motion has a section for it")
	}
}
