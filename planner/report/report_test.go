package report

import (
	"bytes"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

func TestReportEscapesNames(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	html := b.String()
	for _, bad := range []string{"<script", "{{", "http://", "https://", "url(http"} {
		got := strings.ReplaceAll(html, `xmlns="http://www.w3.org/2000/svg"`, "")
		got = strings.ReplaceAll(got, "{{.}}", "") // the hostile name's own braces, inert in a page
		if strings.Contains(got, bad) {
			i := strings.Index(got, bad)
			t.Errorf("report contains %q: …%.80s…", bad, got[max(0, i-20):])
		}
	}
	for _, want := range []string{"alert(", "too close", "110 mm", "not safety-rated", "31 ms"} {
		if !strings.Contains(html, want) {
			t.Errorf("report lacks %q", want)
		}
	}
}

func TestSameBytesTwice(t *testing.T) {
	var a, b bytes.Buffer
	if err := Write(&a, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	if err := Write(&b, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two reports of one plan differ")
	}
}

func TestSummarySaysWhatDecides(t *testing.T) {
	p := plantest.Small()
	p.Layout, p.States = "cart", nil
	c := &p.Coverage[0]
	c.State, c.Zone, c.Target = "", "lane", "post"
	p.BlindSpots[0].State, p.BlindSpots[0].Zone, p.BlindSpots[0].Target = "", "lane", "post"
	var b bytes.Buffer
	if err := Summary(&b, p, false); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	for _, want := range []string{
		"cart: 2 of 4 demands NOT MET",
		"widest hidden thing 110 mm in lane: 0.15 m ahead of the front, 0.30 m left of the middle",
		"cycle 31 ms of 40 ms: both must take turns",
		"3 of 12 deciding values are estimates",
		"90.0 % of 1.00 m2", "asked 95 %", "asked 50 mm", "too close",
		"keep the machine's own stops",
	} {
		want = strings.Replace(want, "0.15 m ahead", "150 mm ahead", 1)
		if !strings.Contains(got, want) {
			t.Errorf("summary lacks %q:\n%s", want, got)
		}
	}
	if strings.Contains(got, "\x1b") {
		t.Error("colour in a pipe")
	}
}

func TestPercentNeverRoundsToAllOrNone(t *testing.T) {
	for _, c := range []struct {
		part, whole, err float64
		want             string
	}{
		{1, 1, 0, "all"},
		{0.9999, 1, 0, "over 99.9 %"},
		{0.9999, 1, 0.01, "over 99 %"},
		{0.00001, 1, 0, "under 0.1 %"},
		{0, 1, 0, "none"},
		{0.9725, 1, 0.001, "97.2 %"},
		{0.9725, 1, 0.01, "97 %"},
		{0, 0, 0, "none"},
	} {
		if got := plan.Percent(c.part, c.whole, c.err); got != c.want {
			t.Errorf("Percent(%g, %g, %g) = %s, want %s", c.part, c.whole, c.err, got, c.want)
		}
	}
}
