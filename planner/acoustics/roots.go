package acoustics

import "math"

// crossing finds where g, in dB, changes sign between a and b, one end at or above 0, the other below:
// to 1e-7 m or 1e-6 dB.
func crossing(a, b float64, g func(float64) float64) float64 {
	return bracketed(a, g(a), b, g(b), g)
}

// bracketed is crossing with both ends' values known: false position, where the end that stays put has
// its value lowered by what the step fell short (Anderson and Björck, BIT 13, 253, 1973), and plain
// halving while the ends are wildly apart, as they are beside a null.
func bracketed(a, ga, b, gb float64, g func(float64) float64) float64 {
	for i := 0; i < 100 && math.Abs(b-a) > 1e-7; i++ {
		x := (a + b) / 2
		if math.Abs(ga)+math.Abs(gb) < 60 && i%8 != 7 {
			x = a - ga*(b-a)/(gb-ga)
		}
		gx := g(x)
		if math.Abs(gx) < 1e-6 {
			return x
		}
		if (gx >= 0) != (gb >= 0) { // b is the end last moved
			a, ga = b, gb
		} else if m := 1 - gx/gb; m > 0 {
			ga *= m
		} else {
			ga /= 2
		}
		b, gb = x, gx
	}
	return (a + b) / 2
}

// quadratic gives the real roots of a x² + b x + c.
func quadratic(a, b, c float64, root func(float64)) {
	d := b*b - 4*a*c
	if d < 0 {
		return
	}
	q := -(b + math.Copysign(math.Sqrt(d), b)) / 2
	if a != 0 {
		root(q / a)
	}
	if q != 0 {
		root(c / q)
	}
}

// parabola is the bottom of the parabola through three samples; NaN when it has none.
func parabola(x []float64, a, b, c float64) (at, value float64) {
	l, r := x[1]-x[0], x[2]-x[1]
	sl, sr := (b-a)/l, (c-b)/r
	curve := (sr - sl) / (l + r)     // second divided difference
	slope := (sl*r + sr*l) / (l + r) // at the middle sample
	if !(curve > 0) {
		return math.NaN(), math.NaN()
	}
	return x[1] - slope/(2*curve), b - slope*slope/(4*curve)
}

// vertex is the parabola's bottom if it lies between the outer samples; otherwise +Inf.
func vertex(x []float64, a, b, c float64) float64 {
	if at, v := parabola(x, a, b, c); at >= x[0] && at <= x[2] {
		return v
	}
	return math.Inf(1)
}

// leastOver is the least value of g over the span of ts: the least sample, made better by golden section
// between its neighbours.
func leastOver(ts []float64, g func(float64) float64) (at, value float64) {
	best := 0
	value = math.Inf(1)
	for i, t := range ts {
		if v := g(t); v < value {
			best, value = i, v
		}
	}
	at = ts[best]
	if math.IsInf(value, -1) {
		return at, value
	}
	if t, v := golden(ts[max(best-1, 0)], ts[min(best+1, len(ts)-1)], g); v < value {
		return t, v
	}
	return at, value
}

// golden is the least value of g between lo and hi, where g falls and then rises, by golden section.
func golden(lo, hi float64, g func(float64) float64) (at, value float64) {
	const ratio = 0.6180339887498949
	a, b := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	ga, gb := g(a), g(b)
	for range 20 {
		if ga < gb {
			hi, b, gb = b, a, ga
			a = hi - ratio*(hi-lo)
			ga = g(a)
		} else {
			lo, a, ga = a, b, gb
			b = lo + ratio*(hi-lo)
			gb = g(b)
		}
	}
	if ga < gb {
		return a, ga
	}
	return b, gb
}
