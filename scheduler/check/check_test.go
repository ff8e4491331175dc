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
//	0    a and b          10 000 long, a's sound reaches c until 10 500 and c opens after 500;
//	                      guard 200, so the next group fires at 10 200
//	10 200  c             8 000 busy, guard 200
//	18 400  d             5 000 long; its sound reaches a until 6 000, a opens after 300:
//	                      5 700, guard 200, so the cycle is 18 400 + 5 900 = 24 300
func sound() (instance.Problem, instance.Timetable) {
	p := instance.Problem{
		Name: "by hand",
		Jobs: []instance.Job{
			{Name: "a", OpenUs: 300, CloseUs: 10_000},
			{Name: "b", OpenUs: 300, CloseUs: 9_000, BusyUs: 4_000, RestUs: 20_000},
			{Name: "c", OpenUs: 500, CloseUs: 6_000, BusyUs: 8_000},
			{Name: "d", OpenUs: 400, CloseUs: 5_000},
		},
		Arcs: []instance.Arc{
			{From: 0, To: 2, FromUs: 700, UntilUs: 10_500},
			{From: 3, To: 0, FromUs: 1_000, UntilUs: 6_000},
			{From: 0, To: 0, FromUs: 0, UntilUs: 9_000},
			{From: 0, To: 1, FromUs: 100, UntilUs: 300}, // ends as b opens
			{From: 1, To: 0, FromUs: 10_000, UntilUs: 10_100},
		},
		Conflicts: [][2]int{{2, 3}, {3, 1}},
		AtOnce:    2,
		GuardUs:   200,
	}
	t := instance.Timetable{
		CycleUs:      24_300,
		Firings:      []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 0}, {Job: 2, AtUs: 10_200}, {Job: 3, AtUs: 18_400}},
		Groups:       [][]int{{0, 1}, {2}, {3}},
		LowerBoundUs: 24_300,
		Proven:       true,
	}
	return p, t
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
		{"window longer than its slot", func(p P, t T) { p.Jobs[1].CloseUs = 10_001 }, check.Guard},
		{"window longer, into a late sound", func(p P, t T) { p.Jobs[0].CloseUs = 10_001 }, check.Sound},
		{"busy longer than its slot", func(p P, t T) { p.Jobs[2].BusyUs = 8_001 }, check.Guard},
		{"two slots of unequal length swapped", func(p P, t T) {
			t.Firings[2].Job, t.Firings[3].Job = 3, 2
			t.Groups = [][]int{{0, 1}, {3}, {2}}
		}, check.Guard},
		{"second slot fires too early", func(p P, t T) { t.Firings[2].AtUs-- }, check.Guard},
		{"third slot fires too early", func(p P, t T) { t.Firings[3].AtUs-- }, check.Guard},
		{"guard lost at the end of the cycle", func(p P, t T) { t.CycleUs -= 200 }, check.Guard},
		{"cycle 1 us short", func(p P, t T) { t.CycleUs-- }, check.Guard},
		{"guard 1 us longer", func(p P, t T) { p.GuardUs++ }, check.Guard},
		{"no guard asked, slot cut into the sound", func(p P, t T) { p.GuardUs = 0; t.CycleUs -= 201 }, check.Sound},
		{"sound 1 us longer than slot and guard", func(p P, t T) { p.Arcs[0].UntilUs += 201 }, check.Sound},
		{"sound 1 us into the guard", func(p P, t T) { p.Arcs[0].UntilUs++ }, check.Guard},
		{"sound of the last slot met by the next cycle", func(p P, t T) { p.Arcs[1].UntilUs += 201 }, check.Sound},
		{"own sound met by the next cycle", func(p P, t T) { p.Arcs[2].UntilUs = 24_601 }, check.Sound},
		{"sound of two cycles ago", func(p P, t T) {
			p.GuardUs = 0
			p.Arcs = append(p.Arcs, instance.Arc{From: 3, To: 2, FromUs: 24_300 + 16_100 + 500, UntilUs: 24_300 + 16_100 + 600})
		}, check.Sound},
		{"overlap of 1 us as the window opens", func(p P, t T) { p.Arcs[3].UntilUs++ }, check.Sound},
		{"overlap of 1 us as the window closes", func(p P, t T) { p.Arcs[4].FromUs-- }, check.Sound},
		{"a click inside a window", func(p P, t T) { p.Arcs[4] = instance.Arc{From: 1, FromUs: 301, UntilUs: 301} }, check.Sound},
		{"sound over a window of no length", func(p P, t T) {
			p.Jobs[1].OpenUs, p.Jobs[1].CloseUs = 200, 200
		}, check.Sound},
		{"capacity exceeded", func(p P, t T) { p.AtOnce = 1 }, check.Capacity},
		{"rest missed by 1 us", func(p P, t T) { p.Jobs[1].RestUs = 20_301 }, check.Rest},
		{"occupied for more than the cycle", func(p P, t T) { p.Jobs[3].BusyUs = 24_301 }, check.Guard},
		{"far too short a cycle", func(p P, t T) { p.Jobs[3].RestUs = 100 * 24_300 }, check.Rest},
		{"conflict together", func(p P, t T) { p.Conflicts = append(p.Conflicts, [2]int{1, 0}) }, check.Conflict},
		{"job left out", func(p P, t T) { t.Firings, t.Groups = t.Firings[:3], t.Groups[:2] }, check.Shape},
		{"job twice", func(p P, t T) { t.Firings[3].Job, t.Groups[2] = 2, []int{2} }, check.Shape},
		{"unknown job", func(p P, t T) { t.Firings[3].Job = 4 }, check.Shape},
		{"negative job", func(p P, t T) { t.Firings[0].Job = -1 }, check.Shape},
		{"fires after the cycle", func(p P, t T) { t.Firings[3].AtUs = 24_300 }, check.Shape},
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
		{"false clique", func(p P, t T) { t.Clique = []int{0, 1, 2} }, check.Bound},
		{"clique that does not add up", func(p P, t T) { t.Clique = []int{2, 3} }, check.Bound},
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

// a, c and d take turns: a's sound reaches c's window, d's reaches a's, c and d conflict. Their
// turns are 10 200, 8 200 and 5 900.
func TestCliqueStands(t *testing.T) {
	p, tt := sound()
	tt.Clique = []int{0, 2, 3}
	if err := check.Check(p, tt); err != nil {
		t.Fatal(err)
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
