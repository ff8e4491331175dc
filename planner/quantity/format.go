package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Format prints v, given in the unit stated at the kind, in its most usual unit with as few digits
// as parse back to exactly v. It panics on NaN and infinity, which no quantity of ours may be.
func Format(k Kind, v float64) string {
	mustFinite(v)
	u := k.usual(math.Abs(v))
	if num, ok := number(v, u); ok {
		return num + " " + u.name
	}
	u = table[k].units[0]
	num, _ := number(v, u)
	return num + " " + u.name
}

// FormatSpan prints a span in the unit usual for its larger end, as "5..35 degC", so that it parses
// back to exactly lo and hi. It panics as [Format] does.
func FormatSpan(k Kind, lo, hi float64) string {
	mustFinite(lo)
	mustFinite(hi)
	u := k.usual(max(math.Abs(lo), math.Abs(hi)))
	a, aok := number(lo, u)
	b, bok := number(hi, u)
	if !aok || !bok {
		u = table[k].units[0]
		a, _ = number(lo, u)
		b, _ = number(hi, u)
	}
	return a + ".." + b + " " + u.name
}

func mustFinite(v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("quantity: a number that is not finite")
	}
}

// usual picks the unit to print a magnitude in: the one with the greatest threshold not above it.
func (k Kind) usual(magnitude float64) unit {
	best := -1
	units := table[k].units
	for i, u := range units {
		if u.from >= 0 && u.from <= magnitude && (best < 0 || u.from > units[best].from) {
			best = i
		}
	}
	return units[best]
}

// number writes v in unit u. ok is false when no decimal of 17 digits in that unit parses back to v,
// which happens only where the unit's size is not a power of ten.
func number(v float64, u unit) (text string, ok bool) {
	if u.factor == 0 {
		return shift(v, -u.exp), true
	}
	near := v / u.factor
	for digits := 1; digits <= 17; digits++ {
		for _, x := range []float64{near, math.Nextafter(near, math.Inf(-1)), math.Nextafter(near, math.Inf(1))} {
			s := plain(strconv.FormatFloat(x, 'e', digits-1, 64), 0)
			if back, err := scale(s, u); err == nil && back == v {
				return s, true
			}
		}
	}
	return "", false
}

// shift writes v times 10^by in the fewest digits that tell v apart.
func shift(v float64, by int) string {
	return plain(strconv.FormatFloat(v+0, 'e', -1, 64), by)
}

// plain turns d.ddde±xx times 10^by into a decimal without exponent where that is not too long.
func plain(s string, by int) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	mantissa, e, _ := strings.Cut(s, "e")
	exp, _ := strconv.Atoi(e)
	digits := strings.TrimRight(strings.Replace(mantissa, ".", "", 1), "0")
	if digits == "" {
		return "0"
	}
	point := exp + by + 1 // digits before the decimal point
	switch {
	case point > 15 || point < -5:
		rest := ""
		if len(digits) > 1 {
			rest = "." + digits[1:]
		}
		return sign + digits[:1] + rest + "e" + strconv.Itoa(point-1)
	case point <= 0:
		return sign + "0." + strings.Repeat("0", -point) + digits
	case point >= len(digits):
		return sign + digits + strings.Repeat("0", point-len(digits))
	default:
		return sign + digits[:point] + "." + digits[point:]
	}
}
