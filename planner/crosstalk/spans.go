package crosstalk

import "math"

// span is a closed interval of numbers.
type span struct{ lo, hi float64 }

// times multiplies by a span of numbers not below zero.
func (s span) times(t span) span {
	return span{min(s.lo*t.lo, s.lo*t.hi), max(s.hi*t.lo, s.hi*t.hi)}
}

// by multiplies by any span.
func (s span) by(t span) span {
	a, b, c, d := s.lo*t.lo, s.lo*t.hi, s.hi*t.lo, s.hi*t.hi
	return span{min(a, b, c, d), max(a, b, c, d)}
}

func (s span) scale(f float64) span {
	if f < 0 {
		return span{s.hi * f, s.lo * f}
	}
	return span{s.lo * f, s.hi * f}
}

func (s span) plus(t span) span        { return span{s.lo + t.lo, s.hi + t.hi} }
func (s span) shift(x float64) span    { return span{s.lo + x, s.hi + x} }
func (s span) grown(x float64) span    { return span{s.lo - x, s.hi + x} }
func (s span) meets(t span) bool       { return s.lo <= t.hi && t.lo <= s.hi }
func (s span) above(x float64) span    { return span{max(s.lo, x), max(s.hi, x)} }
func (s span) contains(x float64) bool { return s.lo <= x && x <= s.hi }

// least is the least magnitude in s.
func (s span) least() float64 { return max(0, max(s.lo, -s.hi)) }

// spans is a set of numbers: disjoint spans in rising order, no two nearer each other than the set's gap.
type spans struct {
	list []span
	gap  float64
}

// add puts s into the set and joins what it comes near to.
func (u *spans) add(s span) {
	from := 0
	for from < len(u.list) && u.list[from].hi < s.lo-u.gap {
		from++
	}
	to := from
	for to < len(u.list) && u.list[to].lo <= s.hi+u.gap {
		s = span{min(s.lo, u.list[to].lo), max(s.hi, u.list[to].hi)}
		to++
	}
	if from == to {
		u.list = append(u.list, span{})
		copy(u.list[from+1:], u.list[from:])
		u.list[from] = s
		return
	}
	u.list[from] = s
	u.list = append(u.list[:from+1], u.list[to:]...)
}

// misses is how much of s lies farther than slack from the set.
func (u *spans) misses(s span, slack float64) float64 {
	left, at := 0.0, s.lo
	for _, k := range u.list {
		k = k.grown(slack)
		if k.hi < at {
			continue
		}
		if k.lo >= s.hi {
			break
		}
		left += max(0, k.lo-at)
		at = k.hi
		if at >= s.hi {
			return left
		}
	}
	return left + max(0, s.hi-at)
}

// hypot is math.Hypot without its care for the largest numbers.
func hypot(a, b float64) float64 { return math.Sqrt(float64(a*a) + float64(b*b)) }
