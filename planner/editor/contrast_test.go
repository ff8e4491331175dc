package editor_test

import (
	"math"
	"testing"
)

// contrast is the "contrast ratio" of WCAG 2.2 for colours of 0..255, over its "relative luminance".
func contrast(a, b [3]float64) float64 {
	luminance := func(c [3]float64) (l float64) {
		for k, weight := range [3]float64{0.2126, 0.7152, 0.0722} {
			v := c[k] / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			l += weight * v
		}
		return l
	}
	x, y := luminance(a)+0.05, luminance(b)+0.05
	return max(x, y) / min(x, y)
}

// Black on white is 21 to 1 by the formula; #767676 is the darkest common grey that passes on white, #777777 the lightest that
// fails: 4.54 and 4.48, from memory.
func TestContrast(t *testing.T) {
	grey := func(v float64) [3]float64 { return [3]float64{v, v, v} }
	for _, c := range []struct{ ink, want float64 }{{0, 21}, {0x76, 4.54}, {0x77, 4.48}} {
		if got := contrast(grey(c.ink), grey(255)); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%#x on white: %.3f, wanted %.2f", int(c.ink), got, c.want)
		}
	}
}
