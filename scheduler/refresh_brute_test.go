package scheduler_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// drawOften gives a random problem of a few jobs of a few microseconds, most of which ask to fire every so often.
func drawOften(r *rand.Rand, n int, scale int64) instance.Problem {
	for {
		p := st.Random(r, n, scale)
		if p.Order = p.Order[:len(p.Order)*r.IntN(2)]; p.Possible() != nil {
			continue
		}
		p.Style = instance.Style(r.IntN(2))
		if r.IntN(2) == 0 { // a short one between all others
			p.Jobs[0] = instance.Job{CloseUs: 1}
			longest := slices.Max(p.OccupiedUs())
			if p.Jobs[0].EveryUs = longest + 2*p.GuardUs + 6*p.JitterUs + 1 + r.Int64N(3); p.Possible() != nil {
				continue
			}
			return p
		}
		for j := range p.Jobs {
			if r.IntN(5) > 1 {
				p.Jobs[j].EveryUs = p.OccupiedUs()[j] + p.GuardUs + 4*p.JitterUs + r.Int64N(5*scale+1)
			}
		}
		return p
	}
}

// Every answer is as short as trying every set of moments for every job in every cycle finds, and where that finds
// none the solver finds none so short.
func TestOftenAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 62))
	const most = 12
	solved, often, none, cannot, unsure := 0, 0, 0, 0, 0
	for k := range 1200 {
		n := 1 + k%3
		if k%50 == 0 {
			n = 4
		}
		p := drawOften(r, n, []int64{4, 3, 2, 2}[n-1])
		if !p.Refreshes() {
			continue
		}
		limit := []int64{most, 9, 8, 5}[n-1]
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 3000, Bare: k%2 == 0})
		want := st.Often(p, limit)
		var no *instance.Cannot
		var lost *scheduler.NotFound
		switch {
		case errors.As(err, &no):
			if want > 0 {
				t.Fatalf("problem %d: %v, but %d us\n%+v", k, err, want, p)
			}
			cannot++
			continue
		case errors.As(err, &lost):
			if want > 0 {
				t.Fatalf("problem %d: %v, but %d us\n%+v", k, err, want, p)
			}
			none++
			continue
		case err != nil:
			t.Fatalf("problem %d: %v\n%+v", k, err, p)
		case want == 0 && tt.CycleUs > limit:
			continue
		case want > 0 && tt.LowerBoundUs > want, tt.CycleUs < want, want == 0:
			t.Fatalf("problem %d: %d us, at least %d, proven %v; brute force %d\n%+v\n%+v", k, tt.CycleUs, tt.LowerBoundUs, tt.Proven, want, p, tt)
		case !tt.Proven || tt.CycleUs != want:
			unsure++
			t.Logf("problem %d: %d us, at least %d; brute force %d", k, tt.CycleUs, tt.LowerBoundUs, want)
		}
		solved++
		if len(tt.Firings) > n {
			often++
		}
	}
	if solved < 400 || often < 15 || cannot < 100 {
		t.Errorf("only %d solved, %d of them with repeated firings, %d cannot", solved, often, cannot)
	}
	t.Logf("%d solved, %d of them with repeated firings, %d cannot, %d not found, %d not proven", solved, often, cannot, none, unsure)
}
