package crosstalk

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A set of spans against its definition: two numbers belong to one piece when no stretch longer than the gap between them is
// free; what a span misses is counted on a fine grid.
func TestSpansAgainstCounting(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	const n, gap = 200, 5
	for range 300 {
		set := spans{gap: gap}
		var taken [n + 1]bool
		for range 1 + rnd.IntN(8) {
			lo := rnd.IntN(n)
			hi := min(n, lo+rnd.IntN(20))
			set.add(span{float64(lo), float64(hi)})
			for k := lo; k <= hi; k++ {
				taken[k] = true
			}
		}
		last := math.MinInt32
		for k := range taken {
			if taken[k] {
				for m := max(0, last+1); m < k && k-last <= gap; m++ {
					taken[m] = true
				}
				last = k
			}
		}
		for k, s := range set.list {
			if k > 0 && s.lo-set.list[k-1].hi <= gap {
				t.Fatalf("%v: nearer than the gap", set.list)
			}
		}
		for k := range taken {
			if in := set.misses(span{float64(k), float64(k)}.grown(1e-3), 1e-2) == 0; in != taken[k] {
				t.Fatalf("%d: %v, want %v: %v", k, in, taken[k], set.list)
			}
		}
		lo, hi := float64(rnd.IntN(n)), float64(rnd.IntN(n))
		want := 0.0
		for x := min(lo, hi) + 0.25; x < max(lo, hi); x += 0.5 {
			free := true
			for _, s := range set.list {
				free = free && !s.grown(1).contains(x)
			}
			if free {
				want += 0.5
			}
		}
		near(t, "missed", set.misses(span{min(lo, hi), max(lo, hi)}, 1), want, 1e-9)
	}
}

// How far sound gets is where its level has fallen to nothing, never less, for any absorption.
func TestReachIsWhereLevelEnds(t *testing.T) {
	for _, alpha := range []float64{0, 0.3, 1.3, 2.5} {
		l := link{fading: newFading(alpha)}
		for gain := -25.0; gain < 120; gain += 0.37 {
			m := l.reach(gain)
			if left := gain - l.fade(m); left > 1e-9 || left < -2e-3 {
				t.Errorf("%v dB at %v dB/m: %v dB left after %v m", gain, alpha, left, m)
			}
		}
		if l.reach(-27) >= 0 {
			t.Error("silence is heard")
		}
	}
}

// Whatever the machine, the level and the two walls, the arcs hold the path.
func FuzzTwoWalls(f *testing.F) {
	for seed := range uint64(6) {
		f.Add(seed, 0.7*float64(seed), 0.1*float64(seed), 0.7*float64(seed)+1.6, 0.5, 30+5*float64(seed))
	}
	f.Fuzz(func(t *testing.T, seed uint64, psi1, share1, psi2, share2, gain float64) {
		if !(math.Abs(psi1) < 1e9 && math.Abs(psi2) < 1e9 && share1 >= 0 && share1 <= 1 && share2 >= 0 && share2 <= 1 && gain > -100 && gain < 150) {
			return // no such wall or module
		}
		sc := scatter(rand.New(rand.NewPCG(seed, 3)))
		sc.Around.Bounces = 2
		sc.Sensors = sc.Sensors[:2]
		a := trial(sc, wide, gain, 1, 331, 349)
		w := sc.Around.WallsM
		at := func(psi, share float64) plane { return wallAt(sc, math.Mod(psi, 2*math.Pi), w.Lo+share*(w.Hi-w.Lo)) }
		c, ok := trace(inSpace(sc.Sensors[0]), inSpace(sc.Sensors[1]), at(psi1, share1), at(psi2, share2))
		if !ok {
			return
		}
		out, in := ends(c)
		l := length(c)
		level, bent := byHand(sc, 0, 1, l, out, in, gain, 1, wide)
		if level < 0 {
			return
		}
		arcs := byPair(a.all(), TwoWalls)[[2]int{0, 1}]
		if _, has := holding(arcs, l, l+float64(bent)*a.hull.round()/2, level); !has {
			t.Errorf("%v m, %v dB, %d bent, lies outside %+v", l, level, bent, arcs)
		}
	})
}
