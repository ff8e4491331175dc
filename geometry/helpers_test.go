package geometry

import (
	"math"
	"math/rand/v2"

	"github.com/golang/geo/r2"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

// randomStar is a ring seen whole from its middle, so it never crosses itself; dent is its least radius of 1.
func randomStar(rng *rand.Rand, n int, dent float64) Ring {
	r := make(Ring, n)
	for i := range r {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.9*rng.Float64()) / float64(n))
		d := dent + (1-dent)*rng.Float64()
		r[i] = r2.Point{X: d * cos, Y: d * sin}
	}
	return r
}
