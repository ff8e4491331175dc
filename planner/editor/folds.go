package editor

import (
	"slices"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/widget"
)

// panel is how the value sheet stands: what hands did to it, and what it holds as it was built last.
type panel struct {
	folds map[string]bool // sections that hands opened or shut
	share float64         // of the room that the findings get, as hands pulled it; 0: as usual
	fault fault           // the fault whose line is shown
	told  told            // the plate whose findings are marked

	rows, cards         []widget.Item // not yet placed
	title, note         string
	cardsTitle          string
	rowsTall, cardsTall float64 // how high they are in all, with their titles
}

// fault is one of the faults of a document, counted from 1, for one state of it.
type fault struct{ n, number int }

// told is a plate that was clicked, for one state of the document.
type told struct {
	plate  string
	number int
}

// shutAtFirst are the sections that are rarely needed.
var shutAtFirst = map[string]bool{
	"controller": true, "air": true, "around": true, "tolerance": true, "targets": true, "kinds": true, "parts": true,
	"timing": true, "supply": true, "else": true,
}

// unfolded reports whether a section is open.
func (e *Editor) unfolded(section string) bool {
	if open, ok := e.panel.folds[section]; ok {
		return open
	}
	return !shutAtFirst[section]
}

// fold opens or shuts a section.
func (e *Editor) fold(section string, open bool) {
	if e.panel.folds == nil {
		e.panel.folds = map[string]bool{}
	}
	e.panel.folds[section], e.stale = open, true
}

// foldItem is the heading of a section.
func (e *Editor) foldItem(section, label, note string, open bool) widget.Item {
	return widget.Item{ID: "fold:" + section, Kind: widget.Fold, Label: label, Note: note, Chosen: open}
}

// Sizes of the panel, in points.
const (
	cardsHead  = 36   // border and title of the findings
	usualShare = 0.48 // of the height for the findings, where both want more than there is
	leastCards = 84.0
)

// cardsHeight is how much of a height the findings get: what hands gave them, or else what they need, but no more than their
// share while the values need theirs.
func (e *Editor) cardsHeight(room float64) float64 {
	p := &e.panel
	if p.cardsTall == 0 {
		return 0
	}
	want := min(p.cardsTall, max(usualShare*room, room-p.rowsTall))
	if p.share > 0 {
		want = p.share * room
	}
	return max(0, min(max(want, min(leastCards, room*0.3)), room-leastRoom))
}

// pullBorder gives the findings the room under a height, or what is usual when it is below 0.
func (e *Editor) pullBorder(y int) {
	at := e.places()
	room := at.rows.H + at.cards.H
	if e.stale = true; y < 0 || room <= 0 {
		e.panel.share = 0
		return
	}
	e.panel.share = min(1, max(0.01, (at.cards.Y+at.cards.H-float64(y))/room))
}

// fillSheet makes what stands in the sheet and sees how high it is. While the side view is dragged it keeps its place.
func (e *Editor) fillSheet() {
	p := &e.panel
	width := sheetWidth(e.size[0]) - 4 - 36
	p.rows, p.cards = nil, nil
	y := 0.0
	add := func(it widget.Item, least float64) {
		it.At = canvas.Rect{Y: y, W: width, H: max(least, e.board.Height(it, width))}
		y += it.At.H
		p.rows = append(p.rows, it)
	}
	var rows []row
	p.title, p.note, rows = e.sheetRows()
	shut := false
	for i, r := range rows {
		if r.section == "controller" && !shut { // at the end of the wishes, before what it would change
			e.addTry(add)
		}
		if r.section != "" {
			note, wrong := e.sectionNote(rows[i+1:])
			open := e.unfolded(r.section) || wrong
			shut = !open
			add(e.foldItem(r.section, r.label, note, open), rowH)
			continue
		}
		switch {
		case shut:
		case r.path == "":
			add(e.rowItem(r), 0)
		default:
			add(e.rowItem(r), rowH)
		}
	}
	if e.tool == Mounting && e.doc != nil {
		for _, it := range e.mountItems(0, y, width, "") {
			p.rows = append(p.rows, it)
			y = max(y, it.At.Y+it.At.H)
		}
	}
	for _, it := range e.listItems() {
		if add(it, rowH-2); it.Kind == widget.Button { // no wider than its words, and off what is under it
			at := &p.rows[len(p.rows)-1].At
			at.W, at.H = min(at.W, e.board.Width(it)), at.H-4
		}
	}
	rowsTall := y + 42
	y = 0
	var cards []widget.Item
	p.cardsTitle, cards = e.cards()
	for _, it := range cards {
		h := e.board.Height(it, width+6)
		it.At = canvas.Rect{Y: y, W: width + 6, H: h}
		y += h + 6
		p.cards = append(p.cards, it)
	}
	if _, held := e.gesture.(*sideDrag); held {
		return
	}
	p.rowsTall, p.cardsTall = rowsTall, 0
	if len(p.cards) > 0 {
		p.cardsTall = y + cardsHead + 4
	}
}

// addTry adds the button that tries a controller which reads four sensors at once.
func (e *Editor) addTry(add func(widget.Item, float64)) {
	if a, ok := named("what-if"); ok && a.enabled(e) {
		add(widget.Item{ID: "do:" + a.id, Kind: widget.Button, Label: a.name, Hint: a.help}, rowH-2)
		at := &e.panel.rows[len(e.panel.rows)-1].At
		at.W, at.H = min(at.W, e.board.Width(e.panel.rows[len(e.panel.rows)-1])), at.H-4
	}
}

// sectionNote says how many of a section's values are written in the layout, and whether one typed there was refused.
func (e *Editor) sectionNote(rows []row) (note string, wrong bool) {
	n, written := 0, 0
	for _, r := range rows {
		if r.section != "" {
			break
		}
		n++
		if e.doc.Root().Has(r.path) {
			written++
		}
		if _, bad := e.wrong[r.path]; bad {
			wrong = true
		}
	}
	return words.writtenOf(written, n), wrong
}

// placed moves items made at the origin to a corner of the screen, into a Scroll.
func placed(items []widget.Item, x, y float64, in string) []widget.Item {
	out := make([]widget.Item, len(items))
	for i, it := range items {
		it.At.X, it.At.Y, it.In = it.At.X+x, it.At.Y+y, in
		out[i] = it
	}
	return out
}

// differs reports whether the chosen sensors differ in a value.
func (e *Editor) differs(path string) bool {
	paths := e.alike(path)
	if len(paths) < 2 {
		return false
	}
	rule, _ := ruleOf(path)
	for _, p := range paths {
		if e.valueAt(p, rule.Default) != e.valueAt(paths[0], rule.Default) {
			return true
		}
	}
	return false
}

// allHave reports whether a key is written for all chosen sensors.
func (e *Editor) allHave(path string) bool {
	return !slices.ContainsFunc(e.alike(path), func(p string) bool { return !e.doc.Root().Has(p) })
}

// valueAt is the value at a path as the file says it, or else what is assumed.
func (e *Editor) valueAt(path, assumed string) string {
	if !e.doc.Root().Has(path) {
		return assumed
	}
	return strings.TrimSpace(written(e.doc, path))
}
