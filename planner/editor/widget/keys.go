package widget

import (
	"math"
	"strings"

	"echowright/planner/editor/input"
)

// key takes a key.
func (h *taking) key(ev input.Event) bool {
	b := h.Board
	if ev.Name == "F1" && ev.Mods.Shift && b.focus.id != "" {
		b.ShowTip()
		return true
	}
	shown := b.tip.id != "" && b.list.id == "" // over an open list no tip is drawn
	b.wait(spot{}, 0)
	if p := b.editing(h.scene); p != nil && b.list.id == "" || p != nil && p.it.Kind == Search {
		return h.lineKey(p, ev) || h.anyKey(ev, shown)
	}
	if l := b.rows(h.scene); l != nil {
		return h.listKey(l, ev)
	}
	if p := h.find(b.focus); p != nil && (b.ring || p.it.Kind == Row) && h.itemKey(p, ev) {
		b.ring, b.dirty = true, true
		return true
	}
	return h.anyKey(ev, shown)
}

// anyKey is for the keys that go round the board; a modal item lets no other through.
func (h *taking) anyKey(ev input.Event, tip bool) bool {
	b := h.Board
	switch ev.Name {
	case "Tab":
		if !ev.Mods.Ctrl && !ev.Mods.Alt {
			h.tab(ev.Mods.Shift)
			return true
		}
	case "F10":
		if h.scene.cover < 0 {
			for i := range h.parts {
				if p := &h.parts[i]; p.it.Kind == Menu && h.takesFocus(p) {
					h.setFocus(p.spot, true)
					return true
				}
			}
		}
	case "PageUp", "PageDown":
		if p := h.find(b.focus); p != nil && b.ring && p.in >= 0 {
			return h.page(&h.items[p.in], ev.Name)
		}
	case "Enter":
		if h.scene.cover >= 0 && !h.unchosen() {
			h.main(ev)
		}
	case "Left", "Up", "Right", "Down":
		if p := h.find(b.focus); h.unchosen() || p != nil && p.sub > 0 && p.it.Kind == Dialog {
			h.tab(ev.Name == "Left" || ev.Name == "Up")
			return true
		}
	case "Escape":
		switch {
		case tip && h.scene.cover < 0: // over a dialog one press closes both
			return true
		case h.scene.cover >= 0:
			h.act(Act{ID: h.items[h.scene.cover].ID, Do: Cancelled})
			return true
		case b.focus.id != "" && (b.ring || b.line.live):
			h.setFocus(spot{}, false)
			return true
		}
	}
	return h.scene.cover >= 0
}

// unchosen reports whether the Dialog on top opened by itself and no answer of it was chosen yet.
func (h *taking) unchosen() bool {
	return h.scene.cover >= 0 && h.items[h.scene.cover].Waits && h.focus.id == ""
}

// main presses the first button of the Dialog on top.
func (h *taking) main(ev input.Event) {
	it := &h.items[h.scene.cover]
	if it.Kind == Dialog && !it.Disabled && len(it.Choices) > 0 && !it.Choices[0].Disabled {
		h.act(Act{ID: it.ID, Do: Chosen, Value: it.Choices[0].value(), Mods: ev.Mods})
	}
}

// tab moves the focus on. Rows one after another, and menus, count as one: the arrows move among them.
func (h *taking) tab(back bool) {
	var ring []*part
	now := -1
	for i := range h.parts {
		p := &h.parts[i]
		if !h.takesFocus(p) {
			continue
		}
		if n := len(ring); n > 0 && p.it.Kind == ring[n-1].it.Kind && (p.it.Kind == Row || p.it.Kind == Menu) && p.it.In == ring[n-1].it.In {
			// The one that has the focus stands for its group, else the chosen one.
			if p.spot == h.focus {
				ring[n-1], now = p, n-1
			} else if p.it.Chosen && !ring[n-1].it.Chosen && ring[n-1].spot != h.focus {
				ring[n-1] = p
			}
			continue
		}
		if p.spot == h.focus {
			now = len(ring)
		}
		ring = append(ring, p)
	}
	if len(ring) == 0 {
		return
	}
	switch {
	case now < 0 && back:
		now = len(ring) - 1
	case now < 0:
		now = 0
	case back:
		now = (now + len(ring) - 1) % len(ring)
	default:
		now = (now + 1) % len(ring)
	}
	h.setFocus(ring[now].spot, true)
}

// page scrolls by nearly the height of a Scroll.
func (h *taking) page(it *Item, name string) bool {
	d := it.At.H - lineHigh
	if name == "PageUp" {
		d = -d
	}
	h.scroll(it, h.offset(it)+d)
	return true
}

// pullStep is how far an arrow pulls a Border, points.
const pullStep = 24

// itemKey takes a key for the item with the focus.
func (h *taking) itemKey(p *part, ev input.Event) bool {
	if ev.Mods.Alt || ev.Mods.Ctrl && p.it.Kind != Row {
		return false
	}
	switch ev.Name {
	case "Enter", "Space":
		if !p.answers() {
			return false
		}
		if p.it.Kind == Row && ev.Name == "Enter" {
			h.act(Act{ID: p.id, Do: Opened, Value: p.it.Value, Mods: ev.Mods})
			return true
		}
		h.activate(p, ev.Mods)
		return true
	case "Down", "Up":
		d := 1
		if ev.Name == "Up" {
			d = -1
		}
		switch p.it.Kind {
		case Row:
			return h.along(p, d, ev.Mods)
		case Menu, Pick:
			h.openList(p)
			if p.it.Kind == Menu {
				h.step(h.rows(h.scene), -1, 1)
			}
			return true
		case Border:
			h.act(Act{ID: p.id, Do: Pulled, Index: max(0, int(math.Round(p.at.Y))+d*pullStep)})
			return true
		case Scroll:
			h.scroll(p.it, h.offset(p.it)+float64(d)*lineHigh)
			return true
		}
	case "Left", "Right":
		d := 1
		if ev.Name == "Left" {
			d = -1
		}
		switch {
		case p.it.Kind == Menu:
			return h.along(p, d, ev.Mods)
		case p.it.Kind == Fold:
			if (d > 0) != p.it.Chosen {
				h.activate(p, ev.Mods)
			}
			return true
		}
	case "Home", "End":
		switch {
		case p.it.Kind == Row && ev.Name == "Home":
			return h.along(p, -len(h.parts), ev.Mods)
		case p.it.Kind == Row:
			return h.along(p, len(h.parts), ev.Mods)
		case p.it.Kind == Scroll && ev.Name == "Home":
			h.scroll(p.it, 0)
			return true
		case p.it.Kind == Scroll:
			h.scroll(p.it, p.it.Tall)
			return true
		}
	case "PageUp", "PageDown":
		if p.it.Kind == Scroll {
			return h.page(p.it, ev.Name)
		}
	}
	return false
}

// along moves the focus by d among rows or menus that belong together; at an end rows stay, menus go round.
func (h *taking) along(p *part, d int, mods input.Mods) bool {
	var same []*part
	now := 0
	for i := range h.parts {
		q := &h.parts[i]
		if q.it.Kind != p.it.Kind || q.it.In != p.it.In || !h.takesFocus(q) {
			continue
		}
		if q.spot == p.spot {
			now = len(same)
		}
		same = append(same, q)
	}
	if p.it.Kind == Menu {
		now = (now + d + len(same)) % len(same)
	} else {
		now = max(0, min(now+d, len(same)-1))
	}
	q := same[now]
	if q.spot == p.spot {
		return true
	}
	h.setFocus(q.spot, true)
	if q.it.Kind == Row {
		h.act(Act{ID: q.id, Do: Chosen, Value: q.it.Value, Mods: mods})
	}
	return true
}

// activate does what pressing a part does.
func (h *taking) activate(p *part, mods input.Mods) {
	h.dirty = true
	a := Act{ID: p.id, Do: Pressed, Mods: mods}
	switch {
	case p.sub > 0:
		a.Do, a.Index, a.Value = Chosen, p.sub-1, p.it.Choices[p.sub-1].value()
	case p.it.Kind == Row:
		a.Do, a.Value = Chosen, p.it.Value
	case p.it.Kind == Border:
		a.Do, a.Index = Pulled, -1
	case p.it.Kind == Toggle, p.it.Kind == Fold:
		a.Do = Toggled
		if !p.it.Chosen {
			a.Index = 1
		}
	case p.it.Kind == Menu, p.it.Kind == Pick:
		h.openList(p)
		if l := h.rows(h.scene); p.it.Kind == Menu {
			h.step(l, -1, 1)
		}
		return
	}
	h.act(a)
}

// listKey takes a key while a list is open; none goes elsewhere.
func (h *taking) listKey(l *rows, ev input.Event) bool {
	b := h.Board
	switch ev.Name {
	case "Down":
		h.step(l, b.list.hot, 1)
	case "Up":
		if b.list.hot < 0 {
			b.list.hot = len(l.of)
		}
		h.step(l, b.list.hot, -1)
	case "Home":
		h.step(l, -1, 1)
	case "End":
		h.step(l, len(l.of), -1)
	case "PageDown", "PageUp":
		n := max(1, int(l.view.H/l.high)-1)
		if ev.Name == "PageUp" {
			n = -n
		}
		n = max(0, min(b.list.hot+n, len(l.of)-1))
		if l.choice(n) != nil {
			h.warm(l, n)
		}
	case "Enter", "Space":
		if ev.Name == "Space" && b.list.typed != "" && b.now-b.list.since <= typeAhead {
			break // a space within what is being typed to find a choice
		}
		h.choose(l, b.list.hot, Act{Mods: ev.Mods})
	case "Left", "Right":
		if l.p.it.Kind != Menu {
			break
		}
		d := 1
		if ev.Name == "Left" {
			d = -1
		}
		h.setFocus(l.p.spot, true)
		h.closeList()
		h.along(l.p, d, ev.Mods)
		if p := h.find(b.focus); p != nil && p.it.Kind == Menu {
			h.activate(p, ev.Mods)
		}
	case "Tab":
		h.closeList()
		h.tab(ev.Mods.Shift)
	case "Escape", "F10":
		h.closeList()
	}
	return true
}

// lineKey takes a key while text is typed.
func (h *taking) lineKey(p *part, ev input.Event) bool {
	b, l := h.Board, &h.line
	before := l.text
	switch {
	case ev.Mods.Ctrl && ev.Name == "A":
		l.all()
	case ev.Mods.Ctrl && (ev.Name == "C" || ev.Name == "X"):
		if l.selected() == "" {
			return true
		}
		h.act(Act{ID: p.id, Do: Copy, Value: l.selected()})
		if ev.Name == "X" {
			l.put("", false)
		}
	case ev.Mods.Ctrl && ev.Name == "V":
		h.act(Act{ID: p.id, Do: Paste})
	case ev.Mods.Ctrl && (ev.Name == "Z" && ev.Mods.Shift || ev.Name == "Y"):
		if !l.redo() {
			return l.touched
		}
	case ev.Mods.Ctrl && ev.Name == "Z":
		if !l.undo() {
			return false // nothing typed is left to undo: the editor undoes its own
		}
	case ev.Name == "Left", ev.Name == "Right":
		l.move(h.aim(ev), ev.Mods.Shift)
	case ev.Name == "Up", ev.Name == "Down", ev.Name == "PageUp", ev.Name == "PageDown":
		if r := b.rows(h.scene); r != nil && p.it.Kind == Search {
			return h.listKey(r, ev)
		}
		return true
	case ev.Name == "Home":
		l.move(0, ev.Mods.Shift)
	case ev.Name == "End":
		l.move(len(l.text), ev.Mods.Shift)
	case ev.Name == "Backspace":
		to := l.left(l.caret)
		if ev.Mods.Ctrl {
			to = l.wordLeft(l.caret)
		}
		l.erase(to)
	case ev.Name == "Delete":
		to := l.right(l.caret)
		if ev.Mods.Ctrl {
			to = l.wordRight(l.caret)
		}
		l.erase(to)
	case ev.Name == "Enter":
		if p.it.Kind == Search {
			if r := b.rows(h.scene); r != nil {
				h.choose(r, b.list.hot, Act{Mods: ev.Mods})
			}
			return true
		}
		if !h.commit() && p.cover >= 0 {
			return false // a Dialog's main button
		}
		l.all()
	case ev.Name == "Escape":
		refused := p.it.Wrong != "" && p.cover < 0 // what is truly so comes back with the next items
		if p.it.Kind == Search || !l.touched && !refused {
			return false
		}
		l.text = l.base
		l.done()
		l.all()
		h.act(Act{ID: p.id, Do: Cancelled, Value: l.text})
	case ev.Name == "Tab":
		return false
	case ev.Mods.Ctrl || ev.Mods.Alt || strings.HasPrefix(ev.Name, "F") && len(ev.Name) > 1:
		// A shortcut of the editor's: what was typed counts before it acts.
		h.commit()
		return false
	default:
		return true // what it prints comes as text
	}
	b.typed, b.dirty = b.now, true
	if l.text != before && ev.Name != "Escape" {
		h.edited(p)
	}
	return true
}

// aim is where an arrow moves the caret.
func (h *taking) aim(ev input.Event) int {
	l := &h.line
	lo, hi := l.span()
	right := ev.Name == "Right"
	switch {
	case ev.Mods.Ctrl && right:
		return l.wordRight(l.caret)
	case ev.Mods.Ctrl:
		return l.wordLeft(l.caret)
	case lo != hi && !ev.Mods.Shift && right:
		return hi
	case lo != hi && !ev.Mods.Shift:
		return lo
	case right:
		return l.right(l.caret)
	}
	return l.left(l.caret)
}

// typeText takes letters.
func (h *taking) typeText(ev input.Event, fresh bool) bool {
	b := h.Board
	p := b.editing(h.scene)
	if p == nil {
		if l := b.rows(h.scene); l != nil {
			h.seek(l, clean(ev.Text))
			return true
		}
		return h.scene.cover >= 0
	}
	if fresh {
		return true // the letter of the shortcut that brought the focus here
	}
	b.line.compose = ""
	if b.line.put(ev.Text, true) {
		h.edited(p)
	}
	return true
}
