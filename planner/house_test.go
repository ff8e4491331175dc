package planner

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport is the map of the house: what each package of ours may import of ours. Imports go down only.
var mayImport = map[string]string{
	"cmd/echowright": "assets layouts planner planner/compare planner/diag planner/export planner/export/c planner/export/csv planner/export/draw planner/export/svg planner/layout planner/plan planner/quantity planner/report planner/resolve planner/scene planner/store planner/ways scheduler scheduler/clash scheduler/instance",

	"cmd/echowright-editor":         "assets cmd/echowright-editor/devices cmd/echowright-editor/draw cmd/echowright-editor/serve layouts planner/editor planner/editor/canvas planner/editor/input planner/editor/live planner/editor/typeset planner/export",
	"cmd/echowright-editor/devices": "planner/editor planner/editor/canvas planner/editor/input planner/store",
	"cmd/echowright-editor/draw":    "planner/editor/canvas planner/editor/typeset planner/export/draw",
	"cmd/echowright-editor/serve":   "",
	"cmd/echowright-editor/xvfb":    "",

	"planner/editor":         "geometry planner planner/compare planner/diag planner/editor/canvas planner/editor/input planner/editor/live planner/editor/undo planner/editor/view planner/editor/widget planner/export/draw planner/layout planner/plan planner/quantity planner/resolve planner/scene",
	"planner/editor/live":    "planner planner/diag planner/layout planner/plan planner/scene planner/ways",
	"planner/editor/view":    "geometry geometry/region planner/editor/canvas planner/editor/typeset planner/export/draw planner/plan",
	"planner/editor/widget":  "planner/editor/canvas planner/editor/input planner/editor/typeset planner/export/draw",
	"planner/editor/typeset": "planner/editor/canvas",
	"planner/editor/input":   "planner/editor/canvas",
	"planner/editor/canvas":  "planner/export/draw",
	"planner/editor/undo":    "",

	"planner":               "planner/acoustics planner/compare planner/coverage planner/crosstalk planner/diag planner/firing planner/latency planner/layout planner/margins planner/plan planner/recall planner/resolve planner/scene scheduler/instance",
	"planner/margins":       "planner/crosstalk planner/firing planner/latency planner/parallel planner/plan planner/scene scheduler/check scheduler/instance",
	"planner/ways":          "geometry geometry/region planner planner/firing planner/parallel planner/plan planner/scene scheduler scheduler/instance",
	"planner/compare":       "planner/acoustics planner/plan planner/scene",
	"planner/export":        "planner/export/c planner/export/csv planner/export/svg planner/plan planner/report",
	"planner/report":        "planner/export/draw planner/export/svg planner/plan",
	"planner/export/svg":    "planner/export/draw planner/plan",
	"planner/export/draw":   "planner/plan",
	"planner/export/c":      "planner/plan",
	"planner/export/csv":    "planner/plan",
	"planner/coverage":      "geometry geometry/region geometry/sight planner/acoustics planner/parallel planner/plan planner/recall planner/scene",
	"planner/crosstalk":     "geometry planner/acoustics planner/parallel planner/plan planner/recall planner/scene",
	"planner/firing":        "planner/acoustics planner/crosstalk planner/plan planner/scene scheduler scheduler/clash scheduler/delays scheduler/ghosts scheduler/instance",
	"planner/latency":       "geometry geometry/region planner/plan planner/scene",
	"planner/resolve":       "geometry geometry/region planner/diag planner/layout planner/quantity planner/scene",
	"planner/acoustics":     "geometry planner/scene",
	"planner/layout":        "planner/diag planner/quantity",
	"planner/scene":         "",
	"planner/parallel":      "",
	"planner/plan":          "",
	"planner/plan/plantest": "planner/plan",
	"planner/quantity":      "planner/diag",
	"planner/diag":          "",
	"planner/store":         "",
	"planner/recall":        "",

	"geometry":           "geometry/predicate geometry/region",
	"geometry/sight":     "geometry/predicate",
	"geometry/region":    "",
	"geometry/predicate": "",

	"scheduler":          "scheduler/bound scheduler/check scheduler/instance scheduler/order scheduler/refresh scheduler/slots scheduler/stagger",
	"scheduler/clash":    "scheduler scheduler/bound scheduler/instance",
	"scheduler/refresh":  "scheduler/bound scheduler/instance scheduler/slots scheduler/stagger",
	"scheduler/delays":   "scheduler scheduler/check scheduler/instance",
	"scheduler/ghosts":   "",
	"scheduler/stagger":  "scheduler/bound scheduler/instance scheduler/slots",
	"scheduler/order":    "scheduler/bound scheduler/instance scheduler/slots",
	"scheduler/slots":    "scheduler/bound scheduler/instance",
	"scheduler/bound":    "scheduler/instance",
	"scheduler/check":    "scheduler/instance",
	"scheduler/instance": "",

	"scheduler/schedulertest": "scheduler/instance",

	"assets":  "",
	"layouts": "",
}

// outside are the modules of others that shipped code may use, and where.
var outside = map[string]string{
	"github.com/golang/geo":            "geometry geometry/predicate geometry/region geometry/sight planner/acoustics planner/compare planner/coverage planner/crosstalk planner/editor planner/editor/view planner/firing planner/latency planner/margins planner/plan planner/recall planner/resolve planner/scene planner/ways",
	"gopkg.in/yaml.v3":                 "planner/layout",
	"github.com/hajimehoshi/ebiten/v2": "cmd/echowright-editor cmd/echowright-editor/devices cmd/echowright-editor/draw",
	"github.com/atotto/clipboard":      "cmd/echowright-editor/devices",
	"github.com/andybalholm/brotli":    "cmd/echowright-editor/serve",
	"golang.org/x/image":               "cmd/echowright-editor/draw planner/editor/typeset",
}

// disk are the packages below cmd that may touch files, and whose imports of os and net are no fault.
const disk = "planner/store"

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
		have := strings.Fields(imports)
		for _, imp := range have {
			if why := forbidden(path, imp, allowed); why != "" {
				t.Errorf("%s imports %s: %s", path, imp, why)
			}
		}
		for _, may := range strings.Fields(allowed) {
			if !slices.Contains(have, "echowright/"+may) {
				t.Errorf("%s may import %s but does not; take it off the map", path, may)
			}
		}
	}
	if seen != len(mayImport) {
		t.Errorf("the map names %d packages, the house has %d of them", len(mayImport), seen)
	}
}

// forbidden says why a package may not import another; "" when it may.
func forbidden(path, imp, allowed string) string {
	has := func(list, item string) bool { return slices.Contains(strings.Fields(list), item) }
	if ours, ok := strings.CutPrefix(imp, "echowright/"); ok {
		if !has(allowed, ours) {
			return "the map does not allow it"
		}
		return ""
	}
	if strings.Contains(strings.Split(imp, "/")[0], ".") {
		for module, where := range outside {
			if strings.HasPrefix(imp, module) && has(where, path) {
				return ""
			}
		}
		return "no module of others is used here"
	}
	if (imp == "os" || imp == "log" || imp == "net" || strings.HasPrefix(imp, "os/")) && path != disk && !strings.HasPrefix(path, "cmd/") {
		return "only cmd and " + disk + " touch the machine"
	}
	return ""
}

// No package below cmd asks what time it is: the same input gives the same answer.
func TestNoClocks(t *testing.T) {
	for _, dir := range []string{".", "../geometry", "../scheduler"} {
		err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			data, err := os.ReadFile(name)
			if strings.Contains(string(data), "time.Now(") || strings.Contains(string(data), "time.Since(") {
				t.Errorf("%s reads the clock", name)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
