package editor

import (
	"path"
	"strings"
	"time"

	"echowright/planner/editor/input"
)

// Answer takes what came of a wish.
func (e *Editor) Answer(r Reply) {
	e.stale = true
	d, choosing := e.dialog.(*pathDialog)
	switch {
	case r.Gone:
		e.afterSave = nil
	case r.Lost:
		e.lose(r)
	case r.Err != "" && r.Chooser:
		e.askPath(Wish{Kind: r.Kind, Name: r.Name, Text: r.Text, Data: r.Data, Files: r.Files})
	case r.Err != "" && choosing && d.waits(r.Kind):
		d.wrong = words.failed(r.Kind, baseName(r.Name), r.Err) // what was typed stays
	case r.Err != "":
		if r.Kind == Save || r.Kind == SaveAs {
			e.afterSave = nil
		}
		e.say(words.failed(r.Kind, baseName(r.Name), r.Err))
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
		e.say(words.saved(baseName(r.Name)))
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
	if w, h, ok := isPhoto(data); ok {
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
	text := string(r.Data)
	switch {
	case r.Name != e.file:
		e.opened(r.Name, r.Data, false)
	case text == e.log.Now():
		e.log.Saved(text)
		if e.onDiskBefore = text; e.lost {
			e.lost, e.kept = false, ""
		}
	case text == e.onDiskBefore:
	case !e.log.Dirty() && len(e.faults) > 0: // mended outside, and there is no work here that it could cost
		e.takeDisk(text)
		e.say(words.mended(baseName(e.file)))
	default:
		e.onDiskBefore, e.lost = text, false
		about, keep := words.changedText(baseName(e.file)), words.changedKeep
		if !e.log.Dirty() {
			about, keep = words.changedClean(baseName(e.file)), words.changedStay
		}
		e.dialog = &askDialog{title: words.changedTitle, text: about, answers: []answer{
			{keep, func() { e.log.Saved(text); e.kept = "" }}, // what is here is not what the disk has
			{words.changedTake, func() { e.takeDisk(text) }},
		}}
	}
}

// takeDisk puts what the disk has in the place of the document; undo brings the document back.
func (e *Editor) takeDisk(text string) {
	e.onDiskBefore = text
	e.log.Do(words.changedName, text)
	e.log.Saved(text)
	e.adopt(atOnce)
}

// lose says that the open file is gone from the disk: what is here is then all there is of it.
func (e *Editor) lose(r Reply) {
	if r.Name != e.file || e.lost {
		return
	}
	e.lost, e.kept, e.onDiskBefore = true, "", ""
	e.log.Saved("")
	e.say(words.lost(baseName(e.file), r.Err))
}

// offerKept offers unsaved work of before.
func (e *Editor) offerKept(r Reply) {
	if len(r.Data) == 0 {
		return
	}
	e.dialog = &askDialog{title: words.keptTitle, text: words.keptText(baseName(r.Name)), answers: []answer{
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

// dropped opens the first file dropped on the window.
func (e *Editor) dropped(files []input.File) {
	if len(files) > 0 {
		e.opened(files[0].Name, files[0].Data, true)
	}
}

// baseName is the last step of a path of any system.
func baseName(name string) string {
	return path.Base(strings.ReplaceAll(name, `\`, "/"))
}
