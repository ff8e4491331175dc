package editor

import (
	"strings"

	"echowright/planner/editor/widget"
)

// recentDialog lists the layouts opened or saved last; typing finds among them.
type recentDialog struct{}

func (recentDialog) items(e *Editor) []widget.Item {
	it := widget.Item{ID: "recents", Kind: widget.Search, At: e.dialogBox(560, 380), Label: words.recentTitle, Text: words.recentText, Wrong: words.recentNone, Index: -1}
	for _, name := range e.recents {
		base := baseName(name)
		it.Choices = append(it.Choices, widget.Choice{Label: base, Note: strings.TrimSuffix(name, base), Value: name})
	}
	return []widget.Item{it}
}

func (recentDialog) act(e *Editor, a widget.Act) {
	if a.ID != "recents" || a.Do == widget.Edited { // the page this one came from may still hand over what was typed
		return
	}
	e.back()
	if a.Do == widget.Chosen {
		e.wish(Wish{Kind: Read, Name: a.Value})
	}
}

func hasRecents(e *Editor) bool { return len(e.recents) > 0 }
