package check_test

import (
	"errors"
	"slices"
	"testing"

	"echowright/scheduler/check"
	"echowright/scheduler/instance"
)

// front fires twice in a cycle of 60 us, the others once; turns take 10 us, that of side 12, one at once.
func twice(style instance.Style) (instance.Problem, instance.Timetable) {
	p := instance.Problem{Style: style, AtOnce: 1, JitterUs: 1, Jobs: []instance.Job{
		{Name: "front", OpenUs: 2, CloseUs: 8, BusyUs: 8, EveryUs: 32},
		{Name: "side", OpenUs: 2, CloseUs: 8, BusyUs: 10},
		{Name: "rear", OpenUs: 2, CloseUs: 8, BusyUs: 8, EveryUs: 62},
	}}
	t := instance.Timetable{CycleUs: 60, LowerBoundUs: 42, Firings: []instance.Firing{{Job: 0, AtUs: 0}, {Job: 1, AtUs: 10}, {Job: 0, AtUs: 30}, {Job: 2, AtUs: 40}}}
	if style == instance.Slots {
		t.Groups = [][]int{{0}, {1}, {0}, {2}}
	}
	return p, t
}

func TestRefusesRefreshFaults(t *testing.T) {
	own := instance.Arc{From: 0, To: 0, FromUs: 31, UntilUs: 33} // of an earlier firing, in a window of the next
	for _, c := range []struct {
		name  string
		rule  check.Rule
		spoil func(p *instance.Problem, t *instance.Timetable)
	}{
		{"a limit missed by 1 us at the cycle's end", check.Refresh, func(_ *instance.Problem, t *instance.Timetable) { t.CycleUs++ }},
		{"a limit missed by 1 us within the cycle", check.Refresh, func(_ *instance.Problem, t *instance.Timetable) { t.Firings[2].AtUs++ }},
		{"jitter beyond the limit", check.Refresh, func(p *instance.Problem, _ *instance.Timetable) { p.Jobs[0].EveryUs-- }},
		{"a repetition dropped", check.Refresh, func(_ *instance.Problem, t *instance.Timetable) {
			t.Firings = slices.Delete(t.Firings, 2, 3)
			if t.Groups != nil {
				t.Groups = slices.Delete(t.Groups, 2, 3)
			}
		}},
		{"a job missing", check.Shape, func(_ *instance.Problem, t *instance.Timetable) {
			t.Firings = slices.Delete(t.Firings, 1, 2)
			if t.Groups != nil {
				t.Groups = slices.Delete(t.Groups, 1, 2)
			}
		}},
		{"firings out of their order", check.Shape, func(_ *instance.Problem, t *instance.Timetable) {
			t.Firings[0], t.Firings[2] = t.Firings[2], t.Firings[0]
		}},
		{"the same firing twice", check.Shape, func(_ *instance.Problem, t *instance.Timetable) {
			t.Firings = slices.Insert(t.Firings, 0, t.Firings[0])
			if t.Groups != nil {
				t.Groups = slices.Insert(t.Groups, 0, []int{0})
			}
		}},
		{"own sound of an earlier firing in a later window", check.Sound, func(p *instance.Problem, _ *instance.Timetable) { p.Arcs = append(p.Arcs, own) }},
		{"own sound two firings old", check.Sound, func(p *instance.Problem, _ *instance.Timetable) {
			p.Arcs = append(p.Arcs, instance.Arc{From: 0, To: 0, FromUs: 67, UntilUs: 68})
		}},
		{"rest between two firings", check.Rest, func(p *instance.Problem, _ *instance.Timetable) { p.Jobs[0].RestUs = 21 }},
		{"a bus held by two firings", check.Resource, func(p *instance.Problem, _ *instance.Timetable) {
			p.AtOnce = 0
			p.Jobs[0].BusyUs, p.Jobs[0].CloseUs = 7, 7
			p.Resources = []instance.Resource{{Capacity: 1, Uses: []instance.Use{{Job: 0, Amount: 1, FromUs: 0, UntilUs: 9}, {Job: 1, Amount: 1, FromUs: 0, UntilUs: 5}}}}
		}},
		{"several firings that nobody asks for", check.Shape, func(p *instance.Problem, _ *instance.Timetable) { p.Jobs[0].EveryUs, p.Jobs[2].EveryUs = 0, 0 }},
		{"a chained job twice", check.Shape, func(p *instance.Problem, _ *instance.Timetable) { p.Order = [][]int{{0, 1}} }},
		{"a bound above the cycle", check.Bound, func(_ *instance.Problem, t *instance.Timetable) { t.LowerBoundUs = 61 }},
		{"a bound that its set does not make", check.Bound, func(_ *instance.Problem, t *instance.Timetable) { t.LowerBoundUs, t.Clique = 43, []int{0, 1, 2} }},
		{"proven with a gap", check.Bound, func(_ *instance.Problem, t *instance.Timetable) { t.Proven = true }},
	} {
		for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
			p, tt := twice(style)
			if err := check.Check(p, tt); err != nil {
				t.Fatalf("%v: %v", style, err)
			}
			c.spoil(&p, &tt)
			err := check.Check(p, tt)
			var v *check.Violation
			if !errors.As(err, &v) || v.Rule != c.rule && !(c.rule == check.Resource && v.Rule == check.Guard) {
				t.Errorf("%s, %v: %v, want %s", c.name, style, err, c.rule)
			}
		}
	}
	// Once each takes 32 us, too long for front: twice then, and 42 us.
	p, tt := twice(instance.Staggered)
	tt.Clique = []int{0, 1, 2}
	if err := check.Check(p, tt); err != nil {
		t.Error(err)
	}
}
