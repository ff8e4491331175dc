package report

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// hall is two sensors, a and b, in still air of 340 m/s: each may hear from 1 ms, listens until 10 ms and is busy until 20 ms
// after it fires, b 25 ms after a in a cycle of 50 ms. 10 ms are 1.70 m.
func hall(arcs ...plan.Arc) *plan.Plan {
	p := plantest.Small()
	p.Layout, p.States, p.Masks, p.Findings, p.Crosstalk = "hall", nil, nil, nil, arcs
	p.Air.Slowest, p.Air.Fastest = 340, 340
	p.Sensors, p.Schedule.Firings, p.Schedule.Groups = nil, nil, [][]string{{"a"}, {"b"}}
	p.Schedule.CycleUs, p.Schedule.GuardUs = 50000, 500
	p.Schedule.CycleTicks, p.Schedule.RealisedCycleUs = 12500, 50000
	for k, name := range []string{"a", "b"} {
		at := int64(25000 * k)
		p.Sensors = append(p.Sensors, plan.Sensor{Name: name, ListenM: 1.7, ListenUntilUs: 10000, BusyUs: 20000})
		p.Schedule.Firings = append(p.Schedule.Firings, plan.Firing{Sensor: name, Group: k + 1, AtUs: at, MayHearFromUs: at + 1000, ListenFromUs: at + 1000, ListenUntilUs: at + 10000, BusyUntilUs: at + 20000})
	}
	return p
}

func TestCardOfOneSensor(t *testing.T) {
	own := func(until int64) plan.Arc {
		return plan.Arc{From: "b", To: "b", Path: "wall", FromUs: 3000, UntilUs: until, LevelDB: 9, Points: [][2]float64{{0.3, 0}, {1, 0}, {0.3, 0}}}
	}
	foreign := plan.Arc{From: "a", To: "b", Path: "wall", FromUs: 3000, UntilUs: 12000, LevelDB: 20, ReadsM: [2]float64{0.51, 2.04}, HidesM: [2]float64{0.51, 1.7},
		Harms: true, Points: [][2]float64{{0.3, 0.1}, {0.8, 0}, {0.3, -0.1}}}
	late := foreign
	late.FromUs, late.UntilUs, late.Harms = 22000, 30000, false // b, 25 ms after a, hears it from 1 to 5 ms after it fires
	for _, c := range []struct {
		name                      string
		arc                       plan.Arc
		shows, when, order, hides string
		bad                       bool
	}{
		// 20 ms is the soonest b can fire again. An echo of 23 ms then comes 3 ms after it fires: 0.51 m; it comes off 3.91 m.
		{"own echo, fired again too soon", own(23000), "170 mm to 0.51 m", "fired again after 20 ms: own echo off a wall, 3.91 m away, one cycle late",
			"cannot happen at this cycle: sound is gone after 23 ms of 50 ms", "nothing", false},
		{"own echo gone before it can fire", own(20600), "nothing", "fired again as soon as it can, after 20 ms: own echo off a wall, 3.50 m away, is gone by then",
			"cannot happen at this cycle: sound is gone after 20.6 ms of 50 ms", "nothing", false},
		{"own echo older than the cycle", own(54000), "170 mm to 0.68 m", "own echo off a wall, 9.18 m away, late", "let in: sound is gone after 54 ms of 50 ms", "nothing", true},
		{"foreign, fired together", foreign, "0.51 m to 1.70 m", "fired together with a or up to 11 ms after it: a wall, 0.50 m ahead of the front, on the middle line", "kept out", "0.51 m to 1.70 m", false},
		{"foreign, let in", late, "170 mm to 1.70 m", "fired 12 ms to 29 ms after a: a wall, 0.50 m ahead of the front, on the middle line", "let in, 1 of 1: reads 170 mm to 0.85 m", "0.51 m to 1.70 m", true},
	} {
		rows := card(hall(c.arc))
		if len(rows) != 1 {
			t.Errorf("%s: %d rows", c.name, len(rows))
			continue
		}
		r := rows[0]
		if got := plan.LengthSpan(r.Reads); got != c.shows || r.When != c.when || r.Order != c.order || r.Bad != c.bad || plan.LengthSpan(r.Hides) != c.hides {
			t.Errorf("%s: shows %s | %s | %s | hides %s | bad %v", c.name, got, r.When, r.Order, plan.LengthSpan(r.Hides), r.Bad)
		}
	}
}

// Arcs of one kind of path are one row told by the loudest; what is the same thing to both is none; what the sensor reads of
// its own machine comes first, and one that fires by itself is kept out by no order.
func TestCardIsGrouped(t *testing.T) {
	arc := func(from, path string, level float64) plan.Arc {
		return plan.Arc{From: from, To: "b", Path: path, FromUs: 3000, UntilUs: 9000, LevelDB: level, ReadsM: [2]float64{0.5, 1.5}, Harms: true}
	}
	same := arc("a", "part: ramp", 30)
	same.SameObject = true
	p := hall(arc("a", "wall", 5), arc("a", "wall", 8), arc("c", "two walls", 9), same)
	p.Masks = []plan.Mask{{Sensor: "b", What: "ramp", State: "down", ReadsM: 0.4, Always: true}}
	var got []string
	for _, w := range wrongs(p) {
		got = append(got, w.Path+": "+w.Order)
	}
	want := []string{"own machine: no order keeps it out", "two walls: not kept out: c fires by itself", "wall: kept out"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if w := wrongs(p)[2]; w.Ways != 2 || w.LevelDB != 8 || w.Others != 0 {
		t.Errorf("%+v", w)
	}
	if n := sameThing(p); n != 1 {
		t.Errorf("%d arcs of the same thing", n)
	}
}

// Senders of one kind of path that the table keeps out, that it lets in and that fire by themselves are not told by the reason
// of one of them: those outside the table have a row of their own.
func TestCardTellsReasonsApart(t *testing.T) {
	arc := func(from string, level float64, until int64) plan.Arc {
		return plan.Arc{From: from, To: "b", Path: "wall", FromUs: 3000, UntilUs: until, LevelDB: level, ReadsM: [2]float64{0.51, 1.53}, Harms: true}
	}
	for _, c := range []struct {
		name string
		arcs []plan.Arc
		want []string
	}{
		{"kept out beside one by itself", []plan.Arc{arc("a", 5, 9000), arc("c", 30, 9000)},
			[]string{"30 dB, 1 way, +0, bad true: not kept out: c fires by itself", "5 dB, 1 way, +0, bad false: kept out"}},
		// b fires 25 ms after a, so 28 ms after a's trigger is 3 ms after its own: 0.51 m.
		{"let in beside two by themselves", []plan.Arc{arc("c", 8, 9000), arc("a", 20, 28000), arc("d", 9, 9000)},
			[]string{"20 dB, 1 way, +0, bad true: let in, 1 of 1: reads 170 mm to 0.51 m", "9 dB, 2 way, +1, bad true: not kept out: c, d fire by themselves"}},
	} {
		var got []string
		for _, w := range wrongs(hall(c.arcs...)) {
			got = append(got, fmt.Sprintf("%.0f dB, %d way, +%d, bad %v: %s", w.LevelDB, w.Ways, w.Others, w.Bad, w.Order))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%q\nwant\n%q", c.name, got, c.want)
		}
	}
	p := hall(arc("a", 5, 9000), arc("c", 30, 9000))
	p.Schedule.Firings = p.Schedule.Firings[:1] // now b, who listens, has no place in the table
	if rows := wrongs(p); len(rows) != 1 || rows[0].Order != "not kept out: b fires by itself" || rows[0].Ways != 2 {
		t.Errorf("listener by itself: %+v", rows)
	}
}

// The summary tells the loudest of each kind of path, what is let in before it, and where the rest is.
func TestSummaryTellsTheWorstWrongReadings(t *testing.T) {
	arc := func(from, to string, level float64) plan.Arc {
		return plan.Arc{From: from, To: to, Path: "direct", FromUs: 3000, UntilUs: 9000, LevelDB: level, ReadsM: [2]float64{0.51, 1.53}, HidesM: [2]float64{0.51, 1.7}, Harms: true}
	}
	p := hall(arc("a", "b", 20), arc("b", "a", 12))
	p.Around.Bounces = 2
	var b bytes.Buffer
	if err := Summary(&b, p, false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"  b shows 0.51 m to 1.53 m fired together with a or up to 8 ms after it: along the body\n",
		"      kept out; 20 dB over its threshold, hides true echoes 0.51 m to 1.70 m\n",
		"  1 more such line is in the report, every path of sound in crosstalk.csv\n",
		"walls from 0.5 to 8 m, 2 bounces",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q:\n%s", want, b.String())
		}
	}
	p.Crosstalk[1].UntilUs = 26500 // b's, 25 ms before the next of a: 1.5 ms after it fires
	if rows, left := worstWrongs(p); len(rows) != 1 || left != 1 || rows[0].Sensor != "a" || !rows[0].Bad {
		t.Errorf("what is let in does not come first: %+v", rows)
	}
}

// As-read keeps no table: own echoes are weighed against the shortest cycle, and the comparison names both.
func TestAsReadIsWeighedAtItsShortest(t *testing.T) {
	p := hall(plan.Arc{From: "b", To: "b", Path: "wall", FromUs: 3000, UntilUs: 23000, HitsUs: [2]int64{1000, 3000}})
	p.Schedule.Style, p.Schedule.BestCycleUs, p.Schedule.WorstCycleUs = plan.AsRead, 20000, 50000
	if r := card(p)[0]; !r.Bad || r.Order != "let in: sound is gone after 23 ms, a cycle may last only 20 ms" || plan.LengthSpan(r.Reads) != "170 mm to 0.51 m" {
		t.Errorf("%+v", r)
	}
	if o := orders(p)[2]; o.Own != 1 || o.Note != "as-read: at the worst; at the best 20 ms" {
		t.Errorf("%+v", o)
	}
}

func TestReportComparesOrders(t *testing.T) {
	p := hall(
		plan.Arc{From: "a", To: "b", Path: "wall", FromUs: 3000, UntilUs: 24000, Harms: true, ReadsM: [2]float64{0.5, 3}},
		plan.Arc{From: "a", To: "a", Path: "wall", FromUs: 3000, UntilUs: 24000})
	got := orders(p)
	// a's sound is gone for every listener, open from 1 ms, after 23 ms; b's line is free after 20; 0.5 ms of guard each.
	for i, want := range []order{{CycleUs: 20000, Pairs: 1, Own: 1}, {CycleUs: 23500 + 20500}, {CycleUs: 50000}} {
		if g := got[i]; g.CycleUs != want.CycleUs || g.Pairs != want.Pairs || g.Own != want.Own {
			t.Errorf("%s: %+v, want %+v", g.Name, g, want)
		}
	}
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"one after another", "44 ms", "Every possible wrong reading", "one cycle late", "cannot happen at this cycle"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("report lacks %q", want)
		}
	}
	p.Schedule.Firings = p.Schedule.Firings[:1]
	if len(orders(p)) != 0 {
		t.Error("one firing has no order")
	}
}

func TestSurroundingsInWords(t *testing.T) {
	p := plantest.Small()
	for _, c := range []struct {
		walls   [2]float64
		bounces int
		want    string
	}{
		{[2]float64{0.5, 8}, 1, "walls from 0.5 to 8 m, 1 bounce"},
		{[2]float64{0.5, 8}, 2, "walls from 0.5 to 8 m, 2 bounces"},
		{[2]float64{0.5, 8}, 0, "no walls, along the body alone"},
		{[2]float64{1, 0}, 2, "no walls, 2 bounces"},
	} {
		p.Around.WallsM, p.Around.Bounces = c.walls, c.bounces
		if got := around(p); got != c.want {
			t.Errorf("%v, %d: %s", c.walls, c.bounces, got)
		}
	}
}
