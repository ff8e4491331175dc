package latency

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.9g, want %.9g within %g", what, got, want, within)
	}
}

// Worked by hand from v t + v²/(2a) + g; no published figure was at hand.
func TestNeeded(t *testing.T) {
	for _, c := range []struct{ v, t, a, want float64 }{
		{0.5, 0.2, 1, 0.225}, {1, 0.2, 1, 0.7}, {1, 0.3, 2, 0.55}, {1.5, 0.5, 1.5, 1.5},
	} {
		near(t, "needed", Stopping{DecelMS2: c.a}.Needed(c.v, c.t), c.want, 1e-12)
	}
}

// R 1.5 m, g 0.1 m, a 2 m/s², two readings, echo 10 ms, processing 10 ms, reaction 150 ms; worked by hand.
func TestClosedForms(t *testing.T) {
	s := Stopping{DecelMS2: 2, MarginM: 0.1}
	const rest = 0.010 + 0.010 + 0.150
	for _, c := range []struct{ v, ms float64 }{{1, 490}, {1.5, 194}, {2, 15}} {
		near(t, "refresh, ms", 1e3*s.LongestRefresh(1.5, c.v, rest, 2), c.ms, 0.5) // given to the millisecond
	}
	near(t, "speed", s.GreatestSpeed(1.5, 2*0.1+rest), 1.739, 5e-4)
	// Eight in turn, 5 m each, a 0.5: 233.1 ms and an echo of 29.1 ms.
	far := Stopping{DecelMS2: 0.5}
	near(t, "eight in turn", far.GreatestSpeed(5, 0.2331+0.0291), 2.109, 5e-4)
	// √(2 a R): V. J. Lumelsky's rule for a robot that must stop inside its sensing radius.
	near(t, "no latency", far.GreatestSpeed(5, 0), math.Sqrt(2*0.5*5), 1e-12)
	if v := s.GreatestSpeed(0.1, 1); v != 0 {
		t.Errorf("no room: %g m/s", v)
	}
}

// Each closed form undoes the other.
func TestClosedFormsAgree(t *testing.T) {
	for _, r := range []float64{0.11, 0.5, 3, 20} {
		for _, lat := range []float64{0, 1e-3, 0.4, 5} {
			s := Stopping{DecelMS2: 1.7, MarginM: 0.1}
			v := s.GreatestSpeed(r, lat)
			near(t, "needed at the greatest speed", s.Needed(v, lat), r, 1e-12*r)
			near(t, "refresh at the greatest speed", s.LongestRefresh(r, v, lat-0.3, 3), 0.1, 1e-9)
		}
	}
}
