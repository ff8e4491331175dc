package planner

import (
	"os/exec"
	"strings"
	"testing"
)

// mayImport is the map of the house: what each package of ours may import of ours. Imports go down only.
var mayImport = map[string]string{
	"cmd/echowright": "assets layouts planner planner/acoustics planner/compare planner/diag planner/export/c planner/export/csv planner/export/draw planner/export/svg planner/layout planner/plan planner/quantity planner/report planner/resolve planner/scene planner/store scheduler scheduler/instance",

	"planner":               "planner/acoustics planner/compare planner/coverage planner/crosstalk planner/diag planner/firing planner/latency planner/layout planner/plan planner/resolve planner/scene",
	"planner/compare":       "planner/acoustics planner/plan planner/scene",
	"planner/report":        "planner/export/draw planner/export/svg planner/plan",
	"planner/export/svg":    "planner/export/draw planner/plan",
	"planner/export/draw":   "planner/plan",
	"planner/export/c":      "planner/plan",
	"planner/export/csv":    "planner/plan",
	"planner/coverage":      "geometry geometry/region geometry/sight planner/acoustics planner/plan planner/scene",
	"planner/crosstalk":     "geometry planner/acoustics planner/plan planner/scene",
	"planner/firing":        "geometry planner/acoustics planner/crosstalk planner/plan planner/scene scheduler scheduler/instance",
	"planner/latency":       "geometry geometry/region planner/plan planner/scene",
	"planner/resolve":       "geometry geometry/region planner/diag planner/layout planner/quantity planner/scene",
	"planner/acoustics":     "geometry planner/scene",
	"planner/layout":        "planner/diag planner/quantity",
	"planner/scene":         "",
	"planner/plan":          "",
	"planner/plan/plantest": "planner/plan",
	"planner/quantity":      "planner/diag",
	"planner/diag":          "",
	"planner/store":         "",

	"geometry":           "geometry/predicate geometry/region",
	"geometry/sight":     "geometry geometry/predicate",
	"geometry/region":    "geometry/predicate",
	"geometry/predicate": "",

	"scheduler":          "scheduler/bound scheduler/check scheduler/instance scheduler/order scheduler/slots",
	"scheduler/order":    "scheduler/bound scheduler/instance scheduler/slots",
	"scheduler/slots":    "scheduler/bound scheduler/instance",
	"scheduler/bound":    "scheduler/instance",
	"scheduler/check":    "scheduler/instance",
	"scheduler/instance": "",

	"scheduler/schedulertest": "scheduler/instance",

	"assets":  "",
	"layouts": "",
}

func TestImportsGoDown(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}|{{join .Imports " "}}`, "echowright/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for line := range strings.Lines(string(out)) {
		path, imports, _ := strings.Cut(strings.TrimSpace(line), "|")
		path = strings.TrimPrefix(path, "echowright/")
		allowed, ok := mayImport[path]
		if !ok {
			t.Errorf("%s is not on the map; add it with what it may import", path)
			continue
		}
		seen++
		for _, imp := range strings.Fields(imports) {
			ours, isOurs := strings.CutPrefix(imp, "echowright/")
			if isOurs && !strings.Contains(" "+allowed+" ", " "+ours+" ") {
				t.Errorf("%s imports %s, which the map does not allow", path, ours)
			}
			if strings.Contains(imp, "ebiten") {
				t.Errorf("%s imports the drawing library; only the editor's window may", path)
			}
		}
	}
	if seen != len(mayImport) {
		t.Errorf("the map names %d packages, the house has %d of them", len(mayImport), seen)
	}
}
