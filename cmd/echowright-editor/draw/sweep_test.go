package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// windingAt is the winding number of rings at a place, positive where a ring runs down at its left; by counting sides to its right.
func windingAt(rings [][]point, x, y float64) int {
	w := 0
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			if (p.y <= y) == (q.y <= y) {
				continue
			}
			if p.x+(q.x-p.x)*(y-p.y)/(q.y-p.y) > x {
				if q.y > p.y {
					w--
				} else {
					w++
				}
			}
		}
	}
	return w
}

func nearEdge(rings [][]point, x, y, d float64) bool {
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			ux, uy := unit(p, q)
			l := math.Hypot(q.x-p.x, q.y-p.y)
			s := math.Max(0, math.Min(l, (x-p.x)*ux+(y-p.y)*uy))
			if math.Hypot(p.x+s*ux-x, p.y+s*uy-y) < d {
				return true
			}
		}
	}
	return false
}

// covers counts the trapezoids that hold a place.
func covers(ts []trapezoid, x, y float64) int {
	n := 0
	for _, t := range ts {
		if y < t.top || y >= t.bottom {
			continue
		}
		k := (y - t.top) / (t.bottom - t.top)
		if x >= t.lt+(t.lb-t.lt)*k && x < t.rt+(t.rb-t.rt)*k {
			n++
		}
	}
	return n
}

// awkward are rings a plan can bring: what each is for stands beside it.
var awkward = map[string][][]point{
	"concave with a hole":     {{{0, 0}, {60, 0}, {60, 60}, {30, 20}, {0, 60}}, {{20, 5}, {40, 5}, {40, 15}, {20, 15}}},
	"hole that touches":       {{{0, 0}, {40, 0}, {40, 40}, {0, 40}}, {{0, 20}, {20, 10}, {20, 30}}},
	"two that share a side":   {{{0, 0}, {20, 0}, {20, 40}, {0, 40}}, {{20, 0}, {40, 0}, {40, 40}, {20, 40}}},
	"the same twice":          {{{0, 0}, {40, 0}, {20, 40}}, {{0, 0}, {40, 0}, {20, 40}}},
	"crosses itself":          {{{0, 0}, {40, 40}, {40, 0}, {0, 40}}},
	"five-pointed star":       {{{50, 0}, {79, 90}, {2, 35}, {98, 35}, {21, 90}}},
	"repeated points":         {{{0, 0}, {0, 0}, {40, 0}, {40, 0}, {40, 40}, {40, 40}, {0, 40}}},
	"a spike of no width":     {{{0, 0}, {40, 0}, {40, 20}, {80, 20}, {40, 20}, {40, 40}, {0, 40}}},
	"touches at a point":      {{{0, 0}, {20, 20}, {40, 0}, {40, 40}, {20, 20}, {0, 40}}},
	"nearly level sides":      {{{0, 0}, {100, 1e-7}, {100, 30}, {0, 30 + 1e-9}}},
	"holes within islands":    {{{0, 0}, {90, 0}, {90, 90}, {0, 90}}, {{10, 10}, {80, 10}, {80, 80}, {10, 80}}, {{20, 20}, {70, 20}, {70, 70}, {20, 70}}},
	"nothing":                 {},
	"a point and a line":      {{{5, 5}}, {{5, 5}, {20, 30}}},
	"corners of great number": {circlePoints(50, 50, 45, 720), circlePoints(50, 50, 20, 333)},
}

func circlePoints(cx, cy, r float64, n int) []point {
	ps := make([]point, n)
	for i := range ps {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ps[i] = point{cx + r*c, cy + r*s}
	}
	return ps
}

// Every place off the edges is covered exactly once inside and not at all outside.
func checkSweep(t *testing.T, rings [][]point, rnd *rand.Rand) {
	t.Helper()
	for name, inside := range map[string]rule{"even-odd": evenOdd, "positive": positive} {
		ts, _ := sweep(rings, inside)
		for range 400 {
			x, y := rnd.Float64()*110-5, rnd.Float64()*110-5
			if nearEdge(rings, x, y, 1e-4) {
				continue
			}
			want := 0
			if inside(windingAt(rings, x, y)) {
				want = 1
			}
			if got := covers(ts, x, y); got != want {
				t.Errorf("%s: (%g, %g) is covered %d times, want %d", name, x, y, got, want)
				return
			}
		}
	}
}

func TestSweepFillsExactlyTheInside(t *testing.T) {
	for name, rings := range awkward {
		t.Run(name, func(t *testing.T) { checkSweep(t, rings, rand.New(rand.NewPCG(1, 2))) })
	}
}

func TestSweepOfRandomRings(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 150 {
		rings := make([][]point, 1+rnd.IntN(4))
		for r := range rings {
			for range 3 + rnd.IntN(20) {
				p := point{rnd.Float64() * 100, rnd.Float64() * 100}
				if rnd.IntN(3) > 0 { // many on a grid, so that levels and places coincide
					p = point{math.Round(p.x/10) * 10, math.Round(p.y/20) * 20}
				}
				rings[r] = append(rings[r], p)
			}
		}
		checkSweep(t, rings, rnd)
		if t.Failed() {
			t.Fatalf("%v", rings)
		}
	}
}

// The hand on which the fill lies is told right for each side of a ring with a hole, whichever way they run.
func TestSweepTellsTheFilledHand(t *testing.T) {
	outer, hole := circlePoints(50, 50, 40, 24), circlePoints(50, 50, 15, 12)
	for _, turn := range []bool{false, true} {
		if turn {
			reverse(hole)
		}
		rings := [][]point{outer, hole}
		_, hands := sweep(rings, evenOdd)
		for r, ring := range rings {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				if math.Abs(p.y-q.y) < 1e-9 {
					continue
				}
				mid := point{(p.x + q.x) / 2, (p.y + q.y) / 2}
				want := fillLeft
				if windingAt(rings, mid.x+0.1, mid.y)&1 != 0 {
					want = fillRight
				}
				if hands[r][i] != want {
					t.Errorf("ring %d side %d: hand %d, want %d", r, i, hands[r][i], want)
				}
			}
		}
	}
}

// A polygon of 720 corners is cut into about one trapezoid a corner, not one for each pair of sides and level.
func TestSweepMakesFewPieces(t *testing.T) {
	ring := circlePoints(50, 50, 45, 720)
	if ts, _ := sweep([][]point{ring}, evenOdd); len(ts) > 720 {
		t.Errorf("%d pieces of 720 corners", len(ts))
	}
}

func FuzzSweep(f *testing.F) {
	f.Add([]byte{0, 0, 40, 40, 40, 0, 0, 40}, uint8(4))
	f.Add([]byte{0, 0, 40, 0, 40, 20, 80, 20, 40, 20, 40, 40, 0, 40}, uint8(7))
	f.Fuzz(func(t *testing.T, data []byte, cut uint8) {
		if len(data) > 120 {
			return
		}
		rings := [][]point{nil}
		for i := 0; i+1 < len(data); i += 2 {
			last := len(rings) - 1
			rings[last] = append(rings[last], point{float64(data[i]) / 2.5, float64(data[i+1]) / 2.5})
			if cut > 2 && len(rings[last]) >= int(cut) {
				rings = append(rings, nil)
			}
		}
		checkSweep(t, rings, rand.New(rand.NewPCG(5, 6)))
	})
}
