package widget

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"echowright/planner/editor/canvas"
)

// mostTyped is how many bytes a line of text may hold; far beyond any value, so that a wrong paste does not stall the frame.
const mostTyped = 4096

// line is a line of text being edited. Caret and mark are places in bytes, always between two letters; what lies
// between them is selected.
type line struct {
	text        string
	caret, mark int
	from        int    // the first byte that is shown
	base        string // the text before the first edit
	touched     bool
	past, next  []moment
	run         bool   // the last edit was a letter typed, and another one joins it in one undo
	compose     string // being put together by an input method, not yet text

	id   string // of the item it belongs to
	live bool   // it is being edited
	lit  bool   // the caret was shown when last looked at
}

// moment is what undo goes back to.
type moment struct {
	text        string
	caret, mark int
}

func newLine(text string) line {
	return line{text: text, base: text, caret: len(text), mark: len(text)}
}

// settle takes the text from outside while nothing was typed.
func (l *line) settle(text string) {
	if l.touched || text == l.text {
		return
	}
	all := l.caret == len(l.text) && l.mark == 0 && l.text != ""
	l.text, l.base, l.past, l.next = text, text, nil, nil
	l.place(l.caret, l.mark)
	if all {
		l.all()
	}
}

// place sets caret and mark, moved to the nearest place between letters.
func (l *line) place(caret, mark int) {
	l.caret, l.mark = between(l.text, caret), between(l.text, mark)
}

func between(text string, at int) int {
	at = max(0, min(at, len(text)))
	for at > 0 && at < len(text) && !utf8.RuneStart(text[at]) {
		at--
	}
	for at > 0 && at < len(text) {
		c, _ := utf8.DecodeRuneInString(text[at:])
		if !unicode.Is(unicode.M, c) {
			break
		}
		_, n := utf8.DecodeLastRuneInString(text[:at])
		at -= n
	}
	return at
}

func (l *line) all() { l.mark, l.caret = 0, len(l.text) }

func (l *line) span() (lo, hi int) { return min(l.caret, l.mark), max(l.caret, l.mark) }

func (l *line) selected() string {
	lo, hi := l.span()
	return l.text[lo:hi]
}

// left and right are the places one letter on.
func (l *line) left(at int) int { return between(l.text, at-1) }

func (l *line) right(at int) int {
	for at < len(l.text) {
		_, n := utf8.DecodeRuneInString(l.text[at:])
		at += n
		if between(l.text, at) == at {
			break
		}
	}
	return at
}

// class sorts letters into those words are made of, spaces and the rest.
func class(c rune) int {
	switch {
	case unicode.IsSpace(c):
		return 0
	case unicode.IsLetter(c), unicode.IsDigit(c), unicode.Is(unicode.M, c), c == '_', c == '.', c == ',', c == '°', c == 'µ':
		return 1
	}
	return 2
}

// wordLeft is the start of the word before a place.
func (l *line) wordLeft(at int) int {
	met := 0
	for at > 0 {
		c, n := utf8.DecodeLastRuneInString(l.text[:at])
		k := class(c)
		if k != 0 && met == 0 {
			met = k
		}
		if met != 0 && k != met {
			break
		}
		at -= n
	}
	return between(l.text, at)
}

// wordRight is the end of the word behind a place.
func (l *line) wordRight(at int) int {
	met := 0
	for at < len(l.text) {
		c, n := utf8.DecodeRuneInString(l.text[at:])
		k := class(c)
		if k != 0 && met == 0 {
			met = k
		}
		if met != 0 && k != met {
			break
		}
		at += n
	}
	return at
}

// word selects the word at a place, or the gap between two.
func (l *line) word(at int) {
	at = between(l.text, at)
	if at == len(l.text) {
		at = l.left(at)
	}
	c, _ := utf8.DecodeRuneInString(l.text[at:])
	k := class(c)
	lo, hi := at, at
	for lo > 0 {
		c, n := utf8.DecodeLastRuneInString(l.text[:lo])
		if class(c) != k {
			break
		}
		lo -= n
	}
	for hi < len(l.text) {
		c, n := utf8.DecodeRuneInString(l.text[hi:])
		if class(c) != k {
			break
		}
		hi += n
	}
	l.place(hi, lo)
}

// move sets the caret, and with keep leaves the mark where it was.
func (l *line) move(at int, keep bool) {
	l.run = false
	l.caret = at
	if !keep {
		l.mark = at
	}
}

// put puts text in place of what is selected.
func (l *line) put(text string, typed bool) bool {
	text = clean(text)
	lo, hi := l.span()
	room := max(0, mostTyped-(len(l.text)-(hi-lo)))
	if len(text) > room {
		for room > 0 && !utf8.RuneStart(text[room]) {
			room--
		}
		text = text[:room]
	}
	if text == "" && lo == hi {
		return false
	}
	if !typed || !l.run || lo != hi {
		l.keep()
	}
	l.text = l.text[:lo] + text + l.text[hi:]
	l.place(lo+len(text), lo+len(text))
	l.touched, l.run = true, typed
	return true
}

func (l *line) keep() {
	l.past, l.next = append(l.past, moment{l.text, l.caret, l.mark}), nil
	if len(l.past) > 200 {
		l.past = l.past[1:]
	}
}

// erase takes away what is selected, or else all from the caret to a place.
func (l *line) erase(to int) bool {
	if l.caret == l.mark {
		l.mark = to
	}
	return l.put("", false)
}

func (l *line) undo() bool { return l.step(&l.past, &l.next) }
func (l *line) redo() bool { return l.step(&l.next, &l.past) }

func (l *line) step(from, to *[]moment) bool {
	if len(*from) == 0 {
		return false
	}
	m := (*from)[len(*from)-1]
	*from = (*from)[:len(*from)-1]
	*to = append(*to, moment{l.text, l.caret, l.mark})
	l.text, l.run = m.text, false
	l.place(m.caret, m.mark)
	l.touched = len(l.past) > 0 || l.text != l.base
	return true
}

// done ends the edits: the text stands as it is, and what was before is no longer undone here.
func (l *line) done() {
	l.base, l.touched, l.run, l.past, l.next, l.compose = l.text, false, false, nil, nil, ""
}

// clean is a text fit for one line: no line feeds, no control letters, nothing but UTF-8.
func clean(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\n' || c == '\t':
			return ' '
		case unicode.IsControl(c):
			return -1
		}
		return c
	}, text)
}

// seen is the place that is kept in sight: the caret, but the beginning of a text that is chosen as a whole.
func (l *line) seen() int {
	if lo, hi := l.span(); lo == 0 && hi == len(l.text) {
		return 0
	}
	return l.caret
}

// window is the part of a text that is shown in a width so that the caret is in it, starting at from if it can.
func window(r canvas.Ruler, text string, from, caret int, size, width float64) (lo, hi int) {
	wide := func(a, b int) float64 { return r.Width(text[a:b], size, false) }
	next := func(at int) int { _, n := utf8.DecodeRuneInString(text[at:]); return at + n }
	before := func(at int) int { _, n := utf8.DecodeLastRuneInString(text[:at]); return at - n }
	if wide(0, len(text)) <= width {
		return 0, len(text)
	}
	lo = min(between(text, from), caret)
	for lo < caret && wide(lo, caret) > width {
		lo = next(lo)
	}
	hi = caret
	for hi < len(text) && wide(lo, next(hi)) <= width {
		hi = next(hi)
	}
	for hi == len(text) && lo > 0 && wide(before(lo), hi) <= width {
		lo = before(lo)
	}
	return lo, hi
}

// nearest is the place in text[lo:hi] nearest to x points from the start of what is shown.
func nearest(r canvas.Ruler, text string, lo, hi int, size, x float64) int {
	at, gap := lo, x
	if gap < 0 {
		return lo
	}
	for i := lo; i < hi; {
		_, n := utf8.DecodeRuneInString(text[i:])
		i += n
		d := x - r.Width(text[lo:i], size, false)
		if d < 0 {
			d = -d
		}
		if d > gap {
			break
		}
		at, gap = i, d
	}
	return between(text, at)
}
