package widget

import (
	"math"

	"echowright/planner/editor/canvas"
)

// spot is an item or one of its buttons, counted from 1.
type spot struct {
	id  string
	sub int
}

// part is a spot with the place where it is shown.
type part struct {
	spot
	it    *Item
	at    canvas.Rect // moved by what was scrolled
	clip  canvas.Rect // the part of the window it can be seen in
	cover int         // the modal item it belongs to, by number; -1 the board below
	in    int         // the Scroll it is directly or indirectly in, by number; -1 none
}

// off reports whether it does not answer.
func (p *part) off() bool {
	return p.it.Disabled || p.sub > 0 && p.it.Choices[p.sub-1].Disabled
}

// scene is the items as they stand now.
type scene struct {
	items []Item
	parts []part
	first []int // the part of each item
	cover int   // the modal item on top, by number; -1 none
}

var everywhere = canvas.Rect{X: -1e6, Y: -1e6, W: 2e6, H: 2e6}

// see places the items. An ID that stands twice belongs to the first.
func (b *Board) see(items []Item) *scene {
	s := &scene{items: items, parts: make([]part, 0, len(items)+8), first: make([]int, len(items)), cover: -1}
	num := make(map[string]int, len(items))
	for i := range items {
		if _, ok := num[items[i].ID]; !ok && items[i].ID != "" {
			num[items[i].ID] = i
		}
		if k := items[i].Kind; k == Dialog || k == Search {
			s.cover = i
		}
	}
	for i := range items {
		it := &items[i]
		p := part{spot: spot{id: it.ID}, it: it, at: it.At, clip: everywhere, cover: -1, in: -1}
		if it.Kind == Dialog || it.Kind == Search {
			p.cover = i
		}
		up := it.In
		for range 8 { // deeper nesting is a ring
			j, ok := num[up]
			if up == "" || !ok || j == i || p.cover == i {
				break
			}
			switch o := &items[j]; o.Kind {
			case Scroll:
				if p.in < 0 {
					p.in = j
				}
				p.at.Y -= b.offset(o)
				// What the outer one cuts is where this one stands after the outer one's own shift.
				p.clip = within(b.shifted(p.clip, o), o.At)
			case Dialog:
				p.cover = j
				p.clip = within(p.clip, o.At)
			}
			if p.cover == j {
				break
			}
			up = items[j].In
		}
		s.first[i] = len(s.parts)
		s.parts = append(s.parts, p)
		if it.Kind == Card || it.Kind == Dialog {
			for n, at := range b.ways(it, p.at) {
				q := p
				q.sub, q.at = n+1, at
				s.parts = append(s.parts, q)
			}
		}
	}
	return s
}

// shifted moves a clip that is not everywhere by what a Scroll around it has scrolled.
func (b *Board) shifted(clip canvas.Rect, by *Item) canvas.Rect {
	if clip != everywhere {
		clip.Y -= b.offset(by)
	}
	return clip
}

// offset is how far a Scroll is scrolled, never beyond its content.
func (b *Board) offset(it *Item) float64 {
	return math.Max(0, math.Min(b.offs[it.ID], it.Tall-it.At.H))
}

// find is the part at a spot, nil when there is none.
func (s *scene) find(at spot) *part {
	if at.id == "" {
		return nil
	}
	for i := range s.parts {
		if s.parts[i].spot == at {
			return &s.parts[i]
		}
	}
	return nil
}

// takesFocus reports whether the keys can go to a part.
func (s *scene) takesFocus(p *part) bool {
	if p.off() || p.id == "" || p.cover != s.cover {
		return false
	}
	if p.sub > 0 {
		return true
	}
	switch p.it.Kind {
	case Button, Icon, Field, Pick, Toggle, Plate, Row, Fold, Border, Menu, Card, Search:
		return true
	case Label, Title:
		return p.it.Hint != "" // so that what it explains is reached without pointing
	case Scroll:
		if p.it.Tall <= p.it.At.H {
			return false
		}
		for i := range s.parts {
			if q := &s.parts[i]; q.in >= 0 && &s.items[q.in] == p.it && s.takesFocus(q) {
				return false
			}
		}
		return true
	}
	return false
}

// answers reports whether a part does something when pressed.
func (p *part) answers() bool {
	if p.off() {
		return false
	}
	switch p.it.Kind {
	case Button, Icon, Field, Pick, Toggle, Plate, Row, Fold, Border, Menu, Card, Search:
		return true
	case Dialog:
		return p.sub > 0
	}
	return false
}

// shown is the part of the window a part is seen in.
func (p *part) shown() canvas.Rect { return within(p.at, p.clip) }

// under finds what lies under a point: what is nearest to the eye of what is truly there, else what a finger might have
// meant, and whether anything of the board is there at all.
func (s *scene) under(q canvas.Point) (hit *part, solid bool) {
	solid = s.cover >= 0
	for i := len(s.parts) - 1; i >= 0; i-- {
		p := &s.parts[i]
		if p.cover != s.cover || !p.shown().Holds(q) {
			continue
		}
		switch k := p.it.Kind; {
		case p.answers(), p.it.Hint != "":
			if hit == nil {
				hit = p
			}
			solid = solid || k != Label && k != Title
		case k != Label && k != Title && k != Rule:
			solid = true
		}
	}
	if hit != nil {
		return hit, solid
	}
	best := math.Inf(1)
	for i := range s.parts {
		p := &s.parts[i]
		if p.cover != s.cover || !p.answers() {
			continue
		}
		shown := p.shown()
		if shown.W == 0 || shown.H == 0 {
			continue
		}
		dx, dy := math.Max(0, leastHit-shown.W)/2, math.Max(0, leastHit-shown.H)/2
		grown := canvas.Rect{X: shown.X - dx, Y: shown.Y - dy, W: shown.W + 2*dx, H: shown.H + 2*dy}
		if !within(grown, p.clip).Holds(q) {
			continue
		}
		m := shown.Middle()
		if d := math.Hypot(q[0]-m[0], q[1]-m[1]); d < best {
			best, hit = d, p
		}
	}
	return hit, solid || hit != nil
}

// scroller is the innermost Scroll under a point that has something to scroll, nil when there is none.
func (s *scene) scroller(q canvas.Point) *part {
	for i := len(s.parts) - 1; i >= 0; i-- {
		p := &s.parts[i]
		if p.it.Kind == Scroll && p.cover == s.cover && p.it.Tall > p.it.At.H && p.shown().Holds(q) {
			return p
		}
	}
	return nil
}

// thumb is the scroll bar's handle and the bar it runs in; ok is false when there is nothing to scroll.
func (b *Board) thumb(p *part) (thumb, bar canvas.Rect, ok bool) {
	h := p.at.H
	if p.it.Tall <= h || h <= 0 {
		return thumb, bar, false
	}
	bar = canvas.Rect{X: p.at.X + p.at.W - barHit, Y: p.at.Y, W: barHit, H: h}
	th := math.Min(h, math.Max(leastHit, h*h/p.it.Tall))
	y := b.offset(p.it) / (p.it.Tall - h) * (h - th)
	return canvas.Rect{X: bar.X, Y: bar.Y + y, W: barHit, H: th}, bar, true
}
