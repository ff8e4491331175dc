package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// dragAfter is how far a finger moves before a press becomes a scroll.
const dragAfter = 8.0

func (h *taking) move(ev input.Event) bool {
	b := h.Board
	b.at, b.hand = ev.At, true
	switch b.grab.kind {
	case selecting:
		if p := b.editing(h.scene); p != nil {
			b.line.move(h.place(p, ev.At), true)
			b.dirty = true
		}
		return true
	case thumbing:
		if p := h.find(b.grab.spot); p != nil {
			thumb, bar, ok := b.thumb(p)
			if ok && bar.H > thumb.H {
				h.scroll(p.it, b.grab.off+(ev.At[1]-b.grab.from[1])/(bar.H-thumb.H)*(p.it.Tall-bar.H))
			}
		}
		return true
	case dragging:
		if p := h.find(b.grab.spot); p != nil {
			h.scroll(p.it, b.grab.off-(ev.At[1]-b.grab.from[1]))
		}
		return true
	case pulling:
		h.act(Act{ID: b.grab.spot.id, Do: Pulled, Index: max(0, int(math.Round(ev.At[1]-b.grab.off)))})
		return true
	case press:
		if s := h.scroller(b.grab.from); s != nil && math.Abs(ev.At[1]-b.grab.from[1]) > dragAfter {
			b.grab = grab{kind: dragging, spot: s.spot, from: ev.At, off: b.offset(s.it)}
			b.dirty = true
			return true
		}
	}
	if l := b.rows(h.scene); l != nil {
		if n := l.under(ev.At); n >= 0 && l.choice(n) != nil && n != b.list.hot {
			b.list.hot, b.dirty = n, true
		}
		// Over another menu, that one opens.
		p, _ := h.under(ev.At)
		if p != nil && p.it.Kind == Menu && l.p.it.Kind == Menu && p.spot != l.p.spot && !l.at.Holds(ev.At) && !p.off() {
			h.openList(p)
			h.setFocus(p.spot, false)
		}
		if l.p.it.Kind != Search || l.at.Holds(ev.At) {
			return true
		}
	}
	p, solid := h.under(ev.At)
	to := spot{}
	if p != nil {
		to = p.spot
	}
	if to != b.over {
		b.over, b.dirty = to, true
		b.wait(to, tipAfter)
	}
	return solid || b.grab.kind != nothing
}

func (h *taking) press(ev input.Event) bool {
	b := h.Board
	b.at, b.hand, b.dirty = ev.At, true, true
	b.wait(spot{}, 0)
	if l := b.rows(h.scene); l != nil && ev.Button == input.Left {
		if n := l.under(ev.At); n >= 0 {
			if l.choice(n) != nil {
				b.list.hot = n
			}
			b.grab = grab{kind: listing, from: ev.At}
			return true
		}
		switch {
		case l.at.Holds(ev.At):
			if l.p.it.Kind != Search {
				return true
			}
		case l.p.it.Kind != Search:
			p, _ := h.under(ev.At)
			h.closeList()
			if p == nil || p.it.Kind != Menu || p.spot == l.p.spot {
				b.grab = grab{kind: listing, from: ev.At}
				return true // the press only closes, and its end does nothing either
			}
		default:
			h.act(Act{ID: l.p.id, Do: Cancelled})
			return true
		}
	}
	p, solid := h.under(ev.At)
	if ev.Button != input.Left {
		return solid
	}
	if s := h.scroller(ev.At); s != nil {
		if thumb, bar, _ := b.thumb(s); bar.Holds(ev.At) {
			if !thumb.Holds(ev.At) {
				h.scroll(s.it, (ev.At[1]-bar.Y-thumb.H/2)/math.Max(1, bar.H-thumb.H)*(s.it.Tall-bar.H))
			}
			b.grab = grab{kind: thumbing, spot: s.spot, from: ev.At, off: b.offset(s.it)}
			return true
		}
	}
	if p == nil || !p.answers() {
		h.away()
		if p != nil {
			b.tipFor, b.tip = p.spot, p.spot // a finger cannot point without pressing
		}
		b.grab = grab{}
		if s := h.scroller(ev.At); s != nil {
			b.grab = grab{kind: press, spot: s.spot, from: ev.At}
		}
		return solid
	}
	had := b.focus == p.spot
	h.setFocus(p.spot, false)
	switch p.it.Kind {
	case Field, Search:
		h.pressText(p, ev, had)
		return true
	case Menu, Pick:
		h.openList(p)
		b.grab = grab{kind: listing, from: ev.At}
		return true
	case Border:
		if ev.Clicks == 2 {
			h.act(Act{ID: p.id, Do: Pulled, Index: -1})
			return true
		}
		b.grab = grab{kind: pulling, spot: p.spot, from: ev.At, off: ev.At[1] - p.at.Y}
		return true
	case Row:
		if ev.Clicks == 2 {
			h.act(Act{ID: p.id, Do: Opened, Value: p.it.Value, Mods: ev.Mods})
			b.grab = grab{}
			return true
		}
	}
	b.grab = grab{kind: press, spot: p.spot, from: ev.At}
	b.wait(p.spot, tipAfter) // held down, it tells what it is
	return true
}

// away takes the focus off what was being typed when the press went elsewhere; a modal item keeps it.
func (h *taking) away() {
	if h.scene.cover >= 0 {
		h.commit()
		return
	}
	h.setFocus(spot{}, false)
}

// pressText sets the caret, or selects a word, or all.
func (h *taking) pressText(p *part, ev input.Event, had bool) {
	b := h.Board
	b.grab = grab{}
	if p.it.Kind == Search && !searchBox(p.at).Holds(ev.At) {
		return
	}
	at := h.place(p, ev.At)
	switch {
	case ev.Clicks >= 3:
		b.line.all()
	case ev.Clicks == 2:
		b.line.word(at)
	default:
		b.line.move(at, had && ev.Mods.Shift)
	}
	b.line.run = false
	b.typed = b.now
	if ev.Clicks < 2 {
		b.grab = grab{kind: selecting, spot: p.spot, from: ev.At}
	}
}

// place is where in the text being typed a point is.
func (h *taking) place(p *part, q canvas.Point) int {
	b := h.Board
	room, size := b.lineRoom(p)
	if q[0] < room.X {
		return b.line.left(b.line.from)
	}
	lo, hi := window(b.Ruler, b.line.text, b.line.from, b.line.seen(), size, room.W)
	at := nearest(b.Ruler, b.line.text, lo, hi, size, q[0]-room.X)
	if at == hi && q[0] > room.X+room.W {
		at = b.line.right(hi)
	}
	return at
}

// lineRoom is where the text being typed stands, and its size.
func (b *Board) lineRoom(p *part) (canvas.Rect, float64) {
	if p.it.Kind == Search {
		return p.it.textRoom(searchBox(p.at)), worth
	}
	return p.it.textRoom(p.it.cells(p.at).box), worth
}

func searchBox(at canvas.Rect) canvas.Rect {
	return canvas.Rect{X: at.X + 2*gap, Y: at.Y + headHigh, W: math.Max(0, at.W-4*gap), H: buttonHigh}
}

func (h *taking) lift(ev input.Event) bool {
	b := h.Board
	b.at = ev.At
	g := b.grab
	if ev.Button != input.Left {
		_, solid := h.under(ev.At)
		return solid
	}
	b.grab = grab{}
	switch g.kind {
	case nothing:
		return false
	case listing:
		if l := b.rows(h.scene); l != nil {
			if n := l.under(ev.At); n >= 0 {
				h.choose(l, n, Act{Mods: ev.Mods})
			}
		}
	case pulling:
		b.dirty = true
	case press:
		b.dirty = true
		b.wait(spot{}, 0)
		p, _ := h.under(ev.At)
		if p != nil && p.spot == g.spot && p.answers() {
			h.activate(p, ev.Mods)
		}
	}
	return true
}

func (h *taking) wheel(ev input.Event) bool {
	b := h.Board
	b.at = ev.At
	if l := b.rows(h.scene); l != nil && (l.at.Holds(ev.At) || l.p.it.Kind != Search) {
		if l.at.Holds(ev.At) && !ev.Mods.Ctrl {
			b.list.off, b.dirty = l.off+ev.Scroll[1], true
			b.list.off = b.rows(h.scene).off
			if n := b.rows(h.scene).under(ev.At); n >= 0 && l.choice(n) != nil {
				b.list.hot = n
			}
		}
		return true
	}
	_, solid := h.under(ev.At)
	if s := h.scroller(ev.At); s != nil && !ev.Mods.Ctrl {
		if h.scroll(s.it, b.offset(s.it)+ev.Scroll[1]) {
			b.wait(spot{}, 0)
		}
		return true
	}
	return solid
}
