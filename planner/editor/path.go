package editor

import (
	"slices"
	"strings"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
)

// pathDialog lets a file or folder be chosen where the system has no dialog for it: a name to type, and what the folder
// holds below. Typing narrows the list down; the arrows go along it from the name's field.
type pathDialog struct {
	wish   Wish     // what is done with the name
	folder string   // full path of the folder shown; "" until the machine has answered
	names  []string // what it holds, folders with a / behind
	value  string   // the name as typed
	filter string   // what was typed since the folder is shown
	hot    string   // the row chosen; "" when it is the name that counts
	turn   int      // counts what was put into the field by the editor: each is another field to the board
	wrong  string
	last   *listing // what was listed last: a folder may hold a hundred thousand names
}

// listing is what listed found for what was typed.
type listing struct {
	typed string
	rows  []string
	more  int
}

// Rows of the list.
const (
	pathRow  = "path:row:" // begins their IDs
	pathUp   = "../"
	pathMost = 200 // shown at once
	pathRowH = 24.0
)

// askPath asks for the name of a wish.
func (e *Editor) askPath(w Wish) {
	d := &pathDialog{wish: w}
	switch w.Kind {
	case SaveAs:
		d.value = baseName(w.Name)
	case TakeAway:
		d.value = w.Text
	}
	e.dialog, e.stale = d, true
	e.board.SetFocus(d.field(), e.screen())
	folder := ""
	if e.file != "" {
		folder = strings.TrimSuffix(e.file, baseName(e.file))
	}
	e.wish(Wish{Kind: List, Name: folder})
}

// waits reports whether a wish of a kind is one of this question's.
func (d *pathDialog) waits(k WishKind) bool {
	return k == List || k == d.wish.Kind || d.wish.Kind == Open && k == Read || d.wish.Kind == SaveAs && k == Save
}

func (d *pathDialog) field() string {
	if d.turn == 0 {
		return "path:name"
	}
	return "path:name" + strings.Repeat("'", d.turn)
}

// put writes a name into the field and gives it the keys.
func (d *pathDialog) put(e *Editor, name string) {
	d.value, d.turn, e.stale = name, 1+d.turn%2, true
	e.board.SetFocus(d.field(), e.screen())
}

// listed are the rows: the way up, folders, and the files that can be meant, of those that hold what was typed.
func (d *pathDialog) listed() (rows []string, more int) {
	typed := strings.ToLower(strings.TrimSpace(d.filter))
	if strings.ContainsAny(typed, `/\~`) { // the way to another folder
		typed = ""
	}
	if l := d.last; l != nil && l.typed == typed {
		return l.rows, l.more
	}
	for _, name := range d.names {
		low := strings.ToLower(name)
		if strings.Contains(low, typed) && (strings.HasSuffix(name, "/") || d.takes(low)) {
			rows = append(rows, name)
		}
	}
	if len(rows) > pathMost {
		more = len(rows) - pathMost
		rows = rows[:pathMost]
	}
	if typed == "" && d.folder != "" && folderAbove(d.folder) != "" {
		rows = slices.Insert(rows, 0, pathUp)
	}
	d.last = &listing{typed, rows, more}
	return rows, more
}

// takes reports whether a file can be meant, by its ending in small letters.
func (d *pathDialog) takes(name string) bool {
	ends := map[WishKind][]string{Open: {".yaml", ".yml", ".png", ".jpg", ".jpeg"}, SaveAs: {".yaml", ".yml"}}[d.wish.Kind]
	return slices.ContainsFunc(ends, func(end string) bool { return strings.HasSuffix(name, end) })
}

func (d *pathDialog) items(e *Editor) []widget.Item {
	dlg := widget.Item{ID: "path", Kind: widget.Dialog, At: e.dialogBox(560, 460), Label: words.pathTitle(d.wish.Kind), Choices: []widget.Choice{{Label: words.pathDo(d.wish.Kind), Value: "do"}, {Label: words.cancel, Value: "cancel"}}}
	in := e.board.Inside(dlg)
	x, y, w := in.X, in.Y, in.W
	items := []widget.Item{dlg}
	line := func(id, text, full string) {
		items = append(items, widget.Item{ID: id, In: "path", Kind: widget.Label, At: canvas.Rect{X: x, Y: y, W: w, H: 20}, Label: cutLeft(e.cfg.Ruler, text, w-4), Hint: full, Ink: "quiet"})
		y += 22
	}
	line("path:folder", words.pathFolder(d.folder), "")
	field := widget.Item{ID: d.field(), In: "path", Kind: widget.Field, Label: words.pathLabel(d.wish.Kind), Value: d.value, Wrong: d.wrong, Hint: words.pathHint, LabelW: 60}
	field.At = canvas.Rect{X: x, Y: y, W: w, H: max(rowH+2, e.board.Height(field, w))}
	items = append(items, field)
	y += field.At.H + 4
	if d.wish.Kind == TakeAway && d.folder != "" {
		line("path:what", words.pathWrites(len(d.wish.Files), inFolder(d.folder, d.value)), "")
	}
	rows, more := d.listed()
	scroll := widget.Item{ID: "path:list", In: "path", Kind: widget.Scroll, At: canvas.Rect{X: x, Y: y, W: w, H: max(0, in.Y+in.H-y)}, Tall: pathRowH * float64(len(rows))}
	if more > 0 || len(rows) == 0 {
		scroll.Tall += pathRowH
	}
	items = append(items, scroll)
	for _, name := range rows {
		it := widget.Item{ID: pathRow + name, In: "path:list", Kind: widget.Row, At: canvas.Rect{X: x, Y: y, W: w - 14, H: pathRowH}, Label: strings.TrimSuffix(name, "/"), Value: name, Chosen: name == d.hot}
		switch {
		case name == pathUp:
			it.Label, it.Note = words.pathUp, cutLeft(e.cfg.Ruler, folderAbove(d.folder), w/3)
		case strings.HasSuffix(name, "/"):
			it.Label, it.Note = name, words.pathIsFolder
		case !(&pathDialog{wish: Wish{Kind: SaveAs}}).takes(strings.ToLower(name)):
			it.Note = words.pathIsPicture
		}
		items = append(items, it)
		y += pathRowH
	}
	if more > 0 || len(rows) == 0 {
		items = append(items, widget.Item{ID: "path:more", In: "path:list", Kind: widget.Label, At: canvas.Rect{X: x + 4, Y: y, W: w - 18, H: pathRowH}, Label: words.pathMore(more, d.folder != ""), Ink: "quiet"})
	}
	return items
}

func (d *pathDialog) act(e *Editor, a widget.Act) {
	row, isRow := strings.CutPrefix(a.ID, pathRow)
	switch {
	case a.ID == d.field():
		if a.Do == widget.Edited || a.Do == widget.Cancelled {
			d.value, d.filter, d.hot, d.wrong = a.Value, a.Value, "", ""
		}
	case isRow && a.Do == widget.Chosen:
		d.point(row)
	case isRow && a.Do == widget.Opened:
		d.point(row)
		d.enter(e)
	case a.ID == "path" && a.Do == widget.Chosen && a.Value == "do":
		d.enter(e)
	case a.ID == "path":
		d.leave(e)
	}
}

// key takes the keys that the field would take otherwise: the arrows go along the list, Enter does what is asked.
func (d *pathDialog) key(e *Editor, ev input.Event) bool {
	if ev.Kind != input.Key || ev.Mods.Ctrl || ev.Mods.Alt && ev.Name != "Up" {
		return false
	}
	typing := e.board.Focus() == d.field()
	switch {
	case ev.Name == "Escape":
		d.leave(e)
	case ev.Name == "Up" && ev.Mods.Alt, ev.Name == "Backspace" && typing && d.value == "":
		d.list(e, "..")
	case typing && (ev.Name == "Down" || ev.Name == "Up" || ev.Name == "PageDown" || ev.Name == "PageUp"):
		d.step(e, map[string]int{"Down": 1, "Up": -1, "PageDown": 8, "PageUp": -8}[ev.Name])
	case typing && ev.Name == "Enter":
		d.enter(e)
	default:
		return false
	}
	e.stale = true
	return true
}

// leave gives up what the name was for.
func (d *pathDialog) leave(e *Editor) {
	e.afterSave = nil
	e.back()
}

// step moves along the list; above its first row the name counts again.
func (d *pathDialog) step(e *Editor, by int) {
	rows, _ := d.listed()
	i := min(slices.Index(rows, d.hot)+by, len(rows)-1)
	if i < 0 {
		d.hot = ""
		return
	}
	d.point(rows[i])
	e.stale = true
	e.board.Reveal(pathRow+d.hot, e.screen())
}

// point chooses a row.
func (d *pathDialog) point(row string) {
	d.hot, d.wrong = row, ""
	if !strings.HasSuffix(row, "/") {
		d.value = row
	}
}

// list goes to a folder seen from the one shown.
func (d *pathDialog) list(e *Editor, to string) {
	e.wish(Wish{Kind: List, Name: inFolder(d.folder, to)})
}

// enter takes the row chosen, else the name typed.
func (d *pathDialog) enter(e *Editor) {
	name := strings.TrimSpace(d.value)
	rows, _ := d.listed()
	switch {
	case d.hot != "" && strings.HasSuffix(d.hot, "/"):
		d.list(e, strings.TrimSuffix(d.hot, "/"))
		return
	case d.hot != "":
		name = d.hot
	case d.wish.Kind == Open && len(rows) == 1 && strings.Contains(strings.ToLower(rows[0]), strings.ToLower(name)) && name != "":
		name = strings.TrimSuffix(rows[0], "/")
	case name == "" && d.wish.Kind == TakeAway:
		name = "."
	case name == "":
		d.wrong = words.pathEmpty
		return
	}
	d.wrong = ""
	e.wish(Wish{Kind: List, Name: d.folder, Text: name})
}

// found goes on when the machine has looked what a name is.
func (d *pathDialog) found(e *Editor, r Reply) {
	kind := d.wish.Kind
	switch {
	case r.Text == "" && d.folder == "": // the first answer: what was typed meanwhile stays
		d.folder, d.names, d.last = r.Name, r.Names, nil
	case r.Text == "" || r.Found == AFolder && kind != TakeAway:
		d.folder, d.names, d.last, d.hot, d.filter = r.Name, r.Names, nil, "", ""
		name := d.value
		if kind == Open || r.Text != "" {
			name = ""
		}
		if kind == SaveAs && name == "" {
			name = baseName(d.wish.Name)
		}
		d.put(e, name)
	case kind == Open && r.Found == Nothing:
		d.wrong = words.pathNothing(shownName(r.Name))
	case kind == Open:
		e.wish(Wish{Kind: Read, Name: r.Name})
	case kind == SaveAs && r.Found == Nothing && !strings.Contains(baseName(r.Name), "."):
		e.wish(Wish{Kind: List, Name: d.folder, Text: r.Text + ".yaml"})
	case kind == SaveAs && r.Found == AFile && r.Name != e.file:
		d.ask(e, Wish{Kind: Save, Name: r.Name, Data: d.wish.Data}, words.overText(r.Name))
	case kind == SaveAs:
		e.wish(Wish{Kind: Save, Name: r.Name, Data: d.wish.Data})
	case r.Found == AFile:
		d.wrong = words.pathNoFolder(shownName(r.Name))
	default:
		w := Wish{Kind: TakeAway, Name: r.Name, Files: d.wish.Files}
		n := 0
		for _, name := range r.Names {
			if _, ours := w.Files[name]; ours {
				n++
			}
		}
		if n > 0 {
			d.ask(e, w, words.overMany(n, r.Name))
			return
		}
		e.wish(w)
	}
}

// ask asks before something is written over.
func (d *pathDialog) ask(e *Editor, w Wish, text string) {
	e.dialog = &askDialog{title: words.overTitle, text: text, under: d, answers: []answer{
		{words.overNot, func() {}}, {words.overDo, func() { e.wish(w) }}, // the question stays until it is done
	}}
}

// inFolder is a name seen from a folder, in the folder's own way of writing; a full path stays what it is.
func inFolder(folder, name string) string {
	name = strings.TrimSpace(name)
	if name == "" || folder == "" || strings.HasPrefix(name, "/") || strings.HasPrefix(name, `\`) || strings.HasPrefix(name, "~") || len(name) > 1 && name[1] == ':' {
		if name == "" {
			return folder
		}
		return name
	}
	by := "/"
	if strings.Contains(folder, `\`) && !strings.HasPrefix(folder, "/") {
		by = `\`
	}
	return strings.TrimSuffix(folder, by) + by + name
}

// folderAbove is the folder that a folder lies in; "" for one that lies in none.
func folderAbove(folder string) string {
	bare := strings.TrimRight(folder, `/\`)
	i := strings.LastIndexAny(bare, `/\`)
	if i < 0 {
		return ""
	}
	return bare[:i+1]
}

// cutLeft shortens a path that is too long from its beginning: its end is what tells it apart.
func cutLeft(r canvas.Ruler, text string, width float64) string {
	rs := []rune(text)
	for i := range rs {
		s := string(rs[i:])
		if i > 0 {
			s = "…" + s
		}
		if r.Width(s, 12, false) <= width {
			return s
		}
	}
	return text
}
