package widget

import (
	"math"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
)

// Sizes of text and of things, in points.
const (
	small  = 11.0
	plain  = 12.0
	worth  = 13.0 // values
	large  = 15.0
	corner = 8.0
	gap    = 8.0
	pad    = 12.0 // inside cards, dialogs and lists

	lineHigh   = 26.0 // fields, buttons
	leastHit   = 24.0
	entryHigh  = 28.0 // of a list
	notedHigh  = 42.0 // of a list whose choices have notes
	keysGap    = 24.0
	edgeWide   = 4.0
	barWide    = 6.0 // the scroll bar's thumb
	barHit     = 12.0
	buttonHigh = 30.0 // of a dialog's buttons
	headHigh   = 44.0 // a dialog's title
	footHigh   = 54.0 // a dialog's buttons with the room round them

	labelWide = 88.0
	noteWide  = 104.0
)

// How high a capital letter stands and how far a letter reaches below the line, parts of the size (the Go fonts' OS/2
// and hhea tables); used to set a line in the middle.
const (
	capital = 0.72265625
	below   = 0.2109375
)

// lineStep is from one baseline to the next.
func lineStep(size float64) float64 { return math.Ceil(size * 1.3) }

// Wrap is a text in as many lines as a width asks for.
func (b *Board) Wrap(text string, size, width float64) []string {
	return typeset.Wrap(b.Ruler, text, size, false, width)
}

// Height is how high an item ought to be for a width, so that all its text finds room.
func (b *Board) Height(it Item, width float64) float64 {
	lines := func(text string, size float64, bold bool, w float64) float64 {
		return float64(len(typeset.Wrap(b.Ruler, text, size, bold, w))) * lineStep(size)
	}
	switch it.Kind {
	case Rule:
		return 9
	case Label:
		size := it.size()
		return math.Max(lineStep(size), lines(it.Label, size, it.Bold, width)) + 4
	case Title:
		return 30
	case Icon:
		return 34
	case Field, Pick:
		if it.Wrong == "" {
			return lineHigh
		}
		at := canvas.Rect{W: width, H: lineHigh}
		wrong := it.cells(at).wrong
		return lineHigh + 2 + lines(it.Wrong, small, false, wrong.W) + 2
	case Plate:
		return 38
	case Border:
		return 11
	case Card:
		w := width - cardLeft - pad
		h := 8 + b.cardHead(&it, w)
		if it.Text != "" {
			h += 2 + lines(it.Text, plain, false, w)
		}
		if len(it.Choices) > 0 {
			h += 6 + lineHigh
		} else if it.Note != "" {
			h += 2 + lineStep(small)
		}
		return h + 10
	case Dialog:
		h := headHigh + footHigh
		if it.Text != "" {
			h += lines(it.Text, plain, false, width-4*gap) + gap
		}
		return h
	case Search:
		return searchHead + 10*entryHigh + gap
	}
	return lineHigh
}

// Width is how wide an item's text makes it: of a Button, a Menu, a Toggle, a Title, a Label in one line.
func (b *Board) Width(it Item) float64 {
	w := b.Ruler.Width(it.Label, it.size(), it.bold())
	switch it.Kind {
	case Button:
		w += 2 * pad
		if it.Mark != NoMark {
			w += 14 + 6
		}
		if it.Keys != "" {
			w += gap + b.Ruler.Width(it.Keys, small, false)
		}
	case Menu:
		w += 2 * pad
	case Toggle:
		w += 16 + gap
	case Fold:
		w += 22
		if it.Note != "" {
			w += gap + b.Ruler.Width(it.Note, small, false)
		}
	case Border:
		return 28
	case Icon:
		w = 34
		if it.Keys != "" {
			w += 6 + b.Ruler.Width(it.Keys, small, false)
		}
	case Title:
		if it.Note != "" {
			w += 2*gap + b.Ruler.Width(it.Note, plain, false)
		}
	}
	return math.Ceil(w)
}

// Inside is the room a Dialog leaves for the items In it.
func (b *Board) Inside(it Item) canvas.Rect {
	in := canvas.Rect{X: it.At.X + 2*gap, Y: it.At.Y + headHigh, W: it.At.W - 4*gap, H: it.At.H - headHigh - footHigh}
	if it.Text != "" {
		h := float64(len(typeset.Wrap(b.Ruler, it.Text, plain, false, in.W)))*lineStep(plain) + gap
		in.Y, in.H = in.Y+h, in.H-h
	}
	in.H = math.Max(0, in.H)
	return in
}

func (it *Item) size() float64 {
	switch {
	case it.Size > 0:
		return it.Size
	case it.Kind == Title:
		return large
	case it.Kind == Button, it.Kind == Menu:
		return worth
	}
	return plain
}

func (it *Item) bold() bool { return it.Bold || it.Kind == Title || it.Kind == Fold }

// cells are the parts of a Field or Pick.
type cells struct{ label, box, note, wrong canvas.Rect }

func (it *Item) cells(at canvas.Rect) cells {
	h := math.Min(at.H, lineHigh)
	wide := func(asked, usual float64, text string) float64 {
		if text == "" && asked == 0 {
			return 0
		}
		if asked > 0 {
			return asked
		}
		return usual
	}
	lw, nw := wide(it.LabelW, labelWide, it.Label), wide(it.NoteW, noteWide, it.Note)
	// The box keeps a third of the width: the note gives way first, then the label.
	least := math.Max(at.W/3, 1)
	if lw+nw+least > at.W {
		nw = math.Max(0, at.W-lw-least)
	}
	if lw+least > at.W {
		lw = math.Max(0, at.W-least)
	}
	c := cells{
		label: canvas.Rect{X: at.X, Y: at.Y, W: math.Max(0, lw-gap), H: h},
		box:   canvas.Rect{X: at.X + lw, Y: at.Y, W: at.W - lw - nw, H: h},
		note:  canvas.Rect{X: at.X + at.W - nw + gap, Y: at.Y, W: math.Max(0, nw-gap), H: h},
	}
	c.wrong = canvas.Rect{X: c.box.X, Y: at.Y + h + 2, W: at.X + at.W - c.box.X, H: math.Max(0, at.H-h-2)}
	return c
}

// textRoom is where the text of a Field's box stands.
func (it *Item) textRoom(box canvas.Rect) canvas.Rect {
	r := canvas.Rect{X: box.X + gap, Y: box.Y, W: box.W - 2*gap, H: box.H}
	if it.Wrong != "" || it.Kind == Pick {
		r.W -= 16
	}
	r.W = math.Max(r.W, 0)
	return r
}

const cardLeft = 16.0

// ways are where a Card's ways out stand, from the left, or a Dialog's buttons, the first one rightmost. Where they have
// no room together, the wider ones are cut to an equal share.
func (b *Board) ways(it *Item, at canvas.Rect) []canvas.Rect {
	n := len(it.Choices)
	if n == 0 {
		return nil
	}
	in := canvas.Rect{X: at.X + cardLeft, Y: at.Y + at.H - 10 - lineHigh, W: at.W - cardLeft - pad, H: lineHigh}
	if it.Kind == Dialog {
		in = canvas.Rect{X: at.X + 2*gap, Y: at.Y + at.H - 2*gap - buttonHigh, W: at.W - 4*gap, H: buttonHigh}
	}
	out := make([]canvas.Rect, n)
	sum := gap * float64(n-1)
	for i, c := range it.Choices {
		out[i] = in
		out[i].W = math.Ceil(b.Ruler.Width(c.Label, plain, it.Kind == Card || i == 0)) + 2*pad
		sum += out[i].W
	}
	share := math.Max(0, (in.W-gap*float64(n-1))/float64(n))
	x := in.X
	for i := range out {
		if sum > in.W {
			out[i].W = math.Min(out[i].W, share)
		}
		out[i].X = x
		if it.Kind == Dialog {
			out[i].X = 2*in.X + in.W - x - out[i].W
		}
		x += out[i].W + gap
		out[i] = within(out[i], at)
	}
	return out
}

// within is the part of r that lies in o; nothing has no size.
func within(r, o canvas.Rect) canvas.Rect {
	x0, y0 := math.Max(r.X, o.X), math.Max(r.Y, o.Y)
	x1, y1 := math.Min(r.X+r.W, o.X+o.W), math.Min(r.Y+r.H, o.Y+o.H)
	return canvas.Rect{X: x0, Y: y0, W: math.Max(0, x1-x0), H: math.Max(0, y1-y0)}
}
