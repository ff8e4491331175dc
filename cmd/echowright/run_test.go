package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/quantity"
)

// result is what one call of the command did.
type result struct {
	status   int
	out, err string
}

func invoke(t *testing.T, stdin string, args ...string) result {
	t.Helper()
	var out, err bytes.Buffer
	status := run(context.Background(), args, streams{in: strings.NewReader(stdin), out: &out, err: &err})
	return result{status, out.String(), err.String()}
}

const layoutsDir = "../../layouts/"

func TestCommands(t *testing.T) {
	for _, c := range []struct {
		args   string // split at spaces
		stdin  string
		status int
		out    []string // each must be in the output
		err    string   // must be in the messages; "" means no messages at all
	}{
		{args: "help", status: 0, out: []string{"echowright plan", "exit status", "not a safety device"}},
		{args: "", status: 0, out: []string{"echowright plan"}},
		{args: "plan " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"shelf cart, twelve sensors: all", "met", "cycle", "are estimates", "not a safety device"}},
		{args: "check " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"all", "hid", "cycle"}},
		{args: "plan " + layoutsDir + "hall-sweeper.yaml", status: 1, out: []string{"NOT MET", "mend first", "share-missed", "cycle-over-budget", "shadowed"}},
		{args: "check " + layoutsDir + "hall-sweeper.yaml", status: 1, out: []string{"NOT MET"}},
		{args: "plan " + layoutsDir + "plank-trailer.yaml", status: 1, out: []string{"ramp up", "ramp down", "reads its own part", "its own machine (ramp)"}},
		{args: "margins " + layoutsDir + "first-rover.yaml", status: 0, out: []string{"what breaks first", "this timetable", "if one sensor fails", "eye.2: ahead", "NOT MET", "not a safety device"}},
		{args: "margins --limit 1us " + layoutsDir + "hall-sweeper.yaml", status: 1, out: []string{"the time was up; not reckoned", "and so not asked about: skirt"}},
		{args: "margins --limit 0s " + layoutsDir + "first-rover.yaml", status: 2, err: "give a time above 0"},
		{args: "margins", status: 2, err: "margins takes one file"},
		{args: "margins nowhere.yaml", status: 2, err: "nowhere.yaml:1:1: cannot be read"},
		{args: "margins -", stdin: "echowright: 1\nnme: x\n", status: 2, err: "standard input:2:1: "},
		{args: "schedule " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"group", "bow.1", "cannot be shorter"}},
		{args: "schedule --json " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{`"cycle_us"`, `"proven": true`}},
		{args: "export --as csv " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"sensor,group,fire_us"}},
		{args: "export --as csv --table blind-spots " + layoutsDir + "hall-sweeper.yaml", status: 1, out: []string{"outside every beam"}},
		{args: "export --as svg " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"<svg", "</svg>"}},
		{args: "export --as html " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"<!DOCTYPE html>", "not safety-rated"}},
		{args: "export --as c " + layoutsDir + "shelf-cart.yaml", status: 0, out: []string{"#ifndef ECHOWRIGHT_FIRING_H", "ECHOWRIGHT_SENSOR_BOW_1", "not a safety device"}},
		{args: "kinds", status: 0, out: []string{"open-pair-5v", "sealed-serial", "narrow-long-range"}},
		{args: "kinds near-wide", status: 0, out: []string{"serves:", "not for:", "█", "blind to"}},
		{args: "kinds near-wide", status: 0, out: []string{"where its values come from", "estimate    blind distance: 20 mm", "its line gives up after 14 ms"}},
		{args: "kinds compare near-wide", status: 2, err: "two at least"},
		{args: "kinds compare open-pair-5v narrow-long-range --against kerb,cloth", status: 0, out: []string{"seen from 0.25 m over smooth ground", "cloth: a wall, cloth", "level at 1 m of path"}},
		{args: "kinds spare --layout -", stdin: spareKind, status: 0, out: []string{"spare: ", "datasheet   range: 3.00 m against wall", "measured, -20..20 deg"}},
		{args: "kinds compare open-pair-5v open-pair-3v3 --against wall,post-75,cloth", status: 0, out: []string{"seen to, wall", "seen to, cloth", "20 lg"}},
		{args: "kinds --layout " + layoutsDir + "shelf-cart.yaml compare skirt-pair near-wide", status: 0, out: []string{"skirt-pair", "12..30 degC"}},
		{args: "new", status: 0, out: []string{"shelf-cart", "first-rover"}},
		{args: "new first-rover", status: 0, out: []string{"echowright: 1"}},
		{args: "format", status: 0, out: []string{"# "}},
		{args: "format --schema", status: 0, out: []string{"$schema"}},
		{args: "solve -", stdin: `{"name":"path","windows_us":[10,1,1,10],"conflicts":[[0,1],[1,2],[2,3]]}`, status: 0, out: []string{`"cycle_us":12`, `"proven":true`}},

		{args: "plna x", status: 2, err: "no command 'plna'; there are plan, check"},
		{args: "bench x", status: 2, err: "known but does not work yet"},
		{args: "plan", status: 2, err: "plan takes one file; usage: echowright plan FILE"},
		{args: "plan a b", status: 2, err: "plan takes one file"},
		{args: "plan --jsn x", status: 2, err: "flag provided but not defined"},
		{args: "plan none.yaml", status: 2, err: "none.yaml:1:1: cannot be read: no such file or directory; check the name"},
		{args: "plan " + layoutsDir, status: 2, err: ":1:1: cannot be read: is a directory"},
		{args: "plan -", stdin: "", status: 2, err: "standard input:1:1: "},
		{args: "plan -", stdin: "echowright: 1\nname: x\nbodi: {}\n", status: 2, err: "standard input:3:1: "},
		{args: "export " + layoutsDir + "shelf-cart.yaml", status: 2, err: "export: no form ''; there are c, csv, html, json, svg"},
		{args: "export --as csv --table x " + layoutsDir + "shelf-cart.yaml", status: 2, err: "no table 'x'; there are firing"},
		{args: "kinds nothing", status: 2, err: "no kind \"nothing\"; there are open-pair-5v"},
		{args: "kinds --against x", status: 2, err: "no target \"x\""},
		{args: "kinds compare", status: 2, err: "name the kinds"},
		{args: "kinds --temperature 5..35", status: 2, err: "degC"},
		{args: "new nothing", status: 2, err: "no sample 'nothing'; there are"},
		{args: "new --length 1", status: 2, err: "new: --length"},
		{args: "new --length 0m --width 1m", status: 2, err: "new: --length: '0m' cannot be"},
		{args: "new --length 1m --width -1m", status: 2, err: "new: --width: '-1m' cannot be"},
		{args: "new --length 1m --width 1m --speed 0m/s", status: 2, err: "new: --speed: '0m/s' cannot be"},
		{args: "solve -", stdin: `{"windows_us":[1],"conflicts":[[0,7]]}`, status: 2, err: "standard input:1:"},
		{args: "solve --schema", status: 0, out: []string{"$schema", "jobs"}},
		{args: "solve", status: 2, err: "solve takes one instance"},
		{args: "solve - --limit 5", stdin: `{}`, status: 2, err: "without a unit; write 5s"},
		{args: "solve - --limit soon", stdin: `{}`, status: 2, err: "not a time; write it like 5s"},
		{args: "solve -", stdin: `{"style":"slots","cycle_us":3}`, status: 2, err: "solve --schema"},
		{args: "schedule --json --problem x", status: 2, err: "not both"},
		{args: "solve - --limit 0s", stdin: `{}`, status: 2, err: "give a time above 0"},
	} {
		t.Run(c.args, func(t *testing.T) {
			got := invoke(t, c.stdin, strings.Fields(c.args)...)
			if got.status != c.status {
				t.Errorf("status %d, want %d; messages: %s", got.status, c.status, got.err)
			}
			for _, want := range c.out {
				if !strings.Contains(strings.ToLower(got.out), strings.ToLower(want)) {
					t.Errorf("output lacks %q:\n%.600s", want, got.out)
				}
			}
			if c.err == "" && got.err != "" || !strings.Contains(got.err, c.err) {
				t.Errorf("messages %q, want %q", got.err, c.err)
			}
			if c.status == exitInput && got.out != "" {
				t.Errorf("a refused call printed %q", got.out)
			}
		})
	}
}

// spareKind is a layout that describes a kind no sensor has, with a beam measured on the bench.
const spareKind = `echowright: 1
body: {outline: {rectangle: [0.5 m, 0.4 m], height: 50..400 mm}}
kinds:
  spare: {like: open-pair-5v, range: {value: 3 m, against: wall, ended-by: threshold, source: datasheet}, beam: {table: [[-20 deg, 0 deg, 0.9 m], [0 deg, 0 deg, 1.5 m], [20 deg, 0 deg, 0.9 m]], against: post-75, source: bench}}
sensors: [{name: eye, kind: open-pair-5v, at: {from: front}, height: 200 mm}]
targets: {post: {shape: post, diameter: 75 mm, height: 0..1 m}}
zones: [{name: ahead, swept: {way: forward, reach: 1 m}, target: post, largest-gap: 100 mm}]
`

// Flags that hold spaces cannot come through the table above.
func TestNewFromSizePlans(t *testing.T) {
	for _, size := range [][]string{
		{"0.7 m", "500 mm", "100 mm", "0.9 m/s"}, {"0.7 m", "0.5 m", "0 mm", "0.9 m/s"}, {"0.6 m", "0.45 m", "0 mm", "0.5 m/s"}, {"150 mm", "120 mm", "20 mm", "0.1 m/s"},
	} {
		made := invoke(t, "", "new", "--length", size[0], "--width", size[1], "--corner", size[2], "--speed", size[3])
		if made.status != exitMet {
			t.Fatal(made.err)
		}
		got := invoke(t, made.out, "plan", "--json", "-")
		var p plan.Plan
		if err := json.Unmarshal([]byte(got.out), &p); err != nil || got.status != exitMet {
			t.Errorf("%v: a new layout does not meet its own demands: status %d, %v %s", size, got.status, err, got.err)
			continue
		}
		asked := 0
		for _, w := range p.Warnings {
			if !w.Asked {
				continue
			}
			asked++
			// The lane is as long as the machine needs, to a few centimetres: the wait was estimated before the plan was.
			lane := regexp.MustCompile(`reach: ([0-9.]+) (mm|m),`).FindStringSubmatch(made.out)
			reach, err := quantity.Parse(quantity.Length, lane[1]+lane[2])
			if err != nil || reach < w.NeededM || reach > w.NeededM+0.05 {
				t.Errorf("%v: lane of %g m, %g m needed (%v)", size, reach, w.NeededM, err)
			}
		}
		if asked != 1 {
			t.Errorf("%v: %d warnings asked for", size, asked)
		}
	}
}

func TestOutWritesAllOrNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "build")
	if got := invoke(t, "", "plan", layoutsDir+"first-rover.yaml", "--out", dir); got.status > exitNotMet {
		t.Fatal(got.err)
	}
	names, err := os.ReadDir(dir)
	if err != nil || len(names) != 10 {
		t.Fatalf("%d files, %v", len(names), err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	var p plan.Plan
	if err := json.Unmarshal(data, &p); err != nil {
		t.Fatal(err)
	}
	if printed := invoke(t, "", "plan", "--json", layoutsDir+"first-rover.yaml").out; printed != string(data) {
		t.Error("--json and plan.json differ")
	}
	file := filepath.Join(dir, "plan.json", "x")
	if got := invoke(t, "", "plan", layoutsDir+"first-rover.yaml", "--out", file); got.status != exitInput || !strings.Contains(got.err, "nothing was written") {
		t.Errorf("a folder below a file: status %d, %q", got.status, got.err)
	}
}

// fullDisk takes a few bytes and then no more.
type fullDisk struct{ left int }

func (d *fullDisk) Write(p []byte) (int, error) {
	if len(p) > d.left {
		return 0, io.ErrShortWrite
	}
	d.left -= len(p)
	return len(p), nil
}

func TestOutputCutShortIsSaid(t *testing.T) {
	var err bytes.Buffer
	status := run(context.Background(), []string{"plan", layoutsDir + "shelf-cart.yaml"}, streams{in: strings.NewReader(""), out: &fullDisk{10}, err: &err})
	if status != exitInput || !strings.Contains(err.String(), "cut short") {
		t.Errorf("status %d, %q", status, err.String())
	}
}

func TestSamePlanTwice(t *testing.T) {
	a := invoke(t, "", "plan", "--json", layoutsDir+"plank-trailer.yaml").out
	if b := invoke(t, "", "plan", "--json", layoutsDir+"plank-trailer.yaml").out; a != b {
		t.Error("two plans of one layout differ")
	}
}

// An interrupt ends a plan with one line and writes nothing; it ends a search with the best so far.
func TestInterrupt(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	dir := filepath.Join(t.TempDir(), "build")
	var out, err bytes.Buffer
	if status := run(ctx, []string{"plan", layoutsDir + "shelf-cart.yaml", "--out", dir}, streams{in: strings.NewReader(""), out: &out, err: &err}); status != exitInput ||
		out.Len() > 0 || !strings.Contains(err.String(), "interrupted; nothing was written") {
		t.Errorf("status %d, output %q, messages %q", status, out.String(), err.String())
	}
	if _, e := os.Stat(dir); e == nil {
		t.Error("an interrupted plan wrote its folder")
	}
	out.Reset()
	err.Reset()
	in := `{"windows_us":[3,1,2,3,2],"conflicts":[[0,1],[1,2],[2,3],[3,4],[4,0]]}`
	if status := run(ctx, []string{"solve", "-"}, streams{in: strings.NewReader(in), out: &out, err: &err}); status != exitMet || !strings.Contains(out.String(), `"cycle_us":`) {
		t.Errorf("status %d, output %q, messages %q", status, out.String(), err.String())
	}
}

// What goes into the scheduler for a layout can be had, and the scheduler alone makes the plan's cycle of it.
func TestProblemGivesThePlansCycle(t *testing.T) {
	for _, name := range []string{"first-rover", "hall-sweeper", "linen-tug", "plank-trailer", "shelf-cart"} {
		file := layoutsDir + name + ".yaml"
		problem := invoke(t, "", "schedule", file, "--problem")
		if problem.status != exitMet {
			t.Fatalf("%s: status %d: %s", name, problem.status, problem.err)
		}
		var plan, alone struct {
			CycleUs      int64 `json:"cycle_us"`
			LowerBoundUs int64 `json:"lower_bound_us"`
		}
		for out, into := range map[string]any{
			invoke(t, "", "schedule", file, "--json").out:              &plan,
			invoke(t, problem.out, "solve", "-", "--limit", "60s").out: &alone,
		} {
			if err := json.Unmarshal([]byte(out), into); err != nil {
				t.Fatalf("%s: %v: %.200s", name, err, out)
			}
		}
		if plan != alone || plan.CycleUs == 0 {
			t.Errorf("%s: the plan has %+v, its problem solved alone %+v", name, plan, alone)
		}
	}
}

func TestPanicStaysIndoors(t *testing.T) {
	bad := command{name: "bad", run: func(context.Context, *call) (int, error) { panic("boom") }}
	var out, err bytes.Buffer
	s := streams{out: &out, err: &err}
	if status := attempt(context.Background(), bad, nil, s).show(s); status != exitFault || strings.Count(err.String(), "\n") != 1 || !strings.Contains(err.String(), "boom (run_test.go:") {
		t.Errorf("status %d, %q", status, err.String())
	}
}

// As-read firmware keeps no table: it is never called clear, and there is none to export.
func TestAsReadIsNeverClear(t *testing.T) {
	data, err := os.ReadFile(layoutsDir + "first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(data), "style: slots", "style: as-read", 1)
	if got := invoke(t, text, "plan", "-"); got.status != exitNotMet || !strings.Contains(got.out, "as read") || strings.Contains(got.out, "not proven shortest") {
		t.Errorf("status %d: %s", got.status, got.out)
	}
	if got := invoke(t, text, "export", "--as", "c", "-"); got.status != exitInput || !strings.Contains(got.err, "keeps no table") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	dir := t.TempDir()
	if got := invoke(t, text, "plan", "-", "--out", dir); got.status != exitNotMet {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if _, err := os.Stat(filepath.Join(dir, "firing.h")); err == nil {
		t.Error("a header was written without a table")
	}
}
