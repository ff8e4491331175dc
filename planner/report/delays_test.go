package report

import (
	"bytes"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// The report shows the delays with what they drop and do not, names escaped; summary and firing table do in words.
func TestDelaysAreTold(t *testing.T) {
	p := plantest.Delayed()
	var html, summary, table bytes.Buffer
	if err := Write(&html, p); err != nil {
		t.Fatal(err)
	}
	if err := Summary(&summary, p, false); err != nil {
		t.Fatal(err)
	}
	if err := Firing(&table, p, false); err != nil {
		t.Fatal(err)
	}
	got := html.String()
	if strings.Contains(got, "<script") {
		t.Error("a name is let out into the page")
	}
	for _, want := range []string{"Delays against ghosts that keep coming, alternating", "396 us (99 ticks)", "69 mm", "62.2 ms", "29.8 ms", "<td>0, 1200</td>", "true echo passes", "Not rejected"} {
		if !strings.Contains(got, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	for _, want := range []string{"delays", "asked alternating", "against ghosts that keep coming", "not rejected"} {
		if !strings.Contains(summary.String(), want) {
			t.Errorf("the summary lacks %q", want)
		}
	}
	for _, want := range []string{"  b  ", "0, 1200", "394 <=       396  met", "800 >        790  met", "not rejected"} {
		if !strings.Contains(table.String(), want) {
			t.Errorf("the firing table lacks %q:\n%s", want, table.String())
		}
	}
}

// No delays where they are asked is a demand missed.
func TestNoDelaysIsADemandMissed(t *testing.T) {
	p := plantest.Delayed()
	asked, missed := tally(p)
	p.Schedule.Delays = &plan.Delays{Way: plan.Dithered, Cannot: plantest.Hostile}
	p.Schedule.Firings[0].DelaysUs, p.Schedule.Firings[1].DelaysUs = nil, nil
	if a, m := tally(p); a != asked || m != missed+1 {
		t.Errorf("%d of %d missed, before %d of %d", m, a, missed, asked)
	}
	var b bytes.Buffer
	if err := Write(&b, p); err != nil || strings.Contains(b.String(), "<script") || !strings.Contains(b.String(), "There are none") {
		t.Errorf("%v", err)
	}
}
