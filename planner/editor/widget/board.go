package widget

import (
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
)

// How long things wait: common practice, no source.
const (
	tipAfter      = 600 * time.Millisecond  // of pointing
	tipAfterFocus = 1200 * time.Millisecond // of the focus resting
	blink         = 530 * time.Millisecond
	blinkFor      = 10 * time.Second // then the caret stands still, so that an idle window sleeps
	typeAhead     = time.Second
)

// Board keeps what hands did to the items.
type Board struct {
	// Ruler measures the texts.
	Ruler canvas.Ruler
	// Size is the window's; Resize events keep it. Lists and tips stay inside.
	Size canvas.Point

	now   time.Duration
	dirty bool

	focus spot
	ring  bool // the focus is shown, it came by keys
	back  spot // had the focus before a modal item came
	cover string

	over  spot // under the pointer
	at    canvas.Point
	hand  bool // the pointer is in the window
	grab  grab
	offs  map[string]float64
	line  line // the text of the Field or Search that has the focus
	typed time.Duration
	fresh bool // the last event was a key that prints, and no field had the focus
	list  list

	tipFor   spot
	tipSince time.Duration
	tipDelay time.Duration
	tip      spot
}

// grab is what the pointer holds while a button is down.
type grab struct {
	kind grabKind
	spot spot
	from canvas.Point
	off  float64
}

type grabKind int

const (
	nothing   grabKind = iota
	press              // something that answers when let go
	selecting          // text
	thumbing           // a scroll bar
	dragging           // a Scroll's content
	listing            // an open list
	pulling            // a Border
)

// New makes a board that measures with r.
func New(r canvas.Ruler) *Board { return &Board{Ruler: r, offs: map[string]float64{}} }

// Focus is the ID of the item that keys go to, empty when none.
func (b *Board) Focus() string { return b.focus.id }

// Over is the ID of the item under the pointer, empty when none.
func (b *Board) Over() string { return b.over.id }

// Typing is the ID of the Field or Search that text goes to, empty when none.
func (b *Board) Typing(items []Item) string {
	s := b.see(items)
	if p := b.editing(s); p != nil {
		return p.id
	}
	return ""
}

// Open is the ID of the item whose list is open, empty when none.
func (b *Board) Open() string { return b.list.id }

// Changed reports whether the board looks other than at the last Layers, the items being the same.
func (b *Board) Changed() bool { return b.dirty }

// Busy asks for Ticks: a caret blinks, or a tip is about to show.
func (b *Board) Busy() bool {
	return b.line.live && b.now-b.typed < blinkFor || b.tipFor.id != "" && b.tip != b.tipFor
}

// SetFocus gives the keys to an item, its text chosen when it is a Field; the empty ID takes them away.
func (b *Board) SetFocus(id string, items []Item) []Act {
	h := b.take(items)
	h.setFocus(spot{id: id}, true)
	return h.acts
}

// Scrolled is how far a Scroll is scrolled.
func (b *Board) Scrolled(id string) float64 { return b.offs[id] }

// Reveal scrolls so that an item can be seen.
func (b *Board) Reveal(id string, items []Item) {
	h := b.take(items)
	if p := h.find(spot{id: id}); p != nil {
		h.reveal(p)
	}
}

// ShowTip shows the tool tip of what has the focus.
func (b *Board) ShowTip() {
	b.tipFor, b.tip, b.dirty = b.focus, b.focus, true
}

// Settle brings what is remembered in line with new items: the keys go to a Dialog or Search that came over all.
func (b *Board) Settle(items []Item) []Act { return b.take(items).acts }

// Commit hands over what is being typed into a Field, which keeps the keys.
func (b *Board) Commit(items []Item) []Act {
	h := b.take(items)
	h.commit()
	return h.acts
}

// Forget drops what is being typed: the values come from elsewhere now.
func (b *Board) Forget() {
	if b.line.live {
		b.line.done()
		b.dirty = true
	}
}

// Insert puts text where text is being typed: what the clipboard held after a Paste was asked for.
func (b *Board) Insert(text string, items []Item) []Act {
	h := b.take(items)
	if p := b.editing(h.scene); p != nil && b.line.put(text, false) {
		h.edited(p)
	}
	return h.acts
}

// Compose shows text that an input method is putting together at the caret; empty ends it.
func (b *Board) Compose(text string) {
	b.line.compose = clean(text)
	b.dirty = true
}

// taking is one event being handled.
type taking struct {
	*Board
	*scene
	acts []Act
}

func (h *taking) act(a Act) { h.acts = append(h.acts, a) }

// take looks at the items as they are now and brings what is remembered in line with them.
func (b *Board) take(items []Item) *taking {
	h := &taking{Board: b, scene: b.see(items)}
	h.settle()
	return h
}

// settle forgets what is no longer there. Text being typed into a field that went is handed over, never lost.
func (h *taking) settle() {
	b := h.Board
	if b.line.live {
		if p := h.find(spot{id: b.line.id}); p == nil || p.it.Kind != Field && p.it.Kind != Search {
			h.leave()
		} else if p.it.Kind == Field {
			b.line.settle(clean(p.it.Value))
		}
	}
	if b.list.id != "" {
		p := h.find(spot{id: b.list.id})
		if p == nil || p.off() || p.it.Kind != Menu && p.it.Kind != Pick && p.it.Kind != Search {
			b.list, b.dirty = list{}, true
		}
	}
	for _, s := range []*spot{&b.over, &b.tipFor, &b.tip} {
		if s.id != "" && h.find(*s) == nil {
			*s, b.dirty = spot{}, true
		}
	}
	if b.grab.kind != nothing && b.grab.kind != listing && h.find(b.grab.spot) == nil {
		b.grab = grab{}
	}
	h.modal()
	if b.focus.id != "" {
		if p := h.find(b.focus); p == nil || !h.takesFocus(p) {
			h.leave()
			b.focus, b.dirty = spot{}, true
		}
	}
}

// modal moves the focus into what came over all, and back when it went.
func (h *taking) modal() {
	b, id := h.Board, ""
	if h.scene.cover >= 0 {
		it := &h.items[h.scene.cover]
		if id = it.ID; it.Waits { // another question, even where one was open
			id += "\n" + it.Label
		}
	}
	if id == b.cover {
		return
	}
	if b.cover == "" {
		b.back = b.focus
	}
	b.cover, b.dirty = id, true
	b.grab, b.over, b.tip, b.tipFor = grab{}, spot{}, spot{}, spot{}
	b.shut()
	if id == "" {
		back := b.back
		b.back = spot{}
		if p := h.find(back); p != nil && h.takesFocus(p) {
			h.setFocus(back, b.ring)
		} else {
			h.setFocus(spot{}, false)
		}
		return
	}
	to := spot{}
	for i := range h.parts {
		p := &h.parts[i]
		if !h.takesFocus(p) || h.items[h.scene.cover].Waits {
			continue
		}
		if to.id == "" {
			to = p.spot
		}
		if p.sub == 0 && (p.it.Kind == Field || p.it.Kind == Search) {
			to = p.spot
			break
		}
	}
	h.setFocus(to, true)
}

// editing is the Field or Search that text goes to, nil when there is none.
func (b *Board) editing(s *scene) *part {
	if !b.line.live || b.focus.id != b.line.id {
		return nil
	}
	p := s.find(b.focus)
	if p == nil || p.off() || p.it.Kind != Field && p.it.Kind != Search {
		return nil
	}
	return p
}

// setFocus moves the focus; what was typed where it was is handed over.
func (h *taking) setFocus(to spot, ring bool) {
	b := h.Board
	b.dirty = true
	p := h.find(to)
	if p == nil || !h.takesFocus(p) {
		to, p = spot{}, nil
	}
	b.ring = ring
	if to == b.focus {
		return
	}
	h.leave()
	b.focus = to
	if p == nil {
		return
	}
	switch p.it.Kind {
	case Field, Search:
		b.line = newLine(clean(p.it.Value))
		b.line.id, b.line.live = p.id, true
		b.line.all()
		b.typed = b.now
		if p.it.Kind == Search {
			b.list = list{id: p.id}
		}
	}
	if ring {
		h.reveal(p)
		b.wait(to, tipAfterFocus)
	}
}

// leave ends the typing, handing over what was typed.
func (h *taking) leave() {
	b := h.Board
	if !b.line.live {
		return
	}
	h.commit()
	b.line, b.dirty = line{}, true
}

// commit hands over what was typed into a field; false when nothing new was.
func (h *taking) commit() bool {
	b := h.Board
	if !b.line.touched {
		return false
	}
	if p := h.find(spot{id: b.line.id}); p != nil && p.it.Kind == Search {
		return false
	}
	changed := b.line.text != b.line.base
	if changed {
		h.act(Act{ID: b.line.id, Do: Committed, Value: b.line.text})
	}
	b.line.done()
	return changed
}

// edited tells of text typed.
func (h *taking) edited(p *part) {
	h.dirty, h.typed = true, h.now
	h.wait(spot{}, 0)
	if p.it.Kind == Search {
		h.list.hot, h.list.off = 0, 0
	}
	h.act(Act{ID: p.id, Do: Edited, Value: h.line.text})
}

// reveal scrolls all that a part is in until it is seen.
func (h *taking) reveal(p *part) {
	at := p.at
	for n, i := 0, p.in; i >= 0 && n < 8; n++ {
		o := &h.parts[h.first[i]]
		old := h.offset(o.it)
		off := old
		if d := at.Y + at.H - (o.at.Y + o.at.H); d > 0 {
			off += d
		}
		if d := o.at.Y - (at.Y - (off - old)); d > 0 {
			off -= d
		}
		h.scroll(o.it, off)
		at.Y -= h.offset(o.it) - old
		i = o.in
	}
}

// scroll sets how far a Scroll is scrolled.
func (b *Board) scroll(it *Item, to float64) bool {
	old := b.offset(it)
	b.offs[it.ID] = to
	b.offs[it.ID] = b.offset(it)
	if b.offs[it.ID] == old {
		return false
	}
	b.dirty = true
	return true
}

// wait starts to wait for the tip of a spot, and hides what shows.
func (b *Board) wait(s spot, delay time.Duration) {
	if b.tip.id != "" && b.tip != s {
		b.tip, b.dirty = spot{}, true
	}
	b.tipFor, b.tipSince, b.tipDelay = s, b.now, delay
}

// Handle takes an event and says what it did to the items, and whether it was for the board. There may be acts and
// the event still be for others: a press on the drawing or a shortcut first hands over what was being typed. An event
// of time was for the board when the board looks other now.
func (b *Board) Handle(ev input.Event, items []Item) (acts []Act, taken bool) {
	if ev.Now > b.now {
		b.now = ev.Now
	}
	h := b.take(items)
	fresh := b.fresh
	b.fresh = false
	switch ev.Kind {
	case input.Move:
		taken = h.move(ev)
	case input.Press:
		taken = h.press(ev)
	case input.Lift:
		taken = h.lift(ev)
	case input.Wheel:
		taken = h.wheel(ev)
	case input.Pinch:
		_, taken = h.under(ev.At)
	case input.Key:
		before := b.line.id
		taken = h.key(ev)
		b.fresh = prints(ev) && before == ""
	case input.Type:
		taken = h.typeText(ev, fresh)
	case input.Resize:
		b.Size, b.dirty = ev.Size, true
		if b.list.id != "" && !b.line.live {
			h.closeList()
		}
	case input.Tick:
		taken = h.tick()
	case input.Leave:
		b.hand = false
		if b.over.id != "" {
			b.over, b.dirty = spot{}, true
			b.wait(spot{}, 0)
		}
	}
	b.follow(h.scene)
	return h.acts, taken
}

// follow keeps the caret in the part of the text that is shown.
func (b *Board) follow(s *scene) {
	if p := b.editing(s); p != nil {
		room, size := b.lineRoom(p)
		b.line.from, _ = window(b.Ruler, b.line.text, b.line.from, b.line.seen(), size, room.W)
	}
}

// prints reports whether a key also types a letter.
func prints(ev input.Event) bool {
	switch ev.Name {
	case "Space", "Plus", "Minus", "Comma", "Period", "Slash":
		return !ev.Mods.Ctrl
	}
	return len(ev.Name) == 1 && !ev.Mods.Ctrl
}

func (h *taking) tick() bool {
	b, before := h.Board, h.dirty
	b.dirty = false
	if b.tipFor.id != "" && b.tip != b.tipFor && b.now-b.tipSince >= b.tipDelay {
		b.tip, b.dirty = b.tipFor, true
	}
	if b.line.live && b.caretShown() != b.line.lit {
		b.line.lit, b.dirty = b.caretShown(), true
	}
	changed := b.dirty
	b.dirty = changed || before
	return changed
}

func (b *Board) caretShown() bool {
	t := b.now - b.typed
	return t >= blinkFor || t/blink%2 == 0
}
