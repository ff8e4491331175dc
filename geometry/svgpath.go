package geometry

import (
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"github.com/golang/geo/r2"
)

// PathError is a fault in path data at a byte offset, counted from zero.
type PathError struct {
	Offset int
	Reason string
}

func (e *PathError) Error() string {
	return fmt.Sprintf("path data at byte %d: %s", e.Offset, e.Reason)
}

// maxPathPoints bounds what one path may grow to, whatever error is asked for.
const maxPathPoints = 1 << 20

// ParseSVGPath reads the path data of SVG 2 (chapter 9: commands M L H V C S Q T A Z, absolute and relative, arcs by the
// implementation notes of appendix B.2, known as F.6 in SVG 1.1) and returns one ring a subpath, closed whether or
// not it ends in Z. Coordinates are multiplied by scale (m per unit) and not turned over: x is forward and y
// left. Curves and arcs become chords within err (m, after scaling) of the true curve.
// Unlike a viewer, which draws up to a fault, it refuses bad data with a *PathError, and so it does a
// subpath of fewer than three different points and a result of more than a million points.
func ParseSVGPath(d string, scale, err float64) ([]Ring, error) {
	if !(scale > 0) || math.IsInf(scale, 0) || !(err > 0) {
		return nil, &PathError{0, "scale and permitted error must be positive"}
	}
	p := &pathReader{text: d, scale: scale, pen: pen{err: err / scale}}
	for p.skipSpace(); p.at < len(d); p.skipSpace() {
		if e := p.command(); e != nil {
			return nil, e
		}
	}
	if e := p.endSubpath(); e != nil {
		return nil, e
	}
	if len(p.rings) == 0 {
		return nil, &PathError{len(d), "no subpath that encloses anything"}
	}
	return p.rings, nil
}

// pathReader is the state while reading: the text and the pen.
type pathReader struct {
	text    string
	at      int
	scale   float64
	rings   []Ring
	pen     pen
	opened  int  // byte offset of the moveto of the current subpath
	begun   bool // a moveto has been seen
	last    byte // previous command, upper case
	control r2.Point
	points  int
}

// operands is how many numbers each command takes at a time.
var operands = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2, 'A': 7, 'Z': 0}

func (p *pathReader) fault(at int, format string, args ...any) error {
	return &PathError{at, fmt.Sprintf(format, args...)}
}

// command reads one command letter and all its sets of operands.
func (p *pathReader) command() error {
	from, letter := p.at, p.text[p.at]
	upper := letter &^ 0x20
	count, known := operands[upper]
	if !known {
		r, _ := utf8.DecodeRuneInString(p.text[from:])
		return p.fault(from, "%q is no path command; known are M L H V C S Q T A Z and their small letters", r)
	}
	if !p.begun && upper != 'M' {
		return p.fault(from, "path data must begin with M or m, not %c", letter)
	}
	p.at++
	if upper == 'Z' {
		return p.closeSubpath()
	}
	for first := true; ; first = false {
		p.skipSpace()
		if !first && !p.skipComma() && !p.numberAhead() {
			return nil
		}
		args, err := p.numbers(letter, count)
		if err != nil {
			return err
		}
		if err := p.draw(upper, letter != upper, args, from); err != nil {
			return err
		}
		if upper == 'M' { // further pairs are lines
			upper, letter = 'L', letter-'M'+'L'
		}
	}
}

// numbers reads one set of operands. The fourth and fifth of an arc are flags of one digit.
func (p *pathReader) numbers(letter byte, count int) (args [7]float64, err error) {
	for k := range count {
		p.skipSpace()
		if k > 0 {
			p.skipComma()
		}
		if letter&^0x20 == 'A' && (k == 3 || k == 4) {
			args[k], err = p.flag()
		} else {
			args[k], err = p.number(letter)
		}
		if err != nil {
			return args, err
		}
	}
	return args, nil
}

func (p *pathReader) skipSpace() {
	for p.at < len(p.text) {
		switch p.text[p.at] {
		case ' ', '\t', '\n', '\r', '\f':
			p.at++
		default:
			return
		}
	}
}

func (p *pathReader) skipComma() (found bool) {
	if p.at >= len(p.text) || p.text[p.at] != ',' {
		return false
	}
	p.at++
	p.skipSpace()
	return true
}

func (p *pathReader) numberAhead() bool {
	if p.at >= len(p.text) {
		return false
	}
	c := p.text[p.at]
	return c >= '0' && c <= '9' || c == '.' || c == '-' || c == '+'
}

// number reads sign, digits, point and exponent by the grammar of SVG 2 section 9.3.9.
func (p *pathReader) number(letter byte) (float64, error) {
	from, i := p.at, p.at
	t := p.text
	if i < len(t) && (t[i] == '+' || t[i] == '-') {
		i++
	}
	whole := digits(t, i)
	i += whole
	part := 0
	if i < len(t) && t[i] == '.' {
		part = digits(t, i+1)
		if whole > 0 || part > 0 {
			i += 1 + part
		}
	}
	if whole == 0 && part == 0 {
		return 0, p.fault(from, "a number is missing: %c takes %d", letter, operands[letter&^0x20])
	}
	if i < len(t) && (t[i] == 'e' || t[i] == 'E') {
		j := i + 1
		if j < len(t) && (t[j] == '+' || t[j] == '-') {
			j++
		}
		if n := digits(t, j); n > 0 {
			i = j + n
		}
	}
	x, err := strconv.ParseFloat(t[from:i], 64)
	if err != nil || math.Abs(x*p.scale) > 1e9 {
		return 0, p.fault(from, "number %.20s is out of range", t[from:i])
	}
	p.at = i
	return x, nil
}

func digits(t string, i int) int {
	n := 0
	for i+n < len(t) && t[i+n] >= '0' && t[i+n] <= '9' {
		n++
	}
	return n
}

func (p *pathReader) flag() (float64, error) {
	if p.at < len(p.text) && (p.text[p.at] == '0' || p.text[p.at] == '1') {
		p.at++
		return float64(p.text[p.at-1] - '0'), nil
	}
	return 0, p.fault(p.at, "an arc flag must be 0 or 1")
}
