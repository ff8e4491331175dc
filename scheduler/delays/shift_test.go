package delays_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/delays"
	"echowright/scheduler/instance"
	"echowright/scheduler/schedulertest"
)

// Random staggered problems: a shifted table, played with every firing in its cycle's delay, keeps all that is asked, and its cycle is
// no shorter than the least without delays by more than these.
func TestShiftedTables(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 5))
	had, shorter, longer := 0, 0, 0
	for round := range 400 {
		p := schedulertest.Random(r, 2+r.IntN(5), 40)
		p.Style = instance.Staggered
		if p.Possible() != nil {
			continue
		}
		h := delays.Hearing{Jobs: len(p.Jobs), Alike: p.Together}
		for _, a := range p.Arcs {
			h.Pairs = append(h.Pairs, [2]int{a.From, a.To})
		}
		base, err := scheduler.Solve(context.Background(), p, scheduler.Options{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := delays.Classify(context.Background(), h, nil, scheduler.Options{})
		if err != nil {
			t.Fatal(err)
		}
		us := make([]int64, c.Count)
		for k := range us {
			us[k] = int64(2*k+1) * 2
		}
		got, of, ok := delays.Shift(p, base, c, us)
		if !ok {
			continue
		}
		had++
		late := make([]int64, len(of))
		for j, k := range of {
			late[j] = us[k]
		}
		for _, pair := range c.Pairs {
			if of[pair[0]] == of[pair[1]] {
				t.Fatalf("round %d: %v have one delay", round, pair)
			}
		}
		if why := clashes(p, got, func(j, n int) int64 { return int64(n%2) * late[j] }); why != "" {
			t.Fatalf("round %d: %s\n%+v\n%+v", round, why, p, got)
		}
		if w := delays.Widen(p, late); w.Possible() == nil {
			any, err := scheduler.Solve(context.Background(), w, scheduler.Options{})
			if err == nil && any.CycleUs > got.CycleUs {
				shorter++
			} else if err == nil && any.CycleUs < got.CycleUs {
				longer++
			}
		}
	}
	if had < 100 || shorter < 50 {
		t.Errorf("%d had, %d shorter than for any delay, %d longer: too few to tell", had, shorter, longer)
	}
	t.Logf("%d had, %d shorter than for any delay, %d longer", had, shorter, longer)
}
