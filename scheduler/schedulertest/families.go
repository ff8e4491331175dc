package schedulertest

import (
	"fmt"
	"math/rand/v2"

	"echowright/scheduler/instance"
)

// Spread gives n windows between 12 and 60 ms: of few kinds, or all different.
func Spread(n int, few bool, seed uint64) []int64 {
	r := rand.New(rand.NewPCG(seed, 7))
	us := make([]int64, n)
	for i := range us {
		if few {
			us[i] = []int64{12_000, 24_000, 60_000}[r.IntN(3)]
		} else {
			us[i] = 12_000 + r.Int64N(48_000)
		}
	}
	return us
}

// Bumper joins n sensors along a bumper: neighbours up to k apart, and the two ends of a front and a
// rear half over each other's corners.
func Bumper(n, k int) [][2]int {
	e := Path(n/2, k)
	for _, ab := range Path(n-n/2, k) {
		e = append(e, [2]int{ab[0] + n/2, ab[1] + n/2})
	}
	if n > 3 {
		e = append(e, [2]int{0, n - 1}, [2]int{n/2 - 1, n / 2})
	}
	return e
}

// Gnp joins each pair with a chance of percent in a hundred.
func Gnp(n, percent int, seed uint64) [][2]int {
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	var e [][2]int
	for i := range n {
		for j := range i {
			if r.IntN(100) < percent {
				e = append(e, [2]int{j, i})
			}
		}
	}
	return e
}

// Echoes is a ring of n sensors whose sound outlives their windows: each is heard by those up to k places
// away, later the farther, for up to so many percent of its own window.
func Echoes(n, k, percent int, seed uint64) instance.Problem {
	r := rand.New(rand.NewPCG(seed, uint64(n*1000+k)))
	p := instance.Problem{Name: fmt.Sprintf("echoes-%d-%d-%d-%d", n, k, percent, seed), GuardUs: 1000, JitterUs: 100}
	for _, us := range Spread(n, false, seed) {
		p.Jobs = append(p.Jobs, instance.Job{OpenUs: 1000 + r.Int64N(1000), CloseUs: us, BusyUs: us * 3 / 4})
	}
	for i := range n {
		for d := -k; d <= k; d++ {
			j := (i + d + n) % n
			if d == 0 && r.IntN(2) == 0 || r.IntN(6) == 0 {
				continue
			}
			until := p.Jobs[i].CloseUs * int64(40+r.IntN(percent-39)) / 100
			from := 300 * int64(max(d, -d)+1)
			p.Arcs = append(p.Arcs, instance.Arc{From: i, To: j, FromUs: from, UntilUs: max(until, from)})
		}
	}
	return p
}
