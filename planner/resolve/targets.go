package resolve

import (
	"echowright/planner/layout"
	"echowright/planner/scene"
)

// target is a target with the place it comes from; index is valid once it is in use and listed.
type target struct {
	scene.Target
	e       layout.Entry
	builtin bool
	used    bool
	zones   []*int // indices to set once the targets in use are listed
}

// surfaceLossDB is the loss on reflection of a surface at 40 kHz, dB: common practice, no source. A hard
// surface is the mirror the others are measured against.
var surfaceLossDB = map[string]float64{
	"hard": 0, "wood": 1, "leather": 3, "bark": 4, "cloth": 6, "carpet": 10, "leaves": 12, "foam": 15,
}

// targetIn resolves the entry of a target below the root it was written in.
func (r *resolver) targetIn(root layout.Entry, name string, e layout.Entry) *target {
	key := name
	if root == r.builtin {
		key = "\x00" + name
	}
	if t, ok := r.targets[key]; ok {
		return t
	}
	h, _ := e.Get("height")
	t := &target{e: e, builtin: root == r.builtin, Target: scene.Target{
		Name:    name,
		Shape:   scene.Shape(e.Value("shape").Text()),
		RadiusM: optional(e, "diameter") / 2,
		HeightM: span(h),
		Turned:  span(e.Value("turned")),
	}}
	r.targets[key] = t
	if !t.builtin {
		t.Entry = e.Path()
	}
	r.reflection(t, e)
	r.targetHeights(t, h)
	return t
}

// reflection fills what the target is made of.
func (r *resolver) reflection(t *target, e layout.Entry) {
	if loss, ok := e.Get("loss"); ok {
		t.Surface, t.LossDB = "measured", scene.Value{X: loss.Num(), From: sourceOf(loss)}
		return
	}
	s := e.Value("surface")
	t.Surface = s.Text()
	t.LossDB = scene.Value{X: surfaceLossDB[t.Surface], From: scene.Estimate}
	if t.Surface == "hard" {
		t.LossDB.From = scene.Chosen // by definition, so nothing is guessed
	}
	if s.Assumed() {
		r.note(e.Path()+".surface", "target "+t.Name+": no surface given: hard assumed", false)
	}
}

// targetHeights refuses height spans that the shape cannot have.
func (r *resolver) targetHeights(t *target, h layout.Entry) {
	switch t.Shape {
	case scene.Kerb:
		if t.HeightM.Lo != 0 {
			r.wrong(h, "write 0.."+length(t.HeightM.Hi), "a kerb stands on the ground, yet it starts at %s", length(t.HeightM.Lo))
		}
	case scene.Bar:
		t.RadiusM = (t.HeightM.Hi - t.HeightM.Lo) / 2
	}
}

// lookUp finds the target that ref names, in the layout first and then among those built in; from the
// built-in file only there. owner is the place to say at that there is none.
func (r *resolver) lookUp(from, ref, owner layout.Entry) *target {
	if !ref.Exists() {
		return nil
	}
	name := ref.Text()
	roots := []layout.Entry{r.doc, r.builtin}
	if from == r.builtin {
		roots = roots[1:]
	}
	for _, root := range roots {
		if e, ok := entryOf(root, "targets", name); ok {
			return r.targetIn(root, name, e)
		}
	}
	if !refused(roots[0], "targets", name) {
		r.wrong(owner, nearest(name, keysOf("targets", roots...), "targets"), "there is no target %s", quote(name))
	}
	return nil
}

// entryOf finds the entry of a name in a map of named entries; names may hold dots, so no dotted path is used.
func entryOf(root layout.Entry, key, name string) (layout.Entry, bool) {
	m, _ := root.Get(key)
	for _, e := range m.List() {
		if e.Key() == name {
			return e, true
		}
	}
	return layout.Entry{}, false
}

// use marks a target for the scene's list.
func (r *resolver) use(t *target) *target {
	if t != nil {
		t.used = true
	}
	return t
}

// listTargets puts the targets in use into the scene in file order, the layout's own first, and sets the
// indices that were waiting for it. A built-in target whose name the layout took for its own stays out of
// the list unless a zone needs it; the range that refers to it carries its own copy.
func (r *resolver) listTargets() {
	taken := map[string]bool{}
	for _, root := range []layout.Entry{r.doc, r.builtin} {
		for _, e := range r.list(root, "targets") {
			t := r.targetIn(root, e.Key(), e)
			if !t.used || taken[t.Name] {
				continue
			}
			taken[t.Name] = true
			for _, z := range t.zones {
				*z = len(r.sc.Targets)
			}
			r.sc.Targets = append(r.sc.Targets, t.Target)
		}
	}
}
