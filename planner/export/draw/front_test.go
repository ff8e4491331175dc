package draw

import (
	"math"
	"strings"
	"testing"

	"echowright/planner/plan"
)

// The picture of range against cycle has a line a zone and a point a limit, all within its window, the budget among them; without limits it
// says why.
func TestRangeAgainstCycle(t *testing.T) {
	w := &plan.Ways{BudgetUs: 40_000, Front: []plan.Limit{
		{ListenM: 0.5, CycleUs: 20_000, Shares: []plan.ShareOf{{Zone: "lane", Share: 0.4}, {Zone: "skirt", State: "ramp up", Share: 0}}, Missed: []string{"lane seen"}},
		{ListenM: 1, CycleUs: 60_000, Shares: []plan.ShareOf{{Zone: "lane", Share: 1}, {Zone: "skirt", State: "ramp up", Share: 0.8}}},
	}}
	one := &plan.Ways{Front: w.Front[:1]}
	for _, c := range []struct {
		w             *plan.Ways
		lines, points int
	}{{w, 2, 4}, {one, 2, 2}, {&plan.Ways{NoFront: "no window here can be set"}, 0, 0}} {
		pic := RangeAgainstCycle(c.w, 700, 400)
		lines, points, text := 0, 0, ""
		for _, l := range pic.Layers {
			for _, s := range l.Shapes {
				text += s.Text + "|"
				switch {
				case l.Name == "points":
					points++
				case l.Name == "curves" && s.Title != "":
					lines++
				}
				for _, q := range append([]Point{s.At}, flatten(s.Rings)...) {
					if math.IsNaN(q[0]) || s.Text == "" && q != s.At && (q[0] < pic.Min[0] || q[0] > pic.Max[0] || q[1] < pic.Min[1] || q[1] > pic.Max[1]) {
						t.Errorf("%v lies outside the picture", q)
					}
				}
			}
		}
		if lines != c.lines || points != c.points {
			t.Errorf("%d lines, %d points", lines, points)
		}
		if c.w == w && (!strings.Contains(text, "budget 40 ms") || !strings.Contains(text, "skirt, ramp up")) || c.w.NoFront != "" && !strings.Contains(text, c.w.NoFront) {
			t.Errorf("it says %s", text)
		}
		if math.Abs(pic.Width()-700) > 1e-6 || math.Abs(pic.Height()-400) > 1e-6 {
			t.Errorf("%g by %g", pic.Width(), pic.Height())
		}
	}
}

func flatten(rings [][]Point) (all []Point) {
	for _, r := range rings {
		all = append(all, r...)
	}
	return all
}
