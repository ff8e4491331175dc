package typeset

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
)

// table finds a table of a font file by its four letters (OpenType 1.9, "Organization of an OpenType Font").
func table(file []byte, tag string) []byte {
	for i := range int(binary.BigEndian.Uint16(file[4:])) {
		e := file[12+16*i:]
		if string(e[:4]) == tag {
			at, n := binary.BigEndian.Uint32(e[8:]), binary.BigEndian.Uint32(e[12:])
			return file[at : at+n]
		}
	}
	return nil
}

// glyphOf looks a letter up in the cmap's format 4 (Windows, Unicode BMP) by walking its segments.
func glyphOf(cmap []byte, c rune) int {
	u16 := func(b []byte, i int) int { return int(binary.BigEndian.Uint16(b[i:])) }
	for i := range u16(cmap, 2) {
		e := cmap[4+8*i:]
		if u16(e, 0) != 3 || u16(e, 2) != 1 {
			continue
		}
		t := cmap[binary.BigEndian.Uint32(e[4:]):]
		if u16(t, 0) != 4 {
			continue
		}
		x2 := u16(t, 6)
		for s := 0; s < x2; s += 2 {
			end, start := u16(t, 14+s), u16(t, 16+x2+s)
			if int(c) > end || int(c) < start {
				continue
			}
			delta, off := u16(t, 16+2*x2+s), u16(t, 16+3*x2+s)
			if off == 0 {
				return (int(c) + delta) & 0xffff
			}
			g := u16(t, 16+3*x2+s+off+2*(int(c)-start))
			if g == 0 {
				return 0
			}
			return (g + delta) & 0xffff
		}
	}
	return 0
}

// advanceOf reads hmtx: the advance of a glyph in units, the last one repeated.
func advanceOf(file []byte, glyph int) int {
	n := int(binary.BigEndian.Uint16(table(file, "hhea")[34:]))
	return int(binary.BigEndian.Uint16(table(file, "hmtx")[4*min(glyph, n-1):]))
}

var samples = []string{
	"", "412 mm", "54.0 deg", "shoulder-left", "Seen in the near band", "98.6 %", "−5 °C", "350 µs", "± 0.3 dB", "Überlänge, größer",
	"asked < 75 mm", "Try: turn by 6 deg →", "≥ 24 × 3 · “quoted” – dash — long…", "iiiiWWWW....", "ключ Ωφ", "no\u00a0break",
	"WAVE To AV Ty", strings.Repeat("between two beams ", 20),
}

func ruler(t testing.TB) *Ruler {
	r, err := New()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Widths agree with the font's own tables, read here byte by byte.
func TestWidthIsTheTables(t *testing.T) {
	r := ruler(t)
	for _, bold := range []bool{false, true} {
		file := Regular()
		if bold {
			file = Bold()
		}
		units := float64(binary.BigEndian.Uint16(table(file, "head")[18:]))
		for _, s := range samples {
			sum := 0
			for _, c := range s {
				sum += advanceOf(file, glyphOf(table(file, "cmap"), c))
			}
			for _, size := range []float64{9, 11, 12, 13, 15, 26.5} {
				want := float64(sum) / units * size
				for range 2 { // the second time remembered
					if got := r.Width(s, size, bold); math.Abs(got-want) > 1e-9*(1+want) {
						t.Errorf("%q at %v bold %v: %v points, the tables say %v", s, size, bold, got, want)
					}
				}
			}
		}
	}
}

// And with a drawing face, which rounds each letter to 1/64 point.
func TestWidthIsTheFace(t *testing.T) {
	r := ruler(t)
	f, err := opentype.Parse(Regular())
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range []float64{11, 12, 13, 15, 24} {
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range samples {
			got, want := r.Width(s, size, false), float64(font.MeasureString(face, s))/64
			if math.Abs(got-want) > float64(utf8.RuneCountInString(s))/64+1e-9 {
				t.Errorf("%q at %v: %v, the face says %v", s, size, got, want)
			}
		}
	}
}

// A text is the sum of its letters only as long as the fonts hold nothing that moves or joins them.
func TestNoKerning(t *testing.T) {
	for _, file := range [][]byte{Regular(), Bold()} {
		for _, tag := range []string{"kern", "GPOS", "GSUB", "kerx", "morx"} {
			if table(file, tag) != nil {
				t.Errorf("the font has a %s table", tag)
			}
		}
	}
}

// Heights against hhea and OS/2 (sTypoAscender and the rest are not used; usWinAscent neither).
func TestHeight(t *testing.T) {
	r := ruler(t)
	for _, bold := range []bool{false, true} {
		file := Regular()
		if bold {
			file = Bold()
		}
		i16 := func(b []byte, i int) float64 { return float64(int16(binary.BigEndian.Uint16(b[i:]))) }
		hhea, os2, units := table(file, "hhea"), table(file, "OS/2"), i16(table(file, "head"), 18)
		h := r.Height(13, bold)
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"ascent", h.Ascent, i16(hhea, 4)}, {"descent", h.Descent, -i16(hhea, 6)}, {"line", h.Line, i16(hhea, 4) - i16(hhea, 6) + i16(hhea, 8)},
			{"capital", h.Capital, i16(os2, 88)}, {"small", h.Small, i16(os2, 86)},
		} {
			if math.Abs(c.got-c.want*13/units) > 1e-9 {
				t.Errorf("%s %v, the tables say %v", c.name, c.got, c.want*13/units)
			}
		}
	}
}

// What the editor writes is in the fonts.
func TestHasTheTradesLetters(t *testing.T) {
	r := ruler(t)
	for _, c := range "äöüÄÖÜßéèñçøåµ°±²³·×−–—…“”‘’≤≥→←↑↓Ωπφλ½\u00a0" {
		if !r.Has(string(c)) {
			t.Errorf("the font lacks %q", c)
		}
	}
	if r.Has("語") {
		t.Error("the font is said to have a letter it lacks")
	}
	if w := r.Width("語", 12, false); w <= 0 || w > 24 {
		t.Errorf("an unknown letter is %v wide", w)
	}
}

// Fit leaves the longest beginning that fits.
func TestFit(t *testing.T) {
	r := ruler(t)
	for _, s := range samples {
		full := r.Width(s, 12, false)
		for _, w := range []float64{-3, 0, 1, 5, 12, 30, full * 0.5, full - 0.01, full, full + 1} {
			got := r.Fit(s, 12, false, w)
			switch {
			case full <= w:
				if got != s {
					t.Errorf("%q fits %v and became %q", s, w, got)
				}
				continue
			case got == "":
				if s != "" && r.Width(Ellipsis, 12, false) <= w {
					t.Errorf("%q in %v is empty though an ellipsis fits", s, w)
				}
				continue
			}
			if r.Width(got, 12, false) > w {
				t.Errorf("%q in %v became %q, %v wide", s, w, got, r.Width(got, 12, false))
			}
			head, ok := strings.CutSuffix(got, Ellipsis)
			if !ok || !strings.HasPrefix(s, head) || !utf8.ValidString(got) {
				t.Errorf("%q became %q", s, got)
				continue
			}
			rest := strings.TrimLeft(s[len(head):], " \u00a0")
			_, n := utf8.DecodeRuneInString(rest)
			more := s[:len(s)-len(rest)+n] + Ellipsis
			if n < len(rest) && r.Width(more, 12, false) <= w {
				t.Errorf("%q in %v became %q though %q fits", s, w, got, more)
			}
		}
	}
}

// An accent of its own stays with its letter.
func TestFitKeepsAccents(t *testing.T) {
	r := ruler(t)
	for w := 0.0; w < 60; w++ {
		if got := r.Fit("aue\u0301ue\u0301ue\u0301u", 12, false, w); strings.Contains(got, "e"+Ellipsis) {
			t.Errorf("%q parted a letter from its accent", got)
		}
	}
}

func TestWrap(t *testing.T) {
	r := ruler(t)
	for _, c := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"", 100, nil},
		{"one", 100, []string{"one"}},
		{"one\n\ntwo", 100, []string{"one", "", "two"}},
		{"between two beams", 70, []string{"between two", "beams"}},
		{"hides 68\u00a0mm", 60, []string{"hides", "68\u00a0mm"}},
		{"hides a post 68 mm, wide", 95, []string{"hides a post", "68 mm, wide"}},
		{"safe at 1.2 m/s here", 60, []string{"safe at", "1.2 m/s", "here"}},
		{"see 4 sensors", 50, []string{"see 4", "sensors"}},
		{"at -5 deg", 26, []string{"at", "-5", "deg"}},
		{"haunch-left", 50, []string{"haunch-", "left"}},
		{"at -5 deg", 40, []string{"at", "-5 deg"}},
		{"wwwww", 20, []string{"ww", "ww", "w"}},
	} {
		got := r.Wrap(c.text, 12, false, c.width)
		if strings.Join(got, "|") != strings.Join(c.want, "|") || len(got) != len(c.want) {
			t.Errorf("%q in %v: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

// Lines fit, none is broken too early, and together they are the text.
func checkWrap(t *testing.T, r *Ruler, text string, size, width float64) {
	lines := r.Wrap(text, size, false, width)
	squeeze := func(s string) string { return strings.NewReplacer(" ", "", "\n", "").Replace(s) }
	if squeeze(strings.Join(lines, "")) != squeeze(text) {
		t.Fatalf("%q in %v became %q", text, width, lines)
	}
	broken := strings.Contains(text, "\n") || strings.Contains(text, "  ") // or a word is too wide for a line
	for _, w := range words(text) {
		broken = broken || r.Width(strings.TrimRight(w, " "), size, false) > width
	}
	for i, l := range lines {
		if w := r.Width(l, size, false); w > width && len(cuts(l)) > 1 {
			t.Fatalf("line %q is %v wide, more than %v", l, w, width)
		}
		if i > 0 && !broken {
			first := strings.TrimRight(append(words(l), "")[0], " ")
			if r.Width(lines[i-1]+" "+first, size, false) <= width && first != "" {
				t.Fatalf("%q in %v: %q would have had room after %q", text, width, first, lines[i-1])
			}
		}
	}
}

func TestWrapHolds(t *testing.T) {
	r := ruler(t)
	rnd := rand.New(rand.NewPCG(5, 7))
	letters := []rune("abcdeiiW .  -/5µé\u0301\u00a0")
	for range 3000 {
		text := make([]rune, rnd.IntN(60))
		for i := range text {
			text[i] = letters[rnd.IntN(len(letters))]
		}
		checkWrap(t, r, string(text), 12, rnd.Float64()*120)
	}
}

func FuzzWrap(f *testing.F) {
	for _, s := range samples {
		f.Add(s, 80.0)
	}
	r := ruler(f)
	f.Fuzz(func(t *testing.T, text string, width float64) {
		if len(text) > 2000 || math.IsNaN(width) || !utf8.ValidString(text) {
			return
		}
		checkWrap(t, r, text, 12, width)
		if got := r.Fit(text, 12, false, width); got != "" && r.Width(got, 12, false) > width {
			t.Fatalf("%q in %v became %q", text, width, got)
		}
	})
}

func BenchmarkWidth(b *testing.B) {
	r := ruler(b)
	for b.Loop() {
		if r.Width("between two beams · hides a post up to 68 mm", 12, false) < 100 {
			b.Fatal("too narrow")
		}
	}
}

// Lines asked for again are the same, are the caller's own, and are not kept without end.
func TestWrapRemembers(t *testing.T) {
	r := ruler(t)
	const text = "Seen in the near band: 98.6 % of it, at 350 mm"
	want := wrap(r, text, 12, false, 90)
	for range 2 {
		got := r.Wrap(text, 12, false, 90)
		if !slices.Equal(got, want) {
			t.Fatalf("%q, want %q", got, want)
		}
		got[0] = "written over"
	}
	if got := r.Wrap(text, 12, true, 90); slices.Equal(got, want) && len(want) > 1 {
		t.Errorf("bold text is wrapped like plain: %q", got)
	}
	for i := range 3 * mostWrapped {
		r.Wrap(text, 12, false, 90+float64(i)/10)
	}
	if len(r.wrapped) > mostWrapped {
		t.Errorf("%d texts are remembered", len(r.wrapped))
	}
}

func TestGlyphsStandWhereTheWidthsSay(t *testing.T) {
	r := ruler(t)
	for _, bold := range []bool{false, true} {
		for _, s := range samples {
			seen := []rune(strings.Map(func(c rune) rune {
				if unseen(c) {
					return -1
				}
				return c
			}, s))
			n := 0
			for at, g := range r.Glyphs(s, bold) {
				if want := r.Width(string(seen[:n]), 1, bold); math.Abs(at-want) > 1e-9 {
					t.Errorf("%q: letter %d stands at %v, want %v", s, n, at, want)
				}
				file := Regular()
				if bold {
					file = Bold()
				}
				if want := glyphOf(table(file, "cmap"), seen[n]); int(g.Index) != want || g.Bold != bold {
					t.Errorf("%q: letter %d is glyph %v, want %d", s, n, g, want)
				}
				n++
			}
			if n != len(seen) {
				t.Errorf("%q: %d glyphs for %d letters", s, n, len(seen))
			}
		}
	}
}
