package check_test

import (
	"errors"
	"slices"
	"testing"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// sound is a problem of four jobs and a timetable that stands, worked out by hand:
//
//	0       a and b       10 000 long, guard 200; a's sound reaches c until 10 700 and c opens after 500,
//	                      so the next group fires at 10 200. Their transfers follow one another
//	10 200  c             8 000 busy, guard 200
//	18 400  d             5 000 long; its sound reaches a until 6 000, a opens after 300: 5 700, so
//	                      the cycle is 24 100
func sound() (instance.Problem, instance.Timetable) {
	p := instance.Problem{
		Name: "by hand",
		Jobs: []instance.Job{
			{Name: "a", OpenUs: 300, CloseUs: 10_000},
			{Name: "b", OpenUs: 300, CloseUs: 9_000, BusyUs: 4_000, RestUs: 20_000},
			{Name: "c", OpenUs: 500, CloseUs: 6_000, BusyUs: 7_000, TransferUs: 1_000},
			{Name: "d", OpenUs: 400, CloseUs: 5_000},
		},
		Arcs: []instance.Arc{
			{From: 0, To: 2, FromUs: 700, UntilUs: 10_700},
			{From: 3, To: 0, FromUs: 1_000, UntilUs: 6_000},
			{From: 0, To: 0, FromUs: 0, UntilUs: 9_000},
			{From: 0, To: 1, FromUs: 100, UntilUs: 300}, // ends as b opens
			{From: 1, To: 0, FromUs: 10_000, UntilUs: 10_100},
			{From: 0, To: 2, FromUs: 16_200, UntilUs: 17_000}, // begins as c closes
			{From: 3, To: 2, FromUs: 1_000, UntilUs: 6_200},
		},
		Conflicts: [][2]int{{2, 3}, {3, 1}},
		Together:  [][]int{{1, 0}},
		Order:     [][]int{{0, 2, 3}},
		Resources: []instance.Resource{
			{Name: "port", Capacity: 1, Uses: []instance.Use{{Job: 0, Amount: 1, FromUs: 9_000, UntilUs: 9_500}, {Job: 1, Amount: 1, FromUs: 8_000, UntilUs: 9_000}}},
			{Name: "current", Capacity: 800, Uses: []instance.Use{{Job: 0, Amount: 400, UntilUs: 300}, {Job: 1, Amount: 400, UntilUs: 250}, {Job: 2, Amount: 800, UntilUs: 300}}},
			{Name: "bus", Capacity: 4, Uses: []instance.Use{{Job: 0, Amount: 1, UntilUs: 9_000}, {Job: 1, Amount: 1, UntilUs: 8_000}, {Job: 2, Amount: 4, FromUs: 7_000, UntilUs: 8_000}}},
		},
		AtOnce:  2,
		GuardUs: 200,
	}
	t := instance.Timetable{
		CycleUs:      24_100,
		Firings:      []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 0}, {Job: 2, AtUs: 10_200}, {Job: 3, AtUs: 18_400}},
		Groups:       [][]int{{0, 1}, {2}, {3}},
		LowerBoundUs: 24_100,
		Proven:       true,
		Clique:       []int{0, 2, 3},
	}
	return p, t
}

// All of a clique that must fire together is one turn and proves no more than that.
func TestTogetherIsOneTurn(t *testing.T) {
	p := instance.Problem{Jobs: []instance.Job{{CloseUs: 100}, {CloseUs: 100}}, Together: [][]int{{0, 1}}}
	table := instance.Timetable{CycleUs: 5000, LowerBoundUs: 5000, Proven: true, Clique: []int{0, 1},
		Firings: []instance.Firing{{Job: 0}, {Job: 1}}, Groups: [][]int{{0, 1}}}
	if err := check.Check(p, table); err == nil {
		t.Error("a bound of 5000 us by one turn of 100 us was accepted")
	}
}

func TestStands(t *testing.T) {
	p, tt := sound()
	if err := check.Check(p, tt); err != nil {
		t.Fatal(err)
	}
	if err := check.Check(instance.Problem{}, instance.Timetable{Proven: true}); err != nil {
		t.Error("nothing to fire:", err)
	}
}

// Each damage changes one thing of a sound pair and must be refused for its own reason.
func TestRefuses(t *testing.T) {
	type P = *instance.Problem
	type T = *instance.Timetable
	cases := []struct {
		name   string
		damage func(p P, t T)
		rule   check.Rule
	}{
		{"window 1 us longer than its slot", func(p P, t T) { p.Jobs[1].CloseUs = 10_001; p.Arcs = nil }, check.Guard},
		{"window 1 us longer, into a late sound", func(p P, t T) { p.Jobs[2].CloseUs = 6_001 }, check.Sound},
		{"window opens 1 us earlier, into a late sound", func(p P, t T) { p.Jobs[2].OpenUs-- }, check.Sound},
		{"busy longer than its slot", func(p P, t T) { p.Jobs[2].BusyUs = 7_001 }, check.Guard},
		{"transfer longer than its slot", func(p P, t T) { p.Jobs[2].TransferUs++ }, check.Guard},
		{"use longer than its slot", func(p P, t T) { p.Resources[1].Uses[2].UntilUs = 8_001 }, check.Guard},
		{"two groups of unequal length swapped", func(p P, t T) {
			p.Order = nil
			t.Firings[2].Job, t.Firings[3].Job = 3, 2
			t.Groups = [][]int{{0, 1}, {3}, {2}}
		}, check.Guard},
		{"two groups swapped, each with its time", func(p P, t T) {
			p.Order = nil
			t.Firings = []instance.Firing{{Job: 0}, {Job: 1}, {Job: 3, AtUs: 10_200}, {Job: 2, AtUs: 15_900}}
			t.Groups = [][]int{{0, 1}, {3}, {2}}
			p.Arcs[1].UntilUs = 14_300 // a opens 13 900 after d fired
		}, check.Sound},
		{"second group fires too early", func(p P, t T) { t.Firings[2].AtUs--; p.Arcs = nil }, check.Guard},
		{"third group fires too early", func(p P, t T) { t.Firings[3].AtUs-- }, check.Guard},
		{"guard lost at the end of the cycle", func(p P, t T) { t.CycleUs = 23_400; p.Arcs = nil; p.Jobs[1].RestUs = 0 }, check.Guard},
		{"cycle 1 us short", func(p P, t T) { t.CycleUs-- }, check.Sound},
		{"guard 1 us longer", func(p P, t T) { p.GuardUs++ }, check.Guard},
		{"jitter of 1 us", func(p P, t T) { p.JitterUs++; p.Arcs = nil }, check.Guard},
		{"jitter of 1 us, guard to spare", func(p P, t T) { p.JitterUs++; p.GuardUs -= 100 }, check.Sound},
		{"jitter of 1 us at the port", func(p P, t T) {
			p.JitterUs++
			p.GuardUs, p.Arcs = 100, nil
		}, check.Resource},
		{"sound 1 us longer", func(p P, t T) { p.Arcs[0].UntilUs++ }, check.Sound},
		{"sound of the last group met by the next cycle", func(p P, t T) { p.Arcs[1].UntilUs++ }, check.Sound},
		{"own sound met by the next cycle", func(p P, t T) { p.Arcs[2].UntilUs = 24_401 }, check.Sound},
		{"own sound of two cycles ago", func(p P, t T) {
			p.Arcs = append(p.Arcs, instance.Arc{From: 3, To: 3, FromUs: 2*24_100 + 4_999, UntilUs: 2*24_100 + 5_100})
		}, check.Sound},
		{"sound of two cycles ago", func(p P, t T) {
			p.Arcs = append(p.Arcs, instance.Arc{From: 3, To: 2, FromUs: 24_100 + 15_900 + 500, UntilUs: 24_100 + 15_900 + 600})
		}, check.Sound},
		{"a click of a hundred cycles ago", func(p P, t T) {
			at := int64(100*24_100 + 8_200 + 401)
			p.Arcs = append(p.Arcs, instance.Arc{From: 2, To: 3, FromUs: at, UntilUs: at})
		}, check.Sound},
		{"sound for ever", func(p P, t T) { p.Arcs[2].UntilUs = instance.MaxUs }, check.Sound},
		{"overlap of 1 us as the window opens", func(p P, t T) { p.Arcs[3].UntilUs++ }, check.Sound},
		{"overlap of 1 us as the window closes", func(p P, t T) { p.Arcs[4].FromUs-- }, check.Sound},
		{"overlap of 1 us as a later window closes", func(p P, t T) { p.Arcs[5].FromUs-- }, check.Sound},
		{"a click inside a window", func(p P, t T) { p.Arcs[4] = instance.Arc{From: 1, FromUs: 301, UntilUs: 301} }, check.Sound},
		{"sound over a window of no length", func(p P, t T) {
			p.Jobs[1].OpenUs, p.Jobs[1].CloseUs = 200, 200
		}, check.Sound},
		{"capacity exceeded", func(p P, t T) { p.AtOnce, p.Together = 1, nil }, check.Capacity},
		{"port overlap of 1 us", func(p P, t T) { p.Resources[0].Uses[1].UntilUs++ }, check.Resource},
		{"current exceeded by 1", func(p P, t T) { p.Resources[1].Capacity = 800; p.Resources[1].Uses[1].Amount++ }, check.Resource},
		{"bus not silent", func(p P, t T) {
			p.Resources[2].Uses = append(p.Resources[2].Uses, instance.Use{Job: 1, Amount: 4, FromUs: 8_999, UntilUs: 9_000})
		}, check.Resource},
		{"rest missed by 1 us", func(p P, t T) { p.Jobs[1].RestUs = 20_101 }, check.Rest},
		{"rest missed by the jitter", func(p P, t T) {
			p.Jobs[1].RestUs, p.JitterUs, p.GuardUs = 20_099, 1, 100
			p.Arcs, p.Resources = nil, nil
		}, check.Rest},
		{"occupied for more than the cycle", func(p P, t T) { p.Jobs[3].BusyUs = 24_101 }, check.Rest},
		{"far too short a cycle", func(p P, t T) { p.Jobs[3].RestUs = 100 * 24_300 }, check.Rest},
		{"conflict together", func(p P, t T) { p.Conflicts = append(p.Conflicts, [2]int{1, 0}); p.Together = nil }, check.Conflict},
		{"set split", func(p P, t T) { p.Together = [][]int{{2, 0}}; p.Order = nil; p.Arcs = p.Arcs[1:5] }, check.Together},
		{"chain out of order", func(p P, t T) { p.Order = [][]int{{0, 3, 2}} }, check.Order},
		{"chain within a group", func(p P, t T) { p.Order = [][]int{{0, 1}}; p.Together = nil }, check.Order},
		{"job left out", func(p P, t T) { t.Firings, t.Groups = t.Firings[:3], t.Groups[:2] }, check.Shape},
		{"job twice", func(p P, t T) { t.Firings[3].Job, t.Groups[2] = 2, []int{2} }, check.Shape},
		{"unknown job", func(p P, t T) { t.Firings[3].Job = 4 }, check.Shape},
		{"negative job", func(p P, t T) { t.Firings[0].Job = -1 }, check.Shape},
		{"fires after the cycle", func(p P, t T) { t.Firings[3].AtUs = 24_100 }, check.Shape},
		{"fires before the cycle", func(p P, t T) { t.Firings[0].AtUs = -1 }, check.Shape},
		{"out of order", func(p P, t T) { slices.Reverse(t.Firings) }, check.Shape},
		{"group split", func(p P, t T) { t.Groups = [][]int{{0}, {1}, {2}, {3}} }, check.Shape},
		{"groups joined", func(p P, t T) { t.Groups = [][]int{{0, 1}, {2, 3}} }, check.Shape},
		{"groups swapped", func(p P, t T) { t.Groups = [][]int{{0, 1}, {3}, {2}} }, check.Shape},
		{"group missing", func(p P, t T) { t.Groups = t.Groups[:2] }, check.Shape},
		{"empty group", func(p P, t T) { t.Groups = append(t.Groups, nil) }, check.Shape},
		{"no cycle", func(p P, t T) { t.CycleUs = 0 }, check.Shape},
		{"negative cycle", func(p P, t T) { t.CycleUs = -1 }, check.Shape},
		{"endless cycle", func(p P, t T) { t.CycleUs = 1 << 62 }, check.Shape},
		{"bound above the cycle", func(p P, t T) { t.LowerBoundUs++ }, check.Bound},
		{"proven with a gap", func(p P, t T) { t.LowerBoundUs-- }, check.Bound},
		{"false clique", func(p P, t T) {
			p.Conflicts, p.Order, p.AtOnce, p.Arcs = nil, nil, 0, p.Arcs[:6]
			p.Resources = nil
		}, check.Bound},
		{"clique that does not need as much", func(p P, t T) { t.Clique = []int{2, 3} }, check.Bound},
		{"clique of two that fire together", func(p P, t T) { t.Clique = []int{0, 1, 2} }, check.Bound},
		{"clique of a job twice", func(p P, t T) { t.Clique = []int{2, 2} }, check.Bound},
		{"clique of nobody", func(p P, t T) { t.Clique = []int{7} }, check.Bound},
	}
	for _, c := range cases {
		p, tt := sound()
		c.damage(&p, &tt)
		err := check.Check(p, tt)
		var v *check.Violation
		if !errors.As(err, &v) || v.Rule != c.rule || v.Text == "" {
			t.Errorf("%s: got %v, want a breach of %s", c.name, err, c.rule)
		}
	}
}

func TestFaultyProblem(t *testing.T) {
	p, tt := sound()
	p.Jobs[0].OpenUs = -1
	var f *instance.Fault
	if err := check.Check(p, tt); !errors.As(err, &f) {
		t.Errorf("got %v, want a fault of the problem", err)
	}
}
