package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"echowright/planner/plan"
)

// The Plan on standard output holds the margins, that of plan does not; the report tells of both questions, that of plan of neither.
func TestMarginsAreThereWhereAskedFor(t *testing.T) {
	data, err := os.ReadFile(layoutsDir + "first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, command := range []string{"margins", "plan"} {
		r := invoke(t, string(data), command, "-", "--json", "--out", filepath.Join(dir, command))
		if r.status != exitMet || r.err != "" {
			t.Fatalf("%s: %d, %s", command, r.status, r.err)
		}
		var p plan.Plan
		if err := json.Unmarshal([]byte(r.out), &p); err != nil {
			t.Fatal(err)
		}
		html, err := os.ReadFile(filepath.Join(dir, command, "report.html"))
		if err != nil {
			t.Fatal(err)
		}
		asked := command == "margins"
		if (p.Margins != nil) != asked || asked && (len(p.Margins.Rows) < 10 || len(p.Margins.Lost) != 3) {
			t.Errorf("%s: margins %+v", command, p.Margins)
		}
		for _, want := range []string{"<h2>What breaks first</h2>", "<h2>If one sensor fails</h2>", "less sensitive", "nothing more"} {
			if strings.Contains(string(html), want) != asked {
				t.Errorf("%s: the report holds %q: %v", command, want, !asked)
			}
		}
	}
}
