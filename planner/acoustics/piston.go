package acoustics

import "math"

// PistonDB is the level of a round piston in a baffle, dB against its axis: 20 lg|2 J1(x)/x| with
// x = k a sin(angle) (Kinsler et al., Fundamentals of Acoustics, 4th ed., chapter 7). −Inf at a null.
func PistonDB(x float64) float64 { return 20 * math.Log10(math.Abs(piston(x))) }

// piston is 2 J1(x)/x, computed directly.
func piston(x float64) float64 {
	if x = math.Abs(x); x < 1e-4 {
		return 1 - x*x/8
	}
	return 2 * math.J1(x) / x
}

// pistonSlope is the derivative of 2 J1(x)/x: −2 J2(x)/x.
func pistonSlope(x float64) float64 {
	if x = math.Abs(x); x < 1e-3 {
		return -x / 4
	}
	return -2 * math.Jn(2, x) / x
}

// The piston function in a table: value and slope every tableStep, joined by cubics (Hermite). A cubic on
// a step h is off by at most h⁴/384·max|fourth derivative|; the fourth derivative of 2J1(x)/x is at most
// its value at 0, 1/8, so the table is within (1/64)⁴/384/8 = 2.0e-11.
const (
	tableStep = 1.0 / 64
	tableEnd  = 48.0
)

var pistonTable = makePistonTable()

func makePistonTable() [][2]float64 {
	t := make([][2]float64, int(tableEnd/tableStep)+2)
	for i := range t {
		x := float64(i) * tableStep
		t[i] = [2]float64{piston(x), pistonSlope(x) * tableStep}
	}
	return t
}

// pistonFast is piston from the table, within 2.1e-11; x >= 0.
func pistonFast(x float64) float64 {
	if !(x < tableEnd) {
		return piston(x)
	}
	u := x / tableStep
	i := int(u)
	u -= float64(i)
	a, b := pistonTable[i], pistonTable[i+1]
	d := b[0] - a[0]
	return a[0] + u*(a[1]+u*((3*d-2*a[1]-b[1])+u*(a[1]+b[1]-2*d)))
}

// Nulls and side-lobe tops of the piston function, in order: the zeros of J1 and of J2.
const lobesKnown = 64

var (
	pistonNulls = besselZeros(1, lobesKnown)
	pistonTops  = besselZeros(2, lobesKnown)
)

// besselZeros is the first n positive zeros of J_order: McMahon's first terms (Abramowitz and Stegun
// 9.5.12), then Newton.
func besselZeros(order, n int) []float64 {
	z := make([]float64, n)
	mu := float64(4 * order * order)
	for i := range z {
		b := (float64(i+1) + float64(order)/2 - 0.25) * math.Pi
		x := b - (mu-1)/(8*b)
		for range 8 {
			slope := math.Jn(order-1, x) - float64(order)/x*math.Jn(order, x)
			x -= math.Jn(order, x) / slope
		}
		z[i] = x
	}
	return z
}

// envelope is the greatest |2 J1(x')/x'| at any x' >= x: falling, flat over each side lobe's rise.
func envelope(x float64) float64 {
	v := math.Abs(pistonFast(x))
	for _, t := range pistonTops {
		if t >= x {
			return math.Max(v, math.Abs(pistonFast(t)))
		}
	}
	// Past the known lobes: |J1(x)| < sqrt(2/(πx)) to within 1 in 10⁵ there.
	return 1.00001 * 2 / x * math.Sqrt(2/(math.Pi*x))
}

// pistonWhere is the x of the main lobe at which one way is at level dB (negative).
func pistonWhere(level float64) float64 {
	want := math.Pow(10, level/20)
	lo, hi := 0.0, pistonNulls[0]
	for range 200 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if piston(mid) >= want {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
