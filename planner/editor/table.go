package editor

import (
	"time"

	"echowright/planner"
	"echowright/planner/editor/live"
	"echowright/planner/editor/view"
)

// actions is everything the editor can do by hand, by key or from a menu.
func actions() []action {
	w := words
	return []action{
		{id: "new", menu: w.menuFile, name: w.actNew, keys: "Ctrl+N", help: w.helpNew, do: func(e *Editor) { e.leave(func() { e.dialog = newStart() }) }},
		{id: "sample", menu: w.menuFile, name: w.actSample, help: w.helpSample, do: func(e *Editor) { e.dialog = &sampleDialog{} }},
		{id: "open", menu: w.menuFile, name: w.actOpen, keys: "Ctrl+O", help: w.helpOpen, do: func(e *Editor) { e.wish(Wish{Kind: Open}) }},
		{id: "recent", menu: w.menuFile, name: w.actRecent, keys: "Ctrl+Shift+O", help: w.helpRecent, can: hasRecents, need: w.needRecents, do: func(e *Editor) { e.dialog = recentDialog{} }},
		{id: "save", menu: w.menuFile, name: w.actSave, keys: "Ctrl+S", help: w.helpSave, rule: true, can: hasDoc, need: w.needDoc, do: (*Editor).save},
		{id: "save-as", menu: w.menuFile, name: w.actSaveAs, keys: "Ctrl+Shift+S", help: w.helpSaveAs, can: hasDoc, need: w.needDoc, do: (*Editor).saveAs},
		{id: "quit", menu: w.menuFile, name: w.actQuit, keys: "Ctrl+Q", help: w.helpQuit, rule: true, do: (*Editor).quit},

		{id: "undo", menu: w.menuEdit, name: w.actUndo, keys: "Ctrl+Z", help: w.helpUndo, need: w.needChange, can: func(e *Editor) bool { return e.log.Undoes() != "" }, do: (*Editor).undo},
		{id: "redo", menu: w.menuEdit, name: w.actRedo, keys: "Ctrl+Shift+Z / Ctrl+Y", help: w.helpRedo, need: w.needUndone, can: func(e *Editor) bool { return e.log.Redoes() != "" }, do: (*Editor).redo},
		{id: "copy", menu: w.menuEdit, name: w.actCopy, keys: "Ctrl+C", help: w.helpCopy, rule: true, can: hasChosen, need: w.needChosen, do: (*Editor).copyChosen},
		{id: "paste", menu: w.menuEdit, name: w.actPaste, keys: "Ctrl+V", help: w.helpPaste, can: hasDoc, need: w.needDoc, do: func(e *Editor) { e.wish(Wish{Kind: Paste}) }},
		{id: "double", menu: w.menuEdit, name: w.actDouble, keys: "Ctrl+D", help: w.helpDouble, can: hasSensors, need: w.needSensors, do: (*Editor).double},
		{id: "remove", menu: w.menuEdit, name: w.actRemove, keys: "Delete / Backspace", help: w.helpRemove, can: hasChosen, need: w.needChosen, do: (*Editor).remove},
		{id: "mirror", menu: w.menuEdit, name: w.actMirror, keys: "M", help: w.helpMirror, rule: true, can: hasSensors, need: w.needSensors, do: (*Editor).mirrorChosen},
		{id: "spread", menu: w.menuEdit, name: w.actSpread, keys: "E", help: w.helpSpread, need: w.needThree, can: func(e *Editor) bool { return len(e.chosen) > 2 }, do: (*Editor).spreadChosen},
		{id: "square", menu: w.menuEdit, name: w.actSquare, keys: "Q", help: w.helpSquare, can: hasSensors, need: w.needSensors, do: (*Editor).squareChosen},
		{id: "single", menu: w.menuEdit, name: w.actSingle, help: w.helpSingle, can: hasSensors, need: w.needSensors, do: (*Editor).splitChosen},
		{id: "all", menu: w.menuEdit, name: w.actAll, keys: "Ctrl+A", help: w.helpAll, can: hasDoc, need: w.needDoc, do: (*Editor).chooseAll},
		{id: "next", menu: w.menuEdit, name: w.actNext, keys: "N", help: w.helpNext, can: hasDoc, need: w.needDoc, do: func(e *Editor) { e.chooseBy(1) }},
		{id: "previous", menu: w.menuEdit, name: w.actPrevious, keys: "Shift+N", help: w.helpPrevious, can: hasDoc, need: w.needDoc, do: func(e *Editor) { e.chooseBy(-1) }},

		{id: "fit", menu: w.menuLook, name: w.actFit, keys: "F", help: w.helpFit, do: (*Editor).fit},
		{id: "zoom-in", menu: w.menuLook, name: w.actIn, keys: "Plus / Ctrl+Plus", help: w.helpIn, do: func(e *Editor) { e.zoom(1.25) }},
		{id: "zoom-out", menu: w.menuLook, name: w.actOut, keys: "Minus / Ctrl+Minus", help: w.helpOut, do: func(e *Editor) { e.zoom(0.8) }},
		{id: "target", menu: w.menuLook, name: w.actTarget, keys: "O", help: w.helpTarget, rule: true, do: (*Editor).nextTarget},
		{id: "state", menu: w.menuLook, name: w.actState, help: w.helpState, need: w.needStates, can: func(e *Editor) bool { return e.shown != nil && len(states(e.shown)) > 1 }, do: (*Editor).nextState},
		looksAction("lobes", w.actLobes, "B", w.helpLobes, func(l *view.Looks) *bool { return &l.Lobes }),
		{id: "beams-strong", menu: w.menuLook, name: w.actBeamsStrong, help: w.helpBeamsStrong, can: hasDoc, need: w.needDoc, on: func(e *Editor) bool { return e.beams.Strong }, do: func(e *Editor) {
			b := e.beams
			b.Strong = !b.Strong
			e.lookAtBeams(b)
		}},
		{id: "beams-height", menu: w.menuLook, name: w.actBeamsHeight, help: w.helpBeamsHeight, can: hasDoc, need: w.needDoc, on: func(e *Editor) bool { return e.beams.AtHeight }, do: func(e *Editor) { e.dialog = newHeight(e) }},
		{id: "beams-usual", name: w.actBeamsUsual, help: w.helpBeamsUsual, need: w.needOther, can: func(e *Editor) bool { return e.beams != planner.Beams{} }, do: func(e *Editor) { e.lookAtBeams(planner.Beams{}) }},
		looksAction("blind", w.actBlind, "H", w.helpBlind, func(l *view.Looks) *bool { return &l.Blind }),
		looksAction("zones", w.actZones, "", w.helpZones, func(l *view.Looks) *bool { return &l.Zones }),
		looksAction("overlaps", w.actOverlaps, "", w.helpOverlaps, func(l *view.Looks) *bool { return &l.Overlaps }),
		looksAction("paths", w.actPaths, "X", w.helpPaths, func(l *view.Looks) *bool { return &l.Paths }),
		looksAction("stops", w.actStops, "", w.helpStops, func(l *view.Looks) *bool { return &l.Stops }),
		looksAction("grid", w.actGrid, "G", w.helpGrid, func(l *view.Looks) *bool { return &l.Grid }),
		{id: "play", menu: w.menuLook, name: w.actPlay, keys: "Space", help: w.helpPlay, rule: true, can: hasCycle, need: w.needCycle, do: (*Editor).play},
		{id: "later", menu: w.menuLook, name: w.actLater, keys: "Period", help: w.helpLater, can: hasCycle, need: w.needCycle, do: func(e *Editor) { e.step(1) }},
		{id: "sooner", menu: w.menuLook, name: w.actSooner, keys: "Comma", help: w.helpSooner, can: hasCycle, need: w.needCycle, do: func(e *Editor) { e.step(-1) }},
		snapAction("snap-step", w.actSnapStep, w.helpSnapStep, true, func(s *Snaps) *bool { return &s.Step }),
		snapAction("snap-axis", w.actSnapAxis, w.helpSnapAxis, false, func(s *Snaps) *bool { return &s.Axis }),
		snapAction("snap-neighbours", w.actSnapNeighbours, w.helpSnapNeighbours, false, func(s *Snaps) *bool { return &s.Neighbours }),
		snapAction("snap-angle", w.actSnapAngle, w.helpSnapAngle, false, func(s *Snaps) *bool { return &s.Angle }),
		searchAction("ways", w.actWays, w.helpWays, live.WaysOut), searchAction("margins", w.actMargins, w.helpMargins, live.WhatBreaks),
		{id: "photo", menu: w.menuLook, name: w.actPhoto, help: w.helpPhoto, rule: true, do: func(e *Editor) { e.wish(Wish{Kind: Open}) }},
		{id: "photo-scale", menu: w.menuLook, name: w.actPhotoScale, help: w.helpPhotoScale, can: hasPhoto, need: w.needPhoto, do: func(e *Editor) { e.tool, e.stale = Scaling, true; e.say(w.photoScale) }},
		{id: "photo-faint", menu: w.menuLook, name: w.actPhotoFaint, help: w.helpPhotoFaint, can: hasPhoto, need: w.needPhoto, on: func(e *Editor) bool { return e.photo != nil && e.photo.faint }, do: func(e *Editor) { e.photo.faint, e.stale = !e.photo.faint, true }},
		{id: "photo-away", menu: w.menuLook, name: w.actPhotoAway, help: w.helpPhotoAway, can: hasPhoto, need: w.needPhoto, do: func(e *Editor) { e.photo, e.stale = nil, true }},
		{id: "dark", menu: w.menuLook, name: w.actDark, keys: "Ctrl+L", help: w.helpDark, rule: true, on: func(e *Editor) bool { return e.dark }, do: (*Editor).turnPaper},
		{id: "sheet", name: w.sheet, keys: "V", help: w.helpSheet, do: func(e *Editor) { e.drawer, e.stale = !e.drawer, true }},

		{id: "take-away", menu: w.menuHand, name: w.actTake, keys: "Ctrl+E", help: w.helpTake, can: hasDoc, need: w.needDoc, do: (*Editor).takeAway},
		{id: "compare", menu: w.menuLook, name: w.actCompare, help: w.helpCompare, can: func(e *Editor) bool { return e.doc != nil && e.read.value != nil }, need: w.needDoc, do: func(e *Editor) { e.dialog = newCompare(e) }},
		{id: "about", menu: w.menuHand, name: w.actAbout, help: w.helpAbout, rule: true, do: (*Editor).about},
		{id: "help", name: w.help, keys: "F1", help: w.helpHint, do: func(e *Editor) { e.dialog = &findDialog{} }},

		toolAction("tool-choose", w.toolChoose, "A", w.helpChoose, Choosing),
		toolAction("tool-mount", w.toolMount, "S", w.helpMount, Mounting),
		toolAction("tool-zone", w.toolZone, "Z", w.helpZone, Zoning),
		toolAction("tool-probe", w.toolProbe, "P", w.helpProbe, Probing),
		toolAction("tool-measure", w.toolMeasure, "D", w.helpMeasure, Measuring),
		{id: "add-target", name: w.addTarget, help: w.helpAddTarget, can: hasDoc, need: w.needDoc, do: (*Editor).addTarget},
		{id: "what-if", menu: w.menuEdit, name: w.actWhatIf, help: w.helpWhatIf, rule: true, can: hasDoc, need: w.needDoc, do: (*Editor).fourAtOnce},
		{id: "add-kind", menu: w.menuEdit, name: w.addKind, help: w.helpAddKind, rule: true, can: hasDoc, need: w.needDoc, do: func(e *Editor) { e.dialog = newCard(e) }},
		{id: "add-part", name: w.addPart, help: w.helpAddPart, can: hasDoc, need: w.needDoc, do: (*Editor).addPart},

		nudgeAction("nudge-left", w.actNudge, "Left", 1, 0), nudgeAction("nudge-right", w.actNudge, "Right", -1, 0),
		nudgeAction("nudge-left-far", w.actNudgeFar, "Shift+Left", 10, 0), nudgeAction("nudge-right-far", w.actNudgeFar, "Shift+Right", -10, 0),
		nudgeAction("turn-left", w.actTurn, "Up", 0, 1), nudgeAction("turn-right", w.actTurn, "Down", 0, -1),
		nudgeAction("turn-left-far", w.actTurnFar, "Shift+Up", 0, 5), nudgeAction("turn-right-far", w.actTurnFar, "Shift+Down", 0, -5),
	}
}

func hasDoc(e *Editor) bool     { return e.doc != nil }
func hasSensors(e *Editor) bool { return len(e.chosen) > 0 && e.editable() }
func hasPhoto(e *Editor) bool   { return e.photo != nil }
func hasCycle(e *Editor) bool   { return e.shown != nil && len(e.shown.Schedule.Firings) > 0 }

func hasChosen(e *Editor) bool {
	return e.doc != nil && (len(e.chosen) > 0 || e.entryChosen() != "")
}

func looksAction(id, name, keys, help string, of func(*view.Looks) *bool) action {
	return action{id: id, menu: words.menuLook, name: name, keys: keys, help: help,
		on: func(e *Editor) bool { return *of(&e.looks) },
		do: func(e *Editor) {
			b := of(&e.looks)
			*b = !*b
			e.say(words.turned(name, *b))
		}}
}

func searchAction(id, name, help string, want live.Want) action {
	return action{id: id, menu: words.menuLook, name: name, help: help, rule: want == live.WaysOut, can: canAsk, need: words.needPlan,
		on: func(e *Editor) bool { return e.asked.busy && e.asked.want == want },
		do: func(e *Editor) { e.askFor(want) }}
}

func snapAction(id, name, help string, rule bool, of func(*Snaps) *bool) action {
	return action{id: id, menu: words.menuLook, name: name, help: help, rule: rule,
		on: func(e *Editor) bool { return *of(&e.snaps) },
		do: func(e *Editor) {
			b := of(&e.snaps)
			*b = !*b
			e.say(words.turned(name, *b))
		}}
}

func toolAction(id, name, keys, help string, t Tool) action {
	return action{id: id, name: name, keys: keys, help: help, can: hasDoc, need: words.needDoc, do: func(e *Editor) {
		e.tool, e.stale = t, true
		if t != Choosing {
			e.drawer = false
		}
	}}
}

// nudgeAction moves the chosen sensors by millimetres along the outline, or turns them by degrees.
func nudgeAction(id, name, keys string, mm, deg float64) action {
	return action{id: id, name: name, keys: keys, help: words.helpNudge, can: hasSensors, need: words.needSensors, do: func(e *Editor) { e.nudge(mm, deg) }}
}

func nameOf(id string) string {
	a, _ := named(id)
	return a.name
}

func (e *Editor) zoom(factor float64) {
	e.cam, e.stale = e.cam.ZoomAt(e.cam.Area.Middle(), factor), true
}

func (e *Editor) nextTarget() {
	names := e.targets()
	if len(names) == 0 {
		return
	}
	e.looks.Target = names[(indexOf(names, e.looks.Target)+1)%len(names)]
	e.say(words.beamsFor(e.looks.Target))
}

func (e *Editor) nextState() {
	names := states(e.shown)
	e.looks.State = names[(indexOf(names, e.looks.State)+1)%len(names)]
	e.say(words.stateShown(e.looks.State))
}

// indexOf is the place of a name; the first when it is not there, as the drawing shows that then.
func indexOf(names []string, name string) int {
	for i, n := range names {
		if n == name {
			return i
		}
	}
	return 0
}

func (e *Editor) play() {
	e.playing = !e.playing
	e.looks.Marked, e.stale = true, true
}

// step moves the time mark by a hundredth of the cycle.
func (e *Editor) step(by int) {
	cycle := millis(e.shown.Schedule.CycleUs)
	e.playing, e.looks.Marked, e.stale = false, true, true
	e.mark = ((e.mark+time.Duration(by)*cycle/100)%cycle + cycle) % cycle
}

// turnPaper goes from light to dark and back, and keeps that for the next start.
func (e *Editor) turnPaper() {
	e.dark, e.stale = !e.dark, true
	paper := "light"
	if e.dark {
		paper = "dark"
	}
	e.wish(Wish{Kind: Paper, Text: paper})
}

func (e *Editor) about() {
	e.dialog = &askDialog{title: words.aboutTitle, text: words.aboutText(), answers: []answer{{words.close, func() {}}}}
}

var _ Analysis = (*live.Runner)(nil)
