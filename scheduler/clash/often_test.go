package clash_test

import (
	"context"
	"strings"
	"testing"

	"echowright/scheduler/clash"
	"echowright/scheduler/instance"
)

// Three that take turns of 10 ms, of which two ask for half and a third of all time: the third fits nowhere (the pinwheel 2, 3, x
// does not turn for any x), and without any one of the three demands it would.
func TestRefreshClash(t *testing.T) {
	p := instance.Problem{Style: instance.Staggered, AtOnce: 1}
	for k, every := range []int64{20_000, 30_000, 120_000, 0} {
		p.Jobs = append(p.Jobs, instance.Job{Name: string(rune('a' + k)), CloseUs: 10_000, EveryUs: every})
	}
	p.Jobs[3].CloseUs = 1
	c, err := clash.Find(context.Background(), p, instance.Timetable{}, clash.Options{Nodes: 100_000})
	if err != nil {
		t.Fatal(err)
	}
	if c.BoundUs != 0 || !strings.Contains(c.Text, "every 20 ms") || !strings.Contains(c.Text, "every 30 ms") {
		t.Errorf("%+v", c)
	}
	for _, d := range c.Demands {
		if d.Kind == clash.Job && len(c.Demands) > 7 {
			t.Errorf("%d demands: %s", len(c.Demands), c.Text)
		}
	}
	t.Log(c.Text, c.Smallest, c.Why)
}

// A budget that is missed because one asks to fire twice in it.
func TestRefreshAndBudget(t *testing.T) {
	p := instance.Problem{AtOnce: 1, BudgetUs: 35_000, Jobs: []instance.Job{{Name: "a", CloseUs: 10_000, EveryUs: 22_000}, {Name: "b", CloseUs: 10_000}, {Name: "c", CloseUs: 10_000}}}
	c, err := clash.Find(context.Background(), p, instance.Timetable{}, clash.Options{Nodes: 100_000})
	if err != nil {
		t.Fatal(err)
	}
	if c.BoundUs != 40_000 || !strings.Contains(c.Text, "a every 22 ms") || !c.Smallest {
		t.Errorf("%+v", c)
	}
	t.Log(c.Text)
}
