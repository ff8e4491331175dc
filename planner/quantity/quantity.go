// Package quantity reads and prints quantities with their units, such as "350 mm", "-30 deg",
// "5..35 degC" or "98 %": text in, a float64 in the unit stated at each [Kind] out, and back.
//
// One table drives every kind. Unit names follow the SI Brochure (9th edition) in plain ASCII:
// u for micro, deg for degree, degC for degree Celsius. A decimal multiple is applied to the decimal
// digits before they are rounded, so "350 mm" is the float64 nearest to 0.35 and not 350 times 0.001.
package quantity

import (
	"math"
	"strings"
)

// Kind is what a quantity measures. The comment beside each kind says what number stands for it in code.
type Kind int

// The kinds known.
const (
	Length       Kind = iota // m
	Angle                    // rad
	Frequency                // Hz
	Time                     // s
	Temperature              // degC
	Humidity                 // relative humidity in percent, 0..100
	Share                    // fraction, 0..1
	Pressure                 // Pa
	Level                    // dB
	Speed                    // m/s
	Acceleration             // m/s2
	AngularSpeed             // rad/s
	Voltage                  // V
	Current                  // A
	Cycles                   // whole periods of the carrier
	kindCount
)

// Kinds returns every kind in order.
func Kinds() []Kind {
	all := make([]Kind, kindCount)
	for i := range all {
		all[i] = Kind(i)
	}
	return all
}

// unit is one way to write a kind. Its size is 10^exp, times factor where that is not 0.
type unit struct {
	name   string
	exp    int
	factor float64
	from   float64  // least magnitude, in the kind's own unit, printed in this unit; negative: never printed
	also   []string // other spellings read
}

// kind is one row of the table. Where a unit's size is not a power of ten, the first unit has size
// one, so that every number can be printed in it without loss.
type kind struct {
	noun   string
	units  []unit
	lo, hi string // widest values that make sense anywhere, as text
}

const never = -1

var table = [kindCount]kind{
	Length: {"a length", []unit{
		{name: "m", from: 1}, {name: "mm", exp: -3}, {name: "cm", exp: -2, from: never},
		{name: "um", exp: -6, from: never, also: micro("m")}, {name: "km", exp: 3, from: never},
	}, "-10 km", "10 km"},
	Angle: {"an angle", []unit{
		{name: "rad", from: never}, {name: "deg", factor: math.Pi / 180, also: []string{"°"}}, {name: "mrad", exp: -3, from: never},
	}, "-360 deg", "360 deg"},
	Frequency: {"a frequency", []unit{
		{name: "Hz"}, {name: "kHz", exp: 3, from: 1e3}, {name: "MHz", exp: 6, from: 1e6}, {name: "GHz", exp: 9, from: 1e9},
	}, "0 Hz", "10 GHz"},
	Time: {"a time", []unit{
		{name: "s", from: 1}, {name: "ms", exp: -3, from: 1e-3}, {name: "us", exp: -6, from: 0, also: micro("s")},
		{name: "ns", exp: -9, from: never}, {name: "min", factor: 60, from: never},
	}, "0 s", "1000 s"},
	Temperature: {"a temperature", []unit{{name: "degC", also: []string{"°C"}}}, "-60 degC", "85 degC"},
	Humidity:    {"a relative humidity", []unit{{name: "%"}}, "0 %", "100 %"},
	Share:       {"a share", []unit{{name: "%", exp: -2}}, "0 %", "100 %"},
	Pressure: {"a pressure", []unit{
		{name: "Pa"}, {name: "hPa", exp: 2, from: 1e2}, {name: "kPa", exp: 3, from: never}, {name: "mbar", exp: 2, from: never}, {name: "bar", exp: 5, from: never},
	}, "300 hPa", "1200 hPa"},
	Level:        {"a level", []unit{{name: "dB"}}, "-200 dB", "200 dB"},
	Speed:        {"a speed", []unit{{name: "m/s"}, {name: "mm/s", exp: -3, from: never}, {name: "cm/s", exp: -2, from: never}, {name: "km/h", factor: 1 / 3.6, from: never}}, "0 m/s", "1000 m/s"},
	Acceleration: {"an acceleration", []unit{{name: "m/s2", also: []string{"m/s²", "m/s^2"}}, {name: "mm/s2", exp: -3, from: never, also: []string{"mm/s²", "mm/s^2"}}}, "0 m/s2", "100 m/s2"},
	AngularSpeed: {"a turning speed", []unit{{name: "rad/s", from: never}, {name: "deg/s", factor: math.Pi / 180, also: []string{"°/s"}}}, "-3600 deg/s", "3600 deg/s"},
	Voltage:      {"a voltage", []unit{{name: "V", from: 0}, {name: "mV", exp: -3, from: never}}, "0 V", "60 V"},
	Current:      {"a current", []unit{{name: "A", from: 1}, {name: "mA", exp: -3, from: 0}, {name: "uA", exp: -6, from: never, also: micro("A")}}, "0 A", "100 A"},
	Cycles:       {"a number of cycles", []unit{{name: "cycles", also: []string{"cycle"}}}, "1 cycles", "1000 cycles"},
}

// micro spells a unit with the micro sign and with the Greek letter mu, which look alike.
func micro(base string) []string { return []string{"\u00b5" + base, "\u03bc" + base} }

// String returns the kind in words, such as "length".
func (k Kind) String() string {
	_, noun, _ := strings.Cut(k.Noun(), " ")
	return noun
}

// Noun returns the kind in words with its article, such as "a length".
func (k Kind) Noun() string { return table[k].noun }

// Units returns the units accepted, the most usual first.
func (k Kind) Units() []string {
	var printed, others []string
	for _, u := range table[k].units {
		if u.from >= 0 {
			printed = append(printed, u.name)
		} else {
			others = append(others, u.name)
		}
	}
	return append(printed, others...)
}

// Bounds returns the least and the greatest value that make sense for the kind anywhere, as text
// and as numbers.
func (k Kind) Bounds() (lo, hi float64, text string) {
	lo = mustParse(k, table[k].lo)
	hi = mustParse(k, table[k].hi)
	least, _, _ := strings.Cut(table[k].lo, " ")
	return lo, hi, least + ".." + table[k].hi // both ends stand in the same unit there
}

// mustParse reads text of our own table; a fault there is a fault of the program.
func mustParse(k Kind, s string) float64 {
	v, err := Parse(k, s)
	if err != nil {
		panic(err)
	}
	return v
}

// Spellings returns every way in which a unit of the kind may be written.
func (k Kind) Spellings() []string {
	var all []string
	for _, u := range table[k].units {
		all = append(append(all, u.name), u.also...)
	}
	return all
}
