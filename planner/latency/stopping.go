package latency

import "math"

// Stopping is how a machine stops, in SI units.
//
// Kinematics at constant deceleration; the response times add up as in ISO 13855:2010, S = K T + C, with the
// machine as that which approaches.
type Stopping struct {
	DecelMS2 float64 // a, above zero
	MarginM  float64 // g, left when it stands
}

// Sources are the published sources of what this package reckons, for the report.
func Sources() []string {
	return []string{"Distance to stop v t + v²/(2a) + margin: kinematics at constant deceleration; response times added up as in ISO 13855:2010, S = K T + C"}
}

// Needed is the distance that must be left when a target can first be detected, m: v t + v²/(2a) + g, with t
// (s) from then until braking begins: detection and reaction.
func (s Stopping) Needed(speedMS, latency float64) float64 {
	return float64(speedMS*latency) + float64(speedMS*speedMS)/(2*s.DecelMS2) + s.MarginM
}

// GreatestSpeed is the speed, m/s, for which Needed is that distance: a (−t + √(t² + 2 (R − g)/a)), written
// so that no digits cancel for a short distance; 0 where not even the margin is left.
func (s Stopping) GreatestSpeed(distanceM, latency float64) float64 {
	room := distanceM - s.MarginM
	if room <= 0 {
		return 0
	}
	return 2 * room / (latency + math.Sqrt(float64(latency*latency)+2*room/s.DecelMS2))
}

// LongestRefresh is the time between a sensor's firings, s, at which a distance is just enough when so many
// readings must be waited for: T = [(R − g)/v − v/(2a) − rest]/n, with rest (s) all of the latency that is not
// waiting for firings. Below zero where no refresh is short enough.
func (s Stopping) LongestRefresh(distanceM, speedMS, rest float64, readings int) float64 {
	return ((distanceM-s.MarginM)/speedMS - speedMS/(2*s.DecelMS2) - rest) / float64(readings)
}
