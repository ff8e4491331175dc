package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"echowright/planner/diag"
)

// Error says why a text is no quantity of the kind asked for.
type Error struct {
	Wrong string // what is wrong
	Right string // what would be right
}

// Error returns both parts as one line.
func (e *Error) Error() string { return e.Wrong + "; " + e.Right }

// Parse reads one quantity such as "350 mm" and returns it in the unit stated at the kind.
// The error is always an *[Error]; it names the units accepted. The number is always finite.
func Parse(k Kind, s string) (float64, error) {
	v, _, err := parse(k, s)
	return v, err
}

// ParseSpan reads two quantities joined by two dots, such as "5..35 degC", "-400..400 mm" or
// "60 mm..0.4 m". A unit after the second number alone serves both. A span that runs backwards is an
// error. The error is always an *[Error].
func ParseSpan(k Kind, s string) (lo, hi float64, err error) {
	a, b, ok := strings.Cut(s, "..")
	if !ok || strings.HasPrefix(b, ".") {
		return 0, 0, notASpan(k, s)
	}
	hi, u, err := parse(k, b)
	if err != nil {
		return 0, 0, err
	}
	if num, rest := splitNumber(strings.TrimSpace(a)); num != "" && rest == "" {
		lo, err = scale(num, u)
		if err != nil {
			return 0, 0, err
		}
	} else if lo, _, err = parse(k, a); err != nil {
		return 0, 0, err
	}
	if lo > hi {
		return 0, 0, &Error{"the span " + diag.Quote(s) + " runs backwards", "write the lesser value first: " + FormatSpan(k, hi, lo)}
	}
	return lo, hi, nil
}

// IsSpan reports whether s is written as a span, with two dots.
func IsSpan(s string) bool { return strings.Contains(s, "..") }

// notASpan answers a text without two dots where a span is due, guessing at a dash, a tilde or "to".
func notASpan(k Kind, s string) *Error {
	wrong := diag.Quote(s) + " is not a span"
	for _, sep := range []string{"...", " to ", "–", "—", "~", " - ", "…", "-"} {
		i := strings.LastIndex(s, sep)
		if i <= 0 {
			continue
		}
		try := strings.TrimSpace(s[:i]) + ".." + strings.TrimSpace(s[i+len(sep):])
		if lo, hi, err := ParseSpan(k, try); err == nil {
			return &Error{wrong, "write two dots between the ends: " + FormatSpan(k, lo, hi)}
		}
	}
	if v, err := Parse(k, s); err == nil && v != 0 {
		return &Error{wrong, "give both ends, such as " + FormatSpan(k, min(v, 0), max(v, 0))}
	}
	return &Error{wrong, "write both ends with two dots between and the unit once: " + k.example()}
}

// parse returns also the unit, for spans whose first number has none of its own.
func parse(k Kind, s string) (float64, unit, error) {
	s = strings.TrimSpace(s)
	num, rest := splitNumber(s)
	if num == "" {
		return 0, unit{}, noNumber(k, s)
	}
	name := strings.TrimSpace(rest)
	if name == "" {
		return 0, unit{}, &Error{
			fmt.Sprintf("bare number %s where %s is due", clip(num), k.Noun()),
			"add a unit: " + k.unitList(),
		}
	}
	u, ok := k.unit(name)
	if !ok {
		return 0, unit{}, wrongUnit(k, s, name)
	}
	v, err := scale(num, u)
	return v, u, err
}

// unit finds the unit of that name or spelling.
func (k Kind) unit(name string) (unit, bool) {
	for _, u := range table[k].units {
		if u.name == name {
			return u, true
		}
		for _, other := range u.also {
			if other == name {
				return u, true
			}
		}
	}
	return unit{}, false
}

func (k Kind) unitList() string { return diag.Join(k.Units()) }

// example is a span in the kind's most usual unit.
func (k Kind) example() string { return "1..2 " + k.Units()[0] }

// scale applies a unit. A decimal multiple shifts the decimal point of the text, so the result is
// the float64 nearest to what was written.
func scale(num string, u unit) (float64, error) {
	mantissa, exp := num, 0
	if i := strings.IndexAny(num, "eE"); i >= 0 {
		e, err := strconv.Atoi(num[i+1:])
		if err != nil || e > 400 || e < -400 {
			return 0, tooLarge(num)
		}
		mantissa, exp = num[:i], e
	}
	v, err := strconv.ParseFloat(mantissa+"e"+strconv.Itoa(exp+u.exp), 64)
	if err != nil {
		return 0, tooLarge(num)
	}
	if u.factor != 0 {
		v *= u.factor
	}
	if math.IsInf(v, 0) {
		return 0, tooLarge(num)
	}
	return v + 0, nil // −0 + 0 is 0
}

func tooLarge(num string) *Error {
	return &Error{clip(num) + " is beyond what a number can hold", "write a finite number"}
}

// splitNumber cuts a decimal number off the front of s: sign, digits, point, digits, exponent.
func splitNumber(s string) (num, rest string) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	start := i
	digits := 0
	for ; i < len(s) && (s[i] == '.' || isDigit(s[i])); i++ {
		if s[i] == '.' {
			if strings.Contains(s[start:i], ".") {
				return "", s
			}
			continue
		}
		digits++
	}
	if digits == 0 {
		return "", s
	}
	if e := exponent(s[i:]); e > 0 {
		i += e
	}
	return s[:i], s[i:]
}

// exponent returns the length of a decimal exponent at the front of s, or 0.
func exponent(s string) int {
	if s == "" || (s[0] != 'e' && s[0] != 'E') {
		return 0
	}
	i := 1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	from := i
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	if i == from {
		return 0
	}
	return i
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// noNumber answers a text that does not begin with a number.
func noNumber(k Kind, s string) *Error {
	right := fmt.Sprintf("write a number and a unit: %s", k.unitList())
	word, _, _ := strings.Cut(strings.ToLower(strings.TrimLeft(s, "+-.")), " ")
	switch word {
	case "":
		return &Error{"nothing where " + k.Noun() + " is due", right}
	case "nan", "inf", "infinity", "infinite":
		return &Error{diag.Quote(s) + " is not a finite number", right}
	}
	if strings.HasPrefix(s, "−") || strings.HasPrefix(s, "–") {
		return &Error{diag.Quote(s) + " begins with a dash that is not a minus sign", "write an ordinary hyphen: -" + s[len("−"):]}
	}
	if IsSpan(s) {
		return &Error{diag.Quote(s) + " is a span where one value is due", right}
	}
	return &Error{diag.Quote(s) + " is not " + k.Noun(), right}
}

// wrongUnit answers a number followed by something that is no unit of the kind.
func wrongUnit(k Kind, s, name string) *Error {
	right := fmt.Sprintf("units of %s: %s", k, k.unitList())
	switch {
	case IsSpan(s):
		return &Error{diag.Quote(s) + " is a span where one value is due", "write one value; " + right}
	case strings.HasPrefix(name, ",") || strings.HasPrefix(name, "'"):
		return &Error{diag.Quote(s) + " does not use a decimal point", "write numbers as 2.5, without commas"}
	}
	for _, other := range Kinds() {
		if _, ok := other.unit(name); ok {
			return &Error{fmt.Sprintf("%s is a unit of %s where %s is due", name, other, k.Noun()), right}
		}
	}
	if meant := nearUnit(k, name); meant != "" {
		right = fmt.Sprintf("did you mean %s? %s", meant, right)
	}
	return &Error{fmt.Sprintf("%s is not a unit of %s", diag.Quote(name), k), right}
}

// nearUnit guesses the unit meant by a wrong case, a plural or a long name.
func nearUnit(k Kind, name string) string {
	for _, u := range k.Units() {
		if strings.EqualFold(u, name) || strings.EqualFold(u+"s", name) || strings.EqualFold("°"+u, name) {
			return u
		}
	}
	if u, ok := longNames[strings.TrimSuffix(strings.ToLower(name), "s")]; ok {
		if _, ok := k.unit(u); ok {
			return u
		}
	}
	return ""
}

var longNames = map[string]string{
	"millimetre": "mm", "millimeter": "mm", "centimetre": "cm", "centimeter": "cm", "metre": "m", "meter": "m",
	"degree": "deg", "radian": "rad", "hertz": "Hz", "kilohertz": "kHz", "second": "s", "sec": "s", "msec": "ms", "usec": "us",
	"millisecond": "ms", "microsecond": "us", "c": "degC", "celsiu": "degC", "percent": "%", "volt": "V", "ampere": "A", "amp": "A",
	"milliamp": "mA", "kph": "km/h", "kmh": "km/h", "mp": "m/s", "p": "cycles", "period": "cycles",
}

// clip shortens a very long number for a message.
func clip(num string) string {
	if len(num) > 30 {
		num = num[:29] + "…"
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, num)
}
