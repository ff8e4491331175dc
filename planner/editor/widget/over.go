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
		note := draw.Quiet
		if hot && !c.Disabled { // on its darker ground
			note = draw.Text
		}
		if c.Keys != "" {
			in.W -= p.text(c.Keys, canvas.Rect{X: in.X + in.W/2, Y: in.Y, W: in.W / 2, H: in.H}, small, note, false, right) + gap
		}
		all := in
		if c.Figures != "" {
			at := canvas.Rect{X: in.X + in.W*0.3, Y: in.Y, W: in.W * 0.7, H: in.H}
			if l.high == notedHigh {
				at.Y, at.H = in.Y+4, 18
			}
			in.W -= p.text(c.Figures, at, small, ink, false, right) + gap
		}
		switch {
		case c.Note != "" && l.high == notedHigh:
			p.text(c.Label, canvas.Rect{X: in.X, Y: in.Y + 4, W: in.W, H: 18}, worth, ink, false, left)
			p.text(c.Note, canvas.Rect{X: in.X, Y: in.Y + 22, W: all.W, H: 15}, small, note, false, left)
		case c.Note != "":
			w := p.text(c.Label, in, worth, ink, false, left) + pad
			p.text(c.Note, canvas.Rect{X: in.X + w, Y: in.Y, W: in.W - w, H: in.H}, small, note, false, left)
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

// Sizes of a tip: as wide as it grows and as narrow as it is worth being, how far it stands off, and the room round its text.
const (
	tipWide  = 280.0
	tipLeast = 80.0
	tipGap   = 6.0
	tipPadX  = 10.0
	tipPadY  = 6.0
)

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
	at, lines := b.placeTip(s, q, text)
	if len(lines) == 0 {
		return nil
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

// tipWays are the sides on which a tip may stand, in the order they are tried: beside a field, so that the fields over and
// under it stay in sight, under what stands in a line with others.
func tipWays(k Kind) [4]canvas.Point {
	switch k {
	case Icon:
		return [4]canvas.Point{{1, 0}, {-1, 0}, {0, -1}, {0, 1}}
	case Field, Pick, Toggle, Row, Fold, Border, Card, Label, Title, Scroll:
		return [4]canvas.Point{{-1, 0}, {1, 0}, {0, -1}, {0, 1}}
	}
	return [4]canvas.Point{{0, 1}, {0, -1}, {-1, 0}, {1, 0}}
}

// placeTip is where the tip of a part stands, and its lines: in the window, and neither over the part nor over the field
// that is being typed in. Where no side has room for all, the lines that find room on the best; none when there is none.
func (b *Board) placeTip(s *scene, q *part, text string) (best canvas.Rect, lines []string) {
	from := q.shown()
	typing := canvas.Rect{}
	if e := b.editing(s); e != nil {
		typing = e.shown()
	}
	window := canvas.Rect{W: b.Size[0], H: b.Size[1]}
	if window.W <= 0 || window.H <= 0 {
		window = everywhere
	}
	window = window.Inset(4)
	ways := tipWays(q.it.Kind)
	if q.it.Kind == Label && from.W > tipWide { // a line across the window, not one of a sheet's
		ways = tipWays(Plate)
	}
	for _, way := range ways {
		room := window
		switch {
		case way[0] < 0:
			room.W = from.X - tipGap - room.X
		case way[0] > 0:
			room.X, room.W = from.X+from.W+tipGap, room.X+room.W-from.X-from.W-tipGap
		case way[1] < 0:
			room.H = from.Y - tipGap - room.Y
		default:
			room.Y, room.H = from.Y+from.H+tipGap, room.Y+room.H-from.Y-from.H-tipGap
		}
		all := typeset.Wrap(b.Ruler, text, plain, false, math.Min(tipWide, room.W-2*tipPadX))
		if room.W < tipLeast {
			continue
		}
		all = all[:min(len(all), 20)]
		n := min(len(all), int((room.H-2*tipPadY)/lineStep(plain)))
		if n <= len(lines) {
			continue
		}
		w := 0.0
		for _, l := range all[:n] {
			w = math.Max(w, b.Ruler.Width(l, plain, false))
		}
		at := canvas.Rect{W: math.Min(math.Ceil(w)+2*tipPadX, room.W), H: float64(n)*lineStep(plain) + 2*tipPadY}
		switch {
		case way[0] != 0:
			at.X, at.Y = room.X, from.Y+(from.H-at.H)/2
			if way[0] < 0 {
				at.X = room.X + room.W - at.W
			}
		default:
			at.X, at.Y = from.X, room.Y
			if way[1] < 0 {
				at.Y = room.Y + room.H - at.H
			}
		}
		at.X = math.Max(room.X, math.Min(at.X, room.X+room.W-at.W))
		at.Y = math.Max(room.Y, math.Min(at.Y, room.Y+room.H-at.H))
		if typing.W > 0 && at.Inset(-1).Meets(typing) {
			continue
		}
		best, lines = at, all[:n]
		if n == len(all) {
			break
		}
	}
	return best, lines
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
