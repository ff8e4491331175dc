package editor

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"echowright/planner/editor/live"
	"echowright/planner/editor/widget"
	"echowright/planner/export/draw"
	"echowright/planner/plan"
)

// askedCard is the first card of what was asked for beside the plan: how far it is, and what comes of it on the whole.
const askedCard = "asked:"

// searches are buttons that ask for more about the plan, where that can be asked for now.
func (e *Editor) searches(ids ...string) (cs []widget.Choice) {
	for _, id := range ids {
		if a, ok := named(id); ok && a.enabled(e) && !e.asked.busy {
			cs = append(cs, widget.Choice{Label: a.name, Value: id})
		}
	}
	return cs
}

// askedCards are what was asked for beside the plan, as long as the document is what it was then.
func (e *Editor) askedCards() []widget.Item {
	if !e.asks() {
		return nil
	}
	s := &e.asked
	head := widget.Item{ID: askedCard, Kind: widget.Card, Word: words.waysHead, Ink: draw.Chosen, Choices: []widget.Choice{{Label: words.putAway, Value: "away"}}}
	if s.want == live.WhatBreaks {
		head.Word = words.marginsHead
	}
	switch {
	case s.busy:
		head.Choices = []widget.Choice{{Label: words.searchStop, Value: "stop"}}
		head.Label, head.Text = words.waysBusy, words.foundSoFar(len(s.found))
		if s.want == live.WhatBreaks {
			head.Label, head.Text = words.marginsBusy, words.busyText
		}
		return append([]widget.Item{head}, e.wayCards(sorted(s.found))...)
	case s.wrong != "":
		head.Label, head.Text, head.Ink = words.searchFailed, s.wrong, draw.Blind
	case s.ways != nil:
		head.Label = words.cycleNow(s.ways.CycleUs, s.ways.BudgetUs)
		if head.Text = words.waysEach; len(s.ways.Out) == 0 {
			head.Text = join2(": ", words.waysNone, words.noneOf(s.ways.From))
		}
		return slices.Concat([]widget.Item{head}, e.wayCards(s.ways.Out), e.choiceCard(s.ways.Choice), frontCard(s.ways))
	case s.margins != nil:
		return e.marginCards(head)
	}
	return []widget.Item{head}
}

// sorted puts ways in an order that does not hang on when each was found.
func sorted(found []plan.Way) []plan.Way {
	no := func(b bool) int {
		if b {
			return 0
		}
		return 1
	}
	out := slices.Clone(found)
	slices.SortFunc(out, func(a, b plan.Way) int {
		return cmp.Or(cmp.Compare(no(a.Met), no(b.Met)), cmp.Compare(no(len(a.Lost) == 0), no(len(b.Lost) == 0)), cmp.Compare(no(a.Fits), no(b.Fits)),
			cmp.Compare(no(a.Taken()), no(b.Taken())), cmp.Compare(a.CycleUs[1], b.CycleUs[1]), cmp.Compare(a.What, b.What))
	})
	return out
}

// wayCards are ways out, each with what it brings and costs.
func (e *Editor) wayCards(ways []plan.Way) (cards []widget.Item) {
	for i, o := range ways {
		it := widget.Item{
			ID: fmt.Sprintf("asked:way:%d", i), Kind: widget.Card, Word: words.wayNumber(i + 1), Label: o.What, Ink: draw.Line,
			Text: strings.Join(append([]string{join2(": ", words.cycleBecomes(o.CycleUs, o.Proven), words.wayEnough(o, e.shown.Schedule.BudgetUs))}, o.Costs()...), "\n"),
		}
		switch {
		case len(o.Lost) > 0:
			it.Ink = draw.Attention
		case o.Met:
			it.Ink = draw.Met
		}
		if o.Taken() && e.editable() {
			it.Choices = []widget.Choice{{Label: e.wayLabel(o.Changes), Value: "try"}}
		}
		cards = append(cards, it)
	}
	return cards
}

// choiceCard is windows chosen together; none where they are left as they are.
func (e *Editor) choiceCard(c *plan.Choice) []widget.Item {
	if c == nil || len(c.Changes()) == 0 {
		return nil
	}
	lines := []string{words.cycleBecomes(c.CycleUs, true)}
	for _, w := range c.Windows {
		if w.ListenM[0] != w.ListenM[1] {
			lines = append(lines, words.windowBecomes(w))
		}
	}
	it := widget.Item{ID: "asked:choice:", Kind: widget.Card, Word: words.chosenHead, Label: c.Says, Text: strings.Join(lines, "\n"), Ink: draw.Line}
	if e.editable() {
		it.Choices = []widget.Choice{{Label: e.wayLabel(c.Changes()), Value: "try"}}
	}
	return []widget.Item{it}
}

// frontCard is range against cycle, a line a limit.
func frontCard(w *plan.Ways) []widget.Item {
	it := widget.Item{ID: "asked:front:", Kind: widget.Card, Word: words.frontHead, Ink: draw.Line}
	switch {
	case w.NoFront != "":
		it.Label = w.NoFront
	case len(w.Front) == 0:
		return nil
	default:
		var lines []string
		for _, l := range w.Front {
			lines = append(lines, words.limitLine(l))
		}
		it.Label, it.Text = words.frontLabel, strings.Join(lines, "\n")
		it.Choices = []widget.Choice{{Label: words.showPicture, Value: "picture"}}
	}
	return []widget.Item{it}
}

// marginCards are what breaks first, a card a quantity, and what is lost with each sensor; head tells of the first of all.
func (e *Editor) marginCards(head widget.Item) []widget.Item {
	p := e.asked.plan
	head.Label = join2(": ", words.keptFirst, p.FirstBreak(false))
	head.Text = join2(": ", words.anewFirst, p.FirstBreak(true))
	if n := p.Margins.Missed; len(n) > 0 {
		head.Text = join2("\n", head.Text, words.notAskedAbout(n))
	}
	if n := p.Margins.NotReckoned; len(n) > 0 {
		head.Text = join2("\n", head.Text, words.notReckoned(n))
	}
	cards := []widget.Item{head}
	for i, r := range p.MarginRows() {
		stated := ""
		if r.Stated != "-" {
			stated = words.statedOf(r.Stated)
		}
		it := widget.Item{ID: fmt.Sprintf("asked:margin:%d", i), Kind: widget.Card, Word: r.Quantity, Label: join2("; ", r.Change, stated), Ink: draw.Line}
		it.Text = words.breaks(r)
		cards = append(cards, it)
	}
	for i, r := range p.LostRows() {
		it := widget.Item{ID: fmt.Sprintf("asked:lost:%d", i), Kind: widget.Card, Word: words.ifFails, Label: r.Sensor, Ink: draw.Line, Text: words.nothingLost}
		if r.Bad {
			it.Ink, it.Text = draw.Attention, strings.Join(r.Flips, "\n")
		}
		if len(r.Worse) > 0 {
			it.Text = join2("\n", it.Text, words.changesTo(r.Worse))
		}
		if it.Text = join2("\n", it.Text, words.tableThen(r.Table)); r.Anew != "" {
			it.Text = join2("\n", it.Text, words.anewWithout(r.Anew))
		}
		cards = append(cards, it)
	}
	return cards
}

// askedAct does what was done to one of these cards.
func (e *Editor) askedAct(name string, a widget.Act) {
	if !e.asks() {
		return
	}
	what, index, _ := strings.Cut(name, ":")
	i, _ := strconv.Atoi(index)
	switch s := &e.asked; {
	case a.Do == widget.Chosen && a.Value == "stop":
		e.stopSearch()
	case a.Do == widget.Chosen && a.Value == "away":
		e.putAway()
	case what == "way" && a.Do == widget.Chosen:
		all := sorted(s.found)
		if s.ways != nil {
			all = s.ways.Out
		}
		if i < len(all) {
			e.makeChanges(all[i].Changes)
		}
	case what == "choice" && a.Do == widget.Chosen && s.ways != nil && s.ways.Choice != nil:
		e.makeChanges(s.ways.Choice.Changes())
	case what == "front" && a.Do == widget.Chosen && s.ways != nil:
		e.dialog, e.stale = &frontDialog{s.ways}, true
	case what == "lost" && s.plan != nil:
		if rows := s.plan.LostRows(); i < len(rows) {
			e.chooseThese(slices.Clone(rows[i].Of))
		}
	}
}
