package acoustics

import (
	"math"
	"testing"
)

// Zeros of J1, side lobes and half widths of the piston: tables of Bessel functions; Kinsler et al. ch. 7.
func TestPistonAgainstTables(t *testing.T) {
	for i, z := range []float64{3.831706, 7.015587, 10.173468} {
		near(t, "null", pistonNulls[i], z, 1e-6)
		near(t, "D sin/lambda", pistonNulls[i]/math.Pi, []float64{1.219670, 2.233131, 3.238315}[i], 1e-6)
	}
	near(t, "first side lobe at", pistonTops[0], 5.135622, 1e-6)
	near(t, "first side lobe", PistonDB(5.135622), -17.570, 1e-3)
	near(t, "second side lobe at", pistonTops[1], 8.417244, 1e-6)
	near(t, "second side lobe", PistonDB(8.417244), -23.811, 1e-3)
	for _, r := range [][2]float64{
		{-1.5, 1.158358}, {-3, 1.613741}, {-10 * math.Log10(2), 1.616340}, {-6, 2.211785}, {-20 * math.Log10(2), 2.215089}, {-10, 2.731379},
	} {
		near(t, "x at level", pistonWhere(r[0]), r[1], 1e-6)
	}
	for _, r := range [][2]float64{{0.5, -0.2729}, {1, -1.1093}, {2, -4.7806}, {3, -12.9163}} {
		near(t, "level", PistonDB(r[0]), r[1], 5.1e-5)
	}
}

// Directivity index of a piston by integrating its pattern over the half space: published closed form
// 10 lg((ka)²/(1 − J1(2ka)/ka)) (Kinsler et al.), values computed from it.
func TestDirectivityIndex(t *testing.T) {
	for _, r := range [][2]float64{{1, 3.734}, {2, 5.880}, {3, 9.159}, {5, 14.017}, {10, 20.029}} {
		const n = 20000
		sum := 0.0
		for i := range n {
			s, _ := math.Sincos((float64(i) + 0.5) * math.Pi / 2 / n)
			d := pistonFast(r[0] * s)
			sum += d * d * s
		}
		near(t, "DI", 10*math.Log10(2/(sum*math.Pi/2/n)), r[1], 1e-3)
	}
}

// The table's stated bound of 2.1e-11, on a grid that shares no point with it.
func TestPistonTableBound(t *testing.T) {
	worst := 0.0
	for x := 0.0; x < tableEnd+2; x += 0.0007 {
		worst = math.Max(worst, math.Abs(pistonFast(x)-piston(x)))
	}
	if worst > 2.1e-11 {
		t.Errorf("table off by %g", worst)
	}
}

func TestEnvelopeCoversAllBeyondAndNeverRises(t *testing.T) {
	for _, end := range []float64{60, 400} {
		high := 0.0
		last := 0.0
		for x := end; x > 0; x -= 0.01 {
			high = math.Max(high, math.Abs(piston(x)))
			e := envelope(x)
			if e < high*(1-1e-9) {
				t.Fatalf("envelope(%g) = %g below %g", x, e, high)
			}
			if e < last*(1-1e-4) { // 1e-4: where the known side lobes give way to the bound
				t.Fatalf("envelope rises at %g", x)
			}
			last = e
		}
	}
}
