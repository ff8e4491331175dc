package scheduler_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	sat "github.com/crillab/gophersat/solver"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// rivalRefresh asks the second opinion whether unit windows with conflicts can fire as often as they ask in a cycle of so many
// slots: a variable for each job and slot, one clause for each pair in conflict and slot, and one for each job and run of slots.
func rivalRefresh(p instance.Problem, slots int) bool {
	at := func(j, slot int) int { return 1 + j*slots + slot%slots }
	var clauses [][]int
	for j, job := range p.Jobs {
		every := slots
		if job.EveryUs > 0 {
			every = min(slots, int(job.EveryUs))
		}
		for slot := range slots {
			var run []int
			for k := range every {
				run = append(run, at(j, slot+k))
			}
			clauses = append(clauses, run)
		}
	}
	for _, c := range p.Conflicts {
		for slot := range slots {
			clauses = append(clauses, []int{-at(c[0], slot), -at(c[1], slot)})
		}
	}
	return sat.New(sat.ParseSlice(clauses)).Solve() == sat.Sat
}

// Ten jobs in rings and at random, several sharing a slot: the second opinion finds the same least cycle, and none in any cycle up to
// 40 slots where ours says that no cycle keeps the limits.
func TestRefreshSecondOpinion(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 92))
	yes, no := 0, 0
	for k := range 60 {
		n := 5 + r.IntN(6)
		p := st.Windows("unit", make([]int64, n), st.Ring(n, 1+k%2))
		if k%3 == 0 {
			p.Conflicts = st.Gnp(n, 40+r.IntN(40), uint64(k))
		}
		for j := range p.Jobs {
			p.Jobs[j] = instance.Job{CloseUs: 1}
			if r.IntN(4) > 0 {
				p.Jobs[j].EveryUs = 2 + r.Int64N(5)
			}
		}
		p.Style = instance.Slots
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 100_000, Bare: true})
		var cannot *instance.Cannot
		last := int(tt.CycleUs)
		switch {
		case errors.As(err, &cannot):
			last = 40
			no++
		case err != nil || !tt.Proven:
			t.Logf("problem %d: %d us, at least %d, %v", k, tt.CycleUs, tt.LowerBoundUs, err)
			continue
		default:
			yes++
		}
		for slots := 1; slots <= last; slots++ {
			if got := rivalRefresh(p, slots); got != (err == nil && slots == last) {
				t.Fatalf("problem %d: ours %d us, %v; second opinion for %d slots: %v\n%+v", k, tt.CycleUs, err, slots, got, p)
			}
		}
	}
	if yes < 15 || no < 15 {
		t.Errorf("only %d can be kept, %d cannot", yes, no)
	}
}
