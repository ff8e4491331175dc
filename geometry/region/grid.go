package region

import (
	"math"
	"math/big"
	"math/bits"

	"github.com/golang/geo/r2"
)

const (
	gridBits  = 34
	limitBits = 13

	// Grid is the spacing in metres of the grid all coordinates are snapped to: 2^-34 m.
	Grid = 1.0 / (1 << gridBits)
	// Limit is the greatest absolute coordinate in metres: 2^13 m = 8192 m.
	Limit = 1 << limitBits
)

// point is a place on the grid. |x|, |y| <= 2^47, so that a difference is exact in a float64 and
// a cross product of differences fits in 128 bits.
type point struct{ x, y int64 }

func (p point) less(q point) bool { return p.x < q.x || (p.x == q.x && p.y < q.y) }

func compare(p, q point) int {
	switch {
	case p == q:
		return 0
	case p.less(q):
		return -1
	}
	return 1
}

func snap(p r2.Point) point { return point{snapped(p.X), snapped(p.Y)} }

func snapped(v float64) int64 {
	return int64(math.RoundToEven(max(-Limit, min(v, Limit)) / Grid))
}

func (p point) metres() r2.Point { return r2.Point{X: float64(p.x) * Grid, Y: float64(p.y) * Grid} }

// int128 is a signed number hi·2^64 + lo.
type int128 struct {
	hi int64
	lo uint64
}

func product(a, b int64) int128 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	// Mul64 takes the operands as unsigned: take back 2^64 times the other for each negative one.
	return int128{int64(hi) - (a >> 63 & b) - (b >> 63 & a), lo}
}

func (u int128) plus(v int128) int128 {
	lo, carry := bits.Add64(u.lo, v.lo, 0)
	return int128{u.hi + v.hi + int64(carry), lo}
}

func (u int128) minus(v int128) int128 {
	lo, borrow := bits.Sub64(u.lo, v.lo, 0)
	return int128{u.hi - v.hi - int64(borrow), lo}
}

func (u int128) sign() int {
	switch {
	case u.hi < 0:
		return -1
	case u.hi == 0 && u.lo == 0:
		return 0
	}
	return 1
}

// float is the nearest float64 but for a last digit. Negative numbers are turned first, so that a
// number and its opposite round alike.
func (u int128) float() float64 {
	if u.hi < 0 {
		return -(int128{}.minus(u).float())
	}
	return float64(u.hi)*(1<<64) + float64(u.lo)
}

func (u int128) big() *big.Int {
	n := big.NewInt(u.hi)
	return n.Lsh(n, 64).Add(n, new(big.Int).SetUint64(u.lo))
}

// squareMetres turns twice an area in squares of the grid into square metres.
func (u int128) squareMetres() float64 { return math.Ldexp(u.float(), -2*gridBits-1) }

// cross is ux·vy − uy·vx, exact.
func cross(ux, uy, vx, vy int64) int128 { return product(ux, vy).minus(product(uy, vx)) }

// orient is +1 if a, b, c turn left, −1 if right, 0 if they are in line; exact.
//
//	      c  +1
//	a ──► b   0
//	      c  −1
func orient(a, b, c point) int {
	ux, uy := b.x-a.x, b.y-a.y
	vx, vy := c.x-a.x, c.y-a.y
	l, r := float64(ux)*float64(vy), float64(uy)*float64(vx)
	// The factors are exact; each product is off by at most 2^-53 of itself and the difference by
	// 2^-53 of itself, which is well inside 2^-51 of the sum. A product is zero only if exactly so.
	det, sum := l-r, math.Abs(l)+math.Abs(r)
	if bound := sum * (1.0 / (1 << 51)); det > bound {
		return 1
	} else if det < -bound {
		return -1
	} else if sum == 0 {
		return 0
	}
	return cross(ux, uy, vx, vy).sign()
}
