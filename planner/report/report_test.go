package report

import (
	"bytes"
	"fmt"
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
		"cart: 3 of 5 demands NOT MET",
		"widest hidden thing 110 mm in lane: 150 mm ahead of the front, 0.30 m left of the middle",
		"cycle 31 ms of 40 ms: both must take turns",
		"3 of 12 deciding values are estimates",
		"90.0 % of 1.00 m2", "asked 95 %", "asked 50 mm", "too close",
		"keep the machine's own stops",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("summary lacks %q:\n%s", want, got)
		}
	}
	if strings.Contains(got, "\x1b") {
		t.Error("colour in a pipe")
	}
}

// Findings that one thing would mend stand together, those that differ by a name alone are one, and a
// remedy already told is only pointed at.
func TestSummaryDoesNotRepeatItself(t *testing.T) {
	p := plantest.Small()
	p.Findings = []plan.Finding{
		{Severity: plan.NotMet, Code: "share-missed", Where: "lane", Text: "too little", Mend: "put a sensor there"},
		{Severity: plan.Look, Code: "blind", Where: "lane", Text: "3 places", Mend: "put a sensor there"},
		{Severity: plan.Look, Code: "shadow", Where: "lane", Text: "a shadow", Mend: "move tail"},
		{Severity: plan.Look, Code: "own", Where: "in.left, down", Text: "reads the jaw", Mend: "tilt in.left up, in.left no longer reads it"},
		{Severity: plan.Look, Code: "shadow", Where: "behind", Text: "another shadow", Mend: "move tail"},
		{Severity: plan.Look, Code: "own", Where: "in.right, down", Text: "reads the jaw", Mend: "tilt in.right up, in.right no longer reads it"},
		{Severity: plan.Note, Code: "note", Text: "nothing", Mend: "nothing"},
	}
	var b bytes.Buffer
	if err := Summary(&b, p, false); err != nil {
		t.Fatal(err)
	}
	_, got, _ := strings.Cut(b.String(), "mend first\n")
	got, _, _ = strings.Cut(got, "\ncould read wrongly")
	want := `   1  lane: too little  (share-missed)
      mend: put a sensor there

look at
   2  lane: 3 places  (blind)
      mend: as at 1
   3  lane: a shadow  (shadow)
      behind: another shadow  (shadow)
      mend: move tail
   4  in.left, down; in.right, down: reads the jaw  (own)
      mend: tilt each up, each no longer reads it
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Own readings that are alike are one line, and one that is not there at the weak end is not called constant.
func TestOwnReadingsAreGrouped(t *testing.T) {
	p := plantest.Small()
	p.Masks = []plan.Mask{{Sensor: "a", What: "ramp", ReadsM: 1.2, Always: true}, {Sensor: "b", What: "ramp", ReadsM: 1.2, Always: true}, {Sensor: "c", What: "ground", ReadsM: 0.9}}
	var b bytes.Buffer
	if err := Summary(&b, p, false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"  a, b always show 1.20 m: its own machine (ramp)", "  c may show 0.90 m: the ground"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q:\n%s", want, b.String())
		}
	}
}

// A gap that would print as 0 mm is none, and has no place.
func TestNothingHiddenHasNoPlace(t *testing.T) {
	p := plantest.Small()
	p.Coverage[0].WidestGapM = 2e-4
	var b bytes.Buffer
	if err := Summary(&b, p, false); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); strings.Contains(got, "0 mm in") || !strings.Contains(got, "nothing wider than 1 mm hides in any zone") || !strings.Contains(got, "under 1 mm") {
		t.Errorf("%s", got)
	}
}

// The report says which rows it leaves out and where they are, and prints all it shows.
func TestReportSaysWhatItLeavesOut(t *testing.T) {
	p := plantest.Small()
	p.Overlaps = append(p.Overlaps, plan.Overlap{A: "a", B: "b", AreaM2: 1e-4})
	for i := range 30 {
		a := p.Crosstalk[0]
		a.From, a.LevelDB = fmt.Sprintf("s%d", i), float64(i)
		p.Crosstalk = append(p.Crosstalk, a)
	}
	p.Schedule.AllAtOnce = 31
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	html := b.String()
	for _, want := range []string{"1 more of under 10 cm² are in overlaps.csv", "The 20 loudest of 31", "crosstalk.csv", "A tick is 4 µs", ">7750 ticks", "plate guess", "echo too weak", "Window admits"} {
		if !strings.Contains(strings.ReplaceAll(html, "The cycle is 7750", ">7750"), want) {
			t.Errorf("report lacks %q", want)
		}
	}
	if strings.Contains(html, "details") || strings.Contains(html, "display:none") {
		t.Error("something is hidden in print")
	}
}

func TestFiringTableHasTicksAndBothTimesOfHearing(t *testing.T) {
	var b bytes.Buffer
	if err := Firing(&b, plantest.Small(), false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"may hear", "16100      16400      27500", "ticks of 4 us, rounded outward, the pause kept from the rounded end; the cycle is 7750 ticks, 31 ms", "3875       4100       6875"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q:\n%s", want, b.String())
		}
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

// A sensor with no row, and one that another starts, are told of beside the table; as-read has no ticks.
func TestFiringSaysWhatTheControllerDoesNotStart(t *testing.T) {
	p := plantest.Small()
	a := p.Schedule.Firings[0].Sensor
	p.Sensors = append(p.Sensors, plan.Sensor{Name: "own"})
	p.Schedule.Firings[1].StartedBy = a
	var b bytes.Buffer
	if err := Firing(&b, p, false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"own fires by itself: no row in the table", "b is started by " + a + ", not by the controller"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q:\n%s", want, b.String())
		}
	}
	b.Reset()
	if err := Write(&b, p); err != nil || !strings.Contains(b.String(), "own fires by itself: no row") {
		t.Errorf("report: %v", err)
	}
	p.Schedule.Style, p.Schedule.TickUs, p.Schedule.CycleTicks = plan.AsRead, 0, 0
	b.Reset()
	if err := Firing(&b, p, false); err != nil || strings.Contains(b.String(), "tick") {
		t.Errorf("%v: %s", err, b.String())
	}
}

// The reason of a finding stands under its text, in the terminal and on paper.
func TestReasonIsShown(t *testing.T) {
	p := plantest.Small()
	p.Findings = []plan.Finding{{Severity: plan.NotMet, Code: "cycle-over-budget", Where: "cycle", Text: "one cycle takes 183 ms", Reason: "these clash: a and b: 2 x 61 ms = 122 ms > 100 ms", Mend: "fewer"}}
	var html, text bytes.Buffer
	if err := Write(&html, p); err != nil {
		t.Fatal(err)
	}
	if err := Summary(&text, p, false); err != nil {
		t.Fatal(err)
	}
	if want := "<br>Reason: these clash: a and b: 2 x 61 ms = 122 ms &gt; 100 ms</td>"; !strings.Contains(html.String(), want) {
		t.Errorf("the page lacks %q", want)
	}
	if want := "(cycle-over-budget)\n      reason: these clash: a and b: 2 x 61 ms = 122 ms > 100 ms\n      mend: fewer\n"; !strings.Contains(text.String(), want) {
		t.Errorf("the summary lacks %q:\n%s", want, text.String())
	}
}
