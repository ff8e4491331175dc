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
	switch {
	case r.Gone:
	case r.Err != "" && r.Chooser:
		e.dialog = &pathDialog{wish: Wish{Kind: r.Kind, Name: r.Name, Data: r.Data, Files: r.Files}, value: r.Name}
	case r.Err != "":
		e.afterSave = nil
		if d, ok := e.dialog.(*pathDialog); ok {
			d.wrong = r.Err // what was typed stays
			return
		}
		e.say(r.Err)
	default:
		e.answered(r)
	}
}

func (e *Editor) answered(r Reply) {
	switch r.Kind {
	case Open:
		e.opened(r.Name, r.Data)
	case Read:
		e.onDisk(r)
	case Save, SaveAs:
		e.wish(Wish{Kind: Forget, Name: e.name()})
		e.file = r.Name
		e.log.Saved(string(r.Data))
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
	}
}

// closePath closes the question for a file's name once what it was for is done.
func (e *Editor) closePath() {
	if _, ok := e.dialog.(*pathDialog); ok {
		e.dialog = nil
	}
}

// opened puts a file in the place of the document; a picture is laid under the drawing.
func (e *Editor) opened(name string, data []byte) {
	e.closePath()
	if w, h, ok := isPhoto(data); ok {
		e.setPhoto(data, w, h)
		return
	}
	e.leave(func() { e.Load(name, data) })
}

// onDisk takes a file that was read: one asked for by name, or the open one that changed on the disk.
func (e *Editor) onDisk(r Reply) {
	text := string(r.Data)
	switch {
	case r.Name != e.file:
		e.opened(r.Name, r.Data)
	case text == e.log.Now():
		e.log.Saved(text)
	case text == e.onDiskBefore:
	default:
		e.onDiskBefore = text
		e.dialog = &askDialog{title: words.changedTitle, text: words.changedText(baseName(e.file)), answers: []answer{
			{words.changedKeep, func() {}},
			{words.changedTake, func() {
				e.log.Do(words.changedName, text)
				e.log.Saved(text)
				e.adopt(atOnce)
			}},
		}}
	}
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
	if e.file == "" {
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
	e.wish(Wish{Kind: TakeAway, Name: stem + "-plan", Files: files})
}

// quit asks first when work would be lost.
func (e *Editor) quit() {
	e.leave(func() { e.wish(Wish{Kind: Quit}) })
}

// dropped opens the first file dropped on the window.
func (e *Editor) dropped(files []input.File) {
	if len(files) > 0 {
		e.opened(files[0].Name, files[0].Data)
	}
}

// baseName is the last step of a path of any system.
func baseName(name string) string {
	return path.Base(strings.ReplaceAll(name, `\`, "/"))
}
