package editor_test

import (
	"context"
	"os"
	"regexp"
	"slices"
	"testing"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/editor"
	"echowright/planner/plan"
	"echowright/planner/ways"
)

// Layouts whose budget cannot be kept, each with its reason: every way out that edits can say, taken in the editor, gives the document of
// which the command line says what was promised, cycle and verdict; the first is met. One undo takes it back.
func TestWaysOutAreTakenToAMetVerdict(t *testing.T) {
	for _, c := range []struct {
		name, file, cycle string
		kinds             []string // that must be among the ways out
	}{
		{"two beams", "../ways/testdata/two-beams.yaml", "20 ms", []string{plan.WayStyle, plan.WayTurn, plan.WayMove}},
		{"long windows", "../ways/testdata/long-windows.yaml", "45 ms", []string{plan.WayWindows}},
		{"waiting driver", "../ways/testdata/waiting-driver.yaml", "20 ms", []string{plan.WayReading}},
		{"both at once", "../ways/testdata/both-at-once.yaml", "8 ms", []string{plan.WaySeveral, plan.WayWindows, plan.WayReading}},
	} {
		t.Run(c.name, func(t *testing.T) {
			data, err := os.ReadFile(c.file)
			if err != nil {
				t.Fatal(err)
			}
			text := regexp.MustCompile(`cycle: [0-9]+ ms`).ReplaceAllString(string(data), "cycle: "+c.cycle)
			sc, faults := planner.Load(c.file, []byte(text), assets.Kinds())
			if sc == nil {
				t.Fatal(faults)
			}
			p, err := planner.Analyse(context.Background(), sc, planner.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if p.Met || p.Schedule.Met || len(p.Schedule.Clash) == 0 {
				t.Fatal("the budget is kept, or there is no reason why not")
			}
			all, err := ways.Find(context.Background(), sc, p, ways.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if len(all.Out) == 0 || !all.Out[0].Met || !all.Out[0].Taken() {
				t.Fatalf("first: %+v", all.Out)
			}
			var kinds []string
			for _, o := range all.Out {
				if kinds = append(kinds, o.Kind); !o.Taken() {
					continue
				}
				d := newDesk(t)
				d.Load("layout.yaml", []byte(text))
				d.Frame()
				d.Take(o.Changes...)
				d.Frame()
				q := byCommand(t, d.Text())
				if q.Schedule.RunsUs() != o.CycleUs[1] || q.Met != o.Met {
					t.Errorf("%s: cycle %d us, met %v; promised %d us, %v", o.What, q.Schedule.RunsUs(), q.Met, o.CycleUs[1], o.Met)
				}
				if at, ok := d.Item("tried"); !ok || at.H == 0 {
					t.Errorf("%s: before and after are not shown", o.What)
				}
				d.key("Ctrl+Z")
				if d.Text() != text {
					t.Errorf("%s: one undo does not take it back", o.What)
				}
			}
			for _, k := range c.kinds {
				if !slices.Contains(kinds, k) {
					t.Errorf("no way out by %s", k)
				}
			}
		})
	}
}

// Ways out stand among the findings, told when the cycle's plate is clicked; one that is an advice cannot be taken, any other can, there and
// then, before and after are shown, and undo takes it back.
func TestWaysOutStandAmongTheFindings(t *testing.T) {
	text, err := os.ReadFile("../ways/testdata/two-beams.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := deskWith(t, &atOnce{advise: true, out: true})
	d.Load("two-beams.yaml", text)
	d.Frame()
	var turn plan.Finding
	advice := 0
	for _, f := range d.Findings() {
		if f.Code != ways.CodeWayOut {
			continue
		}
		if len(f.Try) == 0 {
			advice++
		} else if f.Try[0].LeftDeg != 0 {
			turn = f
		}
	}
	if advice == 0 || len(turn.Try) == 0 || !slices.Contains(editor.PlatesOf(ways.CodeWayOut), "cycle") {
		t.Fatalf("%d advices, turn %+v", advice, turn)
	}
	d.TakeWay(turn)
	d.Frame()
	if notMet(byCommand(t, d.Text())) != 0 {
		t.Error("not met after")
	}
	if at, ok := d.Item("tried"); !ok || at.H == 0 {
		t.Error("before and after are not shown")
	}
	if slices.ContainsFunc(d.Findings(), func(f plan.Finding) bool { return f.Code == ways.CodeWayOut }) {
		t.Error("ways out of a budget that is kept")
	}
	d.key("Ctrl+Z")
	if d.Text() != string(text) {
		t.Error("one undo does not take it back")
	}
}
