package acoustics

import (
	"math"
	"testing"
)

const alpha20 = 1.3182 // dB/m, 40 kHz, 20 degC, 50 % (ISO 9613-1, computed)

// Echo relative to source level on axis, 40 kHz, 20 degC, 50 %: wall, 75 mm post, 150 mm sphere. Computed from
// image source and geometrical acoustics, printed to 0.01 dB.
func TestEchoLevels(t *testing.T) {
	for _, r := range [][5]float64{
		{0.3, 3.65, -5.90, -10.33, 9.54}, {0.5, -1.32, -12.88, -19.01, 11.56}, {1.0, -8.66, -23.08, -31.78, 14.42},
		{1.5, -13.50, -29.62, -39.94, 16.13}, {2.0, -17.31, -34.66, -46.15, 17.35}, {3.0, -23.47, -42.56, -55.73, 19.08},
		{5.0, -33.18, -54.46, -69.79, 21.28},
	} {
		d := r[0]
		wall := -spreading(flat, 0, d, d) - 2*alpha20*d
		post := -spreading(round, 0.0375, d, d) - 2*alpha20*d
		sphere := -spreading(ball, 0.075, d, d) - 2*alpha20*d
		near(t, "wall", wall, r[1], 0.0051)
		near(t, "post", post, r[2], 0.0051)
		near(t, "sphere", sphere, r[3], 0.0051)
		near(t, "wall less post", wall-post, r[4], 0.0051)
	}
	near(t, "wall at 1 m", -spreading(flat, 0, 1, 1)-2*alpha20, -8.657, 1e-3)
}

// Target strength is the echo with both ways' spreading taken out: TS = 40 lg r − spreading.
func strength(shape curvature, a, r float64) float64 {
	return 40*math.Log10(r) - spreading(shape, a, r, r)
}

func TestTargetStrengths(t *testing.T) {
	// Sphere 20 lg(a/2) for r ≫ a (two university target-strength sheets); at 1 km the nearness counts 0.0013 dB.
	near(t, "sphere 0.15 m", strength(ball, 0.15, 1e6), -22.499, 1e-3)
	near(t, "sphere 75 mm", strength(ball, 0.075, 1e6), -28.52, 0.0051)
	// Long pole 10 lg(a r²/(4(r+a))): geometrical acoustics; a numerical surface integral over a 1 m pole gave
	// -20.2, -19.0, -16.1 dB at 1, 1.5, 2.5 m, the ripple of its ends being some 0.4 dB.
	near(t, "pole at 1 m", strength(round, 0.0375, 1), -20.440, 1e-3)
	for _, r := range [][2]float64{{1, -20.2}, {1.5, -19.0}, {2.5, -16.1}} {
		near(t, "pole against surface integral", strength(round, 0.0375, r[0]), r[1], 0.4)
	}
	near(t, "wall at 4 m", strength(flat, 0, 4), 6.02, 0.0051)
	near(t, "wall less pole at 2 m", spreading(round, 0.0375, 2, 2)-spreading(flat, 0, 2, 2), 17.35, 0.01)
	// Exact rigid sphere, a = 10 mm (J. M. Jech et al., J. Acoust. Soc. Am. 138, 3742, 2015, published table): ka 10.1,
	// 13.5, 17.0. The asymptotic form this package uses claims no more than 0.63 dB for ka > 10.
	for _, ts := range []float64{-46.51, -45.97, -45.84} {
		near(t, "sphere against Jech", strength(ball, 0.01, 1e5), ts, 0.63)
	}
	// Exact modal series in air, 40 kHz, a = 37.5 mm, ka 27.5 (computed): -34.57. The asymptotic form, 20 lg(a/2), is
	// -34.54; at that ka it claims no more than 0.04 dB.
	near(t, "sphere against the modal series", strength(ball, 0.0375, 1e5), -34.57, 0.04)
	// Exact rigid cylinder, a = 10 mm, L = 70 mm, 200 kHz, c = 1477.3 m/s (same): -24.99. Ours is for a cylinder longer
	// than its Fresnel zone; at the distance where that zone just fills it, r = 2L²/lambda, the far field
	// a L²/(2 lambda) and a r/4 agree by construction, and so must ours, within the 0.2 dB of the form.
	lambda, l := 1477.3/200e3, 0.070
	near(t, "cylinder against Jech", strength(round, 0.01, 2*l*l/lambda), -24.99, 0.25)
}

// A system that just sees a 75 mm pole at one distance sees a wall at another (computed; 40 kHz).
func TestPoleAgainstWallRanges(t *testing.T) {
	for _, r := range []struct {
		w    Weather
		pole []float64
		wall []float64
	}{
		{Weather{20, 50, 101325}, []float64{1, 1.5, 2, 2.5}, []float64{2.93, 4.21, 5.34, 6.36}},
		{Weather{0, 50, 101325}, []float64{1, 1.5, 2, 2.5}, []float64{3.90, 6.02, 7.96, 9.73}},
		{Weather{40, 20, 101325}, []float64{1, 1.5, 2, 2.5}, []float64{2.69, 3.82, 4.81, 5.72}},
	} {
		alpha := 2 * Absorption(40e3, r.w)
		for i, d := range r.pole {
			pole := &looker{w: answer{shape: round, a: 0.0375}, alpha: alpha}
			wall := &looker{alpha: alpha}
			near(t, "wall", wall.reachX(pole.base(d)), r.wall[i], 0.0051)
		}
	}
	for _, r := range [][3]float64{{40, 6.65, 2.65}, {50, 9.33, 4.18}, {60, 12.23, 6.11}, {70, 15.28, 8.36}} {
		near(t, "wall", (&looker{alpha: 2 * alpha20}).reachX(r[0]), r[1], 0.0051)
		near(t, "pole", (&looker{w: answer{shape: round, a: 0.0375}, alpha: 2 * alpha20}).reachX(r[0]), r[2], 0.0051)
	}
}

// Two places: the wall's path by the mirror image, and a pole at 10 degrees incidence (computed).
func TestTwoPlaces(t *testing.T) {
	path := math.Sqrt(4*1*1 + 0.4*0.4)
	near(t, "path", path, 2.03961, 1e-5)
	near(t, "wall", WallSpreading(path), 20*math.Log10(2.03961), 1e-4)
	near(t, "pole", -CylinderSpreading(0.0375, 1, 1.2, math.Cos(10*math.Pi/180)), -21.697, 1e-3)
	for _, r := range []float64{0.2, 1, 4} {
		near(t, "pole, one place", CylinderSpreading(0.03, r, r, 1), spreading(round, 0.03, r, r), 1e-9)
		near(t, "sphere, one place", SphereSpreading(0.03, r, r, 1), spreading(ball, 0.03, r, r), 1e-9)
	}
	for _, i := range []float64{0, 0.3, 1} {
		near(t, "there and back", SphereSpreading(0.05, 1, 2, math.Cos(i)), SphereSpreading(0.05, 2, 1, math.Cos(i)), 1e-9)
	}
}
