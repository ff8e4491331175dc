// Package predicate answers the yes-or-no questions of plane geometry exactly: on which side of a line a
// point lies, whether two segments cross or touch.
//
// In go points of golang/geo's r2 with finite coordinates, out come signs that no rounding has touched:
// first a floating-point filter with a proven error bound, then exact arithmetic on unevaluated sums
// (Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric predicates",
// Discrete & Computational Geometry 18, 1997).
//
//	region, sight, geometry ─► predicate ─► golang/geo r2
package predicate

import (
	"math"
	"math/big"

	"github.com/golang/geo/r2"
)

// Cross returns the cross product u × v with each product rounded by itself, so that parallel vectors of
// equal coordinates give exactly zero on every machine, fused multiply-add or not.
func Cross(u, v r2.Point) float64 {
	return float64(u.X*v.Y) - float64(u.Y*v.X)
}

// Dot returns the scalar product u · v with each product rounded by itself.
func Dot(u, v r2.Point) float64 {
	return float64(u.X*v.X) + float64(u.Y*v.Y)
}

// Move returns p + t u with each product rounded by itself: the same place on every machine.
func Move(p, u r2.Point, t float64) r2.Point {
	return r2.Point{X: p.X + float64(t*u.X), Y: p.Y + float64(t*u.Y)}
}

// Orient returns +1 when a, b, c turn left (counter-clockwise), -1 when they turn right and 0 when the
// three lie on one line; exact for all finite coordinates.
//
//	   c                a ──► b
//	   │ +1                   │ -1
//	a ─► b                    c
func Orient(a, b, c r2.Point) int {
	if a.X == b.X && b.X == c.X || a.Y == b.Y && b.Y == c.Y {
		return 0 // level and upright edges are common, and the filter cannot prove a zero
	}
	if sign, sure := orientFiltered(a, b, c); sure {
		return sign
	}
	return orientExact(a, b, c)
}

// filterBound is Shewchuk's ccwerrboundA, (3 + 16 ε) ε with ε = 2^-53: the relative error of the plain
// determinant against the sum of the magnitudes of its two products.
const filterBound = (3 + 16*epsilon) * epsilon

const epsilon = 1.0 / (1 << 53)

// The filter's bound and the error-free product hold only while no product falls below the normal range
// and none overflows; outside these magnitudes big numbers take over.
const (
	tiny = 0x1p-480
	huge = 0x1p+480
)

// orientFiltered returns the sign and true when plain arithmetic proves it.
func orientFiltered(a, b, c r2.Point) (sign int, sure bool) {
	left := float64((a.X - c.X) * (b.Y - c.Y))
	right := float64((a.Y - c.Y) * (b.X - c.X))
	det := left - right
	size := math.Abs(left) + math.Abs(right)
	if size < tiny || size > huge {
		return 0, false
	}
	bound := filterBound * size
	if det > bound {
		return +1, true
	}
	if det < -bound {
		return -1, true
	}
	return 0, false
}

// orientExact adds the six products of the expanded determinant without rounding.
func orientExact(a, b, c r2.Point) int {
	if !ordinary(a) || !ordinary(b) || !ordinary(c) {
		return orientBig(a, b, c)
	}
	var sum expansion
	sum.addProduct(a.X, b.Y)
	sum.addProduct(-a.Y, b.X)
	sum.addProduct(b.X, c.Y)
	sum.addProduct(-b.Y, c.X)
	sum.addProduct(c.X, a.Y)
	sum.addProduct(-c.Y, a.X)
	return sum.sign()
}

func ordinary(p r2.Point) bool { return ordinaryNumber(p.X) && ordinaryNumber(p.Y) }

func ordinaryNumber(x float64) bool {
	x = math.Abs(x)
	return x == 0 || x > 0x1p-240 && x < 0x1p+240
}

// expansion is a sum of floats kept unevaluated: non-overlapping, smallest first, zeros left out.
type expansion struct {
	part [12]float64
	n    int
}

// addProduct adds x·y without rounding: the rounded product and its exact error.
func (e *expansion) addProduct(x, y float64) {
	p := x * y
	e.add(math.FMA(x, y, -p))
	e.add(p)
}

// add is Shewchuk's Grow-Expansion with zero elimination.
func (e *expansion) add(b float64) {
	q, k := b, 0
	for i := range e.n {
		sum, err := twoSum(q, e.part[i])
		q = sum
		if err != 0 {
			e.part[k] = err
			k++
		}
	}
	if q != 0 {
		e.part[k] = q
		k++
	}
	e.n = k
}

// sign is that of the largest part: the others cannot outweigh it.
func (e *expansion) sign() int {
	if e.n == 0 {
		return 0
	}
	if e.part[e.n-1] > 0 {
		return +1
	}
	return -1
}

// twoSum returns the rounded sum and its exact error (Knuth).
func twoSum(a, b float64) (sum, err float64) {
	sum = a + b
	bb := sum - a
	return sum, (a - (sum - bb)) + (b - bb)
}

// bigPrec holds the difference and product of any two finite floats without rounding: differences span
// at most 2100 bits, their products twice that, and the last difference one more.
const bigPrec = 4300

func orientBig(a, b, c r2.Point) int {
	sub := func(x, y float64) *big.Float {
		u := new(big.Float).SetPrec(bigPrec).SetFloat64(x)
		return u.Sub(u, new(big.Float).SetFloat64(y))
	}
	left := sub(a.X, c.X)
	left.Mul(left, sub(b.Y, c.Y))
	right := sub(a.Y, c.Y)
	right.Mul(right, sub(b.X, c.X))
	return left.Cmp(right)
}
