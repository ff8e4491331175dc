package editor

import (
	"fmt"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// cardItems are what is wrong with the file, the next step of a half-built machine, or else the findings.
func (e *Editor) cardItems(at places) []widget.Item {
	if at.cards.H < 40 {
		return nil
	}
	title, cards := e.cards()
	items := []widget.Item{
		{ID: "cards-rule", Kind: widget.Rule, At: canvas.Rect{X: at.cards.X + 12, Y: at.cards.Y, W: at.cards.W - 24, H: 1}},
		{ID: "cards-title", Kind: widget.Title, At: canvas.Rect{X: at.cards.X + 12, Y: at.cards.Y + 4, W: at.cards.W - 24, H: 24}, Label: title},
	}
	room := canvas.Rect{X: at.cards.X + 8, Y: at.cards.Y + 30, W: at.cards.W - 16, H: max(0, at.cards.H-34)}
	y := room.Y
	var inner []widget.Item
	for _, it := range cards {
		h := e.board.Height(it, room.W-16)
		it.In, it.At = "cards", canvas.Rect{X: room.X, Y: y, W: room.W - 14, H: h}
		y += h + 6
		inner = append(inner, it)
	}
	items = append(items, widget.Item{ID: "cards", Kind: widget.Scroll, At: room, Tall: y - room.Y})
	return append(items, inner...)
}

func (e *Editor) cards() (title string, cards []widget.Item) {
	switch {
	case e.doc == nil && len(e.faults) == 0:
		return "", nil
	case len(e.faults) > 0:
		for i, f := range e.faults {
			where := words.wholeFile
			if f.Line > 0 {
				where = fmt.Sprintf("%d:%d", f.Line, f.Col)
			}
			cards = append(cards, widget.Item{
				ID: fmt.Sprintf("fault:%d", i), Kind: widget.Card, Word: where, Label: f.Wrong, Text: f.Right, Ink: draw.Blind,
			})
			if i == 50 {
				break
			}
		}
		return words.faults(len(e.faults)), cards
	case e.broken != "":
		return words.faults(1), []widget.Item{{ID: "broken", Kind: widget.Card, Word: words.fault, Label: e.broken, Ink: draw.Blind}}
	case len(e.missing) > 0:
		s := e.nextStep()
		return words.nextStep, []widget.Item{{
			ID: "next", Kind: widget.Card, Label: s.text, Text: s.help, Ink: draw.Chosen,
			Choices: []widget.Choice{{Label: s.button, Value: s.action}},
		}}
	case e.shown == nil:
		return "", nil
	}
	if t := e.tried; t != nil && e.log.Undoes() == t.label {
		now := words.reckoning
		if e.whole.number >= t.number {
			now = e.verdictLine()
		}
		cards = append(cards, widget.Item{
			ID: "tried", Kind: widget.Card, Word: words.triedWord, Label: t.label, Text: words.brought(t.before, now), Ink: draw.Chosen,
			Choices: []widget.Choice{{Label: words.takeBack, Value: "back"}, {Label: words.keepIt, Value: "keep"}},
		})
	}
	for i, f := range e.findings() {
		it := widget.Item{ID: fmt.Sprintf("finding:%d", i), Kind: widget.Card, Word: f.Severity, Label: f.Text, Text: f.Mend, Note: f.Where, Ink: severityInk(f.Severity)}
		if w, ok := e.wayOut(f); ok {
			it.Choices = []widget.Choice{{Label: w.label, Value: fmt.Sprint(i)}}
		}
		cards = append(cards, it)
	}
	if len(cards) == 0 {
		cards = []widget.Item{quietNote("no-findings", words.noFindings)}
	}
	return words.better, cards
}

// findings are those of the newest plan; while the firing plan is being reckoned, those of what is seen.
func (e *Editor) findings() []plan.Finding {
	if e.whole.value != nil && e.whole.number == e.number {
		return e.whole.value.Findings
	}
	return e.seen.value.Findings
}

func severityInk(s string) draw.Ink {
	switch s {
	case plan.NotMet:
		return draw.Blind
	case plan.Look:
		return draw.Attention
	}
	return draw.Line
}

// step is the one thing to do next while a machine is half built.
type step struct{ text, help, button, action string }

// nextStep is the first thing that is missing.
func (e *Editor) nextStep() step {
	has := func(path string) bool { return len(entries(e.doc, path)) > 0 }
	switch {
	case !has("sensors"):
		return step{words.stepSensor, words.stepSensorHelp, words.stepSensorButton, "tool-mount"}
	case !has("zones"):
		return step{words.stepZone, words.stepZoneHelp, words.stepZoneButton, "tool-zone"}
	}
	return step{text: e.missing[0]}
}

// goTo shows the place of a finding and chooses what it is about.
func (e *Editor) goTo(where string) {
	if e.shown == nil {
		return
	}
	for _, s := range e.shown.Sensors {
		if hasWord(where, s.Name) {
			e.choose(s.Name)
			e.lookAt([2]float64{s.X, s.Y})
			return
		}
	}
	best := -1
	for i, b := range e.shown.BlindSpots {
		if hasWord(where, b.Zone) && (best < 0 || b.HidesM > e.shown.BlindSpots[best].HidesM) {
			best = i
		}
	}
	if best >= 0 {
		b := e.shown.BlindSpots[best]
		e.chosen, e.thing = nil, view.Thing{Kind: view.Blind, Index: best, Name: b.Zone}
		e.looks.Target, e.looks.State = b.Target, b.State
		e.lookAt(b.HidesAt)
	}
}

// lookAt brings a place into the drawing if it is not there.
func (e *Editor) lookAt(m [2]float64) {
	if !e.cam.Area.Inset(24).Holds(e.cam.At(m)) {
		e.cam.Centre = m
	}
	e.stale = true
}
