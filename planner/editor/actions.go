package editor

import (
	"slices"
	"strings"

	"echowright/planner/editor/input"
	"echowright/planner/editor/widget"
)

// action is one thing the editor can do. Menus, keys and the page that finds actions are made from one table.
type action struct {
	id   string
	menu string // the menu it stands in; "" for none
	name string
	keys string // as pressed: "Ctrl+Shift+Z", "Delete", "F"
	help string
	rule bool // a line above it in the menu
	can  func(e *Editor) bool
	need string               // what must be so first, when it cannot be done
	on   func(e *Editor) bool // a tick beside it
	do   func(e *Editor)
}

func (a action) enabled(e *Editor) bool { return a.can == nil || a.can(e) }

// named finds an action.
func named(id string) (action, bool) {
	for _, a := range actions() {
		if a.id == id {
			return a, true
		}
	}
	return action{}, false
}

// run does an action if it can be done now.
func (e *Editor) run(id string) bool {
	a, ok := named(id)
	if !ok || !a.enabled(e) {
		return false
	}
	a.do(e)
	e.stale = true
	return true
}

// pressed runs the action of a key.
func (e *Editor) pressed(ev input.Event) bool {
	keys := keysOf(ev)
	for _, a := range actions() {
		for _, k := range strings.Split(a.keys, " / ") {
			if k == keys && a.enabled(e) {
				a.do(e)
				e.stale = true
				return true
			}
		}
	}
	return false
}

// keysOf writes a key as the table does.
func keysOf(ev input.Event) string {
	var b strings.Builder
	for _, m := range []struct {
		held bool
		name string
	}{{ev.Mods.Ctrl, "Ctrl+"}, {ev.Mods.Alt, "Alt+"}, {ev.Mods.Shift, "Shift+"}} {
		if m.held {
			b.WriteString(m.name)
		}
	}
	return b.String() + ev.Name
}

// keysShown writes keys as the machine's people know them.
func (e *Editor) keysShown(keys string) string {
	if e.cfg.Apple {
		return strings.NewReplacer("Ctrl+", "⌘", "Shift+", "⇧", "Alt+", "⌥").Replace(keys)
	}
	return keys
}

// why is what an action that cannot be done waits for.
func (e *Editor) why(a action) string {
	if a.need == words.needSensors && len(e.chosen) > 0 {
		return words.notYet
	}
	return a.need
}

// menuNames are the menus from left to right.
var menuNames = []string{words.menuFile, words.menuEdit, words.menuLook, words.menuHand}

// menuItems are the choices of a menu.
func (e *Editor) menuItems(menu string) (cs []widget.Choice) {
	for _, a := range actions() {
		if a.menu == menu {
			cs = append(cs, e.choiceOf(a, a.name))
		}
	}
	return cs
}

func (e *Editor) choiceOf(a action, label string) widget.Choice {
	return widget.Choice{
		Label: e.actionName(a, label), Value: a.id, Keys: e.keysShown(a.keys), Disabled: !a.enabled(e), Rule: a.rule,
		Ticked: a.on != nil && a.on(e),
	}
}

// actionName says what would be undone or redone.
func (e *Editor) actionName(a action, label string) string {
	switch a.id {
	case "undo":
		return join(label, e.log.Undoes())
	case "redo":
		return join(label, e.log.Redoes())
	}
	return label
}

func join(words ...string) string {
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), " ")
}

// searchItems are all actions, for the page that finds them.
func (e *Editor) searchItems() (cs []widget.Choice) {
	for _, a := range actions() {
		c := e.choiceOf(a, a.name)
		c.Note, c.Words, c.Rule = a.help, words.also(a.id), false
		if c.Disabled {
			c.Note, c.Words = e.why(a), join(c.Words, a.help)
		}
		cs = append(cs, c)
	}
	return cs
}
