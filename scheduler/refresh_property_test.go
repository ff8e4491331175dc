package scheduler_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

// turns solves a pinwheel and tells whether it turns.
func turns(t *testing.T, p instance.Problem) bool {
	t.Helper()
	_, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 200_000, Bare: true})
	var cannot *instance.Cannot
	if err != nil && !errors.As(err, &cannot) {
		t.Fatalf("%+v: %v", p.Jobs, err)
	}
	return err == nil
}

// Every pinwheel of density up to 5/6 turns (Kawamura, STOC 2024), every one of powers of two up to 1 and every one of two distinct
// numbers up to 1 does (Holte et al. 1989): all lists of up to four numbers from 2 to 12, and random longer ones.
func TestDensityGuarantees(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 72))
	dense, powers, twos := 0, 0, 0
	try := func(every []int64) {
		density, power, kinds := 0.0, true, map[int64]bool{}
		for _, a := range every {
			density += 1 / float64(a)
			power = power && a&(a-1) == 0
			kinds[a] = true
		}
		const tiny = 1e-9 // of sums of a few fractions
		switch {
		case density <= 5.0/6+tiny:
			dense++
		case density <= 1+tiny && power:
			powers++
		case density <= 1+tiny && len(kinds) <= 2:
			twos++
		default:
			return
		}
		if !turns(t, pinwheel(instance.Style(r.IntN(2)), 1+r.Int64N(3)*1000, every...)) {
			t.Errorf("%v, density %.3f, is said not to turn", every, density)
		}
	}
	var all func(every []int64, from int64)
	all = func(every []int64, from int64) {
		if len(every) > 0 {
			try(every)
		}
		for a := from; a < 13 && len(every) < 4; a++ {
			all(append(every[:len(every):len(every)], a), a)
		}
	}
	all(nil, 2)
	for range 200 {
		var every []int64
		for range 5 + r.IntN(3) {
			every = append(every, []int64{2, 4, 8, 16, 5 + r.Int64N(12)}[r.IntN(5)])
		}
		try(every)
	}
	if dense < 500 || powers < 12 || twos < 15 {
		t.Errorf("only %d, %d, %d lists", dense, powers, twos)
	}
}

// Whether small problems with windows, conflicts, a guard and a number at once can keep their limits at all, in whatever cycle,
// by every state in steps of a microsecond.
func TestTurnsAgainstStates(t *testing.T) {
	r := rand.New(rand.NewPCG(73, 74))
	yes, no, unsure := 0, 0, 0
	for k := range 1500 {
		n := 2 + k%3
		p := instance.Problem{Style: instance.Style(k / 3 % 2), AtOnce: r.IntN(3), GuardUs: r.Int64N(8) / 7}
		for range n {
			p.Jobs = append(p.Jobs, instance.Job{CloseUs: 1 + r.Int64N(4)/3, EveryUs: 2 + r.Int64N(6)})
		}
		for i := range n {
			for j := range i {
				if r.IntN(2) == 0 {
					p.Conflicts = append(p.Conflicts, [2]int{j, i})
				}
			}
		}
		want := st.Turns(p)
		_, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 4_000, Bare: true})
		var cannot *instance.Cannot
		switch {
		case err == nil != want && (err == nil || errors.As(err, &cannot)):
			t.Fatalf("problem %d: %v, want %v\n%+v", k, err, want, p)
		case err == nil:
			yes++
		case errors.As(err, &cannot):
			no++
		default:
			unsure++
			if want {
				t.Errorf("problem %d can be kept and is not found\n%+v", k, p)
			}
		}
	}
	t.Logf("%d can be kept, %d cannot, of %d not known", yes, no, unsure)
}

// A longer limit never makes the cycle longer, the order of jobs changes nothing, and where once a cycle keeps all limits, that is
// the answer.
func TestLimitProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(75, 76))
	solved, shorter := 0, 0
	for k := range 600 {
		p := drawOften(r, 2+k%3, 6)
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 3000, Bare: true})
		if err != nil || !tt.Proven {
			continue
		}
		solved++
		looser := p
		looser.Jobs = append([]instance.Job(nil), p.Jobs...)
		if j := r.IntN(len(p.Jobs)); p.Jobs[j].EveryUs > 0 {
			looser.Jobs[j].EveryUs += r.Int64N(40)
		}
		again, err := scheduler.Solve(context.Background(), looser, scheduler.Options{Nodes: 6000, Bare: true})
		if err != nil || again.Proven && again.CycleUs > tt.CycleUs {
			t.Fatalf("problem %d: %d us, looser %d, %v\n%+v\n%+v", k, tt.CycleUs, again.CycleUs, err, p, looser)
		}
		if again.CycleUs < tt.CycleUs {
			shorter++
		}
		order := r.Perm(len(p.Jobs))
		mixed, err := scheduler.Solve(context.Background(), p.Only(order), scheduler.Options{Nodes: 6000, Bare: true})
		if err != nil || mixed.Proven && mixed.CycleUs != tt.CycleUs {
			t.Fatalf("problem %d: %d us, in another order %d, %v\n%+v", k, tt.CycleUs, mixed.CycleUs, err, p)
		}
		once, err := scheduler.Solve(context.Background(), p.Once(), scheduler.Options{Nodes: 6000, Bare: true})
		if err != nil || once.Proven && once.CycleUs > tt.CycleUs {
			t.Fatalf("problem %d: %d us, once a cycle %d, %v\n%+v", k, tt.CycleUs, once.CycleUs, err, p)
		}
	}
	if solved < 100 || shorter < 5 {
		t.Errorf("%d solved, %d shorter with a longer limit", solved, shorter)
	}
}

// Whatever is claimed of larger problems stands up to the checker, which Solve asks, and nothing else is wrong.
func TestRefreshClaimsStand(t *testing.T) {
	r := rand.New(rand.NewPCG(77, 78))
	found, repeated := 0, 0
	try := func(p instance.Problem) {
		t.Helper()
		tt, err := scheduler.Solve(context.Background(), p, scheduler.Options{Nodes: 3000})
		var cannot *instance.Cannot
		var lost *scheduler.NotFound
		switch {
		case err == nil:
			if found++; len(tt.Firings) > len(p.Jobs) {
				repeated++
			}
		case !errors.As(err, &cannot) && !errors.As(err, &lost):
			t.Fatalf("%v\n%+v", err, p)
		}
	}
	for k := range 400 {
		p := drawOften(r, 3+k%5, 30)
		if k%2 == 0 { // limits that are long enough for most
			for j := range p.Jobs {
				if p.Jobs[j].EveryUs > 0 {
					p.Jobs[j].EveryUs += 60 + r.Int64N(120)
				}
			}
		}
		if k%4 == 1 {
			p.Order = append(p.Order, r.Perm(len(p.Jobs))[:2])
			if p.Possible() != nil {
				continue
			}
		}
		try(p)
	}
	for seed := range uint64(4) {
		try(st.Mixed(8, instance.Slots, seed, 100_000, 160_000, 250_000))
		try(st.Mixed(8, instance.Staggered, seed, 80_000, 130_000, 200_000))
	}
	if found < 100 || repeated < 20 {
		t.Errorf("%d found, %d with repeated firings", found, repeated)
	}
	t.Logf("%d found, %d with repeated firings", found, repeated)
}
