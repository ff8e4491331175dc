// Package resolve binds a layout document to a scene: defaults filled and each of them named, references
// followed, places found on the outline, mirrored, counted and spread entries written out, zones drawn as
// rings. In goes the checked tree of planner/layout (and that of the built-in kinds of module), out comes a
// [scene.Scene] in SI units or every fault of the file in one list, each at its place.
//
// Frame: x forward, y left, z up, metres; angles counter-clockwise from +x (REP 103).
//
//	layout.Document ──► resolve.Scene ──► scene.Scene
//	                        │
//	                geometry (outline, offsets), planner/quantity (words for defaults)
package resolve

import (
	"fmt"
	"strings"

	"echowright/geometry"
	"echowright/planner/diag"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// resolver carries what one run has found so far.
type resolver struct {
	doc, builtin layout.Entry
	sc           *scene.Scene
	diags        diag.List

	outline *geometry.Outline // nil when the file's outline is unusable
	ring    []r2.Point        // of the outline; nil likewise

	faults  []string           // places of what was found wrong
	lacks   []string           // of a layout begun: what is not there yet
	begun   bool               // it may still lack things
	uses    [][]layout.Entry   // of each kind in sc.Kinds, the entries it is made from
	wired   []layout.Entry     // of each wire in sc.Wires, its entry
	targets map[string]*target // by name, built-in ones behind a zero byte
	kinds   map[string]int     // index into sc.Kinds by name
	noted   map[string]bool    // keys of assumptions already named
	circles map[string]bool    // of kinds, already refused
}

// Scene resolves a layout against the built-in kinds. The scene is nil when the list holds an error.
//
// The layout may be a [layout.Draft] of which something was refused. Then there is no scene, and the list
// holds the faults that the rest of it has: nothing is concluded from what was refused already.
func Scene(doc, kinds *layout.Document) (*scene.Scene, diag.List) {
	r := newResolver(doc, kinds)
	r.run()
	if r.diags.HasErrors() || !doc.Whole() {
		return nil, r.diags
	}
	return r.sc, r.diags
}

// run makes the scene of the whole layout and finds all that is wrong.
func (r *resolver) run() {
	r.weather()
	r.body()
	r.sensors()
	r.zones()
	r.motion()
	r.firing()
	r.wires()
	r.refresh()
	r.record()
	r.unused()
	r.listTargets()
	r.diags = r.diags.Sort()
}

// Kinds resolves every kind and target of a file of kinds, in file order, for listing and comparing them.
func Kinds(kinds *layout.Document) ([]scene.Kind, []scene.Target, diag.List) {
	r := newResolver(nil, kinds)
	r.useTargets()
	for _, e := range r.list(r.builtin, "kinds") {
		r.kindIndex(e.Key(), e)
	}
	r.listTargets()
	return r.sc.Kinds, r.sc.Targets, r.diags.Sort()
}

// Targets resolves every target of a file of kinds, in file order.
func Targets(kinds *layout.Document) []scene.Target {
	r := newResolver(nil, kinds)
	r.useTargets()
	r.listTargets()
	return r.sc.Targets
}

func (r *resolver) useTargets() {
	for _, e := range r.list(r.builtin, "targets") {
		r.use(r.targetIn(r.builtin, e.Key(), e))
	}
}

func newResolver(doc, kinds *layout.Document) *resolver {
	r := &resolver{
		sc:      &scene.Scene{},
		targets: map[string]*target{},
		kinds:   map[string]int{},
		noted:   map[string]bool{},
		circles: map[string]bool{},
	}
	if doc != nil {
		r.doc = doc.Root()
	}
	if kinds != nil {
		r.builtin = kinds.Root()
	}
	return r
}

// unused finds the faults of the layout's kinds that no sensor names; nothing else of them is kept.
func (r *resolver) unused() {
	for _, e := range r.list(r.doc, "kinds") {
		if _, named := r.kinds[e.Key()]; named {
			continue
		}
		aside := &resolver{doc: r.doc, builtin: r.builtin, sc: &scene.Scene{}, targets: map[string]*target{}, noted: map[string]bool{}, circles: r.circles}
		aside.kindNamed(e.Key(), e)
		r.diags = append(r.diags, aside.diags...)
	}
}

// wrong adds an error at the place of e.
func (r *resolver) wrong(e layout.Entry, right, format string, args ...any) {
	r.diags = append(r.diags, e.Errorf(right, format, args...))
	r.faults = append(r.faults, e.Path())
}

// note names an assumption, once for each key.
func (r *resolver) note(key, text string, deciding bool) {
	if r.noted[key] {
		return
	}
	r.noted[key] = true
	r.sc.Assumed = append(r.sc.Assumed, scene.Assumption{Key: key, Text: text, Deciding: deciding})
}

// list returns the entries of a list or of a map of names; none when the key is not written.
func (r *resolver) list(e layout.Entry, key string) []layout.Entry {
	got, _ := e.Get(key)
	return got.List()
}

// refused reports whether the entry of a name in the map of names under key was refused already, or may have
// been: with the whole map, or because a name in it could not be read.
func refused(root layout.Entry, key, name string) bool {
	m, ok := root.Get(key)
	if !ok {
		return root.Faulty(key)
	}
	return m.Faulty(name) || m.Short()
}

// nearest words the remedy for a name that is not known.
func nearest(name string, known []string, what string) string {
	if n := diag.Nearest(name, known); n != "" {
		return fmt.Sprintf("did you mean %s?", diag.Quote(n))
	}
	if len(known) == 0 {
		return fmt.Sprintf("there are no %s here", what)
	}
	const most = 12
	shown := known
	if len(shown) > most {
		shown = shown[:most]
	}
	return fmt.Sprintf("%s known: %s", what, strings.Join(shown, ", "))
}

// keysOf returns the keys of the maps written under a key, the first map's first.
func keysOf(key string, maps ...layout.Entry) []string {
	var out []string
	for _, m := range maps {
		got, _ := m.Get(key)
		out = append(out, got.Keys()...)
	}
	return out
}
