package acoustics

import "math"

// The loss of an echo by spreading alone, dB, against the pressure at 1 m from the source: smooth rigid
// targets much larger than a wavelength (ka ≫ 1), by geometrical acoustics. Distances are to the surface.
//
//	wall      1/(2r)                     image source
//	cylinder  1/(2r)·(a/(a+r))^½          specular line; the far-field form of the tables would be 20 dB
//	                                     too strong at parking distance
//	sphere    1/(2r)·(a/(a+r))

// WallSpreading is the spreading loss of a mirror image at the end of a path of that length, m:
// 20 lg(path). One place or two makes no difference.
func WallSpreading(path float64) float64 { return 20 * math.Log10(path) }

// CylinderSpreading is the spreading loss by a cylinder of radius a between two places r1 and r2 from the
// specular point, in the plane across the cylinder, cosIncidence from its normal; r1 = r2 = r and 1 give
// the one-place form 20 lg(2r) + 10 lg((a+r)/a).
func CylinderSpreading(a, r1, r2, cosIncidence float64) float64 {
	ac := a * cosIncidence
	return -10 * math.Log10(ac/((r1+r2)*(2*r1*r2+(r1+r2)*ac)))
}

// SphereSpreading is the spreading loss by a sphere of radius a, as CylinderSpreading; the one-place form
// is 20 lg(2r) + 20 lg((a+r)/a).
func SphereSpreading(a, r1, r2, cosIncidence float64) float64 {
	s, p := r1+r2, 2*r1*r2
	ac := a * cosIncidence
	return -10 * math.Log10(a*ac/((p+s*ac)*(p*cosIncidence+s*a)))
}

// curvature is how many of a target's two principal curvatures are those of its radius.
type curvature int

const (
	flat  curvature = iota // wall, kerb
	round                  // post, bar
	ball                   // sphere
)

const tenthNeper = 20 / math.Ln10 // dB in one neper
