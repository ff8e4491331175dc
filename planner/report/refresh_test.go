package report

import (
	"bytes"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// How often sensors fire is a demand of its own in the summary, those alike in one line, and a table in the report; a name that is
// markup stays text.
func TestRefreshIsShown(t *testing.T) {
	p := plantest.Small()
	p.Met = false
	p.Schedule.Refresh = []plan.Refresh{
		{Sensor: "a<b>", Times: 3, AskedUs: 80_000, KeptUs: 79_800, Met: true},
		{Sensor: "c", Times: 3, AskedUs: 80_000, KeptUs: 79_800, Met: true},
		{Sensor: "d", Times: 1, AskedUs: 100_000, KeptUs: 233_900},
	}
	var text, page bytes.Buffer
	if err := Summary(&text, p, false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"refresh", "a<b>, c", "79.8 ms", "within 80 ms", "fires 3 times a cycle", "233.9 ms", "within 100 ms", "fires once a cycle"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the summary lacks %q:\n%s", want, text.String())
		}
	}
	before, _ := tally(plantest.Small())
	if asked, missed := tally(p); asked != before+2 || missed < 1 {
		t.Errorf("%d demands, %d missed; %d without", asked, missed, before)
	}
	if err := Write(&page, p); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"How often sensors fire", "a&lt;b&gt;", `<td class="n">233.9 ms</td><td class="l word bad">not met</td>`} {
		if !strings.Contains(page.String(), want) {
			t.Errorf("the report lacks %q", want)
		}
	}
}
