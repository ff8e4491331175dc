package editor

import (
	"bytes"
	"errors"
	"image"
	"path"
	"strings"
	"time"
	"unicode"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/layout"
)

// Answer takes what came of a wish.
func (e *Editor) Answer(r Reply) {
	e.stale = true
	if r.Err == "" && !r.Gone && (r.Kind == Open || r.Kind == Read && r.Name != e.file) {
		r.Err = unfit(r.Data)
	}
	d, choosing := e.dialog.(*pathDialog)
	switch {
	case r.Gone:
		e.afterSave = nil
	case r.Lost:
		e.lose(r)
	case r.Err != "" && r.Chooser:
		e.askPath(Wish{Kind: r.Kind, Name: r.Name, Text: r.Text, Data: r.Data, Files: r.Files})
	case r.Err != "" && choosing && d.waits(r.Kind):
		d.wrong = words.failed(r.Kind, shownName(r.Name), r.Err) // what was typed stays
	case r.Err != "":
		switch r.Kind {
		case Save, SaveAs:
			e.afterSave = nil
		case Picture:
			e.losePhoto(r.Version)
		case KeepAside: // tried again, but not at every tick
			e.kept, e.keptAt = "", e.now+keptAgain
		}
		e.say(words.failed(r.Kind, shownName(r.Name), r.Err))
	default:
		e.answered(r)
	}
}

func (e *Editor) answered(r Reply) {
	switch r.Kind {
	case Open:
		e.opened(r.Name, r.Data, false)
	case Read:
		e.onDisk(r)
	case Save, SaveAs:
		e.wish(Wish{Kind: Forget, Name: e.name()})
		e.file, e.lost, e.loose = r.Name, false, false
		e.log.Saved(string(r.Data))
		e.wish(Wish{Kind: Recents})
		e.closePath()
		e.wish(Wish{Kind: Forget, Name: e.name()})
		e.say(words.saved(shownName(r.Name)))
		if do := e.afterSave; do != nil {
			e.afterSave = nil
			do()
		}
	case TakeAway:
		e.closePath()
		e.say(words.takenAway(r.Name))
	case Paste:
		e.pasted(r.Text)
	case Kept:
		e.offerKept(r)
	case List:
		if d, ok := e.dialog.(*pathDialog); ok {
			d.found(e, r)
		}
	case Recents:
		e.recents = r.Names
	}
}

// closePath closes the question for a file's name once what it was for is done.
func (e *Editor) closePath() {
	if _, ok := e.dialog.(*pathDialog); ok {
		e.dialog = nil
	}
}

// opened puts a file in the place of the document; a picture is laid under the drawing. Of a loose one the folder is not
// known.
func (e *Editor) opened(name string, data []byte, loose bool) {
	e.closePath()
	if w, h, err := photoSize(data); err == nil {
		e.setPhoto(data, w, h)
		return
	}
	e.wish(Wish{Kind: Recents})
	e.leave(func() {
		e.Load(name, data)
		e.loose = loose
	})
}

// onDisk takes a file that was read: one asked for by name, or the open one that changed on the disk.
func (e *Editor) onDisk(r Reply) {
	if r.Name != e.file {
		e.opened(r.Name, r.Data, false)
		return
	}
	if why := unfit(r.Data); why != "" {
		e.lose(Reply{Name: r.Name, Err: why})
		return
	}
	text := string(r.Data)
	e.handOver()
	switch {
	case text == e.log.Now():
		e.log.Saved(text)
		if e.onDiskBefore = text; e.lost {
			e.lost, e.kept = false, ""
		}
	case text == e.onDiskBefore:
	case !e.log.Dirty() && len(e.faults) > 0: // mended outside, and there is no work here that it could cost
		e.takeDisk(text)
		e.say(words.mended(shownName(e.file)))
	default:
		e.onDiskBefore, e.lost = text, false
		about, keep := words.changedText(shownName(e.file)), words.changedKeep
		if !e.log.Dirty() {
			about, keep = words.changedClean(shownName(e.file)), words.changedStay
		}
		e.askUnasked(&askDialog{title: words.changedTitle, text: about, answers: []answer{
			{keep, func() { e.log.Saved(text); e.kept = "" }}, // what is here is not what the disk has
			{words.changedTake, func() { e.takeDisk(text) }},
		}})
	}
}

// askUnasked asks a question that nobody waits for, over what is being done. Escape is its first answer: nothing is lost by it.
func (e *Editor) askUnasked(d *askDialog) {
	d.unasked, d.under = true, e.dialog
	if old, ok := e.dialog.(*askDialog); ok && old.unasked && old.title == d.title { // the newer one of the same
		d.under = old.under
	}
	e.dialog = d
}

// handOver takes what is being typed into a field before something comes from elsewhere.
func (e *Editor) handOver() {
	if e.dialog != nil {
		return
	}
	for _, a := range e.board.Commit(e.screen()) {
		e.act(a)
	}
}

// takeDisk puts what the disk has in the place of the document; undo brings the document back.
func (e *Editor) takeDisk(text string) {
	e.onDiskBefore = text
	e.log.Most(history(text))
	e.log.Do(words.changedName, text)
	e.log.Saved(text)
	e.fromElsewhere()
	e.adopt(atOnce)
}

// lose says that the open file is gone from the disk: what is here is then all there is of it.
func (e *Editor) lose(r Reply) {
	if r.Name != e.file || e.lost {
		return
	}
	e.lost, e.kept, e.onDiskBefore = true, "", ""
	e.log.Saved("")
	e.say(words.lost(shownName(e.file), r.Err))
}

// offerKept offers unsaved work of before.
func (e *Editor) offerKept(r Reply) {
	if len(r.Data) == 0 {
		return
	}
	e.dialog = &askDialog{unasked: true, title: words.keptTitle, text: words.keptText(shownName(r.Name)), safe: 1, answers: []answer{
		{words.keptTake, func() {
			name := r.Name
			if name == words.untitled {
				name = ""
			}
			e.start(name, r.Data)
			e.log.Saved("")
			e.adopt(atOnce)
		}},
		{words.keptLater, func() { e.back() }},
		{words.keptLeave, func() {
			e.wish(Wish{Kind: Forget, Name: r.Name})
			e.back()
		}},
	}}
}

// keptEvery is how often unsaved work is kept aside, at most.
const keptEvery = 2 * time.Second

// keptAgain is how long after work could not be kept aside it is tried again.
const keptAgain = 30 * time.Second

// keepAside keeps the text where a crash cannot take it, soon after it changed.
func (e *Editor) keepAside() {
	text := e.log.Now()
	if text == e.kept || e.now-e.keptAt < keptEvery || e.dragging() {
		return
	}
	e.kept, e.keptAt = text, e.now
	if e.log.Dirty() {
		e.wish(Wish{Kind: KeepAside, Name: e.name(), Data: []byte(text)})
	} else {
		e.wish(Wish{Kind: Forget, Name: e.name()})
	}
}

func (e *Editor) save() {
	if e.file == "" || e.loose {
		e.saveAs()
		return
	}
	e.wish(Wish{Kind: Save, Name: e.file, Data: []byte(e.log.Now())})
}

func (e *Editor) saveAs() {
	name := e.file
	if name == "" {
		name = "machine.yaml"
	}
	e.wish(Wish{Kind: SaveAs, Name: name, Data: []byte(e.log.Now())})
}

// takeAway makes all that the command line exports, in one place.
func (e *Editor) takeAway() {
	if e.whole.value == nil || e.whole.number != e.number {
		e.say(words.notYet)
		return
	}
	if len(e.faults) > 0 {
		e.say(words.mendFirst)
		return
	}
	files, err := e.cfg.Exports(e.whole.value)
	if err != nil {
		e.say(err.Error())
		return
	}
	stem := strings.TrimSuffix(baseName(e.name()), ".yaml")
	files[stem+".yaml"] = []byte(e.log.Now())
	e.wish(Wish{Kind: TakeAway, Text: stem + "-plan", Files: files})
}

// quit asks first when work would be lost.
func (e *Editor) quit() {
	e.leave(func() { e.wish(Wish{Kind: Quit}) })
}

// dropped opens one of the files dropped on the window, a layout before a picture, and tells what became of the rest.
func (e *Editor) dropped(files []input.File) {
	take, why := -1, ""
	for i, f := range files {
		bad := f.Err
		if bad == "" {
			bad = unfit(f.Data)
		}
		if bad != "" && why == "" {
			why = words.failed(Open, shownName(f.Name), bad)
		}
		if bad == "" && (take < 0 || isLayoutName(f.Name) && !isLayoutName(files[take].Name)) {
			take = i
		}
	}
	switch {
	case take >= 0:
		e.opened(files[take].Name, files[take].Data, true)
		if n := len(files) - 1; n > 0 {
			if _, _, err := photoSize(files[take].Data); err == nil {
				e.say(words.droppedOne(shownName(files[take].Name), n) + " " + e.said)
				return
			}
			e.say(words.droppedOne(shownName(files[take].Name), n))
		}
	case why != "":
		e.say(why)
	default:
		e.say(words.droppedNone)
	}
}

// unfit tells why a file is neither a layout nor a picture that can lie underneath; of a text that may be a layout, whatever
// is wrong in it, "". Nothing is then put in the place of the document.
func unfit(data []byte) string {
	w, h, err := photoSize(data)
	switch {
	case err == nil && float64(w)*float64(h) > canvas.MostPixels:
		return words.photoTooLarge(w, h)
	case err == nil:
		return ""
	case !errors.Is(err, image.ErrFormat):
		return words.photoDamaged(err.Error())
	case len(data) > layout.MaxSize:
		return words.tooLarge(len(data))
	case bytes.IndexByte(data, 0) >= 0 && !bytes.HasPrefix(data, []byte{0xFF, 0xFE}) && !bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return words.neither // UTF-16 holds such bytes too, and its reader says so
	}
	return ""
}

// isLayoutName reports whether a file is called as layouts are.
func isLayoutName(name string) bool {
	low := strings.ToLower(name)
	return strings.HasSuffix(low, ".yaml") || strings.HasSuffix(low, ".yml")
}

// shownName is the last step of a path as texts tell it: in one line, without marks that would turn its direction, and cut in
// the middle where it is very long.
func shownName(name string) string {
	const most, end = 60, 28
	rs := []rune(strings.Map(func(c rune) rune {
		switch {
		case unicode.IsControl(c):
			return ' '
		case unicode.Is(unicode.Cf, c):
			return -1
		}
		return c
	}, strings.ToValidUTF8(baseName(name), "\uFFFD")))
	if len(rs) > most {
		rs = append(append(rs[:end:end], '…'), rs[len(rs)-end:]...)
	}
	return string(rs)
}

// baseName is the last step of a path of any system.
func baseName(name string) string {
	return path.Base(strings.ReplaceAll(name, `\`, "/"))
}
