package acoustics

import (
	"math"

	"echowright/planner/scene"
)

// Weather is one state of the air: degC, percent relative humidity, Pa.
type Weather struct {
	TemperatureC, HumidityPct, PressurePa float64
}

// Reference is the weather a card's figures are meant for when it does not say: 20 degC, 50 %, one
// atmosphere. Beam widths and blind distances are taken at it too.
var Reference = Weather{TemperatureC: 20, HumidityPct: 50, PressurePa: 101325}

const (
	zeroC = 273.15
	// carbon dioxide in the air, mole fraction; the value of IEC 61094-2 Annex F.
	carbonDioxide = 0.0004

	// Range of Cramer's fit in temperature, and over how many kelvin beyond it its difference from the
	// ideal gas is faded out so that the speed stays continuous.
	cramerLowC, cramerHighC = 0.0, 30.0
	fadeK                   = 10.0
	// Range of pressure for which IEC 61094-2 Annex F offers the same formula.
	cramerLowPa, cramerHighPa = 60e3, 110e3
)

// SpeedOfSound is the speed of sound in air, m/s.
//
// Inside 0..30 degC: O. Cramer, J. Acoust. Soc. Am. 93(5), 2510 (1993), Eq. (15), with the CIPM vapour
// pressure and 400 ppm carbon dioxide; uncertainty there under 300 ppm. Below and above: ideal gas with a
// humidity-weighted ratio of specific heats (within 0.13 m/s of Cramer over his range), plus the
// difference of the two at the range's end, faded out over the next 10 K so that there is no step.
func SpeedOfSound(w Weather) float64 {
	xw := waterFraction(w)
	t := w.TemperatureC
	edge := math.Min(math.Max(t, cramerLowC), cramerHighC)
	if edge == t {
		return cramer(t, w.PressurePa, xw, carbonDioxide)
	}
	at := w
	at.TemperatureC = edge
	xe := waterFraction(at)
	step := cramer(edge, w.PressurePa, xe, carbonDioxide) - idealGas(edge, xe)
	fade := math.Max(0, 1-math.Abs(t-edge)/fadeK)
	return idealGas(t, xw) + step*fade
}

// waterFraction is the mole fraction of water vapour (Cramer's appendix, Eqs. (A1) and (A2), with the CIPM
// revision of the vapour pressure).
func waterFraction(w Weather) float64 {
	tk := w.TemperatureC + zeroC
	psv := math.Exp(1.2378847e-5*tk*tk - 1.9121316e-2*tk + 33.93711047 - 6.3431645e3/tk)
	f := 1.00062 + 3.14e-8*w.PressurePa + 5.6e-7*w.TemperatureC*w.TemperatureC
	return w.HumidityPct / 100 * f * psv / w.PressurePa
}

// cramer is Eq. (15) of Cramer 1993, coefficients of his Table III; t in degC, p in Pa, xw and xc mole
// fractions. Pressure, which hardly matters, is held to the range the fit is offered for.
func cramer(t, p, xw, xc float64) float64 {
	p = math.Min(math.Max(p, cramerLowPa), cramerHighPa)
	return 331.5024 + 0.603055*t - 0.000528*t*t +
		(51.471935+0.1495874*t-0.000782*t*t)*xw +
		(-1.82e-7+3.73e-8*t-2.93e-10*t*t)*p +
		(-85.20931-0.228525*t+5.91e-5*t*t)*xc -
		2.835149*xw*xw - 2.15e-13*p*p + 29.179762*xc*xc + 0.000486*xw*p*xc
}

// idealGas is sqrt(gamma R T/M) with gamma = (7+x)/(5+x) (after D. A. Bohn, J. Audio Eng. Soc. 36(4), 1988).
func idealGas(t, x float64) float64 {
	const molarGas = 8.314462618
	gamma := (7 + x) / (5 + x)
	m := 0.0289647*(1-x) + 0.0180153*x
	return math.Sqrt(gamma * molarGas * (t + zeroC) / m)
}

// dryAir is the textbook form 331.3·sqrt(1 + t/273.15), m/s: what a module that compensates for
// temperature only converts with.
func dryAir(t float64) float64 { return 331.3 * math.Sqrt(1+t/zeroC) }

// Absorption is the loss of pressure level by the air, dB per metre of path, at f hertz:
// ISO 9613-1:1993, Eqs. (3), (4), (5) and Annex B. The standard states ±10 % for 0.05..5 % of water
// vapour, -20..50 degC and f/p up to 10 Hz/Pa (40 kHz at one atmosphere is 0.4), ±20 % drier or wetter.
// Vapour pressure is over water also below 0 degC, as the standard has it.
func Absorption(f float64, w Weather) float64 {
	const (
		t0  = 293.15
		t01 = 273.16
		pr  = 101325.0
	)
	tk := w.TemperatureC + zeroC
	pa := w.PressurePa / pr
	tr := tk / t0
	h := w.HumidityPct * math.Pow(10, -6.8346*math.Pow(t01/tk, 1.261)+4.6151) / pa
	frO := pa * (24 + 4.04e4*h*(0.02+h)/(0.391+h))
	root := math.Sqrt(tr)
	frN := pa / root * (9 + 280*h*math.Exp(-4.170*(1/math.Cbrt(tr)-1)))
	return 8.686 * f * f * (1.84e-11/pa*root + 1/(tr*tr*root)*
		(0.01275*math.Exp(-2239.1/tk)/(frO+f*f/frO)+0.1068*math.Exp(-3352.0/tk)/(frN+f*f/frN)))
}

// Extreme is the least or most of something over a span of weather, and the weather it is at.
type Extreme struct {
	Value float64
	At    Weather
}

// SpeedSpan is the slowest and fastest sound, m/s, over a span of weather.
func SpeedSpan(a scene.Air) (slowest, fastest Extreme) {
	return extremes(a, SpeedOfSound)
}

// AbsorptionSpan is the least and most absorption, dB/m, at f hertz over a span of weather. Absorption is
// not monotonic in temperature or humidity: the box is searched, not only its corners.
func AbsorptionSpan(a scene.Air, f float64) (least, most Extreme) {
	return extremes(a, func(w Weather) float64 { return Absorption(f, w) })
}

// extremes finds the least and the greatest value of g over a box of weather: a grid over the box, then
// the cells round the best grid point searched again on an ever finer grid. Both functions it serves are
// smooth with at most one ridge across the box, which the first grid resolves.
func extremes(a scene.Air, g func(Weather) float64) (least, most Extreme) {
	least = search(a, func(w Weather) float64 { return -g(w) })
	least.Value = g(least.At)
	most = search(a, g)
	return least, most
}

const (
	firstGrid = 12 // cells along each side of the box at first
	nextGrid  = 6  // cells along each side when zooming in
	zooms     = 16 // each shrinks the box three times: 3^-16 of the span is left
)

func search(a scene.Air, g func(Weather) float64) Extreme {
	box := [3]scene.Span{a.TemperatureC, a.HumidityPct, a.PressurePa}
	best := gridBest(box, firstGrid, g)
	half := [3]float64{}
	for i, s := range box {
		half[i] = (s.Hi - s.Lo) / firstGrid
	}
	for range zooms {
		at := [3]float64{best.At.TemperatureC, best.At.HumidityPct, best.At.PressurePa}
		var near [3]scene.Span
		for i, s := range box {
			near[i] = scene.Span{Lo: math.Max(s.Lo, at[i]-half[i]), Hi: math.Min(s.Hi, at[i]+half[i])}
			half[i] *= 2.0 / nextGrid
		}
		if b := gridBest(near, nextGrid, g); b.Value > best.Value {
			best = b
		}
	}
	return best
}

func gridBest(box [3]scene.Span, n int, g func(Weather) float64) Extreme {
	best := Extreme{Value: math.Inf(-1)}
	for _, t := range steps(box[0], n) {
		for _, h := range steps(box[1], n) {
			for _, p := range steps(box[2], n) {
				w := Weather{t, h, p}
				if v := g(w); v > best.Value {
					best = Extreme{v, w}
				}
			}
		}
	}
	return best
}

// steps divides s into n equal parts; a span of no width is one step, its ends are always exact.
func steps(s scene.Span, n int) []float64 {
	if !(s.Hi > s.Lo) {
		return []float64{s.Lo}
	}
	v := make([]float64, n+1)
	for i := range v {
		v[i] = s.Lo + (s.Hi-s.Lo)*float64(i)/float64(n)
	}
	v[n] = s.Hi
	return v
}
