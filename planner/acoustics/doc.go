// Package acoustics says what a ranging module hears: from the air, a kind of module, its place and a
// target to the echo's level over the module's own threshold, and from that to the set of places where
// the target is seen for certain (its lobe).
//
// In: planner/scene values (air, kind, sensor, target, ground). Out: plain numbers and polygons.
// Nothing is read from files, clocks or globals; equal input gives equal output.
//
// Units: metres, radians unless a name says Deg, degC, percent, pascals, seconds as time.Duration.
// Frame: x forward, y left, z up; angles counter-clockwise from x; tilt up positive (REP 103).
// Levels: dB over the listening module's detection threshold.
//
// Two ends of every span are kept apart. Certain is the weaker end: low supply, the least gain
// its card allows, most absorption, the narrowest beam over the weather; what is seen at this end is seen
// always. Strongest is the other end: high supply, the greatest gain, least absorption, a beam that never
// falls below a stated floor; what is not heard at this end is never heard.
//
// The level of an echo is (after the sonar equation, Urick, Principles of Underwater Sound, chapter 2,
// with the two terms that a datasheet never gives, source level and threshold, solved as one gain):
//
//	level = gain − spreading − absorption·path + two-way pattern − loss − threshold rise
//
// Standards and papers followed: see Sources.
package acoustics

// Sources lists the published formulas this package computes with, in words fit for a report.
func Sources() []string {
	return []string{
		"speed of sound: O. Cramer, J. Acoust. Soc. Am. 93(5), 2510-2516 (1993), Eq. (15), with the CIPM vapour pressure (R. S. Davis, Metrologia 29, 67, 1992), as in IEC 61094-2:2009 Annex F; outside 0..30 degC an ideal gas with humidity (after D. A. Bohn, J. Audio Eng. Soc. 36(4), 1988)",
		"absorption of sound: ISO 9613-1:1993, Eqs. (3) to (5), Annex B",
		"beam: circular and elliptic piston in a baffle, L. E. Kinsler et al., Fundamentals of Acoustics, 4th ed., chapter 7",
		"echo level: R. J. Urick, Principles of Underwater Sound, 3rd ed., chapter 2; targets by curvature (geometrical acoustics), walls and corners by image sources",
	}
}
