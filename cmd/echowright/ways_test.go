package main

import (
	"encoding/json"
	"encoding/xml"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"echowright/planner/plan"
)

const twoBeams = "../../planner/ways/testdata/two-beams.yaml"

// Ways out as text and as JSON, the picture beside; the status is that of the plan as it is.
func TestWaysOut(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "front.svg")
	said := invoke(t, "", "ways", twoBeams, "--front", picture)
	if said.status != exitNotMet || !strings.Contains(said.out, "turn left to the left by") || !strings.Contains(said.out, "all met") || said.err != "" {
		t.Errorf("status %d\n%s%s", said.status, said.out, said.err)
	}
	data, err := os.ReadFile(picture)
	if err != nil || xml.Unmarshal(data, new(struct{ XMLName xml.Name })) != nil || !strings.Contains(string(data), "range against cycle") {
		t.Errorf("the picture: %v, %d bytes", err, len(data))
	}
	said = invoke(t, "", "ways", "--json", twoBeams)
	var all plan.Ways
	if err := json.Unmarshal([]byte(said.out), &all); err != nil || len(all.Out) < 3 || all.Out[0].Rank != 1 {
		t.Errorf("%v\n%s", err, said.out)
	}
	if said := invoke(t, "", "ways", layoutsDir+"first-rover.yaml"); said.status != exitMet {
		t.Errorf("a plan that is met: status %d", said.status)
	}
}

// A plan whose budget is missed has its ways out in the report and in plan.json; one that keeps it has none, and neither has plan --json.
func TestReportHasWaysOutWhereTheBudgetIsMissed(t *testing.T) {
	for file, want := range map[string]bool{twoBeams: true, layoutsDir + "first-rover.yaml": false} {
		dir := t.TempDir()
		invoke(t, "", "plan", "--out", dir, file)
		for name, word := range map[string]string{"report.html": "<h2>Ways out</h2>", "plan.json": `"ways":`} {
			data, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Contains(string(data), word); got != want {
				t.Errorf("%s of %s: ways out %v", name, file, got)
			}
		}
	}
	if strings.Contains(invoke(t, "", "plan", "--json", twoBeams).out, `"ways":`) {
		t.Error("a plain plan looks for ways out")
	}
}

// Nothing is written where the call is wrong.
func TestWaysRefuses(t *testing.T) {
	for _, words := range [][]string{{"ways"}, {"ways", "a", "b"}, {"ways", "--fast", twoBeams}, {"ways", twoBeams, "--front", filepath.Join(t.TempDir(), "no", "such", "x.svg")}} {
		if said := invoke(t, "", words...); said.status != exitInput || said.out != "" || strings.Count(said.err, "\n") != 1 {
			t.Errorf("%v: status %d\n%s%s", words, said.status, said.out, said.err)
		}
	}
}
