package check_test

import (
	"errors"
	"slices"
	"testing"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// staggered is a problem of five jobs and a staggered timetable that stands, worked out by hand. Guard 200:
//
//	0       a        10 000 long, held to 10 200
//	5 000   b and e  a's sound reaches b until 5 300, as b opens, and again from 14 000, as it closes; a's
//	                 current ends; b is held to 14 200, rests until 29 100: a cycle of 24 100; e to 5 300
//	10 200  c        conflicts with a; b's sound reaches it until 5 700 after b, as c opens; it takes the port at
//	                 14 000, as b leaves it; held to 18 400
//	18 400  d        conflicts with c; its sound reaches the next a until 24 400, as a opens
func staggered() (instance.Problem, instance.Timetable) {
	p := instance.Problem{
		Style: instance.Staggered,
		Jobs: []instance.Job{
			{Name: "a", OpenUs: 300, CloseUs: 10_000},
			{Name: "b", OpenUs: 300, CloseUs: 9_000, BusyUs: 4_000, RestUs: 20_100},
			{Name: "c", OpenUs: 500, CloseUs: 6_000, BusyUs: 7_000, TransferUs: 1_000},
			{Name: "d", OpenUs: 400, CloseUs: 5_000},
			{Name: "e", CloseUs: 100},
		},
		Arcs: []instance.Arc{
			{From: 0, To: 1, FromUs: 100, UntilUs: 5_300},
			{From: 0, To: 1, FromUs: 14_000, UntilUs: 14_100},
			{From: 1, To: 2, FromUs: 100, UntilUs: 5_700},
			{From: 3, To: 0, FromUs: 1_000, UntilUs: 6_000},
			{From: 1, To: 1, FromUs: 100, UntilUs: 24_400}, // its own, until it opens again
		},
		Conflicts: [][2]int{{0, 2}, {2, 3}},
		Together:  [][]int{{1, 4}},
		Order:     [][]int{{0, 1, 2, 3}},
		Resources: []instance.Resource{
			{Name: "current", Capacity: 800, Uses: []instance.Use{{Job: 0, Amount: 400, UntilUs: 5_000}, {Job: 1, Amount: 800, UntilUs: 250}}},
			{Name: "port", Capacity: 1, Uses: []instance.Use{{Job: 1, Amount: 1, FromUs: 8_000, UntilUs: 9_000}, {Job: 2, Amount: 1, FromUs: 3_800, UntilUs: 4_800}}},
		},
		AtOnce:  3,
		GuardUs: 200,
	}
	t := instance.Timetable{
		CycleUs:      24_100,
		Firings:      []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 5_000}, {Job: 4, AtUs: 5_000}, {Job: 2, AtUs: 10_200}, {Job: 3, AtUs: 18_400}},
		LowerBoundUs: 24_100, Proven: true, Clique: []int{1},
	}
	return p, t
}

func TestStaggeredStands(t *testing.T) {
	p, tt := staggered()
	if err := check.Check(p, tt); err != nil {
		t.Fatal(err)
	}
	p, tt = sound()
	p.Style, tt.Groups, tt.Clique = instance.Staggered, nil, nil
	if err := check.Check(p, tt); err != nil {
		t.Error("a timetable of slots is a staggered one:", err)
	}
}

// Each damage changes one thing of a sound pair and must be refused for its own reason.
func TestStaggeredRefuses(t *testing.T) {
	type P = *instance.Problem
	type T = *instance.Timetable
	for _, c := range []struct {
		name   string
		damage func(p P, t T)
		rule   check.Rule
	}{
		{"window opens 1 us earlier", func(p P, t T) { p.Jobs[1].OpenUs-- }, check.Sound},
		{"window closes 1 us later", func(p P, t T) { p.Jobs[1].CloseUs++ }, check.Sound},
		{"window closes 1 us later, into a conflict", func(p P, t T) { p.Jobs[0].CloseUs++ }, check.Conflict},
		{"line busy for 1 us longer", func(p P, t T) { p.Jobs[2].BusyUs++ }, check.Conflict},
		{"offsets swapped", func(p P, t T) {
			p.Order = nil
			t.Firings[3].Job, t.Firings[4].Job = 3, 2
		}, check.Conflict},
		{"offsets swapped against a chain", func(p P, t T) { t.Firings[3].Job, t.Firings[4].Job = 3, 2 }, check.Order},
		{"fires 1 us early", func(p P, t T) { t.Firings[3].AtUs-- }, check.Conflict},
		{"fires 1 us late", func(p P, t T) { t.Firings[3].AtUs++ }, check.Conflict},
		{"last fires 1 us late, its sound heard in the next cycle", func(p P, t T) { t.Firings[4].AtUs++ }, check.Sound},
		{"guard 1 us longer", func(p P, t T) { p.GuardUs++ }, check.Conflict},
		{"port taken 1 us early", func(p P, t T) { p.Resources[1].Uses[1].FromUs-- }, check.Resource},
		{"port kept 1 us longer", func(p P, t T) { p.Resources[1].Uses[0].UntilUs++ }, check.Resource},
		{"current for 1 us longer", func(p P, t T) { p.Resources[0].Uses[0].UntilUs++ }, check.Resource},
		{"current exceeded by 1", func(p P, t T) { p.Resources[0].Capacity-- }, check.Resource},
		{"one more at once", func(p P, t T) { p.AtOnce-- }, check.Capacity},
		{"at once through the guard alone", func(p P, t T) {
			p.Conflicts, p.AtOnce = nil, 2
			p.Together = nil
			t.Firings = []instance.Firing{{Job: 0}, {Job: 1, AtUs: 5_000}, {Job: 2, AtUs: 10_199}, {Job: 4, AtUs: 14_300}, {Job: 3, AtUs: 18_400}}
			p.Arcs = nil
			p.Order = nil
			p.Resources = nil
		}, check.Capacity},
		{"rest missed by 1 us", func(p P, t T) { p.Jobs[1].RestUs++ }, check.Rest},
		{"cycle 1 us short", func(p P, t T) { t.CycleUs--; t.LowerBoundUs-- }, check.Rest},
		{"cycle 1 us short, wrap-around", func(p P, t T) { t.CycleUs--; t.LowerBoundUs--; p.Jobs[1].RestUs = 0 }, check.Sound},
		{"occupied over the cycle's end", func(p P, t T) {
			p.Conflicts = append(p.Conflicts, [2]int{0, 3})
			p.Jobs[3].CloseUs = 5_501 // 18 400 + 5 501 + 200 is 1 us past the next a
		}, check.Conflict},
		{"guard lost at the cycle's end", func(p P, t T) {
			p.Conflicts = append(p.Conflicts, [2]int{0, 3})
			p.GuardUs, p.Jobs[3].CloseUs = 201, 5_500
			p.Jobs[0].CloseUs, p.Jobs[2].TransferUs = 9_999, 999
		}, check.Conflict},
		{"rest and guard before the own next firing", func(p P, t T) {
			p.Jobs[1].RestUs, p.Jobs[1].BusyUs = 0, 23_901
			p.Resources, p.AtOnce = nil, 0
		}, check.Rest},
		{"sound 1 us longer", func(p P, t T) { p.Arcs[2].UntilUs++ }, check.Sound},
		{"sound 1 us earlier", func(p P, t T) { p.Arcs[1].FromUs-- }, check.Sound},
		{"sound of the last met by the next cycle", func(p P, t T) { p.Arcs[3].UntilUs++ }, check.Sound},
		{"own sound met by the next cycle", func(p P, t T) { p.Arcs[4].UntilUs++ }, check.Sound},
		{"sound ten cycles old", func(p P, t T) {
			// d is 13 400 after b; in the window of d's tenth firing after it for 1 us.
			p.Arcs = append(p.Arcs, instance.Arc{From: 1, To: 3, FromUs: 10*24_100 + 13_400 + 4_999, UntilUs: 10*24_100 + 13_400 + 9_000})
		}, check.Sound},
		{"sound for a listener that fired before", func(p P, t T) {
			p.Arcs = append(p.Arcs, instance.Arc{From: 1, To: 0, FromUs: 4_999, UntilUs: 4_999}) // a listens until 10 000
		}, check.Sound},
		{"jitter of 1 us at a conflict", func(p P, t T) { p.JitterUs++; p.Arcs, p.Resources, p.Jobs[1].RestUs = nil, nil, 0 }, check.Conflict},
		{"jitter of 1 us in a window", func(p P, t T) {
			p.JitterUs++
			p.GuardUs, p.Resources, p.Jobs[1].RestUs = 100, nil, 0
		}, check.Sound},
		{"jitter of 1 us at the port", func(p P, t T) {
			p.JitterUs++
			p.GuardUs, p.Arcs, p.Jobs[1].RestUs = 100, nil, 0
		}, check.Resource},
		{"jitter in a rest", func(p P, t T) { p.JitterUs++; p.GuardUs, p.Arcs, p.Resources = 100, nil, nil }, check.Rest},
		{"jitter that turns a chain round", func(p P, t T) {
			p.JitterUs, p.GuardUs, p.Arcs, p.Resources, p.Conflicts, p.Jobs[1].RestUs, p.AtOnce = 2_500, 0, nil, nil, nil, 0, 0
		}, check.Order},
		{"set split", func(p P, t T) { t.Firings[2].AtUs++ }, check.Together},
		{"job left out", func(p P, t T) { t.Firings = t.Firings[:4] }, check.Shape},
		{"out of order", func(p P, t T) { slices.Reverse(t.Firings) }, check.Shape},
		{"in groups", func(p P, t T) { t.Groups = [][]int{{0}, {1, 4}, {2}, {3}} }, check.Shape},
		{"bound above the cycle", func(p P, t T) { t.LowerBoundUs++ }, check.Bound},
		{"proven with a gap", func(p P, t T) { t.LowerBoundUs-- }, check.Bound},
		{"one that does not need as much", func(p P, t T) { t.Clique = []int{0} }, check.Bound},
		{"some that need less in another order", func(p P, t T) { t.Clique = []int{0, 2, 3} }, check.Bound},
		{"two that fire together", func(p P, t T) { t.Clique = []int{1, 4} }, check.Bound},
		{"nobody", func(p P, t T) { t.Clique = []int{5} }, check.Bound},
	} {
		p, tt := staggered()
		c.damage(&p, &tt)
		err := check.Check(p, tt)
		var v *check.Violation
		if !errors.As(err, &v) || v.Rule != c.rule || v.Text == "" {
			t.Errorf("%s: got %v, want a breach of %s", c.name, err, c.rule)
		}
	}
}

// Arc by arc: without one, the timetable that leaves no room for it is accepted, with it refused.
func TestStaggeredEveryArcCounts(t *testing.T) {
	for k := range 4 {
		p, tt := staggered()
		p.Arcs[k].UntilUs++
		if k == 1 {
			p.Arcs[k].FromUs--
		}
		if err := check.Check(p, tt); err == nil {
			t.Errorf("arc %d was not looked at", k)
		}
		p.Arcs = slices.Delete(p.Arcs, k, k+1)
		if err := check.Check(p, tt); err != nil {
			t.Errorf("without arc %d: %v", k, err)
		}
	}
}

// Three that keep each other off for 3 one way round and for 5 the other need 9, not 15, and a bound of 9
// stands on them, one of 10 does not.
func TestRound(t *testing.T) {
	p := instance.Problem{Style: instance.Staggered, Jobs: []instance.Job{{OpenUs: 1, CloseUs: 1}, {OpenUs: 1, CloseUs: 1}, {OpenUs: 1, CloseUs: 2}}}
	for i := range 3 {
		j := (i + 1) % 3
		p.Conflicts = append(p.Conflicts, [2]int{i, j})
		p.Arcs = append(p.Arcs, instance.Arc{From: i, To: j, UntilUs: 4}, instance.Arc{From: j, To: i, UntilUs: 6})
	}
	tt := instance.Timetable{CycleUs: 9, LowerBoundUs: 9, Proven: true, Clique: []int{0, 1, 2},
		Firings: []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 3}, {Job: 2, AtUs: 6}}}
	if err := check.Check(p, tt); err != nil {
		t.Error(err)
	}
	tt = instance.Timetable{CycleUs: 10, LowerBoundUs: 10, Proven: true, Clique: []int{0, 1, 2},
		Firings: []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 3}, {Job: 2, AtUs: 6}}}
	var v *check.Violation
	if err := check.Check(p, tt); !errors.As(err, &v) || v.Rule != check.Bound {
		t.Errorf("a bound of 10 us by a round of 9 us: %v", err)
	}
}
