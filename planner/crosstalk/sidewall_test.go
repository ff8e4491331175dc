package crosstalk

import (
	"math/rand/v2"
	"testing"

	"github.com/golang/geo/r2"
)

// What a side lets through of a span of directions must hold what it lets through of each of them, also where
// the image lies far before the side's start and some directions run along it.
func TestThroughHoldsEveryDirection(t *testing.T) {
	lots := rand.New(rand.NewPCG(8, 1))
	s := side{along: r2.Point{X: 1}, out: r2.Point{Y: 1}, length: 0.1}
	checked := 0
	for range 20000 {
		image := r2.Point{X: 4*lots.Float64() - 2, Y: -0.05 - lots.Float64()}
		out := span{lots.Float64() - 0.5, 0}
		out.hi = out.lo + lots.Float64()
		along := span{4*lots.Float64() - 2, 0}
		along.hi = along.lo + lots.Float64()
		all, ok := s.through(image, out, along)
		for range 20 {
			o, a := out.lo+lots.Float64()*(out.hi-out.lo), along.lo+lots.Float64()*(along.hi-along.lo)
			one, through := s.through(image, span{o, o}, span{a, a})
			if !through || o < 0.001 {
				continue
			}
			checked++
			if !ok || one.lo < all.lo-1e-9 || one.hi > all.hi+1e-9 {
				t.Fatalf("image %v, out %v of %v, along %v of %v: %v is not in %v", image, o, out, a, along, one, all)
			}
		}
	}
	if checked < 100000 {
		t.Errorf("only %d directions go through", checked)
	}
}
