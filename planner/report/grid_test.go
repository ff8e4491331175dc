package report

import (
	"bytes"
	"fmt"
	"html"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// marks are the marks of the grid, a row a line.
func marks(p *plan.Plan) string {
	var rows []string
	for _, r := range who(p) {
		row := ""
		for _, c := range r.Cells {
			row += c.Mark
		}
		rows = append(rows, row)
	}
	return strings.Join(rows, " ")
}

// b fires 25 ms after a in 50 ms, listens from 1 to 10 ms: sound of a that comes until 9 ms is gone for b, until 28 ms is not.
func TestGridSaysWhatBecomesOfSound(t *testing.T) {
	arc := func(from, to string, until int64) plan.Arc {
		return plan.Arc{From: from, To: to, Path: "wall", FromUs: 3000, UntilUs: until, LevelDB: 12, ReadsM: [2]float64{0.51, 1.53}, Harms: true}
	}
	same := arc("a", "b", 9000)
	same.SameObject = true
	sameLate := arc("a", "b", 28000)
	sameLate.SameObject = true
	for _, c := range []struct {
		name  string
		arcs  []plan.Arc
		want  string
		title string // of a at b
	}{
		{"nothing", nil, "–· ·–", "b does not hear a"},
		{"kept out", []plan.Arc{arc("a", "b", 9000)}, "–○ ·–", "b hears a: kept out; would show 0.51 m to 1.53 m fired together; at most 12 dB over its threshold, by a wall"},
		{"let in", []plan.Arc{arc("a", "b", 9000), arc("a", "b", 28000)}, "–× ·–",
			"b hears a: let in, 1 of 2: reads 170 mm to 0.51 m; would show 0.51 m to 1.53 m fired together; at most 12 dB over its threshold, by a wall"},
		{"same thing", []plan.Arc{same}, "–= ·–", "b hears a: of the same thing as its own echo, and no sooner; at most 12 dB over its threshold, by a wall"},
		{"same thing and another", []plan.Arc{same, arc("a", "b", 9000)}, "–○ ·–", ""},
		{"same thing, let in late", []plan.Arc{sameLate}, "–× ·–", ""},
		{"own echo older than the cycle", []plan.Arc{arc("b", "b", 54000)}, "–· ·×", ""},
		{"own echo gone", []plan.Arc{arc("b", "b", 23000)}, "–· ·–", ""},
	} {
		p := hall(c.arcs...)
		if got := marks(p); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if got := who(p)[0].Cells[1].Title; c.title != "" && got != c.title {
			t.Errorf("%s: %q", c.name, got)
		}
		if n := strings.Count(marks(p), letInSound.Mark); n != p.Disturbed() {
			t.Errorf("%s: %d marks, %d pairs that disturb", c.name, n, p.Disturbed())
		}
	}
	p := hall(arc("a", "b", 9000))
	p.Schedule.Firings = p.Schedule.Firings[:1]
	if got := who(p)[0].Cells[1]; !got.Bad || !strings.Contains(got.Title, "not kept out: b fires by itself") {
		t.Errorf("by itself: %+v", got)
	}
}

// The table has a heading for every row and column, a word and a title in every cell, and lets no name out into the markup.
func TestGridInTheReport(t *testing.T) {
	p := plantest.Small()
	p.Sensors[0].Name = plantest.Hostile
	p.Crosstalk = []plan.Arc{{From: plantest.Hostile, To: p.Sensors[1].Name, Path: "target: " + plantest.Hostile, LevelDB: 3}}
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(b.String(), `<table class="who">`)
	table, _, ok := strings.Cut(rest, "</table>")
	if !ok {
		t.Fatal("no grid")
	}
	n := len(p.Sensors)
	for part, want := range map[string]int{`<th scope="row">`: n, `<th scope="col">`: n + 1, `<td`: n * n, `title="`: n * n, `aria-label="`: n * n, "<script": 0, "<caption>": 1} {
		if got := strings.Count(table, part); got != want {
			t.Errorf("%d of %s, want %d", got, part, want)
		}
	}
	if !strings.Contains(html.UnescapeString(table), plantest.Hostile) {
		t.Error("the name is not in the grid")
	}
}

// One sensor has no grid; 32 have one and 33 are told where to look.
func TestGridOnlyWhereItFits(t *testing.T) {
	for n, want := range map[int]bool{1: false, 2: true, gridMost: true, gridMost + 1: false} {
		p := hall()
		p.Sensors = nil
		for i := range n {
			p.Sensors = append(p.Sensors, plan.Sensor{Name: fmt.Sprint("s", i)})
		}
		var b bytes.Buffer
		if err := Write(&b, p); err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(b.String(), `<table class="who">`); got != want {
			t.Errorf("%d sensors: a grid %v", n, got)
		}
		if got := strings.Contains(b.String(), "left out for more than 32"); got != (n > gridMost) {
			t.Errorf("%d sensors: said left out %v", n, got)
		}
	}
}

// Every colour of the drawing's frames stands in its legend.
func TestLegendNamesTheFrames(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"red frame and line", "violet frame and line", "hatched: blind spot", `swatch late`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("legend lacks %q", want)
		}
	}
}
