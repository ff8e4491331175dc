package editor

import (
	"cmp"
	"slices"
	"strings"

	"echowright/planner/editor/widget"
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"

	"github.com/golang/geo/s1"
)

// kindCard is a built-in kind of module as a list shows it.
type kindCard struct{ name, title string }

// readKinds reads what kinds of module and targets are built in.
func (e *Editor) readKinds() {
	doc, faults := layout.ParseKinds("built-in kinds", e.cfg.Kinds)
	if faults.HasErrors() {
		return
	}
	e.kindsDoc = doc
	kinds, targets, _ := resolve.Kinds(doc)
	for _, k := range kinds {
		e.kinds = append(e.kinds, kindCard{k.Name, k.Title})
	}
	for _, t := range targets {
		e.builtInTargets = append(e.builtInTargets, t.Name)
	}
}

// kindNames are the layout's own kinds and those built in.
func (e *Editor) kindNames() (names []string) {
	if e.doc != nil {
		for _, k := range entries(e.doc, "kinds") {
			names = addName(names, k.Key())
		}
	}
	for _, k := range e.kinds {
		names = addName(names, k.name)
	}
	return names
}

func (e *Editor) kindTitle(name string) string {
	for _, k := range e.kinds {
		if k.name == name {
			return k.title
		}
	}
	return words.ownKind
}

// kindChoices are kinds of module to choose from, with what is printed on their cards; the last line says what the sign means.
func (e *Editor) kindChoices(names []string) (cs []widget.Choice) {
	estimates := false
	for _, n := range names {
		figures := e.kindFigures(n)
		estimates = estimates || strings.Contains(figures, words.about)
		cs = append(cs, widget.Choice{Label: n, Value: n, Figures: figures, Note: e.kindTitle(n)})
	}
	if estimates {
		cs = append(cs, widget.Choice{Label: words.aboutIs, Disabled: true, Rule: true})
	}
	return cs
}

// kindEntry is what a file says of a kind.
type kindEntry struct {
	layout.Entry
	doc  *layout.Document
	name string
}

// figure is the first value of a chain at a path within a kind, of several the farthest, and the entry that has it.
func figure(chain []kindEntry, path string) (v layout.Entry, of kindEntry) {
	for _, k := range chain {
		if got, ok := k.Get(path); ok {
			if path == "range" && len(got.List()) > 0 {
				got = slices.MaxFunc(got.List(), func(a, b layout.Entry) int { return cmp.Compare(a.Num(), b.Num()) })
			}
			return got, k
		}
	}
	return v, of
}

// assumed is what counts for a key that is not written: of a kind what the kind it is like says, else what is usual. note is
// where it comes from, in a word, and like the kind it was taken from.
func (e *Editor) assumed(path string, rule layout.Rule) (text, note, like string) {
	if rest, ok := strings.CutPrefix(path, "kinds."); ok {
		name, key, _ := strings.Cut(rest, ".")
		if chain := e.kindChain(name); len(chain) > 1 && key != "title" {
			if v, of := figure(chain[1:], key); v.Exists() {
				return written(of.doc, v.Path()), orWord(v.Source(), words.assumed), of.name
			}
		}
	}
	if rule.Default != "" {
		return rule.Default, words.assumed, ""
	}
	return "", "", ""
}

func orWord(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// kindChain are the entries a kind is made from, the first before those it is like.
func (e *Editor) kindChain(name string) (chain []kindEntry) {
	for name != "" && len(chain) < layout.MaxSensors {
		next := kindEntry{}
		for _, doc := range []*layout.Document{e.doc, e.kindsDoc} {
			if doc == nil || next.Exists() {
				continue
			}
			if k, ok := doc.Root().Get("kinds." + name); ok && !slices.ContainsFunc(chain, func(c kindEntry) bool { return c.Entry == k }) {
				next = kindEntry{k, doc, name}
			}
		}
		if !next.Exists() {
			break
		}
		chain = append(chain, next)
		like, _ := next.Get("like")
		name = like.Text()
	}
	return chain
}

// kindFigures are the figures of a kind's card in one line: farthest range and on what, blind distance, beam. One that is an
// estimate is marked as such, one that nobody gave is said to be unknown.
func (e *Editor) kindFigures(name string) string {
	chain := e.kindChain(name)
	tell := func(path string, say func(v layout.Entry) string) string {
		v, _ := figure(chain, path)
		if !v.Exists() {
			return words.unknownFigure
		}
		if src := v.Source(); src != string(scene.Datasheet) && src != string(scene.Bench) {
			return words.about + say(v)
		}
		return say(v)
	}
	length := func(v layout.Entry) string { return lengthText(v.Num()) }
	return words.figures(
		tell("range", func(v layout.Entry) string {
			on, _ := v.Get("against")
			return join2(" "+words.on+" ", length(v), on.Text())
		}),
		tell("blind", length),
		tell("beam.horizontal", func(v layout.Entry) string { return angleText(s1.Angle(v.Num())) }))
}

func (e *Editor) kindOf(s scene.Sensor) string {
	sc := e.sceneNow()
	if s.Kind < 0 || s.Kind >= len(sc.Kinds) {
		return ""
	}
	return sc.Kinds[s.Kind].Name
}

// targetNames are the layout's own targets and those built in.
func (e *Editor) targetNames() (names []string) {
	if e.doc != nil {
		for _, t := range entries(e.doc, "targets") {
			names = addName(names, t.Key())
		}
	}
	for _, t := range e.builtInTargets {
		names = addName(names, t)
	}
	return names
}
