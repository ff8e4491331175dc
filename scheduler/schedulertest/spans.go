package schedulertest

import (
	"fmt"
	"math/rand/v2"

	"echowright/scheduler/instance"
)

// Cart is a ring of n sensors about a body, staggered: lines that are held far longer than the windows last, and
// sound that dies after two lines' time, the sooner the farther round the ring, and reaches past half of it for a
// few. At most four at once.
func Cart(n int, seed uint64) instance.Problem {
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	p := instance.Problem{Name: fmt.Sprintf("cart-%d-%d", n, seed), Style: instance.Staggered, AtOnce: 4, GuardUs: 500, JitterUs: 100}
	for range n {
		p.Jobs = append(p.Jobs, instance.Job{OpenUs: 10 + r.Int64N(1500), CloseUs: 5_000 + r.Int64N(7_000), BusyUs: 14_000, RestUs: 2_000})
	}
	for i := range n {
		for j := range n {
			round := min((i-j+n)%n, (j-i+n)%n)
			until := 29_000 - 12_000*int64(round)/int64(n/2+1) - r.Int64N(4_000)
			if r.IntN(100) < 100-100*round/(n+1) {
				p.Arcs = append(p.Arcs, instance.Arc{From: i, To: j, FromUs: 2_300 + 300*int64(round), UntilUs: until},
					instance.Arc{From: i, To: j, FromUs: 300 + 350*int64(round), UntilUs: 3_000 + 400*int64(round) + r.Int64N(3_000)})
			}
		}
	}
	return p
}

// Spans hears each of n sensors by each with a chance of percent in a hundred, in one to three spans anywhere up
// to 80 ms: before, in and after the windows. Staggered.
func Spans(n, percent int, seed uint64) instance.Problem {
	r := rand.New(rand.NewPCG(seed, uint64(n*100+percent)))
	p := instance.Problem{Name: fmt.Sprintf("spans-%d-%d-%d", n, percent, seed), Style: instance.Staggered, GuardUs: 500, JitterUs: 100}
	for _, us := range Spread(n, false, seed) {
		p.Jobs = append(p.Jobs, instance.Job{OpenUs: 800 + r.Int64N(1500), CloseUs: us, BusyUs: us * 5 / 4})
	}
	for i := range n {
		for j := range n {
			if r.IntN(100) >= percent {
				continue
			}
			for range 1 + r.IntN(3) {
				from := r.Int64N(60_000)
				p.Arcs = append(p.Arcs, instance.Arc{From: i, To: j, FromUs: from, UntilUs: from + 1000 + r.Int64N(20_000)})
			}
		}
	}
	return p
}
