package quantity

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		want float64
	}{
		{Length, "350 mm", 0.35}, {Length, "2.5 m", 2.5}, {Length, "-4cm", -0.04}, {Length, ".5 m", 0.5}, {Length, "1e3 um", 0.001}, {Length, "-0 m", 0},
		{Angle, "180 deg", math.Pi}, {Angle, "-30 deg", -math.Pi / 6}, {Angle, "90°", math.Pi / 2}, {Angle, "1 rad", 1},
		{Frequency, "40 kHz", 40000}, {Frequency, "16 MHz", 16e6}, {Time, "80 ms", 0.08}, {Time, "250 us", 250e-6}, {Time, "250 µs", 250e-6}, {Time, "2 min", 120},
		{Temperature, "20 degC", 20}, {Temperature, "-15 °C", -15}, {Humidity, "60 %", 60}, {Share, "98 %", 0.98}, {Share, "98%", 0.98},
		{Pressure, "1013.25 hPa", 101325}, {Pressure, "1 bar", 1e5}, {Level, "-6 dB", -6}, {Speed, "36 km/h", 10}, {Acceleration, "1.5 m/s²", 1.5},
		{AngularSpeed, "180 deg/s", math.Pi}, {Voltage, "3.3 V", 3.3}, {Current, "120 mA", 0.12}, {Cycles, "16 cycles", 16},
	} {
		got, err := Parse(c.kind, c.text)
		// One rounding of the decimal and one of the unit's size: at most two units in the last place.
		if err != nil || math.Abs(got-c.want) > 4e-16*math.Abs(c.want) {
			t.Errorf("Parse(%v, %q) = %v, %v, want %v", c.kind, c.text, got, err, c.want)
		}
	}
}

// The decimal multiple is applied before rounding: 0.07 times 0.001 in float64 is not 0.00007.
func TestParseRoundsOnce(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{{"0.07 mm", 0.00007}, {"33.1 mm", 0.0331}, {"1.1 km", 1100}, {"0.3 um", 0.0000003}} {
		if got, err := Parse(Length, c.text); err != nil || got != c.want {
			t.Errorf("Parse(%q) = %v, %v, want exactly %v", c.text, got, err, c.want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		want string
	}{
		{Length, "350", "bare number 350 where a length is due; add a unit: m, mm, cm, um or km"},
		{Length, "", "nothing where a length is due; write a number and a unit: m, mm, cm, um or km"},
		{Length, "20 ms", "ms is a unit of time where a length is due; units of length: m, mm, cm, um or km"},
		{Length, "20 furlongs", `"furlongs" is not a unit of length; units of length: m, mm, cm, um or km`},
		{Length, "20 metres", `"metres" is not a unit of length; did you mean m? units of length: m, mm, cm, um or km`},
		{Frequency, "16 Mhz", `"Mhz" is not a unit of frequency; did you mean MHz? units of frequency: Hz, kHz, MHz or GHz`},
		{Length, "2,5 m", `"2,5 m" does not use a decimal point; write numbers as 2.5, without commas`},
		{Length, "nan m", `"nan m" is not a finite number; write a number and a unit: m, mm, cm, um or km`},
		{Length, "-.inf", `"-.inf" is not a finite number; write a number and a unit: m, mm, cm, um or km`},
		{Length, "1e999 m", "1e999 is beyond what a number can hold; write a finite number"},
		{Length, "1..2 m", `"1..2 m" is a span where one value is due; write a number and a unit: m, mm, cm, um or km`},
		{Length, "−5 mm", `"−5 mm" begins with a dash that is not a minus sign; write an ordinary hyphen: -5 mm`},
		{Length, "wide", `"wide" is not a length; write a number and a unit: m, mm, cm, um or km`},
		{Temperature, "20 C", `"C" is not a unit of temperature; did you mean degC? units of temperature: degC`},
	} {
		_, err := Parse(c.kind, c.text)
		var e *Error
		if !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("Parse(%v, %q):\n got %v\nwant %s", c.kind, c.text, err, c.want)
		}
	}
}

func TestParseSpan(t *testing.T) {
	for _, c := range []struct {
		kind   Kind
		text   string
		lo, hi float64
	}{
		{Temperature, "5..35 degC", 5, 35}, {Temperature, "-15..-5 degC", -15, -5}, {Length, "-400..400 mm", -0.4, 0.4},
		{Length, "60 mm..0.4 m", 0.06, 0.4}, {Length, "0.25..1.8 m", 0.25, 1.8}, {Length, ".5...8 m", 0, 0}, {Time, "250 .. 600 us", 250e-6, 600e-6}, {Angle, "0..0 deg", 0, 0},
	} {
		lo, hi, err := ParseSpan(c.kind, c.text)
		if strings.Contains(c.text, "...") {
			if err == nil {
				t.Errorf("ParseSpan(%q) accepted", c.text)
			}
			continue
		}
		if err != nil || lo != c.lo || hi != c.hi {
			t.Errorf("ParseSpan(%q) = %v, %v, %v", c.text, lo, hi, err)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"35..5 degC", `the span "35..5 degC" runs backwards; write the lesser value first: 5..35 degC`},
		{"5-35 degC", `"5-35 degC" is not a span; write two dots between the ends: 5..35 degC`},
		{"5 to 35 degC", `"5 to 35 degC" is not a span; write two dots between the ends: 5..35 degC`},
		{"5...35 degC", `"5...35 degC" is not a span; write two dots between the ends: 5..35 degC`},
		{"5 degC", `"5 degC" is not a span; give both ends, such as 0..5 degC`},
		{"5..35", "bare number 35 where a temperature is due; add a unit: degC"},
		{"5..35 mm", "mm is a unit of length where a temperature is due; units of temperature: degC"},
		{"warm", `"warm" is not a span; write both ends with two dots between and the unit once: 1..2 degC`},
		{"..35 degC", `nothing where a temperature is due; write a number and a unit: degC`},
	} {
		if _, _, err := ParseSpan(Temperature, c.text); err == nil || err.Error() != c.want {
			t.Errorf("ParseSpan(%q):\n got %v\nwant %s", c.text, err, c.want)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		v    float64
		want string
	}{
		{Length, 0.35, "350 mm"}, {Length, 2.5, "2.5 m"}, {Length, 0, "0 mm"}, {Length, math.Copysign(0, -1), "0 mm"}, {Length, 1e-9, "0.000001 mm"},
		{Angle, math.Pi, "180 deg"}, {Angle, mustParse(Angle, "-30 deg"), "-30 deg"}, {Frequency, 40000, "40 kHz"}, {Time, 250e-6, "250 us"}, {Time, 0.06, "60 ms"},
		{Share, 0.98, "98 %"}, {Humidity, 60, "60 %"}, {Pressure, 101325, "1013.25 hPa"}, {Current, 0.12, "120 mA"}, {Cycles, 16, "16 cycles"},
	} {
		if got := Format(c.kind, c.v); got != c.want {
			t.Errorf("Format(%v, %v) = %q, want %q", c.kind, c.v, got, c.want)
		}
	}
	if got := FormatSpan(Length, -0.4, 0.4); got != "-400..400 mm" {
		t.Errorf("FormatSpan: %q", got)
	}
}

// What is printed parses back to the same number, whatever the kind and size.
func TestFormatParsesBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, k := range Kinds() {
		for range 500 {
			v := math.Ldexp(rng.Float64()-0.5, rng.IntN(60)-30)
			back(t, k, v)
			backSpan(t, k, min(v, 0), max(v, 0))
		}
	}
}

func back(t *testing.T, k Kind, v float64) {
	t.Helper()
	text := Format(k, v)
	got, err := Parse(k, text)
	if err != nil || got != v {
		t.Fatalf("%v: %v prints as %q and parses to %v, %v", k, v, text, got, err)
	}
	if again := Format(k, got); again != text {
		t.Fatalf("%v: %q prints again as %q", k, text, again)
	}
}

func backSpan(t *testing.T, k Kind, lo, hi float64) {
	t.Helper()
	text := FormatSpan(k, lo, hi)
	a, b, err := ParseSpan(k, text)
	if err != nil || a != lo || b != hi {
		t.Fatalf("%v: %v..%v prints as %q and parses to %v, %v, %v", k, lo, hi, text, a, b, err)
	}
}

func FuzzFormatParsesBack(f *testing.F) {
	for _, v := range []float64{0, 0.35, -1, math.Pi, 1e300, 5e-324, -101325} {
		f.Add(v)
	}
	f.Fuzz(func(t *testing.T, v float64) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return
		}
		for _, k := range Kinds() {
			back(t, k, v)
			backSpan(t, k, min(v, -v), max(v, -v))
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"350 mm", "5..35 degC", "-400..400 mm", "1e5 Hz", "nan", "2,5 m", "−5 deg", "1..2..3 m", "98%", "° ", "1e-400 m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, k := range Kinds() {
			if v, err := Parse(k, s); err == nil {
				back(t, k, v)
			} else if strings.ContainsAny(err.Error(), "\n\r") {
				t.Fatalf("%q: a message of several lines: %q", s, err)
			}
			if lo, hi, err := ParseSpan(k, s); err == nil {
				backSpan(t, k, lo, hi)
			}
		}
	})
}

func TestBoundsAreSound(t *testing.T) {
	for _, k := range Kinds() {
		lo, hi, text := k.Bounds()
		a, b, err := ParseSpan(k, text)
		if lo >= hi || err != nil || a != lo || b != hi {
			t.Errorf("%v: %v..%v %q %v", k, lo, hi, text, err)
		}
	}
}
