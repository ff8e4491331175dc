package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// Layers draws the items: the board, what scrolls each cut to its room, dialogs over them, then the open list and
// the tool tip.
func (b *Board) Layers(items []Item) []canvas.Layer {
	s := b.see(items)
	b.follow(s)
	b.dirty = false
	var out []canvas.Layer
	var cut []string
	group := func(cover, in int, name string, clip canvas.Rect) {
		p := &pen{ruler: b.Ruler}
		if cover >= 0 && in < 0 {
			b.veil(p)
		}
		for i := range s.parts {
			q := &s.parts[i]
			if q.cover != cover || q.in != in || in >= 0 && !q.at.Meets(clip) {
				continue
			}
			p.cut, p.room = nil, q.at
			b.draw(p, s, q)
			if q.spot == b.tip {
				cut = p.cut
			}
		}
		if in >= 0 {
			p.room = canvas.Rect{}
			b.drawThumb(p, &s.parts[s.first[in]])
		}
		if len(p.shapes) > 0 {
			out = append(out, canvas.Layer{Name: name, Clip: clip, Shapes: p.shapes})
		}
	}
	for cover := -1; cover < len(items); cover++ {
		name := "board"
		if cover >= 0 {
			if k := items[cover].Kind; k != Dialog && k != Search {
				continue
			}
			name = "over " + items[cover].ID
		}
		group(cover, -1, name, canvas.Rect{})
		for i := range items {
			if q := &s.parts[s.first[i]]; items[i].Kind == Scroll && q.cover == cover {
				if clip := q.shown(); clip.W > 0 && clip.H > 0 {
					group(cover, i, "scroll "+items[i].ID, clip)
				}
			}
		}
	}
	if l := b.rows(s); l != nil {
		clip := within(l.view, l.p.clip)
		if l.p.it.Kind != Search {
			p := &pen{ruler: b.Ruler}
			p.fill(l.at, corner, draw.Plate, 1)
			p.edge(l.at, corner, draw.Quiet, 1, false)
			out = append(out, canvas.Layer{Name: "list", Shapes: p.shapes})
			clip = l.view // a Search's rows stand in it, a list hangs over all
		}
		p := &pen{ruler: b.Ruler}
		b.drawRows(p, l)
		out = append(out, canvas.Layer{Name: "list rows", Clip: clip, Shapes: p.shapes})
	}
	if p := b.drawTip(s, cut); p != nil {
		out = append(out, canvas.Layer{Name: "tip", Shapes: p.shapes})
	}
	return out
}

// veil puts what lies below further away.
func (b *Board) veil(p *pen) {
	w, h := b.Size[0], b.Size[1]
	if w <= 0 || h <= 0 {
		w, h = 16384, 16384
	}
	p.fill(canvas.Rect{W: w, H: h}, 0, draw.Paper, 0.6)
}

// draw draws a part.
func (b *Board) draw(p *pen, s *scene, q *part) {
	it, at := q.it, q.at
	look := state{
		hover: b.over == q.spot && !q.off(),
		down:  (b.grab.kind == press || b.grab.kind == pulling) && b.grab.spot == q.spot && b.over == q.spot,
		focus: b.focus == q.spot && b.ring,
		off:   q.off(),
		open:  b.list.id != "" && b.list.id == q.id && q.sub == 0,
	}
	if q.sub > 0 {
		c := it.Choices[q.sub-1]
		button := Item{Kind: Button, Label: c.Label, Keys: c.Keys, Bold: q.sub == 1 && it.Kind == Dialog, Size: plain}
		if it.Kind == Card {
			button.Ink, button.Bold = draw.Chosen, false
		}
		p.button(&button, at, look)
		return
	}
	switch it.Kind {
	case Sheet:
		p.fill(at, corner, draw.Plate, 1)
		p.edge(at, corner, draw.Line, 1, false)
	case Rule:
		y := math.Floor(at.Y+at.H/2) + 0.5
		p.line(canvas.Point{at.X, y}, canvas.Point{at.X + at.W, y}, draw.Line, 1)
	case Label:
		p.label(it, at, look)
	case Title:
		p.title(it, at, look)
	case Button:
		p.button(it, at, look)
	case Icon:
		p.icon(it, at, look)
	case Field:
		b.field(p, s, q, look)
	case Pick:
		p.pick(it, at, look)
	case Toggle:
		p.toggle(it, at, look)
	case Plate:
		p.plate(it, at, look)
	case Row:
		p.row(it, at, look)
	case Fold:
		p.foldHead(it, at, look)
	case Border:
		p.border(at, look)
	case Menu:
		p.menu(it, at, look)
	case Scroll:
		if look.focus {
			p.ring(at)
		}
	case Card:
		b.card(p, it, at, look)
	case Dialog:
		b.dialog(p, it, at)
	case Search:
		b.search(p, s, q)
	}
}

// Cursor is how the pointer looks over the board; ok is false when the board has no say.
func (b *Board) Cursor(items []Item) (look canvas.Cursor, ok bool) {
	switch b.grab.kind {
	case selecting:
		return canvas.Beam, true
	case pulling:
		return canvas.Move, true
	}
	s := b.see(items)
	if !b.hand {
		return canvas.Arrow, false
	}
	if l := b.rows(s); l != nil && l.at.Holds(b.at) {
		if l.choice(l.under(b.at)) != nil {
			return canvas.Hand, true
		}
		if l.p.it.Kind != Search {
			return canvas.Arrow, true
		}
	}
	p, solid := s.under(b.at)
	switch {
	case p == nil || !p.answers():
		return canvas.Arrow, solid
	case p.it.Kind == Search && !searchBox(p.at).Holds(b.at):
		return canvas.Arrow, true
	case p.it.Kind == Field, p.it.Kind == Search:
		return canvas.Beam, true
	case p.it.Kind == Border:
		return canvas.Move, true
	}
	return canvas.Hand, true
}

// FieldAt is where text is being typed, for the system's own input windows; the zero Rect when nowhere.
func (b *Board) FieldAt(items []Item) canvas.Rect {
	s := b.see(items)
	p := b.editing(s)
	if p == nil {
		return canvas.Rect{}
	}
	room, _ := b.lineRoom(p)
	return within(room, p.clip)
}
