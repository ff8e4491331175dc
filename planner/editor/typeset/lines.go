package typeset

import (
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"echowright/planner/editor/canvas"
)

// Ellipsis ends a text that was shortened.
const Ellipsis = "…"

// Fit is the text, or as much of its beginning as fits a width with an ellipsis behind it; empty when not even the
// ellipsis fits.
func Fit(r canvas.Ruler, text string, size float64, bold bool, width float64) string {
	if r.Width(text, size, bold) <= width {
		return text
	}
	short := func(end int) string { return strings.TrimRight(text[:end], " \u00a0") + Ellipsis }
	wide := func(end int) bool { return r.Width(short(end), size, bold) > width }
	var ends []int
	for i, c := range text {
		if i > 0 && joins(c) {
			continue
		}
		ends = append(ends, i)
		// Looked at after 1, 2, 4, … letters, so that a long text in a narrow room is not measured whole again and again.
		if n := len(ends); n&(n-1) == 0 && wide(i) {
			break
		}
	}
	n := sort.Search(len(ends), func(i int) bool { return wide(ends[i]) })
	if n == 0 {
		return ""
	}
	return short(ends[n-1])
}

// cuts are the places where a text may be cut without parting a letter from its marks, from 0 to before its last
// letter.
func cuts(text string) []int {
	var at []int
	for i, c := range text {
		if i == 0 || !joins(c) {
			at = append(at, i)
		}
	}
	return at
}

// Wrap breaks a text into lines no wider than width: at spaces and after hyphens and strokes, within a word only
// when the word alone is too wide, and at every line feed. A number and its unit stay together, and what
// a no-break space joins. A line holds at least one letter, however narrow the width.
func Wrap(r canvas.Ruler, text string, size float64, bold bool, width float64) []string {
	m, ok := r.(*Ruler)
	if !ok {
		return wrap(r, text, size, bold, width)
	}
	k := wrapping{text, size, width, bold}
	lines, ok := m.wrapped[k]
	if !ok {
		if lines = wrap(r, text, size, bold, width); len(m.wrapped) >= mostWrapped {
			clear(m.wrapped)
		}
		m.wrapped[k] = lines
	}
	return slices.Clone(lines)
}

// wrapping is what Wrap was asked. A screen asks the same with every frame, so a Ruler remembers some.
type wrapping struct {
	text        string
	size, width float64
	bold        bool
}

const mostWrapped = 1000

func wrap(r canvas.Ruler, text string, size float64, bold bool, width float64) []string {
	if text == "" {
		return nil
	}
	var lines []string
	for para := range strings.SplitSeq(text, "\n") {
		lines = wrapOne(lines, r, para, size, bold, width)
	}
	return lines
}

func wrapOne(lines []string, r canvas.Ruler, para string, size float64, bold bool, width float64) []string {
	fits := func(s string) bool { return r.Width(strings.TrimRight(s, " "), size, bold) <= width }
	line := ""
	for _, word := range words(para) {
		if fits(line + word) {
			line += word
			continue
		}
		if full := strings.TrimRight(line, " "); full != "" {
			lines = append(lines, full)
		}
		for !fits(word) {
			n := head(word, fits)
			if n == len(word) {
				break
			}
			lines = append(lines, strings.TrimRight(word[:n], " "))
			word = word[n:]
		}
		line = word
	}
	return append(lines, strings.TrimRight(line, " "))
}

// head is how many bytes of a word that is too wide go on a line: up to a space that was to hold it together, or else
// as many letters as fit, at least one with its marks.
func head(word string, fits func(string) bool) int {
	ends := append(cuts(word), len(word))[1:]
	n := sort.Search(len(ends), func(i int) bool { return !fits(word[:ends[i]]) })
	end := ends[max(n-1, 0)]
	if end < len(word) {
		if i := strings.LastIndexAny(word[:end], " \u00a0"); i > 0 {
			_, n := utf8.DecodeRuneInString(word[i:])
			return i + n
		}
	}
	return end
}

// units are what stays with the number before it.
var units = map[string]bool{
	"mm": true, "cm": true, "m": true, "km": true, "µs": true, "us": true, "ms": true, "s": true, "min": true, "deg": true, "°": true, "°C": true, "degC": true,
	"%": true, "dB": true, "Hz": true, "kHz": true, "V": true, "mA": true, "A": true, "m/s": true, "km/h": true, "m²": true, "cm²": true,
}

// together reports whether a text must not be parted behind c at i, in a word that begins at from.
func together(text string, from, i int, c rune) bool {
	rest := text[i+utf8.RuneLen(c):]
	digit := func(s string, i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	switch c {
	case '-': // a sign, or a span of numbers
		return i == from || digit(rest, 0)
	case '/': // m/s, 3/4
		next, _, _ := strings.Cut(rest, " ")
		return utf8.RuneCountInString(strings.TrimRight(next, ".,;:)")) == 1 || digit(rest, 0)
	}
	if !digit(text, i-1) {
		return false
	}
	next, _, _ := strings.Cut(rest, " ")
	return units[strings.TrimRight(next, ".,;:)")]
}

// words parts a text behind its spaces, hyphens and strokes; put together they are the text.
func words(text string) []string {
	var out []string
	from := 0
	for i, c := range text {
		if c != ' ' && c != '-' && c != '/' {
			continue
		}
		end := i + utf8.RuneLen(c)
		if end < len(text) && text[end] == ' ' || together(text, from, i, c) {
			continue
		}
		out = append(out, text[from:end])
		from = end
	}
	if from < len(text) {
		out = append(out, text[from:])
	}
	return out
}
