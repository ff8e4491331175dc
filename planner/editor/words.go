package editor

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner"
	"echowright/planner/editor/canvas"
	"echowright/planner/layout"
	"echowright/planner/plan"
)

// words is every text the editor shows that is not made by the planner: one place to read and to translate them.
var words = wordList{
	seen: "Seen", blindSpots: "Widest hidden thing", blindShort: "Widest hidden", disturbanceShort: "Disturbed", cycleShort: "Cycle", elseAsBefore: "else as before", allAsBefore: "all as before", disturbance: "Pairs disturbed", firingCycle: "Firing cycle", shortestCycle: "Firing cycle, shortest",
	notAsked: "not asked yet", notKept: "not kept", mendFirst: "Parts of the file at fault are left out of the plan; mend them first, then all of it can be taken away.", square: "square to the outline", reckoning: "reckoning",
	untitled: "not saved yet", nothingOpen: "Nothing open", machine: "The machine", mounting: "Mounting",
	zone: "zone", part: "part", target: "target", assumed: "assumed", ownKind: "of this layout", no: "no", wholeFile: "the file", fault: "fault",
	sheet: "Values", cancel: "Cancel", close: "Close",

	timingHeading: "Timing", supplyHeading: "Supply", elseHeading: "The rest",
	differ: "differ", about: "≈ ", on: "on", unknownFigure: "unknown",
	aboutIs: "≈ an estimate: neither off a datasheet nor from the bench", estimateHint: "≈ stands before an estimate: a figure neither off a datasheet nor from the bench.",
	borderHint: "Pull up or down, or use the arrow keys, to share the room; a double click gives back what is usual.",
	faultHint:  "Click to see the line as it stands in the file.",

	bodyHeading: "Body", motionHeading: "Motion", wishesHeading: "Wishes for the firing", controllerHeading: "Controller",
	airHeading: "Weather", aroundHeading: "Around the machine", toleranceHeading: "Tolerances",
	sensorsHeading: "Sensors", zonesHeading: "Zones: where something must be seen", targetsHeading: "Targets: what must be seen", partsHeading: "Parts of the body",

	better: "What could be better", noFindings: "Nothing to look at.", nextStep: "Next step", faultHow: "The file is as it was; mend the line in a text editor, or undo.",
	stepSensor: "Mount the first sensor", stepSensorHelp: "Click on the machine's edge; a twin is mounted on the other side unless you say otherwise. Press and pull for a row.", stepSensorButton: "Mount",
	stepZone: "Say where something must be seen", stepZoneHelp: "Press on the machine's edge and pull outward for a band along it, or draw a rectangle beside it.", stepZoneButton: "Draw a zone",

	howMany: "How many", howManyHint: "A whole number from 1. Several stand evenly from where you press to where you let go.",
	mirrored: "Mirrored on the other side", mirroredHint: "A twin stands on the other side of the middle line.",
	mountHow: "Click on the edge. Press and pull along one side for a row.", mountOnEdge: "Click nearer to the machine's edge.",
	rowOnOneSide: "A row stands along one side of the machine.", rowNoTwin: "This row has no twin: it crosses the middle line, or there is no such place on the other side.", notYet: "Still reckoning; try again in a moment.",
	zoneDrag: "Press and pull: from the edge outward, or over a rectangle.",

	nothingToPaste: "There is no sensor or zone on the clipboard.", cannotMirror: "A row, or a sensor on the middle line, has no twin.",
	spreadThree: "Choose three sensors or more on the outline.", fourAtOnce: "read four at once",

	walk: "Walk", rest: "Rest", walkHint: "Lets the sound travel over the drawing, slower than life.",
	help: "What can I do here?", helpHint: "Lists everything that can be done, with its key; type to find it.",

	startTitle: "What moves?", startText: "Four figures make a machine to start from. All can be changed later.", startMake: "Make it", startSample: "See a sample", startOpen: "Open a file",
	kindOfModule: "kind of module", kindsHeading: "Kinds of module of this layout", leftOpen: "left open",
	addKind: "Describe a module by its card…", helpAddKind: "Range, blind distance and beam as printed; what is not known is left open and counts as an estimate.",
	cardTitle: "What is printed on its card?", cardText: "Leave open what you do not know: it is taken from the kind it is most like, and marked as an estimate.", cardDo: "Add the kind",
	droppedNone: "Nothing that was dropped is a layout or a PNG or JPEG picture.", neither: "it is no layout and no PNG or JPEG picture", pasteTooLong: "The clipboard holds too much for a value.",
	photoSizable: "the picture would be narrower than 1 mm or wider than 10 km; give the true length of the line",
	photoLater:   "The picture lies underneath as soon as there is a machine.",
	photoScale:   "Draw a line over the picture whose true length you know; Shift moves the picture.",
	scaleTitle:   "How long is that?", scaleText: "The picture is made as large as this line truly is.", scaleDo: "Bring to scale", scaleLength: "True length",
	actPhoto: "Picture underneath…", helpPhoto: "Lays a photo or drawing, PNG or JPEG, under the drawing; or drop one on the window.", actPhotoScale: "Bring the picture to scale", helpPhotoScale: "Draw a line over it and say how long that truly is.",
	actPhotoFaint: "Picture faint", helpPhotoFaint: "Shows the picture fainter.", actPhotoAway: "Take the picture away", helpPhotoAway: "Removes the picture underneath.",
	warning: "First warning", keptLater: "Later", leaveSave: "Save, then go on",
	triedWord: "tried", takeBack: "Take it back", keepIt: "Keep it",
	startWay: "Watched going", startWayHint: "Forward for a robot, backward for a reversing aid.", forward: "forward", backward: "backward", wayBehind: "way behind",
	moreThanNothing: "give more than 0", notBelowNothing: "give 0 or more", samplesTitle: "Samples", samplesText: "Machines of our own invention, to look at and to change.",
	pathEmpty: "give a name", pathTaken: "a kind of this layout is called that already",
	findTitle: "What can I do here?", findText: "type what you want to do", findNone: "nothing is called that; try another word",
	leaveTitle: "Keep your changes?", leaveKeep: "Stay here", leaveLose: "Go on without them",
	changedTitle: "The file changed on the disk", changedKeep: "Keep mine", changedTake: "Take the one on the disk", changedName: "take the file from the disk",
	keptTitle: "Unsaved work was kept", keptTake: "Go on with it", keptLeave: "Throw it away",
	aboutTitle: "Echowright",

	actWays: "Look for ways out", helpWays: "Tries what makes the firing cycle shorter, reckons the whole plan again with each, and shows what it brings and costs; asked again, or with Escape, it stops.",
	actMargins: "What breaks first", helpMargins: "Finds by how little clock, weather, heading and the like may differ before a demand fails, and what is lost when one sensor is dead; asked again, or with Escape, it stops.",
	needPlan: "wait for the firing plan of a whole machine first", searchStopped: "The search is stopped", searchStop: "Stop", putAway: "Put away",
	waysHead: "ways out", marginsHead: "what breaks first", waysBusy: "Looking for ways out …", marginsBusy: "Reckoning what breaks first …", busyText: "It ends when the layout changes; Escape stops it.",
	searchFailed: "This could not be reckoned", waysNone: "None was found", chosenHead: "windows together", frontHead: "range against cycle", frontLabel: "No window that can be set longer than …",
	ifFails: "if it fails", keptFirst: "With this firing plan", anewFirst: "With a firing plan made anew", nothingLost: "nothing more is missed", waysEach: "Each was made and the whole plan reckoned again; the least to be done comes first.",

	frontTitle: "Range against cycle", frontText: "What is seen when no window that can be set is longer than the limit below each point; filled where every demand is met.", showPicture: "As a picture",
	refreshHow: "How often a sensor fires is typed at the sensor.",

	startRecent: "Open a recent file", recentTitle: "Open a recent file", recentText: "type a part of its name", recentNone: "no recent file is called that",
	actRecent: "Open a recent file…", helpRecent: "Lists the layouts opened or saved last.",
	pathUp: "Up", pathIsFolder: "folder", pathIsPicture: "picture",
	pathHint:    "Type a name, a part of one or a whole path; the arrows go along the list, Alt with the arrow up goes to the folder above.",
	changedStay: "Leave it as it is here", overTitle: "Write over it?", overNot: "Choose another name", overDo: "Write over it",

	actCompare: "Compare two kinds of module…", helpCompare: "Range, beam, timing and current of two kinds side by side.",
	compareTitle: "Two kinds side by side", compareText: "In this machine's weather and against its targets. Point at a figure to see where it comes from.", compareThis: [2]string{"one", "two"},

	needDoc: "make or open a machine first", needSensors: "choose a sensor first", needChosen: "choose a sensor or a zone first", needPhoto: "lay a picture underneath first",
	needCycle: "mount sensors first", needRecents: "no file was opened before", needChange: "nothing was changed yet", needUndone: "nothing was taken back", needThree: "choose three sensors first",
	needStates: "this machine has one state only", needOther: "they are shown", cardFar: "the farthest range must lie beyond the nearest", cardNear: "the nearest range must lie below the farthest", squareAlready: "Square to the outline already.",

	menuFile: "File", menuEdit: "Edit", menuLook: "Look", menuHand: "Hand over",
	actNew: "New machine…", helpNew: "Asks what moves and makes body, targets and zones from that.",
	actSample: "New from a sample…", helpSample: "Opens one of the machines that come with the program.",
	actOpen: "Open…", helpOpen: "Opens a layout file.", actSave: "Save", helpSave: "Writes the file; your comments and blank lines stay.",
	actSaveAs: "Save as…", helpSaveAs: "Writes the layout under another name.", actQuit: "Leave", helpQuit: "Closes the window.",
	actUndo: "Undo", helpUndo: "Takes the last change back.", actRedo: "Redo", helpRedo: "Makes the change again that was taken back.",
	actCopy: "Copy", helpCopy: "Copies the chosen sensors or zone as they stand in the file.", actPaste: "Paste", helpPaste: "Adds the sensors or zones that were copied, under free names.",
	actDouble: "Duplicate", helpDouble: "Mounts another of the same a little further on.", actRemove: "Remove", helpRemove: "Takes the chosen things out.",
	actMirror: "Mirror", helpMirror: "Gives the chosen sensors a twin on the other side, or takes it away.", actSpread: "Spread evenly", helpSpread: "Puts the chosen sensors at even distances between the first and the last.",
	actSquare: "Turn square", helpSquare: "Turns the chosen sensors square to the outline.", actSingle: "Make single sensors", helpSingle: "Makes of a pair or a row as many single sensors, each where it is.",
	actAll: "Choose all sensors", helpAll: "Chooses every sensor.", actNext: "Next sensor", helpNext: "Goes round the sensors.", actPrevious: "Previous sensor", helpPrevious: "Goes round the sensors the other way.",
	actFit: "Show all", helpFit: "Shows the machine, its zones and beams.", actIn: "Nearer", helpIn: "Makes the drawing larger.", actOut: "Farther", helpOut: "Makes the drawing smaller.",
	actTarget: "Beams for the next target", helpTarget: "A beam is where a target is seen for certain; each target has its own.", actState: "Next state", helpState: "Shows the machine in its next state.",
	actBeamsStrong: "Beams at their strongest", helpBeamsStrong: "Shows how far they reach at the highest supply, in the weather that swallows least; what counts as seen stays as it is.",
	actBeamsHeight: "Beams at a height…", helpBeamsHeight: "Shows where a ball as wide as the target is seen at one height.",
	actBeamsUsual: "Beams that decide", helpBeamsUsual: "Shows the beams again that decide what is seen: of the whole target, at the weak end of supply and weather.",
	beamsHeightText: "A ball as wide as the target stands in for it, its middle at this height. Leave it empty for the target itself.", beamsHeightDo: "Look there", notBelowGround: "a height above the ground, from 0 m",
	actLobes: "Beams", helpLobes: "Shows where each sensor sees the target for certain.", actBlind: "Blind spots", helpBlind: "Shows what is unseen, hatched, and why.",
	actZones: "Zones", helpZones: "Shows where something must be seen.", actOverlaps: "Overlaps", helpOverlaps: "Marks where the chosen beams overlap.",
	actPaths: "Disturbance paths", helpPaths: "Shows the way the loudest foreign sound takes.", actStops: "Stopping distance", helpStops: "Shows the first warning against the way needed to stop.", actGrid: "Grid", helpGrid: "Shows lines in round units.",
	actPlay: "Walk through the cycle", helpPlay: "Lets the sound travel over the drawing, slower than life.", actLater: "A hundredth later", helpLater: "Moves the time mark on.", actSooner: "A hundredth sooner", helpSooner: "Moves the time mark back.",
	actSnapStep: "Keep to round lengths", helpSnapStep: "A dragged sensor stops at round lengths; hold Alt to go freely.", actSnapAxis: "Keep to the middle lines", helpSnapAxis: "A dragged sensor stops at the middle of a side.",
	actSnapNeighbours: "Keep to neighbours", helpSnapNeighbours: "A dragged sensor stops halfway between its neighbours and opposite another.", actSnapAngle: "Keep to round angles", helpSnapAngle: "A turned sensor stops square to the outline and at every five degrees.",
	actDark: "Dark paper", helpDark: "Light or dark.", helpSheet: "Shows or hides the values in a narrow window.",
	actTake: "Take everything away…", helpTake: "Layout, report, drawing, firing table in C, tables and the plan, in one folder.", actWhatIf: "Try: read four at once", helpWhatIf: "Changes the controller so that it reads four sensors at once, and shows what that brings; undo takes it back.",
	actAbout: "About, and what it is not", helpAbout: "What this program is for, and the cautions.",
	toolChoose: "Choose and move", helpChoose: "Click to choose, drag to move, drag the round grip to turn. Shift adds.", toolMount: "Mount sensors", helpMount: "Click on the machine's edge to mount a sensor.",
	toolZone: "Draw a zone", helpZone: "A zone is where a target must be seen.", toolProbe: "Put a target down", helpProbe: "Click anywhere: who sees a target there, or why nobody does.",
	toolMeasure: "Measure", helpMeasure: "Drag between any two places.", addTarget: "Add a target", helpAddTarget: "A target is what must be seen: a post, a wall, a kerb.", addPart: "Add a part", helpAddPart: "A part sticks out of the body and may shade a beam or answer it.",
	actNudge: "Nudge by 1 mm", actNudgeFar: "Nudge by 10 mm", actTurn: "Turn by 1 deg", actTurnFar: "Turn by 5 deg", helpNudge: "Moves the chosen sensors along the outline, or turns them.",
}

type wordList struct {
	actCompare, helpCompare, compareTitle, compareText                                                                                                                                                                                                                                                                                                                                                                                                                          string
	compareThis                                                                                                                                                                                                                                                                                                                                                                                                                                                                 [2]string
	droppedNone, neither, pasteTooLong, photoSizable, photoLater                                                                                                                                                                                                                                                                                                                                                                                                                string
	timingHeading, supplyHeading, elseHeading, differ, about, on, unknownFigure, aboutIs, estimateHint, borderHint, faultHint                                                                                                                                                                                                                                                                                                                                                   string
	seen, blindSpots, disturbance, firingCycle, notAsked, square, reckoning, untitled                                                                                                                                                                                                                                                                                                                                                                                           string
	nothingOpen, machine, mounting, zone, part, target, assumed, ownKind, shortestCycle, warning, keptLater, leaveSave, kindOfModule, kindsHeading, leftOpen, addKind, helpAddKind, cardTitle, cardText, cardDo, photoScale, scaleTitle, scaleText, scaleDo, scaleLength, actPhoto, helpPhoto, actPhotoScale, helpPhotoScale, actPhotoFaint, helpPhotoFaint, actPhotoAway, helpPhotoAway, triedWord, takeBack, keepIt, startWay, startWayHint, forward, backward, wayBehind, no string
	wholeFile, fault, sheet, cancel, close, bodyHeading, motionHeading, wishesHeading                                                                                                                                                                                                                                                                                                                                                                                           string
	controllerHeading, airHeading, aroundHeading, toleranceHeading, sensorsHeading, zonesHeading, targetsHeading, partsHeading                                                                                                                                                                                                                                                                                                                                                  string
	better, noFindings, nextStep, faultHow, stepSensor, stepSensorHelp, stepSensorButton, stepZone                                                                                                                                                                                                                                                                                                                                                                              string
	stepZoneHelp, stepZoneButton, howMany, howManyHint, mirrored, mirroredHint, mountHow, mountOnEdge                                                                                                                                                                                                                                                                                                                                                                           string
	rowOnOneSide, notYet, zoneDrag, nothingToPaste, cannotMirror, spreadThree, fourAtOnce                                                                                                                                                                                                                                                                                                                                                                                       string
	walk, rest, walkHint, help, helpHint, startTitle, startText, startMake                                                                                                                                                                                                                                                                                                                                                                                                      string
	startSample, startOpen, moreThanNothing, samplesTitle, samplesText, pathEmpty, findTitle                                                                                                                                                                                                                                                                                                                                                                                    string
	findText, findNone, leaveTitle, leaveKeep, leaveLose, changedTitle, changedKeep, changedTake                                                                                                                                                                                                                                                                                                                                                                                string
	notKept, mendFirst, actBeamsStrong, helpBeamsStrong, actBeamsHeight, helpBeamsHeight, actBeamsUsual, helpBeamsUsual, beamsHeightText, beamsHeightDo, notBelowGround                                                                                                                                                                                                                                                                                                         string
	changedName, keptTitle, keptTake, keptLeave, aboutTitle, menuFile, menuEdit, menuLook                                                                                                                                                                                                                                                                                                                                                                                       string
	menuHand, actNew, helpNew, actSample, helpSample, actOpen, helpOpen, actSave                                                                                                                                                                                                                                                                                                                                                                                                string
	helpSave, actSaveAs, helpSaveAs, actQuit, helpQuit, actUndo, helpUndo, actRedo                                                                                                                                                                                                                                                                                                                                                                                              string
	helpRedo, actCopy, helpCopy, actPaste, helpPaste, actDouble, helpDouble, actRemove                                                                                                                                                                                                                                                                                                                                                                                          string
	helpRemove, actMirror, helpMirror, actSpread, helpSpread, actSquare, helpSquare, actSingle                                                                                                                                                                                                                                                                                                                                                                                  string
	helpSingle, actAll, helpAll, actNext, helpNext, actPrevious, helpPrevious, actFit                                                                                                                                                                                                                                                                                                                                                                                           string
	helpFit, actIn, helpIn, actOut, helpOut, actTarget, helpTarget, actState                                                                                                                                                                                                                                                                                                                                                                                                    string
	helpState, actLobes, helpLobes, actBlind, helpBlind, actZones, helpZones, actOverlaps                                                                                                                                                                                                                                                                                                                                                                                       string
	helpOverlaps, actPaths, helpPaths, actStops, helpStops, actGrid, helpGrid, actPlay                                                                                                                                                                                                                                                                                                                                                                                          string
	helpPlay, actLater, helpLater, actSooner, helpSooner, actSnapStep, helpSnapStep, actSnapAxis                                                                                                                                                                                                                                                                                                                                                                                string
	helpSnapAxis, actSnapNeighbours, helpSnapNeighbours, actSnapAngle, helpSnapAngle, actDark, helpDark, helpSheet                                                                                                                                                                                                                                                                                                                                                              string
	actTake, helpTake, actWhatIf, helpWhatIf, actAbout, helpAbout, toolChoose, helpChoose                                                                                                                                                                                                                                                                                                                                                                                       string
	toolMount, helpMount, toolZone, helpZone, toolProbe, helpProbe, toolMeasure, helpMeasure                                                                                                                                                                                                                                                                                                                                                                                    string
	addTarget, helpAddTarget, addPart, helpAddPart, actNudge, actNudgeFar, actTurn, actTurnFar                                                                                                                                                                                                                                                                                                                                                                                  string
	helpNudge                                                                                                                                                                                                                                                                                                                                                                                                                                                                   string

	startRecent, recentTitle, recentText, recentNone, actRecent, helpRecent                                                                                         string
	needDoc, needSensors, needChosen, needPhoto, needCycle, needRecents, needChange, needUndone, needThree, needStates, needOther                                   string
	pathTaken, cardFar, cardNear, squareAlready, notBelowNothing, rowNoTwin                                                                                         string
	pathUp, pathIsFolder, pathIsPicture, pathHint                                                                                                                   string
	changedStay, overTitle, overNot, overDo                                                                                                                         string
	actWays, helpWays, actMargins, helpMargins, needPlan, searchStopped, searchStop, putAway, waysHead, marginsHead, waysBusy, marginsBusy, busyText                string
	searchFailed, waysNone, chosenHead, frontHead, frontLabel, ifFails, keptFirst, anewFirst, nothingLost, waysEach, refreshHow, frontTitle, frontText, showPicture string
	blindShort, disturbanceShort, cycleShort, elseAsBefore, allAsBefore                                                                                             string
}

// The titles of verdicts, the full one first, then shorter ones for plates that have no room for it.
func (wordList) seenIn(zone, state string) []string {
	return titles(join2(", ", "Seen in "+zone, state), "Seen in "+zone)
}

func (wordList) warningOf(target, state string) []string {
	return titles(join2(", ", words.warning, target, state), join2(", ", "Warning", target, state), "Warning, "+target)
}

func titles(all ...string) []string { return slices.Compact(all) }

func (wordList) needed(m string) string   { return "needed " + m }
func (wordList) asked(what string) string { return "asked " + what }

// hides is how wide a thing can hide, and the same where there is less room.
func (wordList) hides(m float64, held bool) (full, brief string) {
	switch {
	case m < slimM:
		return "nothing wider than 1 mm", "under 1 mm"
	case held:
		return "at least " + plan.Millimetres(m), ""
	}
	return "up to " + plan.Millimetres(m), ""
}

// slimM is the width below which a hidden thing counts as none, as in the summary.
const slimM = 0.001

func (wordList) ofPairs(n, all int) string { return fmt.Sprintf("%d of %d", n, all) }

func (wordList) asOften(n, all int) string {
	if all == 1 && n == 1 {
		return "as often as asked"
	}
	return fmt.Sprintf("%d of %d as often as asked", n, all)
}

func (wordList) why(cycle string) string { return "Why the cycle takes " + cycle }

// targetNow and stateNow are on the buttons over the drawing that name what it shows.
func (wordList) targetNow(t string) string { return "Target: " + t + "  ›" }
func (wordList) stateNow(s string) string  { return "State: " + s + "  ›" }

func (wordList) wallsFrom(m [2]float64, bounces int) string {
	if bounces == 0 || m[0] > m[1] {
		return "no walls"
	}
	return fmt.Sprintf("walls %g..%g m", m[0], m[1])
}

func (wordList) within(budget string) string { return "of " + budget }

func (wordList) state(s State) string {
	return map[State]string{NotAsked: "not asked yet", Working: "reckoning", Met: "met", Look: "look at it", NotMet: "not met"}[s]
}

func (wordList) plateHint(id string) string {
	return map[string]string{
		"seen":        "Share of a zone's area in which its target is seen for certain: at the lowest supply, in the air that swallows most.",
		"blind":       "The widest target that can stand in a zone and not be seen.",
		"disturbance": "Pairs of sensors, a sensor with itself included, of which one can take the other's sound for an echo of its own.",
		"warning":     "How far ahead a target is seen for certain and without a break, against the way needed to stop.",
		"cycle":       "The time in which every sensor fires once; then it begins anew.",
	}[id]
}

func (wordList) middleOf(side string) string { return "middle of the " + side }
func (wordList) mirrorOf(name string) string { return "mirrors " + name }
func (wordList) halfway(a, b string) string  { return "halfway between " + a + " and " + b }
func (wordList) steps(step string) string    { return "steps of " + step }

func (wordList) quarter(k int) string {
	return []string{"straight ahead", "to the left", "straight back", "to the right"}[k]
}

func (wordList) sensors(n int) string       { return fmt.Sprintf("%d sensors", n) }
func (wordList) sensorOf(i, n int) string   { return fmt.Sprintf("sensor %d of %d", i, n) }
func (wordList) undone(name string) string  { return "Taken back: " + name }
func (wordList) redone(name string) string  { return "Made again: " + name }
func (wordList) saved(name string) string   { return "Saved as " + name }
func (wordList) takenAway(to string) string { return "Everything is in " + to }
func (wordList) mounted(name string) string { return "Mounted " + name }

func (wordList) mountedBoth(name, other string) string {
	return "Mounted " + name + " and, mirrored, " + other
}

func (wordList) rowPull(n int) string {
	return fmt.Sprintf("Press and pull along one side of the machine for a row of %d.", n)
}

// beamsLookedAt says which beams are drawn, where they are not those that decide.
func (wordList) beamsLookedAt(b planner.Beams) string {
	at := ""
	if b.AtHeight {
		at = " of a ball at " + lengthText(b.HeightM)
	}
	switch {
	case b.Strong:
		return "Beams" + at + " at their strongest"
	case b.AtHeight:
		return "Beams" + at
	}
	return ""
}

// also are words by which an action is found beside those that are shown.
func (wordList) also(id string) string {
	return map[string]string{
		"new": "start begin create machine robot vehicle", "sample": "example demo template", "open": "load file import read", "recent": "history last files load",
		"save": "write store keep file", "save-as": "write store keep copy rename file", "quit": "exit close end", "undo": "back revert", "redo": "again forward repeat",
		"copy": "clipboard", "paste": "clipboard insert", "double": "copy clone another", "remove": "delete erase clear cut", "mirror": "twin pair flip symmetric other side",
		"spread": "distribute align space even row", "square": "straight perpendicular normal heading rotate", "single": "split separate ungroup row pair", "all": "select everything",
		"next": "select forward", "previous": "select back", "fit": "view zoom everything reset centre", "zoom-in": "view larger bigger magnify", "zoom-out": "view smaller",
		"target": "view object post wall obstacle", "state": "view open closed mode", "lobes": "view cones field coverage range show hide", "beams-strong": "view maximum reach farthest",
		"beams-height": "view level slice", "beams-usual": "view normal certain", "blind": "view gaps holes coverage unseen show hide", "zones": "view areas regions show hide",
		"overlaps": "view double coverage common show hide", "paths": "view crosstalk interference disturb echo noise show hide", "stops": "view braking warning speed show hide", "grid": "view lines raster scale show hide",
		"play": "simulate simulation animate run cycle firing time sound", "later": "simulate step time forward", "sooner": "simulate step time back",
		"snap-step": "snap magnet grid round", "snap-axis": "snap magnet centre", "snap-neighbours": "snap magnet between", "snap-angle": "snap magnet degrees",
		"photo": "image background photo drawing import", "photo-scale": "image size calibrate", "photo-faint": "image transparent", "photo-away": "image remove delete",
		"dark": "view theme night colours light black white", "sheet": "view properties panel side", "take-away": "export report print pdf svg csv code firmware output table drawing",
		"what-if": "simulate compare try capture parallel", "about": "version licence caution warning help", "help": "keys shortcuts commands", "tool-choose": "select move drag pointer",
		"tool-mount": "add place new sensor module", "tool-zone": "add new area region coverage", "tool-probe": "test simulate object obstacle who sees", "tool-measure": "ruler distance length tape",
		"add-target": "new object obstacle post", "add-kind": "new module datasheet sensor type", "add-part": "new obstacle shade bracket wheel",
		"nudge-left": "move shift", "nudge-right": "move shift", "nudge-left-far": "move shift", "nudge-right-far": "move shift",
		"turn-left": "rotate heading", "turn-right": "rotate heading", "turn-left-far": "rotate heading", "turn-right-far": "rotate heading",
		"ways": "search mend repair shorter faster cycle remedy fix optimise solve advice", "margins": "robust tolerance sensitivity failure dead fail drift worst limits reserve",
		"compare": "versus side by side difference better",
	}[id]
}

// turned says that something is shown or kept to now, or no longer.
func (wordList) turned(name string, on bool) string {
	if on {
		return name + ": on"
	}
	return name + ": off"
}

// What was done at a key's press.
func (wordList) twinGiven(names []string) string {
	if len(names) > 1 {
		return "Mirrored " + some(names) + ": their twins mounted"
	}
	return "Mirrored " + some(names) + ": its twin mounted"
}

func (wordList) twinTaken(names []string) string {
	if len(names) > 1 {
		return "Mirrored " + some(names) + ": their twins taken away"
	}
	return "Mirrored " + some(names) + ": its twin taken away"
}

func (wordList) removed(names []string) string  { return "Removed " + some(names) }
func (wordList) pastedAs(names []string) string { return "Added " + some(names) }
func (wordList) turnedSquare(names []string) string {
	return "Turned " + some(names) + " square to the outline"
}

func (wordList) spreadFrom(n int, from, to string) string {
	return fmt.Sprintf("Spread %d sensors evenly from %s to %s", n, from, to)
}

func (wordList) beamsFor(t string) string   { return "Beams for " + t }
func (wordList) stateShown(s string) string { return "State " + s }

func (wordList) madeSingle(name string) string {
	return "The row or pair " + name + " became single sensors, so that one can differ"
}

func (wordList) copied(n int) string {
	if n == 1 {
		return "Copied"
	}
	return fmt.Sprintf("Copied %d", n)
}

// Names of changes, as Undo shows them.
func (wordList) moveSensors(names []string) string  { return "move " + some(names) }
func (wordList) turnSensors(names []string) string  { return "turn " + some(names) }
func (wordList) tilt(name string) string            { return "tilt " + name }
func (wordList) raise(name string) string           { return "set the height of " + name }
func (wordList) mount(name string) string           { return "mount " + name }
func (wordList) drawZone(name string) string        { return "draw " + name }
func (wordList) pull(name string) string            { return "pull " + name }
func (wordList) setTo(key, to string) string        { return "set " + key + " to " + to }
func (wordList) remove(names []string) string       { return "remove " + some(names) }
func (wordList) paste(names []string) string        { return "paste " + some(names) }
func (wordList) doubled(names []string) string      { return "duplicate " + some(names) }
func (wordList) mirror(names []string) string       { return "mirror " + some(names) }
func (wordList) squared(names []string) string      { return "turn square " + some(names) }
func (wordList) single(names []string) string       { return "make single " + some(names) }
func (wordList) spreadOut(n int) string             { return fmt.Sprintf("spread %d sensors", n) }
func (wordList) add(name string) string             { return "add " + name }
func (wordList) tryAll(name string) string          { return "turn or tilt " + name }
func (wordList) tryStyle(style string) string       { return "fire in style " + style }
func (wordList) tryReading(n int) string            { return fmt.Sprintf("read %d at once", n) }
func (wordList) tryWindows(name string) string      { return "choose the windows of " + name }
func (wordList) trySeveral(n int) string            { return fmt.Sprintf("%d changes together", n) }
func (wordList) tryEvery(name, every string) string { return "let " + name + " fire every " + every }
func (wordList) tryListen(name, to string) string   { return "let " + name + " listen to " + to }
func (wordList) tryTilt(name, by string) string     { return "tilt " + name + " up by " + by }
func (wordList) taken(what string) string           { return "Tried: " + what + "; undo takes it back" }

func (wordList) tryTurn(name, by string, left bool) string {
	if left {
		return "turn " + name + " by " + by + " to the left"
	}
	return "turn " + name + " by " + by + " to the right"
}

func (wordList) tryMove(name, by string, left bool) string {
	if left {
		return "move " + name + " by " + by + " to the left"
	}
	return "move " + name + " by " + by + " to the right"
}

// Words of what was asked for beside the plan.
func (wordList) wayNumber(n int) string { return fmt.Sprintf("way %d", n) }

func (wordList) foundSoFar(n int) string {
	switch n {
	case 0:
		return "None found yet. " + words.busyText
	case 1:
		return "One found so far. " + words.busyText
	}
	return fmt.Sprintf("%d found so far. ", n) + words.busyText
}

func (wordList) cycleNow(us, budgetUs int64) string {
	switch {
	case us == 0:
		return "There is no table to fire by"
	case budgetUs == 0:
		return "Cycle " + plan.Milliseconds(us)
	}
	return "Cycle " + plan.Milliseconds(us) + " of " + plan.Milliseconds(budgetUs)
}

func (wordList) noneOf(names []string) string {
	return "Nothing that was tried on " + some(names) + " shortens the cycle."
}

// cycleBecomes is what a way makes of the cycle, and whether that is enough.
func (wordList) cycleBecomes(us [2]int64, proven bool) string {
	s := "Cycle " + plan.Milliseconds(us[1])
	if us[0] > 0 {
		s = "Cycle " + plan.Milliseconds(us[0]) + " → " + plan.Milliseconds(us[1])
	}
	if !proven {
		s += ", not proven shortest"
	}
	return s
}

func (wordList) wayEnough(o plan.Way, budgetUs int64) string {
	switch {
	case o.Met:
		return "then all is met"
	case budgetUs == 0:
		return ""
	case o.Fits:
		return "within the " + plan.Milliseconds(budgetUs) + " asked"
	}
	return "not enough by itself"
}

func (wordList) windowBecomes(w plan.ChosenWindow) string {
	return w.Sensor + ": " + plan.Metres(w.ListenM[0]) + " → " + plan.Metres(w.ListenM[1])
}

func (wordList) limitLine(l plan.Limit) string {
	s := plan.Metres(l.ListenM) + ": cycle " + plan.Milliseconds(l.CycleUs)
	if !l.Proven {
		s += " (not proven shortest)"
	}
	return s + "; " + l.Says()
}

// breaks is from where on a quantity breaks something; one line where it breaks nothing.
func (wordList) breaks(r plan.MarginRow) string {
	if r.Refused == r.Unsafe && r.Refused == r.Anew && !r.UnsafeBad && !r.AnewBad {
		return "Breaks: " + r.Refused
	}
	line := func(what, at, why string) string {
		if at != "" && strings.ContainsAny(at[:1], "-0123456789") {
			at = "from " + at + " on"
		}
		return what + ": " + join2("; ", at, why)
	}
	return join2("\n", line("Refused", r.Refused, ""), line("Not safe", r.Unsafe, r.UnsafeWhy), line("Made anew, something missed", r.Anew, r.AnewWhy))
}

func (wordList) notReckoned(what []string) string {
	return "The time was up; not reckoned: " + strings.Join(what, "; ")
}

func (wordList) notAskedAbout(missed []string) string {
	return "Not met as it stands, and so not asked about: " + strings.Join(missed, "; ")
}

func (wordList) anewWithout(cycle string) string { return "Made anew without it: cycle " + cycle }
func (wordList) changesTo(what []string) string  { return "Changes: " + strings.Join(what, "; ") }
func (wordList) tableThen(t string) string       { return "This firing plan: " + t }
func (wordList) statedOf(s string) string        { return "stated " + s }

// brought is what a change of the layout did to a verdict. Where it now tells of another state, the title says what both have
// in common, and where it tells of another zone, both are named.
func (wordList) brought(was, is Verdict) string {
	line := was.Title + ": " + was.worth() + " → " + is.Title + ": " + is.worth()
	for _, title := range append([]string{is.Title}, is.Shorter...) {
		if title == was.Title || slices.Contains(was.Shorter, title) {
			line = title + ": " + was.worth() + " → " + is.worth()
			break
		}
	}
	if was.State != is.State && is.worth() != words.state(is.State) {
		line += ", " + words.state(is.State)
	}
	return line
}

func some(names []string) string {
	if len(names) > 2 {
		return fmt.Sprintf("%d sensors", len(names))
	}
	return strings.Join(names, " and ")
}

func (wordList) faults(n int) string {
	if n == 1 {
		return "One thing wrong in the file"
	}
	return fmt.Sprintf("%d things wrong in the file", n)
}

// Words of the value sheet.
func (wordList) takenFrom(kind string) string { return "Taken from " + kind + ", which it is like." }
func (wordList) count(n int) string           { return fmt.Sprint(n) }

func (wordList) writtenOf(written, all int) string {
	switch {
	case all == 0:
		return ""
	case written == 0:
		return "assumed"
	case written == all:
		return "all given"
	}
	return fmt.Sprintf("%d of %d given", written, all)
}

func (wordList) figures(reach, blind, beam string) string {
	return "range " + reach + " · blind " + blind + " · beam " + beam
}

func (wordList) lineOf(n int, text string) string {
	if n < 1 {
		return ""
	}
	return fmt.Sprintf("Line %d: %s", n, text)
}

func (wordList) plateName(id string) string {
	return map[string]string{
		"seen": words.seen, "blind": words.blindSpots, "warning": words.warning, "disturbance": words.disturbance, "cycle": words.firingCycle,
	}[id]
}

func (wordList) noFindingOf(plate string) string { return plate + ": nothing to look at" }
func (wordList) toldOf(n int, plate string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d about: %s", n, plate)
}

func (wordList) zoneSize(name, x, y string) string { return name + ": x " + x + ", y " + y }

func (wordList) savedState(unnamed, dirty, lost bool) string {
	switch {
	case lost:
		return "no longer on the disk"
	case dirty:
		return "changes not saved"
	case unnamed:
		return ""
	}
	return "saved"
}

func (wordList) startHint(key string, back bool) string {
	if key == "speed" {
		return "The greatest speed " + words.way(back) + ", such as 0.5 m/s."
	}
	return map[string]string{
		"length": "From the foremost to the hindmost point, such as 0.6 m.", "width": "Across, such as 400 mm.",
		"corner": "Radius of the rounded corners; 0 mm for sharp ones.",
	}[key]
}

func (wordList) startNote(key string, back bool) string {
	return map[string]string{"length": "along its way", "width": "across", "corner": "radius", "speed": "at most, " + words.way(back)}[key]
}

func (wordList) way(back bool) string {
	if back {
		return words.backward
	}
	return words.forward
}

func (wordList) pathTitle(k WishKind) string {
	return map[WishKind]string{Open: "Open a file", SaveAs: "Save as", TakeAway: "Take everything away into a folder"}[k]
}

func (wordList) pathLabel(k WishKind) string {
	if k == TakeAway {
		return "Folder"
	}
	return "File"
}

func (wordList) pathFolder(folder string) string {
	if folder == "" {
		return "Looking what is there …"
	}
	return "In " + folder
}

func (wordList) pathMore(n int, looked bool) string {
	switch {
	case n > 0:
		return fmt.Sprintf("and %d more; type a part of the name", n)
	case looked:
		return "Nothing here is called that."
	}
	return ""
}

func (wordList) pathWrites(n int, to string) string {
	if n == 1 {
		return "Writes one file into " + to
	}
	return fmt.Sprintf("Writes %d files into %s", n, to)
}

func (wordList) pathNothing(name string) string  { return "there is no " + name + " there" }
func (wordList) pathNoFolder(name string) string { return name + " is a file; give a folder" }
func (wordList) overText(name string) string {
	return "There is a file already: " + name + ". What it holds would be lost."
}

func (wordList) overMany(n int, folder string) string {
	if n == 1 {
		return "One of these files is there already, in " + folder + ". What it holds would be lost."
	}
	return fmt.Sprintf("%d of these files are there already, in %s. What they hold would be lost.", n, folder)
}

// failed tells what could not be done and why.
func (wordList) failed(k WishKind, name, why string) string {
	switch k {
	case Save, SaveAs:
		return name + " is not saved: " + why
	case Open, Read:
		return name + " cannot be opened: " + why
	case TakeAway:
		return "Nothing is written: " + why
	case KeepAside:
		return "Unsaved work cannot be kept aside for a crash: " + why
	case Copy:
		return "Copied, for pasting within this window only: " + why
	case Picture:
		return "The picture cannot be shown: " + why
	}
	return why
}

func (wordList) droppedOne(name string, left int) string {
	if left == 1 {
		return "Of two files dropped, " + name + " is taken."
	}
	return fmt.Sprintf("Of %d files dropped, %s is taken.", left+1, name)
}

func (wordList) photoTooLarge(w, h int) string {
	return fmt.Sprintf("a picture of %d by %d pixels is too large; give one of at most %.0f million pixels", w, h, canvas.MostPixels/1e6)
}

func (wordList) photoDamaged(why string) string { return "the picture is damaged (" + why + ")" }

func (wordList) tooLarge(size int) string {
	return fmt.Sprintf("it is no picture, and with %d KiB too large for a layout, which has at most %d", size>>10, layout.MaxSize>>10)
}

func (wordList) lost(name, why string) string {
	if why != "" {
		return name + " can no longer be read (" + why + "); save writes it anew"
	}
	return name + " is no longer there; save writes it anew"
}

func (wordList) mended(name string) string {
	return name + " was changed outside and is read anew; undo brings back what it was"
}

func (wordList) changedClean(name string) string {
	return name + " was changed by another program since it was opened. Nothing was changed here."
}

func (wordList) pathDo(k WishKind) string {
	return map[WishKind]string{Open: "Open", SaveAs: "Save", TakeAway: "Write"}[k]
}

func (wordList) leaveText(name string) string {
	return "The changes to " + name + " are not saved."
}

func (wordList) changedText(name string) string {
	return name + " was changed by another program since it was opened here."
}

func (wordList) keptText(name string) string {
	return "The changes to " + name + " were not saved when the program ended."
}

func (wordList) aboutText() string {
	return "Plans arrays of ultrasonic ranging sensors on robots and vehicles. " + strings.Join(plan.Cautions[:], " ")
}

// key is how the sheet calls a key of the layout.
func (wordList) key(k string) string {
	if name, ok := keyWords[k]; ok {
		return name
	}
	return strings.ToUpper(k[:1]) + strings.ReplaceAll(k[1:], "-", " ")
}

// keyAt is the same of a key below another that it means little without.
func (wordList) keyAt(path, k string) string {
	if path == delaysOf {
		return map[string]string{"way": "Delays", "movers": "Things move", "span": "Delays up to", "seed": "Drawn from"}[k]
	}
	return words.key(k)
}

// delaysCost is what delays against ghosts cost.
func (wordList) delaysCost(d *plan.Delays) string {
	switch {
	case d == nil:
		return ""
	case d.Cannot != "":
		return "No delays: " + d.Cannot
	}
	s := "Delays, " + d.Way + ": firings come up to " + plan.Milliseconds(d.MostUs) + " later"
	if d.ConfirmUs > 0 {
		s += "; two readings that agree take up to " + plan.Milliseconds(d.ConfirmUs)
	}
	if d.WithoutUs > 0 {
		s += "; without them the cycle takes " + plan.Milliseconds(d.WithoutUs)
	}
	return s + "."
}

var keyWords = map[string]string{
	"from": "Counted from", "arc": "Along outline", "listen-to": "Listens to", "pair": "Twin", "count": "How many", "pair-axis": "Pair stands",
	"left": "To the left", "right": "To the right", "forward": "Forward", "back": "Back", "spread": "From, to", "place": "Place x, y",
	"seen-by": "Seen by at least", "share": "Share seen", "largest-gap": "Largest gap", "only-in": "Only in state", "past-corners": "Past corners",
	"wider-by": "Wider by", "rectangle": "Length, width", "corner": "Corner radius", "speed": "Top speed", "cycle": "Cycle at most",
	"horizontal": "Beam across", "vertical": "Beam upright", "meaning": "Beam's edge at", "never-below": "Beam never below", "blind": "Blind up to",
	"at-once": "Read at once", "refresh": "Fires every", "clock-error": "Clock error", "pin-level": "Pin level",
}

func (wordList) card(key string) string {
	return map[string]string{
		"name": "Called", "like": "Most like", "range": "Farthest range", "against": "Measured against", "blind": "Nearest range",
		"beam": "Beam, full width", "carrier": "Frequency", "busy": "Busy without echo", "peak": "Peak current",
	}[key]
}

func (wordList) cardHint(key string) string {
	return map[string]string{
		"name": "A name of your own for this kind of module.", "like": "What is left open is taken from this kind.",
		"range": "As printed, such as 4 m; what ended it is taken as unknown.", "against": "Most cards mean a large flat wall.",
		"blind": "The least distance it measures, such as 20 mm.", "beam": "From edge to edge, such as 30 deg; taken at -6 dB two way unless the file says otherwise.",
		"carrier": "Such as 40 kHz.", "busy": "How long its line stays busy when nothing answers, such as 38 ms.", "peak": "While it sends, such as 120 mA.",
	}[key]
}
