package geometry

import (
	"fmt"
	"testing"
	"time"

	"github.com/golang/geo/r2"
)

func TestZZ(t *testing.T) {
	rng := newRand(1)
	worst := time.Duration(0)
	for range 20000 {
		size := []float64{1, 1e-9, 1e-3, 1e7, 1e90, 1e-11, 1e-12, 3e-200}[rng.IntN(8)]
		mk := func() [][]r2.Point {
			var r Ring
			m := 1 + rng.IntN(256)
			for range rng.IntN(100) {
				r = append(r, r2.Point{X: float64(rng.IntN(m)) * size, Y: float64(rng.IntN(m)) * size})
			}
			return [][]r2.Point{r}
		}
		a, b := mk(), mk()
		s := time.Now()
		LargestDisk(a, b)
		if d := time.Since(s); d > worst {
			worst = d
			fmt.Println(size, len(a[0]), len(b[0]), d)
		}
	}
}
