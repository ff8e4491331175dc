package draw

import (
	"math"
	"slices"
	"testing"
)

// luminance and contrast are those of WCAG 2.1, "relative luminance" and "contrast ratio".
func luminance(c RGB) float64 {
	lin := func(v uint8) float64 {
		if s := float64(v) / 255; s > 0.04045 {
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return float64(v) / 255 / 12.92
	}
	return 0.2126*lin(c[0]) + 0.7152*lin(c[1]) + 0.0722*lin(c[2])
}

func contrast(a, b RGB) float64 {
	x, y := luminance(a)+0.05, luminance(b)+0.05
	return math.Max(x, y) / math.Min(x, y)
}

func TestContrastIsThatOfTheStandard(t *testing.T) {
	// #777777 on white is the standard's usual near miss of 4.5 (4.48), from memory; black on white is 21 by its formula.
	if got := contrast(hex(0x777777), hex(0xFFFFFF)); math.Abs(got-4.48) > 0.005 {
		t.Errorf("grey on white %.3f", got)
	}
	if got := contrast(hex(0), hex(0xFFFFFF)); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white %.3f", got)
	}
}

// Every ink words are written in (of sound: Front, for Beam is only filled and outlined) can be read on paper and on plates, on all three.
func TestWordsCanBeRead(t *testing.T) {
	tone := map[Ink]Tone{}
	for _, p := range Palette {
		tone[p.Ink] = p
	}
	for _, ink := range []Ink{Text, Quiet, Front, Chosen, Blind, Attention, Met, Late} {
		for _, under := range []Ink{Paper, Plate} {
			for name, of := range map[string]func(Tone) RGB{
				"light": func(t Tone) RGB { return t.Light }, "dark": func(t Tone) RGB { return t.Dark }, "print": func(t Tone) RGB { return t.Print },
			} {
				if c := contrast(of(tone[ink]), of(tone[under])); c < 4.5 {
					t.Errorf("%s on %s, %s: %.2f to 1", ink, under, name, c)
				}
			}
		}
	}
}

func TestEveryInkHasAColour(t *testing.T) {
	for _, ink := range []Ink{Text, Quiet, Grid, Line, Body, Beam, Front, Blind, Attention, Met, Late, Deaf, Plate, Paper, Chosen} {
		if n := len(slices.DeleteFunc(slices.Clone(Palette), func(p Tone) bool { return p.Ink != ink })); n != 1 {
			t.Errorf("%s stands in the palette %d times", ink, n)
		}
	}
}
