package widget

import (
	"math"
	"strings"
	"time"
	"unicode"

	"echowright/planner/editor/canvas"
)

// list is the open list of a Menu, a Pick or a Search.
type list struct {
	id    string
	hot   int // the row that Enter would choose, by its place among those shown; -1 none
	off   float64
	typed string // to find by its beginning
	since time.Duration
}

const searchHead = 92.0 // of a Search: title and the line to type in

// rows is an open list as it stands.
type rows struct {
	p    *part
	at   canvas.Rect // all of it
	view canvas.Rect // where its rows are seen
	of   []int       // the choices shown
	high float64     // of a row
	mark float64     // the column of ticks at the left
	off  float64
}

// rows places the open list; nil when none is open.
func (b *Board) rows(s *scene) *rows {
	p := s.find(spot{id: b.list.id})
	if p == nil {
		return nil
	}
	l := &rows{p: p, high: entryHigh}
	if p.it.Kind == Search {
		l.of = match(b.line.text, p.it.Choices)
		l.at = p.at
		l.view = canvas.Rect{X: p.at.X + gap, Y: p.at.Y + searchHead, W: math.Max(0, p.at.W-2*gap), H: math.Max(0, p.at.H-searchHead-gap)}
	} else {
		b.hang(l)
	}
	l.off = math.Max(0, math.Min(b.list.off, float64(len(l.of))*l.high-l.view.H))
	return l
}

// hang places a list under what opens it, or over it when there is more room, and inside the window.
func (b *Board) hang(l *rows) {
	it, from := l.p.it, l.p.at
	if it.Kind == Pick {
		from = it.cells(from).box
		l.mark = 22
	}
	wide := 0.0
	for i, c := range it.Choices {
		l.of = append(l.of, i)
		w := b.Ruler.Width(c.Label, worth, false)
		if c.Keys != "" {
			w += keysGap + b.Ruler.Width(c.Keys, small, false)
		}
		if c.Figures != "" {
			w += keysGap + b.Ruler.Width(c.Figures, small, false)
		}
		if c.Note != "" {
			l.high = notedHigh
			w = math.Max(w, b.Ruler.Width(c.Note, small, false))
		}
		if c.Ticked {
			l.mark = 22
		}
		wide = math.Max(wide, w)
	}
	wide = math.Ceil(math.Max(from.W, wide+2*pad+l.mark+4))
	high := math.Max(1, float64(len(l.of)))*l.high + gap
	x, y := from.X, from.Y+from.H+2
	if b.Size[0] > 0 && b.Size[1] > 0 {
		wide = math.Max(0, math.Min(wide, b.Size[0]-gap))
		below, above := b.Size[1]-4-y, from.Y-6
		if high > below {
			if above > below {
				high = math.Min(high, math.Max(above, 0))
				y = from.Y - 2 - high
			} else {
				high = math.Max(below, 0)
			}
		}
		x = math.Max(4, math.Min(x, b.Size[0]-4-wide))
	}
	l.at = canvas.Rect{X: x, Y: y, W: wide, H: high}
	l.view = canvas.Rect{X: x + 4, Y: y + 4, W: math.Max(0, wide-8), H: math.Max(0, high-8)}
}

// row is where the n-th row stands, whether seen or not.
func (l *rows) row(n int) canvas.Rect {
	return canvas.Rect{X: l.view.X, Y: l.view.Y + float64(n)*l.high - l.off, W: l.view.W, H: l.high}
}

// under is the row under a point, -1 when none.
func (l *rows) under(q canvas.Point) int {
	if !l.view.Holds(q) {
		return -1
	}
	n := int((q[1] - l.view.Y + l.off) / l.high)
	if n < 0 || n >= len(l.of) {
		return -1
	}
	return n
}

// choice is the choice of the n-th row; nil when there is none or it is off.
func (l *rows) choice(n int) *Choice {
	if n < 0 || n >= len(l.of) {
		return nil
	}
	if c := &l.p.it.Choices[l.of[n]]; !c.Disabled {
		return c
	}
	return nil
}

// warm makes the n-th row the one Enter would choose, and scrolls it into view.
func (h *taking) warm(l *rows, n int) {
	b := h.Board
	if n != b.list.hot {
		b.list.hot, b.dirty = n, true
	}
	if n < 0 {
		return
	}
	y := float64(n) * l.high
	b.list.off = math.Max(math.Min(l.off, y), y+l.high-l.view.H)
}

// step moves from the hot row by d rows over those that are off.
func (h *taking) step(l *rows, from, d int) {
	for n := from + d; n >= 0 && n < len(l.of); n += d {
		if l.choice(n) != nil {
			h.warm(l, n)
			return
		}
	}
}

// openList opens what a Menu or Pick holds.
func (h *taking) openList(p *part) {
	b := h.Board
	h.closeList()
	b.list = list{id: p.id, hot: -1}
	b.dirty = true
	b.wait(spot{}, 0)
	h.act(Act{ID: p.id, Do: Opened})
	if l := b.rows(h.scene); p.it.Kind == Pick && p.it.Index >= 0 && p.it.Index < len(l.of) {
		h.warm(l, p.it.Index)
	}
}

func (h *taking) closeList() {
	b := h.Board
	if b.list.id == "" {
		return
	}
	h.act(Act{ID: b.list.id, Do: Closed})
	b.shut()
}

// shut forgets the list; a Search's goes with the Search.
func (b *Board) shut() {
	if b.list.id != "" {
		b.list, b.dirty = list{}, true
	}
}

// choose takes the n-th row.
func (h *taking) choose(l *rows, n int, a Act) bool {
	c := l.choice(n)
	if c == nil {
		return false
	}
	a.ID, a.Do, a.Value, a.Index = l.p.id, Chosen, c.value(), l.of[n]
	if l.p.it.Kind != Search {
		h.closeList()
	}
	if l.p.it.Kind == Menu {
		h.setFocus(spot{}, false) // the keys go back to the drawing
	}
	h.act(a)
	return true
}

// seek goes to the next row that begins with what was typed in quick turn.
func (h *taking) seek(l *rows, text string) {
	b := h.Board
	if b.now-b.list.since > typeAhead {
		b.list.typed = ""
	}
	b.list.since = b.now
	if b.list.typed == "" && strings.TrimSpace(text) == "" {
		return
	}
	// One letter again and again goes through all that begin with it.
	again := fold(b.list.typed) == fold(text)
	if !again {
		b.list.typed += text
	}
	start := b.list.hot
	if len([]rune(b.list.typed)) == 1 {
		start++
	}
	for i := range l.of {
		n := (max(start, 0) + i) % len(l.of)
		if c := l.choice(n); c != nil && strings.HasPrefix(fold(c.Label), fold(b.list.typed)) {
			h.warm(l, n)
			return
		}
	}
}

// fold makes a text fit to compare: small letters, no double spaces.
func fold(text string) string { return strings.Join(strings.Fields(strings.ToLower(text)), " ") }

// match finds the choices that hold every word typed, best first: those whose label begins so, those with a word
// that begins so, those that hold it in the label or are found by it, then in note or keys. Those that are off come last.
func match(typed string, choices []Choice) []int {
	want := strings.Fields(strings.ToLower(typed))
	var found [8][]int
	for i, c := range choices {
		label := fold(c.Label)
		rest := label + " " + fold(c.Note) + " " + fold(c.Figures) + " " + fold(c.Keys)
		rank := 0
		for n, w := range want {
			switch {
			case n == 0 && strings.HasPrefix(label, w):
			case begins(label, w):
				rank = max(rank, 1)
			case strings.Contains(label, w), begins(strings.ToLower(c.Words), w):
				rank = max(rank, 2)
			case strings.Contains(rest, w):
				rank = max(rank, 3)
			default:
				rank = 4
			}
			if rank == 4 {
				break
			}
		}
		switch {
		case rank < 4 && c.Disabled:
			found[4+rank] = append(found[4+rank], i)
		case rank < 4:
			found[rank] = append(found[rank], i)
		}
	}
	var out []int
	for _, f := range found {
		out = append(out, f...)
	}
	return out
}

// begins reports whether a word of the text begins with w.
func begins(text, w string) bool {
	for _, f := range strings.FieldsFunc(text, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }) {
		if strings.HasPrefix(f, w) {
			return true
		}
	}
	return false
}
