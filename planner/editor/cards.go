package editor

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

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
	items := []widget.Item{
		{ID: "border", Kind: widget.Border, At: canvas.Rect{X: at.cards.X + 12, Y: at.cards.Y, W: at.cards.W - 24, H: 11}, Hint: words.borderHint},
		{ID: "cards-title", Kind: widget.Title, At: canvas.Rect{X: at.cards.X + 12, Y: at.cards.Y + 10, W: at.cards.W - 24, H: 24}, Label: e.panel.cardsTitle, Note: e.toldNote()},
	}
	room := canvas.Rect{X: at.cards.X + 8, Y: at.cards.Y + cardsHead, W: at.cards.W - 16, H: max(0, at.cards.H-cardsHead-4)}
	items = append(items, widget.Item{ID: "cards", Kind: widget.Scroll, At: room, Tall: e.panel.cardsTall - cardsHead - 4})
	return append(items, placed(e.panel.cards, room.X, room.Y, "cards")...)
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
			it := widget.Item{ID: fmt.Sprintf("fault:%d", i), Kind: widget.Card, Word: where, Label: f.Wrong, Text: f.Right, Ink: draw.Blind, Hint: words.faultHint}
			if e.panel.fault == (fault{i + 1, e.number}) {
				it.Chosen, it.Text = true, join2("\n", f.Right, words.lineOf(f.Line, lineAt(e.log.Now(), f.Line, f.Col)), words.faultHow)
			}
			cards = append(cards, it)
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
			now = t.brought(e.plates)
		}
		for _, g := range t.single {
			now = join2("\n", now, words.madeSingle(g))
		}
		cards = append(cards, widget.Item{
			ID: "tried", Kind: widget.Card, Word: words.triedWord, Label: t.label, Text: now, Ink: draw.Chosen,
			Choices: []widget.Choice{{Label: words.takeBack, Value: "back"}, {Label: words.keepIt, Value: "keep"}},
		})
	}
	cards = append(cards, e.askedCards()...)
	why := -1 // where the reason for the cycle goes: before the findings about it
	for i, f := range e.findings() {
		if why < 0 && e.tells(f.Code) {
			why = len(cards)
		}
		it := widget.Item{ID: fmt.Sprintf("finding:%d", i), Kind: widget.Card, Word: f.Severity, Label: f.Text, Text: join2("\n", f.Reason, f.Mend), Note: f.Where, Ink: severityInk(f.Severity), Chosen: e.tells(f.Code)}
		if w, ok := e.wayOut(f); ok {
			it.Choices = []widget.Choice{{Label: w.label, Value: fmt.Sprint(i)}}
		}
		if f.Severity == plan.NotMet && slices.Contains(platesOf(f.Code), "cycle") {
			it.Choices = append(it.Choices, e.searches("ways")...)
		}
		cards = append(cards, it)
	}
	if s := e.shown.Schedule; s.Why != "" && e.panel.told == (told{"cycle", e.number}) {
		cards = slices.Insert(cards, max(0, why), widget.Item{
			ID: whyCard, Kind: widget.Card, Label: words.why(plan.Milliseconds(s.RunsUs())), Text: join2("\n", s.Why, words.delaysCost(s.Delays)), Ink: draw.Line, Chosen: true, Choices: e.searches("ways", "margins"),
		})
	}
	if len(cards) == 0 {
		cards = []widget.Item{quietNote("no-findings", words.noFindings)}
	}
	return words.better, cards
}

// lineAt is a line of a text, counted from 1, without the space before it; of a long one what stands round a column.
func lineAt(text string, line, col int) string {
	for range line - 1 {
		_, rest, ok := strings.Cut(text, "\n")
		if !ok {
			return ""
		}
		text = rest
	}
	text, _, _ = strings.Cut(text, "\n")
	const most = 240
	r := []rune(strings.TrimRight(text, " \r\t"))
	if from := max(0, min(col-most/2, len(r)-most)); len(r) > most {
		return "…" + string(r[from:from+most]) + "…"
	}
	return strings.TrimSpace(string(r))
}

// openFault shows the line of a fault in its card, or hides it again.
func (e *Editor) openFault(index string) {
	i, err := strconv.Atoi(index)
	open := fault{i + 1, e.number}
	if e.stale = true; err != nil || e.panel.fault == open {
		e.panel.fault = fault{}
		return
	}
	e.panel.fault = open
	e.board.Reveal("fault:"+index, e.screen())
}

// whyCard is the card with the whole reason for the cycle, shown once the cycle's plate was clicked.
const whyCard = "why"

// openVerdict marks the findings of a plate, brings the first into sight and goes to the place.
func (e *Editor) openVerdict(id string) {
	if e.shown == nil {
		return
	}
	for _, v := range e.plates {
		if v.ID != id {
			continue
		}
		e.goTo(v.Where)
		if v.Target != "" { // what the plate tells of is what is drawn
			e.looks.Target = v.Target
			if v.InState != "" {
				e.looks.State = v.InState
			}
			if e.thing.Kind == view.Blind {
				if b := e.shown.BlindSpots[e.thing.Index]; b.Target != v.Target || b.State != v.InState {
					e.thing = view.Thing{}
				}
			}
		}
		if v.AtKnown {
			e.lookAt(v.At)
		}
	}
	if id == "disturbance" {
		e.goToDisturbance()
	}
	e.panel.told, e.drawer, e.stale = told{id, e.number}, true, true
	items := e.screen()
	n := 0
	fs := e.findings()
	for i := len(fs) - 1; i >= 0; i-- { // the first last: it is seen whole, and as many after it as there is room for
		if e.tells(fs[i].Code) {
			n++
			e.board.Reveal("finding:"+strconv.Itoa(i), items)
		}
	}
	if slices.ContainsFunc(items, func(it widget.Item) bool { return it.ID == whyCard }) {
		n++
		e.board.Reveal(whyCard, items)
	}
	if n == 0 {
		e.say(words.noFindingOf(words.plateName(id)))
	}
}

// goToDisturbance shows the path by which a sensor is disturbed most, or would be if all fired at once.
func (e *Editor) goToDisturbance() {
	best := -1
	for i, a := range e.shown.Crosstalk {
		if len(a.Points) > 0 && a.Harms && (best < 0 || a.LevelDB > e.shown.Crosstalk[best].LevelDB) {
			best = i
		}
	}
	if best < 0 {
		return
	}
	a := e.shown.Crosstalk[best]
	e.chosen, e.thing = nil, view.Thing{Kind: view.Path, Name: a.From + " " + a.To, Index: best}
	e.lookAt(a.Points[len(a.Points)/2])
}

// tells reports whether findings of a code belong to the plate that was clicked.
func (e *Editor) tells(code string) bool {
	t := e.panel.told
	return t.plate != "" && t.number == e.number && slices.Contains(platesOf(code), t.plate)
}

// toldNote says how many findings belong to the plate that was clicked.
func (e *Editor) toldNote() string {
	if e.panel.told.plate == "" || e.panel.told.number != e.number || len(e.missing) > 0 || len(e.faults) > 0 {
		return ""
	}
	n := 0
	for _, f := range e.findings() {
		if e.tells(f.Code) {
			n++
		}
	}
	return words.toldOf(n, words.plateName(e.panel.told.plate))
}

// platesOf are the plates that the findings of a code belong to; none for what concerns the description itself.
func platesOf(code string) []string {
	if strings.HasPrefix(code, "blind-") {
		return []string{"blind", "seen"}
	}
	return map[string][]string{
		"share-missed": {"seen"}, "sees-nothing": {"seen"}, "sensor-watches-no-zone": {"seen"}, "zone-inside-machine": {"seen", "blind"},
		"looks-out-of-housing": {"seen"}, "looks-into-own-part": {"seen", "disturbance"}, "wide-angles": {"seen"},
		"gap-too-wide": {"blind"}, "within-drawing-error": {"blind", "seen"}, "slivers-left-out": {"blind"},
		"reads-own-part": {"disturbance"}, "reads-ground": {"disturbance"}, "window-not-settable": {"disturbance", "cycle"}, "as-read": {"disturbance", "cycle"},
		"too-fast-to-stop": {"warning"}, "stop-within-drawing-error": {"warning"}, "warning-late": {"warning"}, "no-zone-on-the-way": {"warning"},
		"turn-taken-as-straight": {"warning"},
		"cycle-over-budget":      {"cycle"}, "group-lasts": {"cycle"}, "must-take-turns": {"cycle", "disturbance"}, "fires-by-itself": {"cycle", "disturbance"},
		"peak-current": {"cycle"}, "not-proven": {"cycle"}, "cannot": {"cycle"}, "one-reader": {"cycle"}, "own-line": {"cycle"},
		"rail-forces-turns": {"cycle"}, "chain-parted": {"cycle"}, "fires-too-seldom": {"cycle"}, "chain-early": {"cycle", "disturbance"},
		"delays-cost": {"cycle", "disturbance"}, "delays-cannot": {"cycle", "disturbance"},
	}[code]
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
