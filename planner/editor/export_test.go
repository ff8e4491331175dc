package editor

import (
	"fmt"
	"time"

	"echowright/planner/editor/widget"
	"echowright/planner/plan"
)

// What tests look at that no caller needs.

// Items are the items of the screen as they stand.
func (e *Editor) Items() []widget.Item { return e.screen() }

// Focus is the ID of the item that keys go to.
func (e *Editor) Focus() string { return e.board.Focus() }

// Scrolled is how far a Scroll is scrolled.
func (e *Editor) Scrolled(id string) float64 { return e.board.Scrolled(id) }

// PlatesOf are the plates that the findings of a code belong to.
func PlatesOf(code string) []string { return platesOf(code) }

// Ghosts is how many sensors the mounting tool shows that are not mounted yet.
func (e *Editor) Ghosts() int { return len(e.liveNow().Ghost) }

// Asks is the kind of dialog that is open; "" for none.
func (e *Editor) Asks() string {
	if e.dialog == nil {
		return ""
	}
	return fmt.Sprintf("%T", e.dialog)
}

// Action is one line of the table of actions.
type Action struct {
	ID, Name, Need string
	Can            bool
	Do             func()
}

// Actions are all actions as they stand.
func (e *Editor) Actions() (all []Action) {
	for _, a := range actions() {
		all = append(all, Action{a.id, a.name, e.why(a), a.enabled(e), func() { e.run(a.id) }})
	}
	return all
}

// LooksMeasured reports whether a measuring line is drawn.
func (e *Editor) LooksMeasured() bool { return e.looksNow().Measured }

// Cycle is how long the cycle shown is.
func (e *Editor) Cycle() time.Duration { return millis(e.shown.Schedule.CycleUs) }

// HeightOf is how high a sensor stands, m.
func (e *Editor) HeightOf(name string) (m float64, ok bool) {
	s := sensorNamed(e.sceneNow(), name)
	return s.HeightM, s.Name != ""
}

// TakeWay makes the changes of a finding's way out.
func (e *Editor) TakeWay(f plan.Finding) { e.takeWay(f) }

// Ways are the ways out that were asked for, while they stand.
func (e *Editor) Ways() *plan.Ways {
	if !e.asks() {
		return nil
	}
	return e.asked.ways
}

// Margins are what breaks first, while it stands.
func (e *Editor) Margins() *plan.Margins { return e.asked.margins }

// MakeChanges makes the changes of a way out.
func (e *Editor) MakeChanges(cs []plan.Change) { e.makeChanges(cs) }

// TakeCard presses the first button of a card.
func (e *Editor) TakeCard(id string) {
	for _, it := range e.screen() {
		if it.ID == id && len(it.Choices) > 0 {
			e.act(widget.Act{ID: id, Do: widget.Chosen, Value: it.Choices[0].Value})
		}
	}
}
