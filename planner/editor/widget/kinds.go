package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
)

// state is how a part stands.
type state struct{ hover, down, focus, off, open bool }

func (it *Item) ink(usual draw.Ink, off bool) draw.Ink {
	switch {
	case off:
		return draw.Quiet
	case it.Ink != "":
		return it.Ink
	}
	return usual
}

// wordInk is the ink a word is written in where its edge has that ink: those of lines and grounds are too pale to read.
func wordInk(ink draw.Ink) draw.Ink {
	switch ink {
	case draw.Line, draw.Grid, draw.Body, draw.Beam, draw.Deaf, draw.None:
		return draw.Quiet
	}
	return ink
}

// quiet is the ink of quiet text; under the pointer the ground is darker, and the text with it.
func quiet(look state) draw.Ink {
	if (look.hover || look.down) && !look.off {
		return draw.Text
	}
	return draw.Quiet
}

func (p *pen) ring(at canvas.Rect) { p.edge(at, corner, draw.Chosen, 2, false) }

func (p *pen) label(it *Item, at canvas.Rect, look state) {
	size, to := it.size(), left
	if it.Right {
		to = right
	}
	ink := it.ink(draw.Quiet, look.off)
	if look.focus {
		p.ring(at)
	}
	if at.H < 2*lineStep(size) {
		p.text(it.Label, at, size, ink, it.Bold, to)
		return
	}
	p.lines(it.Label, at, size, ink, it.Bold, to)
}

func (p *pen) title(it *Item, at canvas.Rect, look state) {
	if look.focus {
		p.ring(at)
	}
	note := 0.0
	if it.Note != "" {
		note = p.text(it.Note, canvas.Rect{X: at.X + at.W/2, Y: at.Y, W: at.W / 2, H: at.H}, plain, draw.Quiet, false, right) + gap
	}
	p.text(it.Label, canvas.Rect{X: at.X, Y: at.Y, W: at.W - note, H: at.H}, it.size(), it.ink(draw.Text, look.off), true, left)
}

func (p *pen) button(it *Item, at canvas.Rect, look state) {
	ink := it.ink(draw.Text, look.off)
	edge, fill := draw.Line, draw.Paper
	switch {
	case look.off:
		p.edge(at, corner, draw.Line, 1, true) // dashed: it does nothing now
	case it.Bold || it.Chosen:
		p.fill(at, corner, ink, 1)
		ink = draw.Paper
		if look.hover || look.down {
			p.edge(at, corner, draw.Chosen, 2, false)
		}
	default:
		if it.Ink != "" {
			edge = it.Ink
		}
		if look.down {
			fill = draw.Grid
		}
		if look.hover {
			edge = draw.Quiet
			if it.Ink != "" {
				edge = it.Ink
			}
		}
		p.fill(at, corner, fill, 1)
		p.edge(at, corner, edge, 1, false)
		if look.hover && it.Ink != "" {
			p.edge(at, corner, edge, 2, false)
		}
	}
	in := canvas.Rect{X: at.X + gap, Y: at.Y, W: at.W - 2*gap, H: at.H}
	if it.Mark != NoMark {
		m := canvas.Rect{X: in.X, Y: at.Y + (at.H-14)/2, W: 14, H: 14}
		if in.W < 14 {
			m = at.Inset(4)
		}
		p.mark(it.Mark, m, ink)
		in.X, in.W = in.X+20, in.W-20
	}
	if it.Keys != "" {
		keys := draw.Quiet
		if ink == draw.Paper {
			keys = draw.Paper
		}
		in.W -= p.text(it.Keys, canvas.Rect{X: in.X + in.W/2, Y: in.Y, W: in.W / 2, H: in.H}, small, keys, false, right) + gap
	}
	size := it.size()
	if it.Keys == "" && it.Mark == NoMark {
		p.text(it.Label, in, size, ink, it.Bold || it.Ink != "" && !look.off, middle)
	} else {
		p.text(it.Label, in, size, ink, it.Bold || it.Ink != "" && !look.off, left)
	}
	if look.focus {
		p.focus(at, it.Bold || it.Chosen)
	}
}

// focus shows that keys go here: a ring, and on a dark ground a second, light one inside it.
func (p *pen) focus(at canvas.Rect, dark bool) {
	p.ring(at)
	if dark {
		p.edge(at.Inset(2), corner-2, draw.Plate, 1, false)
	}
}

func (p *pen) icon(it *Item, at canvas.Rect, look state) {
	side := math.Min(at.W, at.H)
	sq := canvas.Rect{X: at.X, Y: at.Y, W: side, H: side}
	ink := it.ink(draw.Text, look.off)
	switch {
	case it.Chosen && !look.off:
		p.fill(sq, corner, ink, 1)
		ink = draw.Paper
	case look.off:
		p.edge(sq, corner, draw.Line, 1, true)
	default:
		fill, edge := draw.Paper, draw.Line
		if look.down {
			fill = draw.Grid
		}
		if look.hover {
			edge = draw.Quiet
		}
		p.fill(sq, corner, fill, 1)
		p.edge(sq, corner, edge, 1, false)
	}
	p.mark(it.Mark, sq.Inset(math.Max(2, side*0.23)), ink)
	if it.Keys != "" && at.W-side > 10 {
		p.text(it.Keys, canvas.Rect{X: at.X + side + 4, Y: at.Y, W: at.W - side - 4, H: side}, small, draw.Quiet, false, left)
	}
	if look.focus {
		p.focus(sq, it.Chosen)
	}
}

// frame draws the box of a field, and its label, note and what is wrong.
func (p *pen) frame(it *Item, c cells, look state, active bool) {
	fill, edge, width := draw.Paper, draw.Line, 1.0
	switch {
	case it.Wrong != "":
		edge, width = draw.Blind, 1.5
	case look.hover:
		edge = draw.Quiet
	}
	if look.off {
		p.edge(c.box, corner, draw.Line, 1, true)
	} else {
		p.fill(c.box, corner, fill, 1)
		p.edge(c.box, corner, edge, width, it.Wrong != "" && !active)
	}
	if active {
		if it.Wrong != "" {
			p.edge(c.box, corner, draw.Blind, 2, false)
		} else {
			p.ring(c.box)
		}
	}
	p.text(it.Label, c.label, plain, quiet(look), false, left)
	p.text(it.Note, c.note, small, wordInk(it.ink(quiet(look), look.off)), false, left)
	if it.Wrong != "" {
		p.lines(it.Wrong, c.wrong, small, draw.Blind, false, left)
	}
}

func (b *Board) field(p *pen, s *scene, q *part, look state) {
	it := q.it
	c := it.cells(q.at)
	e := b.editing(s)
	typing := e != nil && e.spot == q.spot
	p.frame(it, c, look, typing || look.focus)
	if it.Wrong != "" && c.box.W > 40 {
		p.mark(Warn, canvas.Rect{X: c.box.X + c.box.W - 20, Y: c.box.Y + (c.box.H-14)/2, W: 14, H: 14}, draw.Blind)
	}
	room := it.textRoom(c.box)
	if typing {
		b.typedLine(p, room, worth)
		return
	}
	ink := draw.Text
	if look.off {
		ink = draw.Quiet
	}
	if it.Value == "" {
		p.text(it.Text, room, worth, draw.Quiet, false, left)
		return
	}
	p.text(clean(it.Value), room, worth, ink, it.Bold, left)
}

// typedLine draws the text being typed with what is selected and the caret.
func (b *Board) typedLine(p *pen, room canvas.Rect, size float64) {
	if room.W <= 0 || room.H <= 0 {
		return
	}
	l := &b.line
	text, caret := l.text, l.seen()
	lo, hi := l.span()
	if l.compose != "" {
		text = l.text[:l.caret] + l.compose + l.text[l.caret:]
		lo, hi, caret = l.caret, l.caret, l.caret+len(l.compose)
	}
	from, to := window(b.Ruler, text, l.from, caret, size, room.W)
	x := func(at int) float64 {
		at = max(from, min(at, to))
		return room.X + b.Ruler.Width(text[from:at], size, false)
	}
	h := math.Min(room.H, size*1.4)
	y := room.Y + (room.H-h)/2
	if lo < hi && hi > from && lo < to {
		p.fill(canvas.Rect{X: x(lo), Y: y, W: x(hi) - x(lo), H: h}, 2, draw.Chosen, 0.25)
	}
	if b.caretShown() && lo == hi {
		cx := math.Min(math.Round(x(caret))+0.5, room.X+room.W)
		p.line(canvas.Point{cx, y}, canvas.Point{cx, y + h}, draw.Text, 1.5)
	}
	if l.compose != "" {
		base := baseline(room, size) + 2.5
		p.line(canvas.Point{x(caret - len(l.compose)), base}, canvas.Point{x(caret), base}, draw.Text, 1)
	}
	if from < to && room.H >= size {
		p.write(text[from:to], canvas.Point{room.X, baseline(room, size)}, size, draw.Text, false)
	}
}

func (p *pen) pick(it *Item, at canvas.Rect, look state) {
	c := it.cells(at)
	p.frame(it, c, look, look.focus || look.open)
	room := it.textRoom(c.box)
	ink, text := draw.Text, it.Value
	if it.Index >= 0 && it.Index < len(it.Choices) {
		text = it.Choices[it.Index].Label
	}
	if look.off {
		ink = draw.Quiet
	}
	if c.box.W > 32 {
		p.mark(Down, canvas.Rect{X: c.box.X + c.box.W - 19, Y: c.box.Y + (c.box.H-10)/2, W: 10, H: 10}, draw.Quiet)
	}
	if text == "" {
		text, ink = it.Text, draw.Quiet
	}
	p.text(text, room, worth, ink, it.Bold, left)
}

func (p *pen) toggle(it *Item, at canvas.Rect, look state) {
	sq := canvas.Rect{X: at.X + 1, Y: at.Y + (at.H-16)/2, W: 16, H: 16}
	switch {
	case it.Chosen && !look.off:
		p.fill(sq, 4, draw.Text, 1)
		p.mark(Tick, sq.Inset(2), draw.Paper)
	case it.Chosen:
		p.edge(sq, 4, draw.Quiet, 1, true)
		p.mark(Tick, sq.Inset(2), draw.Quiet)
	case look.off:
		p.edge(sq, 4, draw.Line, 1, true)
	default:
		p.fill(sq, 4, draw.Paper, 1)
		p.edge(sq, 4, draw.Quiet, 1, false)
	}
	if look.hover {
		p.edge(sq.Inset(-1), 5, draw.Quiet, 1, false)
	}
	in := canvas.Rect{X: at.X + 16 + gap, Y: at.Y, W: at.W - 16 - gap - 2, H: at.H}
	if it.Note != "" {
		in.W -= p.text(it.Note, canvas.Rect{X: in.X + in.W/2, Y: in.Y, W: in.W / 2, H: in.H}, small, draw.Quiet, false, right) + gap
	}
	p.text(it.Label, in, it.size(), it.ink(draw.Text, look.off), it.Bold, left)
	if look.focus {
		p.ring(at)
	}
}

// verdict is the coloured edge of a plate or card: full when met, half full when it wants a look, hatched when not met.
func (p *pen) verdict(r canvas.Rect, ink draw.Ink) {
	switch ink {
	case draw.Blind:
		p.bar(r, ink, true)
	case draw.Attention:
		p.bar(canvas.Rect{X: r.X, Y: r.Y, W: r.W, H: r.H / 2}, ink, false)
		p.edge(r, 2, ink, 1, false)
	case "", draw.Quiet:
		p.edge(r, 2, draw.Quiet, 1, false)
	default:
		p.bar(r, ink, false)
	}
}

// sheet is the ground of a plate or card.
func (p *pen) sheet(it *Item, at canvas.Rect, look state) {
	fill, edge, width := draw.Plate, draw.Line, 1.0
	if look.down {
		fill = draw.Grid
	}
	if look.hover {
		edge = draw.Quiet
	}
	if it.Chosen {
		edge, width = draw.Chosen, 1.5
	}
	p.fill(at, corner, fill, 1)
	p.edge(at, corner, edge, width, false)
	if look.focus {
		p.ring(at)
	}
}

func (p *pen) plate(it *Item, at canvas.Rect, look state) {
	p.sheet(it, at, look)
	ink := wordInk(it.ink(draw.Text, look.off))
	p.verdict(canvas.Rect{X: at.X + 5, Y: at.Y + 6, W: edgeWide, H: at.H - 12}, it.Ink)
	in := canvas.Rect{X: at.X + 16, Y: at.Y + 4, W: at.W - 16 - pad, H: (at.H - 8) / 2}
	lower := canvas.Rect{X: in.X, Y: in.Y + in.H, W: in.W, H: in.H}
	rest := func(r canvas.Rect, text string, size float64, ink draw.Ink, bold bool) canvas.Rect {
		if text == "" {
			return r
		}
		half := canvas.Rect{X: r.X + r.W*0.35, Y: r.Y, W: r.W * 0.65, H: r.H}
		r.W -= p.text(text, half, size, ink, bold, right) + gap
		return r
	}
	in = rest(in, it.Word, small, ink, true)
	p.text(it.Label, in, small, quiet(look), false, left)
	note := wordInk(it.ink(quiet(look), look.off))
	lower = rest(lower, it.Note, small, note, false)
	value := draw.Text
	if look.off {
		value = draw.Quiet
	}
	p.text(it.Value, lower, worth, value, true, left)
}

func (p *pen) row(it *Item, at canvas.Rect, look state) {
	if it.Chosen {
		p.fill(at, 6, draw.Chosen, 0.16)
		p.bar(canvas.Rect{X: at.X + 2, Y: at.Y + 4, W: 3, H: at.H - 8}, draw.Chosen, false)
	} else if look.hover || look.down {
		p.fill(at, 6, draw.Grid, 1)
	}
	in := canvas.Rect{X: at.X + gap, Y: at.Y, W: at.W - 2*gap, H: at.H}
	ink := draw.Text
	if look.off {
		ink = draw.Quiet
	}
	if it.Mark != NoMark {
		p.mark(it.Mark, canvas.Rect{X: in.X, Y: at.Y + (at.H-14)/2, W: 14, H: 14}, it.ink(draw.Text, look.off))
		in.X, in.W = in.X+20, in.W-20
	}
	if it.Note != "" {
		in.W -= p.text(it.Note, canvas.Rect{X: in.X + in.W*0.5, Y: in.Y, W: in.W * 0.5, H: in.H}, small, quiet(look), false, right) + gap
	}
	if it.Word != "" {
		in.W -= p.text(it.Word, canvas.Rect{X: in.X + in.W*0.5, Y: in.Y, W: in.W * 0.5, H: in.H}, small, wordInk(it.ink(draw.Text, look.off)), true, right) + gap
	}
	p.text(it.Label, in, it.size(), ink, it.Bold || it.Chosen, left)
	if look.focus {
		p.ring(at)
	}
}

// foldHead is the heading of what can be folded away: a corner that points down while it is open.
func (p *pen) foldHead(it *Item, at canvas.Rect, look state) {
	if look.hover || look.down {
		p.fill(at, 6, draw.Grid, 1)
	}
	mark := Onward
	if it.Chosen {
		mark = Down
	}
	p.mark(mark, canvas.Rect{X: at.X, Y: at.Y + (at.H-12)/2, W: 12, H: 12}, it.ink(draw.Text, look.off))
	in := canvas.Rect{X: at.X + 18, Y: at.Y, W: at.W - 18 - 4, H: at.H}
	if it.Note != "" {
		in.W -= p.text(it.Note, canvas.Rect{X: in.X + in.W*0.4, Y: in.Y, W: in.W * 0.6, H: in.H}, small, quiet(look), false, right) + gap
	}
	p.text(it.Label, in, it.size(), it.ink(draw.Text, look.off), true, left)
	if look.focus {
		p.ring(at)
	}
}

// border is a line with a grip in its middle.
func (p *pen) border(at canvas.Rect, look state) {
	ink, grip := draw.Line, draw.Quiet
	if look.hover || look.down || look.focus {
		ink, grip = draw.Quiet, draw.Text
	}
	y := math.Floor(at.Y+at.H/2) + 0.5
	p.line(canvas.Point{at.X, y}, canvas.Point{at.X + at.W, y}, ink, 1)
	p.fill(canvas.Rect{X: at.X + at.W/2 - 14, Y: y - 2.5, W: math.Min(28, at.W), H: 5}, 2.5, grip, 1)
	if look.focus {
		p.ring(at)
	}
}

func (p *pen) menu(it *Item, at canvas.Rect, look state) {
	if look.open {
		p.fill(at, corner, draw.Grid, 1)
		p.edge(at, corner, draw.Quiet, 1, false)
	} else if look.hover {
		p.edge(at, corner, draw.Line, 1, false)
	}
	p.text(it.Label, canvas.Rect{X: at.X + 4, Y: at.Y, W: at.W - 8, H: at.H}, it.size(), it.ink(draw.Text, look.off), it.Bold, middle)
	if look.focus {
		p.ring(at)
	}
}

func (b *Board) card(p *pen, it *Item, at canvas.Rect, look state) {
	p.sheet(it, at, look)
	p.verdict(canvas.Rect{X: at.X + 5, Y: at.Y + 6, W: edgeWide, H: at.H - 12}, it.Ink)
	in := canvas.Rect{X: at.X + cardLeft, Y: at.Y + 8, W: at.W - cardLeft - pad, H: at.H - 16}
	ways := b.ways(it, at)
	if len(ways) > 0 {
		in.H = math.Min(in.H, ways[0].Y-in.Y)
	}
	in.H = math.Min(in.H, b.cardHead(it, in.W))
	b.drawCardHead(p, it, in, look)
	foot := at.Y + at.H - 10
	if len(ways) > 0 {
		last := ways[len(ways)-1]
		p.text(it.Note, canvas.Rect{X: last.X + last.W + gap, Y: last.Y, W: at.X + at.W - pad - last.X - last.W - gap, H: last.H}, small, quiet(look), false, left)
		foot = last.Y - 6
	} else if it.Note != "" {
		h := lineStep(small)
		p.text(it.Note, canvas.Rect{X: in.X, Y: foot - h, W: in.W, H: h}, small, quiet(look), false, left)
		foot -= h + 2
	}
	y := in.Y + in.H + 2
	p.lines(it.Text, canvas.Rect{X: in.X, Y: y, W: in.W, H: foot - y}, plain, quiet(look), false, left)
}

// cardHead is how high the first lines of a card are: its word beside its label, or over it when they have no room
// side by side.
func (b *Board) cardHead(it *Item, width float64) float64 {
	bold := it.Word == ""
	if b.cardBeside(it, width) {
		return lineStep(plain)
	}
	h := float64(len(typeset.Wrap(b.Ruler, it.Label, plain, bold, width))) * lineStep(plain)
	if !bold {
		h += lineStep(plain)
	}
	return h
}

// cardBeside reports whether word and label stand in one line.
func (b *Board) cardBeside(it *Item, width float64) bool {
	w := b.Ruler.Width(it.Label, plain, it.Word == "")
	if it.Word != "" {
		w += b.Ruler.Width(it.Word, plain, true) + gap
	}
	return w <= width
}

func (b *Board) drawCardHead(p *pen, it *Item, in canvas.Rect, look state) {
	step := lineStep(plain)
	if it.Word != "" {
		w := p.text(it.Word, canvas.Rect{X: in.X, Y: in.Y, W: in.W, H: math.Min(in.H, step)}, plain, wordInk(it.ink(draw.Text, look.off)), true, left)
		if b.cardBeside(it, in.W) {
			in.X, in.W = in.X+w+gap, in.W-w-gap
		} else {
			in.Y, in.H = in.Y+step, in.H-step
		}
	}
	p.lines(it.Label, in, plain, draw.Text, it.Word == "", left)
}
