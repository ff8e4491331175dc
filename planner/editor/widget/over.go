package widget

import (
	"math"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

func (b *Board) dialog(p *pen, it *Item, at canvas.Rect) {
	p.fill(at, corner, draw.Plate, 1)
	p.edge(at, corner, draw.Quiet, 1, false)
	w := at.W - 4*gap
	p.text(it.Label, within(canvas.Rect{X: at.X + 2*gap, Y: at.Y, W: w, H: headHigh}, at), large, draw.Text, true, left)
	foot := 0.0
	if len(it.Choices) > 0 {
		foot = footHigh
	}
	p.lines(it.Text, canvas.Rect{X: at.X + 2*gap, Y: at.Y + headHigh, W: w, H: at.H - headHigh - foot}, plain, it.ink(draw.Text, false), false, left)
}

func (b *Board) search(p *pen, s *scene, q *part) {
	it, at := q.it, q.at
	b.dialog(p, &Item{Label: it.Label}, at)
	box := within(searchBox(at), at)
	p.fill(box, corner, draw.Paper, 1)
	p.ring(box)
	room := it.textRoom(box)
	typing := b.editing(s)
	if typing == nil || typing.spot != q.spot {
		p.text(it.Value, room, worth, draw.Text, false, left)
		return
	}
	if b.line.text == "" && b.line.compose == "" {
		p.text(it.Text, room, worth, draw.Quiet, false, left)
	}
	b.typedLine(p, room, worth)
	if l := b.rows(s); l != nil && len(l.of) == 0 {
		p.text(it.Wrong, canvas.Rect{X: room.X, Y: l.view.Y, W: room.W, H: math.Min(entryHigh, l.view.H)}, plain, draw.Quiet, false, left)
	}
}

// drawRows draws those rows of an open list that are seen.
func (b *Board) drawRows(p *pen, l *rows) {
	for n, i := range l.of {
		at := l.row(n)
		if !at.Meets(l.view) {
			continue
		}
		c := &l.p.it.Choices[i]
		hot := n == b.list.hot
		if c.Rule && n > 0 && l.p.it.Kind != Search {
			p.line(canvas.Point{at.X + gap, math.Round(at.Y) + 0.5}, canvas.Point{at.X + at.W - gap, math.Round(at.Y) + 0.5}, draw.Line, 1)
		}
		ink := draw.Text
		switch {
		case c.Disabled:
			ink = draw.Quiet
		case hot:
			p.fill(at.Inset(1), 6, draw.Chosen, 0.16)
			p.edge(at.Inset(1), 6, draw.Chosen, 1, false)
		}
		if l.mark > 0 && (c.Ticked || l.p.it.Kind == Pick && i == l.p.it.Index) {
			p.mark(Tick, canvas.Rect{X: at.X + 8, Y: at.Y + (at.H-12)/2, W: 12, H: 12}, ink)
		}
		in := canvas.Rect{X: at.X + pad + l.mark, Y: at.Y, W: at.W - 2*pad - l.mark, H: at.H}
		if l.mark > 0 {
			in.X, in.W = in.X-2, in.W+2
		}
		if c.Keys != "" {
			in.W -= p.text(c.Keys, canvas.Rect{X: in.X + in.W/2, Y: in.Y, W: in.W / 2, H: in.H}, small, draw.Quiet, false, right) + gap
		}
		switch {
		case c.Note != "" && l.high == notedHigh:
			p.text(c.Label, canvas.Rect{X: in.X, Y: in.Y + 4, W: in.W, H: 18}, worth, ink, false, left)
			p.text(c.Note, canvas.Rect{X: in.X, Y: in.Y + 22, W: in.W, H: 15}, small, draw.Quiet, false, left)
		case c.Note != "":
			w := p.text(c.Label, in, worth, ink, false, left) + pad
			p.text(c.Note, canvas.Rect{X: in.X + w, Y: in.Y, W: in.W - w, H: in.H}, small, draw.Quiet, false, left)
		default:
			p.text(c.Label, in, worth, ink, false, left)
		}
	}
	if all := float64(len(l.of)) * l.high; all > l.view.H && l.view.H > 0 {
		h := math.Max(leastHit, l.view.H*l.view.H/all)
		y := l.off / (all - l.view.H) * (l.view.H - h)
		p.fill(canvas.Rect{X: l.view.X + l.view.W - 5, Y: l.view.Y + y, W: 4, H: h}, 2, draw.Quiet, 1)
	}
}

func (b *Board) drawThumb(p *pen, q *part) {
	thumb, _, ok := b.thumb(q)
	if !ok {
		return
	}
	ink := draw.Line
	if b.grab.kind == thumbing && b.grab.spot == q.spot || b.hand && thumb.Holds(b.at) {
		ink = draw.Quiet
	}
	p.fill(canvas.Rect{X: thumb.X + (barHit-barWide)/2, Y: thumb.Y + 2, W: barWide, H: thumb.H - 4}, barWide/2, ink, 1)
}

const tipWide = 280.0

// drawTip draws the tool tip, or else what is wrong with the field at hand when it has no room beneath; nil when
// there is neither.
func (b *Board) drawTip(s *scene, cut []string) *pen {
	ink, q := draw.Text, s.find(b.tip)
	text := ""
	if q != nil && b.list.id == "" {
		text = tipText(q, cut)
	}
	if text == "" {
		for _, at := range []spot{b.focus, b.over} {
			if w := s.find(at); w != nil && (w.it.Kind == Field || w.it.Kind == Pick) && w.it.Wrong != "" && b.list.id == "" {
				if c := w.it.cells(w.at); c.wrong.H < lineStep(small) {
					q, text, ink = w, w.it.Wrong, draw.Blind
					break
				}
			}
		}
	}
	if text == "" {
		return nil
	}
	wide := tipWide
	if b.Size[0] > 0 {
		wide = math.Max(60, math.Min(wide, b.Size[0]-2*gap-2*pad))
	}
	lines := typeset.Wrap(b.Ruler, text, plain, false, wide)
	lines = lines[:min(len(lines), 20)]
	w := 0.0
	for _, l := range lines {
		w = math.Max(w, b.Ruler.Width(l, plain, false))
	}
	at := canvas.Rect{W: math.Ceil(w) + 2*10, H: float64(len(lines))*lineStep(plain) + 2*6}
	from := q.shown()
	at.X, at.Y = from.X, from.Y+from.H+6
	if q.it.Kind == Icon { // beside it, so that the next ones down stay in sight
		at.X, at.Y = from.X+from.W+6, from.Y+(from.H-at.H)/2
	}
	if b.tip == b.over && (from.H > 60 || from.W > 2*tipWide) {
		at.X, at.Y = b.at[0]+12, b.at[1]+18
	}
	if b.Size[0] > 0 && b.Size[1] > 0 {
		at.X = math.Max(4, math.Min(at.X, b.Size[0]-4-at.W))
		if at.Y+at.H > b.Size[1]-4 {
			at.Y = from.Y - 6 - at.H
		}
		at.Y = math.Max(4, at.Y)
	}
	p := &pen{ruler: b.Ruler}
	p.fill(at, corner, draw.Plate, 1)
	edge := draw.Quiet
	if ink == draw.Blind {
		edge = draw.Blind
	}
	p.edge(at, corner, edge, 1, false)
	for i, l := range lines {
		p.text(l, canvas.Rect{X: at.X + 10, Y: at.Y + 6 + float64(i)*lineStep(plain), W: at.W - 19, H: lineStep(plain)}, plain, ink, false, left)
	}
	return p
}

// tipText is what the tip of a part says: an icon's name and key, what it is for, or what had to be shortened.
func tipText(q *part, cut []string) string {
	var say []string
	if q.it.Kind == Icon {
		name := q.it.Label
		if q.it.Keys != "" {
			name += "  " + q.it.Keys
		}
		say = append(say, name)
	}
	if q.sub > 0 {
		if n := q.it.Choices[q.sub-1].Note; n != "" {
			say = append(say, n)
		}
	} else if q.it.Hint != "" {
		say = append(say, q.it.Hint)
	}
	say = append(say, cut...)
	return strings.TrimSpace(strings.Join(say, "\n"))
}
