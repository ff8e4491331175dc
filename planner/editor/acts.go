package editor

import (
	"slices"
	"strconv"
	"strings"

	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
)

// act does what was done to an item of the board.
func (e *Editor) act(a widget.Act) {
	switch a.Do {
	case widget.Copy:
		e.wish(Wish{Kind: Copy, Text: a.Value})
		return
	case widget.Paste:
		e.wish(Wish{Kind: Paste})
		return
	case widget.Opened, widget.Closed:
		if !strings.HasPrefix(a.ID, "pick:") && !strings.HasPrefix(a.ID, pathRow) {
			return
		}
	}
	what, name, _ := strings.Cut(a.ID, ":")
	switch {
	case e.dialog == nil:
	case slices.ContainsFunc(e.dialog.items(e), func(it widget.Item) bool { return it.ID == a.ID }):
		e.dialog.act(e, a)
		return
	case a.Do != widget.Committed || what != "set" && what != "mount": // of a dialog that has gone
		return
	}
	switch what {
	case "do", "add":
		if a.Do == widget.Pressed {
			e.run(name)
		}
	case "menu":
		if a.Do == widget.Chosen {
			e.run(a.Value)
		}
	case "plate":
		e.openVerdict(name)
	case "set":
		e.setAct(name, a)
	case "flag":
		e.set(name, strconv.FormatBool(a.Index == 1))
	case "mount":
		if a.Do != widget.Edited {
			e.setMount(a)
		}
	case "pick":
		e.pick(name)
	case "finding":
		e.findingAct(name, a)
	case "tried":
		if a.Do == widget.Chosen {
			e.tried = nil
			if a.Value == "back" {
				e.undo()
			}
		}
	case "asked":
		e.askedAct(name, a)
	case "next", whyCard:
		if a.Do == widget.Chosen {
			e.run(a.Value)
		}
	case "fault":
		e.openFault(name)
	case "fold":
		e.fold(name, a.Index == 1)
	case "border":
		e.pullBorder(a.Index)
	}
}

func (e *Editor) setAct(path string, a widget.Act) {
	switch a.Do {
	case widget.Committed, widget.Chosen:
		e.set(path, a.Value)
	case widget.Cancelled:
		delete(e.wrong, path)
	}
}

// pick chooses a thing from the list in the sheet.
func (e *Editor) pick(what string) {
	kind, name, _ := strings.Cut(what, ":")
	e.stale = true
	switch kind {
	case "sensor":
		e.choose(name)
	case "zone":
		e.chosen, e.thing = nil, view.Thing{Kind: view.Zone, Name: name}
		if t, ok := e.doc.Root().Get("zones." + name + ".target"); ok { // else it is not in the drawing
			e.looks.Target = t.Text()
		}
	case "target":
		e.chosen, e.thing = nil, view.Thing{Kind: targetThing, Name: name}
	case "kind":
		e.chosen, e.thing = nil, view.Thing{Kind: kindThing, Name: name}
	case "part":
		e.chosen, e.thing = nil, view.Thing{Kind: view.Part, Name: name}
	}
}

func (e *Editor) findingAct(index string, a widget.Act) {
	i, err := strconv.Atoi(index)
	fs := e.findings()
	if err != nil || i >= len(fs) {
		return
	}
	if a.Do == widget.Chosen {
		if !e.run(a.Value) { // a search, else the way out
			e.takeWay(fs[i])
		}
		return
	}
	e.goTo(fs[i].Where)
}

// hasWord reports whether a name stands in a text as a whole.
func hasWord(text, name string) bool {
	for rest := text; name != ""; {
		i := strings.Index(rest, name)
		if i < 0 {
			return false
		}
		before, after := rest[:i], rest[i+len(name):]
		if (before == "" || strings.ContainsAny(before[len(before)-1:], " ,(")) && (after == "" || strings.ContainsAny(after[:1], " ,):")) {
			return true
		}
		rest = after
	}
	return false
}
