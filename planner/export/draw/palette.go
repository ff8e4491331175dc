package draw

import "fmt"

// The inks only a window needs: what lies under everything, and what the user has chosen.
const (
	Paper  Ink = "paper"
	Chosen Ink = "chosen"
)

// RGB is a colour.
type RGB [3]uint8

// String is the colour as CSS writes it.
func (c RGB) String() string { return fmt.Sprintf("#%02X%02X%02X", c[0], c[1], c[2]) }

func hex(v uint32) RGB { return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)} }

// Tone is an ink's colour on light paper, on dark paper and in print.
type Tone struct {
	Ink                Ink
	Light, Dark, Print RGB
}

// Palette is the one table of colours: report, drawings and window read it. Every ink that words are
// written in stands out at least 4.5 to 1 from Paper and Plate (Beam, Deaf, Line, Grid and Body are not for words).
var Palette = []Tone{
	{Paper, hex(0xF3EFE6), hex(0x10191F), hex(0xFFFFFF)},
	{Text, hex(0x1F2E3A), hex(0xE8E4DA), hex(0x1F2E3A)},
	{Quiet, hex(0x5E6C76), hex(0x94A3AD), hex(0x5E6C76)},
	{Line, hex(0xD5CDBD), hex(0x2C3B45), hex(0xD5CDBD)},
	{Grid, hex(0xE7E0D2), hex(0x1B2831), hex(0xE7E0D2)},
	{Body, hex(0xE2DACA), hex(0x263741), hex(0xE2DACA)},
	{Beam, hex(0x0E7C86), hex(0x3FB8C2), hex(0x0E7C86)},
	{Front, hex(0x0A5C66), hex(0x7FE0E6), hex(0x0A5C66)},
	{Chosen, hex(0x1B4FA0), hex(0x7FB2FF), hex(0x1B4FA0)},
	{Blind, hex(0xA63D40), hex(0xE9807C), hex(0xA63D40)},
	{Attention, hex(0x8A5510), hex(0xE5AA4C), hex(0x8A5510)},
	{Met, hex(0x2F7A4B), hex(0x6CC48D), hex(0x2F7A4B)},
	{Late, hex(0x6A5C9A), hex(0xA99AE0), hex(0x6A5C9A)},
	{Deaf, hex(0x8A8272), hex(0x5E6A70), hex(0x8A8272)},
	{Plate, hex(0xFBF9F4), hex(0x16222A), hex(0xFFFFFF)},
}
