package editor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"echowright/planner/editor/view"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// entryChosen is the path of the zone, target or part chosen.
func (e *Editor) entryChosen() string {
	switch e.thing.Kind {
	case view.Zone:
		return "zones." + e.thing.Name
	case view.Part:
		return "body.parts." + e.thing.Name
	case targetThing:
		return "targets." + e.thing.Name
	case kindThing:
		return "kinds." + e.thing.Name
	}
	return ""
}

// groups are the entries of the chosen sensors, each once.
func (e *Editor) groups() (names []string) {
	for _, name := range e.chosen {
		if s := sensorNamed(e.sceneNow(), name); s.Name != "" {
			names = addName(names, s.Group)
		}
	}
	return names
}

func (e *Editor) sceneNow() *scene.Scene {
	if e.read.value == nil {
		return &scene.Scene{}
	}
	return e.read.value
}

// refreshEnds takes the wishes for how often sensors fire along with their entry.
func (e *Editor) refreshEnds(group string) (edits []layout.Edit) {
	all, _ := e.doc.Root().Get(strings.TrimSuffix(refreshOf, "."))
	for _, name := range all.Keys() {
		if of, _, _ := strings.Cut(name, "."); of == group {
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: refreshOf + name})
		}
	}
	return edits
}

// remove takes the chosen things out of the layout. Of a pair or a row the whole entry goes.
func (e *Editor) remove() {
	var edits []layout.Edit
	var names []string
	for _, g := range e.groups() {
		edits, names = append(edits, layout.Edit{Do: layout.Remove, Path: "sensors." + g}), append(names, g)
		edits = append(edits, e.refreshEnds(g)...)
	}
	if p := e.entryChosen(); p != "" {
		edits, names = append(edits, layout.Edit{Do: layout.Remove, Path: p}), append(names, e.thing.Name)
	}
	if e.change(words.remove(names), atOnce, e.doc, edits...) {
		e.chosen, e.thing = nil, view.Thing{}
		e.say(words.removed(names))
	}
}

// copyChosen puts the chosen entries on the clipboard as they stand in the file, so that they can be pasted here or
// into a text.
func (e *Editor) copyChosen() {
	var lines []string
	for _, g := range e.groups() {
		if text, ok := e.doc.Text("sensors." + g); ok {
			lines = append(lines, "- "+text)
		}
	}
	if p := e.entryChosen(); p != "" && e.thing.Kind != targetThing && e.thing.Kind != kindThing {
		if text, ok := e.doc.Text(p); ok {
			lines = append(lines, "- "+text)
		}
	}
	e.wish(Wish{Kind: Copy, Text: strings.Join(lines, "\n") + "\n"})
	e.say(words.copied(len(lines)))
}

// mostTyped is how many bytes of text a field takes from the clipboard: a value is a few words.
const mostTyped = 10_000

// pasted adds entries of sensors or zones from a text, under names that are free.
func (e *Editor) pasted(text string) {
	if id := e.board.Typing(e.screen()); id != "" {
		if len(text) > mostTyped {
			e.say(words.pasteTooLong)
			return
		}
		for _, a := range e.board.Insert(text, e.screen()) {
			e.act(a)
		}
		return
	}
	if e.doc == nil {
		return
	}
	if len(text) > layout.MaxSize {
		e.say(words.nothingToPaste)
		return
	}
	var edits []layout.Edit
	var names []string
	for _, list := range []string{"sensors", "zones"} {
		clip, _ := layout.Draft("clipboard", []byte("echowright: 1\n"+list+":\n"+indented(text)))
		if clip == nil {
			continue
		}
		for _, it := range entries(clip, list) {
			if zone := list == "zones"; it.Has("target") != zone || it.Has("at") == zone {
				continue
			}
			name := e.freeNameBut(it.Key(), names)
			entry, err := renamed(clip, list+"."+it.Key(), name)
			if err != nil {
				continue
			}
			names = append(names, name)
			edits = append(edits, layout.Edit{Do: layout.Add, Path: list, Text: entry})
			if s := e.firstOf(it.Key()); list == "sensors" && s.Name != "" && name != it.Key() {
				edits = append(edits, e.furtherOn(it, s, name)...)
			}
		}
	}
	if len(edits) == 0 {
		e.say(words.nothingToPaste)
		return
	}
	if e.change(words.paste(names), atOnce, e.doc, edits...) {
		e.chooseNext = names[0]
		e.say(words.pastedAs(names))
	}
}

// freeNameBut is a free name that none of some new ones has either.
func (e *Editor) freeNameBut(stem string, taken []string) string {
	name := e.freeName(stem)
	for slices.Contains(taken, name) {
		stem += "-b"
		name = e.freeName(stem)
	}
	return name
}

// double makes another of each chosen entry, a little further along the outline.
func (e *Editor) double() {
	var edits []layout.Edit
	var names []string
	for _, g := range e.groups() {
		it, _ := e.doc.Root().Get("sensors." + g)
		name := e.freeNameBut(g, names)
		text, err := renamed(e.doc, "sensors."+g, name)
		if err != nil {
			continue
		}
		names = append(names, name)
		edits = append(edits, layout.Edit{Do: layout.Add, Path: "sensors", Text: text})
		edits = append(edits, e.furtherOn(it, e.firstOf(g), name)...)
	}
	if e.change(words.doubled(names), atOnce, e.doc, edits...) && len(names) > 0 {
		e.chooseNext = names[0]
		e.say(words.pastedAs(names))
	}
}

// furtherOn puts a copy of an entry a little further along the outline, so that it does not lie on the first.
func (e *Editor) furtherOn(it layout.Entry, s scene.Sensor, name string) []layout.Edit {
	at, ok := it.Get("at")
	if !ok || at.Has("spread") || math.IsNaN(s.ArcM) || e.outline == nil {
		return nil
	}
	if s.Image {
		s.ArcM = -s.ArcM
	}
	return []layout.Edit{{Do: layout.Set, Path: "sensors." + name + ".at", Text: placeText(e.outline, s.ArcM+0.05)}}
}

// renamed is the text of an entry under another name.
func renamed(doc *layout.Document, path, name string) (string, error) {
	list, own, _ := strings.Cut(path, ".")
	if own == name {
		text, _ := doc.Text(path)
		return text, nil
	}
	doc, _, err := doc.Change(layout.Edit{Do: layout.Set, Path: path + ".name", Text: name})
	if err != nil {
		return "", err
	}
	text, _ := doc.Text(list + "." + name)
	return text, nil
}

// indented puts a text below a key.
func indented(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimRight(text, "\r\n "), "\n", "\n  ") + "\n"
}

func (e *Editor) firstOf(group string) scene.Sensor {
	for _, s := range e.sensors() {
		if s.Group == group {
			return s
		}
	}
	return scene.Sensor{}
}

// mirrorChosen makes mirrored pairs of single sensors, and single ones of pairs.
func (e *Editor) mirrorChosen() {
	var edits []layout.Edit
	var given, taken []string
	groups := e.groups()
	for _, g := range groups {
		it, ok := e.doc.Root().Get("sensors." + g)
		switch {
		case !ok || it.Has("count"):
		case it.Has("pair"):
			edits, taken = append(edits, layout.Edit{Do: layout.Remove, Path: "sensors." + g + ".pair"}), append(taken, g)
		case math.Abs(e.firstOf(g).At.Y) > 2*fineM:
			edits, given = append(edits, layout.Edit{Do: layout.Set, Path: "sensors." + g + ".pair", Text: "mirror"}), append(given, g)
		}
	}
	if len(edits) == 0 {
		e.say(words.cannotMirror)
		return
	}
	if e.change(words.mirror(groups), atOnce, e.doc, edits...) {
		e.chooseNext = groups[0]
		var said []string
		if len(given) > 0 {
			said = append(said, words.twinGiven(given))
		}
		if len(taken) > 0 {
			said = append(said, words.twinTaken(taken))
		}
		e.say(join2(". ", said...))
	}
}

// spreadChosen puts the chosen sensors at even distances along the outline between the first and the last of them.
func (e *Editor) spreadChosen() {
	var ss []scene.Sensor
	for _, name := range e.chosen {
		if s := sensorNamed(e.sceneNow(), name); !math.IsNaN(s.ArcM) {
			ss = append(ss, s)
		}
	}
	if len(ss) < 3 {
		e.say(words.spreadThree)
		return
	}
	slices.SortFunc(ss, func(a, b scene.Sensor) int {
		if a.ArcM < b.ArcM {
			return -1
		}
		return 1
	})
	// The widest pause between two of them is where the row is open.
	length, open, widest := e.outline.Length(), 0, -1.0
	for i := range ss {
		if d := math.Mod(ss[(i+1)%len(ss)].ArcM-ss[i].ArcM+length, length); d > widest {
			widest, open = d, i+1
		}
	}
	ss = append(slices.Clone(ss[open%len(ss):]), ss[:open%len(ss)]...)
	span := length - widest
	to := map[string]pose{}
	for i, s := range ss {
		p := poseOf(s)
		p.arc = wrapArc(e.outline, ss[0].ArcM+span*float64(i)/float64(len(ss)-1))
		to[s.Name] = p
	}
	rows := rowsOf(e.doc, e.sceneNow(), e.chosen)
	if e.withSingles(words.spreadOut(len(ss)), to, placeEdits) {
		said := words.spreadFrom(len(ss), ss[0].Name, ss[len(ss)-1].Name)
		for _, g := range rows {
			said = join2(". ", said, words.madeSingle(g))
		}
		e.say(said)
	}
}

// squareChosen turns the chosen sensors square to the outline.
func (e *Editor) squareChosen() {
	var edits []layout.Edit
	for _, g := range e.groups() {
		if it, ok := e.doc.Root().Get("sensors." + g); ok && it.Has("heading") {
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: "sensors." + g + ".heading"})
		}
	}
	groups := e.groups()
	switch {
	case len(edits) == 0:
		e.say(words.squareAlready)
	case e.change(words.squared(groups), atOnce, e.doc, edits...):
		e.say(words.turnedSquare(groups))
	}
}

// nudge moves the chosen sensors along the outline or turns them.
func (e *Editor) nudge(mm, deg float64) {
	to := map[string]pose{}
	for _, name := range e.chosen {
		s := sensorNamed(e.sceneNow(), name)
		p := poseOf(s)
		if math.IsNaN(p.arc) {
			p.at = p.at.Add(r2.Point{Y: mm / 1000})
		} else {
			p.arc = wrapArc(e.outline, p.arc+mm/1000)
		}
		p.heading = (p.heading + s1.Angle(deg)*s1.Degree).Normalized()
		to[name] = p
	}
	if deg != 0 {
		e.withSingles(words.turnSensors(e.chosen), to, headingEdits)
		return
	}
	e.withSingles(words.moveSensors(e.chosen), to, placeEdits)
}

// withSingles makes a change of places or headings; rows that a moved sensor belongs to become single sensors first.
func (e *Editor) withSingles(name string, to map[string]pose, edits editsOf) bool {
	base, sc, to := e.singles(e.doc, e.sceneNow(), to)
	return e.change(name, atOnce, base, edits(base, sc, e.outline, to)...)
}

func (e *Editor) chooseAll() {
	e.chosen, e.thing, e.stale = nil, view.Thing{}, true
	for _, s := range e.sensors() {
		e.chosen = append(e.chosen, s.Name)
	}
}

// chooseBy goes round the sensors.
func (e *Editor) chooseBy(by int) {
	ss := e.sensors()
	if len(ss) == 0 {
		return
	}
	at := -1
	if len(e.chosen) > 0 {
		at = slices.IndexFunc(ss, func(s scene.Sensor) bool { return s.Name == e.chosen[0] })
	} else if by < 0 {
		at = 0
	}
	s := ss[((at+by)%len(ss)+len(ss))%len(ss)]
	e.choose(s.Name)
	e.lookAt([2]float64{s.At.X, s.At.Y})
}

// fourAtOnce tries what four readings at once would bring: a change like any other, to be undone.
func (e *Editor) fourAtOnce() {
	e.try(words.fourAtOnce, e.doc, nil,
		layout.Edit{Do: layout.Set, Path: "controller.reading", Text: "capture"},
		layout.Edit{Do: layout.Set, Path: "controller.at-once", Text: "4"})
}

func (e *Editor) addTarget() {
	name := e.freeName("post")
	if e.change(words.add(name), atOnce, e.doc, layout.Edit{Do: layout.Add, Path: "targets", Text: name + ": {shape: post, diameter: 75 mm, height: 0..1 m, surface: hard}"}) {
		e.chosen, e.thing = nil, view.Thing{Kind: targetThing, Name: name}
	}
}

func (e *Editor) addPart() {
	name := e.freeName("part")
	top := e.sceneNow().Body.HeightM.Hi
	text := fmt.Sprintf("{name: %s, circle: 40 mm, centre: [0 m, 0 m], height: %s}", name, spanText(top, top+0.5))
	if e.change(words.add(name), atOnce, e.doc, layout.Edit{Do: layout.Add, Path: "body.parts", Text: text}) {
		e.chosen, e.thing = nil, view.Thing{Kind: view.Part, Name: name}
	}
}

// chooseThese makes some sensors those that are chosen.
func (e *Editor) chooseThese(names []string) { e.chosen, e.thing, e.stale = names, view.Thing{}, true }
