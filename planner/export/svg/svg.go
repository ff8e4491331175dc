// Package svg writes pictures as SVG 1.1 with nothing fetched: colours by CSS class, light and dark,
// hatches and dashes beside every colour, names escaped.
package svg

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// Style is the style sheet of the pictures: one variable an ink, so that a page can set them once.
var Style = "\n.ew{" + variables(func(t draw.Tone) draw.RGB { return t.Light }) + "}\n" +
	"@media (prefers-color-scheme:dark){.ew{" + variables(func(t draw.Tone) draw.RGB { return t.Dark }) + "}}\n" +
	"@media print{.ew{" + variables(func(t draw.Tone) draw.RGB { return t.Print }) + "}}\n" +
	`.ew text{font-family:"Noto Sans","DejaVu Sans",Arial,sans-serif;font-variant-numeric:tabular-nums}
`

// variables sets each ink's CSS variable to one of its tones.
func variables(tone func(draw.Tone) draw.RGB) string {
	var set []string
	for _, t := range draw.Palette {
		set = append(set, "--"+string(t.Ink)+":"+tone(t).String())
	}
	return strings.Join(set, ";")
}

// Write writes the plan view of the state and target with the widest gap as one stand-alone file.
func Write(w io.Writer, p *plan.Plan) error {
	v := draw.View{Width: 1200, Height: 900, Paths: 3}
	worst := -1.0
	for _, c := range p.Coverage {
		if c.WidestGapM > worst {
			worst, v.State, v.Target = c.WidestGapM, c.State, c.Target
		}
	}
	return Picture(w, draw.Layout(p, v), true)
}

// Picture writes one picture; alone, it carries its style sheet, its paper and the caution line.
func Picture(w io.Writer, pic *draw.Picture, alone bool) error {
	b := &writer{pic: pic}
	width, height := pic.Width(), pic.Height()
	if alone {
		height += 20
	}
	b.f(`<svg xmlns="http://www.w3.org/2000/svg" class="ew" viewBox="0 0 %s %s" width="%s" height="%s" role="img"><title>%s</title>`,
		num(width), num(height), num(width), num(height), esc(pic.Title))
	if alone {
		b.f(`<style>%s</style><rect width="%s" height="%s" fill="var(--paper)"/>`, Style, num(width), num(height))
	}
	b.hatches()
	for _, l := range pic.Layers {
		b.f(`<g data-layer="%s">`, esc(l.Name))
		for _, s := range l.Shapes {
			b.shape(s)
		}
		b.f("</g>\n")
	}
	if alone {
		b.f(`<text x="8" y="%s" font-size="11" fill="var(--quiet)">Echowright · %s</text>`, num(height-7), esc(plan.Cautions[0]))
	}
	b.f("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

type writer struct {
	strings.Builder
	pic *draw.Picture
}

func (b *writer) f(format string, args ...any) { fmt.Fprintf(b, format, args...) }

// hatches defines one pattern for each ink that some shape hatches with.
func (b *writer) hatches() {
	done := map[draw.Ink]bool{}
	for _, l := range b.pic.Layers {
		for _, s := range l.Shapes {
			if ink := s.Style.Fill; s.Style.Hatched && !done[ink] {
				done[ink] = true
				b.f(`<pattern id="hatch-%s" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="6" stroke="%s" stroke-width="1.6"/></pattern>`, ink, paint(ink))
			}
		}
	}
}

func (b *writer) shape(s draw.Shape) {
	if s.Text != "" {
		b.text(s)
		return
	}
	var d strings.Builder
	for _, r := range s.Rings {
		for i, q := range r {
			move := "L"
			if i == 0 {
				move = "M"
			}
			x, y := b.pic.Px(q)
			d.WriteString(move + num(x) + " " + num(y))
		}
		if !s.Open && len(r) > 0 {
			d.WriteString("Z")
		}
	}
	if d.Len() == 0 {
		return
	}
	b.f(`<path d="%s" %s`, d.String(), attributes(s))
	if s.Title != "" {
		b.f(`><title>%s</title></path>`, esc(s.Title))
		return
	}
	b.f("/>")
}

func attributes(s draw.Shape) string {
	st := s.Style
	fill := paint(st.Fill)
	if st.Hatched {
		fill = fmt.Sprintf("url(#hatch-%s)", st.Fill)
	}
	if s.Open {
		fill = "none"
	}
	a := `fill="` + fill + `" fill-rule="evenodd"`
	if st.Opacity > 0 {
		a += ` fill-opacity="` + num(st.Opacity) + `"`
	}
	if st.Stroke != "" && st.Stroke != draw.None {
		a += ` stroke="` + paint(st.Stroke) + `" stroke-width="` + num(st.Width) + `" stroke-linejoin="round"`
	}
	switch {
	case st.Dashed:
		a += ` stroke-dasharray="6 4"`
	case st.Dotted:
		a += ` stroke-dasharray="1.5 3.5" stroke-linecap="round"`
	}
	return a
}

func (b *writer) text(s draw.Shape) {
	x, y := b.pic.Px(s.At)
	weight := ""
	if s.Bold {
		weight = ` font-weight="600"`
	}
	b.f(`<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s"%s>%s</text>`,
		num(x+s.Shift[0]), num(y-s.Shift[1]), num(s.Size), s.Anchor, paint(s.Style.Fill), weight, esc(s.Text))
}

// paint is the CSS value of an ink.
func paint(i draw.Ink) string {
	if i == "" || i == draw.None {
		return "none"
	}
	return "var(--" + string(i) + ")"
}

// num prints a pixel to a hundredth.
func num(x float64) string {
	s := strconv.FormatFloat(x, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// esc escapes a name for an element or an attribute; characters XML cannot hold become U+FFFD.
func esc(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		return ""
	}
	return b.String()
}
