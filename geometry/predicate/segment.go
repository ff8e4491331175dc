package predicate

import "github.com/golang/geo/r2"

// Meets reports whether the closed segments ab and cd share at least one point: crossing, touching or
// overlapping.
func Meets(a, b, c, d r2.Point) bool {
	if boxesApart(a, b, c, d) {
		return false
	}
	if Orient(a, b, c)*Orient(a, b, d) > 0 {
		return false
	}
	return Orient(c, d, a)*Orient(c, d, b) <= 0
}

// OnSegment reports whether p lies on the closed segment ab, exactly.
func OnSegment(a, b, p r2.Point) bool {
	return within(a.X, b.X, p.X) && within(a.Y, b.Y, p.Y) && Orient(a, b, p) == 0
}

func within(a, b, x float64) bool { return min(a, b) <= x && x <= max(a, b) }

func boxesApart(a, b, c, d r2.Point) bool {
	return max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y)
}

// Less orders points by x, then by y: the order in which a sweep meets them.
func Less(a, b r2.Point) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }
